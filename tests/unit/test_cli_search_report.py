"""`slotleaf search finish`, `report` and `sheet`: what they write, and what they refuse."""

from pathlib import Path

import pytest

from tests.cli_material import slotleaf
from tests.collection_material import a_box, a_collection, an_album, keep


@pytest.fixture
def jar(tmp_path: Path) -> Path:
    with a_collection(tmp_path) as collection:
        an_album(collection)
        box = a_box(collection)
        keep(collection, box, "1941 f12")
        keep(collection, box, "1959")
        return collection.path


def test_a_box_is_finished_only_where_it_is_accepted(jar: Path) -> None:
    said = slotleaf("search", "finish", jar, "32", "--rest", "bank")
    assert said.out.splitlines() == [
        "Nickels, 1941: F-12 (coin 1). Fills the gap.",
        "Box 32: 1 find into albums · 1 back to the bank. Nothing was done; add --accept to do it.",
    ]
    said = slotleaf("search", "finish", jar, "32", "--rest", "bank", "--accept")
    assert said.out.endswith("Finished box 32: 1 find into albums · 1 back to the bank.\n")
    assert "finished" in slotleaf("search", "show", jar, "32").out
    assert slotleaf("search", "finish", jar, "32").code == 1
    assert slotleaf("undo", jar).out == "Undone: finish · box 32.\n"


def test_the_ending_says_what_is_written_and_nothing_else_is_overwritten(jar: Path) -> None:
    folder = jar.parent
    for name, head in (("b.pdf", b"%PDF"), ("b.md", b"# Box 32"), ("b.png", b"\x89PNG")):
        said = slotleaf("search", "report", jar, "32", "-o", folder / name)
        assert (said.code, said.out) == (
            0,
            f"Wrote {folder / name}: Box 32. No slot filled or bettered, from 2 finds among 40 "
            "coins.\n",
        )
        assert (folder / name).read_bytes().startswith(head)
    for name, why in (("b.txt", "end the name in"), (".md", "end the name in")):
        said = slotleaf("search", "report", jar, "32", "-o", folder / name)
        assert said.code == 1
        assert why in said.err
    (folder / "letter.md").write_text("Dear aunt", "utf-8")
    said = slotleaf("search", "report", jar, "32", "-o", folder / "letter.md")
    assert "is no MD" in said.err
    assert (folder / "letter.md").read_text("utf-8") == "Dear aunt"
    said = slotleaf("search", "sheet", jar, "nick", "--kind", "tally", "-o", jar)
    assert "is no PDF" in said.err


def test_sheets_are_written_for_an_album(jar: Path) -> None:
    for kind in ("closer", "tally"):
        out = jar.parent / f"{kind}.pdf"
        said = slotleaf("search", "sheet", jar, "nick", "--kind", kind, "--box", "32", "-o", out)
        assert (said.code, said.out) == (0, f"Wrote {out} for Nickels.\n")
        assert out.read_bytes().startswith(b"%PDF")
