"""A collection of thousands of slots, each with a price in six grades; half of them hold a coin."""

import random
from pathlib import Path

from core.app.changes import Changes
from core.app.collection import Collection, make_collection
from core.app.operations import Context, Operation
from core.model.album import Album, AlbumId, Slot, SlotId, Target
from core.model.arrangement import parse_arrangement
from core.model.coin import Coin, CoinId
from core.model.grade import Grade
from core.model.issue import BANK_ISSUE, Description, SeriesId
from core.model.prices import Price, PriceId
from core.store.unit import Unit
from scenarios.big_collection import a_series
from tests.collection_material import DAY

GRADES = (8, 12, 20, 30, 40, 50)
ALBUMS = 5
FIRST_YEAR = 1001


def many_prices(path: Path, count: int = 5_000) -> Path:
    """Five albums of one series, a slot a year, at EF-40; prices rise with grade and luck."""
    rng = random.Random(6)
    stock = a_series("harbour-penny", "Harbour pennies", "penny", count, {"P": ""})
    code = SeriesId(stock.code)

    def described(at: int) -> Description:
        return Description.of(code, BANK_ISSUE | {"date": str(FIRST_YEAR + at)})

    def work(unit: Unit, _context: Context) -> Changes:
        unit.add_series(code, stock.title, stock.toml, stock.csv)
        running = parse_arrangement("running:10x10")
        slots: list[Slot] = []
        for number in range(ALBUMS):
            album = Album(AlbumId(0), f"Pennies {number + 1}", code, number, arrangement=running)
            made = unit.add_album(album)
            for at in range(number * count // ALBUMS, (number + 1) * count // ALBUMS):
                label = str(FIRST_YEAR + at)
                slots.append(Slot(SlotId(0), made, at, label, described(at), target=Target(40)))
        ids = unit.add_slots(slots)
        coins = [
            Coin(CoinId(0), described(at), Grade(4 + 4 * (at % 3), 4 + 4 * (at % 3)))
            for at in range(0, count, 2)
        ]
        numbers = unit.add_coins(coins)
        unit.place_many(list(zip(ids[::2], numbers, strict=True)), DAY)
        prices = []
        for at in range(count):
            minor = rng.randint(50, 5_000)
            for grade in GRADES:
                minor += rng.randint(1, 1 + minor)
                prices.append(Price(PriceId(0), described(at), grade, minor, "USD", DAY))
        unit.prices.set_prices(prices)
        return Changes.everything()

    make_collection(path, "Pennies by the thousand")
    with Collection.open(path) as collection:
        collection.run(Operation("note it all", work))
    return path
