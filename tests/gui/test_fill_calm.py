"""Fill on one linked group of 3,000 slots: the window stays live, and stops it when asked.

Pauses of the main thread are taken twice: its own processor time, below 100 ms whatever else the
machine does, and by the clock, far below the seconds for which a solver that kept the interpreter
to itself would stop the window.
"""

from collections.abc import Iterator, Sequence
from pathlib import Path
from time import monotonic

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from core.app.changes import Changes
from core.app.collection import Collection, make_collection
from core.app.operations import Context, Operation, add_coins, edit_coins, set_target
from core.model.album import Album, AlbumId, SlotId, Target
from core.model.arrangement import parse_arrangement
from core.model.coin import CoinId
from core.model.grade import parse_grade
from core.model.issue import SeriesId
from core.store.unit import Unit
from gui.fill.lines import FillTask, read_task
from gui.fill.panel import FillPanel
from gui.work import Runner
from scenarios.big_collection import a_series
from tests.gui.desk_material import a_desk, an_album, collection_of, with_coins
from tests.gui.test_fill_panel import COINS, WatchedPanel, nickel, started
from tests.gui.test_window_calm import MOST_S, Beat
from tests.gui.window_material import OpenWindow, close_window, open_window
from tests.planted_fill import planted

COUNT = 3_000
MOST_WAIT_S = 0.8


def _counted_reads(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """A line for each time the panel reads the whole task."""
    reads: list[str] = []

    def read(collection: Collection, albums: Sequence[AlbumId], is_uncapped: bool) -> FillTask:
        reads.append("read")
        return read_task(collection, albums, is_uncapped)

    monkeypatch.setattr("gui.fill.panel.read_task", read)
    return reads


class ClockBeat:
    """As `Beat`, by the clock."""

    def __init__(self) -> None:
        self.longest = 0.0
        self._last = monotonic()
        self._timer = QTimer()
        self._timer.setInterval(0)
        self._timer.timeout.connect(self._on_beat)
        self._timer.start()

    def _on_beat(self) -> None:
        now = monotonic()
        self.longest = max(self.longest, now - self._last)
        self._last = now

    def stop(self) -> None:
        self._timer.stop()


def planted_collection(path: Path) -> tuple[Path, dict[SlotId, CoinId]]:
    """The planted group as a file, and the one assignment that fills it."""
    given, best = planted(COUNT)
    stock = a_series("harbour-penny", "Harbour pennies", "penny", COUNT, {"P": ""})

    def work(unit: Unit, _context: Context) -> Changes:
        unit.add_series(SeriesId(stock.code), stock.title, stock.toml, stock.csv)
        running = parse_arrangement("running:10x10")
        album = Album(AlbumId(0), "One for all", stock.code, 0, arrangement=running)
        assert unit.add_album(album) == given.albums[0]
        assert unit.add_slots(given.slots) == [slot.id for slot in given.slots]
        assert unit.add_coins(given.coins) == [coin.id for coin in given.coins]
        return Changes.everything()

    make_collection(path, "Planted")
    with Collection.open(path) as collection:
        collection.run(Operation("plant", work))
    return path, best


@pytest.fixture
def window(qapp: QApplication, tmp_path: Path) -> Iterator[OpenWindow]:
    """A window with real threads on the planted group."""
    unexpected: list[Exception] = []
    path, _ = planted_collection(tmp_path / "planted.slotleaf")
    opened = open_window(qapp, tmp_path, path, Runner(unexpected.append))
    until = monotonic() + 60
    while opened.albums.centre.view is None and monotonic() < until:
        qapp.processEvents()
    yield opened
    close_window(opened)
    assert unexpected == []


def _until(app: QApplication, is_so, seconds: float = 120.0) -> float:
    """Turn the event loop until something is so; how long it took."""
    start = monotonic()
    while not is_so():
        assert monotonic() - start < seconds
        app.processEvents()
    return monotonic() - start


def _panel(window: OpenWindow) -> FillPanel:
    panel = window.albums._fill_panel
    assert panel is not None
    return panel


def test_the_window_is_live_while_3000_linked_slots_are_filled(
    window: OpenWindow, qapp: QApplication
) -> None:
    _, best = planted(COUNT)
    beat, clock = Beat(), ClockBeat()
    window.duties.actions["fill"].trigger()
    panel = _panel(window)
    _until(qapp, lambda: panel._proposal is not None)
    _until(qapp, lambda: panel._job is None or panel._job.is_done)
    beat.stop()
    clock.stop()
    assert panel._proposal is not None
    assert panel._proposal.after == best
    assert beat.longest < MOST_S
    assert clock.longest < MOST_WAIT_S
    # A line far down is taken off: the rest is solved again, and the list stays where it was.
    line = panel.model.lines[2_500]
    panel.list.setCurrentIndex(panel.model.index(2_500))
    panel._on_tick(2_500)
    _until(qapp, lambda: panel._job is None or panel._job.is_done)
    _until(qapp, lambda: not panel.model.lines[2_500].is_ticked)
    assert panel.model.lines[panel.list.currentIndex().row()].pair == line.pair
    seen = panel.list.visualRect(panel.list.currentIndex())
    assert panel.list.viewport().rect().contains(seen)


def test_cancelled_in_the_midst_it_stops_within_a_second_and_nothing_has_changed(
    window: OpenWindow, qapp: QApplication
) -> None:
    collection = window.desk._collection
    assert collection is not None
    before = collection.content_hash()
    window.duties.actions["fill"].trigger()
    panel = _panel(window)
    _until(qapp, lambda: panel._bar.value() >= 500)  # the group is being solved
    start = monotonic()
    panel._stop.click()
    assert not panel.is_on
    assert monotonic() - start < 0.5
    runner = window.desk.runner
    assert isinstance(runner, Runner)
    _until(qapp, lambda: runner._for_drawing.activeThreadCount() == 0)
    assert monotonic() - start < 1.5
    qapp.processEvents()
    assert panel._proposal is None
    assert collection.content_hash() == before
    assert window.desk.undo_label == "plant"


# ---- after an edit ----------------------------------------------------------------------------


def _told(panel: FillPanel) -> list[tuple[str, str, str, bool]]:
    return [(line.title, line.coin, line.reason, line.is_ticked) for line in panel.model.lines]


def test_an_edited_coin_is_taken_up_without_reading_all_anew(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = a_desk(tmp_path)
    an_album(desk, target=Target(20))
    with_coins(desk, [nickel(*row) for row in COINS])
    panel = started(qtbot, desk)
    reads = _counted_reads(monkeypatch)
    worse = collection_of(desk).coin(CoinId(3))
    better = collection_of(desk).coin(CoinId(2))
    edited = [
        type(worse)(worse.id, worse.description, parse_grade("ag3")),
        type(better)(better.id, better.description, parse_grade("ms63")),
    ]
    before = _told(panel)
    desk.run(edit_coins(edited))
    assert reads == []
    assert _told(panel) != before
    assert any("no. 2" in coin and "MS-63" in coin for _, coin, _, _ in _told(panel))
    desk.run(add_coins([nickel("1939", "D", "vf20")]))
    assert reads == []
    assert any(title == "1939-D" for title, *_ in _told(panel))
    panel._on_tick(0)
    ticked = _told(panel)
    assert _fresh_without(qtbot, desk, panel) == ticked


def _fresh_without(qtbot: QtBot, desk, panel: FillPanel) -> list[tuple[str, str, str, bool]]:
    """What a panel says that begins anew, with the same line taken off."""
    fresh: WatchedPanel = started(qtbot, desk)
    fresh._on_tick(0)
    told = _told(fresh)
    fresh.leave()
    return told


def test_a_slot_that_changed_is_read_anew(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = a_desk(tmp_path)
    an_album(desk, target=Target(20))
    with_coins(desk, [nickel(*row) for row in COINS])
    panel = started(qtbot, desk)
    reads = _counted_reads(monkeypatch)
    slots = [v.slot.id for v in collection_of(desk).album_view(AlbumId(1)).slots]
    desk.run(set_target(slots, None))
    assert len(reads) == 1
    assert panel.model.lines
