"""The menu of one line: pin, forbid or free each of its purchases, and what else there is."""

from collections.abc import Callable, Sequence
from functools import partial

from PySide6.QtCore import QPoint
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QWidget

from gui.upgrades.lines import Choice, Line
from gui.upgrades.planning import Planning
from gui.widgets import make_menu


def open_line_menu(
    parent: QWidget,
    line: Line,
    planning: Planning,
    own: Sequence[tuple[str, Callable[[], object]]],
    corner: QPoint,
) -> None:
    """Open it at a corner of the screen; `own` are further lines of text and what they do."""
    menu = make_menu(parent)

    def add(text: str, act: Callable[[], object]) -> None:
        action = QAction(text.replace("&", "&&"), menu)
        action.triggered.connect(lambda _on=False: act())
        menu.addAction(action)

    asked = planning.asked
    for step in line.row.steps:
        name, number = step.buy.name, step.buy.id
        if number in asked.pinned or number in asked.forbidden:
            word = "Unpin" if number in asked.pinned else "Allow"
            add(f"{word} {name}", partial(planning.mark, number, Choice.FREE))
        else:
            add(f"Pin {name}", partial(planning.mark, number, Choice.PINNED))
            add(f"Forbid {name}", partial(planning.mark, number, Choice.FORBIDDEN))
    if line.row.steps:
        menu.addSeparator()
    for text, act in own:
        add(text, act)
    menu.popup(corner)
