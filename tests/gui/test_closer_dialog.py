"""Look closer at the coin on the line, by keys: own codes are given there as on a slot's card."""

from collections.abc import Iterator

import pytest
from PySide6.QtWidgets import QApplication, QDialog

from core.model.issue import VarietyId
from gui.search.closer_dialog import CloserDialog
from scenarios.designing import Stroke, keys, typed
from tests.gui.desk_material import collection_of
from tests.gui.search_material import CENTS, AtTable, begin_cents, table_window
from tests.gui.strokes import Fingers
from tests.gui.window_material import close_window

DIE_1, DIE_2 = VarietyId("1972-ddo-1"), VarietyId("1972-ddo-2")


@pytest.fixture(scope="module")
def table(qapp: QApplication, tmp_path_factory: pytest.TempPathFactory) -> Iterator[AtTable]:
    folder = tmp_path_factory.mktemp("closer")
    at = table_window(qapp, folder, begin_cents(folder / "cents.slotleaf"))
    yield at
    close_window(at.window)


class Look:
    """What the entries of the dialog said after each key, and what stood under the form."""

    def __init__(self) -> None:
        self.names: list[list[str]] = []
        self.faults: list[str] = []

    def __call__(self, _stroke: Stroke) -> None:
        dialog = QApplication.activeModalWidget()
        if isinstance(dialog, CloserDialog):
            assert dialog.list is not None
            entries = dialog.list.entries
            self.names.append([one.accessibleName() for one in entries])
            forms = (one.code_form for one in entries)
            self.faults.append("".join(f.fault.text() for f in forms if f and f.fault.isVisible()))
        else:
            assert not isinstance(dialog, QDialog)
            self.names.append([])
            self.faults.append("")


def codes(table: AtTable) -> dict[str, tuple[str, str]]:
    """The collection's own codes."""
    return {**collection_of(table.window.desk).own_codes()}


def give(table: AtTable, *strokes: Stroke) -> Look:
    look = Look()
    Fingers(table.window, look).give(strokes)
    return look


@pytest.mark.parametrize("place", ["searches", "bar"])
def test_own_codes_are_given_changed_and_taken_away(table: AtTable, place: str) -> None:
    def opened(*strokes: Stroke) -> Look:
        table.space.line.field.clear()
        if place == "searches":
            table.window.duties.show_workspace("searches")
            table.space.to_line()
            first = (*typed("72 ddo"), *keys("Ctrl+Down"))
        else:
            table.window.duties.show_workspace("albums")
            first = (*keys("Ctrl+K"), *typed("72 ddo"), *keys("Ctrl+Down"))
        return give(table, *first, *strokes, *keys("Escape", "Escape"))

    look = opened(*keys("F2"), *typed("K 12"), *keys("Return"))
    assert "own code K 12" in look.names[-3][0], "Enter keeps the code and leaves the dialog open"
    assert codes(table) == {"K 12": (CENTS, DIE_1)}
    look = opened(*keys("Tab", "Tab", "F2"), *typed("K 12"), *keys("Return", "Escape"))
    assert "the code of" in look.faults[-4]
    assert codes(table) == {"K 12": (CENTS, DIE_1)}
    look = opened(*keys("F2", "Backspace", "Return"))
    assert "own code" not in look.names[-3][0]
    assert codes(table) == {}
