"""A campaign in figures: what is told of seven boxes, of nine, and of the one that is open."""

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from core.app.collection import Collection
from core.app.finish_box import finish_box, finish_proposal, finish_task
from core.app.search_orders import add_box, count_seen, go_to_roll, keep_find
from core.model.search import Box, BoxId, Sighting
from core.search.facts import FILLS
from gui.search.dashboard_page import DashboardPage
from tests.collection_material import read_coin
from tests.gui.search_material import AtTable, begin_box, table_window
from tests.gui.window_material import close_window

FOREIGN = (8, 9, 11, 12, 15, 17, 19, 23, 26, 30)
"""How many strangers lay in each box: some 15 % more from one to the next."""
KEPT = {0: ("1942-D vf20", "1942-D f12"), 3: ("1944-S vf20",), 9: ("1945 vf20", "1945 f12")}
"""Two of them for the same gap, twice; the last box stays open."""


def search_boxes(path: Path, finished: int) -> None:
    """Box 32 and those after it, so many of them finished, and one begun."""
    begin_box(path, rolls=5, fees_minor=200, currency="USD", seconds=3600)
    with Collection.open(path) as collection:
        first = collection.log.box(BoxId(1))
        for number in range(finished + 1):
            box = first.id if number == 0 else _next(collection, first)
            counted = Sighting(0, box, 1, 0, counter="foreign", quantity=FOREIGN[number])
            collection.run(count_seen(box, counted))
            for entry in KEPT.get(number, ()):
                collection.run(keep_find(box, read_coin(collection, entry), answer=FILLS, roll=1))
            collection.run(go_to_roll(box, 5))
            if number < finished:
                moves = finish_proposal(finish_task(collection, box)).moves
                collection.run(finish_box(box, [move.pair for move in moves]))


def _next(collection: Collection, first: Box) -> BoxId:
    return BoxId(collection.run(add_box(replace(first, number=0))).made_log[-1])


@pytest.fixture(params=[7, 9])
def page(
    qapp: QApplication, tmp_path: Path, request: pytest.FixtureRequest
) -> Iterator[tuple[int, DashboardPage]]:
    path = tmp_path / "drawer.slotleaf"
    search_boxes(path, request.param)
    table: AtTable = table_window(qapp, tmp_path, path)
    table.press(Qt.Key.Key_A, Qt.KeyboardModifier.AltModifier)
    shown = table.space._dashboard
    assert isinstance(shown, DashboardPage)
    yield request.param, shown
    close_window(table.window)


def test_trends_are_told_from_eight_boxes_on_with_their_interval(
    page: tuple[int, DashboardPage],
) -> None:
    finished, shown = page
    rows = {row[0]: row[1:] for row in shown.trends.rows.rows}
    assert {row[0] for row in rows.values()} == {str(finished)}
    if finished < 8:
        assert {row[1:] for row in rows.values()} == {("·", "A trend needs 8 finished boxes.")}
        return
    figure = r"([+−]\d+\.\d) %"
    found = re.fullmatch(f"{figure} 95 %: {figure} to {figure}", " ".join(rows["Foreign"][1:]))
    assert found, rows["Foreign"]
    change, low, high = (float(text.replace("−", "-")) for text in found.groups())
    # each box had between 9 and 25 % more than the one before: 26 / 8 over eight steps is 15.9 %
    assert low < 15.9 < high
    assert change == pytest.approx(15.9, abs=1.5)
    assert low > 0
    assert rows["Slots filled"][2].startswith("Too few")


def test_slots_of_finished_boxes_are_those_of_the_albums(page: tuple[int, DashboardPage]) -> None:
    finished, shown = page
    heads, (whole, *_) = shown.table.rows.heads, shown.table.rows.rows
    at = heads.index("Slots filled")
    is_open_told = finished == 9
    filled = 2 + 2 * is_open_told  # box 32 and 35 one each; of the open one both answers
    assert whole[at] == f"{filled / (finished + 1):.1f}"
    tip = shown.table.rows.index(0, at).data(Qt.ItemDataRole.ToolTipRole)
    assert tip.startswith(f"{filled} in {finished + 1} boxes, 95 %: ")
    open_box = 32 + finished
    told = f"Box {open_box} is not finished: its slots are told so far by the answers."
    assert (shown.so_far.text(), shown.so_far.isHidden()) == (told, False)
    shown.choose("Slots filled")
    counts = [row[2] for row in shown.behind_table.rows.rows]
    assert (counts[0], counts[3]) == ("1", "1")
    assert counts[-1] == f"{2 * is_open_told}, so far by the answers"
