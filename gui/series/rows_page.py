"""The editor's second page: the rule that makes rows, and the table of rows."""

from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QWidget

from core.catalogue.draft import ROWS
from gui.flow_layout import FlowLayout
from gui.form_field import FormField
from gui.series.columns import grid_columns
from gui.series.editor_parts import Looked
from gui.series.grid import Grid
from gui.series.no_own_undo import NoOwnUndo
from gui.series.sheets import (
    DESIGNS,
    METALS,
    MINTS,
    RULE,
    Checked,
    Sheets,
    chosen_mints,
    mint_names,
    mints_text,
)
from gui.series.sheets_edit import merged
from gui.series.tables import is_blank
from gui.theme import M, S
from gui.widgets import Card, Chip, Label, QuietButton, SectionLabel, column, row

YEAR_PX, EXCEPT_PX, MAKE_PX = 72, 176, 208
_TOLD = {
    "first": "From",
    "last": "To",
    "without": "Without",
    "plus": "And besides",
}
_TIPS = {
    "first": "The first year",
    "last": "The last year; nothing where it is the first",
    "without": "Years that were not struck, such as 1922, 1931 D, 1965-1967 S",
    "plus": "Years that were struck besides, such as 1942 P; they may lie outside the years",
}


class RowsPage(QWidget):
    """Shows `Sheets`; what is typed is told, and comes back as other sheets."""

    typed = Signal(str, str)
    """A field of the rule, and its text."""
    edited = Signal(str, object, str)
    """ROWS, the new table, and what was done."""
    make_asked = Signal()
    order_asked = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._no_own_undo = NoOwnUndo(self)
        self.fields: dict[str, QLineEdit] = {}
        self._forms: dict[str, FormField] = {}
        self.chips: dict[str, Chip] = {}
        self._names: tuple[tuple[str, str], ...] = ()
        box = column(self, spacing=M)
        box.addWidget(self._build_rule())
        self.grid = Grid("Rows of the series", grid_columns(ROWS), self)
        self.grid.edited.connect(partial(self.edited.emit, ROWS))
        box.addLayout(self._build_head())
        box.addWidget(self.grid, 1)

    def _build_rule(self) -> Card:
        card = self.rule = Card(self, "inset", (M, M, M, M), S)
        line = row(spacing=M)
        for name in ("first", "last"):
            line.addWidget(self._field(name, card, YEAR_PX), 0, Qt.AlignmentFlag.AlignTop)
        self._chip_box = FlowLayout(spacing_x=S, spacing_y=S)
        self._mints = FormField("Mints", self._chip_box, card)
        line.addWidget(self._mints, 1, Qt.AlignmentFlag.AlignTop)
        for name in ("without", "plus"):
            line.addWidget(self._field(name, card, EXCEPT_PX), 0, Qt.AlignmentFlag.AlignTop)
        make = column(spacing=S)
        self.makes = Label("", "small", card, wraps=True)
        self.makes.setFixedWidth(MAKE_PX)
        self.make = QuietButton("Make the rows", card)
        self.make.setToolTip(
            "Make a row for each year and mint; rows that are there stay as they stand (Ctrl+R)"
        )
        self.make.clicked.connect(self.make_asked)
        make.addWidget(self.makes)
        make.addWidget(self.make)
        make.addStretch(1)
        line.addLayout(make)
        card.box.addLayout(line)
        self.fault = Label("", "fault", card, wraps=True)
        self.fault.hide()
        card.box.addWidget(self.fault)
        return card

    def _field(self, name: str, parent: QWidget, width_px: int) -> FormField:
        field = self.fields[name] = QLineEdit(parent)
        field.setFixedWidth(width_px)
        field.setAccessibleName(f"The rule: {_TOLD[name].lower()}")
        field.setToolTip(_TIPS[name])
        field.setPlaceholderText({"without": "1922, 1931 D", "plus": "1942 P"}.get(name, ""))
        field.textEdited.connect(partial(self.typed.emit, name))
        field.installEventFilter(self._no_own_undo)
        self._forms[name] = FormField(_TOLD[name], field, parent)
        return self._forms[name]

    def _build_head(self) -> QHBoxLayout:
        line = row(spacing=S)
        self.count = SectionLabel("Rows", self)
        line.addWidget(self.count)
        line.addStretch(1)
        buttons = (
            ("Insert a row", "Ins", self.grid.insert_row),
            ("Delete rows", "Ctrl+Del", self.grid.delete_rows),
            ("Fill down", "Ctrl+D", self.grid.fill_down),
            ("Pick a word", "Alt+Down", self.grid.offer_choices),
            ("Put in order", "Ctrl+Shift+O", self.order_asked.emit),
        )
        for text, key, act in buttons:
            button = QuietButton(text, self, "small_field")
            button.setToolTip(f"{text} ({key})")
            button.clicked.connect(lambda _on=False, act=act: act())
            line.addWidget(button)
        return line

    # ---- what is shown ------------------------------------------------------------------------

    @property
    def grids(self) -> dict[str, Grid]:
        """Its tables by their parts."""
        return {ROWS: self.grid}

    def show_sheets(self, sheets: Sheets) -> None:
        """Show other sheets."""
        for name, field in self.fields.items():
            text = sheets.rule[RULE.index(name)]
            if field.text() != text:
                field.setText(text)
        self._show_mints(sheets)
        self.grid.show_rows(sheets.rows)
        for part in (MINTS, DESIGNS, METALS):
            self.grid.show_choices(part, sheets.ids(part))
        told = f"{len(sheets.rows):,} row{'' if len(sheets.rows) == 1 else 's'}"
        self.count.setText(told.upper())
        self.count.setAccessibleName(told)

    def _show_mints(self, sheets: Sheets) -> None:
        names, chosen = mint_names(sheets), chosen_mints(sheets)
        if names != self._names:
            self._names = names
            for chip in self.chips.values():
                self._chip_box.removeWidget(chip)
                chip.hide()
                chip.deleteLater()
            self.chips = {}
            for code, name in names:
                chip = Chip(f"{code}  {name}".strip() or "no name yet", None, self._mints)
                chip.setAccessibleName(f"The rule: {name or 'no name yet'}, {code or 'no letter'}")
                chip.clicked.connect(lambda _on=False: self._on_mint())
                self._chip_box.addWidget(chip)
                self.chips[code] = chip
        for code, chip in self.chips.items():
            chip.setChecked(code in chosen)

    def _on_mint(self) -> None:
        on = [code for code, chip in self.chips.items() if chip.isChecked()]
        is_every = not on or len(on) == len(self.chips)
        self.typed.emit("mints", "" if is_every else mints_text(on))

    def show_looked(self, looked: Looked) -> None:
        """Say what the rule makes, and whether that is made when asked or by itself."""
        made, sheets, may_make = looked.made, looked.sheets, False
        if made is None:
            text = "Years and mints make the rows." if is_blank(sheets.rule) else ""
        elif sheets.made and sheets.follows_rule:
            text = "The rows follow the rule."
        else:
            may_make = merged(sheets.rows, made) != sheets.rows
            text = looked.would if may_make else "All rows of the rule are there."
        self.makes.setText(text)
        self.make.setEnabled(may_make)

    def show_faults(self, checked: Checked, _is_begun: bool = True) -> None:
        """Say what is wrong with the rule, and mark faulty cells."""
        fault = checked.rule_fault
        self.fault.setText(fault)
        self.fault.setVisible(bool(fault))
        self.grid.show_faults(checked.of(ROWS))
