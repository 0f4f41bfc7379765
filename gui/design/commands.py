"""The commands of designing: words, keys, and the key as menus show it."""

from dataclasses import dataclass

from PySide6.QtCore import Qt

Key = tuple[Qt.Key, bool]
"""A key, and whether Shift is held."""


@dataclass(frozen=True, slots=True)
class Command:
    """One command; `keys` work on the leaf while it is designed."""

    id: str
    text: str
    shown_key: str
    keys: tuple[Key, ...] = ()


_K = Qt.Key

COMMANDS = (
    Command("left", "Move left", "Ctrl+Left"),
    Command("right", "Move right", "Ctrl+Right"),
    Command("up", "Move up", "Ctrl+Up"),
    Command("down", "Move down", "Ctrl+Down"),
    Command("spacer", "Put a spacer before", "Space", ((_K.Key_Space, False),)),
    Command("no_spacer", "Take a spacer from before", "Backspace", ((_K.Key_Backspace, False),)),
    Command("row_break", "New row here, or not", "R", ((_K.Key_R, False),)),
    Command("leaf_break", "New leaf here, or not", "L", ((_K.Key_L, False),)),
    Command("add", "Add a slot…", "Ins", ((_K.Key_Insert, False),)),
    Command("take_out", "Take out of the album", "Del", ((_K.Key_Delete, False),)),
    Command("label", "Label…", "F2", ((_K.Key_F2, False),)),
    Command("target", "Target…", "T", ((_K.Key_T, False),)),
    Command("optional", "Optional", "O", ((_K.Key_O, False),)),
    Command("skip", "Skip", "X", ((_K.Key_X, False),)),
    Command("wanted", "Wanted", "W", ((_K.Key_W, False),)),
    Command("select_row", "The row", "Shift+R", ((_K.Key_R, True),)),
    Command("select_leaf", "The leaf", "Shift+L", ((_K.Key_L, True),)),
    Command("select_decade", "The decade", "Shift+D", ((_K.Key_D, True),)),
    Command("select_mint", "The mint", "Shift+M", ((_K.Key_M, True),)),
    Command("select_design", "The design", "Shift+T", ((_K.Key_T, True),)),
    Command("select_all", "All slots", "Ctrl+A"),
    Command("panel", "The Shape panel", "Enter", ((_K.Key_Return, False), (_K.Key_Enter, False))),
    Command("end", "Done", "Esc", ((_K.Key_Escape, False), (_K.Key_Q, False))),
)

BY_KEY: dict[Key, str] = {key: command.id for command in COMMANDS for key in command.keys}
SELECT_MENU: tuple[str | None, ...] = (
    "select_row", "select_leaf", "select_decade", "select_mint", "select_design", None,
    "select_all",
)  # fmt: skip
"""The commands of a menu; None for a line between."""
SLOT_MENU: tuple[str | None, ...] = (
    "left", "right", "up", "down", None, "spacer", "no_spacer", "row_break", "leaf_break", None,
    "add", "take_out", "label", None, "target", "optional", "skip", "wanted",
)  # fmt: skip
