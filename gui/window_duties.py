"""What the window does: commands, menus, pages, and the lines it says. No domain logic."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt
from PySide6.QtGui import QActionGroup, QGuiApplication

from gui.actions import Actions
from gui.album.hover_switch import HoverSwitch
from gui.desk import Desk
from gui.main_window import MainWindow
from gui.notices import Notices, ReadOnlyBand
from gui.search.bar_line import BarLookUp
from gui.settings import THEMES, demo_file
from gui.theme import M, Theme, change_theme, current_theme
from gui.widgets import IconButton, make_menu

if TYPE_CHECKING:
    from core.app.changes import Changes
    from gui.album.workspace import AlbumsWorkspace
    from gui.coins.workspace import CoinsWorkspace
    from gui.first_start import FirstStart
    from gui.search.workspace import SearchesWorkspace
    from gui.upgrades.workspace import UpgradesWorkspace

FILES = "Slotleaf collections (*.slotleaf);;All files (*)"


class Duties(QObject):
    """Binds the window's commands and shows what the desk tells."""

    def __init__(self, window: MainWindow, desk: Desk) -> None:
        super().__init__(window)
        self._window, self.desk = window, desk
        self.settings, self.pages = window.settings, window.pages
        self.tabs, self.menu_button = window.tabs, window.menu_button
        self.actions = Actions(window)
        self.albums: AlbumsWorkspace | None = None
        self.first_start: FirstStart | None = None
        self._coins: CoinsWorkspace | None = None
        self._searches: SearchesWorkspace | None = None
        self._upgrades: UpgradesWorkspace | None = None
        self._build()
        self._bind()

    # ---- building -----------------------------------------------------------------------------

    def _build(self) -> None:
        window = self._window
        centre = window.centre
        self.read_only = ReadOnlyBand(centre)
        window.box.insertWidget(1, self.read_only)
        self.notices = Notices(centre)
        self.notices.cancel_asked.connect(self.desk.cancel)
        self.look_up = BarLookUp(
            self.desk, self.settings, window.bar_line, centre, len(self.tabs) + 1
        )
        self.look_up.told.connect(self.notices.show_told)
        self.undo_button = IconButton("undo-2", "Undo", self.menu_button.parentWidget())
        self.redo_button = IconButton("redo-2", "Redo", self.menu_button.parentWidget())
        at = window.bar_line.indexOf(self.menu_button)
        for place, button in enumerate((self.undo_button, self.redo_button)):
            button.clicked.connect(self.actions[("undo", "redo")[place]].trigger)
            window.bar_line.insertWidget(at + place, button)
        window.bar_line.insertSpacing(at + 2, M)
        for name, tab in self.tabs.items():
            tab.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            tab.setToolTip(self.actions[name].toolTip())
            tab.clicked.connect(self.actions[name].trigger)
        HoverSwitch(self.tabs["albums"], self.actions["albums"].trigger)
        self.menu = make_menu(window)
        self.menu_button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.menu_button.setToolTip("Menu (F10)")
        self.menu_button.setMenu(self.menu)

    def _fill_menu(self) -> None:
        menu, actions = self.menu, self.actions
        if menu.actions():
            return
        for name in ("open", "new_collection", "save_copy", "rename_collection"):
            menu.addAction(actions[name])
        menu.addSeparator()
        for name in ("import_coins", "export_coins"):
            menu.addAction(actions[name])
        menu.addSeparator()
        for name in ("want_list", "series"):
            menu.addAction(actions[name])
        menu.addSeparator()
        for name in ("history", "restore"):
            menu.addAction(actions[name])
        menu.addSeparator()
        menu.addAction(actions["demo"])
        menu.addSeparator()
        themes = menu.addMenu("Appearance")
        group = QActionGroup(themes)
        for name in THEMES:
            action = themes.addAction("As the system" if name == "system" else name.capitalize())
            action.setCheckable(True)
            action.setChecked(name == self.settings.theme)
            action.triggered.connect(lambda _on=False, name=name: self.choose_theme(name))
            group.addAction(action)
        menu.addSeparator()
        for name in ("keyboard", "about", "quit"):
            menu.addAction(actions[name])

    def _bind(self) -> None:
        commands: dict[str, Callable[[], object]] = {
            "open": self._ask_open,
            "new_collection": self._ask_new,
            "save_copy": self._ask_copy,
            "rename_collection": self._ask_rename,
            "demo": lambda: self.desk.open_demo(demo_file()),
            "undo": lambda: self.desk.undo(self._on_undone),
            "redo": lambda: self.desk.redo(self._on_redone),
            "albums": lambda: self.show_workspace("albums"),
            "coins": lambda: self.show_workspace("coins"),
            "searches": lambda: self.show_workspace("searches"),
            "upgrades": lambda: self.show_workspace("upgrades"),
            "want_list": self._print_wants,
            "look_up": self.look_up.go,
            "import_coins": self._import_coins,
            "export_coins": self._export_coins,
            "series": self._show_series,
            "history": self._show_history,
            "restore": self._restore,
            "menu": self.menu_button.showMenu,
            "keyboard": self._show_keyboard,
            "about": self._show_about,
            "quit": self._window.close,
        }
        for name, handler in commands.items():
            self.actions.bind(name, handler)
        self.menu.aboutToShow.connect(self._fill_menu)
        desk = self.desk
        desk.opened.connect(self._on_opened)
        desk.closed.connect(self._on_closed)
        desk.changed.connect(self._on_changed)
        desk.labels_changed.connect(self._show_labels)
        desk.failed.connect(self._on_failed)
        desk.told.connect(self.notices.show_told)
        desk.broke.connect(self.show_fault)
        desk.busy.connect(lambda on, doing: self.notices.show_work(on, doing, desk.can_cancel))
        desk.progressed.connect(self.notices.show_share)
        QGuiApplication.styleHints().colorSchemeChanged.connect(self._on_system_scheme)
        self._show_labels()

    # ---- pages --------------------------------------------------------------------------------

    def show_first_start(self) -> None:
        """No collection is open: three ways to begin."""
        if self.first_start is None:
            from gui.first_start import FirstStart

            self.first_start = FirstStart(self.pages)
            self.first_start.chosen.connect(lambda name: self.actions[name].trigger())
            self.pages.addWidget(self.first_start)
        self._show_tabs(False)
        self.pages.setCurrentWidget(self.first_start)
        self.first_start.tiles["demo"].setFocus(Qt.FocusReason.OtherFocusReason)

    def make_albums(self) -> "AlbumsWorkspace":
        """The albums workspace, made when it is first needed."""
        while self.build_albums():
            pass
        assert self.albums is not None
        return self.albums

    def build_albums(self) -> bool:
        """Build the next part of the albums workspace; whether one was left to build."""
        if self.albums is None:
            from gui.album.workspace import AlbumsWorkspace

            self.albums = AlbumsWorkspace(self.desk, self.actions, self.settings, self.pages)
            self.albums.said.connect(self.notices.show_told)
            self.albums.coins_asked.connect(self.find_coins)
            self.pages.addWidget(self.albums)
        return self.albums.build()

    def show_workspace(self, name: str) -> None:
        """Albums or coins, while a collection is open."""
        if not self.desk.is_open:
            return
        self.tabs[name].setChecked(True)
        if name == "albums":
            albums = self.make_albums()
            self.pages.setCurrentWidget(albums)
            albums.focus_leaf()
            return
        if name == "searches":
            searches = self.make_searches()
            self.pages.setCurrentWidget(searches)
            searches.to_line()
            return
        if name == "upgrades":
            upgrades = self.make_upgrades()
            self.pages.setCurrentWidget(upgrades)
            upgrades.to_table()
            return
        coins = self._make_coins()
        self.pages.setCurrentWidget(coins)
        coins.setFocus(Qt.FocusReason.OtherFocusReason)

    def _make_coins(self) -> "CoinsWorkspace":
        """The coins workspace, made when it is first needed."""
        if self._coins is None:
            from gui.coins.workspace import CoinsWorkspace

            self._coins = CoinsWorkspace(self.desk, self.settings)
            self._coins.slot_asked.connect(self.show_slot)
            self.pages.addWidget(self._coins)
        return self._coins

    def make_searches(self) -> "SearchesWorkspace":
        """The searches workspace, made when it is first needed."""
        if self._searches is None:
            from gui.search.workspace import SearchesWorkspace

            self._searches = SearchesWorkspace(self.desk, self.settings, self.pages)
            self._searches.said.connect(self.notices.show_told)
            self._searches.slot_asked.connect(self.show_slot)
            self.pages.addWidget(self._searches)
        return self._searches

    def make_upgrades(self) -> "UpgradesWorkspace":
        """The upgrades workspace, made when it is first needed."""
        if self._upgrades is None:
            from gui.upgrades.workspace import UpgradesWorkspace

            self._upgrades = UpgradesWorkspace(self.desk, self.settings, self.pages)
            self._upgrades.said.connect(self.notices.show_told)
            self._upgrades.slot_asked.connect(self.show_slot)
            self._upgrades.command_asked.connect(lambda name: self.actions[name].trigger())
            self.pages.addWidget(self._upgrades)
        return self._upgrades

    def _print_wants(self) -> None:
        """The want list of what the upgrades workspace looks at, which is shown behind it."""
        from gui.upgrades.want_list_dialog import WantListDialog, wanted_of

        self.show_workspace("upgrades")
        wanted = wanted_of(self.make_upgrades())
        if wanted is None:
            self.notices.show_told("No slots are read yet; a want list needs an album with slots.")
            return
        path = WantListDialog.ask(self._window, self.desk, wanted)
        if path is not None:
            self.notices.show_told(f"The want list is in {path}.")

    def show_slot(self, album: int, slot: int) -> None:
        """Go to a slot of an album, by their ids."""
        self.show_workspace("albums")
        self.make_albums().show_slot(album, slot)

    def find_coins(self, slot: int) -> None:
        """Show the coins that fit a slot, by its id."""
        from core.model.album import SlotId

        self.show_workspace("coins")
        self._make_coins().find_for(SlotId(slot))

    # ---- what the desk tells ------------------------------------------------------------------

    def _on_opened(self) -> None:
        desk = self.desk
        self.settings.last_file = desk.path
        self.notices.clear()
        self.read_only.show_reason(desk.read_only_reason if desk.is_read_only else "")
        self.actions.allow_changes(not desk.is_read_only)
        self._show_tabs(True)
        self.show_workspace("albums")
        self._show_labels()

    def _on_closed(self) -> None:
        self._show_tabs(False)
        self.read_only.show_reason("")

    def _show_tabs(self, is_open: bool) -> None:
        """The bar holds only what works."""
        for button in (
            *self.tabs.values(),
            self.look_up.field,
            self.undo_button,
            self.redo_button,
        ):
            button.setVisible(is_open)

    def _on_changed(self, _changes: "Changes") -> None:
        self.notices.on_success()

    def _on_failed(self, text: str) -> None:
        if not self.desk.is_open and self.pages.currentWidget() is self._window.ground:
            self.show_first_start()
        self.notices.show_failure(text)

    def show_fault(self, error: BaseException) -> None:
        """A fault of the program: the report."""
        from gui.failure import FailureDialog

        if not self.desk.is_open and self.pages.currentWidget() is self._window.ground:
            self.show_first_start()
        FailureDialog.ask(self._window, error)

    def _show_labels(self) -> None:
        desk = self.desk
        name = desk.collection_name
        self._window.setWindowTitle(f"{name} — Slotleaf" if name else "Slotleaf")
        text = self.menu_button.fontMetrics().elidedText(
            name or "Slotleaf", Qt.TextElideMode.ElideRight, 320
        )
        self.menu_button.setText(text.replace("&", "&&") + " ▾")
        self.menu_button.setAccessibleName(f"{name or 'Slotleaf'}: menu")
        for command, button, label in (
            ("undo", self.undo_button, desk.undo_label),
            ("redo", self.redo_button, desk.redo_label),
        ):
            action = self.actions[command]
            action.setEnabled(label is not None)
            button.setEnabled(label is not None)
            word = command.capitalize()
            text = f"{word}: {label}" if label else f"Nothing to {command}"
            key = action.shortcut().toString()
            button.setToolTip(f"{text} ({key})")
            button.setAccessibleName(text)
        needing = ("save_copy", "export_coins", "series", "history", "restore", "albums", "coins",
                   "searches", "upgrades", "want_list", "look_up")  # fmt: skip
        for command in needing:
            self.actions[command].setEnabled(desk.is_open)
        self.actions["rename_collection"].setEnabled(desk.is_open and not desk.is_read_only)
        if not desk.is_open:
            self.actions.allow_changes(False)

    def _on_undone(self, label: str | None) -> None:
        self.notices.show_told(f"Undone: {label}." if label else "There is nothing to undo.")

    def _on_redone(self, label: str | None) -> None:
        self.notices.show_told(f"Done again: {label}." if label else "There is nothing to redo.")

    # ---- files --------------------------------------------------------------------------------

    def _folder(self) -> str:
        path = self.desk.path or self.settings.last_file
        return str(path.parent) if path else str(Path.home())

    def _ask_open(self) -> None:
        from gui.file_choice import choose_file

        path = choose_file(self._window, "Open a collection", self._folder(), FILES)
        if path is not None:
            self.desk.open(path)

    def _ask_new(self) -> None:
        from gui.file_choice import choose_new_file

        start = str(Path(self._folder()) / "My coins.slotleaf")
        path = choose_new_file(self._window, "Start a collection", start, FILES, ".slotleaf")
        if path is not None:
            self.desk.make(path, path.stem)

    def _ask_copy(self) -> None:
        from gui.file_choice import choose_new_file

        here = self.desk.path
        if here is None:
            return
        start = str(here.with_name(f"{here.stem} copy.slotleaf"))
        path = choose_new_file(self._window, "Save a copy", start, FILES, ".slotleaf")
        if path is not None:
            self.desk.ask(
                lambda collection: collection.copy_to(path),
                lambda _none: self.notices.show_told(f"A checked copy is in {path}."),
                doing="Saving a copy",
            )

    def _ask_rename(self) -> None:
        from core.app.operations import rename_collection
        from gui.text_dialog import TextDialog

        texts = TextDialog.ask(
            self._window, "Rename the collection", [("Name", self.desk.collection_name)], "Rename"
        )
        if texts:
            self.desk.run(rename_collection(texts[0]))

    def _import_coins(self) -> None:
        from gui.exchange.flow import ask_import

        if self.desk.is_open:
            ask_import(self._window, self.desk, self._folder(), self.notices.show_told)

    def _export_coins(self) -> None:
        from gui.exchange.flow import ask_export

        ask_export(self._window, self.desk, self._folder(), self.notices.show_told)

    def _show_history(self) -> None:
        from gui.history.dialog import HistoryDialog

        HistoryDialog.ask(self._window, self.desk, self.notices.show_told)

    def _show_series(self) -> None:
        from gui.series.dialog import SeriesDialog

        SeriesDialog.ask(self._window, self.desk)

    def _restore(self) -> None:
        from gui.restore import RestoreDialog

        copy = RestoreDialog.ask(self._window, self.desk)
        if copy is not None:
            self.desk.restore(copy, self._on_restored)

    def _on_restored(self, kept: Path | None) -> None:
        where = f" What was there before is kept as {kept}." if kept is not None else ""
        self.notices.show_told(f"The copy is restored.{where}")

    # ---- theme, help, end ---------------------------------------------------------------------

    def choose_theme(self, name: str) -> None:
        """Light, dark, or as the system."""
        self.settings.theme = name
        self._put_on(Theme.named(name))

    def _on_system_scheme(self) -> None:
        if self.settings.theme == "system":
            self._put_on(Theme.follow_system())

    def _put_on(self, theme: Theme) -> None:
        if theme != current_theme():
            change_theme(self._window, theme)

    def _show_keyboard(self) -> None:
        from gui.keyboard_sheet import KeyboardSheet

        KeyboardSheet.ask(self._window)

    def _show_about(self) -> None:
        from gui.about import AboutDialog

        AboutDialog.ask(self._window)

    def is_ready_to_close(self) -> bool:
        """Whether nothing typed is still on its way into the file."""
        if self._coins is not None:
            self._coins.keep()
        if self._searches is not None:
            self._searches.keep_time()
        return self.albums is None or self.albums.is_ready_to_close()
