"""Small made-up series, slots and coins for Fill, and random cases of them."""

import random
from dataclasses import replace

from core.fill.solve import FillInput
from core.model.album import AlbumId, Slot, SlotId, Target, Wish
from core.model.coin import Coin, CoinId, CoinStatus, Finding, Problem
from core.model.grade import Grade
from core.model.issue import (
    BANK_ISSUE,
    Composition,
    Description,
    Design,
    Issue,
    Mint,
    RollOdds,
    Series,
    SeriesId,
    Variety,
    VarietyId,
)

HARBOUR = SeriesId("harbour-penny")
DOUBLED = VarietyId("doubled-anchor")
REPUNCHED = VarietyId("repunched-letter")


def harbour_series(years: range = range(1901, 1904), mints: str = "PDS") -> Series:
    """An invented penny: every year at every mint, with two varieties of the first year."""
    issues = [
        Issue(no, str(year), year, mint, "" if mint == "P" else mint, "anchor", "bronze")
        for no, (year, mint) in enumerate((y, m) for y in years for m in mints)
    ]
    first = (("date", (str(years[0]),)),)
    return Series(
        id=HARBOUR,
        title="Harbour pennies",
        issuer="Harbour Isles",
        denomination="penny",
        face_value_minor=1,
        currency="XHI",
        diameter_mm=19.0,
        mints=tuple(Mint(m, m, "" if m == "P" else m) for m in mints),
        designs=(Design("anchor", "Anchor"),),
        compositions=(Composition("bronze", "bronze", 3.1, None, 0.0),),
        issues=tuple(issues),
        varieties=(
            Variety(DOUBLED, "doubled anchor", "die", "", "", RollOdds.POSSIBLE, first),
            Variety(REPUNCHED, "repunched letter", "die", "", "", RollOdds.POSSIBLE, first),
        ),
        is_invented=True,
    )


SERIES = harbour_series()


def accepts(date: str | int | None = None, mint: str = "") -> Description:
    """A description of the harbour penny; None and "" leave date and mint open."""
    facets = dict(BANK_ISSUE)
    if date is not None:
        facets["date"] = str(date)
    if mint:
        facets["mint"] = mint
    return Description.of(HARBOUR, facets)


def a_slot(number: int, date: str | int | None = None, mint: str = "", **more) -> Slot:
    """A slot of the first album unless another is named; its label tells it apart."""
    album = more.pop("album", AlbumId(1))
    label = f"{date}-{mint} no. {number}"
    return Slot(SlotId(number), album, number, label, accepts(date, mint), **more)


def a_coin(number: int, date: str | int | None = None, mint: str = "", **more) -> Coin:
    """A coin; `points` makes a plain grade."""
    points = more.pop("points", None)
    if points is not None:
        more["grade"] = Grade(points, points)
    return Coin(CoinId(number), accepts(date, mint), **more)


def a_fill(slots, coins, placed=None, **more) -> FillInput:
    """What Fill is given; `placed` is slot number to coin number."""
    albums = more.pop("albums", tuple(dict.fromkeys(s.album for s in slots)))
    return FillInput(
        {SERIES.id: SERIES}, albums, tuple(slots), tuple(coins), dict(placed or {}), **more
    )


_TARGETS = (
    None,
    None,
    Target(20),
    Target(8),
    Target(40),
    Target(None),
    Target(8, allows_problems=True),
)
_GRADES = (
    None,
    None,
    Grade(4, 4),
    Grade(12, 12),
    Grade(20, 20),
    Grade(20, 35),
    Grade(45, 45),
    Grade(12, 12, is_details=True),
)


def _random_slot(rng: random.Random, number: int, album: int) -> Slot:
    date = rng.choice([1901, 1901, 1902, None])
    mint = rng.choice(["D", "S", "", "D"])
    wish = rng.choices([Wish.WANTED, Wish.OPTIONAL, Wish.SKIPPED], [6, 3, 1])[0]
    return a_slot(
        number,
        date,
        mint,
        album=AlbumId(album),
        variety=rng.choice([DOUBLED, REPUNCHED]) if date == 1901 and rng.random() < 0.3 else None,
        wish=wish,
        target=rng.choice(_TARGETS),
        is_pinned=rng.random() < 0.1,
    )


def _random_coin(rng: random.Random, number: int) -> Coin:
    date = rng.choice([1901, 1901, 1901, 1902, None])
    mint = rng.choice(["D", "D", "S", "S", ""])
    varieties = []
    if date == 1901:
        for variety in (DOUBLED, REPUNCHED):
            if rng.random() < 0.25:
                finding = rng.choice([Finding.CONFIRMED, Finding.CONFIRMED, *Finding])
                varieties.append((variety, finding))
    return replace(
        a_coin(number, date, mint),
        grade=rng.choice(_GRADES),
        problems=(Problem.CLEANED,) if rng.random() < 0.2 else (),
        is_genuine=rng.random() > 0.04,
        is_flagged=rng.random() < 0.08,
        varieties=tuple(varieties),
        status=CoinStatus.ON_ORDER if rng.random() < 0.04 else CoinStatus.HELD,
        quantity=rng.choice([1, 1, 1, 1, 1, 1, 2, 3]),
    )


def random_slot_and_coin(rng: random.Random, number: int) -> tuple[Slot, Coin]:
    """A slot of the first album and a coin, of any mixture, with this number."""
    return _random_slot(rng, number, 1), _random_coin(rng, number)


def _like(rng: random.Random, model: Coin, coin: Coin) -> Coin:
    """A coin like the model, at most with a variety that the model has not."""
    if rng.random() < 0.4:
        return replace(model, id=coin.id, varieties=((DOUBLED, Finding.CONFIRMED),))
    return replace(model, id=coin.id)


def random_fill(seed: int, most_slots: int = 5, most_coins: int = 6) -> FillInput:
    """One small case: up to three albums, any mixture of what design.md names."""
    rng = random.Random(seed)
    # Ids of albums do not follow the shelf, nor numbers of coins their order in the input.
    shelf = rng.sample([11, 12, 13], rng.choice([1, 2, 2, 3]))
    n_slots = rng.randint(2, most_slots)
    slots = [_random_slot(rng, at + 1, rng.choice(shelf)) for at in range(n_slots)]
    numbers = rng.sample(range(1, 60), rng.randint(1, most_coins))
    coins = [_random_coin(rng, number) for number in numbers]
    if rng.random() < 0.5:  # many alike, so that the late aims decide
        coins = [_like(rng, coins[0], c) if rng.random() < 0.6 else c for c in coins]
    loose = [c.id for c in coins if c.quantity == 1 and c.status is CoinStatus.HELD]
    rng.shuffle(loose)
    placed = {s.id: loose.pop() for s in slots if loose and rng.random() < 0.45}
    elsewhere = frozenset(loose[:1]) if rng.random() < 0.15 else frozenset()
    barred = frozenset(
        (rng.choice(slots).id, rng.choice(coins).id) for _ in range(rng.choice([0, 0, 0, 1, 2]))
    )
    return FillInput(
        {SERIES.id: SERIES},
        tuple(AlbumId(a) for a in shelf),
        tuple(slots),
        tuple(coins),
        placed,
        elsewhere,
        rng.random() < 0.2,
        barred,
    )
