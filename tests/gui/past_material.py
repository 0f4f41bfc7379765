"""A window on a collection with a past: what came and went on named days."""

from datetime import date, datetime, time
from pathlib import Path

from core.app.collection import Collection, make_collection
from core.app.operations import (
    add_album,
    add_and_place,
    add_coins,
    clear_slots,
    place_coin,
    stock_slots,
)
from core.lookup.parse import parse_entry
from core.model.album import AlbumId, Target
from core.model.arrangement import Arrangement
from core.model.coin import Coin, Origin
from core.model.plan_album import AlbumPlan
from tests.gui.window_material import NICKELS

FIRST, SECOND, THIRD, FOURTH = (
    date(2024, 3, 5),
    date(2024, 6, 1),
    date(2025, 1, 20),
    date(2025, 5, 3),
)
DAYS = (FIRST, SECOND, THIRD, FOURTH)


def at_noon(day: date) -> datetime:
    """Noon of a day by the clock on the wall."""
    return datetime.combine(day, time(12)).astimezone()


def collection_with_past(path: Path) -> Path:
    """War nickels 1942–1945 with a target of VF-20, and an album in which nothing ever was.

    FIRST: 1943-D G-4 in (found). SECOND: 1944-P VF-20 in (bought). THIRD: 1943-D gets a VF-30
    (bought), 1945-S in without a grade. FOURTH: 1944-P out.
    """
    make_collection(path, "Kitchen drawer", FIRST)
    with Collection.open(path) as collection:
        plan = AlbumPlan(years=(1942, 1945), target=Target(20))
        made = collection.run(
            add_album("War nickels", NICKELS, plan, Arrangement()), at=at_noon(FIRST)
        ).made_album
        assert made is not None
        later = AlbumPlan(years=(1950, 1951))
        collection.run(add_album("Later nickels", NICKELS, later, Arrangement()), at=at_noon(FIRST))
        _put(collection, made, "1943-D", "g4", Origin.FOUND, FIRST)
        _put(collection, made, "1944-P", "vf20", Origin.BOUGHT, SECOND)
        spare = collection.run(
            add_coins([_coin(collection, made, "1943-D vf30", Origin.BOUGHT)]), at=at_noon(SECOND)
        )
        slot = collection.find_slot(collection.album_view(made).album, "1943-D")
        collection.run(place_coin(spare.made_coins[0], slot.id), at=at_noon(THIRD))
        _put(collection, made, "1945-S", "", Origin.UNKNOWN, THIRD)
        slot = collection.find_slot(collection.album_view(made).album, "1944-P")
        collection.run(clear_slots([slot.id]), at=at_noon(FOURTH))
    return path


def _coin(collection: Collection, album: AlbumId, entry: str, origin: Origin) -> Coin:
    from dataclasses import replace

    coin = parse_entry(entry, [collection.album_view(album).series]).coin
    return replace(coin, origin=origin)


def _put(
    collection: Collection, album: AlbumId, label: str, grade: str, origin: Origin, day: date
) -> None:
    slot = collection.find_slot(collection.album_view(album).album, label)
    coin = _coin(collection, album, f"{label} {grade}".strip(), origin)
    collection.run(add_and_place(coin, slot.id), at=at_noon(day))


def long_history(path: Path, entries: int) -> Path:
    """A collection with so many entries: a run of stocking in the middle, notes around it."""
    from core.app.operations import set_note

    make_collection(path, "Much written")
    with Collection.open(path) as collection:
        plan = AlbumPlan(years=(1938, 1964))
        made = collection.run(add_album("Nickels", NICKELS, plan, Arrangement())).made_album
        assert made is not None
        slots = [seen.slot.id for seen in collection.album_view(made).slots]
        run = collection.start_run()
        for slot in slots[:30]:
            collection.run(stock_slots([slot]), run_id=run)
        for number in range(entries - 31):
            collection.run(set_note(slots[0], f"note {number}"))
    return path
