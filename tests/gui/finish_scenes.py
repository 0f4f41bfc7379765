"""Finishing a box, its report and the sheets, as they are drawn for the contact sheets."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QDialog, QWidget

from core.app.finish_box import finish_box
from core.app.search_orders import add_box, keep_find
from core.app.table_sheets import SheetKind
from core.model.coin import Problem
from core.model.grade import parse_grade
from core.model.search import Box, BoxId
from gui.desk import Desk
from gui.search.finish import FinishDialog
from gui.search.finish_list import RestLine
from gui.search.report_dialog import ReportDialog
from gui.search.sheet_dialog import SheetDialog
from gui.work import InlineRunner
from tests.gui.desk_material import collection_of
from tests.search_material import cents_box, read

Key = Qt.Key
LONG = "the branch by the old harbour, second counter, with a slip that fell out of the third roll"


def _desk(folder: Path, before: int = 4) -> tuple[Desk, Box]:
    collection, number = cents_box(folder, before)
    box, path = collection.log.box(number), collection.path
    collection.close()
    desk = Desk(InlineRunner())
    desk.open(path)
    return desk, box


def _shown(dialog: QDialog) -> QWidget:
    dialog.show()
    QTest.qWait(150)
    return dialog


def finish(folder: Path) -> QWidget:
    desk, box = _desk(folder)
    dialog = FinishDialog(None, desk, box)
    _shown(dialog)
    rows = [n for n, line in enumerate(dialog.model.lines) if isinstance(line, RestLine)]
    dialog.list.setCurrentIndex(dialog.model.index(rows[0]))
    for key in (Key.Key_B, Key.Key_L, Key.Key_L):
        QTest.keyClick(dialog.list, key)
    return dialog


def finish_nothing(folder: Path) -> QWidget:
    desk, box = _desk(folder, before=0)
    order = add_box(replace(box, number=0))
    (made,) = collection_of(desk).run(order).made_log
    return _shown(FinishDialog(None, desk, collection_of(desk).log.box(BoxId(made))))


def finish_much(folder: Path) -> QWidget:
    desk, box = _desk(folder, before=0)
    collection = collection_of(desk)
    problems = tuple(Problem)[:9]
    coin = replace(read(collection, "1909-S VDB"), grade=parse_grade("vf20"), problems=problems)
    collection.run(keep_find(box.id, coin, 120, answer="Upgrade", roll=9))
    return _shown(FinishDialog(None, desk, box))


def finish_trouble(folder: Path) -> QWidget:
    desk, box = _desk(folder, before=0)
    dialog = FinishDialog(None, desk, box)
    _shown(dialog)
    collection_of(desk).run(finish_box(box.id))
    dialog.finish()
    return dialog


def report(folder: Path) -> QWidget:
    desk, box = _desk(folder)
    dialog = FinishDialog(None, desk, box)
    _shown(dialog)
    dialog.finish()
    QTest.qWait(150)
    return dialog


def report_private(folder: Path) -> QWidget:
    desk, box = _desk(folder)
    dialog = ReportDialog(None, desk, box)
    dialog.page.private.toggle()
    return _shown(dialog)


def sheet(kind: SheetKind) -> Callable[[Path], QWidget]:
    """The dialog of a sheet."""

    def scene(folder: Path) -> QWidget:
        desk, box = _desk(folder, before=0)
        return _shown(SheetDialog(None, desk, box, kind))

    return scene


SCENES: dict[str, Callable[[Path], QWidget]] = {
    "finish": finish,
    "finish-nothing": finish_nothing,
    "finish-much": finish_much,
    "finish-trouble": finish_trouble,
    "report": report,
    "report-private": report_private,
    "sheet-closer": sheet(SheetKind.CLOSER),
    "sheet-tally": sheet(SheetKind.TALLY),
}
