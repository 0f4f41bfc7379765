"""Questions to an opened collection: Core statements, rows by index, no entities.

What a screen asks at each step is built by Core once, and its text then sent by the driver itself.

Every list is copied out of one short transaction, so that nobody who looks holds up a writer.
"""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import islice
from typing import TYPE_CHECKING, Any, TypeVar

from sqlalchemy import Connection, Dialect, Select, bindparam, exists, func, select

from core.errors import NotFound
from core.model.album import Album, AlbumId, Placement, Reservation, Slot, SlotId
from core.model.arrangement import SavedArrangement
from core.model.coin import Coin, CoinId, CoinStatus
from core.model.issue import Description, SeriesId, VarietyId
from core.store.mapping import (
    ALBUM,
    COIN_BY_ID,
    COIN_BY_KEY,
    PLACEMENT,
    SLOT_BY_KEY,
    album_of,
    by_id,
    coin_of,
    placement_of,
    read_description,
    saved_arrangement_of,
    slot_of,
)
from core.store.tables import (
    album,
    coin,
    collection,
    description,
    own_code,
    placement,
    reservation,
    saved_arrangement,
    series,
    slot,
)

if TYPE_CHECKING:
    from core.store.read_fill import SpareColumns
    from core.store.read_log import LogReader
    from core.store.read_prices import PriceReader

_CHUNK = 500  # values in one IN list
_PART = 2000  # rows read between two looks whether to stop

Item = TypeVar("Item")
ScreenSelect = Select[*tuple[Any, ...]]


@dataclass(frozen=True, slots=True)
class SeriesRow:
    """A series as the collection carries it: the two texts of its folder."""

    code: SeriesId
    title: str
    series_toml: str
    issues_csv: str


@dataclass(frozen=True, slots=True)
class SpareGroup:
    """Spares alike in all that Fill looks at: the one with the lowest number, and how many."""

    coin: Coin
    count: int


def chunks(items: Iterable[Item]) -> Iterator[list[Item]]:
    """The items in lists short enough for one statement."""
    rest = iter(items)
    while chunk := list(islice(rest, _CHUNK)):
        yield chunk


_is_open = placement.c.until.is_(None)
_coin_described = coin.join(description, description.c.id == coin.c.description_id)
_slot_described = slot.join(description, description.c.id == slot.c.accepts_id)
_in_slot = exists().where(placement.c.coin_id == coin.c.id, _is_open)
_is_spare = (coin.c.status == CoinStatus.HELD.value) & coin.c.is_genuine & ~_in_slot

_ALBUMS = select(*ALBUM).join_from(album, series)
_SAVED_ARRANGEMENTS = select(saved_arrangement).order_by(saved_arrangement.c.name)
_SLOTS = select(*SLOT_BY_KEY).select_from(_slot_described)
_SLOT_ALBUMS = select(slot.c.album_id).distinct()
_COINS = select(*COIN_BY_KEY).select_from(_coin_described)

ALBUM_SLOTS = _SLOTS.where(slot.c.album_id == bindparam("of")).order_by(slot.c.position)
_ALBUM_SLOT_IDS = (
    select(slot.c.id).where(slot.c.album_id == bindparam("of")).order_by(slot.c.position)
)
ALBUM_COINS = (
    select(placement.c.slot_id, *COIN_BY_KEY)
    .select_from(
        slot.join(placement, placement.c.slot_id == slot.c.id)
        .join(coin, coin.c.id == placement.c.coin_id)
        .join(description, description.c.id == coin.c.description_id)
    )
    .where(slot.c.album_id == bindparam("of"), _is_open)
)
_ALBUM_PLACEMENTS = (
    select(*PLACEMENT)
    .select_from(slot.join(placement, placement.c.slot_id == slot.c.id))
    .where(slot.c.album_id == bindparam("of"), _is_open)
)
_OLDEST_FIRST = (placement.c.since, placement.c.id)
_ALBUM_STAYS = (
    select(*PLACEMENT)
    .select_from(slot.join(placement, placement.c.slot_id == slot.c.id))
    .where(slot.c.album_id == bindparam("of"))
    .order_by(*_OLDEST_FIRST)
)
_ALBUM_SAT = (
    select(*COIN_BY_KEY)
    .select_from(_coin_described)
    .where(
        coin.c.id.in_(
            select(placement.c.coin_id)
            .select_from(slot.join(placement, placement.c.slot_id == slot.c.id))
            .where(slot.c.album_id == bindparam("of"))
        )
    )
)
_ALBUM_RESERVED = (
    select(reservation.c.slot_id, *COIN_BY_KEY)
    .select_from(
        slot.join(reservation, reservation.c.slot_id == slot.c.id)
        .join(coin, coin.c.id == reservation.c.coin_id)
        .join(description, description.c.id == coin.c.description_id)
    )
    .where(slot.c.album_id == bindparam("of"))
)
_NEWEST_FIRST = (placement.c.since.desc(), placement.c.id.desc())
_SLOT_PLACEMENTS = (
    select(*PLACEMENT).where(placement.c.slot_id == bindparam("of")).order_by(*_NEWEST_FIRST)
)
_COIN_PLACEMENTS = (
    select(*PLACEMENT).where(placement.c.coin_id == bindparam("of")).order_by(*_NEWEST_FIRST)
)
_SLOT_OF_COIN = (
    select(*SLOT_BY_KEY)
    .select_from(_slot_described.join(placement, placement.c.slot_id == slot.c.id))
    .where(placement.c.coin_id == bindparam("of"), _is_open)
)
_RESERVATION_OF_COIN = select(reservation.c.id, reservation.c.slot_id, reservation.c.coin_id).where(
    reservation.c.coin_id == bindparam("of")
)
_ALL_PLACEMENTS = select(*PLACEMENT).order_by(placement.c.id)
_ALL_RESERVATIONS = select(reservation.c.id, reservation.c.slot_id, reservation.c.coin_id)
_PLACED = select(placement.c.coin_id, placement.c.slot_id).where(_is_open)
_WHERE_PLACED = (
    select(placement.c.coin_id, slot.c.album_id, slot.c.label)
    .join_from(placement, slot)
    .where(_is_open)
)
_ALL_COINS = select(*COIN_BY_ID).order_by(coin.c.id)
_DESCRIPTIONS = select(description.c.id, description.c.key)


@lru_cache(64)
def _as_sent(statement: ScreenSelect, dialect: Dialect) -> str:
    """The statement as the driver takes it, with one place for its one value."""
    compiled = statement.compile(dialect=dialect)
    if list(compiled.positiontup or ()) != ["of"]:
        raise ValueError("a statement for the screen takes one value")
    return str(compiled)


def screen_rows(conn: Connection, statement: ScreenSelect, of: int) -> Sequence[Sequence[Any]]:
    """The rows of a statement with the one bound value `of`, straight from the driver."""
    cursor = conn.connection.cursor()
    try:
        cursor.execute(_as_sent(statement, conn.dialect), (of,))
        return cursor.fetchall()
    finally:
        cursor.close()


class Reader:
    """Answers from one transaction; of no use after it ends."""

    def __init__(self, conn: Connection) -> None:
        self._conn = conn

    def _rows(self, statement: Select[*tuple[Any, ...]]) -> Sequence[Any]:
        return self._conn.execute(statement).all()

    def screen_rows(self, statement: ScreenSelect, of: int) -> Sequence[Sequence[Any]]:
        """The rows of a statement with the one bound value `of`, straight from the driver.

        Core's own work on each execution would be a third of the time a small album takes.
        """
        return screen_rows(self._conn, statement, of)

    @property
    def log(self) -> "LogReader":
        """Questions about the search log."""
        from core.store.read_log import LogReader

        return LogReader(self._conn)

    @property
    def prices(self) -> "PriceReader":
        """Questions about prices, offers and rates."""
        from core.store.read_prices import PriceReader

        return PriceReader(self._conn)

    # The collection and its series

    def name(self) -> str:
        """What the collection is called, "" if it was never named."""
        return self._conn.execute(select(collection.c.name)).scalar() or ""

    def series_texts(self) -> list[SeriesRow]:
        """The series this collection carries, in the order they came in."""
        columns = (series.c.code, series.c.title, series.c.series_toml, series.c.issues_csv)
        rows = self._rows(select(*columns).order_by(series.c.id))
        return [SeriesRow(SeriesId(row[0]), *row[1:]) for row in rows]

    def own_codes(self) -> dict[str, tuple[SeriesId, VarietyId]]:
        """The collector's own codes of varieties, each with what it names, in their order."""
        columns = (own_code.c.code, own_code.c.series, own_code.c.variety)
        rows = self._rows(select(*columns).order_by(own_code.c.code))
        return {code: (SeriesId(of), VarietyId(variety)) for code, of, variety in rows}

    def texts(self) -> Iterator[tuple[str, str]]:
        """Every text that somebody typed, with where it stands in words; empty ones left out."""
        yield "the collection's name", self.name()
        for name, *texts in self._rows(select(album.c.name, album.c.note, album.c.volumes)):
            yield f"album “{name}”", "\n".join([name, *texts])
        titles = self._rows(select(slot.c.label, slot.c.note, album.c.name).join_from(slot, album))
        for label, note, name in titles:
            yield f"slot {label} of “{name}”", f"{label}\n{note}"
        typed = (coin.c.grade, coin.c.came_from, coin.c.place, coin.c.currency, coin.c.note)
        for number, *texts in self._rows(select(coin.c.id, *typed).order_by(coin.c.id)):
            yield f"coin {number}", "\n".join(filter(None, texts))
        yield from self.log.texts()
        yield from self.prices.texts()
        for code in self.own_codes():
            yield f"the own code “{code}”", code

    # Albums and slots

    def albums(self) -> list[Album]:
        """All albums, from the top of the shelf."""
        return [album_of(row) for row in self._rows(_ALBUMS.order_by(album.c.shelf, album.c.id))]

    def album(self, album_id: AlbumId) -> Album:
        """One album; raises NotFound."""
        for row in self._rows(_ALBUMS.where(album.c.id == album_id)):
            return album_of(row)
        raise NotFound(f"There is no album number {album_id} in this collection.")

    def saved_arrangements(self) -> list[SavedArrangement]:
        """The arrangements kept under a name, by name."""
        return [saved_arrangement_of(row) for row in self._rows(_SAVED_ARRANGEMENTS)]

    def slots(self, album_id: AlbumId) -> list[Slot]:
        """An album's slots in reading order."""
        return [slot_of(row) for row in self.screen_rows(ALBUM_SLOTS, album_id)]

    def slot_ids(self, album_id: AlbumId) -> list[SlotId]:
        """The ids of an album's slots in reading order."""
        return [SlotId(row[0]) for row in self.screen_rows(_ALBUM_SLOT_IDS, album_id)]

    def albums_of_series(self, series_id: SeriesId) -> frozenset[AlbumId]:
        """The albums in which some slot takes coins of a series."""
        mine = slot.c.accepts_id.in_(_descriptions_of(series_id))
        return frozenset(AlbumId(row[0]) for row in self._rows(_SLOT_ALBUMS.where(mine)))

    def slot(self, slot_id: SlotId) -> Slot:
        """One slot; raises NotFound."""
        for row in self._rows(_SLOTS.where(slot.c.id == slot_id)):
            return slot_of(row)
        raise NotFound(f"There is no slot number {slot_id} in this collection.")

    def slots_by_ids(self, ids: Iterable[SlotId]) -> dict[SlotId, Slot]:
        """Those of the slots that are there."""
        found = {}
        for chunk in chunks(ids):
            for row in self._rows(_SLOTS.where(slot.c.id.in_(chunk))):
                found[SlotId(row[0])] = slot_of(row)
        return found

    # Coins

    def coin(self, coin_id: CoinId) -> Coin:
        """One coin; raises NotFound."""
        for row in self._rows(_COINS.where(coin.c.id == coin_id)):
            return coin_of(row)
        raise NotFound(f"There is no coin number {coin_id} in this collection.")

    def coins(self, ids: Iterable[CoinId]) -> dict[CoinId, Coin]:
        """Those of the coins that are there."""
        found = {}
        for chunk in chunks(ids):
            for row in self._rows(_COINS.where(coin.c.id.in_(chunk))):
                found[CoinId(row[0])] = coin_of(row)
        return found

    def all_coins(self, told: Callable[[int], None] = lambda _read: None) -> list[Coin]:
        """Every coin, by number; `told` hears often how many were read, and may raise to stop."""
        described = self.descriptions().__getitem__
        coins: list[Coin] = []
        for part in self._conn.execute(_ALL_COINS).partitions(_PART):
            told(len(coins))
            coins += [coin_of(row, described) for row in part]
        return coins

    def coin_count(self) -> int:
        """How many rows of coins there are; a lot counts as one."""
        return self._conn.execute(select(func.count()).select_from(coin)).scalar_one()

    def coin_numbers(self) -> frozenset[CoinId]:
        """The number of every coin and lot."""
        return frozenset(CoinId(row[0]) for row in self._rows(select(coin.c.id)))

    def _many(self, statement: Select[*tuple[Any, ...]]) -> list[Coin]:
        """Coins of a statement of COIN_BY_ID; descriptions, being few, are read once."""
        described = self.descriptions().__getitem__
        return [coin_of(row, described) for row in self._rows(statement)]

    def descriptions(self) -> Mapping[int, Description]:
        """All descriptions of the collection by the id of their row."""
        return by_id(self._rows(_DESCRIPTIONS))

    def descriptions_of(self, series_id: SeriesId) -> list[Description]:
        """The descriptions of the collection's coins and slots of one series."""
        mine = _DESCRIPTIONS.join_from(description, series).where(series.c.code == series_id)
        return list(by_id(self._rows(mine)).values())

    # Which coin is where

    def coins_in_album(self, album_id: AlbumId) -> dict[SlotId, Coin]:
        """The coin in each filled slot."""
        return {row[0]: coin_of(row[1:]) for row in self.screen_rows(ALBUM_COINS, album_id)}

    def placements_in_album(self, album_id: AlbumId) -> dict[SlotId, Placement]:
        """The stay of the coin in each filled slot."""
        rows = self.screen_rows(_ALBUM_PLACEMENTS, album_id)
        return {row[1]: placement_of(row) for row in rows}

    def placements_of_slot(self, slot_id: SlotId) -> list[Placement]:
        """All stays in a slot, newest first."""
        return [placement_of(row) for row in self.screen_rows(_SLOT_PLACEMENTS, slot_id)]

    def placements_of_coin(self, coin_id: CoinId) -> list[Placement]:
        """All stays of a coin, newest first."""
        return [placement_of(row) for row in self.screen_rows(_COIN_PLACEMENTS, coin_id)]

    def placement(self, placement_id: int) -> Placement:
        """One stay; raises NotFound."""
        for row in self._rows(select(*PLACEMENT).where(placement.c.id == placement_id)):
            return placement_of(row)
        raise NotFound(
            "That stay of a coin in a slot is not in this collection any more. Open the slot again."
        )

    def stays_in_album(self, album_id: AlbumId) -> list[Placement]:
        """All stays in an album's slots, past and present, oldest first."""
        return [placement_of(row) for row in self.screen_rows(_ALBUM_STAYS, album_id)]

    def coins_that_sat(self, album_id: AlbumId) -> dict[CoinId, Coin]:
        """Every coin that sits or sat in a slot of the album."""
        rows = self.screen_rows(_ALBUM_SAT, album_id)
        return {CoinId(row[0]): coin_of(row) for row in rows}

    def stays_of_series(self, series_id: SeriesId) -> list[Placement]:
        """All stays, in any album, of the coins of a series, oldest first."""
        stays = select(*PLACEMENT).join_from(placement, coin, coin.c.id == placement.c.coin_id)
        mine = coin.c.description_id.in_(_descriptions_of(series_id))
        return [placement_of(row) for row in self._rows(stays.where(mine).order_by(*_OLDEST_FIRST))]

    def coins_of_series_that_sat(self, series_id: SeriesId) -> dict[CoinId, Coin]:
        """Every coin of a series that sits or sat in a slot of any album."""
        sat = select(placement.c.coin_id)
        mine = coin.c.description_id.in_(_descriptions_of(series_id))
        return {one.id: one for one in self._many(_ALL_COINS.where(mine, coin.c.id.in_(sat)))}

    def slot_of_coin(self, coin_id: CoinId) -> Slot | None:
        """The slot a coin sits in, None for a coin in no slot."""
        for row in self.screen_rows(_SLOT_OF_COIN, coin_id):
            return slot_of(row)
        return None

    def placed_ids(self) -> dict[CoinId, SlotId]:
        """Every coin that sits in a slot, and which."""
        return {row[0]: row[1] for row in self._rows(_PLACED)}

    def all_placements(self) -> list[Placement]:
        """Every stay of every coin, in the order in which they were entered."""
        return [placement_of(row) for row in self._rows(_ALL_PLACEMENTS)]

    def all_reservations(self) -> list[Reservation]:
        """Every coin on order that is meant for a slot, and the slot."""
        return [Reservation(*row) for row in self._rows(_ALL_RESERVATIONS)]

    def coin_numbers_all_slots(self) -> dict[CoinId, tuple[AlbumId, str]]:
        """Every coin that sits in a slot, with the album and the slot's label."""
        return {row[0]: (row[1], row[2]) for row in self._rows(_WHERE_PLACED)}

    def reserved_in_album(self, album_id: AlbumId) -> dict[SlotId, Coin]:
        """The ordered coin that is meant for each slot that has one."""
        return {row[0]: coin_of(row[1:]) for row in self.screen_rows(_ALBUM_RESERVED, album_id)}

    def reservation_of_coin(self, coin_id: CoinId) -> Reservation | None:
        """What slot an ordered coin is meant for, None for none."""
        for row in self.screen_rows(_RESERVATION_OF_COIN, coin_id):
            return Reservation(*row)
        return None

    # Coins for Fill and for the slot card

    def spares_as_columns(self, codes: Collection[SeriesId]) -> "SpareColumns":
        """The coins of these series, in no slot, that Fill may use: columns, not objects."""
        from core.store.read_fill import read_spares

        return read_spares(self._conn, codes, self.placed_ids())

    def held_coins(self, series_id: SeriesId) -> list[Coin]:
        """Every held coin and lot of a series, placed or not, by number."""
        mine = coin.c.description_id.in_(_descriptions_of(series_id))
        held = coin.c.status == CoinStatus.HELD.value
        return self._many(_ALL_COINS.where(held, mine))

    def spare_groups(
        self, series_id: SeriesId, descriptions: Collection[Description] | None = None
    ) -> list[SpareGroup]:
        """Held, genuine coins of a series in no slot, those alike together, by lowest number.

        Alike: same description, grade, problems, flag and varieties. A lot counts with its
        quantity. `descriptions` narrows to these.
        """
        alike = (
            coin.c.description_id,
            coin.c.grade,
            coin.c.problems,
            coin.c.is_flagged,
            coin.c.varieties,
        )
        lowest = func.min(coin.c.id).label("lowest")
        groups = select(lowest, func.sum(coin.c.quantity).label("together")).where(_is_spare)
        groups = groups.group_by(*alike)
        if descriptions is None:
            described = self.descriptions().__getitem__
            every = groups.where(coin.c.description_id.in_(_descriptions_of(series_id))).subquery()
            statement = select(every.c.together, *COIN_BY_ID).join_from(
                every, coin, coin.c.id == every.c.lowest
            )
            found = [
                SpareGroup(coin_of(r[1:], described), int(r[0])) for r in self._rows(statement)
            ]
        else:
            found = []
            mine = [d for d in descriptions if d.series == series_id]
            for chunk in chunks(self._ids_of(mine)):
                some = groups.where(coin.c.description_id.in_(chunk)).subquery()
                statement = select(some.c.together, *COIN_BY_KEY).select_from(
                    some.join(_coin_described, coin.c.id == some.c.lowest)
                )
                found += [SpareGroup(coin_of(r[1:]), int(r[0])) for r in self._rows(statement)]
        return sorted(found, key=lambda group: group.coin.id)

    def spare_counts(self, descriptions: Collection[Description]) -> dict[Description, int]:
        """How many held, genuine coins in no slot there are of each of these, where there are any.

        A lot counts with its quantity.
        """
        found: dict[Description, int] = {}
        together = func.sum(coin.c.quantity)
        for chunk in chunks(self._ids_of(descriptions)):
            counts = select(description.c.key, together).select_from(_coin_described)
            mine = counts.where(_is_spare, coin.c.description_id.in_(chunk))
            for key, many in self._rows(mine.group_by(description.c.id)):
                found[read_description(key)] = int(many)
        return found

    def spares_for(self, descriptions: Collection[Description], limit: int) -> list[Coin]:
        """At most `limit` spares so described, best grade first, ungraded last, then by number."""
        best = (coin.c.grade_low.is_(None), coin.c.grade_low.desc(), coin.c.id)
        found: list[Coin] = []
        for chunk in chunks(self._ids_of(descriptions)):
            mine = coin.c.description_id.in_(chunk)
            rows = self._rows(_COINS.where(_is_spare, mine).order_by(*best).limit(limit))
            found += [coin_of(row) for row in rows]
        found.sort(key=lambda one: (one.points is None, -(one.points or 0), one.id))
        return found[:limit]

    def _ids_of(self, descriptions: Iterable[Description]) -> list[int]:
        found: list[int] = []
        for keys in chunks({one.key for one in descriptions}):
            rows = self._rows(select(description.c.id).where(description.c.key.in_(keys)))
            found += [row[0] for row in rows]
        return found


def _descriptions_of(series_id: SeriesId) -> Select[int]:
    return select(description.c.id).join_from(description, series).where(series.c.code == series_id)
