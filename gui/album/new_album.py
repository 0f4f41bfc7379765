"""New album: choose a series and what of it, and see the leaves as they will stand."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QStringListModel, Qt, QTimer
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QCompleter,
    QDialog,
    QHBoxLayout,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from core.app.changes import Changes
from core.app.views import AlbumView
from core.app.work import Progress
from core.errors import BadEntry, BadGrade, CollectionError
from core.model.album import AlbumId, Arrangement, ArrangementKind, Target, parse_target
from core.model.issue import Series
from core.model.plan_album import AlbumPlan, Varieties
from gui.album.album_choice import (
    AlbumChoice,
    SeriesChoice,
    count_text,
    free_name,
    preview,
    read_years,
    struck_mints,
    suggested_name,
)
from gui.desk import Desk
from gui.flow_layout import FlowLayout
from gui.form_field import FormField
from gui.leaf.view import LeafView
from gui.theme import XL, XS, L, M, S, current_palette
from gui.two_lines import DETAIL_ROLE, TwoLines
from gui.widgets import (
    Chip,
    ElidedLabel,
    KeyHint,
    Label,
    PrimaryButton,
    QuietButton,
    ScrollColumn,
    Segmented,
    column,
    row,
)
from gui.work import Job

if TYPE_CHECKING:
    from core.app.collection import Collection

PREVIEW_AFTER_MS = 60
PREVIEW_ZOOM = 0.85
FIRST_COLUMN_PX, SECOND_COLUMN_PX = 288, 304
TARGETS = ("none", "G-4", "VF-20", "XF-40", "MS-63")
VARIETIES = (Varieties.NONE, Varieties.MAIN, Varieties.ALL)
VARIETY_HINTS = {
    Varieties.NONE: "One slot a date and mint; any variety of it fits.",
    Varieties.MAIN: "Optional slots for date sizes, metals and varieties that searchers do find.",
    Varieties.ALL: "Optional slots for every variety known of the series.",
}
ANY_MINT = ("any",)


@dataclass(frozen=True, slots=True)
class _Known:
    """What the dialog must know of the collection."""

    series: tuple[SeriesChoice, ...]
    names: list[str]


class NewAlbumDialog(QDialog):
    """Makes an album; `made` is its id afterwards."""

    def __init__(self, parent: QWidget | None, desk: Desk) -> None:
        super().__init__(parent)
        self.setWindowTitle("New album")
        self.setAccessibleName("New album")
        self.resize(1200, 720)
        self._desk = desk
        self.made: AlbumId | None = None
        self._known = _Known((), [])
        self._series: Series | None = None
        self._has_own_name = False
        self._job: Job | None = None
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(PREVIEW_AFTER_MS)
        self._timer.timeout.connect(self._draw_preview)
        self._build()
        self._no_button_but_the_first_takes_enter()
        desk.ask(_read_known, self._show_known)

    @staticmethod
    def ask(parent: QWidget | None, desk: Desk) -> AlbumId | None:
        """Show the dialog; the new album's id, None where it was left."""
        dialog = NewAlbumDialog(parent, desk)
        try:
            dialog.exec()
            return dialog.made
        finally:
            dialog.deleteLater()

    # --- building

    def _build(self) -> None:
        box = column(self, (XL, XL, XL, L), L)
        box.addWidget(Label("New album", "title", self))
        middle = row(spacing=XL)
        middle.addLayout(self._build_choices())
        middle.addLayout(self._build_preview(), 1)
        box.addLayout(middle, 1)
        box.addLayout(self._build_foot())

    def _build_choices(self) -> QHBoxLayout:
        """Two columns: what the album is of, then how it is to be."""
        left = QWidget(self)
        left.setFixedWidth(FIRST_COLUMN_PX)
        first = column(left, spacing=L)
        first.addWidget(self._build_series(left), 1)
        first.addWidget(self._build_name(left))
        first.addWidget(self._build_years(left))
        scroll = ScrollColumn(self, (0, 0, S, 0), XL)
        scroll.setFixedWidth(SECOND_COLUMN_PX)
        for field in (
            self._build_mints(scroll.inside),
            self._build_varieties(scroll.inside),
            self._build_target(scroll.inside),
            self._build_arrangement(scroll.inside),
        ):
            scroll.box.addWidget(field)
        scroll.box.addStretch(1)
        both = row(spacing=XL)
        both.addWidget(left)
        both.addWidget(scroll)
        return both

    def _build_series(self, parent: QWidget) -> QWidget:
        content = column(spacing=S)
        self.search = QLineEdit(parent)
        self.search.setPlaceholderText("Search by title, issuer or date")
        self.search.setAccessibleName("Search the series")
        self.search.textChanged.connect(self._filter_series)
        self.search.installEventFilter(self)
        self.series_list = QListWidget(parent)
        self.series_list.setAccessibleName("Series")
        self.series_list.setItemDelegate(TwoLines(self.series_list))
        self.series_list.setMinimumHeight(112)
        self.series_list.setMouseTracking(True)
        self.series_list.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.series_list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.series_list.currentItemChanged.connect(self._on_series_chosen)
        content.addWidget(self.search)
        content.addWidget(self.series_list)
        self._series_field = FormField("Series", content, parent, "Reading the series …")
        return self._series_field

    def _build_name(self, parent: QWidget) -> QWidget:
        self.name = QLineEdit(parent)
        self.name.setMaxLength(120)
        self.name.textEdited.connect(self._on_name_edited)
        self._name_field = FormField("Name", self.name, parent)
        return self._name_field

    def _build_years(self, parent: QWidget) -> QWidget:
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
        self._years_field = FormField("Dates", content, parent)
        return self._years_field

    def _build_mints(self, parent: QWidget) -> QWidget:
        self._mint_box = FlowLayout(spacing_x=S, spacing_y=S)
        self.mint_chips: dict[str, Chip] = {}
        self.any_mint = Chip("any mint: one slot a date", None, parent)
        self.any_mint.toggled.connect(self._on_any_mint)
        self._mint_box.addWidget(self.any_mint)
        self._mints_field = FormField("Mints", self._mint_box, parent)
        return self._mints_field

    def _build_varieties(self, parent: QWidget) -> QWidget:
        self.varieties = Segmented([str(v) for v in VARIETIES], "Varieties", parent)
        self.varieties.choose(0)
        self.varieties.chosen.connect(self._on_varieties)
        hint = VARIETY_HINTS[Varieties.NONE]
        self._varieties_field = FormField("Varieties", self.varieties, parent, hint)
        return self._varieties_field

    def _build_target(self, parent: QWidget) -> QWidget:
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
        self._target_field = FormField("Target for every slot", content, parent)
        return self._target_field

    def _build_arrangement(self, parent: QWidget) -> QWidget:
        content = column(spacing=S)
        self.arrangement = Segmented(["years × mints", "running"], "Arrangement", parent)
        self.arrangement.choose(0)
        self.arrangement.chosen.connect(self._on_arrangement)
        self.per_row = self._count_field("Slots a row", 9, 1, parent)
        self.rows = self._count_field("Rows a leaf", 0, 0, parent)
        self.rows.setSpecialValueText("even")
        sizes = row(spacing=S)
        self._per_row_words = Label("slots a row,", "mute", parent)
        sizes.addWidget(self.per_row)
        sizes.addWidget(self._per_row_words)
        sizes.addWidget(self.rows)
        sizes.addWidget(Label("rows a leaf", "mute", parent))
        sizes.addStretch(1)
        content.addWidget(self.arrangement)
        content.addLayout(sizes)
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

    def _build_preview(self) -> QVBoxLayout:
        words = row(spacing=M)
        self.preview_name = ElidedLabel("", "heading", self)
        self.preview_count = Label("", "mute", self)
        words.addWidget(self.preview_name, 1)
        words.addWidget(self.preview_count)
        self.leaf = LeafView(self)
        self.leaf.set_palette_colours(current_palette())
        self.leaf.setAccessibleName("Preview of the album")
        box = column(spacing=S)
        box.addLayout(words)
        box.addWidget(self.leaf, 1)
        return box

    def _build_foot(self) -> QHBoxLayout:
        foot = row(spacing=S)
        self._trouble = Label("", "fault", self, wraps=True)
        self._cancel = QuietButton("Cancel", self)
        self._cancel.clicked.connect(self.reject)
        self.make = PrimaryButton("Make the album", self)
        self.make.setDefault(True)
        self.make.setEnabled(False)
        self.make.clicked.connect(self._on_make)
        foot.addWidget(self._trouble, 1)
        foot.addWidget(KeyHint("Esc", self))
        foot.addWidget(self._cancel)
        foot.addSpacing(S)
        foot.addWidget(KeyHint("Enter", self))
        foot.addWidget(self.make)
        return foot

    def _no_button_but_the_first_takes_enter(self) -> None:
        for button in self.findChildren(QPushButton):
            button.setAutoDefault(button is self.make)

    # --- what there is to choose from

    def _show_known(self, known: _Known) -> None:
        self._known = known
        self._series_field.show_hint("")
        self._filter_series()
        self.search.setFocus(Qt.FocusReason.OtherFocusReason)

    def _filter_series(self) -> None:
        typed, before = self.search.text(), self._series
        self.series_list.clear()
        met = [(at, c) for at, c in enumerate(self._known.series) if c.is_met_by(typed)]
        met.sort(key=lambda pair: typed.casefold() not in pair[1].series.title.casefold())
        for place, choice in met:
            item = QListWidgetItem(choice.series.title)
            item.setData(DETAIL_ROLE, choice.detail)
            item.setData(Qt.ItemDataRole.UserRole, place)
            spoken = f"{choice.series.title}, {choice.detail}"
            item.setData(Qt.ItemDataRole.AccessibleTextRole, spoken)
            self.series_list.addItem(item)
            if before is not None and choice.series.id == before.id:
                self.series_list.setCurrentItem(item)
        kept = before.title if before is not None and self.series_list.currentRow() >= 0 else ""
        if met and (not kept or self._is_meant_more(typed, met[0][1], kept)):
            self.series_list.setCurrentRow(0)
        is_none = self._known.series and not self.series_list.count()
        self._series_field.show_fault("No series is called that." if is_none else "")

    @staticmethod
    def _is_meant_more(typed: str, first: SeriesChoice, title: str) -> bool:
        """Whether what is typed stands in the first title, but not in the chosen one."""
        word = typed.strip().casefold()
        return word in first.series.title.casefold() and word not in title.casefold()

    def _on_series_chosen(self, item: QListWidgetItem | None, _before: object = None) -> None:
        if item is None:
            return
        series = self._known.series[int(item.data(Qt.ItemDataRole.UserRole))].series
        if self._series is not None and series.id == self._series.id:
            return
        self._series = series
        self._dates.setStringList([date for date, _ in series.dates])
        for field, date in ((self.first, series.dates[0][0]), (self.last, series.dates[-1][0])):
            field.blockSignals(True)
            field.setText(date)
            field.blockSignals(False)
        self._show_mints(series)
        self._on_changed()

    def _show_mints(self, series: Series) -> None:
        for chip in self.mint_chips.values():
            self._mint_box.removeWidget(chip)
            chip.hide()
            chip.deleteLater()
        self._mint_box.removeWidget(self.any_mint)
        self.mint_chips = {}
        for mint in struck_mints(series):
            chip = Chip(f"{mint.id}  {mint.name}", None, self._mints_field)
            chip.setAccessibleName(f"{mint.name}, {mint.id}")
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

    def _on_name_edited(self, text: str) -> None:
        self._has_own_name = bool(text.strip())
        self._on_changed()

    def _on_mint(self, is_on: bool) -> None:
        if is_on:
            self._set_checked(self.any_mint, False)
        self._on_changed()

    def _on_any_mint(self, is_on: bool) -> None:
        for chip in self.mint_chips.values():
            self._set_checked(chip, not is_on)
        self._on_changed()

    def _on_varieties(self, place: int) -> None:
        self._varieties_field.show_hint(VARIETY_HINTS[VARIETIES[place]])
        self._on_changed()

    def _on_arrangement(self, place: int) -> None:
        self.rows.blockSignals(True)
        self.rows.setMinimum(place)
        self.rows.setValue(5 if place else 0)
        self.rows.blockSignals(False)
        self._show_sizes()
        self._on_changed()

    def _show_sizes(self) -> None:
        is_running = self.arrangement.choice() == 1
        self.per_row.setVisible(is_running)
        self._per_row_words.setVisible(is_running)

    def _target_setter(self, text: str) -> Callable[[], None]:
        return lambda: self.target.setText(text)

    def _mints(self) -> tuple[str, ...]:
        if self.any_mint.isChecked():
            return ANY_MINT
        chosen = tuple(mint for mint, chip in self.mint_chips.items() if chip.isChecked())
        if not chosen:
            raise BadEntry("Choose at least one mint.")
        return () if len(chosen) == len(self.mint_chips) else chosen

    def _arrangement(self) -> Arrangement:
        rows = self.rows.value() or None
        if self.arrangement.choice() == 1:
            return Arrangement(ArrangementKind.RUNNING, self.per_row.value(), rows)
        return Arrangement(ArrangementKind.YEARS_BY_MINTS, rows_per_leaf=rows)

    def _read(self) -> AlbumChoice | None:
        """All that is chosen; what cannot be read is told beside its field, and gives None."""
        series = self._series
        if series is None:
            return None
        years, mints = self._years(series), self._mints_or_fault()
        is_faulty, target = self._target()
        if years is None or mints is None or is_faulty:
            return None
        varieties = VARIETIES[max(0, self.varieties.choice())]
        plan = AlbumPlan(years[0], mints, varieties, target)
        return AlbumChoice(series, plan, self._arrangement())

    def _years(self, series: Series) -> tuple[tuple[int, int] | None] | None:
        """The years in a tuple of one, None where they cannot be read."""
        try:
            years = read_years(series, self.first.text(), self.last.text())
        except BadEntry as fault:
            self._years_field.show_fault(str(fault))
            return None
        self._years_field.show_fault("")
        return (years,)

    def _mints_or_fault(self) -> tuple[str, ...] | None:
        try:
            mints = self._mints()
        except BadEntry as fault:
            self._mints_field.show_fault(str(fault))
            return None
        self._mints_field.show_fault("")
        return mints

    def _target(self) -> tuple[bool, Target | None]:
        try:
            target = parse_target(self.target.text())
        except BadGrade as fault:
            self._target_field.show_fault(str(fault))
            return True, None
        self._target_field.show_fault("")
        typed = self.target.text().strip()
        is_plain = target is None or target.text == typed
        self._target_field.show_hint("" if is_plain or target is None else f"reads {target.text}")
        return False, target

    def _on_changed(self) -> None:
        self._trouble.setText("")
        choice = self._read()
        if choice is not None and not self._has_own_name:
            name = suggested_name(choice.series, choice.plan.years)
            self.name.setText(free_name(name, self._known.names))
        self._check_name()
        self.make.setEnabled(choice is not None and not self._name_field.fault)
        self.preview_name.show_text(self.name.text())
        if choice is not None:
            self._timer.start()

    def _check_name(self) -> None:
        name = " ".join(self.name.text().split())
        fault = ""
        if not name:
            fault = "An album needs a name." if self._series is not None else ""
        elif name.casefold() in {other.casefold() for other in self._known.names}:
            fault = f"There is an album called {name} already; choose another name."
        self._name_field.show_fault(fault)

    # --- the preview

    def _draw_preview(self) -> None:
        choice = self._read()
        if choice is None:
            return
        if self._job is not None:
            self._job.cancel()
        name = self.name.text()

        def work(_progress: Progress) -> AlbumView:
            return preview(choice, name)

        self._job = self._desk.runner.submit_drawing(work, self._show_preview, self._on_no_preview)

    def _show_preview(self, view: AlbumView) -> None:
        self.preview_count.setText(count_text(view))
        leaf = self.leaf
        leaf.show_plan(view.plan, current_palette(), keep_position=False)
        leaf.clearSelection()
        leaf.set_zoom(PREVIEW_ZOOM)
        beyond, width = leaf.horizontalScrollBar().maximum(), leaf.viewport().width()
        if beyond > 0:
            leaf.set_zoom(PREVIEW_ZOOM * width / (width + beyond) * 0.98)

    def _on_no_preview(self, error: Exception) -> None:
        if not isinstance(error, CollectionError):
            self._desk.show_failure(error)
            return
        self._years_field.show_fault(str(error))
        self.preview_count.setText("no slots")
        self.make.setEnabled(False)

    # --- making it

    def _on_make(self) -> None:
        choice = self._read()
        if choice is None or self.name_is_faulty():
            return
        from core.app.operations import add_album

        self.make.setEnabled(False)
        self._trouble.setText("")
        operation = add_album(self.name.text(), choice.series.id, choice.plan, choice.arrangement)
        self._desk.run(operation, self._on_made, failed=self._on_not_made)

    def name_is_faulty(self) -> bool:
        """Whether the name cannot be used."""
        self._check_name()
        return bool(self._name_field.fault)

    def _on_made(self, changes: Changes) -> None:
        self.made = changes.made_album
        self.accept()

    def _on_not_made(self, error: Exception) -> None:
        self.make.setEnabled(True)
        if isinstance(error, CollectionError):
            self._trouble.setText(str(error))
        else:
            self._desk.show_failure(error)

    # --- keys

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if (
            watched is self.search
            and event.type() == QEvent.Type.KeyPress
            and isinstance(event, QKeyEvent)
            and event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Up)
        ):
            step = 1 if event.key() == Qt.Key.Key_Down else -1
            last = self.series_list.count() - 1
            self.series_list.setCurrentRow(max(0, min(last, self.series_list.currentRow() + step)))
            return True
        return super().eventFilter(watched, event)

    def done(self, result: int) -> None:
        self._timer.stop()
        if self._job is not None:
            self._job.cancel()
        super().done(result)


def _read_known(collection: "Collection") -> _Known:
    in_use = {series.id for series in collection.series_in_use}
    choices = [SeriesChoice(s, s.id in in_use) for s in collection.all_series()]
    return _Known(tuple(choices), [album.name for album in collection.albums()])
