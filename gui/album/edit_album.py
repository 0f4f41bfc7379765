"""Edit an album: its fields, its leaves as they would stand, and by name what would fall out."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QCompleter,
    QDialog,
    QHBoxLayout,
    QLineEdit,
    QListWidget,
    QPlainTextEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from core.app.changes import Changes
from core.app.views import AlbumView
from core.app.work import Progress
from core.errors import CollectionError
from core.model.album import AlbumId
from gui.album.across_fields import AcrossFields
from gui.album.album_choice import SeriesChoice
from gui.album.album_fields import AlbumFields, AlbumFoot
from gui.album.album_preview import AlbumPreview
from gui.desk import Desk
from gui.form_field import FormField
from gui.theme import XL, XS, L, M, S
from gui.widgets import (
    Card,
    Chip,
    Label,
    ScrollColumn,
    column,
    row,
)
from gui.work import Job

if TYPE_CHECKING:
    from core.app.album_edit import AlbumEdit, EditChoice, FallingOut
    from core.app.collection import Collection

PREVIEW_AFTER_MS = 60
FIRST_COLUMN_PX, SECOND_COLUMN_PX = 272, 304
NOTE_PX, LEAST_NOTE_PX, MOST_LINES = 160, 56, 6
AGREE = "They may become spares"


@dataclass(frozen=True, slots=True)
class _Known:
    """The album as it is, and the names of the others."""

    view: AlbumView
    now: "EditChoice"
    own_targets: int
    names: tuple[str, ...]
    titles: tuple[str, ...]
    choices: tuple[SeriesChoice, ...]


@dataclass(frozen=True, slots=True)
class _Planned:
    """What was chosen, what that would do, and how it would look."""

    choice: "EditChoice"
    edit: "AlbumEdit"
    view: AlbumView


class EditAlbumDialog(QDialog):
    """Changes an album; coins keep their slots where those stay."""

    def __init__(self, parent: QWidget | None, desk: Desk, album: AlbumId) -> None:
        super().__init__(parent)
        self.setWindowTitle("Edit the album")
        self.setAccessibleName("Edit the album")
        self.resize(1200, 720)
        self._desk, self._album = desk, album
        self.is_changed = False
        self._known: _Known | None = None
        self._planned: _Planned | None = None
        self._asked_of: tuple[FallingOut, ...] = ()
        self._job: Job | None = None
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(PREVIEW_AFTER_MS)
        self._timer.timeout.connect(self._plan)
        self._build()
        for button in self.findChildren(QPushButton):
            button.setAutoDefault(button is self.change)
        desk.ask(lambda collection: _read_known(collection, album), self._show_known)

    @staticmethod
    def ask(parent: QWidget | None, desk: Desk, album: AlbumId) -> bool | None:
        """Show the dialog; True where the album was changed, None where it was left."""
        dialog = EditAlbumDialog(parent, desk, album)
        try:
            dialog.exec()
            return True if dialog.is_changed else None
        finally:
            dialog.deleteLater()

    # --- building

    def _build(self) -> None:
        box = column(self, (XL, XL, XL, L), L)
        box.addWidget(Label("Edit the album", "title", self))
        middle = row(spacing=XL)
        middle.addLayout(self._build_fields())
        middle.addLayout(self._build_right(), 1)
        box.addLayout(middle, 1)
        box.addLayout(self._build_foot())

    def _build_fields(self) -> QHBoxLayout:
        """Two columns: what the album is called and holds, then how it is to be."""
        self.fields = fields = AlbumFields(self)
        fields.changed.connect(self._on_changed)
        self.note = QPlainTextEdit(self)
        self.note.setPlaceholderText("Write a note")
        self.note.setTabChangesFocus(True)
        self.note.setAccessibleName("Note")
        self.note.textChanged.connect(self._on_changed)
        left = QWidget(self)
        left.setFixedWidth(FIRST_COLUMN_PX)
        first = column(left, spacing=L)
        first.addWidget(fields.name_field)
        first.addWidget(fields.years_field)
        self.across = AcrossFields(self)
        self.across.changed.connect(self._on_changed)
        self.across.series_field.hide()
        self.across.show_year_set(False)
        self.across.series_list.setMinimumHeight(104)
        first.addWidget(self.across.series_field, 1)
        first.addWidget(self.across.year_field)
        self.note.setMaximumHeight(NOTE_PX)
        self.note.setMinimumHeight(LEAST_NOTE_PX)
        first.addWidget(FormField("Note", self.note, left))
        first.addStretch(1)
        scroll = ScrollColumn(self, (0, 0, S, 0), XL)
        scroll.setFixedWidth(SECOND_COLUMN_PX)
        for field in (
            fields.mints_field,
            fields.collectors_field,
            fields.varieties_field,
            fields.target_field,
            fields.arrangement_field,
            self._build_volumes(self),
        ):
            scroll.box.addWidget(field)
        scroll.box.addStretch(1)
        fields.arrangement.chosen.connect(lambda: scroll.show_whole(fields.arrangement_field))
        self.setTabOrder(fields.last, self.note)
        both = row(spacing=XL)
        both.addWidget(left)
        both.addWidget(scroll)
        return both

    def _build_volumes(self, parent: QWidget) -> FormField:
        self.volumes = QLineEdit(parent)
        self.volumes.setMaxLength(120)
        self.volumes.setPlaceholderText("no other album")
        self.volumes.textChanged.connect(self._on_changed)
        hint = "Albums of one title stand together on the shelf."
        return FormField("A volume of", self.volumes, parent, hint)

    def _build_right(self) -> QVBoxLayout:
        box = column(spacing=M)
        self.preview = AlbumPreview(self)
        box.addWidget(self.preview, 1)
        self.summary = Label("", "mute", self, wraps=True)
        box.addWidget(self.summary)
        box.addWidget(self._build_falling())
        return box

    def _build_falling(self) -> Card:
        self.falling = Card(self, "fault_band", (L, M, L, M), S)
        top = row(spacing=M)
        words = column(spacing=0)
        self.falling_title = Label("", "strong", self.falling, wraps=True)
        self.falling_hint = Label("", "small", self.falling, wraps=True)
        words.addWidget(self.falling_title)
        words.addWidget(self.falling_hint)
        self.agree = Chip(AGREE, None, self.falling)
        self.agree.setToolTip("Needed before the album can be changed (Space)")
        self.agree.toggled.connect(self._show_what_can_be_done)
        top.addLayout(words, 1)
        top.addWidget(self.agree, 0, Qt.AlignmentFlag.AlignTop)
        self.coins = QListWidget(self.falling)
        self.coins.setProperty("kind", "lines")
        self.coins.setAccessibleName("Coins that would fall out")
        self.coins.setSelectionMode(QListWidget.SelectionMode.NoSelection)
        self.coins.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.falling.box.addLayout(top)
        self.falling.box.addWidget(self.coins)
        self.falling.hide()
        return self.falling

    def _build_foot(self) -> QHBoxLayout:
        foot = AlbumFoot(self, "Change the album", self._on_change)
        self._trouble, self._cancel, self.change = foot.trouble, foot.cancel, foot.give
        return foot.line

    # --- what is chosen

    def _show_known(self, known: _Known) -> None:
        self._known = known
        now = known.now
        self.note.blockSignals(True)
        self.note.setPlainText(now.note)
        self.note.blockSignals(False)
        series, across = known.view.series, now.across
        self.volumes.blockSignals(True)
        self.volumes.setText(now.volumes)
        self.volumes.setCompleter(QCompleter(list(known.titles), self.volumes))
        self.volumes.blockSignals(False)
        if across is not None:
            self.across.show_choices(known.choices)
            self.across.show_plan(across)
            self.across.series_field.show()
            self.fields.show_across(True)
        self.fields.show_album(now.name, series, now.plan, now.arrangement)
        if across is not None:
            self.fields.target.setText(across.target.text if across.target else "")
            self._show_collectors(across.with_collectors)
        self.fields.target_field.setToolTip(
            "For new slots, and for those that have the album's usual target now."
        )
        self.fields.name.setFocus(Qt.FocusReason.OtherFocusReason)
        self.fields.name.setCursorPosition(0)

    def _choice(self) -> "EditChoice | None":
        """All that is chosen; None where something cannot be read."""
        known = self._known
        if known is None or not self.fields.check_name(known.names):
            return None
        choice = replace(
            known.now,
            name=" ".join(self.fields.name.text().split()),
            note=self.note.toPlainText().strip(),
            volumes=" ".join(self.volumes.text().split()),
        )
        if known.now.across is not None:
            rest = self.fields.read_shape()
            theirs = self.fields.collectors.isChecked()
            across = self.across.read(rest[0] if rest else None, with_collectors=theirs)
            if rest is None or across is None:
                return None
            across = replace(across, show_p=known.now.across.show_p)
            return replace(choice, across=across, arrangement=rest[1])
        read = self.fields.read()
        return None if read is None else replace(choice, plan=read[0], arrangement=read[1])

    def _show_collectors(self, is_on: bool) -> None:
        """Collectors' issues are asked for where a chosen series has some; tells nobody."""
        chosen = self.across.chosen
        has_theirs = any(series.has_collectors_issues for series in chosen)
        self.fields.collectors_field.setVisible(has_theirs)
        self.fields.collectors_field.show_hint("")
        self.fields.collectors.blockSignals(True)
        self.fields.collectors.setChecked(is_on)
        self.fields.collectors.blockSignals(False)

    def _on_changed(self) -> None:
        self._trouble.setText("")
        self.preview.name.show_text(self.fields.name.text())
        if self._job is not None:
            self._job.cancel()
        self._planned = None
        self._show_what_can_be_done()
        if self._choice() is not None:
            self._timer.start()

    def _plan(self) -> None:
        choice, known = self._choice(), self._known
        if choice is None or known is None:
            return

        more = self.across.chosen if choice.across is not None else []

        def work(_progress: Progress) -> _Planned:
            from core.app.album_edit import edited_view, plan_edit

            edit = plan_edit(known.view, choice, known.now.plan, more)
            return _Planned(choice, edit, edited_view(known.view, edit, more))

        self._job = self._desk.runner.submit_drawing(work, self._show_planned, self._on_no_plan)

    def _show_planned(self, planned: _Planned) -> None:
        self._planned = planned
        self.preview.show_view(planned.view)
        self.fields.show_preview(planned.view)
        self.summary.setText(self._summary(planned.edit))
        falling = sorted(planned.edit.falling_out, key=lambda f: not f.is_pinned)
        if planned.edit.falling_out != self._asked_of:
            self._asked_of = planned.edit.falling_out
            self.agree.setChecked(False)  # another list is another question
        self.coins.clear()
        for coin in falling:
            pinned = ", pinned" if coin.is_pinned else ""
            self.coins.addItem(f"{coin.label}   {coin.what}{pinned}   coin {coin.coin}")
        line = max(1, self.coins.sizeHintForRow(0))
        self.coins.setFixedHeight(line * min(MOST_LINES, len(falling)) + XS)
        many = len(falling)
        coins = "A coin falls out of its slot" if many == 1 else f"{many} coins fall out"
        pinned_ones = sum(coin.is_pinned for coin in falling)
        self.falling_title.setText(coins)
        self.falling_hint.setText(
            f"{pinned_ones} of them {'is' if pinned_ones == 1 else 'are'} pinned."
            if pinned_ones
            else "Their slots would go; the coins stay in the collection."
        )
        self.falling.setVisible(bool(falling))
        self._show_what_can_be_done()

    def _summary(self, edit: "AlbumEdit") -> str:
        """12 slots come, 5 go; 65 stay with all that is theirs."""
        known = self._known
        words = []
        if edit.added:
            words.append(f"{_slots(len(edit.added))} more")
        if edit.dropped:
            words.append(f"{_slots(len(edit.dropped))} {'goes' if len(edit.dropped) == 1 else 'go'}"
                         f"{_theirs(edit)}")  # fmt: skip
        words.append(f"{_slots(len(edit.kept))} {'stays' if len(edit.kept) == 1 else 'stay'}")
        text = ", ".join(words)
        if known is not None and known.own_targets:
            many = known.own_targets
            text += f". {_slots(many)} with {'its' if many == 1 else 'their'} own target "
            text += "keeps it" if many == 1 else "keep it"
        return ". ".join(f"{part[:1].upper()}{part[1:]}" for part in text.split(". ")) + "."

    def _show_what_can_be_done(self) -> None:
        planned, known = self._planned, self._known
        trouble = ""
        if planned is not None and planned.edit.waiting:
            where = ", ".join(slot.label for slot in planned.edit.waiting)
            trouble = (
                f"A coin is on order for {where}, which would go: "
                "mark it arrived or cancel the order first."
            )
        self._trouble.setText(trouble)
        self.change.setEnabled(
            planned is not None
            and known is not None
            and not trouble
            and planned.choice != known.now
            and (self.agree.isChecked() or not planned.edit.falling_out)
        )

    def _on_no_plan(self, error: Exception) -> None:
        if not isinstance(error, CollectionError):
            self._desk.show_failure(error)
            return
        if self._known is not None and self._known.now.across is not None:
            self.across.show_refusal(str(error))
        else:
            self.fields.years_field.show_fault(str(error))
        self.preview.show_nothing()
        self.summary.setText("")
        self.falling.hide()

    # --- doing it

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter leads to the question that is still open, where one is."""
        is_enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if is_enter and self.falling.isVisible() and not self.agree.isChecked():
            self.agree.setFocus(Qt.FocusReason.TabFocusReason)
            if not self._trouble.text():
                self._trouble.setText("Agree first that these coins may become spares: Space.")
            return
        super().keyPressEvent(event)

    def _on_change(self) -> None:
        planned = self._planned
        if planned is None or not self.change.isEnabled():
            return
        from core.app.album_edit import edit_album

        agreed = [coin.coin for coin in planned.edit.falling_out]
        self.change.setEnabled(False)
        operation = edit_album(self._album, planned.choice, agreed)
        self._desk.run(operation, self._on_done, failed=self._on_failed)

    def _on_done(self, _changes: Changes) -> None:
        self.is_changed = True
        self.accept()

    def _on_failed(self, error: Exception) -> None:
        self.change.setEnabled(True)
        if isinstance(error, CollectionError):
            self._trouble.setText(str(error))
        else:
            self._desk.show_failure(error)

    def done(self, result: int) -> None:
        self._timer.stop()
        if self._job is not None:
            self._job.cancel()
        super().done(result)


def _read_known(collection: "Collection", album: AlbumId) -> _Known:
    from core.app.album_edit import present_choice

    view = collection.album_view(album)
    now = present_choice(view)
    own = sum(v.slot.target != now.plan.target for v in view.slots)
    others = [one for one in collection.albums() if one.id != album]
    titles = tuple(dict.fromkeys(one.volumes for one in others if one.volumes))
    choices: list[SeriesChoice] = []
    if now.across is not None:
        in_use = {series.id for series in collection.series_in_use}
        choices = [SeriesChoice(s, s.id in in_use) for s in collection.all_series()]
    return _Known(view, now, own, tuple(one.name for one in others), titles, tuple(choices))


def _slots(count: int) -> str:
    return "one slot" if count == 1 else f"{count} slots"


def _theirs(edit: "AlbumEdit") -> str:
    """What is lost with the slots that go: “, 2 with a note”."""
    noted = sum(bool(slot.note) for slot in edit.dropped)
    return f" ({noted} with a note)" if noted else ""
