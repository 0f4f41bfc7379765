"""One unit of work: what an operation may write. It is committed whole or leaves no trace."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date
from functools import lru_cache
from itertools import count
from typing import TYPE_CHECKING, Any

from sqlalchemy import (
    Connection,
    Dialect,
    Table,
    bindparam,
    column,
    delete,
    func,
    insert,
    select,
    table,
    update,
)

from core.errors import BadEntry, NotFound, Refused, UnknownSeries
from core.model.album import Album, AlbumId, Placement, Slot, SlotId
from core.model.arrangement import Arrangement, parse_arrangement
from core.model.coin import Coin, CoinId
from core.model.issue import Description, SeriesId, VarietyId
from core.store.mapping import (
    COIN_NAMES,
    SLOT_NAMES,
    album_values,
    coin_tuple,
    read_description,
    slot_tuple,
)
from core.store.read import Reader, chunks
from core.store.tables import (
    album,
    coin,
    collection,
    description,
    own_code,
    placement,
    plan_choice,
    reservation,
    saved_arrangement,
    series,
    slot,
)

if TYPE_CHECKING:
    from core.store.write_log import LogWriter
    from core.store.write_prices import PriceWriter


@lru_cache(64)
def _driver_insert(into: Table, names: tuple[str, ...], dialect: Dialect) -> str:
    """An INSERT of these columns as the driver takes it, its places in their order."""
    compiled = insert(into).compile(dialect=dialect, column_keys=list(names))
    assert tuple(compiled.positiontup or ()) == names
    return str(compiled)


@lru_cache(64)
def _driver_update(into: Table, names: tuple[str, ...], dialect: Dialect) -> str:
    """An UPDATE of these columns by id, which stands in the last place."""
    by_id = update(into).where(into.c.id == bindparam("of"))
    compiled = by_id.compile(dialect=dialect, column_keys=list(names))
    assert tuple(compiled.positiontup or ()) == (*names, "of")
    return str(compiled)


class Unit:
    """What an operation may do. Ids of rows it is given must be there, else it raises NotFound."""

    def __init__(self, conn: Connection) -> None:
        self._conn = conn
        self.read = Reader(conn)
        self.entry: int | None = None  # the journal entry, once the operation is committed
        self.about = ""  # what the history says of it beside its label
        self._described: dict[Description, int] = {}
        self._series: dict[SeriesId, int] = {}

    @property
    def log(self) -> "LogWriter":
        """What may be written of the search log."""
        from core.store.write_log import LogWriter

        return LogWriter(self._conn, self._intern)

    @property
    def prices(self) -> "PriceWriter":
        """What may be written of prices, offers and rates."""
        from core.store.write_prices import PriceWriter

        return PriceWriter(self._conn, self._intern)

    # The collection and its series

    def set_name(self, name: str) -> None:
        """Call the collection something else."""
        if self._conn.execute(update(collection).values(name=name)).rowcount == 0:
            self._conn.execute(insert(collection).values(name=name))

    def add_series(self, code: SeriesId, title: str, series_toml: str, issues_csv: str) -> None:
        """Carry a series in this collection; nothing happens if it is there already."""
        there = select(series.c.id).where(series.c.code == code)
        if self._conn.execute(there).first() is None:
            self._conn.execute(
                insert(series).values(
                    code=code, title=title, series_toml=series_toml, issues_csv=issues_csv
                )
            )

    def put_series(self, code: SeriesId, title: str, series_toml: str, issues_csv: str) -> None:
        """Carry a series with these texts, instead of those it had here."""
        texts = {"title": title, "series_toml": series_toml, "issues_csv": issues_csv}
        changed = update(series).where(series.c.code == code).values(texts)
        if self._conn.execute(changed).rowcount != 1:
            self.add_series(code, title, series_toml, issues_csv)

    def set_own_code(self, code_of: SeriesId, variety: VarietyId, code: str) -> None:
        """Keep a code for a variety in place of the one it had; "" keeps none."""
        mine = (own_code.c.series == code_of, own_code.c.variety == variety)
        if not code:
            self._conn.execute(delete(own_code).where(*mine))
        elif self._conn.execute(update(own_code).where(*mine).values(code=code)).rowcount != 1:
            named = {"series": code_of, "variety": variety, "code": code}
            self._conn.execute(insert(own_code).values(named))

    def delete_series(self, code: SeriesId) -> None:
        """Carry a series no more; no album, coin or slot may be of it. Raises UnknownSeries.

        Raises Refused where the search log, a price, an offer or an own code speaks of it.
        """
        number = self._series_id(code)
        self.log.require_unnamed(code)
        self.prices.require_unnamed(code)
        coded = select(own_code.c.code).where(own_code.c.series == code).order_by(own_code.c.code)
        if (kept := self._conn.execute(coded).scalars().first()) is not None:
            raise Refused(f"The own code “{kept}” names a variety of this series. Remove it first.")
        mine = select(description.c.id).where(description.c.series_id == number)
        self._conn.execute(delete(plan_choice).where(plan_choice.c.description_id.in_(mine)))
        self._conn.execute(delete(description).where(description.c.series_id == number))
        self._conn.execute(delete(series).where(series.c.id == number))
        self._series.pop(code)
        self._described.clear()

    def _series_id(self, code: SeriesId) -> int:
        if code not in self._series:
            there = select(series.c.id).where(series.c.code == code)
            found = self._conn.execute(there).scalar()
            if found is None:
                raise UnknownSeries(
                    f"The series “{code}” is not in this collection. Add it before its coins."
                )
            self._series[code] = found
        return self._series[code]

    def _intern(self, descriptions: Iterable[Description]) -> Mapping[Description, int]:
        """The row id of each description; rows that are missing are made."""
        wanted = dict.fromkeys(one for one in descriptions if one not in self._described)
        by_key = {one.key: one for one in wanted}
        for keys in chunks(list(by_key)):
            there = select(description.c.key, description.c.id).where(description.c.key.in_(keys))
            for key, number in self._conn.execute(there):
                self._described[by_key.pop(key)] = number
        for key, one in by_key.items():
            if read_description(key) != one:
                raise BadEntry(f"The description “{key}” cannot be kept. Enter the coin again.")
        if by_key:
            ids = self._next_ids(description, len(by_key))
            rows = [
                (number, self._series_id(one.series), key)
                for number, (key, one) in zip(ids, by_key.items(), strict=True)
            ]
            self._insert(description, ("id", "series_id", "key"), rows)
            self._described.update(zip(by_key.values(), ids, strict=True))
        return self._described

    def _next_ids(self, into: Table, count: int) -> range:
        """Fresh ids for that many rows; a coin's number is never one that was used before."""
        top = self._conn.execute(select(func.max(into.c.id))).scalar() or 0
        if into is coin:
            used = table("sqlite_sequence", column("name"), column("seq"))
            seq = self._conn.execute(select(used.c.seq).where(used.c.name == coin.name)).scalar()
            top = max(top, int(seq or 0))
        return range(top + 1, top + 1 + count)

    def _insert(self, into: Table, names: tuple[str, ...], rows: list[tuple[Any, ...]]) -> None:
        """Insert many rows of values as the database holds them, past Core's work on each."""
        if rows:
            self._conn.exec_driver_sql(_driver_insert(into, names, self._conn.dialect), rows)

    def _update(self, into: Table, names: tuple[str, ...], rows: list[tuple[Any, ...]]) -> None:
        """Update many rows by id, the last value of each; raises NotFound if one is not there."""
        if not rows:
            return
        statement = _driver_update(into, names, self._conn.dialect)
        if self._conn.exec_driver_sql(statement, rows).rowcount != len(rows):
            self._require(into, [row[-1] for row in rows])

    def _require(self, into: Table, ids: Iterable[int]) -> None:
        """Raise NotFound, naming the first of these rows that is not there."""
        for chunk in chunks(ids):
            there = set(self._conn.execute(select(into.c.id).where(into.c.id.in_(chunk))).scalars())
            for number in chunk:
                if number not in there:
                    raise NotFound(
                        f"There is no {into.name} number {number} in this collection any more. "
                        "Look again what is there, then repeat the change."
                    )

    def _delete(self, out_of: Table, ids: Collection[int], *parts: tuple[Table, str]) -> None:
        """Delete rows and, before them, the rows of other tables that belong to them."""
        self._require(out_of, ids)
        for chunk in chunks(ids):
            for part, name in parts:
                self._conn.execute(delete(part).where(part.c[name].in_(chunk)))
            self._conn.execute(delete(out_of).where(out_of.c.id.in_(chunk)))

    # Coins

    def add_coins(self, coins: Sequence[Coin]) -> list[CoinId]:
        """Add coins and lots; their ids are ignored, the numbers they get are returned in order."""
        described = self._intern(one.description for one in coins)
        ids = self._next_ids(coin, len(coins))
        rows = [
            (number, *coin_tuple(one, described[one.description]))
            for number, one in zip(ids, coins, strict=True)
        ]
        self._insert(coin, ("id", *COIN_NAMES), rows)
        return [CoinId(number) for number in ids]

    def add_numbered(self, coins: Sequence[Coin]) -> list[CoinId]:
        """Add coins and lots; a number above 0 is kept, 0 stands for the next that is free.

        Raises Refused, naming a number that a coin here has already.
        """
        asked = [one.id for one in coins if one.id > 0]
        for chunk in chunks(asked):
            there = self._conn.execute(select(coin.c.id).where(coin.c.id.in_(chunk))).scalar()
            if there is not None:
                raise Refused(
                    f"There is a coin {there} in this collection already. Give the other one no "
                    "number, then it gets the next."
                )
        if len(set(asked)) < len(asked):
            raise Refused("Two of the coins have the same number. Give one of them another.")
        described = self._intern(one.description for one in coins)
        fresh = count(max(self._next_ids(coin, 1).start, max(asked, default=0) + 1))
        ids = [one.id if one.id > 0 else CoinId(next(fresh)) for one in coins]
        rows = [
            (number, *coin_tuple(one, described[one.description]))
            for number, one in zip(ids, coins, strict=True)
        ]
        self._insert(coin, ("id", *COIN_NAMES), rows)
        return ids

    def update_coins(self, coins: Collection[Coin]) -> None:
        """Write all that is known of these coins, found by their number.

        Raises NotFound, and Refused where a coin in a slot would become a lot.
        """
        for chunk in chunks(one.id for one in coins if one.is_lot):
            placed = select(placement.c.coin_id).where(
                placement.c.coin_id.in_(chunk), placement.c.until.is_(None)
            )
            for number in self._conn.execute(placed.order_by(placement.c.coin_id)).scalars():
                raise Refused(
                    f"Coin {number} sits in a slot, so it cannot become a lot of several. Take it "
                    "out first, or add the others as a lot of their own."
                )
        described = self._intern(one.description for one in coins)
        rows = [(*coin_tuple(one, described[one.description]), one.id) for one in coins]
        self._update(coin, COIN_NAMES, rows)

    def delete_coins(self, ids: Collection[CoinId]) -> None:
        """Take coins out of the collection, with their stays in slots and their reservations.

        Raises NotFound, and Refused for a coin that a box of the search log has as a find.
        """
        for one in self.read.log.finds_of_coins(ids):
            of = self.read.log.box(one.box)
            raise Refused(
                f"Coin {one.coin} is a find of box {of.number}, roll {one.roll}. Take the find "
                "out of the box instead; the coin goes with it."
            )
        self._delete(coin, ids, (placement, "coin_id"), (reservation, "coin_id"))

    # Albums and slots

    def add_album(self, one: Album) -> AlbumId:
        """Add an album without slots; its id is ignored, the new one returned."""
        values = album_values(one, self._series_id(one.series))
        added = insert(album).values(values).returning(album.c.id)
        return AlbumId(self._conn.execute(added).scalar_one())

    def update_album(self, one: Album) -> None:
        """Write an album's name, place, kind, arrangement and note; raises NotFound."""
        values = album_values(one, self._series_id(one.series))
        changed = update(album).where(album.c.id == one.id).values(values)
        if self._conn.execute(changed).rowcount != 1:
            self._require(album, [one.id])

    def delete_album(self, album_id: AlbumId) -> None:
        """Take an album away with its slots and all stays in them; coins stay. Raises NotFound.

        A campaign whose goal it was goes on without one.
        """
        self.log.let_go_of_goal(album_id)
        mine = select(slot.c.id).where(slot.c.album_id == album_id)
        self._conn.execute(delete(placement).where(placement.c.slot_id.in_(mine)))
        self._conn.execute(delete(reservation).where(reservation.c.slot_id.in_(mine)))
        self._conn.execute(delete(plan_choice).where(plan_choice.c.slot_id.in_(mine)))
        self._delete(album, [album_id], (slot, "album_id"))

    def keep_arrangement(self, name: str, shape: Arrangement) -> None:
        """Keep an arrangement under a name; one of that name gives way."""
        here, written = saved_arrangement, shape.whole_text
        parse_arrangement(written)  # refuses what could not be read back
        changed = update(here).where(here.c.name == name).values(shape=written)
        if self._conn.execute(changed).rowcount != 1:
            self._conn.execute(insert(here).values(name=name, shape=written))

    def delete_arrangement(self, number: int) -> None:
        """Forget a kept arrangement; raises NotFound."""
        self._delete(saved_arrangement, [number])

    def add_slots(self, slots: Sequence[Slot]) -> list[SlotId]:
        """Add slots to their albums; their ids are ignored, the new ones returned in order."""
        described = self._intern(one.accepts for one in slots)
        ids = self._next_ids(slot, len(slots))
        rows = [
            (number, *slot_tuple(one, described[one.accepts]))
            for number, one in zip(ids, slots, strict=True)
        ]
        self._insert(slot, ("id", *SLOT_NAMES), rows)
        return [SlotId(number) for number in ids]

    def update_slots(self, slots: Collection[Slot]) -> None:
        """Write all that is known of these slots, found by their id; raises NotFound."""
        described = self._intern(one.accepts for one in slots)
        rows = [(*slot_tuple(one, described[one.accepts]), one.id) for one in slots]
        self._update(slot, SLOT_NAMES, rows)

    def reorder_slots(self, album_id: AlbumId, order: Sequence[SlotId]) -> list[SlotId]:
        """Let an album's slots stand in this order; which of them stand elsewhere now.

        Raises NotFound where the order does not name each of them once.
        """
        from core.store.write_positions import reorder

        return reorder(self._conn, album_id, order)

    def delete_slots(self, ids: Collection[SlotId]) -> None:
        """Take slots away with all stays in them and reservations and choices for them.

        Raises NotFound.
        """
        parts = (placement, "slot_id"), (reservation, "slot_id"), (plan_choice, "slot_id")
        self._delete(slot, ids, *parts)

    # Which coin is where

    def place(self, slot_id: SlotId, coin_id: CoinId, since: date) -> int:
        """Put a coin into an empty slot; returns the placement's id.

        Raises Refused if either is taken or the coin is a lot, NotFound if either is not there.
        """
        return self.place_many([(slot_id, coin_id)], since)[0]

    def place_many(self, pairs: Sequence[tuple[SlotId, CoinId]], since: date) -> list[int]:
        """Put each coin into its slot, as `place` does, in order."""
        self._require(slot, [slot_id for slot_id, _ in pairs])
        self._require(coin, [coin_id for _, coin_id in pairs])
        for chunk in chunks(coin_id for _, coin_id in pairs):
            lots = select(coin.c.id).where(coin.c.id.in_(chunk), coin.c.quantity > 1)
            for number in self._conn.execute(lots.order_by(coin.c.id)).scalars():
                raise Refused(
                    f"Number {number} is a lot of several coins, which cannot sit in a slot. Take "
                    "one coin out of it first."
                )
        ids = self._next_ids(placement, len(pairs))
        day = since.isoformat()
        rows = [(number, *pair, day) for number, pair in zip(ids, pairs, strict=True)]
        self._insert(placement, ("id", "slot_id", "coin_id", "since"), rows)
        return list(ids)

    def add_stays(self, stays: Sequence[Placement]) -> list[int]:
        """Record stays of coins in slots, past ones too; their ids are ignored, the new returned.

        Raises Refused where a slot or a coin would stand twice, or a coin left before it came,
        NotFound where a slot or a coin is not there.
        """
        self._require(slot, [one.slot for one in stays])
        self._require(coin, [one.coin for one in stays])
        ids = self._next_ids(placement, len(stays))
        rows = [
            (
                number,
                one.slot,
                one.coin,
                one.since.isoformat(),
                one.until.isoformat() if one.until else None,
            )
            for number, one in zip(ids, stays, strict=True)
        ]
        self._insert(placement, ("id", "slot_id", "coin_id", "since", "until"), rows)
        return list(ids)

    def end_placements(self, slot_ids: Collection[SlotId], until: date) -> None:
        """Take the coins out of these slots; slots that are empty stay so.

        Raises Refused where a coin would leave before the day it came in.
        """
        for chunk in chunks(slot_ids):
            standing = (placement.c.slot_id.in_(chunk), placement.c.until.is_(None))
            self._conn.execute(update(placement).where(*standing).values(until=until))

    def correct_placement(self, placement_id: int, since: date, until: date | None) -> None:
        """Write from when until when a coin sat in its slot; raises NotFound.

        Raises Refused where `until` is before `since`, or a slot or coin would stand twice.
        """
        changed = update(placement).where(placement.c.id == placement_id)
        if self._conn.execute(changed.values(since=since, until=until)).rowcount != 1:
            self._require(placement, [placement_id])

    def remove_placement(self, placement_id: int) -> None:
        """Take a stay out of the record, as if it had never been; raises NotFound."""
        self._delete(placement, [placement_id])

    def reserve(self, slot_id: SlotId, coin_id: CoinId) -> int:
        """Mean an ordered coin for a slot; returns the reservation's id.

        Raises Refused if the slot or the coin has a reservation, NotFound if either is not there.
        """
        self._require(slot, [slot_id])
        self._require(coin, [coin_id])
        added = insert(reservation).values(slot_id=slot_id, coin_id=coin_id)
        return int(self._conn.execute(added.returning(reservation.c.id)).scalar_one())

    def unreserve(self, slot_ids: Collection[SlotId]) -> None:
        """Let go what is meant for these slots; slots without a reservation stay so."""
        for chunk in chunks(slot_ids):
            self._conn.execute(delete(reservation).where(reservation.c.slot_id.in_(chunk)))
