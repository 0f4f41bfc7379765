"""The sorting table and its forms as they are drawn for the contact sheets."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, timedelta
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog

from core.app.collection import Collection, make_collection
from core.app.compare import Tick
from core.app.counted import sighting_of
from core.app.finish_box import finish_box, finish_proposal, finish_task
from core.app.look_up import UseRule
from core.app.operations import add_album, stock_slots
from core.app.search_orders import (
    add_box,
    add_weighing,
    claim,
    count_seen,
    go_to_roll,
    keep_find,
    set_roll_coins,
    skip_roll,
)
from core.app.search_sets import add_container
from core.lookup.line import read_line
from core.model.album import Target
from core.model.arrangement import Arrangement
from core.model.grade import parse_grade
from core.model.issue import Description, Series, SeriesId
from core.model.label import coin_name
from core.model.plan_album import AlbumPlan
from core.model.search import (
    Box,
    BoxId,
    BoxKind,
    Campaign,
    CampaignId,
    Container,
    Search,
    SearchId,
    Sighting,
    Weighing,
)
from gui.search.dashboard_page import DashboardPage
from gui.search.workspace import SearchesWorkspace

if TYPE_CHECKING:
    from gui.app import Program
    from gui.search.closer_dialog import CloserDialog
    from tests.pictures_screens import Screens

CENTS = SeriesId("us-cent-lincoln")
DAY = date(2026, 11, 25)
GRADES = ("", " vf20", " f12", " vg8", " corroded")
LONG = "the branch by the old harbour, second counter"


def _album(collection: Collection) -> Campaign:
    plan = AlbumPlan(years=(1909, 1958), target=Target(20))
    made = collection.run(add_album("Cents 1909–1958", CENTS, plan, Arrangement())).made_album
    assert made is not None
    slots = [view.slot.id for view in collection.album_view(made).slots]
    for place, grade in ((0, "vg8"), (1, "vf30")):
        collection.run(stock_slots(slots[place::3], parse_grade(grade)))
    return Campaign(CampaignId(0), "Cents 1909–1958", made, "", 30, 75_000, 88, 140)


def _keep(collection: Collection, box: BoxId, roll: int, text: str) -> None:
    collection.run(go_to_roll(box, roll))
    answer = collection.look_up(text).readings[-1]
    collection.run(keep_find(box, answer.entry.coin, answer=str(answer.verdict), name=answer.name))


def _count(collection: Collection, box: BoxId, roll: int, text: str) -> None:
    collection.run(go_to_roll(box, roll))
    answer = collection.look_up(text).readings[-1]
    collection.run(count_seen(box, sighting_of(answer.entry, box), answer.name))


def _coin(place: int) -> str:
    """An invented coin of a place in the sitting; always the same one."""
    year = 1934 + place * 7 % 25
    return f"{year}{'d' if place % 2 else ''}{GRADES[place * 3 % len(GRADES)]}"


def make_searched(path: Path, boxes: int, rolls: int, at: int, finds: int) -> None:
    """A campaign of so many boxes before, and one half-way with so many finds."""
    make_collection(path, "Harbour Museum coin jar")
    with Collection.open(path) as collection:
        campaign, search = _album(collection), SearchId(0)
        for number in range(boxes + 1):
            begun = DAY - timedelta(days=9 * (boxes - number))
            kind = BoxKind.NEW if number == 1 else BoxKind.CIRCULATED
            box = Box(BoxId(0), search, 0, begun, "US 1c", rolls, 50, "north branch",
                      "machine wrapped", kind, rolls * 50, 150, "USD")  # fmt: skip
            if search:
                made = collection.run(add_box(box)).made_log
            else:
                under = Search(SearchId(0), CampaignId(0), "cents 2026", begun)
                made = collection.run(add_box(box, under, campaign)).made_log
                search = SearchId(made[1])
            is_last = number == boxes
            many, last = (finds, at) if is_last else (5 + number * 3 % 8, rolls)
            one = BoxId(made[-1])
            for place in range(many):
                _keep(collection, one, 1 + place * last // (many + 1), _coin(place + number))
            for place in range(max(3, many // 6)):
                text = ("5 x 1959", "1962 d", "2 x 1960")[place % 3]
                _count(collection, one, 1 + place * 5 % last, text)
            foreign = Sighting(0, one, 0, 0, counter="foreign", text="1962, Canada")
            collection.run(count_seen(one, foreign))
            collection.run(go_to_roll(one, last, 5400))
            if not is_last:
                moves = finish_proposal(finish_task(collection, one)).moves
                collection.run(finish_box(one, [move.pair for move in moves]))
        if not boxes:
            return
        collection.run(set_roll_coins(one, 5, 49))
        collection.run(skip_roll(one, at + 2))
        collection.run(claim(one, CENTS, None, 1939, "every coin dated up to 1939 is logged"))
        text = "235 ± 5, shared wear adds ± 20"
        collection.run(
            add_weighing(Weighing(0, one, 412, 1_173_600, CENTS, "copper", 235, 21, text))
        )
        for name, holds, eighths in (("Jam jar", 1200, 8), ("Red cup", 320, 3)):
            collection.run(add_container(Container(0, name, holds, eighths, "US 1c", 10)))


class Files:
    """The collections drawn, each made once."""

    def __init__(self, folder: Path) -> None:
        self.usual, self.many = folder / "searched.slotleaf", folder / "hundred.slotleaf"
        self.one = folder / "one-box.slotleaf"
        if not self.usual.exists():
            make_searched(self.usual, 9, 50, 23, 6)
        if not self.many.exists():
            make_searched(self.many, 3, 100, 61, 300)
        if not self.one.exists():
            make_searched(self.one, 0, 1, 1, 0)


def _table(program: "Program") -> SearchesWorkspace:
    program.window.duties.show_workspace("searches")
    return program.window.duties.make_searches()


TYPED = {
    "gap": "39d vf20",
    "upgrade": "1909 vdb vf30",
    "no-use": "1958 g4",
    "not-sought": "dime 1964",
    "ambiguous": "09",
    "command": "/37",
    "trouble": "1923 s s d",
    "unstruck": "1922",
    "completions": "55 d",
}


def searches(screens: "Screens") -> None:
    """The table with nothing, one and too much in it; every kind of answer; a campaign's page."""
    files = Files(screens.files)
    with screens.window(screens.empty) as program:
        _table(program)
        screens.save(program, "searches-nothing")
    with screens.window(files.one) as program:
        _table(program)
        screens.save(program, "searches-one")
    with screens.window(files.many) as program:
        table = _table(program)
        table.line.field.setText("1944 s xf40 cleaned")
        screens.save(program, "searches-much")
    with screens.window(files.usual) as program:
        table = _table(program)
        for name, text in TYPED.items():
            table.line.field.setText(text)
            screens.save(program, f"searches-{name}")
        table.line.field.clear()
        table.side.jar_rows.begin()
        screens.save(program, "searches-jars")
        table.to_line()
        table.line.field.setText("39d vf20")
        table.sitting.enter(True)
        screens.save(program, "searches-kept")
        program.desk.undo()
        table.act("page")
        screens.save(program, "searches-page")
        page = table.pages.currentWidget()
        assert isinstance(page, DashboardPage)
        down = page._scroll.verticalScrollBar()
        down.setValue(down.maximum())
        screens.save(program, "searches-page-trends")
        program.window.duties.show_workspace("albums")
        bar = program.window.duties.look_up
        bar.go()
        bar.field.setText("39d vf20")
        bar.field.textEdited.emit("39d vf20")
        screens.save(program, "look-up-bar")
        bar.field.setText("1914-d f12 @ 210 until 2026-12-31 at the spring show")
        screens.save(program, "look-up-offer")
        bar.leave()


def _compare(
    over: SearchesWorkspace, known: Sequence[Series], text: str, ticks: int = 0
) -> QDialog:
    """A coin compared, its first markers ticked; without a text one that may be anything."""
    from gui.search.compare import CompareDialog, subjects_of

    entry = read_line(text or "1972", known).entries[0]
    series = next(one for one in known if one.id == entry.series)
    coin = replace(entry.coin, varieties=() if not text else entry.coin.varieties)
    if not text:
        coin = replace(coin, description=Description(series.id))
    subjects = subjects_of(series, coin, entry.one_of, bool(entry.one_of))
    name = coin_name(series, replace(coin, varieties=())) if text else "a coin with a worn date"
    dialog = CompareDialog(over, name, series, coin, subjects)
    for row, tick in zip(dialog.table.rows[:ticks], ("-", "+", "?"), strict=False):
        row.ticked.emit({"-": Tick.NOT_SEEN, "+": Tick.SEEN}.get(tick, Tick.CANNOT_TELL))
    return dialog


def _closer_code(dialog: "CloserDialog") -> QDialog:
    """An own code that is none, told under its form."""
    assert dialog.list is not None
    first = dialog.list.entries[0]
    first.ask_code()
    assert first.code_form is not None
    first.code_form.field.setText("1943")
    first.code_form.give()
    return dialog


def search_forms(screens: "Screens") -> None:
    """The forms of the table."""
    from gui.search.box_form import Beside, BoxForm
    from gui.search.campaign_form import CampaignForm, SearchForm
    from gui.search.closer_dialog import CloserDialog
    from gui.search.small_forms import ClaimForm, EntryForm, RollForm, RuleForm, words_of
    from gui.search.tally_forms import DatesDialog, TalliesForm
    from gui.search.weigh_form import JarForm, WeighForm

    files = Files(screens.files)
    with screens.window(files.usual) as program:
        table = _table(program)
        shown = table.table
        assert shown is not None
        assert shown.box is not None
        assert shown.campaign is not None
        view, campaign = shown.box, shown.campaign
        boxes = tuple(line.box for line in campaign.boxes)
        find = view.finds[0]
        table.line.field.setText("72 ")
        looked = table.sitting.looked
        assert looked is not None
        answer = looked.readings[0]
        long = replace(view.box, came_from=LONG, wrapper=LONG, goes_to=LONG)
        made: dict[str, Callable[[], QDialog]] = {
            "box-new": lambda: BoxForm(table, Beside(campaign.searches, boxes, 40), None),
            "box-long": lambda: BoxForm(table, Beside(campaign.searches, boxes, 40), long),
            "campaign": lambda: CampaignForm(table, (), None),
            "search": lambda: SearchForm(table, view.search, shown.series),
            "roll": lambda: RollForm(table, view.rolls[4], 50),
            "entry": lambda: EntryForm(table, find, words_of(find), 50, 0, lambda _: None),  # type: ignore[arg-type,return-value]  # nothing is typed in a picture
            "claim": lambda: ClaimForm(table, view.box.id, shown.series, view.claims),
            "rule": lambda: RuleForm(table, UseRule(), ()),
            "tallies": lambda: TalliesForm(table, "US 1c", shown.tallies),
            "dates": lambda: DatesDialog(table, program.desk, view.box.id),
            "weigh": lambda: WeighForm(table, view.box.id, shown.series),
            "jars": lambda: JarForm(table, shown.containers, "US 1c"),
            "closer": lambda: CloserDialog(table, program.desk, answer),
            "closer-code": partial(_closer_code, CloserDialog(table, program.desk, answer)),
            "compare": lambda: _compare(table, shown.series, "72 ddo bent", ticks=2),
            "compare-one": lambda: _compare(table, shown.series, "46s"),
            "compare-dates": lambda: _compare(table, shown.series, "1970s", ticks=1),
            "compare-many": lambda: _compare(table, shown.series, "", ticks=3),
        }
        for name, make in made.items():
            dialog = make()
            if isinstance(dialog, WeighForm):
                dialog.coins.setValue(412)
                dialog.grams.setText("1173.6")
            if not dialog.testAttribute(Qt.WidgetAttribute.WA_Resized):
                dialog.adjustSize()
            screens.save(program, f"search-{name}", dialog)
            dialog.deleteLater()
