"""Forms, sheets and reports of the sorting table say their keys, and the keys do what they say."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from core.app.table_sheets import SheetKind
from core.model.search import Campaign, CampaignId, Container
from core.printing.checklist import Paper
from gui.search.campaign_form import DELETE, CampaignForm
from gui.search.finish import FinishDialog
from gui.search.sheet_dialog import SheetDialog
from gui.search.tally_forms import TalliesForm
from gui.search.weigh_form import JarForm
from gui.text_dialog import TextDialog
from gui.widgets import Label
from tests.gui.finish_scenes import report, sheet
from tests.gui.search_material import begin_box, table_window
from tests.gui.window_material import close_window

ALT = Qt.KeyboardModifier.AltModifier
Key = Qt.Key


@pytest.fixture
def shown(qapp: QApplication) -> Iterator[list[QWidget]]:
    """What a test opened; closed after it."""
    opened: list[QWidget] = []
    yield opened
    for widget in opened:
        widget.close()
        widget.deleteLater()


def told(widget: QWidget) -> set[str]:
    """The keys that are written on a dialog."""
    labels = widget.findChildren(Label)
    return {one.text() for one in labels if one.property("look") == "key" and one.isVisible()}


def test_forms_tell_their_keys(shown: list[QWidget], qapp: QApplication) -> None:
    campaign = Campaign(CampaignId(1), "Cents")
    jar = Container(1, "Red cup", 320, 8, "US 1c")
    texts = TextDialog(None, "Time spent on box 3", "", [("Time", "0:07")], "Set")
    forms = (
        (texts, {"Esc", "Enter"}),
        (CampaignForm(None, (), None), {"Esc", "Enter", "Tab", "Space"}),
        (CampaignForm(None, (), campaign, True), {"Esc", "Enter", "Tab", "Space", "Alt+Del"}),
        (JarForm(None, (jar,), "US 1c"), {"Esc", "Enter", "Tab", "Space", "← →", "Alt+Del"}),
        (TalliesForm(None, "US 1c", ()),
         {"Esc", "Enter", "Tab", "Alt+N", "Alt+Del", "Alt+Up", "Alt+Down", "Alt+H"}),
    )  # fmt: skip
    for form, _ in forms:
        shown.append(form)
        form.show()
    assert [told(form) for form, _ in forms] == [keys for _, keys in forms]
    for widget in shown:
        widget.close()
    delete = CampaignForm(None, (), campaign, True)
    shown.append(delete)
    delete.show()
    delete.activateWindow()
    qapp.processEvents()
    QTest.keyClick(delete, Key.Key_Delete, ALT)
    QTest.qWait(200)  # a button is seen pressed for a moment
    assert delete.answer == DELETE


def test_the_shelf_of_boxes_tells_its_keys(qapp: QApplication, tmp_path: Path) -> None:
    table = table_window(qapp, tmp_path, begin_box(tmp_path / "drawer.slotleaf"))
    qapp.processEvents()
    keys = told(table.space.shelf)
    close_window(table.window)
    assert keys == {"Ctrl+B", "Ctrl+Shift+B", "Alt+A"}


def test_a_sheet_is_turned_to_the_other_kind_and_paper_by_keys(
    shown: list[QWidget], tmp_path: Path, qapp: QApplication
) -> None:
    dialog = sheet(SheetKind.CLOSER)(tmp_path)
    shown.append(dialog)
    assert isinstance(dialog, SheetDialog)
    assert told(dialog) == {"PgUp PgDown", "Alt+P", "Alt+K", "Alt+Y", "Ctrl+S", "Esc"}
    dialog.activateWindow()
    qapp.processEvents()
    steps = []
    for key in (Key.Key_Y, Key.Key_P, Key.Key_K, Key.Key_P):
        QTest.keyClick(dialog, key, ALT)
        steps.append((dialog.kinds.choice(), dialog.page.paper, dialog.tells.text()[:8]))
    assert steps == [
        (1, Paper.A4, "A row a "),
        (1, Paper.LETTER, "A row a "),
        (0, Paper.LETTER, "What is "),
        (0, Paper.A4, "What is "),
    ]


def test_a_report_tells_the_keys_of_its_three_files(shown: list[QWidget], tmp_path: Path) -> None:
    dialog = report(tmp_path)
    shown.append(dialog)
    assert isinstance(dialog, FinishDialog)
    keys = {"PgUp PgDown", "Alt+P", "Alt+O", "Ctrl+S", "Ctrl+M", "Ctrl+G", "Esc"}
    assert told(dialog) == keys
