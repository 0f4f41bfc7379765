"""Fill on screen: lines with ticks, a preview on the leaf, and moves only on a yes."""

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QAbstractItemModelTester
from pytestqt.qtbot import QtBot

from core.app.operations import place_coin, set_pinned
from core.fill.proposal import propose
from core.glyph.codes import GlyphCode
from core.model.album import AlbumId, SlotId, Target
from core.model.coin import Coin, CoinId, Problem
from gui.desk import Desk
from gui.fill.lines import LineKind, read_task, shown
from gui.fill.panel import FillPanel
from tests.builders import a_coin
from tests.gui.desk_material import NICKELS, a_desk, an_album, collection_of, with_coins

Key = Qt.Key
COINS = (
    ("1938", "P", "vf20", ()),
    ("1938", "D", "g4", ()),
    ("1938", "D", "vf30", ()),
    ("1938", "S", "f12", (Problem.CLEANED,)),
    ("1939", "P", "", ()),
)


def nickel(date: str, mint: str, grade: str, problems: tuple[Problem, ...] = ()) -> Coin:
    coin = a_coin(date, mint, grade, problems=problems)
    return replace(coin, description=replace(coin.description, series=NICKELS))


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    desk = a_desk(tmp_path)
    an_album(desk, target=Target(20))
    with_coins(desk, [nickel(*row) for row in COINS])
    return desk


def the_album(desk: Desk) -> AlbumId:
    return collection_of(desk).albums()[0].id


def slot(desk: Desk, label: str, album: AlbumId | None = None) -> SlotId:
    view = collection_of(desk).album_view(album or the_album(desk))
    return next(v.slot.id for v in view.slots if v.slot.label == label)


class WatchedPanel(FillPanel):
    """Keeps every preview it told."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self.shown: list[dict[int, tuple[int, str, str]]] = []


def started(qtbot: QtBot, desk: Desk, album: AlbumId | None = None) -> WatchedPanel:
    panel = WatchedPanel(desk)
    panel.resize(420, 700)
    qtbot.addWidget(panel)
    panel.preview_changed.connect(panel.shown.append)
    QAbstractItemModelTester(panel.model)
    panel.start(album or the_album(desk))
    return panel


def held(desk: Desk) -> dict[str, str]:
    view = collection_of(desk).album_view(the_album(desk))
    return {v.slot.label: v.held_text for v in view.slots if v.coin is not None}


def titles(panel: WatchedPanel) -> list[str]:
    return [line.title for line in panel.model.lines]


def test_every_move_is_a_line_and_a_preview(qtbot: QtBot, desk: Desk) -> None:
    panel = started(qtbot, desk)
    assert titles(panel) == ["1938", "1938-D", "1938-S", "1939"]
    line = panel.model.lines[1]
    assert (line.before, line.after) == (GlyphCode.GAP, GlyphCode.FILLED)
    assert line.coin.startswith("VF-30")
    assert line.reason == "Fills the gap."
    codes = {s: code & 15 for s, (code, _, _) in panel.shown[-1].items()}
    assert codes == {
        slot(desk, "1938"): GlyphCode.FILLED,
        slot(desk, "1938-D"): GlyphCode.FILLED,
        slot(desk, "1938-S"): GlyphCode.HOLE_FILLER,
        slot(desk, "1939"): GlyphCode.BELOW_25,
    }
    assert panel.have.text() == "have 0 → 4 of 70"
    assert panel.target.text() == "at target 0 → 2"
    assert panel.accept_button.text() == "Accept 4 moves"
    assert held(desk) == {}


def test_accepting_makes_the_moves_and_one_undo_takes_them_back(qtbot: QtBot, desk: Desk) -> None:
    panel = started(qtbot, desk)
    with qtbot.waitSignals([panel.accepted, panel.closed]):
        qtbot.keyClick(panel.list, Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert set(held(desk)) == {"1938", "1938-D", "1938-S", "1939"}
    assert panel.shown[-1] == {}
    desk.undo()
    assert held(desk) == {}


def test_a_line_taken_off_is_solved_without(qtbot: QtBot, desk: Desk) -> None:
    panel = started(qtbot, desk)
    panel._go_to(panel.model.lines[1].pair)
    qtbot.keyClick(panel.list, Key.Key_Space)
    told = [(line.title, line.is_ticked, line.coin.split(" ")[0]) for line in panel.model.lines]
    assert told == [
        ("1938", True, "VF-20"),
        ("1938-D", True, "G-4"),
        ("1938-D", False, "VF-30"),
        ("1938-S", True, "F-12,"),
        ("1939", True, "no"),
    ]
    assert panel.accept_button.text() == "Accept 4 moves"
    panel.accept()
    assert held(desk)["1938-D"].startswith("G-4")


def test_a_line_can_be_put_on_again(qtbot: QtBot, desk: Desk) -> None:
    panel = started(qtbot, desk)
    before = list(panel.model.lines)
    panel._on_tick(0)
    assert "1938" in titles(panel)
    assert not panel.model.lines[0].is_ticked
    assert panel.accept_button.text() == "Accept 3 moves"
    panel._on_tick(0)
    assert panel.model.lines == before


def test_a_click_on_the_tick_takes_a_line_off(qtbot: QtBot, desk: Desk) -> None:
    panel = started(qtbot, desk)
    panel.show()
    rect = panel.list.visualRect(panel.model.index(0))
    qtbot.mouseClick(
        panel.list.viewport(), Qt.MouseButton.LeftButton, pos=rect.topLeft() + QPoint(20, 16)
    )
    assert not panel.model.lines[0].is_ticked
    where = panel.list.visualRect(panel.model.index(1)).topLeft() + QPoint(150, 16)
    with qtbot.waitSignal(panel.slot_chosen) as told:
        qtbot.mouseClick(panel.list.viewport(), Qt.MouseButton.LeftButton, pos=where)
    assert told.args == [the_album(desk), slot(desk, "1938-D")]
    assert panel.model.lines[1].is_ticked


def test_two_that_only_the_eye_can_judge_are_listed_apart(qtbot: QtBot, desk: Desk) -> None:
    collection_of(desk).run(place_coin(CoinId(5), slot(desk, "1939")))
    with_coins(desk, [nickel("1939", "P", "au50")])
    panel = started(qtbot, desk)
    kinds = [(line.kind, line.title) for line in panel.model.lines[-2:]]
    assert kinds == [(LineKind.HEADING, "Compare by eye"), (LineKind.COMPARE, "1939")]
    assert panel.model.lines[-1].coin.startswith("AU-50")
    assert panel.model.lines[-1].detail.startswith("in the slot: no grade yet")
    assert slot(desk, "1939") not in panel.shown[-1]


def test_what_leaves_is_named(qtbot: QtBot, desk: Desk) -> None:
    collection_of(desk).run(place_coin(CoinId(2), slot(desk, "1938-D")))
    panel = started(qtbot, desk)
    line = next(line for line in panel.model.lines if line.title == "1938-D")
    assert line.detail == "out: G-4"
    assert "Meets the target VF-20" in line.reason
    assert "1938-D" in line.spoken


def test_all_albums_are_filled_together(qtbot: QtBot, desk: Desk) -> None:
    other = an_album(desk, "Second nickels", years=(1938, 1938))
    panel = started(qtbot, desk)
    assert LineKind.HEADING not in {line.kind for line in panel.model.lines}
    panel.scope.buttons[1].click()
    headings = [line.title for line in panel.model.lines if line.kind is LineKind.HEADING]
    assert headings == ["Nickels 1938–1964", "Second nickels"]
    second = [line for line in panel.model.lines if line.album == other]
    assert [line.title for line in second] == ["1938-D"]


def test_a_change_elsewhere_is_taken_up(qtbot: QtBot, desk: Desk) -> None:
    panel = started(qtbot, desk)
    panel._on_tick(0)
    desk.run(set_pinned([slot(desk, "1939")], True))
    assert [(line.title, line.is_ticked) for line in panel.model.lines] == [
        ("1938", False),
        ("1938-D", True),
        ("1938-S", True),
    ]


def test_nothing_to_move_says_so(qtbot: QtBot, tmp_path: Path) -> None:
    desk = a_desk(tmp_path)
    an_album(desk)
    panel = started(qtbot, desk)
    assert panel.pages.currentWidget() is panel.empty
    assert panel.empty.title.text() == "No coins yet"
    assert not panel.accept_button.isEnabled()


def test_escape_leaves_and_moves_nothing(qtbot: QtBot, desk: Desk) -> None:
    panel = started(qtbot, desk)
    with qtbot.waitSignal(panel.closed):
        qtbot.keyClick(panel.list, Key.Key_Escape)
    assert not panel.is_on
    assert held(desk) == {}
    assert panel.shown[-1] == {}


def test_the_preview_is_what_the_album_then_shows(desk: Desk) -> None:
    collection = collection_of(desk)
    task = read_task(collection, [the_album(desk)])
    proposal = propose(task.given)
    foreseen = shown(collection, task, proposal).preview
    from core.app.operations import apply_fill

    collection.run(apply_fill([move.pair for move in proposal.moves]))
    view = collection.album_view(the_album(desk))
    for slot_id, (code, line_1, _) in foreseen.items():
        after = view.by_id[SlotId(slot_id)]
        assert (code & 15, line_1) == (after.code & 15, after.held_text)
