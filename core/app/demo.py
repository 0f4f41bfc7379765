"""Writes the demo collection from `resources/demo/`: the same tables, the same collection.

`collection.toml` names the albums; `sittings.csv` tells what the volunteers did, a line each, in
order. All lines of one day are one sitting, one journal entry. Columns: day, act, key (a coin's
name within the table), album, slot (a label), entry (as collectors write a coin), open (facets
left open, `mint=D|S`), origin, from, place, note. `prices.csv` is a price sheet, all invented.
"""

import csv
import io
import os
import tomllib
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from itertools import groupby
from pathlib import Path
from typing import Any, TypeVar

from core.app.changes import Changes
from core.app.collection import Collection, make_collection
from core.app.offers import offer_answer
from core.app.operations import (
    Context,
    Operation,
    add_album,
    clear_slots,
    coin_arrived,
    let_go,
    order_coin,
    put_together,
    set_flagged,
    set_note,
    set_pinned,
    set_target,
    set_wish,
)
from core.app.price_book import read_price_sheet
from core.app.price_orders import add_offer, import_prices, set_rules
from core.errors import CollectionError, FileTrouble, Refused
from core.lookup.parse import parse_entry
from core.model.album import Album, SlotId, Wish, parse_target
from core.model.arrangement import parse_arrangement
from core.model.coin import Coin, CoinId, Origin
from core.model.issue import SeriesId
from core.model.plan_album import AlbumPlan, Varieties
from core.model.prices import PriceRules
from core.store.unit import Unit
from resources import read_text

TOML, CSV = "demo/collection.toml", "demo/sittings.csv"
_OPENING = time(18, 30)
ENTERED = ("find", "buy", "have")
"""Acts that enter a coin as a spare; `put` then puts it in a slot."""

Done = TypeVar("Done")


@dataclass(frozen=True, slots=True)
class Line:
    """One line of `sittings.csv`."""

    number: int
    day: date
    act: str
    key: str
    album: str
    slot: str
    entry: str
    open: str
    origin: str
    came_from: str
    place: str
    note: str


def demo_lines(text: str) -> list[Line]:
    """Read the table."""
    rows = csv.DictReader(io.StringIO(text))
    return [
        Line(
            number,
            date.fromisoformat(row["day"]),
            row["act"],
            row["key"],
            row["album"],
            row["slot"],
            row["entry"],
            row["open"],
            row["origin"],
            row["from"],
            row["place"],
            row["note"],
        )
        for number, row in enumerate(rows, 2)
    ]


def ensure_demo(path: Path) -> bool:
    """Write the demo there if nothing is there yet; whether it was written."""
    if path.exists():
        return False
    path.parent.mkdir(parents=True, exist_ok=True)
    write_demo(path)
    return True


def write_demo(path: Path) -> None:
    """Write the demo collection; refused where the file is there already.

    It is written under another name first, so that a broken-off write leaves nothing behind.
    """
    if path.exists():
        raise Refused(f"“{path}” is there already; it was not overwritten. Choose another name.")
    if not path.parent.is_dir():
        raise FileTrouble(f"There is no folder “{path.parent}”. Make it first, or choose another.")
    draft = path.with_name(f".{path.name}.{os.getpid()}.demo")
    try:
        _write(draft)
        draft.replace(path)
    finally:
        for left in draft.parent.glob(f"*{draft.name}*"):
            left.unlink(missing_ok=True)


def _write(path: Path) -> None:
    plan = tomllib.loads(read_text(TOML))
    starts = plan["starts"]
    make_collection(path, str(plan["name"]), starts)
    today = [starts]
    with Collection.open(path, today=lambda: today[0]) as collection:
        for row in plan["album"]:
            collection.run(_album(row), at=_moment(starts))
        collection.run(_prices(collection, plan["prices"]), at=_moment(starts))
        keys: dict[str, CoinId] = {}
        for day, lines in groupby(demo_lines(read_text(CSV)), key=lambda line: line.day):
            today[0] = day
            collection.run(_sitting(list(lines), keys), at=_moment(day))


def _moment(day: date) -> datetime:
    return datetime.combine(day, _OPENING).astimezone()


def _album(row: dict[str, str]) -> Operation:
    years = tuple(int(y) for y in row["years"].split("-")) if "years" in row else None
    plan = AlbumPlan(
        (years[0], years[1]) if years else None,
        (),
        Varieties(row.get("varieties", "none")),
        parse_target(row.get("target", "")),
    )
    arrangement = parse_arrangement(row["arrangement"])
    return add_album(row["name"], SeriesId(row["series"]), plan, arrangement)


def _prices(collection: Collection, told: dict[str, Any]) -> Operation:
    """The invented prices and offers, one entry."""
    rules = PriceRules(str(told["base"]))
    book = replace(collection.price_book(), rules=rules)
    draft = read_price_sheet(read_text(str(told["sheet"])), collection.series_in_use, book)
    orders = [set_rules(rules), import_prices(draft)]
    for line in told["offers"]:
        looked = offer_answer(collection, str(line))
        if looked.meant is None:
            raise CollectionError(f"{TOML}: “{line}” is no offer. {looked.trouble}")
        orders.append(add_offer(replace(looked.meant.offer, currency=rules.base)))

    def work(unit: Unit, context: Context) -> Changes:
        for order in orders:
            order.work(unit, context)
        return Changes(is_prices=True)

    return Operation("note prices and offers, all invented", work)


def _sitting(lines: list[Line], keys: dict[str, CoinId]) -> Operation:
    """All lines of one day as one operation."""
    found = sum(line.act in ENTERED for line in lines)
    many = "a coin" if found == 1 else f"{found} coins"
    what = f"sort the jar: {many}" if found else "an evening at the albums"

    def work(unit: Unit, context: Context) -> Changes:
        table = _Table(unit, context, keys)
        for _, alike in groupby(
            lines, key=lambda line: "find" if line.act in ENTERED else line.act
        ):
            table.carry_out(list(alike))
        return Changes.everything()

    return Operation(what, work)


def _told(line: Line, do: Callable[[Line], Done]) -> Done:
    """Do something with a line; a fault names the line."""
    try:
        return do(line)
    except CollectionError as fault:
        raise CollectionError(f"{CSV} line {line.number}: {fault}") from fault


class _Table:
    """Carries lines out inside one unit of work; those alike that follow each other together."""

    def __init__(self, unit: Unit, context: Context, keys: dict[str, CoinId]) -> None:
        self._unit, self._context, self._keys = unit, context, keys
        self._albums = {album.name: album for album in unit.read.albums()}
        self._slots: dict[str, dict[str, SlotId]] = {}
        self._acts: dict[str, Callable[[Line], None]] = {
            "take": lambda line: self._do(clear_slots([self._slot(line)])),
            "order": lambda line: self._do(order_coin(self._read(line), self._slot(line))),
            "arrive": lambda line: self._do(coin_arrived(self._slot(line))),
            "go": lambda line: self._do(let_go([self._coin(line)])),
            "flag": lambda line: self._do(set_flagged([self._coin(line)], True)),
            "skip": lambda line: self._do(set_wish([self._slot(line)], Wish.SKIPPED)),
            "optional": lambda line: self._do(set_wish([self._slot(line)], Wish.OPTIONAL)),
            "pin": lambda line: self._do(set_pinned([self._slot(line)], True)),
            "note": lambda line: self._do(set_note(self._slot(line), line.note)),
            "target": lambda line: self._do(
                set_target([self._slot(line)], parse_target(line.entry))
            ),
        }

    def carry_out(self, lines: list[Line]) -> None:
        """Do what lines of one act, or of entering coins, say."""
        if lines[0].act in ENTERED:
            coins = [_told(line, self._read) for line in lines]
            for line, made in zip(lines, self._unit.add_coins(coins), strict=True):
                self._keys[line.key] = made
        elif lines[0].act == "put":
            pairs = [_told(line, self._pair) for line in lines]
            if len({slot for slot, _ in pairs}) < len(pairs):
                raise CollectionError(f"{CSV} line {lines[0].number}: a slot is filled twice.")
            put_together(self._unit, self._context, pairs)
        else:
            for line in lines:
                _told(line, self._one)

    def _one(self, line: Line) -> None:
        if line.act not in self._acts:
            acts = ", ".join((*ENTERED, "put", *self._acts))
            raise CollectionError(f"“{line.act}” is no act; use one of {acts}.")
        self._acts[line.act](line)

    def _pair(self, line: Line) -> tuple[SlotId, CoinId]:
        return self._slot(line), self._coin(line)

    def _do(self, operation: Operation) -> None:
        operation.work(self._unit, self._context)

    def _read(self, line: Line) -> Coin:
        series = self._context.series.get(self._album(line).series)
        coin = parse_entry(line.entry, [series]).coin
        description = coin.description
        for part in filter(None, line.open.split(";")):
            facet, _, values = part.partition("=")
            description = description.with_facet(facet, [v for v in values.split("|") if v])
        return replace(
            coin,
            description=description,
            origin=Origin(line.origin),
            came_from=line.came_from,
            acquired=line.day,
            place=line.place,
            note=line.note,
        )

    def _album(self, line: Line) -> Album:
        if line.album not in self._albums:
            raise CollectionError(f"there is no album “{line.album}”.")
        return self._albums[line.album]

    def _slot(self, line: Line) -> SlotId:
        album = self._album(line)
        if album.name not in self._slots:
            self._slots[album.name] = {s.label: s.id for s in self._unit.read.slots(album.id)}
        if line.slot not in self._slots[album.name]:
            raise CollectionError(f"{album.name} has no slot “{line.slot}”.")
        return self._slots[album.name][line.slot]

    def _coin(self, line: Line) -> CoinId:
        if line.key not in self._keys:
            raise CollectionError(f"no coin is called “{line.key}” above this line.")
        return self._keys[line.key]
