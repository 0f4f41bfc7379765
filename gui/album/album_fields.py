"""The fields that say what an album is: its name, dates, mints, varieties, target, arrangement.

The dialogs for a new album and for editing one put them where they like.
"""

from collections.abc import Callable, Collection
from dataclasses import replace

from PySide6.QtCore import QObject, QStringListModel, Qt, Signal
from PySide6.QtWidgets import QCompleter, QDialog, QLineEdit, QPlainTextEdit, QSpinBox, QWidget

from core.app.views import AlbumView
from core.arrange.row_map import map_of
from core.errors import BadEntry, BadGrade
from core.model.album import Target, parse_target
from core.model.arrangement import Arrangement, ArrangementKind
from core.model.issue import Series
from core.model.plan_album import ANY_MINT, AlbumPlan, Varieties
from gui.album.album_choice import collectors_text, date_of, read_years, struck_mints
from gui.design.forms import FormBox
from gui.design.map_steps import misfit_text
from gui.design.shape_fields import map_lines, parse_lines
from gui.flow_layout import FlowLayout
from gui.form_field import FormField
from gui.segmented import Segmented
from gui.theme import XS, S
from gui.widgets import Chip, KeyHint, Label, PrimaryButton, QuietButton, column, row

TARGETS = ("none", "G-4", "VF-20", "XF-40", "MS-63")
VARIETIES = (Varieties.NONE, Varieties.MAIN, Varieties.ALL)
MAP_PX = 96
VARIETY_HINTS = {
    Varieties.NONE: "One slot a date and mint; any variety of it fits.",
    Varieties.MAIN: "Optional slots for date sizes, metals and varieties that searchers do find.",
    Varieties.ALL: "Optional slots for every variety known of the series.",
}


class AlbumFields(QObject):
    """Builds the fields, each with its fault line, and reads them."""

    changed = Signal()
    name_edited = Signal(str)

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._series: Series | None = None
        self._plan, self._arrangement = AlbumPlan(), Arrangement()
        self._previewed: AlbumView | None = None
        self.name_field = self._build_name(parent)
        self.years_field = self._build_years(parent)
        self.mints_field = self._build_mints(parent)
        self.collectors_field = self._build_collectors(parent)
        self.varieties_field = self._build_varieties(parent)
        self.target_field = self._build_target(parent)
        self.arrangement_field = self._build_arrangement(parent)

    # --- building

    def _build_name(self, parent: QWidget) -> FormField:
        self.name = QLineEdit(parent)
        self.name.setMaxLength(120)
        self.name.textEdited.connect(self._on_name_edited)
        return FormField("Name", self.name, parent)

    def _build_years(self, parent: QWidget) -> FormField:
        content = row(spacing=S)
        self.first, self.last = QLineEdit(parent), QLineEdit(parent)
        self._dates = QStringListModel(self)
        for field, name in ((self.first, "First date"), (self.last, "Last date")):
            field.setAccessibleName(name)
            completer = QCompleter(self._dates, field)
            completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
            field.setCompleter(completer)
            field.textChanged.connect(self._on_changed)
        content.addWidget(self.first, 1)
        content.addWidget(Label("to", "mute", parent))
        content.addWidget(self.last, 1)
        return FormField("Dates", content, parent)

    def _build_mints(self, parent: QWidget) -> FormField:
        self._mint_box = FlowLayout(spacing_x=S, spacing_y=S)
        self.mint_chips: dict[str, Chip] = {}
        self.any_mint = Chip("any mint: one slot a date", None, parent)
        self.any_mint.toggled.connect(self._on_any_mint)
        self._mint_box.addWidget(self.any_mint)
        return FormField("Mints", self._mint_box, parent)

    def _build_collectors(self, parent: QWidget) -> FormField:
        content = row(spacing=S)
        self.collectors = Chip("also those sold to collectors", None, parent)
        self.collectors.setShortcut("Alt+C")
        self.collectors.setToolTip(
            "Circulation strikes that never went to banks have slots too (Alt+C)"
        )
        self.collectors.toggled.connect(self._on_collectors)
        content.addWidget(self.collectors)
        content.addStretch(1)
        field = FormField("Collectors' issues", content, parent)
        field.hide()
        return field

    def _build_varieties(self, parent: QWidget) -> FormField:
        self.varieties = Segmented([str(v) for v in VARIETIES], "Varieties", parent)
        self.varieties.choose(0)
        self.varieties.chosen.connect(self._on_varieties)
        return FormField("Varieties", self.varieties, parent, VARIETY_HINTS[Varieties.NONE])

    def _build_target(self, parent: QWidget) -> FormField:
        content = column(spacing=S)
        self.target = QLineEdit(parent)
        self.target.setPlaceholderText("none: any sound coin will do")
        self.target.textChanged.connect(self._on_changed)
        chips = FlowLayout(spacing_x=XS, spacing_y=XS)
        for text in TARGETS:
            chip = QuietButton(text, parent, "quiet")
            chip.setAccessibleName(f"Target: {text}")
            chip.clicked.connect(self._target_setter("" if text == "none" else text))
            chips.addWidget(chip)
        content.addWidget(self.target)
        content.addLayout(chips)
        self.target.setAccessibleName("Target")
        return FormField("Target for every slot", content, parent)

    def _build_arrangement(self, parent: QWidget) -> FormField:
        content = column(spacing=S)
        self.arrangement = FormBox(parent)
        self.arrangement.setAccessibleName("Arrangement")
        self.arrangement.chosen.connect(self._on_arrangement)
        self.per_row = self._count_field("Slots a row", 9, 1, parent)
        self.rows = self._count_field("Rows a leaf", 0, 0, parent)
        self.rows.setSpecialValueText("even")
        sizes = row(spacing=S)
        self._per_row_words = Label("slots a row,", "mute", parent)
        self._rows_words = Label("rows a leaf", "mute", parent)
        sizes.addWidget(self.per_row)
        sizes.addWidget(self._per_row_words)
        sizes.addWidget(self.rows)
        sizes.addWidget(self._rows_words)
        sizes.addStretch(1)
        self.row_map = QPlainTextEdit(parent)
        self.row_map.setTabChangesFocus(True)
        self.row_map.setPlaceholderText("9 9 9 8\n10 10 9")
        self.row_map.setAccessibleName("Row map: slots row by row, a leaf a line")
        self.row_map.setToolTip("9 is a row of nine, 4_4 has a spacer, 9*4 is four such rows.")
        self.row_map.setFixedHeight(MAP_PX)
        self.row_map.textChanged.connect(self._on_changed)
        content.addWidget(self.arrangement)
        content.addLayout(sizes)
        content.addWidget(self.row_map)
        self._show_sizes()
        return FormField("Arrangement", content, parent)

    def _count_field(self, name: str, value: int, least: int, parent: QWidget) -> QSpinBox:
        field = QSpinBox(parent)
        field.setRange(least, 60)
        field.setValue(value)
        field.setFixedWidth(64)
        field.setAlignment(Qt.AlignmentFlag.AlignCenter)
        field.setAccessibleName(name)
        field.setToolTip(f"{name}: type it, or use the up and down keys")
        field.valueChanged.connect(self._on_changed)
        return field

    # --- what is shown

    def show_series(self, series: Series) -> None:
        """All of a series; `changed` is not told."""
        self._series = series
        self._dates.setStringList([date for date, _ in series.dates])
        self._show_dates(series.dates[0][0], series.dates[-1][0])
        self._set_checked(self.collectors, False)
        self.collectors_field.setVisible(series.has_collectors_issues)
        self.collectors_field.show_hint(collectors_text(series))
        self._show_mints(series)

    def show_album(self, name: str, series: Series, plan: AlbumPlan, shape: Arrangement) -> None:
        """An album as it is; `changed` is told once."""
        self.blockSignals(True)
        self.show_series(series)
        self._plan, self._arrangement = plan, shape
        self.name.setText(name)
        if plan.years is not None:
            first, last = (date_of(series, year, is_last) for year, is_last
                           in zip(plan.years, (False, True), strict=True))  # fmt: skip
            self._show_dates(first, last)
        self._set_checked(self.collectors, plan.with_collectors)
        self._show_mints(series)
        for mint, chip in self.mint_chips.items():
            self._set_checked(chip, plan.mints != ANY_MINT and mint in (plan.mints or (mint,)))
        self._set_checked(self.any_mint, plan.mints == ANY_MINT)
        self.varieties.choose(VARIETIES.index(plan.varieties))
        self.varieties_field.show_hint(VARIETY_HINTS[plan.varieties])
        self.target.setText(plan.target.text if plan.target else "")
        self._show_shape(shape)
        self.blockSignals(False)
        self.changed.emit()

    def show_shape(self, shape: Arrangement) -> None:
        """Another arrangement; `changed` is not told."""
        self.blockSignals(True)
        self._arrangement = shape
        self._show_shape(shape)
        self.blockSignals(False)

    def _show_shape(self, shape: Arrangement) -> None:
        self.arrangement.choose(shape.kind)
        self.rows.setMinimum(0 if shape.kind.is_matrix else 1)
        self.rows.setValue(shape.rows_per_leaf or (0 if shape.kind.is_matrix else 5))
        self.per_row.setValue(shape.per_row)
        self.row_map.setPlainText(map_lines(shape.row_map))
        self._show_sizes()

    def _show_dates(self, first: str, last: str) -> None:
        for field, date in ((self.first, first), (self.last, last)):
            field.blockSignals(True)
            field.setText(date)
            field.blockSignals(False)

    def _show_mints(self, series: Series) -> None:
        for chip in self.mint_chips.values():
            self._mint_box.removeWidget(chip)
            chip.hide()
            chip.deleteLater()
        self._mint_box.removeWidget(self.any_mint)
        self.mint_chips = {}
        for mint in struck_mints(series, self.collectors.isChecked()):
            chip = Chip(f"{mint.id}  {mint.name}".strip(), None, self.mints_field)
            chip.setAccessibleName(f"{mint.name}, {mint.id or 'no letter'}")
            chip.setChecked(True)
            chip.toggled.connect(self._on_mint)
            self._mint_box.addWidget(chip)
            self.mint_chips[mint.id] = chip
        self._mint_box.addWidget(self.any_mint)
        self._set_checked(self.any_mint, False)
        self.any_mint.setVisible(len(self.mint_chips) > 1)

    @staticmethod
    def _set_checked(chip: Chip, is_checked: bool) -> None:
        chip.blockSignals(True)
        chip.setChecked(is_checked)
        chip.blockSignals(False)

    # --- what is chosen

    def _on_changed(self) -> None:
        self.changed.emit()

    def _on_name_edited(self, text: str) -> None:
        self.name_edited.emit(text)
        self.changed.emit()

    def _on_mint(self, is_on: bool) -> None:
        if is_on:
            self._set_checked(self.any_mint, False)
        self.changed.emit()

    def _on_any_mint(self, is_on: bool) -> None:
        for chip in self.mint_chips.values():
            self._set_checked(chip, not is_on)
        self.changed.emit()

    def _on_collectors(self) -> None:
        """Show the mints that strike for the album now; a new one is in where all others are."""
        series = self._series
        if series is None:
            return
        is_any = self.any_mint.isChecked()
        chosen = {mint: chip.isChecked() for mint, chip in self.mint_chips.items()}
        self._show_mints(series)
        for mint, chip in self.mint_chips.items():
            self._set_checked(chip, chosen.get(mint, all(chosen.values()) and not is_any))
        self._set_checked(self.any_mint, is_any)
        self.changed.emit()

    def _on_varieties(self, place: int) -> None:
        self.varieties_field.show_hint(VARIETY_HINTS[VARIETIES[place]])
        self.changed.emit()

    def _on_arrangement(self, kind: ArrangementKind) -> None:
        self.rows.blockSignals(True)
        self.rows.setMinimum(0 if kind.is_matrix else 1)
        self.rows.setValue(0 if kind.is_matrix else 5)
        self.rows.blockSignals(False)
        if kind is ArrangementKind.DATES_ONLY and len(self.mint_chips) > 1:
            self.any_mint.setChecked(True)  # one slot a date is what it asks for
        view = self._previewed
        is_map = kind is ArrangementKind.ROW_MAP
        if is_map and view is not None and not self.row_map.toPlainText().strip():
            self.row_map.setPlainText(map_lines(map_of(view.leaves)))
        self._show_sizes()
        self.changed.emit()

    def _show_sizes(self) -> None:
        kind = self.arrangement.choice()
        is_map = kind is ArrangementKind.ROW_MAP
        for part in (self.per_row, self._per_row_words):
            part.setVisible(not kind.is_matrix and not is_map)
        for part in (self.rows, self._rows_words):
            part.setVisible(not is_map)
        self.row_map.setVisible(is_map)

    def show_preview(self, view: AlbumView) -> None:
        """The album as it would be: tell how a row map does not fit its slots."""
        self._previewed = view
        text = misfit_text(view)
        self.arrangement_field.show_hint(text or self._map_hint())

    def _map_hint(self) -> str:
        is_map = self.arrangement.choice() is ArrangementKind.ROW_MAP
        return "A leaf a line; 4_4 has a spacer, 9*4 is four rows." if is_map else ""

    def _target_setter(self, text: str) -> Callable[[], None]:
        return lambda: self.target.setText(text)

    def read(self) -> tuple[AlbumPlan, Arrangement] | None:
        """All that is chosen; what cannot be read is told beside its field, and gives None."""
        series = self._series
        if series is None:
            return None
        years, mints, shape = self._years(series), self._mints_or_fault(), self._shape()
        is_faulty, target = self._target()
        if years is None or mints is None or is_faulty or shape is None:
            return None
        varieties = VARIETIES[max(0, self.varieties.choice())]
        plan = replace(
            self._plan,
            years=years[0],
            mints=mints,
            varieties=varieties,
            target=target,
            with_collectors=self.collectors.isChecked(),
        )
        return plan, shape

    def show_across(self, is_across: bool) -> None:
        """Whether the album is across series: dates, mints and varieties are of one alone."""
        for field in (self.years_field, self.mints_field, self.varieties_field):
            field.setVisible(not is_across)

    def read_shape(self) -> tuple[Target | None, Arrangement] | None:
        """What an album across series has of these fields; None where it cannot be read."""
        is_faulty, target = self._target()
        shape = self._shape()
        return None if is_faulty or shape is None else (target, shape)

    def _shape(self) -> Arrangement | None:
        """The arrangement with what else it had; None where the row map cannot be read."""
        kind, row_map = self.arrangement.choice(), self._arrangement.row_map
        self.arrangement_field.show_fault("")
        if kind is ArrangementKind.ROW_MAP:
            try:
                row_map = parse_lines(self.row_map.toPlainText())
            except BadEntry as fault:
                self.arrangement_field.show_fault(str(fault))
                return None
            return replace(self._arrangement, kind=kind, row_map=row_map)
        rows = self.rows.value() or None
        per_row = self._arrangement.per_row if kind.is_matrix else self.per_row.value()
        return replace(self._arrangement, kind=kind, per_row=per_row, rows_per_leaf=rows)

    def _mints(self) -> tuple[str, ...]:
        if self.any_mint.isChecked():
            return ANY_MINT
        chosen = tuple(mint for mint, chip in self.mint_chips.items() if chip.isChecked())
        if not chosen:
            raise BadEntry("Choose at least one mint.")
        return () if len(chosen) == len(self.mint_chips) else chosen

    def _years(self, series: Series) -> tuple[tuple[int, int] | None] | None:
        """The years in a tuple of one, None where they cannot be read."""
        try:
            years = read_years(series, self.first.text(), self.last.text())
        except BadEntry as fault:
            self.years_field.show_fault(str(fault))
            return None
        self.years_field.show_fault("")
        return (years,)

    def _mints_or_fault(self) -> tuple[str, ...] | None:
        try:
            mints = self._mints()
        except BadEntry as fault:
            self.mints_field.show_fault(str(fault))
            return None
        self.mints_field.show_fault("")
        return mints

    def _target(self) -> tuple[bool, Target | None]:
        try:
            target = parse_target(self.target.text())
        except BadGrade as fault:
            self.target_field.show_fault(str(fault))
            return True, None
        self.target_field.show_fault("")
        typed = self.target.text().strip()
        is_plain = target is None or target.text == typed
        self.target_field.show_hint("" if is_plain or target is None else f"reads {target.text}")
        return False, target

    def check_name(self, taken: Collection[str]) -> bool:
        """Tell beside the field what is wrong with the name; whether it can be used."""
        name = " ".join(self.name.text().split())
        fault = ""
        if not name:
            fault = "An album needs a name." if self._series is not None else ""
        elif name.casefold() in {other.casefold() for other in taken}:
            fault = f"There is an album called {name} already; choose another name."
        self.name_field.show_fault(fault)
        return not fault


class AlbumFoot:
    """The foot of a dialog: what is wrong, Cancel, and the button that does it, with its key."""

    def __init__(
        self, dialog: QDialog, text: str, act: Callable[[], None], key: str = "Enter"
    ) -> None:
        self.line = row(spacing=S)
        self.trouble = Label("", "fault", dialog, wraps=True)
        self.cancel = QuietButton("Cancel", dialog)
        self.cancel.clicked.connect(dialog.reject)
        self.give = PrimaryButton(text, dialog)
        self.give.setDefault(True)
        self.give.setEnabled(False)
        self.give.clicked.connect(act)
        self.line.addWidget(self.trouble, 1)
        self.line.addWidget(KeyHint("Esc", dialog))
        self.line.addWidget(self.cancel)
        self.line.addSpacing(S)
        self.line.addWidget(KeyHint(key, dialog))
        self.line.addWidget(self.give)
