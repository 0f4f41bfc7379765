"""The want list's dialog for the contact sheets: a plan, letters, a word refused, no plan."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtWidgets import QWidget

from core.app.upgrades import plan_input
from core.planning.aim import GAPS
from core.planning.plan import plan
from gui.upgrades.want_list_dialog import LETTERS, Wanted, WantListDialog
from tests.gui.desk_material import a_desk, an_album, collection_of


def _dialog(folder: Path, has_plan: bool = True) -> WantListDialog:
    desk = a_desk(folder)
    an_album(desk)
    found = plan_input(collection_of(desk))
    made = plan(found.given, 25_000, GAPS) if has_plan else None
    dialog = WantListDialog(None, desk, Wanted(found, made, 25_000))
    dialog.show()
    return dialog


def wants(folder: Path) -> QWidget:
    return _dialog(folder)


def wants_letters(folder: Path) -> QWidget:
    dialog = _dialog(folder)
    dialog.pay.buttons[LETTERS].click()
    dialog.word.setText("blackhorse")
    return dialog


def wants_fault(folder: Path) -> QWidget:
    dialog = _dialog(folder, has_plan=False)
    dialog.pay.buttons[LETTERS].click()
    dialog.word.setText("bookkeeper")
    return dialog


SCENES: dict[str, Callable[[Path], QWidget]] = {
    "wants": wants,
    "wants-letters": wants_letters,
    "wants-fault": wants_fault,
}
