"""The head of the table: which box, what it holds, the time spent, and what can be done with it."""

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QWidget

from core.app.search_views import BoxView
from core.search.packaging import packaging
from gui.search.clock import clock_text
from gui.theme import M, S
from gui.widgets import ElidedLabel, Label, MenuButton, key_text, row

ACTIONS = (
    ("edit", "Edit the box…", "Ctrl+E"),
    ("roll", "This roll: short, long, skipped…", "Alt+R"),
    ("tally", "Tally the coin on the line…", "Ctrl+T"),
    ("compare", "Compare what the coin may be…", "F4"),
    ("claims", "Fully logged dates…", "Alt+L"),
    ("dates", "By date…", "Alt+D"),
    ("tallies", "Tallies…", "Alt+T"),
    ("weigh", "Weigh a pile…", "Alt+W"),
    ("jars", "Containers…", "Alt+J"),
    ("rule", "What is of use…", "Alt+U"),
    ("search", "The search…", "Alt+S"),
    ("page", "All boxes in figures", "Alt+A"),
    ("closer", "Look-closer sheet…", "Alt+K"),
    ("sheet", "Tally sheet…", "Alt+Y"),
    ("finish", "Finish the box…", "Alt+F"),
    ("report", "Report of the box…", "Alt+O"),
    ("time", "Time spent…", "Alt+M"),
    ("again", "Take the box up again", "Alt+G"),
    ("delete", "Delete the box", "Alt+Del"),
)
NEW_BOX_KEY, NEW_CAMPAIGN_KEY = "Ctrl+B", "Ctrl+Shift+B"


def name_of_coins(key: str) -> str:
    """cents, for US 1c, where the table of packagings says no more than 1c: US 1c."""
    return _COINS.get(key, key)


_COINS = {
    "US 1c": "cents",
    "US 5c": "nickels",
    "US 10c": "dimes",
    "US 25c": "quarters",
    "US 50c": "halves",
    "US $1": "dollars",
    "CA 1c": "Canadian cents",
    "GB 1p": "pennies",
}


def head_text(view: BoxView) -> str:
    """cents · 50 rolls of 50 · north branch · machine wrapped · circulated."""
    box = view.box
    wraps = packaging(box.denomination)
    unit = "bag" if wraps is not None and wraps.unit != "roll" else "roll"
    rolls = f"{box.rolls} {unit}{'' if box.rolls == 1 else 's'} of {box.per_roll:,}"
    told = (name_of_coins(box.denomination), rolls, box.came_from, box.wrapper, str(box.kind.value))
    return " · ".join(filter(None, told))


class BoxHead(QWidget):
    """`acted` tells which of ACTIONS was chosen."""

    acted = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        box = row(self, spacing=S)
        self.title = Label("", "title", self)
        self.told = ElidedLabel("", "mute", self)
        self.time = Label("", "small", self)
        self.time.setToolTip("Time spent. It pauses by itself after two minutes without a key.")
        self.menu = MenuButton("This box", "", self)
        self.menu.setToolTip("What can be done with the box (Alt+B)")
        self.actions_by_name: dict[str, QAction] = {}
        for name, text, key in ACTIONS:
            if name in ("tallies", "rule", "closer", "finish"):
                self.menu.choices.addSeparator()
            shown = f"{text}\t{key_text(key)}" if key else text
            action = QAction(shown, self.menu.choices)
            action.triggered.connect(lambda _on=False, name=name: self.acted.emit(name))
            self.menu.choices.addAction(action)
            self.actions_by_name[name] = action
        box.addWidget(self.title)
        box.addWidget(self.told, 1)
        box.addWidget(self.time)
        box.addSpacing(M)
        box.addWidget(self.menu)

    def show_box(self, view: BoxView, can_finish: bool) -> None:
        """Show a box's head."""
        self.title.setText(f"Box {view.box.number}")
        self.told.show_text(head_text(view))
        is_done = view.box.is_done
        self.actions_by_name["finish"].setVisible(can_finish and not is_done)
        self.actions_by_name["again"].setVisible(is_done)

    def show_time(self, seconds: int, is_running: bool, is_done: bool) -> None:
        """The time spent so far."""
        word = "" if is_running or is_done else ", paused"
        self.time.setText(f"{clock_text(seconds)}{word}" if seconds or is_running else "")


def shortcut_of(name: str) -> QKeySequence:
    """The key of an action."""
    return QKeySequence(next(key for known, _, key in ACTIONS if known == name))
