"""What is done with boxes, beside the line: asks by a form, then gives the order."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from core.app.look_up import Answer, Looked, UseRule
from core.app.search_views import BoxView, CampaignView, FindLine, SeenLine
from core.app.views import AlbumSummary
from core.lookup.line import OwnCodes, read_line
from core.model.album import AlbumId
from core.model.issue import Series
from core.model.search import Campaign, CampaignId, Search, SearchId, Tally
from core.search.containers import held_in
from core.search.packaging import packagings
from gui.desk import Desk
from gui.search.box_form import Beside, BoxForm
from gui.search.campaign_form import DELETE, CampaignForm, SearchForm
from gui.search.clock import clock_text, read_time
from gui.search.closer_dialog import CloserDialog
from gui.search.entries import EntryRow
from gui.search.jar_rows import level_text
from gui.search.reading import Table
from gui.search.small_forms import (
    ClaimForm,
    EntryAnswer,
    EntryForm,
    RollForm,
    RuleForm,
    edited_coin,
    words_of,
)
from gui.search.tally_forms import DatesDialog, TalliesForm, TallyMenu, tally_choices
from gui.search.weigh_form import JarForm, WeighForm
from gui.text_dialog import TextDialog

if TYPE_CHECKING:
    from core.app.changes import Changes
    from core.app.collection import Collection

Made = Callable[["Changes"], None]
GoalCoins = dict[AlbumId, str]
"""The denomination that the coins of an album are of."""
NO_SERIES = "No series of this collection may lie in the box. Name one in the search (Alt+S) first."


class Deeds(QObject):
    """Everything the table's menu and shelf ask for."""

    rule_chosen = Signal(object)
    """The UseRule from now on."""
    said = Signal(str)

    def __init__(self, desk: Desk, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk, self._over = desk, parent
        self._menu_over = parent

    # --- new ones

    def new_box(self, table: Table | None, campaign: CampaignId | None, then: Made) -> None:
        """A box of a campaign, or of the one in hand; without any, a campaign comes first."""
        if not self._may_change():
            return
        campaigns = table.campaigns if table else ()
        chosen = next((one for one in campaigns if one.campaign.id == campaign), None)
        if chosen is None and table is not None:
            chosen = table.campaign or (campaigns[-1] if campaigns else None)
        if chosen is None:
            self.new_campaign(then)
        else:
            self._ask_box(chosen, then)

    def _ask_box(self, view: CampaignView, then: Made) -> None:
        from core.app.search_orders import add_box

        boxes = tuple(line.box for line in view.boxes)
        number = max([view.campaign.opening_boxes, *(one.number for one in boxes)]) + 1
        answer = BoxForm.ask(self._over, Beside(view.searches, boxes, number))
        if answer is None:
            return
        search = None
        if answer.new_search:
            search = Search(SearchId(0), view.campaign.id, answer.new_search, answer.box.begun)
        self._desk.run(add_box(answer.box, search), then)

    def new_campaign(self, then: Made) -> None:
        """A campaign and its first box, in one entry."""
        if self._may_change():
            self._desk.ask(_shelf_and_coins, partial(self._on_shelf, then))

    def _on_shelf(
        self, then: Made, found: tuple[tuple[AlbumSummary, ...], tuple[str, ...], GoalCoins]
    ) -> None:
        from core.app.search_orders import add_box

        shelf, coins, goal_coins = found
        campaign = CampaignForm.ask(self._over, shelf)
        if not isinstance(campaign, Campaign):
            return
        first = (goal_coins[campaign.album],) if campaign.album in goal_coins else ()
        beside = Beside((), (), campaign.opening_boxes + 1, (*first, *coins))
        answer = BoxForm.ask(self._over, beside)
        if answer is None:
            return
        search = Search(SearchId(0), CampaignId(0), answer.new_search, answer.box.begun)
        self._desk.run(add_box(answer.box, search, campaign), then)

    def edit_campaign(self, view: CampaignView) -> None:
        """Correct a campaign, or delete one without boxes."""
        if self._may_change():
            self._desk.ask(_shelf_and_coins, partial(self._on_campaign, view))

    def _on_campaign(
        self,
        view: CampaignView,
        found: tuple[tuple[AlbumSummary, ...], tuple[str, ...], GoalCoins],
    ) -> None:
        from core.app.search_orders import delete_campaign, edit_campaign

        answer = CampaignForm.ask(self._over, found[0], view.campaign, not view.boxes)
        if answer == DELETE:
            self._desk.run(delete_campaign(view.campaign.id))
        elif isinstance(answer, Campaign):
            self._desk.run(edit_campaign(answer))

    # --- the box in hand

    def act(self, name: str, table: Table, looked: Looked | None, rule: UseRule) -> None:
        """Do what the menu names, to the box of a table."""
        view = table.box
        if view is None:
            return
        match name:
            case "dates":
                DatesDialog.ask(self._over, self._desk, view.box.id)
            case "rule":
                self._desk.ask(lambda c: c.shelf(), partial(self._on_rule, rule))
            case "tally":
                self._tally(table, looked)
            case _ if self._may_change():
                self._change(name, table, view)

    def _change(self, name: str, table: Table, view: BoxView) -> None:
        from core.app import search_orders as orders

        box = view.box
        match name:
            case "edit":
                self._edit_box(table, view)
            case "roll":
                self.edit_roll(view, box.at_roll)
            case "claims":
                self._claim(table, view)
            case "tallies":
                self._tallies(table)
            case "weigh":
                self._weigh(table, view)
            case "jars":
                self._jars(table, view)
            case "search":
                self._desk.ask(lambda c: tuple(c.all_series()), partial(self._on_search, table))
            case "time":
                self._set_time(view)
            case "again":
                self._desk.run(orders.reopen_box(box.id))
            case "delete":
                self._desk.run(
                    orders.delete_box(box.id),
                    lambda _changes: self.said.emit(
                        f"Box {box.number} is deleted; its coins stay as coins. Undo brings it "
                        "back."
                    ),
                )

    def _set_time(self, view: BoxView) -> None:
        from core.app.search_orders import set_time

        texts = TextDialog.ask(
            self._over,
            f"Time spent on box {view.box.number}",
            [("Time", clock_text(view.box.seconds).removesuffix(" h"))],
            "Set",
            "Hours and minutes, such as 1:05.",
            lambda typed: "" if read_time(typed[0]) is not None else "Write it as 1:05.",
        )
        seconds = read_time(texts[0]) if texts else None
        if seconds is not None:
            self._desk.run(set_time(view.box.id, seconds))

    def _edit_box(self, table: Table, view: BoxView) -> None:
        from core.app.search_orders import edit_box

        campaign = table.campaign
        if campaign is None:
            return
        boxes = tuple(line.box for line in campaign.boxes)
        beside = Beside(campaign.searches, boxes, view.box.number)
        answer = BoxForm.ask(self._over, beside, view.box)
        if answer is not None:
            self._desk.run(edit_box(answer.box))

    def edit_roll(self, view: BoxView, number: int) -> None:
        """Correct a roll of a box, counted in it from 1."""
        from core.app.search_orders import set_roll_coins, skip_roll

        if not self._may_change():
            return
        roll = view.rolls[number - 1]
        answer = RollForm.ask(self._over, roll, view.box.per_roll)
        if answer is None:
            return
        if answer.is_skipped != roll.is_skipped:
            self._desk.run(skip_roll(view.box.id, number, answer.is_skipped))
        if (answer.coins or view.box.per_roll) != roll.coins:
            self._desk.run(set_roll_coins(view.box.id, number, answer.coins))

    def _claim(self, table: Table, view: BoxView) -> None:
        from core.app.search_orders import claim, delete_claim, edit_claim

        if not table.series:
            self.said.emit(NO_SERIES)
            return
        answer = ClaimForm.ask(self._over, view.box.id, table.series, view.claims)
        if answer is None:
            return
        one, is_taken_back = answer
        if one.id:
            self._desk.run(delete_claim(one) if is_taken_back else edit_claim(one))
        elif not is_taken_back:
            self._desk.run(claim(one.box, one.series, one.from_, one.up_to, one.text))

    def _tallies(self, table: Table) -> None:
        from core.app.search_sets import set_tallies

        assert table.box is not None
        denomination = table.box.box.denomination
        answer = TalliesForm.ask(self._over, denomination, table.tallies)
        if answer is not None:
            self._desk.run(set_tallies(denomination, answer))

    def _tally(self, table: Table, looked: Looked | None) -> None:
        """A tally for what stands in the line."""
        from core.app.search_sets import add_tally

        choices = tally_choices(looked, table.series) if looked is not None else []
        if not choices:
            self.said.emit("Type a coin or a counter first; then Ctrl+T tallies it.")
            return
        if not self._may_change():
            return
        place = TallyMenu.ask(self._menu_over, [name for name, _ in choices])
        if place is not None and table.box is not None:
            name, rule = choices[place]
            self._desk.run(add_tally(Tally(0, table.box.box.denomination, name, rule)))

    def open_menu_at(self, widget: QWidget) -> None:
        """Where the choice of a tally opens: below this."""
        self._menu_over = widget

    def _weigh(self, table: Table, view: BoxView) -> None:
        from core.app.search_orders import add_weighing

        if not table.series:
            self.said.emit(NO_SERIES)
            return
        weighing = WeighForm.ask(self._over, view.box.id, table.series)
        if weighing is not None:
            self._desk.run(add_weighing(weighing))

    def set_level(self, table: Table, jar: int, eighths: int) -> None:
        """Set the level of a container (its id)."""
        from core.app.search_sets import edit_container

        one = next((one for one in table.containers if one.id == jar), None)
        if one is None or not self._may_change():
            return
        now = replace(one, eighths=eighths)
        told = f"{now.name}, {level_text(now)}: {held_in(now).text} coins. Undo: Ctrl+Z."
        self._desk.run(edit_container(now), lambda _changes: self.said.emit(told))

    def edit_jar(self, table: Table, view: BoxView, jar: int) -> None:
        """Open a container (its id)."""
        if self._may_change():
            self._jars(table, view, jar)

    def _jars(self, table: Table, view: BoxView, jar: int | None = None) -> None:
        from core.app.search_sets import add_container, delete_container, edit_container

        answer = JarForm.ask(self._over, table.containers, view.box.denomination, jar)
        if answer is None:
            return
        one = answer.container
        if answer.is_forgotten:
            self._desk.run(delete_container(one.id))
        else:
            self._desk.run(edit_container(one) if one.id else add_container(one))

    def _on_rule(self, rule: UseRule, shelf: tuple[AlbumSummary, ...]) -> None:
        answer = RuleForm.ask(self._over, rule, shelf)
        if answer is not None:
            self.rule_chosen.emit(answer)

    def _on_search(self, table: Table, series: tuple[Series, ...]) -> None:
        from core.app.search_orders import edit_search

        if table.box is None:
            return
        mine = {s.id for s in table.series}
        wraps = table.wraps
        shown = [s for s in series if s.id in mine or (wraps is not None and wraps.holds(s))]
        answer = SearchForm.ask(self._over, table.box.search, shown)
        if answer is not None:
            self._desk.run(edit_search(answer))

    # --- its entries

    def edit_entry(self, table: Table, row: EntryRow) -> None:
        """Edit a find or a sighting of the box in hand."""
        view = table.box
        if view is None or not self._may_change():
            return
        one = row.line.coin if isinstance(row.line, FindLine) else row.line.sighting
        if row.line.of and one.description is not None:  # read as what it is, which is not sought
            code = one.description.series
            self._desk.ask(lambda c: (c.series(code),), partial(self._on_entry, table, view, row))
        else:
            self._on_entry(table, view, row, table.series)

    def _on_entry(
        self, table: Table, view: BoxView, row: EntryRow, series: Sequence[Series]
    ) -> None:
        answer = EntryForm.ask(
            self._over,
            row.line,
            words_of(row.line),
            view.box.rolls,
            view.rolls[0].shown - 1,
            lambda text: read_line(text, series, (), None, table.counters),
        )
        if answer is None:
            return
        if isinstance(row.line, FindLine):
            self._edit_find(row.line, answer)
        else:
            self._edit_seen(row.line, answer)

    def _edit_find(self, line: FindLine, answer: EntryAnswer) -> None:
        from core.app.search_orders import edit_find

        find = replace(line.find, roll=answer.roll, is_ender=answer.is_ender)
        coin = edited_coin(line.coin, answer.entry) if answer.entry is not None else None
        self._desk.run(edit_find(find, coin))

    def _edit_seen(self, line: SeenLine, answer: EntryAnswer) -> None:
        from core.app.counted import sighting_of
        from core.app.search_orders import edit_sighting

        one = replace(
            line.sighting,
            roll=answer.roll,
            is_ender=answer.is_ender,
            quantity=answer.quantity,
            text=answer.text,
            counter=answer.counter or line.sighting.counter,
        )
        if answer.entry is not None:
            read = sighting_of(answer.entry, one.box)
            one = replace(
                one, description=read.description, variety=read.variety, looked=read.looked,
                text=answer.text or read.text,
            )  # fmt: skip
        self._desk.run(edit_sighting(one))

    def delete_entry(self, row: EntryRow) -> None:
        """Take an entry back; a find's coin goes with it."""
        from core.app.search_orders import remove_find, remove_sighting

        if not self._may_change():
            return
        if isinstance(row.line, FindLine):
            order = remove_find(row.line.find.id)
        else:
            order = remove_sighting(row.line.sighting.id)
        self._desk.run(
            order, lambda _changes: self.said.emit(f"{row.label} is taken back. Undo brings it in.")
        )

    def compare(self, line: FindLine) -> None:
        """Tick the markers of a coin that was kept, from the ticks it has."""
        if not self._may_change():
            return
        series = line.coin.description.series

        def question(collection: "Collection") -> tuple[Series, OwnCodes]:
            return collection.series(series), collection.look_up_index().codes

        self._desk.ask(question, lambda found: self._compare(line, *found))

    def _compare(self, line: FindLine, series: Series, codes: OwnCodes) -> None:
        from core.app.search_orders import edit_find
        from gui.search.compare import CompareDialog, subjects_again

        subjects = subjects_again(series, line.coin, codes)
        if not subjects:
            self.said.emit(f"Nothing is known that tells {line.label} apart.")
            return
        done = CompareDialog.ask(
            self._over, line.label, series, line.coin, subjects, "Save", may_count=False
        )
        if done is not None:
            self._desk.run(edit_find(line.find, done.coin))

    def look_closer(self, answer: Answer) -> None:
        """Show the markers of a coin."""
        CloserDialog.ask(self._over, self._desk, answer)

    def _may_change(self) -> bool:
        """Whether the collection can be changed; where not, the reason is shown."""
        if not self._desk.is_read_only:
            return True
        self._desk.failed.emit(f"Nothing was changed. {self._desk.read_only_reason}")
        return False


def _shelf_and_coins(
    collection: "Collection",
) -> tuple[tuple[AlbumSummary, ...], tuple[str, ...], GoalCoins]:
    """The albums, and which denominations the collection's series are of, first ones first.

    Then of each album the denomination of its (first) series, where it is known.
    """
    in_use = collection.series_in_use
    held = [one.key for one in packagings() if any(one.holds(series) for series in in_use)]
    shelf = collection.shelf()
    goal_coins = {
        one.album.id: wraps.key
        for one in shelf
        for wraps in packagings()[::-1]
        if wraps.holds(collection.series(one.album.series))
    }
    return shelf, tuple(held), goal_coins
