"""The fields of an album across series: which series, and of which year where it is a year set."""

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractItemView, QLineEdit, QListWidget, QListWidgetItem, QWidget

from core.model.album import Target
from core.model.issue import Series, SeriesId
from core.model.plan_across import AcrossPlan, without_that_year
from gui.album.album_choice import SeriesChoice
from gui.form_field import FormField
from gui.theme import S
from gui.two_lines import DETAIL_ROLE, TwoLines
from gui.widgets import Chip, QuietButton, column, row

_STATE = Qt.ItemDataRole.CheckStateRole
_PLACE = Qt.ItemDataRole.UserRole
MOST_TOLD = 3


class AcrossFields(QObject):
    """Builds the fields, each with its fault line, and reads them."""

    changed = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._choices: tuple[SeriesChoice, ...] = ()
        self._chosen: list[SeriesId] = []
        self._has_year = False
        self.series_field = self._build_series(parent)
        self.year_field = self._build_year(parent)

    # --- building

    def _build_series(self, parent: QWidget) -> FormField:
        content = column(spacing=S)
        self.search = QLineEdit(parent)
        self.search.setPlaceholderText("Search by title, issuer or date")
        self.search.setAccessibleName("Search the series of the album")
        self.search.textChanged.connect(self._fill)
        self.search.installEventFilter(self)
        self.series_list = QListWidget(parent)
        self.series_list.setAccessibleName("Series, several may be chosen")
        self.series_list.setItemDelegate(TwoLines(self.series_list))
        self.series_list.setMinimumHeight(160)
        self.series_list.setMouseTracking(True)
        self.series_list.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.series_list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.series_list.itemClicked.connect(self._toggle)
        self.series_list.installEventFilter(self)
        content.addWidget(self.search)
        content.addWidget(self.series_list, 1)
        line = row(spacing=S)
        self.none_button = QuietButton("Choose none", parent, "link")
        self.none_button.setToolTip("Take every series out of the choice")
        self.none_button.clicked.connect(self._choose_none)
        line.addWidget(self.none_button)
        line.addStretch(1)
        content.addLayout(line)
        return FormField("Series", content, parent)

    def _build_year(self, parent: QWidget) -> FormField:
        content = row(spacing=S)
        self.year = QLineEdit(parent)
        self.year.setAccessibleName("Year")
        self.year.setPlaceholderText("1964")
        self.year.setMaxLength(4)
        self.year.setFixedWidth(80)
        self.year.textChanged.connect(self._on_changed)
        self.each_mint = Chip("a slot for each mint", None, parent)
        self.each_mint.setToolTip("One slot a mint, not one whatever the mint (Space)")
        self.each_mint.toggled.connect(self._on_changed)
        content.addWidget(self.year)
        content.addWidget(self.each_mint)
        content.addStretch(1)
        return FormField("Year", content, parent)

    # --- what is shown

    def show_choices(self, choices: Sequence[SeriesChoice]) -> None:
        """The series there are; those chosen stay so."""
        self._choices = tuple(choices)
        self._fill()

    def show_year_set(self, is_year_set: bool) -> None:
        """Whether a year is asked for; tells nobody."""
        self._has_year = is_year_set
        self.year_field.setVisible(is_year_set)

    def show_plan(self, plan: AcrossPlan) -> None:
        """An album as it is; tells nobody."""
        self.blockSignals(True)
        self._chosen = list(plan.series)
        self.show_year_set(not plan.is_types)
        self.year.setText("" if plan.year is None else str(plan.year))
        self.each_mint.setChecked(plan.each_mint)
        self._fill()
        self.blockSignals(False)

    def _fill(self) -> None:
        """The series that meet what is typed; those chosen are checked."""
        typed = self.search.text()
        at_row = self.series_list.currentRow()
        before = self._id_of(self.series_list.item(at_row)) if at_row >= 0 else None
        self.series_list.clear()
        met = [(at, c) for at, c in enumerate(self._choices) if c.is_met_by(typed)]
        for at, choice in met:
            series = choice.series
            item = QListWidgetItem(series.title)
            item.setData(DETAIL_ROLE, choice.detail)
            item.setData(_PLACE, at)
            self.series_list.addItem(item)
            self._check(item, series.id in self._chosen)
            if series.id == before:
                self.series_list.setCurrentItem(item)
        if self.series_list.currentRow() < 0 and met:
            self.series_list.setCurrentRow(0)
        self._tell()

    def _check(self, item: QListWidgetItem, is_on: bool) -> None:
        item.setData(_STATE, Qt.CheckState.Checked if is_on else Qt.CheckState.Unchecked)
        said = f"{item.text()}, {item.data(DETAIL_ROLE)}, {'chosen' if is_on else 'not chosen'}"
        item.setData(Qt.ItemDataRole.AccessibleTextRole, said)

    def _tell(self) -> None:
        """How many are chosen, and which."""
        names = [one.title for one in self.chosen]
        self.none_button.setVisible(bool(names))
        if not names:
            self.series_field.show_hint("Click, or Space, chooses one; choose several.")
            return
        more = f" and {len(names) - MOST_TOLD} more" if len(names) > MOST_TOLD else ""
        self.series_field.show_hint(f"Chosen: {', '.join(names[:MOST_TOLD])}{more}.")

    # --- what is chosen

    @property
    def chosen(self) -> list[Series]:
        """The series chosen, in the order in which they were."""
        known = {choice.series.id: choice.series for choice in self._choices}
        return [known[code] for code in self._chosen if code in known]

    def _id_of(self, item: QListWidgetItem) -> SeriesId:
        return self._choices[int(item.data(_PLACE))].series.id

    def choose(self, series: SeriesId) -> None:
        """Choose a series, or take it out of the choice."""
        if series in self._chosen:
            self._chosen.remove(series)
        else:
            self._chosen.append(series)
        for at in range(self.series_list.count()):
            item = self.series_list.item(at)
            self._check(item, self._id_of(item) in self._chosen)
        self._tell()
        self._on_changed()

    def _toggle(self, item: QListWidgetItem) -> None:
        self.choose(self._id_of(item))

    def _choose_none(self) -> None:
        self._chosen = []
        self._fill()
        self.series_list.setFocus(Qt.FocusReason.OtherFocusReason)
        self._on_changed()

    def _on_changed(self) -> None:
        self.changed.emit()

    def read(self, target: Target | None, *, with_collectors: bool) -> AcrossPlan | None:
        """All that is chosen; what cannot be read is told beside its field, and gives None."""
        chosen = self.chosen
        self.series_field.show_fault("")
        self.year_field.show_fault("")
        if not chosen:
            return None
        codes = tuple(series.id for series in chosen)
        if not self._has_year:
            return AcrossPlan(codes, target=target, with_collectors=with_collectors)
        typed = self.year.text().strip()
        if not (typed.isascii() and typed.isdigit() and len(typed) == 4):
            self.year_field.show_fault("Write the year in full, such as 1964." if typed else "")
            return None
        without = without_that_year(chosen, int(typed), with_collectors=with_collectors)
        names = ", ".join(series.title for series in without[:MOST_TOLD])
        self.year_field.show_hint(f"None that year: {names}." if len(without) > 0 else "")
        return AcrossPlan(
            codes, int(typed), self.each_mint.isChecked(), target, with_collectors=with_collectors
        )

    def show_refusal(self, text: str) -> None:
        """Why these choices give no slot."""
        (self.year_field if self._has_year else self.series_field).show_fault(text)

    # --- keys

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Up and Down in the search go through the list; Enter and Space there choose."""
        if event.type() != QEvent.Type.KeyPress or not isinstance(event, QKeyEvent):
            return super().eventFilter(watched, event)
        key, place = event.key(), self.series_list.currentRow()
        if watched is self.search and key in (Qt.Key.Key_Down, Qt.Key.Key_Up):
            step = 1 if key == Qt.Key.Key_Down else -1
            last = self.series_list.count() - 1
            self.series_list.setCurrentRow(max(0, min(last, self.series_list.currentRow() + step)))
            return True
        is_enter = key in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        is_typed = watched is self.search and self.search.text() and is_enter
        is_listed = watched is self.series_list and (is_enter or key == Qt.Key.Key_Space)
        if place >= 0 and (is_typed or is_listed):
            self._toggle(self.series_list.item(place))
            if is_typed:
                self.search.clear()
            return True
        return super().eventFilter(watched, event)
