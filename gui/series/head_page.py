"""The editor's first page: what the series is, its mints, designs and metals."""

from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QLineEdit, QPlainTextEdit, QVBoxLayout, QWidget

from gui.form_field import FormField
from gui.series.columns import grid_columns
from gui.series.grid import Grid
from gui.series.no_own_undo import NoOwnUndo
from gui.series.sheets import (
    DESIGNS,
    FIELD_NAMES,
    HEAD_FIELDS,
    METALS,
    MINTS,
    Checked,
    Sheets,
)
from gui.theme import L, M, S
from gui.widgets import ElidedLabel, ScrollColumn, SectionLabel, column, row

FIELDS_PX, MINTS_PX, LONG_PX = 304, 316, 60
_HINTS = {
    "currency": "three letters",
    "face_value": "in its smallest unit: 25",
    "words": "what an entry may call them: penny, cent",
    "sources": "one work a line",
}
_TOLD = {
    MINTS: ("Mints", "where the coins were struck, and the letter they bear"),
    DESIGNS: ("Designs", "the rule gives each year the designs of that year"),
    METALS: ("Compositions", "metals with their weight; the rule follows their years too"),
}
_MANY_LINES = ("note", "sources")


class HeadPage(QWidget):
    """Shows `Sheets`; what is typed is told, and comes back as other sheets."""

    typed = Signal(str, str)
    """A field of the head, and its text."""
    edited = Signal(str, object, str)
    """A part, its new table, and what was done."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._no_own_undo = NoOwnUndo(self)
        self.fields: dict[str, QLineEdit | QPlainTextEdit] = {}
        self._forms: dict[str, FormField] = {}
        self.grids: dict[str, Grid] = {}
        self._is_showing = False
        box = row(self, spacing=L)
        box.addWidget(self._build_fields())
        right = column(spacing=M)
        upper = row(spacing=L)
        upper.addLayout(self._build_grid(MINTS))
        upper.addLayout(self._build_grid(DESIGNS), 1)
        self.grids[MINTS].setFixedWidth(MINTS_PX)
        right.addLayout(upper, 1)
        right.addLayout(self._build_grid(METALS), 1)
        box.addLayout(right, 1)

    def _build_fields(self) -> QWidget:
        scroll = self.form = ScrollColumn(self, (2, 0, M, 0), M)
        scroll.setFixedWidth(FIELDS_PX)
        for name in ("title", "issuer", "denomination"):
            scroll.box.addWidget(self._field(name, scroll.inside))
        for pair in (("currency", "face_value"), ("diameter_mm", "words")):
            line = row(spacing=S)
            for name in pair:
                line.addWidget(self._field(name, scroll.inside), 1, Qt.AlignmentFlag.AlignTop)
            scroll.box.addLayout(line)
        for name in _MANY_LINES:
            scroll.box.addWidget(self._field(name, scroll.inside))
        scroll.box.addStretch(1)
        return scroll

    def _field(self, name: str, parent: QWidget) -> FormField:
        field: QLineEdit | QPlainTextEdit
        if name in _MANY_LINES:
            field = QPlainTextEdit(parent)
            field.setFixedHeight(LONG_PX)
            field.setTabChangesFocus(True)
            field.textChanged.connect(partial(self._on_typed, name))
        else:
            field = QLineEdit(parent)
            field.setMaxLength(400)
            field.textEdited.connect(partial(self._on_typed, name))
        field.setAccessibleName(FIELD_NAMES[name])
        field.installEventFilter(self._no_own_undo)
        self.fields[name] = field
        form = self._forms[name] = FormField(FIELD_NAMES[name], field, parent, _HINTS.get(name, ""))
        return form

    def _build_grid(self, part: str) -> QVBoxLayout:
        title, told = _TOLD[part]
        box = column(spacing=S)
        head = row(spacing=S)
        head.addWidget(SectionLabel(title, self))
        if part != MINTS:
            head.addWidget(ElidedLabel(told, "small", self), 1)
        box.addLayout(head)
        grid = self.grids[part] = Grid(title, grid_columns(part), self)
        grid.setToolTip(told)
        grid.edited.connect(partial(self.edited.emit, part))
        box.addWidget(grid, 1)
        return box

    # ---- what is shown ------------------------------------------------------------------------

    def _on_typed(self, name: str, _text: str = "") -> None:
        if not self._is_showing:
            self.typed.emit(name, self._text(name))

    def _text(self, name: str) -> str:
        field = self.fields[name]
        return field.text() if isinstance(field, QLineEdit) else field.toPlainText()

    def show_sheets(self, sheets: Sheets) -> None:
        """Show other sheets; a field being typed in stays as it is."""
        self._is_showing = True
        for name, field in self.fields.items():
            text = sheets.text(name)
            if self._text(name) == text:
                continue
            if isinstance(field, QLineEdit):
                field.setText(text)
            else:
                field.setPlainText(text)
        self._is_showing = False
        for part, grid in self.grids.items():
            grid.show_rows(sheets.table(part))

    def show_faults(self, checked: Checked, is_begun: bool) -> None:
        """Say beside each field, and at each cell, what is wrong.

        `is_begun` False: a new series, whose empty fields are no faults yet.
        """
        for place, name in enumerate(HEAD_FIELDS):
            fault = checked.of_field(place)
            is_quiet = not is_begun and not self._text(name)
            self._forms[name].show_fault("" if is_quiet else fault)
        for part, grid in self.grids.items():
            grid.show_faults(checked.of(part))

    def focus_field(self, place: int) -> None:
        """On to a field of the head, by its place in HEAD_FIELDS."""
        field = self.fields[HEAD_FIELDS[place]]
        field.setFocus()
        if isinstance(field, QLineEdit):
            field.selectAll()
