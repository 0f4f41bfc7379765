"""What a box came to in the albums, against a sheet kept by hand; the same in every place."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import NamedTuple

import pypdfium2
import pytest

from core.app.box_report import ReportKind, box_report, report_file
from core.app.box_slots import Stays, slot_steps
from core.app.collection import Collection
from core.app.finish_box import finish_box, finish_proposal, finish_task
from core.app.operations import clear_slots, delete_album, place_coin, set_target
from core.app.search_orders import add_box, edit_box, go_to_roll, reopen_box
from core.model.album import Placement, SlotId, parse_target
from core.model.coin import CoinId
from core.model.search import BoxId, Tally, TallyRule
from core.search.facts import FILLS, UPGRADES
from core.search.tally import Tallier, tally_lines
from gui.search.dashboard_reading import per_slot_text, read_page, so_far_text
from tests.cli_material import slotleaf
from tests.collection_material import (
    Clock,
    a_box,
    a_collection,
    an_album,
    differences,
    fresh,
    keep,
    slot,
    with_coins,
)

ONE = BoxId(1)
DAY = date(2026, 3, 2)


class Line(NamedTuple):
    """A find on the sheet: what was said at the table, what came of it, slot by slot."""

    entry: str
    answer: str
    came: tuple[str, ...]


SHEET = (
    Line("1941 vf20", FILLS, (FILLS,)),
    Line("1941 f12", FILLS, ("Spare",)),  # for the same gap
    Line("1942 vf30", FILLS, ("Spare",)),  # its line is taken off in Finish
    Line("1940 vf20", UPGRADES, (UPGRADES, FILLS)),  # 1940 F-12 goes on into the other album
    Line("1943-D vf20", UPGRADES, ("Spare",)),  # taken off too; F-12 stays
    Line("1959 vf20", "Not sought", ("Not sought",)),
)
"""The box: Nickels has 1940 and 1943-D F-12, else gaps; Lower has one slot, 1940, a gap."""
BY_ANSWERS = 3, 2
IN_ALBUMS = 2, 1
FEES, SECONDS = 900, 3 * 3600


class Figures(NamedTuple):
    """Slots filled and bettered, as one place tells them, and whether it says “so far”."""

    filled: int
    bettered: int | None
    is_so_far: bool | None = None


@pytest.fixture
def clock() -> Clock:
    return Clock(DAY)


@pytest.fixture
def jar(tmp_path: Path, clock: Clock) -> Iterator[Collection]:
    """The box with its six finds, all searched and open still."""
    with a_collection(tmp_path, clock) as collection:
        an_album(collection)
        an_album(collection, "Lower", years=(1940, 1940), mints=("P",), target="")
        for label in ("1940", "1943-D"):
            (old,) = with_coins(collection, f"{label} f12")
            collection.run(place_coin(old, slot(collection, label)))
        clock.day += timedelta(days=7)
        a_box(collection, fees_minor=FEES, currency="USD", seconds=SECONDS)
        for line in SHEET:
            keep(collection, ONE, line.entry, answer=line.answer)
        collection.run(go_to_roll(ONE, 10))
        yield collection


def finish(collection: Collection, *off: str) -> None:
    """Finish the box by its proposal, less the lines of these slots."""
    task = finish_task(collection, ONE)
    labels = {one.id: one.label for one in task.given.slots}
    moves = finish_proposal(task).moves
    pairs = [move.pair for move in moves if labels[move.slot] not in off]
    assert len(pairs) == len(moves) - len(off)
    collection.run(finish_box(ONE, pairs))


def finds(collection: Collection) -> list[CoinId]:
    return [line.coin.id for line in collection.log.box_view(ONE).finds]


def every_place(collection: Collection) -> dict[str, Figures]:
    """Slots filled and bettered wherever they are told."""
    told: dict[str, Figures] = {}
    view = collection.log.box_view(ONE)
    facts = view.facts
    told["facts"] = Figures(facts.slots_filled, facts.slots_bettered, not facts.is_done)
    (line,) = (one for one in collection.log.campaigns()[0].boxes if one.box.id == ONE)
    told["list of boxes"] = Figures(line.slots, line.bettered)
    tallies = collection.log.tallies("US 5c")
    tallier = Tallier({one.id: one for one in collection.series_in_use})
    lines = {
        one.name: one for one in tally_lines(tallier, tallies, facts, collection.log.all_facts())
    }
    filled, bettered = lines["Slots filled"], lines["Upgrades"]
    assert filled.is_so_far == bettered.is_so_far
    told["tallies"] = Figures(filled.now, bettered.now, filled.is_so_far)
    page = read_page(collection, view.campaign.id)
    row = page.board.whole
    rates = {rate.name: rate for rate in row.rates}
    so_far = bool(so_far_text(page.board))
    told["a box on average"] = Figures(row.slots.count, rates["Upgrades"].count, so_far)
    (cost,), hours = page.board.cost_per_slot, page.board.hours_per_slot
    assert hours is not None
    assert (cost.spent, hours.spent) == (FEES, SECONDS / 3600)
    told["cost of a slot"] = Figures(cost.slots, None, so_far)
    told["hours of a slot"] = Figures(hours.slots, None, so_far)
    shown = {one.name: one for one in page.series}
    bars = {name: shown[name].boxes[0] for name in ("Slots filled", "Upgrades")}
    is_told = "so far" in shown["Slots filled"].count_text(bars["Slots filled"])
    told["picture"] = Figures(bars["Slots filled"].count, bars["Upgrades"].count, is_told)
    told |= report_places(collection)
    (listed,) = slotleaf("search", "list", collection.path, "--json").rows
    by = listed["slots_by"]
    told["search list"] = Figures(listed["slots"], listed["upgrades"], by == "answers so far")
    head = slotleaf("search", "show", collection.path, "32").lines[1]
    found = re.search(r"(so far by the answers: )?(\d+) slots? filled, (\d+) bettered", head)
    assert found, head
    told["search show"] = Figures(int(found[2]), int(found[3]), bool(found[1]))
    output = collection.path.parent / "report.md"
    output.unlink(missing_ok=True)
    said = slotleaf("search", "report", collection.path, "32", "-o", output)
    told["search report"] = summed(said.out)
    assert output.read_text("utf-8") == report_file(
        box_report(collection, ONE), ReportKind.MARKDOWN
    ).decode("utf-8")
    return told


def summed(text: str) -> Figures:
    """3 slots filled and 1 slot bettered, from …"""
    found = re.search(
        r"(so far by the answers: )?(\d+) slots? filled and (\d+) slots? bet", text, re.IGNORECASE
    )
    assert found, text
    return Figures(int(found[2]), int(found[3]), bool(found[1]))


def report_places(collection: Collection) -> dict[str, Figures]:
    """What the report tells, in its summary and its tallies, in both kinds of text."""
    report = box_report(collection, ONE)
    markdown = report_file(report, ReportKind.MARKDOWN).decode("utf-8")
    told = {"report": summed(report.summary), "Markdown": summed(markdown)}
    document = pypdfium2.PdfDocument(report_file(report, ReportKind.PDF))
    text = " ".join(page.get_textpage().get_text_bounded() for page in document)
    told["PDF"] = summed(" ".join(text.split()))
    rows = [
        re.search(rf"^\| {name}( \\\*)? \| (\d+) ", markdown, re.MULTILINE)
        for name in ("Slots filled", "Upgrades")
    ]
    assert rows[0], markdown
    assert rows[1], markdown
    is_starred = bool(rows[0][1])
    assert bool(rows[1][1]) == is_starred
    assert ("\\* so far by the answers" in markdown) == is_starred
    told["tallies of the report"] = Figures(int(rows[0][2]), int(rows[1][2]), is_starred)
    return told


def unlike(told: dict[str, Figures], filled: int, bettered: int, is_so_far: bool) -> dict:
    """The places that tell other figures than these."""
    return {
        place: one
        for place, one in told.items()
        if one.filled != filled
        or one.bettered not in (None, bettered)
        or one.is_so_far not in (None, is_so_far)
    }


def figures(collection: Collection, box: BoxId = ONE) -> tuple[int, int]:
    facts = collection.log.facts(box)
    return facts.slots_filled, facts.slots_bettered


def test_every_place_tells_what_the_sheet_has_and_undo_puts_all_back(jar: Collection) -> None:
    assert unlike(every_place(jar), *BY_ANSWERS, True) == {}
    finish(jar, "1942", "1943-D")
    assert [one.came for one in jar.log.facts(ONE).finds] == [line.came for line in SHEET]
    told = every_place(jar)
    assert (len(told), unlike(told, *IN_ALBUMS, False)) == (14, {})
    words = {(a.name, one.label): one.words for a in box_report(jar, ONE).albums for one in a.lines}
    assert words == {
        ("Nickels", "1940"): "better",
        ("Nickels", "1941"): "new",
        ("Lower", "1940"): "new",
    }
    page = read_page(jar, jar.log.campaigns()[0].campaign.id)
    (cost,), hours = page.board.cost_per_slot, page.board.hours_per_slot
    assert hours is not None
    assert per_slot_text(cost)[1].startswith("4.50 ")  # 9.00 for two slots
    assert per_slot_text(hours)[1].startswith("1.5 ")
    jar.undo()
    assert unlike(every_place(jar), *BY_ANSWERS, True) == {}
    jar.redo()
    assert unlike(every_place(jar), *IN_ALBUMS, False) == {}
    jar.run(reopen_box(ONE))
    assert unlike(every_place(jar), *BY_ANSWERS, True) == {}


def test_what_became_of_it_later(jar: Collection, clock: Clock) -> None:
    finish(jar, "1942", "1943-D")
    first, _, refused, _, _, _ = finds(jar)
    clock.day += timedelta(days=30)
    later: list[tuple[str, tuple[int, int]]] = []

    def then(what: str) -> None:
        later.append((what, figures(jar)))
        with fresh(jar) as again:
            assert differences(jar, again) == [], what

    jar.run(place_coin(refused, slot(jar, "1942")))
    then("a spare of the box is put into a gap by hand")
    jar.run(clear_slots([slot(jar, "1941")]))
    then("a slot it filled is emptied")
    jar.run(place_coin(first, slot(jar, "1941")))
    then("the same coin comes back")
    (bought,) = with_coins(jar, "1941 ms60")
    jar.run(place_coin(bought, slot(jar, "1941")))
    then("a coin from elsewhere takes the slot")
    jar.run(set_target([slot(jar, "1940")], parse_target("g4")))
    then("a lower target: both 1940 meet it now, no longer better")
    jar.undo()
    lower = next(one.id for one in jar.albums() if one.name == "Lower")
    jar.run(delete_album(lower))
    then("the other album is deleted")
    jar.undo()
    then("and put back")
    assert later == [
        ("a spare of the box is put into a gap by hand", (3, 1)),
        ("a slot it filled is emptied", (3, 1)),
        ("the same coin comes back", (3, 1)),
        ("a coin from elsewhere takes the slot", (3, 1)),
        ("a lower target: both 1940 meet it now, no longer better", (3, 0)),
        ("the other album is deleted", (2, 1)),
        ("and put back", (3, 1)),
    ]


def test_no_slot_is_filled_by_two_boxes(jar: Collection, clock: Clock) -> None:
    """A later box betters a slot of the first, whose coin goes on into a gap of a third album."""
    jar.run(set_target([slot(jar, "1941")], None))
    finish(jar, "1942", "1943-D")
    an_album(jar, "Third", years=(1941, 1941), mints=("P",), target="")
    clock.day += timedelta(days=3)
    box = replace(jar.log.box(ONE), number=0, is_done=False, begun=clock.day)
    two = BoxId(jar.run(add_box(box)).made_log[-1])
    (found,) = keep(jar, two, "1941 ms60", answer=UPGRADES)
    pairs = [(slot(jar, "1941"), found), (slot(jar, "1941", "Third"), finds(jar)[0])]
    jar.run(finish_box(two, pairs))
    told = [(a.name, one.words) for a in box_report(jar, two).albums for one in a.lines]
    assert told == [("Nickels", "better"), ("Third", "new")]
    assert (figures(jar), figures(jar, two)) == (IN_ALBUMS, (1, 1))
    have = sum(jar.album_view(album.id).headline.have for album in jar.albums())
    assert have == 2 + figures(jar)[0] + figures(jar, two)[0]


def test_where_any_coin_goes_that_made_way_is_told_at_once(jar: Collection, clock: Clock) -> None:
    """A coin from elsewhere lay between two finds of one slot, and goes on by hand that day."""
    jar.run(set_target([slot(jar, "1941")], None))
    an_album(jar, "Third", years=(1941, 1941), mints=("P",), target="")
    jar.run(finish_box(ONE, []))
    fine, worn, *_ = finds(jar)
    (bought,) = with_coins(jar, "1941 vg8")
    for coin in (worn, bought, fine):
        jar.run(place_coin(coin, slot(jar, "1941")))
        clock.day += timedelta(days=3)
    clock.day -= timedelta(days=3)
    assert figures(jar) == (1, 0)
    jar.run(place_coin(bought, slot(jar, "1941", "Third")))
    assert figures(jar) == (2, 0)
    with fresh(jar) as again:
        assert differences(jar, again) == []


def test_finds_of_a_box_that_move_each_other_fill_what_they_left_filled() -> None:
    day = date(2026, 3, 2)
    later = day + timedelta(days=2)
    upper, lower, none = SlotId(1), SlotId(2), None
    one, two = CoinId(7), CoinId(8)
    stays = [  # `one` by hand into a gap; two days later `two` takes it and `one` goes on
        Placement(1, upper, one, day, later),
        Placement(2, upper, two, later),
        Placement(3, lower, one, later),
    ]
    steps = slot_steps([one, two], Stays.among(stays))
    told = {at: (step.before, step.after, step.find) for at, step in steps.items()}
    assert told == {upper: (none, two, two), lower: (none, one, one)}
    assert {at: step.find for at, step in slot_steps([two], Stays.among(stays)).items()} == {
        upper: two, lower: two,
    }  # fmt: skip


def test_a_rule_counts_what_came_of_a_find_with_its_facets(jar: Collection) -> None:
    finish(jar, "1942", "1943-D")
    tallier = Tallier({one.id: one for one in jar.series_in_use})
    facts = jar.log.facts(ONE)

    def count(*verdicts: str, **years: int) -> int:
        return tallier.in_box(TallyRule.of(verdicts=verdicts, **years), facts)  # type: ignore[arg-type]  # years by name

    assert count(FILLS, to_year=1940, from_year=1940) == 1  # the slot of the coin it freed
    assert (count(FILLS, UPGRADES), count("Spare"), count("Not sought")) == (3, 3, 1)


def test_usual_and_records_are_of_what_came_and_an_open_box_says_so_far(jar: Collection) -> None:
    def records() -> tuple[str, ...]:
        return tuple(text for text in box_report(jar, BoxId(2)).records if "Slots filled" in text)

    finish(jar, "1942", "1943-D")
    box = replace(jar.log.box(ONE), number=0, is_done=False)
    for _ in range(2):
        jar.run(finish_box(BoxId(jar.run(add_box(box)).made_log[-1])))
    last = BoxId(jar.run(add_box(box)).made_log[-1])
    tallier = Tallier({one.id: one for one in jar.series_in_use})
    tally: Tally = next(t for t in jar.log.tallies("US 5c") if t.name == "Slots filled")
    keep(jar, last, "1943-S vf20", answer=FILLS)
    (line,) = tally_lines(tallier, [tally], jar.log.facts(last), jar.log.all_facts())
    assert (line.now, line.is_so_far, line.count_of_boxes) == (1, True, 3)
    assert line.usual == pytest.approx(IN_ALBUMS[0] / 3)  # two, none and none
    for _ in range(2):
        keep(jar, last, "1943-S vf20", answer=FILLS)
    most = [t for t in box_report(jar, last).records if t.startswith("Most in a box, Slots")]
    assert most == ["Most in a box, Slots filled: 3 in box 35, so far by the answers"]
    task = finish_task(jar, last)
    jar.run(finish_box(last, [move.pair for move in finish_proposal(task).moves]))
    most = [t for t in box_report(jar, last).records if t.startswith("Most in a box, Slots")]
    assert (figures(jar, last), most) == ((1, 0), [])


def test_editing_a_finished_box_keeps_its_figures(jar: Collection) -> None:
    finish(jar, "1942", "1943-D")
    jar.run(edit_box(replace(jar.log.box(ONE), wrapper="paper")))
    assert figures(jar) == IN_ALBUMS
