"""Lines of a text one edits: those that are faulty underlined, one of them gone to."""

from collections.abc import Iterable

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QTextCharFormat, QTextCursor
from PySide6.QtWidgets import QPlainTextEdit, QTextEdit

from gui.theme import current_palette

MOST_MARKS = 500
"""More lines than that are not underlined: they are in the list beside it."""


def mark_lines(text: QPlainTextEdit, faulty: Iterable[int]) -> None:
    """Underline these lines, counted from 1, and no others."""
    marks = []
    for line in sorted(set(faulty))[:MOST_MARKS]:
        mark = QTextEdit.ExtraSelection()
        cursor = QTextCursor(text.document().findBlockByNumber(line - 1))
        cursor.select(QTextCursor.SelectionType.LineUnderCursor)
        mark.cursor = cursor
        mark.format.setUnderlineStyle(QTextCharFormat.UnderlineStyle.WaveUnderline)
        mark.format.setUnderlineColor(QColor(current_palette().below))
        marks.append(mark)
    text.setExtraSelections(marks)


def go_to_line(text: QPlainTextEdit, line: int) -> None:
    """Select a line, counted from 1, and give it the keys."""
    cursor = QTextCursor(text.document().findBlockByNumber(line - 1))
    cursor.movePosition(QTextCursor.MoveOperation.EndOfBlock, QTextCursor.MoveMode.KeepAnchor)
    text.setTextCursor(cursor)
    text.centerCursor()
    text.setFocus(Qt.FocusReason.OtherFocusReason)
