"""The menu of a slot, or of all selected: the same commands as the keys, those that apply."""

from collections.abc import Callable, Sequence
from functools import partial

from PySide6.QtWidgets import QMenu, QWidget

from core.app.views import SlotView
from core.model.album import SlotId, Wish
from core.model.state import Mark
from gui.actions import Actions
from gui.leaf.many_slots import VARIOUS, InCommon, in_common
from gui.leaf.slot_orders import SlotOrders
from gui.widgets import make_menu

WISH_WORDS = {Wish.WANTED: "Wanted", Wish.OPTIONAL: "Optional", Wish.SKIPPED: "Skipped"}
WISH_COMMANDS = {Wish.OPTIONAL: "optional", Wish.SKIPPED: "skip"}


def slot_menu(
    parent: QWidget,
    actions: Actions,
    orders: SlotOrders,
    views: Sequence[SlotView],
    open_card: Callable[[], object],
    holds_coins: bool = True,
) -> QMenu:
    """The menu for these slots, not yet shown; `open_card` opens the card.

    Of an overview, which holds no coins, what goes in and out is left out.
    """
    if len(views) > 1:
        return _menu_of_many(parent, actions, orders, views, holds_coins=holds_coins)
    return _menu_of_one(parent, actions, views[0], open_card, holds_coins=holds_coins)


def _menu_of_one(
    parent: QWidget,
    actions: Actions,
    view: SlotView,
    open_card: Callable[[], object],
    *,
    holds_coins: bool,
) -> QMenu:
    menu = make_menu(parent)
    menu.addAction("Open the slot\tEnter", open_card)
    menu.addSeparator()
    if holds_coins:
        _add_coin_commands(menu, actions, view)
    else:
        if view.coin is not None:
            menu.addAction(actions["go_to_coin"])
        menu.addAction(actions["find_coins"])
    menu.addSeparator()
    menu.addAction(actions["target"])
    checks = {
        "optional": view.slot.wish is Wish.OPTIONAL,
        "skip": view.slot.wish is Wish.SKIPPED,
    }
    if holds_coins:
        checks["pin"] = view.slot.is_pinned
    if view.coin is not None:
        checks["verify"] = view.coin.is_flagged
    for name, is_on in checks.items():
        _add_checked(menu, actions, name, is_on)
    menu.addSeparator()
    menu.addAction(actions["note"])
    return menu


def _add_coin_commands(menu: QMenu, actions: Actions, view: SlotView) -> None:
    """What goes in, moves, comes out and is ordered."""
    if Mark.SPARE_WAITING in view.marks:
        menu.addAction(actions["swap"])
    menu.addAction(actions["put_in"])
    if view.coin is not None:
        menu.addAction(actions["move_coin"])
        menu.addAction(actions["take_out"])
    menu.addAction(actions["arrived" if view.ordered is not None else "order"])


def _menu_of_many(
    parent: QWidget,
    actions: Actions,
    orders: SlotOrders,
    views: Sequence[SlotView],
    *,
    holds_coins: bool,
) -> QMenu:
    """What can be done to all of them at once; where they differ it says “various”."""
    menu = make_menu(parent)
    common = in_common(views)
    slots = [view.slot.id for view in views]
    coins = [view.coin for view in views if view.coin is not None]
    menu.addAction(f"{common.count:,} slots").setEnabled(False)
    menu.addSeparator()
    target = menu.addAction(f"Set the target (now {common.target_text})…\tT")
    target.triggered.connect(lambda _on=False: actions["target"].trigger())
    target.setEnabled(actions["target"].isEnabled())
    _add_wishes(menu, actions, orders, slots, common)
    if holds_coins:
        _add_pins(menu, actions, orders, slots, common)
    if coins:
        _add_checked(menu, actions, "verify", all(coin.is_flagged for coin in coins))
    menu.addSeparator()
    note = menu.addAction("Write a note for all…\tN")
    note.triggered.connect(lambda _on=False: actions["note"].trigger())
    note.setEnabled(actions["note"].isEnabled())
    if coins and holds_coins:
        menu.addSeparator()
        menu.addAction(actions["take_out"])
    return menu


def _add_checked(menu: QMenu, actions: Actions, name: str, is_on: bool) -> None:
    actions[name].setCheckable(True)
    actions[name].setChecked(is_on)
    menu.addAction(actions[name])


def _add_wishes(
    menu: QMenu, actions: Actions, orders: SlotOrders, slots: Sequence[SlotId], common: InCommon
) -> None:
    now = WISH_WORDS[common.wish].lower() if common.wish is not None else VARIOUS
    part = menu.addMenu(f"Sought: {now}")
    for wish, words in WISH_WORDS.items():
        command = WISH_COMMANDS.get(wish)
        key = f"\t{actions[command].shortcut().toString()}" if command else ""
        action = part.addAction(f"{words}{key}")
        action.setCheckable(True)
        action.setChecked(common.wish is wish)
        action.triggered.connect(partial(_set_wish, orders, slots, wish))
        action.setEnabled(actions["skip"].isEnabled())


def _set_wish(orders: SlotOrders, slots: Sequence[SlotId], wish: Wish, _on: bool = False) -> None:
    orders.set_wish(slots, wish)


def _add_pins(
    menu: QMenu, actions: Actions, orders: SlotOrders, slots: Sequence[SlotId], common: InCommon
) -> None:
    """Pin, unpin, or both where only some are pinned."""
    ways = {"Pin all": True} if common.pinned < common.count else {}
    if common.pinned:
        ways["Unpin all"] = False
    for words, is_pinned in ways.items():
        key = "\tP" if is_pinned or len(ways) == 1 else ""
        action = menu.addAction(f"{words}{key}")
        action.triggered.connect(partial(_set_pinned, orders, slots, is_pinned))
        action.setEnabled(actions["pin"].isEnabled())


def _set_pinned(
    orders: SlotOrders, slots: Sequence[SlotId], is_pinned: bool, _on: bool = False
) -> None:
    orders.set_pinned(slots, is_pinned)
