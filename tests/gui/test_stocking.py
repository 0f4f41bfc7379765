"""Stocking an album: keys and clicks on the leaf, written behind them as one run."""

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot

from core.app.changes import Changes
from core.app.operations import order_coin
from core.app.views import AlbumView
from core.app.work import Progress
from core.glyph.codes import GlyphCode
from core.glyph.palette import LIGHT
from core.model.album import AlbumId, SlotId
from core.model.coin import Origin
from core.model.grade import parse_grade
from core.model.state import SlotState
from gui.album.stock_run import stock_coin
from gui.album.stocking import StockingMode
from gui.desk import Desk
from gui.leaf.view import LeafView
from gui.work import Failed, InlineRunner, Job, T, Told
from tests.gui.desk_material import a_desk, an_album, collection_of

Key = Qt.Key


class Bench:
    """A leaf that reads its album anew after each change, as the workspace does."""

    def __init__(self, qtbot: QtBot, desk: Desk, album: AlbumId) -> None:
        self.qtbot, self.desk, self.album = qtbot, desk, album
        self.leaf = LeafView()
        qtbot.addWidget(self.leaf)
        self.leaf.resize(900, 700)
        self.mode = StockingMode(desk, self.leaf)
        qtbot.addWidget(self.mode.band)
        desk.changed.connect(self.read)
        self.view = self._fresh()
        self.leaf.show_plan(self.view.plan, LIGHT)
        self.leaf.show()

    def _fresh(self) -> AlbumView:
        return collection_of(self.desk).album_view(self.album)

    def read(self, _changes: Changes) -> None:
        self.desk.ask(lambda collection: collection.album_view(self.album), self._show)

    def _show(self, view: AlbumView) -> None:
        self.view = view
        self.mode.adopt(view)
        self.leaf.show_plan(view.plan, LIGHT)

    def start(self) -> None:
        self.mode.start(self.view)

    def keys(self, *keys: Key | str) -> None:
        for key in keys:
            if isinstance(key, str):
                self.qtbot.keyClicks(self.leaf, key)
            else:
                self.qtbot.keyClick(self.leaf, key)

    def slot(self, label: str) -> SlotId:
        return next(v.slot.id for v in self.view.slots if v.slot.label == label)

    def held(self) -> dict[str, str]:
        """Label to grade of every filled slot, as the file holds it."""
        return {
            v.slot.label: v.coin.grade.text if v.coin.grade else "-"
            for v in self._fresh().slots
            if v.coin is not None
        }

    def drawn(self, label: str) -> int:
        plan = self.leaf._plan
        return plan.codes[plan.cell_of_slot(self.slot(label))]


@pytest.fixture
def bench(qtbot: QtBot, tmp_path: Path) -> Bench:
    desk = a_desk(tmp_path)
    return Bench(qtbot, desk, an_album(desk))


def test_space_puts_a_coin_of_the_slot_in_and_moves_on(bench: Bench) -> None:
    bench.start()
    bench.keys(Key.Key_Space, Key.Key_Space, Key.Key_Space, Key.Key_Space)
    assert bench.held() == {"1938": "-", "1938-D": "-", "1938-S": "-", "1939": "-"}
    assert bench.leaf.current_slot() == bench.slot("1939-D")
    coin = bench.view.by_id[bench.slot("1938-D")].coin
    assert coin is not None
    assert coin.description == bench.view.by_id[bench.slot("1938-D")].slot.accepts
    assert coin.origin is Origin.ALREADY_OWNED


def test_a_click_stocks_the_slot_it_meets(bench: Bench, qtbot: QtBot) -> None:
    bench.start()
    where = bench.leaf.slot_rect(bench.slot("1940-D")).center()
    qtbot.mouseClick(bench.leaf.viewport(), Qt.MouseButton.LeftButton, pos=where)
    assert bench.held() == {"1940-D": "-"}
    assert bench.leaf.current_slot() == bench.slot("1940-S")
    qtbot.mouseClick(bench.leaf.viewport(), Qt.MouseButton.LeftButton, pos=where)
    assert bench.held() == {"1940-D": "-"}


def test_a_grade_holds_until_another_is_typed(bench: Bench) -> None:
    bench.start()
    bench.keys("vf20", Key.Key_Space, Key.Key_Space, "au", Key.Key_Space, "-", Key.Key_Space)
    held = bench.held()
    assert [held[s] for s in ("1938", "1938-D", "1938-S", "1939")] == ["VF-20", "VF-20", "AU", "-"]


def test_digits_jump_to_a_date(bench: Bench) -> None:
    bench.start()
    bench.keys("1950d", Key.Key_Space)
    assert bench.held() == {"1950-D": "-"}
    bench.keys("46", Key.Key_Space)
    assert set(bench.held()) == {"1950-D", "1946"}


def test_a_question_mark_marks_the_next_coin_only(bench: Bench) -> None:
    bench.start()
    bench.keys("?", Key.Key_Space, Key.Key_Space)
    states = [bench.view.by_id[bench.slot(s)].state for s in ("1938", "1938-D")]
    assert states == [SlotState.TO_VERIFY, SlotState.FILLED]


def test_shift_space_stocks_the_row(bench: Bench, qtbot: QtBot) -> None:
    bench.start()
    bench.keys("1941", "d", Key.Key_Space)
    qtbot.keyClick(bench.leaf, Key.Key_Space, Qt.KeyboardModifier.ShiftModifier)
    assert set(bench.held()) == {"1941", "1941-D", "1941-S"}


def test_a_selected_rectangle_is_stocked_at_once(bench: Bench) -> None:
    bench.start()
    a = bench.leaf.slot_rect(bench.slot("1938")).center()
    b = bench.leaf.slot_rect(bench.slot("1939-D")).center()
    press, release, move = bench.qtbot.mousePress, bench.qtbot.mouseRelease, bench.qtbot.mouseMove
    left, start = Qt.MouseButton.LeftButton, a - QPoint(60, 45)
    assert bench.leaf._cell_at(start) < 0
    press(bench.leaf.viewport(), left, pos=start)
    move(bench.leaf.viewport(), b)
    release(bench.leaf.viewport(), left, pos=b)
    assert len(bench.leaf.selected_slots()) == 4
    bench.keys(Key.Key_Space)
    assert set(bench.held()) == {"1938", "1938-D", "1939", "1939-D"}


def test_backspace_takes_back_the_last_slot(bench: Bench) -> None:
    bench.start()
    bench.keys(Key.Key_Space, Key.Key_Space, Key.Key_Backspace)
    assert bench.held() == {"1938": "-"}
    assert bench.leaf.current_slot() == bench.slot("1938-D")
    bench.keys(Key.Key_Backspace, Key.Key_Backspace)
    assert bench.held() == {}


def test_backspace_gives_a_graded_again_coin_its_grade_back(bench: Bench) -> None:
    bench.start()
    bench.keys("vg8", Key.Key_Space, Key.Key_Up, Key.Key_Home, "xf40", Key.Key_Space)
    assert bench.leaf.current_slot() == bench.slot("1938-D")
    assert bench.held() == {"1938": "XF-40"}
    bench.keys(Key.Key_Backspace)
    assert bench.held() == {"1938": "VG-8"}


def test_escape_leaves_and_one_undo_takes_the_run_back(bench: Bench, qtbot: QtBot) -> None:
    bench.start()
    bench.keys(Key.Key_Space, Key.Key_Space, "vf", Key.Key_Space, Key.Key_Backspace)
    assert bench.desk.is_quiet
    with qtbot.waitSignal(bench.mode.ended) as told:
        bench.keys(Key.Key_Escape)
    assert told.args == [2]
    assert not bench.mode.is_on
    assert not bench.desk.is_quiet
    bench.desk.undo()
    assert bench.held() == {}
    bench.desk.redo()
    assert len(bench.held()) == 2


def test_undo_within_the_mode_begins_another_run(bench: Bench) -> None:
    bench.start()
    bench.keys(Key.Key_Space, Key.Key_Space)
    bench.desk.undo()
    bench.keys("1940", Key.Key_Space)
    assert set(bench.held()) == {"1940"}
    bench.keys(Key.Key_Backspace, Key.Key_Backspace)
    assert bench.held() == {}


def test_slots_with_a_coin_or_an_order_are_passed_over(bench: Bench) -> None:
    slot = bench.view.by_id[bench.slot("1938-D")].slot
    collection_of(bench.desk).run(order_coin(stock_coin(slot, None, False), slot.id))
    bench._show(bench._fresh())
    bench.start()
    bench.keys(Key.Key_Space, Key.Key_Space)
    assert set(bench.held()) == {"1938", "1938-S"}


def test_a_faulty_grade_is_told_and_stocks_nothing(bench: Bench) -> None:
    bench.start()
    bench.keys("xyz", Key.Key_Space)
    assert bench.held() == {}
    assert "not on the grade scale" in bench.mode.band._doing.text()


class LateRunner(InlineRunner):
    """Jobs wait until they are let go, as on a slow disk."""

    def __init__(self) -> None:
        super().__init__()
        self.is_late = False
        self.waiting: list[Callable[[], object]] = []

    def submit(
        self,
        function: Callable[[Progress], T],
        then: Callable[[T], None] | None = None,
        failed: Failed | None = None,
        told: Told | None = None,
        cancelled: Callable[[], None] | None = None,
    ) -> Job:
        def work() -> Job:
            return InlineRunner.submit(self, function, then, failed, told, cancelled)

        if not self.is_late:
            return work()
        self.waiting.append(work)
        return Job(Progress())

    def let_go(self, count: int = 1000) -> None:
        while self.waiting and count:
            count -= 1
            self.waiting.pop(0)()


@pytest.fixture
def late(qtbot: QtBot, tmp_path: Path) -> tuple[Bench, LateRunner]:
    runner = LateRunner()
    desk = a_desk(tmp_path, runner)
    return Bench(qtbot, desk, an_album(desk)), runner


def test_keys_never_wait_for_the_file(late: tuple[Bench, LateRunner]) -> None:
    bench, runner = late
    runner.is_late = True
    bench.start()
    bench.keys("vf20", Key.Key_Space, Key.Key_Space, Key.Key_Space, "f12", Key.Key_Space)
    assert bench.held() == {}
    assert [bench.drawn(s) for s in ("1938", "1938-S", "1939")] == [int(GlyphCode.FILLED)] * 3
    assert bench.drawn("1939-D") == int(GlyphCode.GAP)
    # Between commits the view read anew must not take back what is drawn ahead of it.
    for _ in range(4):
        runner.let_go(1)
        assert bench.drawn("1939") == int(GlyphCode.FILLED)
    runner.let_go()
    assert bench.held() == {"1938": "VF-20", "1938-D": "VF-20", "1938-S": "VF-20", "1939": "F-12"}
    assert not bench.mode.is_writing


def test_backspace_works_ahead_of_the_file(late: tuple[Bench, LateRunner]) -> None:
    bench, runner = late
    runner.is_late = True
    bench.start()
    runner.let_go()
    bench.keys(Key.Key_Space, Key.Key_Space, Key.Key_Space, Key.Key_Backspace)
    bench.keys(Key.Key_Backspace, Key.Key_Backspace)  # the last is under way already
    assert bench.drawn("1938") == int(GlyphCode.GAP)
    bench.keys("vf20", Key.Key_Space)
    bench.keys(Key.Key_Escape)
    runner.let_go()
    assert bench.held() == {"1938": "VF-20"}
    assert bench.drawn("1938") == int(GlyphCode.FILLED)


def test_grading_again_ahead_of_the_file(late: tuple[Bench, LateRunner]) -> None:
    bench, runner = late
    runner.is_late = True
    bench.start()
    bench.keys("vf20", Key.Key_Space, Key.Key_Left, "au50", Key.Key_Space)
    bench.keys(Key.Key_Left, Key.Key_Space, Key.Key_Backspace, Key.Key_Backspace)
    runner.let_go()
    assert bench.held() == {"1938": "VF-20"}


def test_what_cannot_be_written_is_shown_as_it_was(late: tuple[Bench, LateRunner]) -> None:
    bench, runner = late
    told: list[str] = []
    bench.desk.failed.connect(told.append)
    bench.desk.broke.connect(told.append)
    runner.is_late = True
    bench.start()
    bench.keys(Key.Key_Space, Key.Key_Space)
    collection_of(bench.desk).close()
    runner.let_go()
    assert told
    assert bench.drawn("1938") == int(GlyphCode.GAP)
    assert bench.mode.is_on


def test_a_stocked_coin_reads_as_the_operation_writes_it(bench: Bench) -> None:
    bench.start()
    bench.keys("vf20", "?", Key.Key_Space)
    written = bench.view.by_id[bench.slot("1938")].coin
    slot = bench.view.by_id[bench.slot("1938")].slot
    assert written is not None
    ahead = stock_coin(slot, parse_grade("vf20"), True)
    assert (ahead.description, ahead.grade, ahead.is_flagged, ahead.varieties, ahead.origin) == (
        written.description,
        written.grade,
        written.is_flagged,
        written.varieties,
        written.origin,
    )
