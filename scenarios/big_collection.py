"""A collection of any size, for benches: a warehouse of invented coins.

    python -m scenarios.big_collection OUT --coins 1000000 --slots 25000 [--albums N] [--seed N]

The same arguments give the same content. What is in it, and how much of each, stands in the tables
below; the shares are chosen to look like a sorted hoard, not measured on one.
"""

import argparse
import random
import sys
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from functools import partial
from pathlib import Path
from typing import TypeVar

from core.app.changes import Changes
from core.app.collection import Collection, make_collection
from core.app.operations import Context, Operation
from core.errors import CollectionError, Refused
from core.model.album import Album, AlbumId, Slot, SlotId, Target, Wish
from core.model.arrangement import parse_arrangement
from core.model.coin import Coin, CoinId, CoinStatus, Finding, Origin, Problem
from core.model.grade import parse_grade
from core.model.issue import BANK_ISSUE, Description, SeriesId, VarietyId
from core.store.unit import Unit

MINTS = {"P": "", "D": "D", "S": "S", "O": "O", "C": "C"}
MOST_ISSUES = 5_000
SMALL_ISSUES = 300
A_BATCH = 50_000
FIRST_DAY = date(2021, 1, 9)
DOUBLED = VarietyId("doubled-anchor")

_SERIES_TOML = """\
id = "{id}"
title = "{title}"
issuer = "Harbour Office (invented)"
denomination = "{word}"
face_value_minor = 1
currency = "XHI"
diameter_mm = 19.0
is_invented = true
words = ["{word}"]
sources = ["invented for the benches"]
{mints}
[[design]]
id = "anchor"
title = "anchor"
source = "invented for the benches"
confidence = "invented"

[[composition]]
id = "bronze"
title = "bronze"
weight_g = 3.1
silver_ozt = 0
source = "invented for the benches"
confidence = "invented"

[[variety]]
id = "{variety}"
name = "doubled anchor"
kind = "doubled die"
where = "fluke of the anchor"
look = "the fluke stands twice"
odds = "possible"
applies = {{ date = "{first}" }}
source = "invented for the benches"
confidence = "invented"
"""
_MINT_TOML = '\n[[mint]]\nid = "{id}"\nname = "{id} harbour"\nmark = "{mark}"\n'
_ISSUES_HEAD = (
    "row,date,year,mint,mark,design,composition,strike,release,choices,mintage,note,source,"
    "confidence"
)

# Value: how many of a thousand.
_GRADES: dict[str, int] = {
    "": 600, "ag3": 20, "g4": 70, "vg8": 80, "f12": 70, "f-vf": 15, "vf20": 60, "vf30": 20,
    "xf40": 35, "xf details": 5, "au50": 15, "ms63 rb": 10,
}  # fmt: skip
_PROBLEMS: dict[tuple[Problem, ...], int] = {
    (): 920, (Problem.CLEANED,): 25, (Problem.CORRODED,): 25, (Problem.SCRATCHED,): 20,
    (Problem.BENT, Problem.HOLED): 10,
}  # fmt: skip
_STATUS = {CoinStatus.HELD: 985, CoinStatus.GONE: 12, CoinStatus.ON_ORDER: 3}
_ORIGINS = {Origin.FOUND: 800, Origin.BOUGHT: 80, Origin.GIVEN: 40, Origin.UNKNOWN: 80}
_QUANTITIES = {1: 990, 2: 4, 10: 4, 40: 2}
_PLACES = {"": 500, "tray 1": 200, "tray 2": 200, "cellar": 100}
_FINDINGS: dict[tuple[tuple[VarietyId, Finding], ...], int] = {
    (): 970, ((DOUBLED, Finding.CONFIRMED),): 10, ((DOUBLED, Finding.SUSPECTED),): 5,
    ((DOUBLED, Finding.RULED_OUT),): 15,
}  # fmt: skip
_WISHES = {Wish.WANTED: 820, Wish.OPTIONAL: 130, Wish.SKIPPED: 50}
_TARGETS: dict[Target | None, int] = {
    None: 400, Target(8): 150, Target(20): 300, Target(40): 100, Target(None): 30,
    Target(4, allows_problems=True): 20,
}  # fmt: skip
# Shares of one.
_MINT_UNREAD, _FLAGGED, _FALSE = 0.04, 0.01, 0.0005
_ANY_MINT, _FILLED, _PINNED, _CHANGED = 0.05, 0.6, 0.02, 0.15
_MOST_KEPT = 64  # coins kept in mind for the slots of one description

Value = TypeVar("Value")


@dataclass(frozen=True, slots=True)
class Stock:
    """A series of the warehouse: its code, its texts, and what it struck, in order."""

    code: SeriesId
    title: str
    toml: str
    csv: str
    places: tuple[tuple[int, str], ...]

    def accepts(self, place: int, any_mint: bool = False) -> Description:
        """What a slot for the issue in this place accepts, and what a coin of it is."""
        year, mint = self.places[place]
        facets = dict(BANK_ISSUE) | {"date": str(year)}
        return Description.of(self.code, facets if any_mint else facets | {"mint": mint})

    def known(self) -> tuple[list[Description], list[float]]:
        """What its coins are known to be, and how often; on some the letter cannot be read."""
        read = [self.accepts(place) for place in range(len(self.places))]
        unread = [self.accepts(place, any_mint=True) for place in range(0, len(read), len(MINTS))]
        shares = [(1 - _MINT_UNREAD) / len(read)] * len(read)
        return read + unread, shares + [_MINT_UNREAD / len(unread)] * len(unread)

    def label(self, place: int) -> str:
        """The issue as collectors write it."""
        year, mint = self.places[place]
        return f"{year}-{MINTS[mint]}" if MINTS[mint] else str(year)


def a_series(
    code: str, title: str, word: str, issues: int, letters: Mapping[str, str] = MINTS
) -> Stock:
    """An invented series: years of every mint each, at least so many issues."""
    years = range(1001, 1001 + -(-issues // len(letters)))
    places = tuple((year, mint) for year in years for mint in letters)
    rows = (
        f"issue,{year},{year},{mint},{MINTS[mint]},anchor,bronze,circulation,banks,,"
        f"{1000 * (1 + at % 97)},,invented for the benches,invented"
        for at, (year, mint) in enumerate(places)
    )
    mints = "".join(_MINT_TOML.format(id=name, mark=mark) for name, mark in letters.items())
    toml = _SERIES_TOML.format(
        id=code, title=title, word=word, mints=mints, variety=DOUBLED, first=years[0]
    )
    return Stock(SeriesId(code), title, toml, "\n".join((_ISSUES_HEAD, *rows, "")), places)


def album_sizes(slots: int, albums: int | None = None) -> tuple[int, ...]:
    """Even albums, so many; unless told, one of 250, one of 5,000 and one of the rest.

    Fewer than 10,000 slots are then cut into albums of at most 250.
    """
    if albums is None and slots >= 10_000:
        return 250, 5_000, slots - 5_250
    count = albums or max(1, -(-slots // 250))
    return tuple(slots // count + (at < slots % count) for at in range(count))


def write_big_collection(path: Path, coins: int, sizes: Sequence[int], seed: int = 1) -> None:
    """Write a collection of so many coins and of albums of these sizes.

    Refused where the file is there already, or where there would be fewer coins than slots.
    """
    if path.exists():
        raise Refused(f"“{path}” is there already; it was not overwritten. Choose another name.")
    if coins < sum(sizes):
        raise Refused(f"{coins} coins are fewer than {sum(sizes)} slots. Ask for more coins.")
    make_collection(path, "The warehouse", FIRST_DAY)
    with Collection.open(path, today=lambda: FIRST_DAY) as collection:
        _Writer(collection, coins, sizes, seed).write()


class _Writer:
    """Albums first, then the coins in batches, a journal entry each, then what is where."""

    def __init__(self, collection: Collection, coins: int, sizes: Sequence[int], seed: int) -> None:
        self._collection = collection
        self._coins = coins
        self._sizes = sizes
        self._rng = random.Random(seed)
        self._stocks = []
        if min(sizes, default=0) <= SMALL_ISSUES:
            small = a_series("harbour-penny", "Harbour pennies", "penny", SMALL_ISSUES)
            self._stocks.append(small)
        if max(sizes, default=0) > SMALL_ISSUES:
            most = min(max(sizes), MOST_ISSUES)
            self._stocks.append(a_series("harbour-mark", "Harbour marks", "mark", most))
        self._known = [stock.known() for stock in self._stocks]
        self._doubled = {d for s in self._stocks for d in map(s.accepts, range(len(MINTS)))}
        self._day = FIRST_DAY
        self._slots: list[Slot] = []
        self._filled: list[SlotId] = []
        # Single coins by what they are, for the slots; as many as could be wanted.
        self._free: dict[Description, list[CoinId]] = defaultdict(list)
        self._ordered: list[CoinId] = []

    def write(self) -> None:
        self._run("make the albums", self._make_albums)
        for first in range(0, self._coins, A_BATCH):
            count = min(A_BATCH, self._coins - first)
            self._run(f"bring in {count} coins", partial(self._bring_in, count=count))
        self._run("put coins in the albums", self._put_in)
        self._run("put others in their place", self._change)
        self._run("mean ordered coins for gaps", self._reserve)

    def _run(self, label: str, work: Callable[[Unit], None]) -> None:
        """One journal entry; each a week after the one before."""

        def whole(unit: Unit, _context: Context) -> Changes:
            work(unit)
            return Changes.everything()

        at = datetime.combine(self._day, time(18, 30), UTC)
        self._collection.run(Operation(label, whole), at=at)
        self._day += timedelta(days=7)

    def _many(self, shares: Mapping[Value, int], count: int) -> list[Value]:
        """So many values, by their shares."""
        return self._rng.choices(list(shares), list(shares.values()), k=count)

    # ---- albums

    def _make_albums(self, unit: Unit) -> None:
        for stock in self._stocks:
            unit.add_series(stock.code, stock.title, stock.toml, stock.csv)
        running = parse_arrangement("running:10x10")
        for shelf, size in enumerate(self._sizes):
            stock = self._stocks[0 if size <= SMALL_ISSUES else -1]
            name = f"{stock.title}, album {shelf + 1}"
            album = unit.add_album(Album(AlbumId(0), name, stock.code, shelf, arrangement=running))
            slots = list(self._slots_of(stock, album, size))
            ids = unit.add_slots(slots)
            self._slots += [replace(s, id=n) for s, n in zip(slots, ids, strict=True)]

    def _slots_of(self, stock: Stock, album: AlbumId, size: int) -> Iterator[Slot]:
        """A slot an issue; where the album is larger than the series, again from its first."""
        wishes, targets = self._many(_WISHES, size), self._many(_TARGETS, size)
        for at in range(size):
            again, place = divmod(at, len(stock.places))
            any_mint = self._rng.random() < _ANY_MINT
            words = (" any mint" if any_mint else "") + (f" no. {again + 1}" if again else "")
            yield Slot(
                SlotId(0),
                album,
                at,
                stock.label(place) + words,
                stock.accepts(place, any_mint),
                wish=wishes[at],
                target=targets[at],
                is_pinned=self._rng.random() < _PINNED,
            )

    # ---- coins

    def _bring_in(self, unit: Unit, count: int) -> None:
        coins = list(self._some_coins(count))
        for coin, number in zip(coins, unit.add_coins(coins), strict=True):
            if coin.status is CoinStatus.ON_ORDER:
                self._ordered.append(number)
            free = self._free[coin.description]
            is_plain = coin.quantity == 1 and coin.is_genuine and coin.status is CoinStatus.HELD
            if is_plain and len(free) < _MOST_KEPT:
                free.append(number)

    def _some_coins(self, count: int) -> Iterator[Coin]:
        grades = {text: parse_grade(text) if text else None for text in _GRADES}
        for what, grade, problems, status, origin, quantity, place, findings in zip(
            self._described(count),
            self._many(_GRADES, count),
            self._many(_PROBLEMS, count),
            self._many(_STATUS, count),
            self._many(_ORIGINS, count),
            self._many(_QUANTITIES, count),
            self._many(_PLACES, count),
            self._many(_FINDINGS, count),
            strict=True,
        ):
            chance = self._rng.random()
            is_bought = origin is Origin.BOUGHT
            yield Coin(
                CoinId(0),
                what,
                grades[grade],
                problems,
                is_genuine=chance > _FALSE,
                is_flagged=1 - chance < _FLAGGED,
                varieties=findings if what in self._doubled else (),
                status=status,
                quantity=quantity if status is CoinStatus.HELD else 1,
                origin=origin,
                came_from="the coin fair" if is_bought else "box 12",
                acquired=self._day,
                place=place,
                paid_minor=100 + 5 * int(1000 * chance) if is_bought else None,
                currency="XHI" if is_bought else "",
            )

    def _described(self, count: int) -> list[Description]:
        """What so many coins are; three in ten of the first series, where there are two."""
        first = count if len(self._stocks) == 1 else count * 3 // 10
        out: list[Description] = []
        for (known, shares), some in zip(self._known, (first, count - first), strict=False):
            out += self._rng.choices(known, shares, k=some)
        self._rng.shuffle(out)
        return out

    # ---- what is where

    def _put_in(self, unit: Unit) -> None:
        wanted = [slot for slot in self._slots if slot.wish is not Wish.SKIPPED]
        chosen = [slot for slot in wanted if self._rng.random() < _FILLED]
        self._filled = self._place(unit, chosen)

    def _change(self, unit: Unit) -> None:
        """In some slots another coin, so that the first is a spare with a past."""
        slots = {slot.id: slot for slot in self._slots}
        chosen = [slots[s] for s in self._filled if self._rng.random() < _CHANGED]
        unit.end_placements([slot.id for slot in chosen], self._day)
        self._place(unit, chosen)

    def _place(self, unit: Unit, slots: Sequence[Slot]) -> list[SlotId]:
        """A coin into each slot for which one is left that surely fits; those slots."""
        pairs = [(slot.id, coin) for slot in slots if (coin := self._take(slot.accepts))]
        unit.place_many(pairs, self._day)
        return [slot for slot, _ in pairs]

    def _take(self, what: Description) -> CoinId | None:
        return self._free[what].pop() if self._free[what] else None

    def _reserve(self, unit: Unit) -> None:
        """Ordered coins are meant for empty slots that accept them, one each."""
        filled = set(self._filled)
        empty = {s.accepts: s.id for s in self._slots if s.id not in filled and not s.is_pinned}
        coins: list[Coin] = []
        for start in range(0, len(self._ordered), 500):
            coins += unit.read.coins(self._ordered[start : start + 500]).values()
        for coin in coins:
            slot = empty.pop(coin.description, None)
            if slot is not None:
                unit.reserve(slot, coin.id)


def main() -> int:
    """Write one and say what is in it."""
    asked = argparse.ArgumentParser(description="Write a collection of any size.")
    asked.add_argument("out", type=Path)
    asked.add_argument("--coins", type=int, default=1_000_000)
    asked.add_argument("--slots", type=int, default=25_000)
    asked.add_argument("--albums", type=int, default=None)
    asked.add_argument("--seed", type=int, default=1)
    given = asked.parse_args()
    sizes = album_sizes(given.slots, given.albums)
    try:
        write_big_collection(given.out, given.coins, sizes, given.seed)
    except CollectionError as error:
        sys.stderr.write(f"{error}\n")
        return 1
    sys.stdout.write(f"{given.out}: {given.coins:,} coins, albums of {sizes} slots\n")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
