"""The command line: every command, its listings as JSON, its exit codes, its one plain line."""

import json
import re
import shlex
import shutil
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import click
import pytest
from pypdf import PdfReader

from core.app.collection import Collection
from core.app.demo import write_demo
from core.cli.main import cli, command_names
from core.model.state import Mark, SlotState
from core.store.copies import copies_beside
from tests.cli_material import Said, slotleaf
from tests.collection_material import a_collection, an_album, with_coins

POINTS = {
    "a4": (595.28, 841.89),
    "letter": (612, 792),
    "a5": (419.53, 595.28),
    "index-card": (216, 360),
}


@pytest.fixture
def jar(tmp_path: Path) -> Path:
    """A file with nickels 1940–1943 at VF-20 and four rows of coins, all spares."""
    with a_collection(tmp_path) as collection:
        an_album(collection)
        with_coins(collection, "1941 vf20", "1941 g4 bent", "3 x 1942-D vf30", "1943 ?")
        return collection.path


@pytest.fixture(scope="session")
def written_demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("demo") / "demo.slotleaf"
    write_demo(path)
    return path


@pytest.fixture
def demo(written_demo: Path, tmp_path: Path) -> Path:
    """A demo collection of this test's own."""
    return Path(shutil.copy(written_demo, tmp_path / "demo.slotleaf"))


@pytest.fixture
def opened_elsewhere(jar: Path) -> Iterator[Path]:
    with Collection.open(jar):
        yield jar


def content(path: Path) -> str:
    with Collection.open(path, read_only=True) as collection:
        return collection.rows_hash()


def refused(said: Said, *told: str) -> None:
    """Exit 1, nothing on standard output, one plain line on standard error."""
    assert said.code == 1, said
    assert said.out == ""
    assert said.err.startswith("slotleaf: ")
    assert said.err.count("\n") == 1
    assert "Traceback" not in said.err
    for part in told:
        assert part in said.err


# ---- files ------------------------------------------------------------------------------------


def test_new_makes_a_collection_and_names_the_next_step(tmp_path: Path) -> None:
    file = tmp_path / "harbour.slotleaf"
    said = slotleaf("new", file)
    assert (said.code, said.err) == (0, "")
    assert "slotleaf album new" in said.out
    with Collection.open(file) as collection:
        assert collection.name == "harbour"
    assert slotleaf("new", tmp_path / "b.slotleaf", "--name", "The jar").code == 0
    with Collection.open(tmp_path / "b.slotleaf") as collection:
        assert collection.name == "The jar"


@pytest.mark.parametrize("word", ["new", "demo"])
def test_nothing_is_overwritten(jar: Path, word: str) -> None:
    before = jar.read_bytes()
    refused(slotleaf(word, jar), "is there already")
    assert jar.read_bytes() == before


@pytest.mark.parametrize("word", ["new", "demo"])
def test_a_folder_that_is_not_there_is_named(tmp_path: Path, word: str) -> None:
    refused(slotleaf(word, tmp_path / "nowhere" / "x.slotleaf"), "nowhere")


def test_copy_writes_the_same_collection_under_another_name(jar: Path, tmp_path: Path) -> None:
    said = slotleaf("copy", jar, "-o", tmp_path / "copy.slotleaf")
    assert said.code == 0
    assert content(tmp_path / "copy.slotleaf") == content(jar)
    refused(slotleaf("copy", jar, "-o", tmp_path / "copy.slotleaf"), "is there already")
    refused(slotleaf("copy", jar, "-o", jar), "itself")


def test_a_copy_of_the_day_that_cannot_be_kept_is_told_beside_the_change(
    jar: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    copies_beside(jar).write_text("a file where the folder would be")
    monkeypatch.setattr("core.store.copies.copies_elsewhere", lambda _path: jar / "no folder")
    said = slotleaf("coin", "add", jar, "1943-D")
    assert said.code == 0
    assert "Coin" in said.out
    assert said.err.startswith("slotleaf: Today's copy of")
    assert said.err.count("\n") == 1


def test_the_next_step_can_be_typed_as_it_stands(tmp_path: Path) -> None:
    said = slotleaf("new", tmp_path / "the jar.slotleaf")
    words = shlex.split(said.out.partition("Next: ")[2])
    assert words[3] == str(tmp_path / "the jar.slotleaf")


def test_columns_stand_one_below_the_other_whatever_the_script(jar: Path) -> None:
    for name in ("昭和", "Ωμέγα", "cafe\u0301"):
        slotleaf("album", "new", jar, name, "--series", "us-dime-roosevelt", "--years", "1946")
    lines = slotleaf("albums", jar).lines
    before = [line.partition("us-")[0] for line in lines[1:]]
    # two places for each Han character, none for the accent (Unicode Standard Annex 11)
    assert [len(text) for text in before] == [9, 7, 9, 10]


def test_check_finds_a_sound_file_sound(jar: Path) -> None:
    assert slotleaf("check", jar) == Said(0, f"{jar} is sound.\n", "")
    assert slotleaf("check", jar, "--json").rows == []


def test_check_lists_what_is_wrong(jar: Path) -> None:
    assert slotleaf("put", jar, "Nickels", "1941", "1").code == 0
    with sqlite3.connect(jar) as broken:
        broken.execute("UPDATE journal_now SET entry = 0")
        broken.execute("UPDATE coin SET grade = 'XX-99' WHERE id = 2")
        broken.execute("UPDATE journal_now SET entry = NULL")
    broken.close()
    said = slotleaf("check", jar, "--json")
    assert said.code == 1
    assert len(said.rows) == 1
    assert "XX-99" in said.rows[0]["fault"]
    assert said.err.count("\n") == 1
    assert "1 fault;" in said.err
    plain = slotleaf("check", jar)
    assert "XX-99" in plain.out
    assert plain.code == 1


def test_check_names_letters_that_no_font_draws(jar: Path) -> None:
    slotleaf(
        "coin",
        "add",
        jar,
        "1943-D // from Ωμέγα, 昭和",
        "1944-D // \ue123 and \ue123",
        "1945-D // \ue123",
    )
    said = slotleaf("check", jar, "--json")
    assert said.code == 0
    (row,) = said.rows
    assert not row["is_damage"]
    assert "U+E123" in row["fault"]
    assert row["fault"].endswith("and 1 more.")
    plain = slotleaf("check", jar)
    assert plain.code == 0
    assert plain.lines[0] == row["fault"]
    assert plain.lines[1] == f"{jar} is sound."


def test_a_damaged_file_is_named_and_left_as_it_is(jar: Path) -> None:
    whole = jar.read_bytes()
    jar.write_bytes(whole[: len(whole) // 2])
    before = jar.read_bytes()
    refused(slotleaf("check", jar), "is damaged", "daily copies")
    assert jar.read_bytes() == before


def test_undo_and_redo_name_what_they_did(jar: Path) -> None:
    before = content(jar)
    slotleaf("put", jar, "Nick", "1941", "1")
    after = content(jar)
    assert slotleaf("undo", jar) == Said(0, "Undone: put a coin in a slot · 1941.\n", "")
    assert content(jar) == before
    assert slotleaf("redo", jar) == Said(0, "Done again: put a coin in a slot · 1941.\n", "")
    assert content(jar) == after
    refused(slotleaf("redo", jar), "nothing to redo")


def test_undo_of_a_new_collection_has_nothing_to_undo(tmp_path: Path) -> None:
    slotleaf("new", tmp_path / "new.slotleaf")
    refused(slotleaf("undo", tmp_path / "new.slotleaf"), "nothing to undo")


def test_demo_writes_the_demo(tmp_path: Path) -> None:
    assert slotleaf("demo", tmp_path / "d.slotleaf").code == 0
    assert len(slotleaf("albums", tmp_path / "d.slotleaf", "--json").rows) == 4


# ---- series -----------------------------------------------------------------------------------


def test_series_are_listed_with_their_spans() -> None:
    rows = {row["id"]: row for row in slotleaf("series", "list", "--json").rows}
    assert rows["us-nickel-jefferson"]["first"] == "1938"
    assert rows["us-quarter-washington"]["last"] == "1998"
    assert [code for code, row in rows.items() if row["is_invented"]] == ["harbour-token"]
    plain = slotleaf("series", "list")
    assert all(code in plain.out for code in rows)


def test_a_series_is_shown_issue_by_issue_with_its_sources() -> None:
    rows = slotleaf("series", "show", "us-nickel-jefferson", "--json").rows
    (silver,) = [r for r in rows if (r["date"], r["mint"]) == ("1943", "D")]
    assert silver["mark"] == "D"
    assert silver["source"]
    plain = slotleaf("series", "show", "us-nickel-jefferson")
    assert plain.lines[0].startswith("Jefferson")
    assert "rests on:" in plain.out
    assert "not known" in plain.out or all(r["mintage"] is not None for r in rows)
    refused(slotleaf("series", "show", "us-nickle"), "no series “us-nickle”", "us-nickel-jefferson")


def test_a_sound_series_folder_is_sound_and_every_fault_of_a_bad_one_is_listed(
    tmp_path: Path,
) -> None:
    folder = Path(shutil.copytree("resources/catalogue/harbour-token", tmp_path / "harbour-token"))
    said = slotleaf("series", "check", folder)
    assert said.code == 0
    assert "no faults" in said.out
    text = (folder / "issues.csv").read_text("utf-8")
    lines = text.splitlines()
    lines[2] = lines[2].replace(",", ",not-a-year,", 1)
    (folder / "issues.csv").write_text("\n".join([*lines, "nonsense"]) + "\n", "utf-8")
    bad = slotleaf("series", "check", folder)
    assert bad.code == 1
    assert "issues.csv" in bad.out
    assert bad.err.count("\n") == 1
    assert f"{len(slotleaf('series', 'check', folder, '--json').rows)} faults" in bad.err
    refused(Said(1, "", slotleaf("series", "check", tmp_path / "none").err))


# ---- albums -----------------------------------------------------------------------------------


def test_a_new_album_takes_every_choice(jar: Path) -> None:
    said = slotleaf(
        "album", "new", jar, "Cents of the fifties", "--series", "us-cent-lincoln",
        "--years", "1950-1958", "--mints", "p,D", "--varieties", "main",
        "--target", "vf20", "--arrange", "running:9x5",
    )  # fmt: skip
    assert said.code == 0, said
    rows = slotleaf("slots", jar, "Cents", "--json").rows
    assert f"{len(rows)} slots" in said.out
    assert {row["target"] for row in rows} == {"VF-20"}
    assert {row["wish"] for row in rows} == {"wanted", "optional"}
    assert max(row["column"] for row in rows) == 9
    assert not [r for r in rows if r["label"].endswith("-S")]
    assert {r["label"][:4] for r in rows} == {str(year) for year in range(1950, 1959)}


def test_philadelphias_p_stays_as_it_is_until_an_arrangement_speaks_of_it(jar: Path) -> None:
    slotleaf("album", "new", jar, "Dimes", "--series", "us-dime-roosevelt", "--years", "1946",
             "--arrange", "running:3x1; p=always")  # fmt: skip
    for shape, first in (("running:2x1", "1946-P"), ("running:3x1; p=never", "1946")):
        assert slotleaf("album", "arrange", jar, "Dimes", "--arrange", shape).code == 0
        assert slotleaf("slots", jar, "Dimes", "--json").rows[0]["label"] == first


def test_a_new_album_needs_only_a_name_and_a_series(jar: Path) -> None:
    assert slotleaf("album", "new", jar, "Tokens", "--series", "harbour-token").code == 0
    assert slotleaf("album", "new", jar, "One", "--series", "us-nickel-jefferson",
                    "--years", "1950", "--mints", "any").code == 0  # fmt: skip
    (row,) = slotleaf("slots", jar, "One", "--json").rows
    assert row["label"] == "1950 any mint"


@pytest.mark.parametrize(
    ("choice", "told"),
    [
        (("--years", "1950-1940"), "runs backwards"),
        (("--years", "the fifties"), "no span of years"),
        (("--years", "1800-1810"), "runs from 1938"),
        (("--mints", "P,W"), "no mint of this series"),
        (("--target", "vf21"), "VF has no step 21"),
        (("--arrange", "running:0x5"), "no arrangement"),
        (("--arrange", "circle"), "no arrangement"),
    ],
)
def test_a_choice_that_cannot_be_is_refused(jar: Path, choice: tuple[str, ...], told: str) -> None:
    before = content(jar)
    said = slotleaf("album", "new", jar, "X", "--series", "us-nickel-jefferson", *choice)
    refused(said, told)
    assert content(jar) == before


def test_albums_of_one_name_or_of_unknown_series_are_refused(jar: Path) -> None:
    refused(slotleaf("album", "new", jar, "nickels", "--series", "harbour-token"), "Nickels")
    refused(slotleaf("album", "new", jar, "X", "--series", "none"), "no series “none”")


def test_albums_are_listed_with_their_counts(jar: Path) -> None:
    slotleaf("put", jar, "Nickels", "1941", "2")
    (row,) = slotleaf("albums", jar, "--json").rows
    counts = {state.value.replace(" ", "_") for state in SlotState} - {"not_struck"}
    assert counts <= row.keys()
    assert (row["have"], row["wanted"], row["at_target"], row["hole_filler"]) == (1, 12, 0, 1)
    assert row["gap"] == 11
    assert row["spares_waiting"] == 2
    assert row["arrangement"] == "years-by-mints"


def test_slots_are_listed_with_the_names_of_their_states_and_marks(demo: Path) -> None:
    rows = slotleaf("slots", demo, "Nick", "--json").rows
    assert {row["state"] for row in rows} <= {state.value for state in SlotState}
    assert {m for row in rows for m in row["marks"].split(", ") if m} == {m.value for m in Mark}
    wanted = ["leaf", "row", "column", "label", "state", "grade", "target", "marks"]
    assert list(rows[0])[: len(wanted)] == wanted
    plain = slotleaf("slots", demo, "Nick")
    assert plain.lines[0].startswith("Nickels 1938–1964: have ")
    assert "at target" in plain.lines[0]


def test_an_album_is_named_by_a_unique_beginning(demo: Path) -> None:
    assert slotleaf("slots", demo, "dim").code == 0
    assert slotleaf("slots", demo, "HARBOUR").code == 0
    slotleaf("album", "new", demo, "Dimes, more", "--series", "us-dime-roosevelt")
    refused(slotleaf("slots", demo, "dim"), "may be any of: Dimes 1946–1964, Dimes, more")
    refused(slotleaf("slots", demo, "pounds"), "no album “pounds”", "Nickels 1938–1964")


# ---- coins and slots --------------------------------------------------------------------------


def test_coins_are_listed(jar: Path) -> None:
    rows = slotleaf("coins", jar, "--json").rows
    assert [row["number"] for row in rows] == [1, 2, 3, 4]
    assert rows[0]["coin"] == "1941"
    assert (rows[0]["grade"], rows[1]["problems"]) == ("VF-20", "bent")
    assert (rows[2]["state"], rows[2]["quantity"]) == ("lot", 3)
    slotleaf("put", jar, "Nickels", "1941", "1")
    rows = slotleaf("coins", jar, "--json").rows
    assert (rows[0]["state"], rows[0]["where"]) == ("in an album", "Nickels, 1941")
    assert "Nickels, 1941" in slotleaf("coins", jar).out


def test_several_coins_are_added_at_once(jar: Path) -> None:
    said = slotleaf("coin", "add", jar, "1943-D vf20", "2 x 1940 g4", "1942 ?")
    assert said.code == 0
    assert [line.partition(":")[0] for line in said.lines] == ["Coin 5", "Coin 6", "Coin 7"]
    assert "2 × " in said.lines[1]
    assert "VF-20" in said.lines[0]
    assert slotleaf("undo", jar).out == "Undone: add 4 coins.\n"


def test_what_was_read_of_a_coin_is_told_whole(jar: Path) -> None:
    said = slotleaf(
        "coin", "add", jar, "1943-P doubled eye vf20 bent", "41 fake", "1954-S s/d? verify"
    )
    first, second, third = said.lines
    assert first.endswith("nickel 1943-P doubled eye, VF-20, bent.")
    assert "1941, no grade, not genuine." in second
    assert "1954-S S over D?, no grade, to verify." in third
    (row,) = [r for r in slotleaf("coins", jar, "--json").rows if r["coin"].startswith("1943-P")]
    assert row["coin"] == "1943-P doubled eye"


def test_if_one_coin_cannot_be_read_none_is_added(jar: Path) -> None:
    before = content(jar)
    said = slotleaf("coin", "add", jar, "1943-D vf20", "1943-W", "1937")
    refused(said, "“1943-W”", "“1937”", "Nothing was added")
    assert content(jar) == before


def test_a_coin_of_another_series_is_added_by_its_series(jar: Path) -> None:
    said = slotleaf("coin", "add", jar, "--series", "us-dime-roosevelt", "1946-S f12")
    assert said.code == 0
    assert "dime" in said.out
    refused(slotleaf("coin", "add", jar, "--series", "none", "1946"), "no series “none”")


def test_a_coin_is_put_in_and_taken_out(jar: Path) -> None:
    said = slotleaf("put", jar, "nick", "1941", "1")
    assert said == Said(0, "Put coin 1 in Nickels, 1941: filled; have 1 of 12.\n", "")
    said = slotleaf("take", jar, "nick", "1941")
    assert said == Said(0, "Took the coin out of Nickels, 1941; have 0 of 12.\n", "")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("put", "Nickels", "1940", "1"), "does not fit slot 1940: it is 1941"),
        (("put", "Nickels", "1941-W", "1"), "Near it: 1941, 1941-D, 1941-S"),
        (("put", "Nickels", "1941", "99"), "no coin number 99"),
        (("put", "Nickels", "1941", "99999999999999999999999"), "too large"),
        (("put", "Pounds", "1941", "1"), "no album “Pounds”"),
        (("take", "Nickels", "1940"), "1940 is empty"),
    ],
)
def test_what_cannot_be_done_is_refused_in_one_line(
    jar: Path, words: tuple[str, ...], told: str
) -> None:
    before = content(jar)
    word, *rest = words
    refused(slotleaf(word, jar, *rest), told)
    assert content(jar) == before


# ---- fill -------------------------------------------------------------------------------------


def test_fill_proposes_and_moves_nothing(jar: Path) -> None:
    before = content(jar)
    rows = slotleaf("fill", jar, "--json").rows
    assert [(r["slot"], r["coin"], r["aim"]) for r in rows] == [
        ("1941", 1, "fills a gap"),
        ("1942-D", 3, "fills a gap"),
    ]
    assert {row["is_move"] for row in rows} == {True}
    assert slotleaf("fill", jar).lines[-1].startswith("Nothing moved yet")
    assert content(jar) == before


def test_an_accepted_fill_is_one_undo(jar: Path) -> None:
    before = content(jar)
    assert slotleaf("fill", jar, "--accept").lines[-1] == "Done."
    states = {r["label"]: r["state"] for r in slotleaf("slots", jar, "Nickels", "--json").rows}
    assert (states["1941"], states["1942-D"]) == ("filled", "filled")
    assert slotleaf("fill", jar).out.startswith("Nothing to move")
    assert slotleaf("undo", jar).out == "Undone: fill 2 slots.\n"
    assert content(jar) == before


def test_fill_keeps_to_the_album_named(demo: Path) -> None:
    rows = slotleaf("fill", demo, "--album", "dimes", "--json").rows
    assert rows
    assert {row["album"] for row in rows} == {"Dimes 1946–1964"}
    refused(slotleaf("fill", demo, "--album", "pounds"), "no album “pounds”")


def test_fill_lists_what_only_the_eye_can_tell(demo: Path) -> None:
    rows = slotleaf("fill", demo, "--json").rows
    looks = [row for row in rows if not row["is_move"]]
    assert looks
    assert {row["aim"] for row in looks} == {"compare by eye"}
    assert slotleaf("fill", demo).out.count("Compare by eye: ") == len(looks)


# ---- paper ------------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", ["a4", "letter", "a5", "index-card"])
@pytest.mark.parametrize("which", ["open", "gaps", "below", "all", "spares"])
def test_each_list_is_printed_on_each_paper(demo: Path, which: str, paper: str) -> None:
    to = demo.with_name("list.pdf")
    said = slotleaf("checklist", demo, "Nick", "-o", to, "--list", which, "--paper", paper)
    assert said.code == 0, said
    pages = PdfReader(to).pages
    assert pages
    size = pages[0].mediabox
    assert (float(size.width), float(size.height)) == pytest.approx(POINTS[paper], abs=0.1)
    text = "\n".join(page.extract_text() for page in pages)
    assert "Nickels 1938–1964" in text
    lines = int(re.search(r"(\d+) lines?\.$", said.out.strip()).group(1))  # type: ignore[union-attr]  # a failure if it is not there
    rows = slotleaf("slots", demo, "Nick", "--json").rows
    below = ("below target", "hole filler", "to verify")
    counted = {
        "gaps": sum(r["state"] == "gap" for r in rows),
        "below": sum(r["state"] in below for r in rows),
        "open": sum(r["state"] in ("gap", *below) for r in rows),
        "all": len(rows),
    }
    assert lines == counted.get(which, lines)
    assert lines > 0


@pytest.mark.parametrize(("group", "heads"), [
    ("leaf", ["Leaf 1", "Leaf 2", "Leaf 3"]),
    ("decade", ["1930s", "1940s", "1950s", "1960s"]),
    ("mint", ["Philadelphia (P)", "Denver (D)", "San Francisco (S)"]),
])  # fmt: skip
def test_a_list_is_grouped_as_told(demo: Path, group: str, heads: list[str]) -> None:
    to = demo.with_name("list.pdf")
    said = slotleaf("checklist", demo, "Nick", "-o", to, "--list", "all", "--group", group)
    assert said.code == 0, said
    text = "\n".join(page.extract_text() for page in PdfReader(to).pages)
    places = [text.find(head) for head in heads]
    assert min(places) > 0
    assert places == sorted(places)


def test_columns_are_chosen_and_those_without_room_are_told(demo: Path) -> None:
    to = demo.with_name("list.pdf")
    asked = ("checklist", demo, "Nick", "-o", to, "--columns")
    said = slotleaf(*asked, "mintage,wanted,variety")
    assert said.out.startswith("Nothing to tell in any row: variety.\nWrote ")
    text = PdfReader(to).pages[0].extract_text()
    assert "mintage" in text
    assert "pay up to" not in text
    said = slotleaf(*asked, "held,wanted,price", "--paper", "index-card", "--large-print")
    assert said.out.startswith("No room on Index card for held, price: choose fewer columns")
    refused(slotleaf(*asked, "price,colour"), "“colour” is no column")


def test_large_print_takes_more_pages(demo: Path) -> None:
    to = demo.with_name("list.pdf")
    counts = []
    for extra in ((), ("--large-print",)):
        assert slotleaf("checklist", demo, "Nick", "-o", to, "--list", "all", *extra).code == 0
        counts.append(len(PdfReader(to).pages))
    assert counts[1] > counts[0]


def test_a_checklist_that_cannot_be_written_is_refused(jar: Path, tmp_path: Path) -> None:
    refused(slotleaf("checklist", jar, "Nickels", "-o", tmp_path / "no" / "x.pdf"), "x.pdf")
    refused(slotleaf("checklist", jar, "Nickels", "-o", tmp_path), str(tmp_path.name))


# ---- every command ----------------------------------------------------------------------------

READING: dict[str, tuple[str, ...]] = {
    "albums": (),
    "slots": ("Nickels",),
    "coins": (),
    "fill": (),
    "check": (),
    "history": (),
}
LISTINGS: dict[tuple[str, ...], tuple[str, ...] | None] = {("series", "list"): None}
LISTINGS |= {(word,): rest for word, rest in READING.items()}


@pytest.mark.parametrize("words", LISTINGS)
def test_a_listing_is_one_array_of_flat_objects_with_snake_case_keys(
    demo: Path, words: tuple[str, ...]
) -> None:
    rest = LISTINGS[words]
    arguments: list[str | Path] = [] if rest is None else [demo, *(w[:4] for w in rest)]
    said = slotleaf(*words, *arguments, "--json")
    assert said.code == 0
    rows = json.loads(said.out)
    assert isinstance(rows, list)
    for row in rows:
        assert isinstance(row, dict)
        assert row.keys() == rows[0].keys()
        for key, value in row.items():
            assert re.fullmatch(r"[a-z]+(_[a-z]+)*", key)
            assert value is None or isinstance(value, str | int | float | bool)


@pytest.mark.parametrize("word", READING)
def test_reading_works_beside_an_open_window(opened_elsewhere: Path, word: str) -> None:
    assert slotleaf(word, opened_elsewhere, *READING[word]).code == 0


def test_a_checklist_and_a_copy_are_made_beside_an_open_window(opened_elsewhere: Path) -> None:
    to = opened_elsewhere.with_name("x.pdf")
    assert slotleaf("checklist", opened_elsewhere, "Nickels", "-o", to).code == 0
    to = opened_elsewhere.with_name("copy.slotleaf")
    assert slotleaf("copy", opened_elsewhere, "-o", to).code == 0


@pytest.mark.parametrize(
    "words",
    [
        ("album", "new", "FILE", "X", "--series", "harbour-token"),
        ("coin", "add", "FILE", "1943-D vf20"),
        ("put", "FILE", "Nickels", "1941", "1"),
        ("take", "FILE", "Nickels", "1941"),
        ("fill", "FILE", "--accept"),
        ("undo", "FILE"),
        ("redo", "FILE"),
        ("undo", "FILE", "--to", "1"),
    ],
)
def test_changing_beside_an_open_window_is_refused(
    opened_elsewhere: Path, words: tuple[str, ...]
) -> None:
    told = [str(opened_elsewhere) if word == "FILE" else word for word in words]
    refused(slotleaf(*told), "is open in another window or command")


WHOLE: dict[str, tuple[str, ...]] = {
    "albums": (),
    "slots": ("A",),
    "coins": (),
    "fill": (),
    "check": (),
    "history": (),
    "restore": ("-o", "x.slotleaf"),
    "undo": (),
    "redo": (),
    "put": ("A", "1941", "1"),
    "take": ("A", "1941"),
    "copy": ("-o", "x.slotleaf"),
    "checklist": ("A", "-o", "x.pdf"),
}


@pytest.mark.parametrize("word", WHOLE)
def test_a_missing_file_is_said_to_be_missing(tmp_path: Path, word: str) -> None:
    refused(slotleaf(word, tmp_path / "none.slotleaf", *WHOLE[word]), "There is no file")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("word", WHOLE)
def test_a_foreign_file_is_refused_and_left_as_it_is(tmp_path: Path, word: str) -> None:
    file = tmp_path / "notes.txt"
    file.write_text("Dear museum, " * 50)
    before = file.read_bytes()
    refused(slotleaf(word, file, *WHOLE[word]), "is not a Slotleaf collection")
    assert file.read_bytes() == before


def test_a_folder_is_no_collection(tmp_path: Path) -> None:
    refused(slotleaf("albums", tmp_path), "is a folder")


@pytest.mark.parametrize(
    "words",
    [
        ("albums",),
        ("album", "new", "x", "y"),
        ("coin", "add", "x"),
        ("put", "x", "A", "1941", "first"),
        ("checklist", "x", "A"),
        ("checklist", "x", "A", "-o", "y", "--paper", "a3"),
        ("checklist", "x", "A", "-o", "y", "--list", "none"),
        ("album", "new", "x", "y", "--series", "z", "--varieties", "some"),
        ("albums", "x", "--yaml"),
        ("nonsense",),
        ("copy", "x"),
    ],
)
def test_a_wrong_use_ends_with_two_and_says_how(words: tuple[str, ...]) -> None:
    said = slotleaf(*words)
    assert said.code == 2
    assert said.out == ""
    assert "Usage: slotleaf" in said.err
    assert "Traceback" not in said.err


def test_empty_collections_name_the_next_step(tmp_path: Path) -> None:
    file = tmp_path / "new.slotleaf"
    slotleaf("new", file)
    assert "slotleaf album new" in slotleaf("albums", file).out
    assert "slotleaf coin add" in slotleaf("coins", file).out
    assert slotleaf("albums", file, "--json").rows == []
    assert slotleaf("fill", file).out.startswith("Nothing to move")


def test_help_names_every_command() -> None:
    said = slotleaf("--help")
    assert said.code == 0
    for name in command_names():
        assert re.search(rf"^  {name} ", said.out, re.MULTILINE)
        assert slotleaf(name, "-h").code == 0


def test_no_help_speaks_of_the_program_itself() -> None:
    def walked(command: click.Command, words: str) -> Iterator[tuple[str, str]]:
        texts = [command.help, *(getattr(one, "help", "") for one in command.params)]
        yield from ((words, text) for text in texts if text)
        if isinstance(command, click.Group):
            with click.Context(command) as here:
                for name in command.list_commands(here):
                    under = command.get_command(here, name)
                    assert under is not None, name
                    yield from walked(under, f"{words} {name}")

    named = re.compile(r"[A-Z][a-z]+[A-Z][a-z]|[a-z]_[a-z]|None|\bself\b")
    texts = list(walked(cli, "slotleaf"))
    assert len(texts) > 200
    assert [pair for pair in texts if named.search(pair[1])] == []


def test_what_nobody_foresaw_is_one_line_and_a_report(
    jar: Path, user_folders: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(_collection: Collection) -> None:
        raise RuntimeError("the jar fell over")

    monkeypatch.setattr(Collection, "albums", fail)
    said = slotleaf("albums", jar)
    refused(said, "Something unforeseen went wrong (RuntimeError)")
    (report,) = user_folders.rglob("last-fault.txt")
    assert str(report) in said.err
    assert "the jar fell over" in report.read_text("utf-8")


def test_commands_of_the_ticket_are_all_there() -> None:
    asked = """demo new series albums album slots coins coin put take fill checklist undo redo
    copy check history restore"""
    assert set(asked.split()) <= command_names()
