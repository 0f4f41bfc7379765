"""New album: choose a series and what of it, and see the leaves as they will stand."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, Qt, QTimer
from PySide6.QtGui import QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QHBoxLayout,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QWidget,
)

from core.app.changes import Changes
from core.app.views import AlbumView
from core.app.work import Progress
from core.errors import CollectionError
from core.model.album import AlbumId, AlbumKind
from core.model.arrangement import Arrangement
from core.model.issue import Series, SeriesId
from core.model.plan_across import usual_shape
from gui.album.across_fields import AcrossFields
from gui.album.album_choice import (
    AcrossChoice,
    AlbumChoice,
    SeriesChoice,
    free_name,
    preview,
    preview_across,
    suggested_across,
    suggested_name,
)
from gui.album.album_fields import AlbumFields, AlbumFoot
from gui.album.album_preview import AlbumPreview
from gui.album.series_note import SeriesNote
from gui.album.show_overview import WHAT_IT_IS
from gui.desk import Desk
from gui.form_field import FormField
from gui.segmented import Segmented
from gui.theme import XL, L, S
from gui.two_lines import DETAIL_ROLE, TwoLines
from gui.widgets import KeyHint, Label, QuietButton, ScrollColumn, column, row
from gui.work import Job

if TYPE_CHECKING:
    from core.app.collection import Collection

PREVIEW_AFTER_MS = 60
OF_PX = 400
ONE_SERIES, TYPES, A_YEAR = range(3)
OF_WHAT = ("One series", "Types of several", "A year")
OF_TIPS = (
    "Dates and mints of one series",
    "A type album: one slot a design of each series",
    "A year set: the coins of one year, of several series",
)
KINDS = (AlbumKind.HOLDER, AlbumKind.OVERVIEW)
KIND_HINTS = ("Its coins sit in it.", f"{WHAT_IT_IS[:1].upper()}{WHAT_IT_IS[1:]}.")
FIRST_COLUMN_PX, SECOND_COLUMN_PX = 288, 304


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
        self._has_own_name = self._has_own_shape = False
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
        top = row(spacing=XL)
        top.addWidget(Label("New album", "title", self))
        self.of = Segmented(OF_WHAT, "An album of", self)
        self.of.choose(ONE_SERIES)
        self.of.setFixedWidth(OF_PX)
        self.of.chosen.connect(self._on_of_what)
        for place, button in enumerate(self.of.buttons):
            button.setToolTip(f"{OF_TIPS[place]} (Alt+{place + 1})")
            QShortcut(QKeySequence(f"Alt+{place + 1}"), self, button.click)
        top.addWidget(self.of)
        top.addStretch(1)
        box.addLayout(top)
        middle = row(spacing=XL)
        middle.addLayout(self._build_choices())
        self.preview = AlbumPreview(self)
        middle.addWidget(self.preview, 1)
        box.addLayout(middle, 1)
        box.addLayout(self._build_foot())

    def _build_choices(self) -> QHBoxLayout:
        """Two columns: what the album is of, then how it is to be."""
        left = QWidget(self)
        left.setFixedWidth(FIRST_COLUMN_PX)
        first = column(left, spacing=L)
        first.addWidget(self._build_series(left), 1)
        self.across = AcrossFields(self)
        self.across.changed.connect(self._on_across_changed)
        self.across.series_field.hide()
        self.across.show_year_set(False)
        first.addWidget(self.across.series_field, 1)
        first.addWidget(self.across.year_field)
        self.fields = fields = AlbumFields(self)
        fields.arrangement.chosen.connect(self._on_own_shape)
        fields.changed.connect(self._on_changed)
        fields.name_edited.connect(self._on_name_edited)
        fields.name.editingFinished.connect(self._on_name_left)
        first.addWidget(fields.name_field)
        first.addWidget(fields.years_field)
        scroll = self._scroll = ScrollColumn(self, (0, 0, S, 0), XL)
        scroll.setFixedWidth(SECOND_COLUMN_PX)
        for field in (
            fields.mints_field,
            fields.collectors_field,
            fields.varieties_field,
            fields.target_field,
            self._build_kind(),
            fields.arrangement_field,
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
        self.series_note = SeriesNote(parent)
        content.addWidget(self.series_note)
        own = row(spacing=S)
        self.own_series = QuietButton("A series of your own…", parent, "link")
        QShortcut(QKeySequence("Alt+S"), self, self._make_own_series)
        self.own_series.setToolTip("Make one, then an album of it (Alt+S)")
        self.own_series.clicked.connect(self._make_own_series)
        own.addWidget(self.own_series)
        own.addWidget(KeyHint("Alt+S", parent))
        own.addStretch(1)
        content.addLayout(own)
        self._series_field = FormField("Series", content, parent, "Reading the series …")
        return self._series_field

    def _build_kind(self) -> FormField:
        self.kind = Segmented(["holds coins", "overview"], "Kind of album", self)
        self.kind.choose(0)
        self.kind.chosen.connect(self._on_kind)
        self._kind_field = FormField("Kind of album", self.kind, self, KIND_HINTS[0])
        return self._kind_field

    def _build_foot(self) -> QHBoxLayout:
        foot = AlbumFoot(self, "Make the album", self._on_make)
        self._trouble, self._cancel, self.make = foot.trouble, foot.cancel, foot.give
        return foot.line

    def _no_button_but_the_first_takes_enter(self) -> None:
        for button in self.findChildren(QPushButton):
            button.setAutoDefault(button is self.make)

    # --- what there is to choose from

    def _show_known(self, known: _Known) -> None:
        self._known = known
        self._series_field.show_hint("")
        self._filter_series()
        self.across.show_choices(known.series)
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
        self.series_note.show_text(series.note)
        self.fields.show_series(series)
        self._on_changed()

    def _make_own_series(self) -> None:
        """A series of one's own, which is then the one chosen."""
        from core.catalogue.draft import empty_draft
        from gui.series.editor import SeriesEditor

        taken = [str(choice.series.id) for choice in self._known.series]
        saved = SeriesEditor.ask(self, self._desk, empty_draft(), taken, True)
        if saved is not None:
            self._desk.ask(_read_known, lambda known: self._show_own(known, saved))

    def _show_own(self, known: _Known, own: SeriesId) -> None:
        self.search.clear()
        self._series = None
        self._show_known(known)
        ids = [choice.series.id for choice in known.series]
        for at in range(self.series_list.count()):
            item = self.series_list.item(at)
            if ids[int(item.data(Qt.ItemDataRole.UserRole))] == own:
                self.series_list.setCurrentItem(item)

    # --- what is chosen

    def _on_name_edited(self, _text: str) -> None:
        self._has_own_name = True

    def _on_name_left(self) -> None:
        """The name suggested comes back to a field that is left empty, not while one types."""
        name = self.fields.name
        if self._has_own_name and not name.text().strip() and not name.hasFocus():
            self._has_own_name = False
            self._on_changed()

    @property
    def _is_across(self) -> bool:
        return self.of.choice() != ONE_SERIES

    def _on_of_what(self, place: int) -> None:
        """One series, types of several, or a year: show the fields of that."""
        is_across = place != ONE_SERIES
        self._series_field.setVisible(not is_across)
        self.across.series_field.setVisible(is_across)
        self.across.show_year_set(place == A_YEAR)
        self.fields.show_across(is_across)
        if is_across and not self.across.chosen and self._series is not None:
            self.across.choose(self._series.id)
        if not is_across and self._series is not None:
            self.fields.show_series(self._series)
            self.fields.show_shape(Arrangement())
        asks_year = place == A_YEAR and not self.across.year.text()
        first = self.across.year if asks_year else self.across.search
        (first if is_across else self.search).setFocus()
        self._has_own_shape = False
        if is_across:
            self._on_across_changed()
        else:
            self._on_changed()

    def _on_across_changed(self) -> None:
        """Other series, another year: the collectors' issues and the usual shape follow."""
        if not self._is_across:
            return
        chosen = self.across.chosen
        has_theirs = any(series.has_collectors_issues for series in chosen)
        self.fields.collectors_field.setVisible(has_theirs)
        self.fields.collectors_field.show_hint("")
        plan = self.across.read(None, with_collectors=self.fields.collectors.isChecked())
        if plan is not None and not self._has_own_shape:
            self.fields.show_shape(usual_shape(plan))
        self._on_changed()

    def _on_own_shape(self) -> None:
        self._has_own_shape = True
        self._scroll.show_whole(self.fields.arrangement_field)

    def _on_kind(self, place: int) -> None:
        self._kind_field.show_hint(KIND_HINTS[place])

    def _read(self) -> AlbumChoice | AcrossChoice | None:
        """All that is chosen; None where something cannot be read."""
        if self._is_across:
            rest = self.fields.read_shape()
            target, shape = rest or (None, Arrangement())
            theirs = self.fields.collectors.isChecked()
            plan = self.across.read(target, with_collectors=theirs)
            if rest is None or plan is None:
                return None
            return AcrossChoice(tuple(self.across.chosen), plan, shape)
        read = self.fields.read()
        return AlbumChoice(self._series, *read) if read and self._series else None

    def _suggested(self, choice: AlbumChoice | AcrossChoice) -> str:
        if isinstance(choice, AcrossChoice):
            return suggested_across(choice.series, choice.plan)
        every = [known.series for known in self._known.series]
        return suggested_name(choice.series, choice.plan.years, every)

    def _on_changed(self) -> None:
        self._trouble.setText("")
        choice = self._read()
        name = self.fields.name
        if choice is not None or self._is_across:
            suggested = "" if choice is None else self._suggested(choice)
            suggested = free_name(suggested, self._known.names) if suggested else ""
            waits_for_year = self.of.choice() == A_YEAR and not suggested
            name.setPlaceholderText("The year …" if waits_for_year else suggested)
            if not self._has_own_name:
                name.setText(suggested)
        has_name = self.fields.check_name(self._known.names)
        if choice is None and not name.text():
            self.fields.name_field.show_fault("")  # it is named after what is chosen
        self.make.setEnabled(choice is not None and has_name)
        self.preview.name.show_text(name.text())
        if choice is not None:
            self._timer.start()
        elif self._is_across:
            self.preview.show_nothing()
        self._keep_in_sight()

    def _keep_in_sight(self) -> None:
        """What is said of a row map makes its field longer."""
        if self.fields.arrangement.hasFocus() or self.fields.row_map.hasFocus():
            self._scroll.show_whole(self.fields.arrangement_field)

    # --- the preview

    def _draw_preview(self) -> None:
        choice = self._read()
        if choice is None:
            return
        if self._job is not None:
            self._job.cancel()
        name = self.fields.name.text()

        def work(_progress: Progress) -> AlbumView:
            if isinstance(choice, AcrossChoice):
                return preview_across(choice, name)
            return preview(choice, name)

        self._job = self._desk.runner.submit_drawing(work, self._show_preview, self._on_no_preview)

    def _show_preview(self, view: AlbumView) -> None:
        self.preview.show_view(view)
        self.fields.show_preview(view)
        self._keep_in_sight()

    def _on_no_preview(self, error: Exception) -> None:
        if not isinstance(error, CollectionError):
            self._desk.show_failure(error)
            return
        if self._is_across:
            self.across.show_refusal(str(error))
        else:
            self.fields.years_field.show_fault(str(error))
        self.preview.show_nothing()
        self.make.setEnabled(False)

    # --- making it

    def _on_make(self) -> None:
        choice = self._read()
        if choice is None or not self.fields.check_name(self._known.names):
            return
        from core.app.across import add_album_across
        from core.app.operations import add_album

        self.make.setEnabled(False)
        self._trouble.setText("")
        name, shape = self.fields.name.text(), choice.arrangement
        kind = KINDS[max(0, self.kind.choice())]
        if isinstance(choice, AcrossChoice):
            operation = add_album_across(name, choice.plan, shape, kind)
        else:
            operation = add_album(name, choice.series.id, choice.plan, shape, kind)
        self._desk.run(operation, self._on_made, failed=self._on_not_made)

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
