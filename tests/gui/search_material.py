"""A window at the sorting table: a campaign of nickels with one box, and the keys to work it."""

from dataclasses import replace
from datetime import date
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from core.app.collection import Collection, make_collection
from core.app.operations import add_album
from core.app.search_orders import add_box
from core.model.arrangement import Arrangement
from core.model.issue import SeriesId
from core.model.plan_album import AlbumPlan
from core.model.search import Box, BoxId, Campaign, CampaignId, Search, SearchId
from gui.search.workspace import SearchesWorkspace
from gui.work import Runs
from tests.gui.window_material import OpenWindow, open_window, small_collection

CENTS = SeriesId("us-cent-lincoln")
DAY = date(2026, 11, 25)
SHIFT, KEYPAD = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.KeypadModifier
NONE = Qt.KeyboardModifier.NoModifier


def begin_box(path: Path, rolls: int = 50, **more: object) -> Path:
    """The small collection with a campaign for its war nickels and box 32, of five rolls before."""
    small_collection(path)
    with Collection.open(path) as collection:
        album = collection.find_album("War").id
        campaign = Campaign(CampaignId(0), "War nickels", album, opening_boxes=31)
        search = Search(SearchId(0), CampaignId(0), "nickels 2026", DAY)
        box = Box(BoxId(0), SearchId(0), 0, DAY, "US 5c", rolls, 40, "north branch")
        collection.run(add_box(replace(box, **more), search, campaign))  # type: ignore[arg-type]  # fields of a box
    return path


def begin_cents(path: Path) -> Path:
    """An album of the cents of 1909 and 2009, all gaps, and a box of cents without a goal."""
    make_collection(path, "Cents")
    with Collection.open(path) as collection:
        for year in (1909, 2009):
            plan = AlbumPlan(years=(year, year))
            collection.run(add_album(f"Cents {year}", CENTS, plan, Arrangement()))
        box = Box(BoxId(0), SearchId(0), 0, DAY, "US 1c")
        search = Search(SearchId(0), CampaignId(0), "cents 2026", DAY)
        collection.run(add_box(box, search, Campaign(CampaignId(0), "Cents")))
    return path


class AtTable:
    """The workspace with its line, by keys."""

    def __init__(self, window: OpenWindow) -> None:
        self.window = window
        window.duties.show_workspace("searches")
        self.space: SearchesWorkspace = window.duties.make_searches()
        self.keys = 0
        self.space.to_line()

    def type(self, text: str, held: Qt.KeyboardModifier = NONE) -> None:
        """Press these keys into whatever has the focus of the line."""
        for letter in text:
            QTest.keyClicks(self.space.line.field, letter, held)
            self.keys += 1

    def press(self, key: Qt.Key, held: Qt.KeyboardModifier = NONE) -> None:
        """Press one key in the line."""
        QTest.keyClick(self.space.line.field, key, held)
        self.keys += 1

    def keep(self, text: str) -> None:
        """Type a coin and keep it."""
        self.type(text)
        self.press(Qt.Key.Key_Return)

    def count(self, text: str) -> None:
        """Type a coin and count it."""
        self.type(text)
        self.press(Qt.Key.Key_Return, SHIFT)

    @property
    def box(self) -> Box:
        """The box in hand, as it is shown."""
        table = self.space.table
        assert table is not None
        assert table.box is not None
        return table.box.box

    @property
    def kept(self) -> list[tuple[int, str, str]]:
        """Roll, label and verdict of each find, in order."""
        table = self.space.table
        assert table is not None
        assert table.box is not None
        return [(f.roll, f.label, f.answer) for f in table.box.finds]

    @property
    def seen(self) -> list[tuple[int, str, str]]:
        """Roll, label and note of each sighting, in order."""
        table = self.space.table
        assert table is not None
        assert table.box is not None
        return [(s.roll, s.label, s.text) for s in table.box.sightings]


def table_window(
    app: QApplication, folder: Path, path: Path, runner: Runs | None = None
) -> AtTable:
    """A window on a collection, at the table."""
    return AtTable(open_window(app, folder, path, runner))
