"""The commands on the past: history, undo --to, restore, --as-of."""

from datetime import date, datetime, timedelta
from pathlib import Path

import pypdfium2
import pytest

from core.app.collection import Collection, make_collection
from core.app.operations import add_and_place, clear_slots, order_coin
from tests.cli_material import process, slotleaf
from tests.collection_material import NICKELS, Clock, an_album, read_coin, slot

TODAY = datetime.now().astimezone().date()


@pytest.fixture
def jar(tmp_path: Path) -> Path:
    """1941 held a coin from 2024-05-02 until 2024-06-09, 1942-D since 2024-05-31; one on order."""
    path = tmp_path / "jar.slotleaf"
    clock = Clock(date(2024, 5, 1))
    make_collection(path, "The jar")
    with Collection.open(path, today=clock) as collection:
        an_album(collection)
        for day, label, entry in (
            (date(2024, 5, 2), "1941", "1941 g4"),
            (date(2024, 5, 31), "1942-D", "1942-D vf20"),
        ):
            clock.day = day
            collection.run(add_and_place(read_coin(collection, entry), slot(collection, label)))
        clock.day = date(2024, 6, 9)
        collection.run(clear_slots([slot(collection, "1941")]))
        collection.run(order_coin(read_coin(collection, "1943-D vf20"), slot(collection, "1943-D")))
    return path


def test_the_history_is_listed_newest_first(jar: Path) -> None:
    said = slotleaf("history", jar)
    assert said.code == 0
    assert [line.split("  ")[0] for line in said.lines] == ["entry", *"54321"]
    assert "take out a coin" in said.lines[2]
    rows = slotleaf("history", jar, "--json").rows
    assert [row["entry"] for row in rows] == [5, 4, 3, 2, 1]
    assert [row["label"] for row in rows][:2] == ["order a coin · 1943-D", "take out a coin · 1941"]
    assert {row["is_undone"] for row in rows} == {False}


def test_the_history_comes_in_pages(jar: Path) -> None:
    said = slotleaf("history", jar, "--limit", "2")
    assert said.lines[-1] == f"Older ones: slotleaf history {jar} --before 4"
    rows = slotleaf("history", jar, "--limit", "2", "--before", "4", "--json").rows
    assert [row["entry"] for row in rows] == [3, 2]
    assert slotleaf("history", jar, "--before", "1").out == "Nothing is recorded before that.\n"
    assert slotleaf("history", jar, "--limit", "0").code == 2


def test_what_is_undone_says_so_in_the_history(jar: Path) -> None:
    slotleaf("undo", jar)
    assert slotleaf("history", jar).lines[1].endswith("undone")
    assert slotleaf("history", jar, "--json").rows[0]["is_undone"] is True


def test_an_empty_collection_has_no_history(tmp_path: Path) -> None:
    slotleaf("new", tmp_path / "new.slotleaf")
    assert slotleaf("history", tmp_path / "new.slotleaf").out == "Nothing yet.\n"


def test_undo_goes_back_to_right_after_an_entry(jar: Path) -> None:
    said = slotleaf("undo", jar, "--to", "3")
    assert said.lines == ["Undone: order a coin · 1943-D.", "Undone: take out a coin · 1941."]
    assert "have 2 of 12" in slotleaf("slots", jar, "nick").out
    assert slotleaf("redo", jar).out == "Done again: take out a coin · 1941.\n"
    assert len(slotleaf("undo", jar, "--to", "0").lines) == 4
    assert slotleaf("albums", jar, "--json").rows == []


@pytest.mark.parametrize(
    ("to", "told"),
    [
        ("99", "There is no entry 99 in the history"),
        ("5", "There is nothing to undo after entry 5 in"),
        ("99999999999999999999999", "too large"),
    ],
)
def test_where_there_is_no_way_back_it_says_so(jar: Path, to: str, told: str) -> None:
    before = jar.read_bytes()
    said = slotleaf("undo", jar, "--to", to)
    assert (said.code, said.out) == (1, "")
    assert told in said.err
    assert said.err.count("\n") == 1
    assert jar.read_bytes() == before


def test_restore_puts_a_copy_back_and_says_how_to_go_back(jar: Path, tmp_path: Path) -> None:
    slotleaf("copy", jar, "-o", tmp_path / "copy.slotleaf")
    slotleaf("undo", jar, "--to", "2")
    said = slotleaf("restore", tmp_path / "copy.slotleaf", "-o", jar)
    assert said.code == 0
    assert len(slotleaf("history", jar, "--json").rows) == 5
    assert not any(row["is_undone"] for row in slotleaf("history", jar, "--json").rows)
    (kept,) = (tmp_path / "jar copies").glob("jar before *.slotleaf")
    assert str(kept) in said.out
    slotleaf("restore", kept, "-o", jar)
    assert sum(row["is_undone"] for row in slotleaf("history", jar, "--json").rows) == 3


def test_an_open_collection_is_not_restored_over(jar: Path, tmp_path: Path) -> None:
    slotleaf("copy", jar, "-o", tmp_path / "copy.slotleaf")
    before = jar.read_bytes()
    with Collection.open(jar):
        said = process("restore", tmp_path / "copy.slotleaf", "-o", jar)
    assert (said.code, said.out) == (1, "")
    assert "is open in another window or command" in said.err
    assert jar.read_bytes() == before


def test_restore_to_a_new_name_keeps_nothing(jar: Path, tmp_path: Path) -> None:
    said = slotleaf("restore", jar, "-o", tmp_path / "new.slotleaf")
    assert said.lines == [f"Restored {tmp_path / 'new.slotleaf'} from {jar}."]
    assert slotleaf("check", tmp_path / "new.slotleaf").code == 0


def test_a_copy_that_is_no_collection_is_not_restored(jar: Path, tmp_path: Path) -> None:
    (tmp_path / "letter").write_text("Dear harbour master, " * 9, "utf-8")
    before = jar.read_bytes()
    said = slotleaf("restore", tmp_path / "letter", "-o", jar)
    assert (said.code, said.out) == (1, "")
    assert "is not a Slotleaf collection" in said.err
    assert jar.read_bytes() == before


def test_albums_as_of_a_day(jar: Path) -> None:
    said = slotleaf("albums", jar, "--as-of", "2024-05-31")
    assert said.lines[0] == "As of 2024-05-31, with today's targets and arrangement."
    (row,) = slotleaf("albums", jar, "--as-of", "2024-05-31", "--json").rows
    assert (row["have"], row["wanted"], row["at_target"], row["as_of"]) == (2, 12, 1, "2024-05-31")
    assert (row["on_order"], row["spares_waiting"]) == (None, None)
    haves = [
        slotleaf("albums", jar, "--as-of", day, "--json").rows[0]["have"]
        for day in ("2024-05-01", "2024-05-02", "2024-06-08", "2024-06-09")
    ]
    assert haves == [0, 1, 2, 1]


def test_as_of_today_is_today(jar: Path) -> None:
    today = TODAY.isoformat()
    (row,) = slotleaf("albums", jar, "--as-of", today, "--json").rows
    assert row == slotleaf("albums", jar, "--json").rows[0] | {"as_of": today}
    assert (row["on_order"], row["spares_waiting"]) == (1, 1)


def test_slots_as_of_a_day(jar: Path) -> None:
    said = slotleaf("slots", jar, "nick", "--as-of", "2024-05-30")
    assert said.lines[:2] == [
        "Nickels: have 1 of 12 · at target 0",
        "As of 2024-05-30, with today's targets and arrangement.",
    ]
    rows = slotleaf("slots", jar, "nick", "--as-of", "2024-05-30", "--json").rows
    held = {row["label"]: row["coin"] for row in rows if row["coin"] is not None}
    assert held == {"1941": 1}
    assert {row["as_of"] for row in rows} == {"2024-05-30"}
    assert {row["label"]: row["state"] for row in rows}["1943-D"] == "gap"


def test_a_checklist_as_of_a_day_says_so_on_the_page(jar: Path, tmp_path: Path) -> None:
    out = tmp_path / "then.pdf"
    said = slotleaf("checklist", jar, "nick", "-o", out, "--list", "all", "--as-of", "2024-05-31")
    assert said.out == f"Wrote {out}: Every slot as of 2024-05-31, 12 lines.\n"
    page = pypdfium2.PdfDocument(out)[0].get_textpage().get_text_range()
    assert "as of 31 May 2024" in page
    assert "have 2 of 12" in page


def test_the_spares_of_a_day_gone_by_are_not_known(jar: Path, tmp_path: Path) -> None:
    out = tmp_path / "then.pdf"
    said = slotleaf(
        "checklist", jar, "nick", "-o", out, "--list", "spares", "--as-of", "2024-05-31"
    )
    assert said.code == 1
    assert "is not recorded" in said.err
    assert not out.exists()


@pytest.mark.parametrize(
    ("day", "told"),
    [
        ("May 2024", "“May 2024” is no day; write year, month and day such as 2024-05-31."),
        ("20240531", "is no day"),
        ("2024-02-30", "is a day that no calendar has"),
        ("0000-01-01", "is a day that no calendar has"),
        ((TODAY + timedelta(2)).isoformat(), "is still to come; today is"),
    ],
)
@pytest.mark.parametrize("words", [("albums",), ("slots",), ("checklist",)])
def test_a_day_that_cannot_be_is_said(
    jar: Path, tmp_path: Path, words: tuple[str, ...], day: str, told: str
) -> None:
    more = {"slots": ["nick"], "checklist": ["nick", "-o", str(tmp_path / "x.pdf")], "albums": []}
    said = slotleaf(*words, jar, *more[words[0]], "--as-of", day)
    assert (said.code, said.out) == (1, "")
    assert told in said.err


def test_the_series_of_the_fixture_is_the_one_named(jar: Path) -> None:
    assert slotleaf("albums", jar, "--json").rows[0]["series"] == NICKELS
