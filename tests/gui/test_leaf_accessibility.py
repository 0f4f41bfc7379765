"""What a screen reader gets from the leaf view."""

from collections.abc import Iterator

import pytest
from PySide6.QtGui import QAccessible, QAccessibleInterface
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from core.glyph.codes import GlyphCode
from core.glyph.palette import LIGHT
from gui.leaf.view import LeafView
from tests.gui.leaf_material import matrix

NAME, DESCRIPTION = QAccessible.Text.Name, QAccessible.Text.Description


@pytest.fixture
def view(qtbot: QtBot) -> Iterator[LeafView]:
    view = LeafView()
    qtbot.addWidget(view)
    view.resize(900, 640)
    plan = matrix(list(range(1938, 1965)), missing=frozenset({(1950, "S")}))
    view.show_plan(plan, LIGHT)
    view.show()
    QApplication.processEvents()
    yield view
    view.hide()


def interface_of(view: LeafView) -> QAccessibleInterface:
    interface = QAccessible.queryAccessibleInterface(view)
    assert interface is not None
    return interface


def cell_interface(view: LeafView, cell: int) -> QAccessibleInterface:
    """Children come row by row, each row's head first, the column heads before all."""
    row, column = view._plan.where(cell)
    return interface_of(view).child((row + 1) * (view._plan.max_columns + 1) + column + 1)


def test_the_view_is_a_named_table(view: LeafView) -> None:
    interface = interface_of(view)
    assert interface.role() == QAccessible.Role.Table
    assert interface.text(NAME) == "Years × mints"
    assert interface.childCount() == (27 + 1) * (3 + 1)
    assert [interface.child(n).text(NAME) for n in (1, 2, 3)] == ["P (no letter)", "D", "S"]
    assert interface.child(6 * 4).text(NAME) == "1943"
    assert interface.child(6 * 4).role() == QAccessible.Role.RowHeader


def test_every_cell_has_its_place_and_its_sentence(view: LeafView) -> None:
    plan = view._plan
    for cell in range(plan.cells):
        said = cell_interface(view, cell)
        assert said.role() == QAccessible.Role.Cell
        assert said.text(NAME) == plan.sentence(cell)
        place = said.tableCellInterface()
        assert (place.rowIndex(), place.columnIndex()) == plan.where(cell)
    assert cell_interface(view, plan.cell_at(12, 2)).text(NAME) == "1950-S, not struck"
    assert cell_interface(view, 0).text(DESCRIPTION) == "Enter opens the slot"


def test_a_cell_lies_where_it_is_drawn_and_is_found_there(view: LeafView) -> None:
    view.verticalScrollBar().setValue(150)
    for slot in (8, 20):
        rect = view.slot_rect(slot)
        said = cell_interface(view, view._plan.cell_of_slot(slot))
        assert said.rect().topLeft() == view.viewport().mapToGlobal(rect.topLeft())
        assert said.rect().size() == rect.size()
        centre = said.rect().center()
        found = interface_of(view).childAt(centre.x(), centre.y())
        assert found.text(NAME) == said.text(NAME)


def test_selected_cells_are_told(view: LeafView) -> None:
    view.go_to_slot(8)
    assert interface_of(view).selectionInterface().selectedItemCount() == 1
    assert cell_interface(view, view.current_cell()).tableCellInterface().isSelected()
    assert not cell_interface(view, 0).tableCellInterface().isSelected()


def test_a_changed_slot_is_announced(view: LeafView, monkeypatch: pytest.MonkeyPatch) -> None:
    said: list[str] = []
    monkeypatch.setattr(view, "announce", said.append)
    cell = view._plan.cell_of_slot(8)
    view._plan.set_cell(cell, GlyphCode.FILLED, "VF-20", "", "VF-20")
    view.update_slots([8])
    view.update_slots([8, 9, 10])
    assert said == [view._plan.sentence(cell), "3 slots changed"]
