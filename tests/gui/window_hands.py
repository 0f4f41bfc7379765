"""The hands of the stories at the window: keys and presses, and what is drawn and written there."""

from collections.abc import Callable, Iterable, Sequence
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QModelIndex, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget

from core.app.checklists import ListName
from core.glyph.codes import MARK_BITS, state_of
from core.model.issue import SeriesId
from core.model.state import SlotState
from core.printing.checklist import Paper
from gui.album.new_album import NewAlbumDialog
from gui.album.show_since import SinceDialog
from gui.checklist import preview
from gui.checklist.options import PAPERS
from gui.checklist.preview import ChecklistDialog
from gui.coins.workspace import CoinsWorkspace
from gui.design.mode import DesignMode
from gui.fill.lines import LineKind
from gui.fill.panel import FillPanel
from gui.history.dialog import HistoryDialog
from gui.leaf.card_parts import HistoryRow, ShortList, SpareButton
from gui.leaf.correct_dialog import CorrectDialog
from gui.leaf.inspector import SlotInspector
from gui.leaf.leaf_cells import DIM_BIT
from gui.leaf.view import LeafView
from gui.restore import RestoreDialog
from gui.widgets import FactRow, Label
from scenarios.buying import Chosen
from scenarios.designing import DesignAct, drawn_rows, keys
from scenarios.hands import in_words
from scenarios.sitting import Seen, TableAct
from tests.gui import buying_hands
from tests.gui.strokes import Fingers
from tests.gui.table_hands import as_killed, in_figures, seen_at_table
from tests.gui.window_material import OpenWindow, close_window, open_window

Key, Ctrl = Qt.Key, Qt.KeyboardModifier.ControlModifier
SPECIAL = {" ": Key.Key_Space, "\b": Key.Key_Backspace, "\x1b": Key.Key_Escape,
           "\r": Key.Key_Return}  # fmt: skip


class WindowHands:
    """Hands at an open window."""

    def __init__(
        self, app: QApplication, folder: Path, path: Path, patch: pytest.MonkeyPatch
    ) -> None:
        self._app, self._folder, self._path, self._patch = app, folder, path, patch
        self.window: OpenWindow | None = open_window(app, folder, path)

    @property
    def _opened(self) -> OpenWindow:
        assert self.window is not None
        return self.window

    @property
    def _leaf(self) -> LeafView:
        return self._opened.albums.centre.leaf

    @property
    def _card(self) -> SlotInspector:
        return self._opened.albums.card

    # ---- keys ---------------------------------------------------------------------------------

    def _focus_leaf(self) -> None:
        self._opened.duties.show_workspace("albums")
        self._opened.window.activateWindow()
        QTest.qWaitForWindowActive(self._opened.window)
        self._leaf.setFocus()

    def _press(self, label: str, key: Qt.Key) -> None:
        """Stand on a slot and press a key there."""
        self._focus_leaf()
        self._opened.go_to(label)
        QTest.keyClick(self._leaf, key)

    def _command(self, name: str) -> None:
        self._opened.duties.actions[name].trigger()

    def _type(self, field: QLineEdit, text: str) -> None:
        field.setFocus()
        field.selectAll()
        if text:
            QTest.keyClicks(field, text)  # over what is selected
        else:
            QTest.keyClick(field, Key.Key_Delete)

    # ---- seeing -------------------------------------------------------------------------------

    def shelf(self) -> list[tuple[str, str]]:
        model = self._opened.albums.shelf.model
        found = []
        for place, album in enumerate(model.albums):
            summary = model.summary(place)
            found.append((album.name, summary.headline.text if summary else ""))
        return found

    def open_album(self, name: str) -> None:
        """Choose it on the shelf; another one first where it is open already, to look anew."""
        shelf = self._opened.albums.shelf
        names = [album.name for album in shelf.model.albums]
        place = names.index(name)
        if shelf.list.currentIndex().row() == place:
            shelf.list.setCurrentIndex(shelf.model.index((place + 1) % len(names)))
        shelf.list.setCurrentIndex(shelf.model.index(place))
        view = self._opened.albums.centre.view
        assert view is not None
        assert view.album.name == name

    def headline(self) -> str:
        centre = self._opened.albums.centre
        return f"{centre.headline.text()} · {centre.beside.whole_text}"

    def labels(self) -> list[str]:
        plan = self._leaf._plan  # what the leaf draws
        cells = range(plan.cells)
        return [plan.lines[plan.names[cell]] for cell in cells if plan.slot_ids[cell]]

    def state(self, label: str) -> str:
        plan = self._leaf._plan  # what the leaf draws
        code = plan.codes[plan.cell_of_slot(int(self._opened.slot(label).id))]
        state = state_of(code)
        assert state is not None
        return in_words(state, [mark for mark, bit in MARK_BITS.items() if code & bit])

    def _seen(self, label: str, kind: type[QWidget]) -> list[QWidget]:
        """The card's pieces of a kind, all shown."""
        self._opened.go_to(label)
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)  # what the last card showed
        for part in self._card.findChildren(ShortList):
            if part._rest and not part._more.isHidden():
                part._more.click()
        return [piece for piece in self._card.findChildren(kind) if not piece.isHidden()]

    def card(self, label: str) -> dict[str, str]:
        rows = [row for row in self._seen(label, FactRow) if isinstance(row, FactRow)]
        told = [row.value.accessibleName().partition(": ") for row in rows]
        return {name: value for name, _, value in told}

    def spares(self, label: str) -> list[str]:
        rows = [row for row in self._seen(label, SpareButton) if isinstance(row, SpareButton)]
        return [f"{row.spare.title}, {row.spare.gain}" for row in rows]

    def history(self, label: str) -> list[str]:
        rows = self._seen(label, HistoryRow)
        return [" ".join(one.text() for one in row.findChildren(Label)) for row in rows]

    # ---- the album through time ---------------------------------------------------------------

    def go_to_day(self, day: date | None) -> None:
        """Open the band where it is closed and type the day; None returns to today by Esc."""
        self._focus_leaf()
        albums = self._opened.albums
        is_open = albums.time.mode is not None and albums.time.mode.is_open
        if day is None:
            if is_open:
                QTest.keyClick(self._leaf, Key.Key_Escape)
            return
        if not is_open:
            QTest.keyClick(self._leaf, Key.Key_Y)
        assert albums.time.mode is not None
        band = albums.time.mode.band
        self._type(band.field, day.isoformat())
        QTest.keyClick(band.field, Key.Key_Return)

    def on_day(self, day: date) -> None:
        """The clock of the collection, which no hand can reach from the window."""
        collection = self._opened.desk._collection
        assert collection is not None
        collection._today = lambda: day

    def leaves(self, days: Iterable[date]) -> list[dict[str, str]]:
        """What the leaf draws as of each day: the slots that hold a coin, and the line below."""
        found: list[dict[str, str]] = []
        for day in days:
            if found:
                mode = self._opened.albums.time.mode
                assert mode is not None
                field = mode.band.field
                field.setText(day.isoformat())  # typed at once
                QTest.keyClick(field, Key.Key_Return)
            else:
                self.go_to_day(day)
            plan = self._leaf._plan  # what the leaf draws
            cells = [c for c in range(plan.cells) if plan.slot_ids[c]]
            full = [c for c in cells if state_of(plan.codes[c]) is not SlotState.GAP]
            found.append({plan.lines[plan.names[c]]: plan.lines[plan.l1[c]] for c in full})
        self.go_to_day(None)
        return found

    def change_days(self) -> list[date]:
        """The days with a tick on the slider; the band is opened for it where it is closed."""
        self._focus_leaf()
        albums = self._opened.albums
        was_open = albums.time.mode is not None and albums.time.mode.is_open
        if not was_open:
            QTest.keyClick(self._leaf, Key.Key_Y)
        assert albums.time.mode is not None
        days = list(albums.time.mode.band.slider.change_days)
        if not was_open:
            self.go_to_day(None)
        return days

    def changed_since(self, day: date) -> dict[str, str]:
        """The word under each slot that changed since a day, by the slot's label."""
        with self._patch.context() as patch:
            patch.setattr(SinceDialog, "ask", lambda *_asked: day)
            self._focus_leaf()
            QTest.keyClick(self._leaf, Key.Key_H)
        words = self._words()
        QTest.keyClick(self._leaf, Key.Key_E)
        return words

    def found_against_bought(self) -> dict[str, str]:
        """Found or bought, under each slot whose coin came so."""
        self._focus_leaf()
        QTest.keyClick(self._leaf, Key.Key_U)
        words = self._words()
        QTest.keyClick(self._leaf, Key.Key_E)
        return words

    def _words(self) -> dict[str, str]:
        """The second line under each slot that is drawn in full."""
        plan, codes = self._leaf._plan, self._leaf._cells.codes  # what the leaf draws
        drawn = [c for c in range(plan.cells) if plan.slot_ids[c] and not codes[c] & DIM_BIT]
        return {plan.lines[plan.names[c]]: plan.lines[plan.l2[c]] for c in drawn}

    def correct(self, label: str, at: int, since: date, until: date | None) -> str:
        """Correct a line of a slot's history, newest first; what the dialog says against it."""
        told: list[str] = []

        def fill_in(dialog: CorrectDialog) -> int:
            dialog.show()
            self._type(dialog.since, since.isoformat())
            self._type(dialog.until, until.isoformat() if until else "")
            QTest.keyClick(dialog.until, Key.Key_Return)
            told.extend(dialog.faults)
            dialog.reject()
            return 0

        rows = [row for row in self._seen(label, HistoryRow) if isinstance(row, HistoryRow)]
        with self._patch.context() as patch:
            patch.setattr(CorrectDialog, "exec", fill_in)
            rows[at].button.click()
        return " ".join(told)

    def entries(self) -> list[str]:
        """What the page of history lists, newest first, runs folded: 18:30, Stocking, 3 entries."""
        told: list[str] = []

        def read(page: HistoryDialog) -> int:
            page.show()
            while page.model.canFetchMore(QModelIndex()):
                page.model.fetchMore(QModelIndex())
            told.extend(line.spoken for line in page.model.lines if not line.is_heading)
            return 0

        self._with_history(read)
        return told

    def undo_back_to(self, at: int) -> None:
        """Undo back to a line of the history, 0 the newest."""

        def go(page: HistoryDialog) -> int:
            page.show()
            rows = [row for row, line in enumerate(page.model.lines) if not line.is_heading]
            page.list.setCurrentIndex(page.model.index(rows[at]))
            page.back.click()
            QTest.keyClick(page.yes, Key.Key_Return)
            return 0

        self._with_history(go)

    def _with_history(self, do: Callable[[HistoryDialog], int]) -> None:
        with self._patch.context() as patch:
            patch.setattr(HistoryDialog, "exec", do)
            self._command("history")

    def restore(self, copy: Path) -> Path | None:
        """Restore a copy; where the collection that was there is kept."""

        def yes(dialog: RestoreDialog) -> int:
            dialog.show()
            dialog.choose_file()
            dialog.give_button.click()
            return dialog.result()

        with self._patch.context() as patch:
            patch.setattr(RestoreDialog, "exec", yes)
            patch.setattr("gui.file_choice.choose_file", lambda *_args: copy)
            self._command("restore")
        kept = self._opened.duties.notices.text.partition("is kept as ")[2].removesuffix(".")
        return Path(kept) if kept else None

    # ---- doing --------------------------------------------------------------------------------

    def new_album(self, name: str, series: str, first: int, last: int, target: str) -> None:
        def fill_in(dialog: NewAlbumDialog) -> int:
            dialog.show()
            ids = [choice.series.id for choice in dialog._known.series]
            title = dialog._known.series[ids.index(SeriesId(series))].series.title
            self._type(dialog.search, title)
            self._type(dialog.fields.first, str(first))
            self._type(dialog.fields.last, str(last))
            self._type(dialog.fields.target, target)
            self._type(dialog.fields.name, name)
            QTest.keyClick(dialog.fields.name, Key.Key_Return)
            assert dialog.made is not None
            return 1

        with self._patch.context() as patch:
            patch.setattr(NewAlbumDialog, "exec", fill_in)
            self._command("new_album")
        self._opened.program.app.processEvents()

    def stock(self, keys: Iterable[str]) -> None:
        self._focus_leaf()
        QTest.keyClick(self._leaf, Key.Key_S)
        for key in keys:
            if key in SPECIAL:
                QTest.keyClick(self._leaf, SPECIAL[key])
            else:
                QTest.keyClicks(self._leaf, key)
        mode = self._opened.albums._stocking
        assert mode is not None
        assert not mode.is_on
        assert not mode.is_writing

    def put_in(self, label: str, entry: str) -> None:
        self._press(label, Key.Key_C)
        self._type(self._card.entry_form.field, entry)
        QTest.keyClick(self._card.entry_form.field, Key.Key_Return)
        assert self._card.entry_form.isHidden()

    def put_best_spare(self, label: str) -> None:
        self._press(label, Key.Key_R)

    def take_out(self, label: str) -> None:
        self._press(label, Key.Key_Delete)

    def order(self, label: str, grade: str, came_from: str) -> None:
        self._press(label, Key.Key_D)
        form = self._card.order_form
        self._type(form.grade, grade)
        self._type(form.came_from, came_from)
        QTest.keyClick(form.came_from, Key.Key_Return)
        assert form.isHidden()

    def arrived(self, label: str) -> None:
        self._press(label, Key.Key_A)

    def toggle_verify(self, label: str) -> None:
        self._press(label, Key.Key_V)

    def skip(self, label: str) -> None:
        self._press(label, Key.Key_X)

    def set_target(self, label: str, target: str) -> None:
        self._press(label, Key.Key_T)
        self._type(self._card.target_form.field, target)
        QTest.keyClick(self._card.target_form.field, Key.Key_Return)
        assert self._card.target_form.isHidden()

    def write_note(self, label: str, note: str) -> None:
        self._press(label, Key.Key_N)
        QTest.keyClicks(self._card.note, note)
        QTest.keyClick(self._card.note, Key.Key_Return, Ctrl)

    def _told(self, act: Callable[[], None], before: str) -> str | None:
        """Do something; what the window then says of it."""
        act()
        text = self._opened.duties.notices.text
        return text.removeprefix(before).removesuffix(".") if text.startswith(before) else None

    def undo(self) -> str | None:
        return self._told(lambda: self._command("undo"), "Undone: ")

    def redo(self) -> str | None:
        return self._told(lambda: self._command("redo"), "Done again: ")

    def add_coins(self, entries: Sequence[str], series: str) -> None:
        self._opened.duties.show_workspace("coins")
        coins = self._opened.duties.pages.currentWidget()
        assert isinstance(coins, CoinsWorkspace)
        coins.entry.prefer(SeriesId(series))
        for entry in entries:
            self._type(coins.entry.field, entry)
            QTest.keyClick(coins.entry.field, Key.Key_Return)
            assert coins.entry.field.text() == "", coins.entry.reading
        self._opened.duties.show_workspace("albums")

    def paste_coins(self, entries: Sequence[str], series: str) -> None:
        self._opened.duties.show_workspace("coins")
        coins = self._opened.duties.pages.currentWidget()
        assert isinstance(coins, CoinsWorkspace)
        coins.entry.prefer(SeriesId(series))
        coins.entry.field.setFocus()
        QApplication.clipboard().setText("\n".join(entries))
        Fingers(self._opened).give(keys("Ctrl+Shift+V", "Ctrl+Return"))
        self._opened.duties.show_workspace("albums")

    # ---- designing ----------------------------------------------------------------------------

    def design(self, acts: Sequence[DesignAct]) -> None:
        """Each stroke as it would come, to whatever has the focus or lies under the pointer."""
        if not self._opened.albums.design.is_on:
            self._focus_leaf()
        fingers = Fingers(self._opened)
        for act in acts:
            fingers.give(act.strokes)
        assert fingers.given == sum(len(act.strokes) for act in acts)

    def _mode(self) -> DesignMode:
        mode = self._opened.albums.design.mode
        assert mode is not None
        return mode

    def drawn(self) -> list[list[str]]:
        return drawn_rows(self._leaf._plan)  # what the leaf draws

    def misfit(self) -> str:
        return self._mode().panel.map_field.fault

    def asked(self) -> str:
        band = self._mode().band
        return band.words.whole_text if band.is_asking else ""

    # ---- the sorting table --------------------------------------------------------------------

    def sit(self, acts: Sequence[TableAct]) -> None:
        """Each key as it would come, to whatever has the focus; nothing else is done here."""
        fingers = Fingers(self._opened)
        for act in acts:
            fingers.give(act.strokes)
        assert fingers.given == sum(len(act.strokes) for act in acts)

    def sit_until_killed(self, acts: Sequence[TableAct]) -> None:
        """A new window opens the file as it lay on the disk while the old one was still open.

        The old window is not asked to close before that; `scenarios.sitting` kills a process.
        """
        self.sit(acts)
        left = as_killed(self._path, self._folder / "killed")
        self.close()
        self._path = left
        self.window = open_window(self._app, self._folder, left)

    def table(self) -> Seen:
        return seen_at_table(self._opened)

    def in_figures(self) -> str:
        return in_figures(self._opened)

    # ---- fill, paper, files -------------------------------------------------------------------

    def _fill_panel(self) -> FillPanel:
        self._focus_leaf()
        QTest.keyClick(self._leaf, Key.Key_F)
        panel = self._opened.albums._fill_panel
        assert panel is not None
        assert self._opened.albums.side.stack.currentWidget() is panel
        return panel

    def fill_proposal(self) -> tuple[list[str], list[str]]:
        panel = self._fill_panel()
        lines = {kind: [one.title for one in panel.model.lines if one.kind is kind]
                 for kind in LineKind}  # fmt: skip
        QTest.keyClick(panel.list, Key.Key_Escape)
        assert self._opened.albums.side.stack.currentWidget() is self._card
        return lines[LineKind.MOVE], lines[LineKind.COMPARE]

    def fill(self, without: Sequence[str] = ()) -> None:
        panel = self._fill_panel()
        for label in without:
            line = next(one for one in panel.model.lines if one.title == label and one.pair)
            panel._go_to(line.pair)
            QTest.keyClick(panel.list, Key.Key_Space)
        QTest.keyClick(panel.list, Key.Key_Return, Ctrl)

    def checklist(self, which: str, paper: str, to: Path) -> None:
        def choose(dialog: ChecklistDialog) -> int:
            dialog.lists[ListName(which)].click()
            dialog.paper.buttons[PAPERS.index(Paper(paper))].click()
            dialog.save_button.click()
            return 1

        with self._patch.context() as patch:
            patch.setattr(ChecklistDialog, "exec", choose)
            patch.setattr(preview, "choose_new_file", lambda *_args: to)
            self._command("checklist")
        assert to.is_file()

    def prices(self) -> int:
        return buying_hands.price_count(self._opened)

    def take_prices(self, sheet: Path) -> None:
        buying_hands.take_prices(self._opened, sheet, self._patch)

    def plan(self, budget: str, pins: Sequence[str] = ()) -> Chosen:
        return buying_hands.plan(self._opened, budget, pins)

    def want_list(self, budget: str, pins: Sequence[str], pay: str, paper: str, to: Path) -> None:
        buying_hands.want_list(self._opened, (budget, pins, pay, paper), to, self._patch)

    def buy(self, label: str) -> None:
        buying_hands.buy(self._opened, label)

    def save_copy(self, to: Path) -> None:
        with self._patch.context() as patch:
            patch.setattr("gui.file_choice.choose_new_file", lambda *_args: to)
            self._command("save_copy")
        assert str(to) in self._opened.duties.notices.text

    def somebody_else(self) -> "WindowHands":
        folder = self._folder / "elsewhere"
        folder.mkdir(exist_ok=True)
        return WindowHands(self._app, folder, self._path, self._patch)

    def may_change(self) -> bool:
        is_allowed = self._opened.duties.actions["put_in"].isEnabled()
        assert self._opened.duties.read_only.isVisible() is not is_allowed
        return is_allowed

    def close(self) -> None:
        if self.window is not None:
            close_window(self.window)
            self.window = None
