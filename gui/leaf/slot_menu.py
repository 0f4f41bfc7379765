"""The menu of a slot, or of all selected: the same commands as the keys, those that apply."""

from collections.abc import Callable, Sequence

from PySide6.QtWidgets import QMenu, QWidget

from core.app.views import SlotView
from core.model.album import Wish
from core.model.state import Mark
from gui.actions import Actions
from gui.widgets import make_menu


def slot_menu(
    parent: QWidget, actions: Actions, views: Sequence[SlotView], open_card: Callable[[], object]
) -> QMenu:
    """The menu for these slots, not yet shown; `open_card` opens the card."""
    menu = make_menu(parent)
    one = views[0] if len(views) == 1 else None
    has_coin = any(view.coin is not None for view in views)
    if one is not None:
        menu.addAction("Open the slot\tEnter", open_card)
        menu.addSeparator()
        if Mark.SPARE_WAITING in one.marks:
            menu.addAction(actions["swap"])
        menu.addAction(actions["put_in"])
        menu.addAction(actions["find_coins"])
    if has_coin:
        menu.addAction(actions["take_out"])
    if one is not None and one.ordered is not None:
        menu.addAction(actions["arrived"])
    elif one is not None:
        menu.addAction(actions["order"])
    menu.addSeparator()
    menu.addAction(actions["target"])
    checks = {
        "optional": all(view.slot.wish is Wish.OPTIONAL for view in views),
        "skip": all(view.slot.wish is Wish.SKIPPED for view in views),
        "pin": all(view.slot.is_pinned for view in views),
        "verify": has_coin and all(v.coin.is_flagged for v in views if v.coin is not None),
    }
    for name, is_on in checks.items():
        if name == "verify" and not has_coin:
            continue
        actions[name].setCheckable(True)
        actions[name].setChecked(is_on)
        menu.addAction(actions[name])
    if one is not None:
        menu.addSeparator()
        menu.addAction(actions["note"])
    return menu
