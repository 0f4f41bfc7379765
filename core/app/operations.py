"""Everything that changes a collection: each function returns an Operation for `Collection.run`.

An operation checks, writes through one unit of work and answers with Changes; it is one journal
entry, so it can be undone whole.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace

from core.app.across import with_letters
from core.app.changes import Changes
from core.app.order import Context as Context  # noqa: PLC0414 (given on)
from core.app.order import Operation as Operation  # noqa: PLC0414 (given on)
from core.app.order import (
    changes_of,
    coin_in,
    free_name,
    known_coins,
    known_slots,
    places_of,
    require_fit,
    require_held,
    require_holder,
    single_of,
)
from core.app.shelf_entries import kept_together
from core.errors import Refused
from core.model.album import Album, AlbumId, AlbumKind, Slot, SlotId, Target, Wish
from core.model.arrangement import Arrangement
from core.model.coin import Coin, CoinId, CoinStatus, Finding, Origin, Problem
from core.model.fit import Fit, fit
from core.model.grade import Grade
from core.model.issue import SeriesId
from core.model.plan_album import AlbumPlan, plan_slots
from core.model.plan_choice import ChoiceKind
from core.store.unit import Unit

# ---- coins ------------------------------------------------------------------------------------


def add_coins(coins: Sequence[Coin]) -> Operation:
    """Add coins or lots to the collection, as spares."""

    def work(unit: Unit, context: Context) -> Changes:
        for described in dict.fromkeys(coin.description for coin in coins):
            context.series.require(unit, described.series).require(described)
        made = unit.add_coins(coins)
        return Changes(
            coins=frozenset(made),
            descriptions=frozenset(c.description for c in coins),
            made_coins=tuple(made),
        )

    many = sum(c.quantity for c in coins)
    return Operation("add a coin" if many == 1 else f"add {many} coins", work)


def edit_coins(coins: Sequence[Coin]) -> Operation:
    """Set all that is known of these coins; where one sits in a slot it stays there."""

    def work(unit: Unit, context: Context) -> Changes:
        slots = []
        before = known_coins(unit, [c.id for c in coins])
        placed = places_of(unit, [c.id for c in coins])
        for coin, old in zip(coins, before, strict=True):
            context.series.require(unit, coin.description.series).require(coin.description)
            at = placed.get(coin.id)
            if at is not None:
                slots.append(at)
                if coin.is_lot or coin.status is not CoinStatus.HELD:
                    label = unit.read.slot(at).label
                    raise Refused(
                        f"Coin {coin.id} sits in slot {label}; take it out before making it "
                        f"{'a lot' if coin.is_lot else coin.status.value}."
                    )
            was_ordered = old.status is CoinStatus.ON_ORDER
            meant = unit.read.reservation_of_coin(coin.id) if was_ordered else None
            if meant is not None:
                slots.append(meant.slot)
                if coin.is_lot or coin.status is not CoinStatus.ON_ORDER:
                    raise Refused(
                        f"Coin {coin.id} is on order for slot {unit.read.slot(meant.slot).label}; "
                        "mark it arrived or cancel the order first."
                    )
        unit.update_coins([new for new, old in zip(coins, before, strict=True) if new != old])
        done = changes_of(unit, slots, [c.id for c in coins])
        return replace(
            done, descriptions=done.descriptions | frozenset(c.description for c in before)
        )

    return Operation(f"edit {_coins(len(coins))}", work)


def let_go(coins: Sequence[CoinId]) -> Operation:
    """Coins that are gone (sold, spent, given away): out of their slots, kept as history."""

    def work(unit: Unit, context: Context) -> Changes:
        found = known_coins(unit, coins)
        here = [c for c in found if c.status is not CoinStatus.GONE]
        if not here:
            many = f"Coin {coins[0]} is" if len(coins) == 1 else "These coins are"
            raise Refused(f"{many} gone already; nothing was changed.")
        slots = list(places_of(unit, [c.id for c in here]).values())
        unit.end_placements(slots, context.today)
        ordered = [c.id for c in here if c.status is CoinStatus.ON_ORDER]
        reserved = [r.slot for c in ordered if (r := unit.read.reservation_of_coin(c)) is not None]
        unit.unreserve(reserved)
        unit.update_coins([replace(c, status=CoinStatus.GONE) for c in here])
        return changes_of(unit, [*slots, *reserved], coins)

    return Operation(f"let go of {_coins(len(coins))}", work)


def add_and_place(coin: Coin, slot_id: SlotId) -> Operation:
    """Enter a coin and put it in a slot in one go."""

    def work(unit: Unit, context: Context) -> Changes:
        context.series.require(unit, coin.description.series).require(coin.description)
        slot = unit.read.slot(slot_id)
        require_fit(context, slot, coin, "The coin")
        (made,) = unit.add_coins([coin])
        done = _put(unit, context, slot, made)
        return replace(done, made_coins=(made,))

    return Operation("enter a coin in a slot", work, is_named=True)


# ---- placements -------------------------------------------------------------------------------


def place_coin(coin_id: CoinId, slot_id: SlotId, may_be_wrong: bool = False) -> Operation:
    """Put a coin in a slot; a coin there comes out and becomes a spare; one of a lot is split off.

    A coin from another slot moves. Refused where the coin does not fit, unless `may_be_wrong`
    (the slot then shows “to verify”).
    """

    def work(unit: Unit, context: Context) -> Changes:
        slot = unit.read.slot(slot_id)
        if not may_be_wrong:
            require_fit(context, slot, unit.read.coin(coin_id), f"Coin {coin_id}")
        return _put(unit, context, slot, coin_id)

    return Operation("put a coin in a slot", work, is_named=True)


def _put(unit: Unit, context: Context, slot: Slot, coin_id: CoinId) -> Changes:
    coin = unit.read.coin(coin_id)
    require_held(coin)
    require_holder(unit, slot)
    touched = [slot.id]
    before = unit.read.slot_of_coin(coin_id)
    if before is not None:
        if before.id == slot.id:
            raise Refused(f"Coin {coin.id} is in slot {before.label} already.")
        touched.append(before.id)
    leaving = coin_in(unit, slot.id)
    unit.end_placements(touched, context.today)
    single = single_of(unit, coin)
    unit.place(slot.id, single, context.today)
    freed = [leaving] if leaving is not None else []
    return changes_of(unit, touched, [coin_id, single, *freed])


def clear_slots(slots: Sequence[SlotId]) -> Operation:
    """Take the coins out of these slots; they become spares."""

    def work(unit: Unit, context: Context) -> Changes:
        asked = known_slots(unit, slots)
        for slot in {slot.album: slot for slot in asked}.values():
            require_holder(unit, slot)
        stays = [unit.read.placements_in_album(album) for album in {s.album for s in asked}]
        full = {s.id: held[s.id].coin for held in stays for s in asked if s.id in held}
        if not full:
            where = f"Slot {asked[0].label} is" if len(asked) == 1 else "These slots are"
            raise Refused(f"{where} empty; there is no coin to take out.")
        unit.end_placements(list(full), context.today)
        return changes_of(unit, list(full), list(full.values()))

    return Operation(
        "take out a coin" if len(slots) == 1 else "take out coins", work, is_named=True
    )


def swap_slots(one: SlotId, other: SlotId) -> Operation:
    """Exchange what two slots hold; refused where a coin does not fit the other slot."""

    def work(unit: Unit, context: Context) -> Changes:
        if one == other:
            raise Refused("A slot cannot be swapped with itself; choose another slot.")
        first, second = coin_in(unit, one), coin_in(unit, other)
        if first is None and second is None:
            raise Refused("Both slots are empty; there is nothing to swap.")
        for coin, slot_id in ((first, other), (second, one)):
            slot = unit.read.slot(slot_id)
            require_holder(unit, slot)
            if coin is not None:
                require_fit(context, slot, unit.read.coin(coin), f"Coin {coin}")
        unit.end_placements([one, other], context.today)
        if first is not None:
            unit.place(other, first, context.today)
        if second is not None:
            unit.place(one, second, context.today)
        return changes_of(unit, [one, other], [c for c in (first, second) if c is not None])

    return Operation("swap two slots", work, is_named=True)


def move_coin(one: SlotId, other: SlotId) -> Operation:
    """Carry a slot's coin to an empty slot; refused where it does not fit there."""

    def work(unit: Unit, context: Context) -> Changes:
        coin, to = coin_in(unit, one), unit.read.slot(other)
        if coin is None:
            label = unit.read.slot(one).label
            raise Refused(f"Slot {label} is empty; there is no coin to move.")
        if one != other and coin_in(unit, other) is not None:
            raise Refused(f"Slot {to.label} holds a coin; swap the two, or take that coin out.")
        require_fit(context, to, unit.read.coin(coin), f"Coin {coin}")
        return _put(unit, context, to, coin)

    return Operation("move a coin", work, is_named=True)


def apply_fill(pairs: Sequence[tuple[SlotId, CoinId]]) -> Operation:
    """Carry out a fill: every coin goes to its slot at once, coins in the way come out first.

    Refused whole where a line is no longer true: the coin is gone, or does not surely fit.
    """

    def work(unit: Unit, context: Context) -> Changes:
        if not pairs:
            raise Refused("No line is chosen; there is nothing to fill.")
        slots = {s.id: s for s in known_slots(unit, [slot for slot, _ in pairs])}
        if len(slots) < len(pairs):
            raise Refused("Two lines put a coin into the same slot; take one of them off.")
        coins = {c.id: c for c in known_coins(unit, [coin for _, coin in pairs])}
        for slot_id, coin_id in pairs:
            require_held(coins[coin_id])
            require_holder(unit, slots[slot_id])
            series = context.series.get(slots[slot_id].accepts.series)
            if fit(series, slots[slot_id], coins[coin_id]) is not Fit.FITS:
                raise Refused(
                    f"Coin {coin_id} no longer surely fits slot {slots[slot_id].label}; "
                    "let Fill look again."
                )
        return put_together(unit, context, pairs)

    return Operation(f"fill {_slots(len(pairs))}", work)


def put_together(unit: Unit, context: Context, pairs: Sequence[tuple[SlotId, CoinId]]) -> Changes:
    """Put every coin in its slot at once; coins in the way come out first. Nothing is checked."""
    slots, coins = [slot for slot, _ in pairs], [coin for _, coin in pairs]
    placed = unit.read.placed_ids()
    moving = [placed[coin] for coin in coins if coin in placed]
    holders = {slot: coin for coin, slot in placed.items()}
    left = [holders[s] for s in slots if s in holders]
    lots = {c.id for c in unit.read.coins(coins).values() if c.is_lot}
    unit.end_placements(list(dict.fromkeys([*slots, *moving])), context.today)
    singles = [single_of(unit, unit.read.coin(c)) if c in lots else c for c in coins]
    unit.place_many(list(zip(slots, singles, strict=True)), context.today)
    return changes_of(unit, [*slots, *moving], [*coins, *singles, *left])


# ---- on order ---------------------------------------------------------------------------------


def order_coin(coin: Coin, slot_id: SlotId) -> Operation:
    """A coin bought for a slot is under way: kept as on order, reserved for the slot."""

    def work(unit: Unit, context: Context) -> Changes:
        slot = unit.read.slot(slot_id)
        context.series.require(unit, coin.description.series).require(coin.description)
        require_holder(unit, slot)
        require_fit(context, slot, coin, "The coin")
        if slot_id in unit.read.reserved_in_album(slot.album):
            raise Refused(f"A coin is on order for slot {slot.label} already.")
        (made,) = unit.add_coins([replace(coin, status=CoinStatus.ON_ORDER, quantity=1)])
        unit.reserve(slot_id, made)
        done = replace(changes_of(unit, [slot_id], [made]), made_coins=(made,))
        return replace(done, is_choices=_end_choices(unit, slot_id))

    return Operation("order a coin", work, is_named=True)


def _end_choices(unit: Unit, slot_id: SlotId) -> bool:
    """A purchase was made for a slot: none is pinned or shown there now; whether one was."""
    ends = [
        one
        for one in unit.read.prices.choices()
        if one.slot == slot_id and one.kind is not ChoiceKind.FORBIDDEN
    ]
    unit.prices.drop_choices(ends)
    return bool(ends)


def _no_longer_ordered(unit: Unit, slot_id: SlotId) -> Coin:
    """The coin on order for a slot, its reservation let go; raises Refused where there is none."""
    slot = unit.read.slot(slot_id)
    coin = unit.read.reserved_in_album(slot.album).get(slot_id)
    if coin is None:
        raise Refused(f"No coin is on order for slot {slot.label}.")
    unit.unreserve([slot_id])
    return coin


def coin_arrived(slot_id: SlotId) -> Operation:
    """The ordered coin is here: into its slot where that is empty, else to the spares."""

    def work(unit: Unit, context: Context) -> Changes:
        coin = _no_longer_ordered(unit, slot_id)
        unit.update_coins([replace(coin, status=CoinStatus.HELD, acquired=context.today)])
        if coin_in(unit, slot_id) is None:
            unit.place(slot_id, coin.id, context.today)
        return changes_of(unit, [slot_id], [coin.id])

    return Operation("an ordered coin arrived", work, is_named=True)


def cancel_order(slot_id: SlotId) -> Operation:
    """The ordered coin will not come."""

    def work(unit: Unit, _context: Context) -> Changes:
        coin = _no_longer_ordered(unit, slot_id)
        unit.update_coins([replace(coin, status=CoinStatus.GONE)])
        return changes_of(unit, [slot_id], [coin.id])

    return Operation("cancel an order", work, is_named=True)


# ---- slots ------------------------------------------------------------------------------------


def _edit_slots(label: str, slots: Sequence[SlotId], edit: Callable[[Slot], Slot]) -> Operation:
    def work(unit: Unit, _context: Context) -> Changes:
        unit.update_slots([new for s in known_slots(unit, slots) if (new := edit(s)) != s])
        return changes_of(unit, slots, [])

    return Operation(label, work, is_named=True)


def set_target(slots: Sequence[SlotId], target: Target | None) -> Operation:
    """What the collector wants in these slots; None for no target."""
    text = target.text if target else "none"
    return _edit_slots(f"set the target to {text}", slots, lambda s: replace(s, target=target))


def set_wish(slots: Sequence[SlotId], wish: Wish) -> Operation:
    """Seek these slots, make them optional, or skip them."""
    return _edit_slots(f"make {_slots(len(slots))} {wish}", slots, lambda s: replace(s, wish=wish))


def set_pinned(slots: Sequence[SlotId], is_pinned: bool) -> Operation:
    """Pin slots so that Fill leaves them alone, or unpin them."""
    word = "pin" if is_pinned else "unpin"
    return _edit_slots(
        f"{word} {_slots(len(slots))}", slots, lambda s: replace(s, is_pinned=is_pinned)
    )


def set_notes(slots: Sequence[SlotId], note: str) -> Operation:
    """Write the same note for all of these slots."""
    label = "write a note" if len(slots) == 1 else f"write a note for {_slots(len(slots))}"
    return _edit_slots(label, slots, lambda s: replace(s, note=note.strip()))


def set_note(slot: SlotId, note: str) -> Operation:
    """Write a slot's note."""
    return set_notes([slot], note)


def set_flagged(coins: Sequence[CoinId], is_flagged: bool) -> Operation:
    """Mark coins to verify, or take the mark off."""

    def work(unit: Unit, _context: Context) -> Changes:
        found = known_coins(unit, coins)
        other = [replace(c, is_flagged=is_flagged) for c in found if c.is_flagged != is_flagged]
        unit.update_coins(other)
        return changes_of(unit, list(places_of(unit, coins).values()), coins)

    return Operation(
        "mark to verify" if is_flagged else "clear the mark to verify", work, is_named=True
    )


# ---- stocking ---------------------------------------------------------------------------------


def stock_slots(
    slots: Sequence[SlotId],
    grade: Grade | None = None,
    is_flagged: bool = False,
    problems: tuple[Problem, ...] = (),
) -> Operation:
    """The album holds these already: a coin of the slot's own issue into each empty slot.

    The coin is all that the slot accepts; a slot that takes several mints gets a coin whose mint
    is not known. Slots that hold a coin get its grade set instead.
    """

    def work(unit: Unit, context: Context) -> Changes:
        coins: list[Coin] = []
        empty: list[SlotId] = []
        regraded: list[Coin] = []
        held: dict[SlotId, Coin] = {}
        asked = known_slots(unit, slots)
        for album in {s.album: s for s in asked}.values():
            require_holder(unit, album)
            held |= unit.read.coins_in_album(album.album)
        for slot in asked:
            if (coin := held.get(slot.id)) is not None:
                graded = grade if grade is not None else coin.grade
                known = replace(coin, grade=graded, is_flagged=is_flagged or coin.is_flagged)
                if known != coin:
                    regraded.append(known)
                continue
            empty.append(slot.id)
            coins.append(_stock_coin(slot, grade, is_flagged, problems))
        unit.update_coins(regraded)
        made = unit.add_coins(coins)
        for slot_id, coin_id in zip(empty, made, strict=True):
            unit.place(slot_id, coin_id, context.today)
        done = changes_of(unit, slots, [*made, *(c.id for c in regraded)])
        return replace(done, made_coins=tuple(made))

    return Operation("stocking", work)


def _stock_coin(
    slot: Slot, grade: Grade | None, is_flagged: bool, problems: tuple[Problem, ...]
) -> Coin:
    found = ((slot.variety, Finding.CONFIRMED),) if slot.variety else ()
    return Coin(
        CoinId(0),
        slot.accepts,
        grade,
        problems,
        is_flagged=is_flagged,
        varieties=found,
        origin=Origin.ALREADY_OWNED,
    )


def unstock_slot(slot_id: SlotId, coin_id: CoinId) -> Operation:
    """Take back a coin stocked a moment ago, as if it had never been entered."""

    def work(unit: Unit, _context: Context) -> Changes:
        described = unit.read.coin(coin_id).description
        stays = unit.read.placements_of_coin(coin_id)
        if [(p.slot, p.until) for p in stays] != [(slot_id, None)]:
            raise Refused(
                f"Coin {coin_id} has sat elsewhere too, so it is not taken back; undo instead."
            )
        for placement in stays:
            unit.remove_placement(placement.id)
        unit.delete_coins([coin_id])
        done = changes_of(unit, [slot_id], [])
        return replace(done, coins=frozenset([coin_id]), descriptions=frozenset([described]))

    return Operation("take back the last slot", work)


# ---- albums -----------------------------------------------------------------------------------


def add_album(
    name: str,
    series: SeriesId,
    plan: AlbumPlan,
    arrangement: Arrangement,
    kind: AlbumKind = AlbumKind.HOLDER,
) -> Operation:
    """A new album at the bottom of the shelf; its series is copied into the collection."""

    def work(unit: Unit, context: Context) -> Changes:
        known = context.series.require(unit, series)
        title = free_name(unit, name)
        shelf = len(unit.read.albums())
        album = Album(AlbumId(0), title, series, shelf, kind, arrangement)
        slots = plan_slots(known, plan)
        slots = with_letters(context.series.get, slots, plan.show_p, arrangement.show_p)
        made = unit.add_album(album)
        unit.add_slots([replace(s, album=made) for s in slots])
        return Changes(albums=frozenset([made]), is_shelf=True, is_reshaped=True, made_album=made)

    return Operation(f"new album {name.strip()}", work)


def rename_album(album_id: AlbumId, name: str) -> Operation:
    """Give an album another name."""

    def work(unit: Unit, _context: Context) -> Changes:
        album = unit.read.album(album_id)
        title = free_name(unit, name, album_id)
        if title != album.name:
            unit.update_album(replace(album, name=title))
        return Changes(albums=frozenset([album_id]), is_shelf=True, is_reshaped=True)

    return Operation(f"rename to {name.strip()}", work)


def rearrange_album(album_id: AlbumId, arrangement: Arrangement) -> Operation:
    """Lay the same slots out otherwise; every coin keeps its slot.

    Where Philadelphia's P is shown otherwise, slots without a label of their own are called so.
    """

    def work(unit: Unit, context: Context) -> Changes:
        album = unit.read.album(album_id)
        if arrangement != album.arrangement:
            unit.update_album(replace(album, arrangement=arrangement))
        before, after = album.arrangement.show_p, arrangement.show_p
        renamed: list[Slot] = []
        if before is not after:
            here = unit.read.slots(album_id)
            now = with_letters(context.series.get, here, before, after)
            renamed = [slot for slot, was in zip(now, here, strict=True) if slot != was]
            unit.update_slots(renamed)
        touched = frozenset(slot.id for slot in renamed)
        return Changes(albums=frozenset([album_id]), slots=touched, is_reshaped=True)

    return Operation("arrange the album", work)


def delete_album(album_id: AlbumId) -> Operation:
    """Take an album off the shelf; its coins stay in the collection as spares."""

    def work(unit: Unit, _context: Context) -> Changes:
        album = unit.read.album(album_id)
        coins = [c.id for c in unit.read.coins_in_album(album_id).values()]
        waiting = unit.read.reserved_in_album(album_id)
        if waiting:
            many = "A coin is" if len(waiting) == 1 else f"{len(waiting)} coins are"
            where = ", ".join(s.label for s in known_slots(unit, list(waiting)))
            raise Refused(
                f"{many} on order for {album.name} ({where}); "
                "mark what has arrived and cancel the other orders first."
            )
        is_goal = bool(unit.read.log.campaigns_for(album_id))
        unit.delete_album(album_id)
        for place, other in enumerate(unit.read.albums()):
            if other.shelf != place:
                unit.update_album(replace(other, shelf=place))
        freed = changes_of(unit, [], coins)
        whole = replace(freed, albums=frozenset([album_id]), is_shelf=True, is_reshaped=True)
        return replace(whole, is_log=is_goal)

    return Operation("delete an album", work)


def move_album(album_id: AlbumId, place: int) -> Operation:
    """Move an album to another place of the shelf (from 0); volumes stay together."""

    def work(unit: Unit, _context: Context) -> Changes:
        albums = [a for a in unit.read.albums() if a.id != album_id]
        albums.insert(max(0, min(place, len(albums))), unit.read.album(album_id))
        for shelf, album in enumerate(kept_together(albums)):
            if album.shelf != shelf:
                unit.update_album(replace(album, shelf=shelf))
        return Changes(is_shelf=True, albums=frozenset([album_id]))

    return Operation("move an album", work)


def rename_collection(name: str) -> Operation:
    """Give the collection another name."""

    def work(unit: Unit, _context: Context) -> Changes:
        if not name.strip():
            raise Refused("A collection needs a name.")
        if name.strip() != unit.read.name():
            unit.set_name(name.strip())
        return Changes(is_shelf=True)

    return Operation("rename the collection", work)


def _coins(count: int) -> str:
    return "a coin" if count == 1 else f"{count} coins"


def _slots(count: int) -> str:
    return "a slot" if count == 1 else f"{count} slots"
