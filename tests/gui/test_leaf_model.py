import pytest
from PySide6.QtCore import QModelIndex, Qt
from PySide6.QtTest import QAbstractItemModelTester
from pytestqt.qtbot import QtBot

from core.arrange.plan import LeafPlan, PlanBuilder, PlanCell, PlanRow, empty_plan
from gui.leaf.model import LeafTableModel
from tests.gui.leaf_material import beside, matrix, running

MATRIX = matrix(list(range(1938, 1956)), missing=frozenset({(1950, "S")}))


def model_of(plan: LeafPlan) -> LeafTableModel:
    model = LeafTableModel()
    model.set_plan(plan)
    return model


@pytest.mark.parametrize(
    "plan", [MATRIX, running(120), running(0), empty_plan()], ids=lambda plan: plan.name
)
def test_the_model_keeps_the_rules_of_item_models(qtbot: QtBot, plan: LeafPlan) -> None:
    model = LeafTableModel()
    tester = QAbstractItemModelTester(model, QAbstractItemModelTester.FailureReportingMode.Fatal)
    model.set_plan(plan)
    if plan.cells:
        model.tell_changed(0, plan.cells - 1)
        model.set_proposals({0: (1, "", "")})
        model.set_proposals({})
    assert tester.model() is model
    assert (model.rowCount(), model.columnCount()) == (plan.rows, plan.max_columns)


def test_every_cell_answers_its_sentence_and_its_place(qtbot: QtBot) -> None:
    plan = running(120)
    model = model_of(plan)
    for cell in range(plan.cells):
        index = model.index_of(cell)
        assert model.cell(index) == cell
        assert index.data() == plan.sentence(cell)


def test_places_a_row_lacks_are_no_slots(qtbot: QtBot) -> None:
    plan = running(120)
    model = model_of(plan)
    lacking = model.index(0, plan.max_columns - 1)
    assert model.cell(lacking) == -1
    assert lacking.data() == "no slot here"
    assert lacking.flags() == Qt.ItemFlag.NoItemFlags
    assert model.cell(QModelIndex()) == -1


def test_not_struck_cells_can_be_stood_on_but_not_selected(qtbot: QtBot) -> None:
    model = model_of(MATRIX)
    flags = model.index(12, 2).flags()
    assert model.index(12, 2).data() == "1950-S, not struck"
    assert flags & Qt.ItemFlag.ItemIsEnabled
    assert not flags & Qt.ItemFlag.ItemIsSelectable
    assert model.index(0, 0).flags() & Qt.ItemFlag.ItemIsSelectable


def test_rows_and_columns_are_named(qtbot: QtBot) -> None:
    model = model_of(MATRIX)
    horizontal, vertical = Qt.Orientation.Horizontal, Qt.Orientation.Vertical
    assert model.headerData(0, horizontal) == "P (no letter)"
    assert model.headerData(2, vertical) == "1940"
    assert model_of(running(40)).headerData(3, vertical) == "Leaf 1, row 4"
    assert model_of(running(40)).headerData(3, horizontal) == "place 4"


def test_a_row_is_named_by_both_its_heads(qtbot: QtBot) -> None:
    model = model_of(matrix([1960, 1961], subs={1960: "small date"}))
    assert model.headerData(0, Qt.Orientation.Vertical) == "1960 small date"


def test_tool_tips_never_read_data_as_markup(qtbot: QtBot) -> None:
    builder = PlanBuilder("x", has_two_lines=True)
    builder.add_leaf("", "", [PlanRow([PlanCell(0, "<b>1909</b> & more", slot_id=1)])])
    model = model_of(builder.build())
    index = model.index(0, 0)
    assert index.data() == "<b>1909</b> & more, gap"
    tip = index.data(Qt.ItemDataRole.ToolTipRole)
    assert tip == "&lt;b&gt;1909&lt;/b&gt; &amp; more, gap"


def test_a_proposal_is_told_after_what_is(qtbot: QtBot) -> None:
    plan = running(40)
    model = model_of(plan)
    with qtbot.waitSignal(model.dataChanged):
        model.set_proposals({0: (1, "1850", "VF-20")})
    assert model.index_of(0).data() == f"{plan.sentence(0)}; proposed: filled, VF-20"


def test_a_caption_is_read_out_but_neither_stood_on_nor_chosen(qtbot: QtBot) -> None:
    plan = beside([1938, 1939, 1940, 1941], rows_a_leaf=2)
    model = model_of(plan)
    caption = model.index_of(plan.captions[0])
    assert caption.data() == "1940 large date"
    assert caption.data(Qt.ItemDataRole.AccessibleTextRole) == "1940 large date"
    assert caption.data(Qt.ItemDataRole.ToolTipRole) is None
    assert model.flags(caption) == Qt.ItemFlag.NoItemFlags
    assert model.index_of(plan.captions[0] - 1).data() == "no slot here"
