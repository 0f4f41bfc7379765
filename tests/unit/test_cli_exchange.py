"""Coins in and out on the command line."""

from pathlib import Path

import pytest

from core.app.collection import Collection
from tests.cli_material import process, slotleaf


@pytest.fixture
def jar(tmp_path: Path) -> Path:
    """A collection with one album and three coins, one of them in its slot."""
    file = tmp_path / "jar.slotleaf"
    slotleaf("new", file)
    slotleaf("album", "new", file, "Nickels", "--series", "us-nickel-jefferson")
    slotleaf("coin", "add", file, "1943-D vf20", "3 x 1944-P")
    slotleaf("put", file, "nick", "1943-D", "1")
    return file


def a_sheet(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "coins.csv"
    path.write_text(text, encoding="utf-8")
    return path


def rows_hash(file: Path) -> str:
    with Collection.open(file, read_only=True) as collection:
        return collection.rows_hash()


def test_export_then_import_into_a_collection_with_the_same_albums_is_the_same(
    jar: Path, tmp_path: Path
) -> None:
    other, sheet = tmp_path / "other.slotleaf", tmp_path / "coins.csv"
    slotleaf("new", other)
    slotleaf("album", "new", other, "Nickels", "--series", "us-nickel-jefferson")
    said = slotleaf("export", jar, "-o", sheet)
    assert (said.code, said.out) == (0, f"Wrote {sheet}: 2 rows of coins.\n")
    said = slotleaf("import", other, sheet)
    assert (said.code, said.err) == (0, "")
    assert said.out == "Imported: 4 coins in 2 rows; 1 into Nickels; 3 to the spares.\n"
    with Collection.open(jar, read_only=True) as one, Collection.open(other, read_only=True) as two:
        assert one.content_hash() == two.content_hash()
    assert slotleaf("undo", other).out == "Undone: import 4 coins.\n"


def test_export_to_the_screen_is_the_file_without_its_mark(jar: Path, tmp_path: Path) -> None:
    sheet = tmp_path / "coins.csv"
    slotleaf("export", jar, "-o", sheet)
    said = process("export", jar, "-o", "-")
    assert said.code == 0
    assert said.out.splitlines() == sheet.read_text("utf-8-sig").splitlines()


def test_a_dry_run_says_what_would_come_and_changes_nothing(jar: Path, tmp_path: Path) -> None:
    before = rows_hash(jar)
    sheet = a_sheet(tmp_path, "coin,album,slot\n1942-S vf20,nick,1942-S\n2 x 1950-D bent,,\n")
    said = slotleaf("import", jar, sheet, "--dry-run")
    assert (said.code, said.err) == (0, "")
    assert said.lines == [
        "Would come: 3 coins in 2 rows; 1 into Nickels; 2 to the spares. Nothing was changed.",
        "  line 2: nickel 1942-S, VF-20: into Nickels, 1942-S",
        "  line 3: 2 × nickel 1950-D, no grade, bent: to the spares",
    ]
    assert rows_hash(jar) == before


@pytest.mark.parametrize("flags", [(), ("--dry-run",)])
def test_every_fault_is_on_standard_error_and_nothing_comes_in(
    jar: Path, tmp_path: Path, flags: tuple[str, ...]
) -> None:
    before = rows_hash(jar)
    sheet = a_sheet(
        tmp_path,
        "number,coin,album,slot,tray\n1,1941,,,a\n,1850,,,b\n,1943-D,Nickels,1943-D,c\n9,1941,,,\n",
    )
    said = slotleaf("import", jar, sheet, *flags)
    assert (said.code, said.out) == (1, "")
    told = said.err.splitlines()
    assert told[0] == "slotleaf: The column “tray” is not one that a coin has; it is left out."
    assert told[1].startswith("slotleaf: coins.csv, line 2, number: There is a coin 1 here")
    assert told[2].startswith("slotleaf: coins.csv, line 3, coin: ")
    assert told[3].startswith("slotleaf: coins.csv, line 4, slot: Coin 1 sits in slot 1943-D")
    assert told[4].startswith("slotleaf: Nothing was imported: 3 rows are faulty.")
    assert len(told) == 5
    assert rows_hash(jar) == before


def test_new_numbers_take_in_a_sheet_whose_numbers_are_taken(jar: Path, tmp_path: Path) -> None:
    sheet = a_sheet(tmp_path, "number,coin\n1,1941\n")
    assert slotleaf("import", jar, sheet).code == 1
    assert slotleaf("import", jar, sheet, "--new-numbers").code == 0
    assert slotleaf("coins", jar, "--json").rows[-1]["number"] == 3


def test_a_sheet_without_coins_changes_nothing(jar: Path, tmp_path: Path) -> None:
    before = rows_hash(jar)
    said = slotleaf("import", jar, a_sheet(tmp_path, "coin\n"))
    assert (said.code, said.out) == (0, "")
    assert said.err == "slotleaf: The sheet holds no coins.\n"
    assert rows_hash(jar) == before


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("import", "FILE", "none.csv"), "cannot be read"),
        (("export", "FILE", "-o", "FILE"), "is a collection"),
        (("export", "FILE", "-o", "none/x.csv"), "There is no folder"),
    ],
)
def test_what_cannot_be_done_is_told_in_one_line(
    jar: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], said: str
) -> None:
    monkeypatch.chdir(tmp_path)
    before = rows_hash(jar)
    done = slotleaf(*(str(jar) if word == "FILE" else word for word in words))
    assert done.code == 1
    assert said in done.err
    assert done.err.count("\n") == 1
    assert rows_hash(jar) == before
