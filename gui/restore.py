"""Restore a copy: choose one, see what it is beside the present collection, say yes."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from PySide6.QtCore import QModelIndex, QSize, Qt
from PySide6.QtGui import QStandardItem, QStandardItemModel
from PySide6.QtWidgets import QDialog, QListView, QStackedWidget, QWidget

from core.app.outline import Outline
from core.errors import CollectionError
from gui.day_words import day_words, long_day
from gui.desk import Desk
from gui.theme import XL, L, M, S
from gui.two_lines import DETAIL_ROLE, TwoLines
from gui.widgets import (
    Card,
    EmptyState,
    FactRow,
    Label,
    PrimaryButton,
    QuietButton,
    SectionLabel,
    clear_layout,
    column,
    row,
)
from gui.work import Job

FILES = "Slotleaf collections (*.slotleaf);;All files (*)"
PATH_ROLE = int(Qt.ItemDataRole.UserRole) + 2
MOST_ALBUMS = 3


@dataclass(frozen=True, slots=True)
class Kept:
    """A copy in the folder of copies: the day it bears, and why it was made."""

    path: Path
    day: date
    is_daily: bool

    @property
    def title(self) -> str:
        """Tuesday, 3 March 2026."""
        return long_day(self.day)

    @property
    def detail(self) -> str:
        """What kind of copy it is, and its file."""
        why = "before that day's first change" if self.is_daily else "before a copy was restored"
        return f"{why} · {self.path.name}"


def kept_copies(path: Path) -> list[Kept]:
    """The copies of a collection, newest first: daily ones, and those kept by restoring."""
    from core.app import kept_copies as copies

    return [Kept(one.path, one.day, one.is_daily) for one in copies.kept_copies(path)]


class RestoreDialog(QDialog):
    """The copies at the left, copy and present side by side below; `copy` is what was chosen."""

    def __init__(self, parent: QWidget | None, desk: Desk) -> None:
        super().__init__(parent)
        self._desk = desk
        self.copy: Path | None = None
        self._job: Job | None = None
        self.setWindowTitle("Restore a copy")
        self.resize(720, 640)
        box = column(self, (XL, XL, XL, XL), S)
        box.addWidget(Label("Restore a copy", "title", self))
        sentence = (
            "The copy takes the place of this collection. What is there now is kept beside the "
            "copies first, so that it can be restored in turn."
        )
        box.addWidget(Label(sentence, "mute", self, wraps=True))
        box.addSpacing(S)
        self.pages = QStackedWidget(self)
        self.pages.addWidget(self._build_list())
        self.empty = EmptyState(
            "No copy yet",
            "A copy is made before the first change of each day. You may choose any other file.",
            "Another file…",
            parent=self,
        )
        self.empty.acted.connect(self.choose_file)
        self.pages.addWidget(self.empty)
        box.addWidget(self.pages, 1)
        box.addSpacing(S)
        sides = row(spacing=M)
        self.there, self._there = self._build_side("The copy")
        self.here, self._here = self._build_side("The collection now")
        sides.addWidget(self.there, 1)
        sides.addWidget(self.here, 1)
        box.addLayout(sides)
        self.fault = Label("", "fault", self, wraps=True)
        self.fault.hide()
        box.addWidget(self.fault)
        box.addSpacing(S)
        end = row(spacing=S)
        self.other = QuietButton("Another file…", self)
        self.other.clicked.connect(self.choose_file)
        self.cancel = QuietButton("Cancel", self)
        self.cancel.clicked.connect(self.reject)
        self.give_button = PrimaryButton("Restore this copy", self)
        self.give_button.setDefault(True)
        self.give_button.clicked.connect(self.accept)
        for button in (self.other, self.cancel):
            button.setAutoDefault(False)
        end.addWidget(self.other)
        end.addStretch(1)
        end.addWidget(self.cancel)
        end.addWidget(self.give_button)
        box.addLayout(end)
        self._show_copy(None)
        desk.ask(lambda collection: collection.outline(), self._on_present)
        self._list_copies()

    def _build_list(self) -> QListView:
        self.list = QListView(self)
        self.list.setAccessibleName("Copies, newest first")
        self.list.setItemDelegate(TwoLines(self.list))
        self.list.setEditTriggers(QListView.EditTrigger.NoEditTriggers)
        self.list.setMouseTracking(True)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.model = QStandardItemModel(self.list)
        self.list.setModel(self.model)
        self.list.selectionModel().currentChanged.connect(self._on_current)
        return self.list

    def _build_side(self, title: str) -> tuple[Card, Card]:
        card = Card(self, "card", (L, M, L, M), S)
        card.setAccessibleName(title)
        card.box.addWidget(SectionLabel(title, card))
        inner = Card(card, "clear", (0, 0, 0, 0), S)
        card.box.addWidget(inner)
        card.box.addStretch(1)
        card.setMinimumSize(QSize(0, 150))
        return card, inner

    # ---- what is shown ------------------------------------------------------------------------

    def _list_copies(self) -> None:
        path = self._desk.path
        copies = kept_copies(path) if path is not None else []
        for kept in copies:
            self._add(kept.title, kept.detail, kept.path)
        self.pages.setCurrentWidget(self.list if copies else self.empty)
        self.other.setVisible(bool(copies))
        if copies:
            self.list.setCurrentIndex(self.model.index(0, 0))
            self.list.setFocus()

    def _add(self, title: str, detail: str, path: Path, at: int | None = None) -> None:
        item = QStandardItem(title)
        item.setData(detail, DETAIL_ROLE)
        item.setData(str(path), PATH_ROLE)
        item.setData(f"{title}, {detail}", int(Qt.ItemDataRole.AccessibleTextRole))
        self.model.insertRow(self.model.rowCount() if at is None else at, item)

    def _on_current(self, current: QModelIndex, _before: QModelIndex) -> None:
        if current.isValid():
            self._look_at(Path(str(current.data(PATH_ROLE))))

    def choose_file(self) -> None:
        """Any other file; the dialog begins among the copies."""
        from core.app.kept_copies import folder_of_copies
        from gui.file_choice import choose_file

        here = self._desk.path
        folder = str(folder_of_copies(here)) if here is not None else ""
        path = choose_file(self, "Restore a copy", folder, FILES)
        if path is None:
            return
        self._add(path.stem, str(path.parent), path, 0)
        self.pages.setCurrentWidget(self.list)
        self.other.show()
        self.list.setCurrentIndex(self.model.index(0, 0))

    def _look_at(self, path: Path) -> None:
        """Read what a copy is, in the worker; of several looked at quickly only the last counts."""
        from core.app.outline import outline_of_file

        if self._job is not None:
            self._job.cancel()
        self._show_copy(None)
        self._job = self._desk.ask(
            lambda _collection: outline_of_file(path),
            self._show_copy,
            self._on_no_copy,
            "Looking at the copy",
        )

    def _show_copy(self, outline: Outline | None) -> None:
        self.copy = outline.path if outline is not None else None
        self.fault.hide()
        self.give_button.setEnabled(outline is not None)
        show_outline(self._there, outline)

    def _on_no_copy(self, error: Exception) -> None:
        if not isinstance(error, CollectionError):
            self._desk.show_failure(error)
            return
        self.fault.setText(str(error))
        self.fault.show()

    def _on_present(self, outline: Outline) -> None:
        show_outline(self._here, outline)

    @classmethod
    def ask(cls, parent: QWidget | None, desk: Desk) -> Path | None:
        """The copy to restore, or None when it was cancelled."""
        dialog = cls(parent, desk)
        is_given = dialog.exec() == QDialog.DialogCode.Accepted
        copy = dialog.copy
        dialog.deleteLater()
        return copy if is_given else None


def outline_facts(outline: Outline) -> list[tuple[str, str]]:
    """What is told of a file: name and value."""
    changed = outline.changed.astimezone() if outline.changed is not None else None
    when = f"{day_words(changed.date())}, {changed:%H:%M}" if changed else "nothing done yet"
    shown = ", ".join(outline.albums[:MOST_ALBUMS])
    more = len(outline.albums) - MOST_ALBUMS
    names = f"{shown}, and {more:,} more" if more > 0 else shown
    albums = f"{len(outline.albums):,}" + (f": {names}" if names else "")
    return [
        ("Name", outline.name),
        ("Changed last", when),
        ("Coins", f"{outline.coins:,}"),
        ("Albums", albums),
    ]


def show_outline(side: Card, outline: Outline | None) -> None:
    """Fill one side; None for a file not read yet."""
    clear_layout(side.box)
    for name, value in outline_facts(outline) if outline is not None else ():
        side.box.addWidget(FactRow(name, value, side))
    if outline is None:
        side.box.addWidget(Label("Choose a copy to see what it is.", "mute", side, wraps=True))
