"""Whether a collection file holds together, told in plain words."""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping

from sqlalchemy import Connection, select
from sqlalchemy.exc import DatabaseError

from core.errors import CollectionError
from core.model.plan_choice import require_choice
from core.model.prices import require_offer, require_price, require_rate, require_rules
from core.store.journal import unique_indexes
from core.store.mapping import (
    ALBUM,
    COIN_BY_KEY,
    PLACEMENT,
    SLOT_BY_KEY,
    album_of,
    coin_of,
    placement_of,
    raw,
    read_description,
    slot_of,
)
from core.store.mapping_log import KEPT, sighting_of
from core.store.mapping_prices import (
    OFFER,
    PRICE,
    RATE,
    RULES,
    offer_of,
    price_of,
    rate_of,
    rules_of,
)
from core.store.plan_choices import CHOICES, choice_of
from core.store.schema import journal
from core.store.tables import (
    JOURNALLED,
    album,
    box,
    coin,
    description,
    find,
    offer,
    placement,
    price,
    roll,
    series,
    sighting,
    slot,
)

_MOST = 20  # faults of one kind that are told one by one


def damage(conn: Connection) -> list[str]:
    """What SQLite itself finds wrong with the file; [] if nothing."""
    try:
        faults = conn.exec_driver_sql("PRAGMA quick_check").scalars().all()
    except DatabaseError as error:
        return [f"The file cannot be read through: {error.orig}."]
    return [f"The file is damaged: {fault}." for fault in faults if fault != "ok"][:_MOST]


def strangeness(conn: Connection) -> str | None:
    """Why the file must not be written: its triggers, views or unique keys are not ours."""
    names = set(journal.strange(conn))
    kept = set(
        conn.exec_driver_sql("SELECT name FROM sqlite_master WHERE type = 'index'").scalars()
    )
    for table in JOURNALLED:
        names |= {str(index.name) for index in unique_indexes(table)} - kept
    if not names:
        return None
    return (
        "What guards this collection's history was changed by another program "
        f"({', '.join(sorted(names)[:5])}), so it is open for reading only. Save a copy, or go "
        "back to a daily copy."
    )


def problems(conn: Connection) -> list[str]:
    """All that is wrong with the collection; [] if it is sound."""
    found = damage(conn)
    if found:
        return found
    strange = strangeness(conn)
    if strange:
        found.append(strange)
    now = conn.execute(select(journal.now.c.one, journal.now.c.entry)).all()
    if [tuple(row) for row in now] != [(1, None)]:
        found.append("The journal was left open by another program.")
    for name, key, parent, _ in conn.exec_driver_sql("PRAGMA foreign_key_check").all()[:_MOST]:
        found.append(f"Row {key} of {name} belongs to a {parent} that is not there.")
    found += list(_places(conn))[:_MOST]
    found += list(_unreadable(conn))[:_MOST]
    found += list(_log(conn))[:_MOST]
    found += list(_prices(conn))[:_MOST]
    return found


def _places(conn: Connection) -> Iterator[str]:
    """Coins and slots that break the rules of placing, labels that stand twice."""
    columns = (placement.c.slot_id, placement.c.coin_id, coin.c.quantity)
    rows = conn.execute(
        select(*columns).join_from(placement, coin).where(placement.c.until.is_(None))
    ).all()
    for slot_id, times in Counter(row[0] for row in rows).items():
        if times > 1:
            yield f"Slot number {slot_id} holds {times} coins at once."
    for coin_id, times in Counter(row[1] for row in rows).items():
        if times > 1:
            yield f"Coin {coin_id} sits in {times} slots at once."
    for _, coin_id, quantity in rows:
        if quantity > 1:
            yield f"Lot {coin_id} of {quantity} coins sits in a slot."
    labels = conn.execute(
        select(album.c.name, slot.c.album_id, slot.c.label).join_from(slot, album)
    ).all()
    for (name, _, label), times in Counter(map(tuple, labels)).items():
        if times > 1:
            yield f"{times} slots of album “{name}” are called “{label}”."


def _unreadable(conn: Connection) -> Iterator[str]:
    """Rows whose texts this program cannot read, and descriptions of another series."""
    rows = conn.execute(select(description.c.key, series.c.code).join_from(description, series))
    for key, code in rows:
        if key.partition(";")[0] != code:
            yield f"The description “{key}” is kept under the series “{code}”."
    described = coin.join(description, description.c.id == coin.c.description_id)
    accepting = slot.join(description, description.c.id == slot.c.accepts_id)
    reads: tuple[tuple[Callable[..., object], object], ...] = (
        (album_of, select(*ALBUM).join_from(album, series)),
        (slot_of, select(*SLOT_BY_KEY).select_from(accepting)),
        (coin_of, select(*COIN_BY_KEY).select_from(described)),
        (placement_of, select(*PLACEMENT)),
    )
    for read, statement in reads:
        for row in conn.execute(statement):  # type: ignore[call-overload]  # four kinds of rows
            try:
                read(row)
            except CollectionError as error:
                yield str(error)


def _log(conn: Connection) -> Iterator[str]:
    """Rows of the search log that cannot be read, and what lies in a roll its box has not."""
    for kept in KEPT.values():
        for row in conn.execute(select(*map(raw, kept.table.c))):
            try:
                kept.of(row)
            except CollectionError as error:
                yield str(error)
    keys: Mapping[int, str] = dict(
        map(tuple, conn.execute(select(description.c.id, description.c.key)))
    )
    described = {number: read_description(key) for number, key in keys.items()}
    for row in conn.execute(select(*map(raw, sighting.c))):
        try:
            sighting_of(row, described)
        except CollectionError as error:
            yield str(error)
    for part in (find, sighting, roll):
        at = roll.c.number if part is roll else part.c.roll
        beyond = select(part.c.id, at, box.c.number).join_from(part, box)
        for number, at_roll, of in conn.execute(beyond.where((at < 1) | (at > box.c.rolls))):
            yield f"Box {of} has no roll {at_roll}, in which {part.name} number {number} lies."


def _prices(conn: Connection) -> Iterator[str]:
    """Prices, offers, rates, rules and choices that cannot be read, or that cannot be."""
    reads: tuple[tuple[Callable[..., object], object], ...] = (
        (lambda row: require_price(price_of(row)), select(*PRICE).join_from(price, description)),
        (lambda row: require_offer(offer_of(row)), select(*OFFER).join_from(offer, description)),
        (lambda row: require_rate(rate_of(row)), select(*RATE)),
        (lambda row: require_rules(rules_of(row)), select(*RULES)),
        (lambda row: require_choice(choice_of(row)), CHOICES),
    )
    for read, statement in reads:
        for row in conn.execute(statement):  # type: ignore[call-overload]  # four kinds of rows
            try:
                read(row)
            except CollectionError as error:
                yield str(error)
