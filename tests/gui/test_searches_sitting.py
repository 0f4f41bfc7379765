"""Two boxes of one campaign, a hundred rolls, by keys alone, against a sheet kept by hand."""

from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from core.app.collection import Collection, make_collection
from core.app.finish_box import finish_box, finish_proposal, finish_task
from core.app.operations import add_album, stock_slots
from core.app.search_orders import add_box
from core.model.arrangement import Arrangement
from core.model.issue import SeriesId
from core.model.plan_album import AlbumPlan
from core.model.search import Box, BoxId, Campaign, CampaignId, Search, SearchId
from gui.search.box_form import Beside, BoxAnswer, BoxForm, first_box
from gui.search.small_forms import RollAnswer, RollForm
from tests.gui.desk_material import collection_of
from tests.gui.search_material import SHIFT, AtTable, table_window
from tests.gui.window_material import close_window

DAY = date(2026, 11, 25)
F = {"F5": Qt.Key.Key_F5, "F6": Qt.Key.Key_F6, "F7": Qt.Key.Key_F7}

# The sheet: roll in the box, what was typed, whether the coin was kept.
BOX_32 = (
    (2, "41", True), (3, "59", False), (4, "41d", True), (7, "42", True), (9, "42d", True),
    (11, "5 x 60", False), (13, "43d", True), (16, "44d", True), (18, "62d", False),
    (21, "45", True), (24, "46d", True), (26, "F5", False), (28, "47", True),
    (30, "41 -ddo", False), (33, "48d", True), (37, "50d", True), (42, "51", True),
    (45, "F6", False), (48, "52d", True),
)  # fmt: skip
BOX_33 = (
    (5, "53d", True), (6, "59d", False), (8, "54", True), (10, "54d", True), (12, "F5", False),
    (14, "55d", True), (17, "2 x 61", False), (19, "56", True), (22, "56d", True),
    (25, "41 -ddo", False), (27, "57", True), (31, "57d", True), (33, "F7", False),
    (36, "58", True), (40, "58d", True), (44, "49d", True), (47, "53", True), (49, "60d", False),
)  # fmt: skip
SHORT_ROLL, SLIP_ROLL, KILLED_AT = 20, 33, 11


def begin(path: Path) -> Path:
    """140 slots of which 88 hold a coin; a campaign with 31 boxes before, rolls numbered on."""
    make_collection(path, "Harbour Museum coin jar")
    with Collection.open(path) as collection:
        cents = SeriesId("us-cent-lincoln")
        plan = AlbumPlan(years=(1909, 1958))
        made = collection.run(add_album("Cents 1909–1958", cents, plan, Arrangement())).made_album
        assert made is not None
        slots = [view.slot.id for view in collection.album_view(made).slots]
        collection.run(stock_slots(slots[:88], None))
        campaign = Campaign(CampaignId(0), "Cents", made, "", 31, 77_500, 88, 140, True)
        search = Search(SearchId(0), CampaignId(0), "cents 2026", DAY)
        collection.run(add_box(Box(BoxId(0), SearchId(0), 0, DAY, "US 1c"), search, campaign))
    return path


def search_box(table: AtTable, sheet: tuple[tuple[int, str, bool], ...], last: int) -> None:
    """Go through rolls up to `last`, entering what the sheet has for those still ahead."""
    begun = table.box.at_roll
    for roll in range(begun, last + 1):
        if roll > begun:
            table.press(Qt.Key.Key_Space)
        for at, text, is_kept in sheet:
            if at != roll:
                continue
            before = table.keys
            if text in F:
                table.press(F[text])
            else:
                table.type(text)
                table.press(Qt.Key.Key_Return, Qt.KeyboardModifier.NoModifier if is_kept else SHIFT)
            assert not is_kept or table.keys - before <= 4
        if roll == SLIP_ROLL and table.box.number == 32:
            table.keep("49s")
            table.press(Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
        if roll == SHORT_ROLL and table.box.number == 32:
            table.press(Qt.Key.Key_R, Qt.KeyboardModifier.AltModifier)


def test_a_sitting_of_two_boxes_agrees_with_the_sheet(
    qapp: QApplication, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(RollForm, "ask", lambda *_args: RollAnswer(49, False))

    def next_box(_parent: object, beside: Beside, _box: object = None) -> BoxAnswer:
        return BoxAnswer(first_box(beside))

    monkeypatch.setattr(BoxForm, "ask", next_box)
    table = table_window(qapp, tmp_path, begin(tmp_path / "cents.slotleaf"))
    table.window.window.activateWindow()
    qapp.processEvents()
    table.space.to_line()
    assert "have 88 of 140, then 89" in _answer(table, "41")
    search_box(table, BOX_32, 50)
    first = table.box
    assert (first.number, first.at_roll) == (32, 50)
    moves = finish_proposal(finish_task(collection_of(table.window.desk), first.id)).moves
    table.window.desk.run(finish_box(first.id, [move.pair for move in moves]))
    table.press(Qt.Key.Key_B, Qt.KeyboardModifier.ControlModifier)
    assert (table.box.number, table.space.strip.rolls[0].shown) == (33, 51)
    search_box(table, BOX_33, KILLED_AT)
    path = table.window.desk.path
    assert path is not None
    copy = tmp_path / "after the kill.slotleaf"
    copy.write_bytes(path.read_bytes())
    keys = table.keys
    close_window(table.window)

    again = table_window(qapp, tmp_path, copy)
    assert (again.box.number, again.space.strip.rolls[again.box.at_roll - 1].shown) == (33, 61)
    search_box(again, BOX_33, 50)
    assert keys + again.keys <= 320
    shown = again.space.table
    assert shown is not None
    assert shown.box is not None
    assert shown.campaign is not None
    assert [(roll - 50, verdict) for roll, _, verdict in again.kept] == [
        (at, "Fills a gap") for at, _, is_kept in BOX_33 if is_kept
    ]
    assert [roll - 50 for roll, _, _ in again.seen] == [at for at, _, kept in BOX_33 if not kept]
    # by hand: twelve kept, all of wheat reverse, and one looked at for its doubling, not it
    now = {line.name: line.now for line in shown.lines}
    assert (now["Wheat reverse"], now["Slots filled"], now["Foreign"], now["S mint"]) == (
        13, 12, 1, 0,
    )  # fmt: skip
    boxes = {line.box.number: line for line in shown.campaign.boxes}
    assert (boxes[32].kept, boxes[32].seen, boxes[32].slots) == (13, 10, 13)
    assert (boxes[33].kept, boxes[33].seen, boxes[33].slots) == (12, 7, 12)
    assert shown.campaign.text == "33 boxes · have 101 of 140"
    assert shown.campaign.coins_in_all == 77_500 + 2_499 + 2_500
    assert shown.records[:2] == ("oldest this box: 1941", "oldest this campaign: 1941")
    close_window(again.window)


def _answer(table: AtTable, text: str) -> str:
    """What the card says to a text, typed and cleared again."""
    for letter in text:
        QTest.keyClicks(table.space.line.field, letter)
    said = table.space.card.text
    QTest.keyClick(table.space.line.field, Qt.Key.Key_Escape)
    return said
