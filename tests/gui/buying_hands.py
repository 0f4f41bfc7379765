"""Prices and plans at the window: the upgrades workspace by its keys, the dialogs of it."""

from collections.abc import Sequence
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QDialog

from core.printing.want_list import WantPaper
from gui.upgrades import prices_page, want_list_dialog
from gui.upgrades.lines import Choice, Line, Part
from gui.upgrades.price_sheet_dialog import PriceSheetDialog
from gui.upgrades.prices_page import PricesPage
from gui.upgrades.want_list_dialog import PAPERS, WantListDialog
from gui.upgrades.workspace import UpgradesWorkspace
from scenarios.buying import Chosen
from tests.gui.window_material import OpenWindow

Key = Qt.Key


def _space(opened: OpenWindow) -> UpgradesWorkspace:
    opened.duties.actions["upgrades"].trigger()
    return opened.duties.make_upgrades()


def _prices(opened: OpenWindow) -> PricesPage:
    space = _space(opened)
    space.head.prices.click()
    assert space.prices is not None
    return space.prices


def price_count(opened: OpenWindow) -> int:
    """How many prices stand in the list."""
    page = _prices(opened)
    page.choose_tab(0)
    count = len(page.tables[0].rows.rows)
    QTest.keyClick(page, Key.Key_Escape)
    return count


def take_prices(opened: OpenWindow, sheet: Path, patch: pytest.MonkeyPatch) -> None:
    """Import a sheet through its dialog."""
    page = _prices(opened)

    def give(dialog: PriceSheetDialog) -> int:
        assert dialog.foot.give.isEnabled()
        dialog.foot.give.click()
        return int(QDialog.DialogCode.Accepted)

    with patch.context() as only:
        only.setattr(prices_page, "choose_file", lambda *_: sheet)
        only.setattr(PriceSheetDialog, "exec", give)
        page.import_sheet()
    QTest.keyClick(page, Key.Key_Escape)


def _at_album(opened: OpenWindow) -> UpgradesWorkspace:
    """The workspace, looking at the open album alone, every line shown."""
    view = opened.albums.centre.view
    assert view is not None
    space = _space(opened)
    for action in list(space.head.albums.choices.actions()):
        if action.text() == view.album.name and not action.isChecked():
            action.trigger()
    assert space.asked.albums == (view.album.id,)
    space.bar.choose(Part.ALL)
    return space


def _stand(space: UpgradesWorkspace, label: str) -> Line:
    slots = {line.row.slot.slot.label: line.slot for line in space.table.model_.lines}
    space.go_to(slots[label])
    line = space.table.current
    assert line is not None
    assert line.row.slot.slot.label == label
    return line


def plan(opened: OpenWindow, budget: str, pins: Sequence[str]) -> Chosen:
    """The lines of the plan, with a budget typed and slots pinned by their key."""
    space = _at_album(opened)
    space.budget.focus_amount()
    space.budget.amount.selectAll()
    QTest.keyClicks(space.budget.amount, budget)
    for label in pins:
        if _stand(space, label).choice is not Choice.PINNED:
            QTest.keyClick(space.table, Key.Key_P)
    space.solve()
    assert "proven best" in space.foot.text()
    planned = [line for line in space.table.model_.lines if line.is_in_plan]
    chosen: Chosen = {}
    for line in planned:
        assert line.cost is not None
        chosen[line.row.slot.slot.label] = line.buys, line.cost
    return chosen


def want_list(
    opened: OpenWindow,
    given: tuple[str, Sequence[str], str, str],
    to: Path,
    patch: pytest.MonkeyPatch,
) -> None:
    """Through its dialog: budget, pins, pay and paper."""
    budget, pins, pay, paper = given
    plan(opened, budget, pins)

    def choose(dialog: WantListDialog) -> int:
        assert dialog.which.buttons[0].isChecked()
        dialog.paper.buttons[PAPERS.index(WantPaper(paper))].click()
        kind, _, word = pay.partition(":")
        dialog.pay.buttons[("hidden", "shown", "coded").index(kind)].click()
        QTest.keyClicks(dialog.word, word)
        dialog.foot.give.click()
        return int(QDialog.DialogCode.Accepted)

    with patch.context() as only:
        only.setattr(want_list_dialog, "choose_new_file", lambda *_: to)
        only.setattr(WantListDialog, "exec", choose)
        opened.duties.actions["want_list"].trigger()
    assert str(to) in opened.duties.notices.text


def buy(opened: OpenWindow, label: str) -> None:
    """Stand on a slot of the plan and press its key."""
    space = _at_album(opened)
    assert _stand(space, label).is_in_plan
    QTest.keyClick(space.table, Key.Key_B)
    opened.duties.actions["albums"].trigger()  # where the change is seen
