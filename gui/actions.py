"""Every command once: its text, keys and tip. The window binds the handlers."""

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QWidget

from gui.widgets import key_text


@dataclass(frozen=True, slots=True)
class Command:
    """One command; `group` heads it in the keyboard sheet. `is_change` asks for a writable file.

    `is_bound` False: the key belongs to the album itself, the sheet only tells of it. `is_local`:
    the key works while the albums have the focus, and is free elsewhere.
    """

    id: str
    text: str
    keys: tuple[str, ...]
    group: str
    is_change: bool = False
    is_bound: bool = True
    is_local: bool = False
    tip: str = ""


WINDOW, SHELF, LEAF, SLOT = "The window", "The shelf", "The album", "The slot, or all selected"

COMMANDS = (
    Command("open", "Open a collection…", ("Ctrl+O",), WINDOW),
    Command("new_collection", "Start a new collection…", ("Ctrl+Shift+N",), WINDOW),
    Command("save_copy", "Save a copy…", ("Ctrl+Shift+S",), WINDOW),
    Command("rename_collection", "Rename the collection…", (), WINDOW, is_change=True),
    Command("import_coins", "Import coins…", ("Ctrl+Shift+I",), WINDOW, is_change=True,
            tip="Take in coins from a sheet (CSV). You see first what would come."),
    Command("export_coins", "Export coins…", ("Ctrl+Shift+E",), WINDOW,
            tip="Write every coin, its slot and its past to a sheet (CSV)."),
    Command("series", "Series…", ("Ctrl+Shift+L",), WINDOW,
            tip="Every series with what its figures rest on, and series of your own."),
    Command("history", "History…", ("Ctrl+H",), WINDOW),
    Command("restore", "Restore a copy…", ("Ctrl+Shift+R",), WINDOW),
    Command("demo", "Open the demo", ("Ctrl+Shift+D",), WINDOW),
    Command("undo", "Undo", ("Ctrl+Z",), WINDOW, is_change=True),
    Command("redo", "Redo", ("Ctrl+Shift+Z", "Ctrl+Y"), WINDOW, is_change=True),
    Command("albums", "Albums", ("Ctrl+1",), WINDOW),
    Command("coins", "Coins", ("Ctrl+2",), WINDOW),
    Command("searches", "Searches", ("Ctrl+3",), WINDOW),
    Command("upgrades", "Upgrades", ("Ctrl+4",), WINDOW,
            tip="What to buy or swap next, slot by slot, within a budget."),
    Command("want_list", "Want list…", ("Ctrl+Shift+W",), WINDOW,
            tip="The plan, or every open slot, to carry to a show: on paper or for a phone."),
    Command("look_up", "Look up the coin in hand", ("Ctrl+K",), WINDOW,
            tip="Fills a gap, upgrade, spare, no use: from anywhere, while you hold it."),
    Command("menu", "Menu", ("F10",), WINDOW),
    Command("keyboard", "Keyboard", ("F1",), WINDOW),
    Command("about", "About Slotleaf", (), WINDOW),
    Command("quit", "Quit", ("Ctrl+Q",), WINDOW),
    Command("new_album", "New album…", ("Ctrl+N",), SHELF, is_change=True),
    Command("rename_album", "Rename the album…", ("F2",), SHELF, is_change=True,
            is_local=True),
    Command("delete_album", "Delete the album", (), SHELF, is_change=True,
            tip="Its coins stay as spares. Undo brings the album back."),
    Command("edit_album", "Edit the album…", ("Shift+F2",), SHELF, is_change=True,
            is_local=True,
            tip="Dates, mints, varieties, target. Coins keep their slots where those stay."),
    Command("album_up", "Move the album up", ("Alt+Up",), SHELF, is_change=True,
            is_local=True),
    Command("album_down", "Move the album down", ("Alt+Down",), SHELF, is_change=True,
            is_local=True),
    Command("split_volumes", "Split into volumes…", ("Alt+V",), SHELF, is_change=True,
            is_local=True,
            tip="Cut the album into albums that stand together; coins keep their slots."),
    Command("join_volumes", "Join the volumes", ("Alt+J",), SHELF, is_change=True,
            is_local=True,
            tip="Make one album of all volumes of its title; coins keep their slots."),
    Command("fold", "Fold volumes, show them", ("Left, Right",), SHELF, is_bound=False),
    Command("go_shelf", "Go to the shelf", ("Ctrl+L",), SHELF),
    Command("move", "Move", ("Arrows",), LEAF, is_bound=False),
    Command("jump", "Jump to a date", ("Type it",), LEAF, is_bound=False),
    Command("zoom_in", "Zoom in", ("Ctrl++", "Ctrl+="), LEAF),
    Command("zoom_out", "Zoom out", ("Ctrl+-",), LEAF),
    Command("zoom_fit", "Whole album", ("Ctrl+9",), LEAF),
    Command("zoom_one", "Usual size", ("Ctrl+0",), LEAF),
    Command("show_all", "Show everything", ("E",), LEAF),
    Command("show_gaps", "Show gaps", ("G",), LEAF),
    Command("show_below", "Show below target", ("B",), LEAF),
    Command("show_spares", "Show where a spare waits", ("W",), LEAF),
    Command("show_since", "Show changed since a day…", ("H",), LEAF),
    Command("show_origin", "Show found against bought", ("U",), LEAF),
    Command("show_gain", "Show gain for the money", ("I",), LEAF,
            tip="More squares: more grade points for the money, by your own prices."),
    Command("as_of", "As of a day…", ("Y",), LEAF,
            tip="Go through the album's history, day by day."),
    Command("fill", "Fill", ("F",), LEAF, is_change=True,
            tip="Find the best place for every spare. Nothing moves before you accept it."),
    Command("stock", "Stock this album", ("S",), LEAF, is_change=True,
            tip="Enter the coins of an album you already own, slot by slot."),
    Command("design", "Design the leaf…", ("Q",), LEAF,
            tip="Move, add and take out slots, and give the leaves another shape."),
    Command("checklist", "Checklist", ("Ctrl+P",), LEAF,
            tip="What is missing, on paper."),
    Command("pictures", "Picture or leaf sheets…", ("Ctrl+Shift+P",), LEAF,
            tip="The album as drawn, to print or to show: sheets, a picture, a card."),
    Command("card", "Open the slot", ("Enter",), SLOT, is_bound=False),
    Command("put_in", "Put in a coin…", ("C",), SLOT, is_change=True),
    Command("swap", "Put in the best spare", ("R",), SLOT, is_change=True),
    Command("move_coin", "Move this coin…", ("M",), SLOT, is_change=True,
            tip="The arrow keys choose where to; Enter puts it there, Esc leaves."),
    Command("take_out", "Take out", ("Delete",), SLOT, is_change=True),
    Command("find_coins", "Find coins that fit", ("Ctrl+F",), SLOT,
            tip="Among all coins you hold, those in other slots too."),
    Command("go_to_coin", "Go where the coin sits", ("J",), SLOT,
            tip="From an overview to the album that holds the coin."),
    Command("target", "Set the target…", ("T",), SLOT, is_change=True),
    Command("pin", "Pin", ("P",), SLOT, is_change=True,
            tip="Fill leaves a pinned slot and its coin alone."),
    Command("verify", "To verify", ("V",), SLOT, is_change=True),
    Command("skip", "Skip", ("X",), SLOT, is_change=True),
    Command("optional", "Optional", ("O",), SLOT, is_change=True),
    Command("order", "Order a coin…", ("D",), SLOT, is_change=True),
    Command("arrived", "Arrived", ("A",), SLOT, is_change=True),
    Command("note", "Write a note", ("N",), SLOT, is_change=True),
    Command("correct", "Correct the history…", ("K",), SLOT, is_change=True,
            tip="From when until when a coin was in the slot."),
)  # fmt: skip


def _is_local(command: Command) -> bool:
    return command.is_local or command.group in {LEAF, SLOT}


class Actions:
    """The commands as `QAction`s; those of album and slot work while their panel has focus."""

    def __init__(self, window: QWidget) -> None:
        self._all = {command.id: self._make(command, window) for command in COMMANDS}
        self._changes = {command.id for command in COMMANDS if command.is_change}
        self._window = window
        for command in COMMANDS:
            if command.is_bound and not _is_local(command):
                window.addAction(self._all[command.id])

    @staticmethod
    def _make(command: Command, window: QWidget) -> QAction:
        action = QAction(command.text, window)
        if command.is_bound:
            action.setShortcuts([QKeySequence(key) for key in command.keys])
        if _is_local(command):
            action.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        keys = f" ({key_text(command.keys[0])})" if command.keys else ""
        action.setToolTip(
            f"{command.text.rstrip('…')}{keys}" + f"\n{command.tip}" * bool(command.tip)
        )
        return action

    def __getitem__(self, command_id: str) -> QAction:
        return self._all[command_id]

    def bind(self, command_id: str, handler: Callable[[], object]) -> None:
        """What the command does."""
        self._all[command_id].triggered.connect(lambda _checked=False: handler())

    def give_to(self, panel: QWidget) -> None:
        """Let the commands of album and slot work wherever in a panel the focus is."""
        for command in COMMANDS:
            if command.is_bound and _is_local(command):
                panel.addAction(self._all[command.id])

    def allow_changes(self, is_allowed: bool) -> None:
        """Switch the commands that change the collection."""
        for command_id in self._changes:
            self._all[command_id].setEnabled(is_allowed)
