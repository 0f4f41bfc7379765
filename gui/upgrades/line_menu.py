"""The menu of one line: pin, forbid or free each of its purchases, and what else there is."""

from collections.abc import Callable, Sequence
from functools import partial

from PySide6.QtCore import QPoint
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QWidget

from core.app.upgrades import Upgrades
from gui.upgrades.lines import Choice, Line, choice_of
from gui.upgrades.planning import Planning
from gui.widgets import make_menu


def open_line_menu(
    parent: QWidget,
    line: Line,
    planning: Planning,
    found: Upgrades,
    own: Sequence[tuple[str, Callable[[], object]]],
    corner: QPoint,
) -> None:
    """Open it at a corner of the screen; `own` are further lines of text and what they do."""
    menu = make_menu(parent)

    def add(text: str, act: Callable[[], object]) -> None:
        action = QAction(text.replace("&", "&&"), menu)
        action.triggered.connect(lambda _on=False: act())
        menu.addAction(action)

    for step in line.row.steps:
        name, now = step.buy.name, choice_of(found, line.row, step)
        if now is not Choice.FREE:
            word = "Unpin" if now is Choice.PINNED else "Allow"
            add(f"{word} {name}", partial(planning.mark, line, step, Choice.FREE))
        else:
            add(f"Pin {name}", partial(planning.mark, line, step, Choice.PINNED))
            add(f"Forbid {name}", partial(planning.mark, line, step, Choice.FORBIDDEN))
    if line.row.steps:
        menu.addSeparator()
    for text, act in own:
        add(text, act)
    menu.popup(corner)
