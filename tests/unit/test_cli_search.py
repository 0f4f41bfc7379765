"""The search log on the command line: begun, listed, shown, logged whole or not at all."""

from pathlib import Path

import pytest

from core.app.collection import Collection
from core.app.search_orders import finish_box
from core.model.search import BoxId, BoxKind, Looked
from tests.cli_material import process, slotleaf

ENTRIES = """\
# the first evening
39d vf20

seen 5 x 1959
/
3 x 1943 f12
seen 55 -ddo
+foreign: 1962
2 x +foreign
/37
ender 44s
seen ender 1955 ddo?
"""


@pytest.fixture
def jar(tmp_path: Path) -> Path:
    file = tmp_path / "jar.slotleaf"
    slotleaf("new", file)
    slotleaf(
        *("album", "new", file, "Cents", "--series", "us-cent-lincoln"),
        *("--years", "1930-1958", "--target", "VF-20"),
    )
    return file


def begin(jar: Path, *more: str):
    return slotleaf(
        *("search", "new", jar, "--campaign", "Cents to 1958", "--of", "us 1C", "--goal", "cent"),
        *("--boxes-before", "31", "--have-before", "88/140", *more),
    )


def entries(tmp_path: Path, text: str) -> Path:
    file = tmp_path / "entries.txt"
    file.write_text(text, "utf-8")
    return file


def test_a_box_is_begun_with_all_that_is_said_of_it_in_one_undo(jar: Path) -> None:
    said = begin(
        jar, *("--rolls", "40", "--from", "north  branch", "--wrapper", "paper", "--kind", "mixed"),
        *("--fees", "1.50", "--goes-to", "back", "--nothing-before", "1935", "--coins-before", "7"),
        *("--series", "us-cent-lincoln"),
    )  # fmt: skip
    assert said.err == ""
    told = "Box 32 of Cents to 1958: US 1c · 40 rolls of 50 · north branch · paper · mixed, 2,000"
    assert said.out.startswith(told)
    with Collection.open(jar) as collection:
        view = collection.log.box_view(BoxId(1))
        box, campaign = view.box, view.campaign
        assert (box.kind, box.fees_minor, box.currency) == (BoxKind.MIXED, 150, "USD")
        assert (box.face_minor, box.goes_to) == (2000, "back")
        assert (view.search.nothing_before, view.search.series) == (1935, ("us-cent-lincoln",))
        assert (campaign.opening_boxes, campaign.opening_coins) == (31, 7)
        assert (campaign.opening_have, campaign.opening_wanted) == (88, 140)
        assert view.goal is not None
        collection.undo()
        assert collection.log.campaigns() == ()


def test_the_next_box_takes_what_it_can_from_the_one_before(jar: Path) -> None:
    begin(jar)
    said = slotleaf("search", "new", jar, "--per-roll", "49")
    assert said.out.startswith("Box 33 of Cents to 1958: US 1c · 50 rolls of 49")
    said = slotleaf("search", "new", jar, "--search", "May", "--of", "token", "--rolls", "3",
                    "--per-roll", "9", "--number", "7")  # fmt: skip
    assert said.out.startswith("Box 7 of Cents to 1958: token · 3 rolls of 9")
    rows = slotleaf("search", "list", jar, "--json").rows
    assert [(row["box"], row["search"][:5], row["of"]) for row in rows] == [
        (7, "May", "token"),
        (32, "Begun", "US 1c"),
        (33, "Begun", "US 1c"),
    ]


def test_what_cannot_be_begun_is_told_plainly(jar: Path) -> None:
    def told(*more: str, code: int = 1) -> str:
        said = slotleaf("search", "new", jar, *more)
        assert said.code == code
        return said.err

    assert "name the first one with --campaign" in told("--of", "US 1c")
    assert "Say what the box holds with --of" in told("--campaign", "x")
    assert "How “US 3c” is packed is not known" in told("--campaign", "x", "--of", "US 3c")
    assert "box of CA 1c has is not known" in told("--campaign", "x", "--of", "CA 1c")
    assert "is not N/M" in told("--campaign", "x", "--of", "US 1c", "--have-before", "8", code=2)
    assert "is no amount" in told("--campaign", "x", "--of", "US 1c", "--fees", "0.005", code=2)
    assert "not 101" in told("--campaign", "x", "--of", "US 1c", "--rolls", "101")
    begin(jar)
    again = told("--campaign", "cents TO 1958", "--goal", "Cents")
    assert "is begun already" in again
    slotleaf("search", "new", jar, "--campaign", "Another", "--of", "US 5c")
    assert "Campaigns here: Cents to 1958, Another" in told("--of", "US 1c")


def test_entries_are_kept_and_counted_as_they_stand_one_undo(jar: Path, tmp_path: Path) -> None:
    begin(jar)
    file = entries(tmp_path, ENTRIES)
    said = slotleaf("search", "log", jar, "32", file, "--dry-run")
    assert said.out == "10 entries can be logged. Nothing was logged.\n"
    said = slotleaf("search", "log", jar, "32", file)
    assert (said.err, said.out) == ("", "Box 32: 5 kept, 10 counted, now at roll 37.\n")
    rows = slotleaf("search", "show", jar, "32", "--json").rows
    keys = ("roll", "entry", "coin", "quantity", "answer", "ender")
    assert [tuple(row[key] for key in keys) for row in rows] == [
        (1, "kept", "1939-D", 1, "Fills a gap", False),
        (1, "seen", "1959", 5, "", False),
        (2, "kept", "1943", 1, "Fills a gap", False),
        (2, "kept", "1943", 1, "Spare", False),
        (2, "kept", "1943", 1, "Spare", False),
        (2, "seen", "1955, not doubled die obverse", 1, "", False),
        (2, "seen", "+ foreign", 1, "", False),
        (2, "seen", "+ foreign", 2, "", False),
        (37, "kept", "1944-S", 1, "Fills a gap", True),
        (37, "seen", "1955 doubled die obverse?", 1, "", True),
    ]
    shown = slotleaf("search", "show", jar, "box 32").lines
    assert shown[:2] == [
        "Box 32 of Cents to 1958: US 1c · 50 rolls of 50 · circulated",
        "roll 37 in hand · 1,850 coins opened · so far by the answers: 3 slots filled, 0 bettered",
    ]
    with Collection.open(jar) as collection:
        seen = [line.sighting.looked for line in collection.log.box_view(BoxId(1)).sightings]
        assert seen == [Looked.NOTHING, Looked.NOT_IT, *[Looked.NOTHING] * 2, Looked.SUSPECTED]
        assert collection.coin_count() == 5
    slotleaf("undo", jar)
    assert slotleaf("search", "show", jar, "32", "--json").rows == []
    assert slotleaf("coins", jar, "--json").rows == []


def test_every_faulty_line_is_named_and_nothing_is_logged(jar: Path, tmp_path: Path) -> None:
    begin(jar)
    before = jar.read_bytes()
    text = "39d\n2139\n\n/51\nseen /\nblurble\nender\n/50\n/\nseen seen 1939\nseen\nca 1962\n"
    said = slotleaf("search", "log", jar, "32", entries(tmp_path, text))
    assert said.code == 1
    for part in (
        "Line 2, “2139”: ",
        "Line 4, “/51”: the box has the rolls 1 to 50.",
        "Line 5, “seen /”: seen goes with a coin, not with a roll.",
        "Line 6, “blurble”: ",
        "Line 7, “ender”: ",
        "Line 9, “/”: that was the last roll of the box.",
        "Line 10, “seen seen 1939”: ",
        "Line 11, “seen”: it names no coin; write a date and letter, such as 43d.",
        "Line 12, “ca 1962”: it can be 1962, Canadian small cents or 1962, Canadian five cents; "
        "write which kind it is.",
    ):
        assert part in said.err
    assert "Line 1," not in said.err
    assert said.err.endswith("Nothing was logged.\n")
    assert jar.read_bytes() == before


def test_a_finished_box_and_one_that_is_not_there_take_no_entries(jar: Path) -> None:
    begin(jar)
    with Collection.open(jar) as collection:
        collection.run(finish_box(BoxId(1)))
    said = slotleaf("search", "log", jar, "32")
    assert "Box 32 is finished" in said.err
    said = slotleaf("search", "show", jar, "5")
    assert "There is no box 5. Boxes here: Cents to 1958 32." in said.err


def test_entries_come_from_standard_input_too_without_a_window(jar: Path, tmp_path: Path) -> None:
    begin(jar)
    said = process("search", "log", jar, "32", input="39d vf20\n/\n")
    assert (said.code, said.out) == (0, "Box 32: 1 kept, 0 counted, now at roll 2.\n")


def test_a_file_without_boxes_says_what_is_next(jar: Path) -> None:
    assert "Next: slotleaf search new" in slotleaf("search", "list", jar).out
    assert slotleaf("search", "list", jar, "--json").rows == []
