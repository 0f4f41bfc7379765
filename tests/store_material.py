"""What tests of the collection file share: a small collection, and every change one can make."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from pathlib import Path

from core.model.album import Album, AlbumId, AlbumKind, Placement, Slot, SlotId, Wish, parse_target
from core.model.arrangement import (
    Arrangement,
    ArrangementKind,
    Lead,
    ShowP,
    parse_arrangement,
)
from core.model.coin import Coin, CoinId, CoinStatus, Finding, Origin, Problem
from core.model.grade import parse_grade
from core.model.issue import Description, SeriesId, VarietyId
from core.model.plan_choice import ChoiceKind, Listed, PlanChoice
from core.model.prices import (
    Choose,
    Offer,
    OfferId,
    Price,
    PriceId,
    PriceRules,
    Rate,
    SpotPrice,
    Weight,
)
from core.model.search import (
    Box,
    BoxId,
    BoxKind,
    Campaign,
    CampaignId,
    Claim,
    Container,
    Find,
    Looked,
    Roll,
    Search,
    SearchId,
    Sighting,
    Tally,
    TallyRule,
    Weighing,
)
from core.store.store import Store, create, open_store
from core.store.unit import Unit
from core.store.write_log import Logged

TOKENS = SeriesId("harbour-token")
TOKEN_TEXTS = (TOKENS, "Harbour tokens", 'title = "Harbour tokens"\n', "row,date\nissue,1901\n")
DAY = date(2026, 3, 1)


def a_described(year: int, mint: str = "") -> Description:
    facets: dict[str, str] = {"date": str(year)} | ({"mint": mint} if mint else {})
    return Description.of(TOKENS, facets)


def a_coin(year: int = 1901, grade: str = "", **changes: object) -> Coin:
    plain = Coin(CoinId(0), a_described(year), parse_grade(grade) if grade else None)
    return replace(plain, **changes)  # type: ignore[arg-type]  # fields by name, in tests only


def a_full_coin() -> Coin:
    """A coin with nothing left at its default."""
    return Coin(
        CoinId(0),
        Description.of(TOKENS, {"date": ["1901", "1907"], "date size": "small|wide;=%"}),
        parse_grade("au details rb"),
        (Problem.CLEANED, Problem.PVC_RESIDUE),
        is_genuine=False,
        is_flagged=True,
        varieties=(
            (VarietyId("doubled"), Finding.CONFIRMED),
            (VarietyId("wide=rim"), Finding.RULED_OUT),
        ),
        weight_mg=3110,
        status=CoinStatus.ON_ORDER,
        quantity=7,
        origin=Origin.GIVEN,
        came_from="the jar, καλό, 北",
        acquired=date(2025, 12, 24),
        place="drawer 3",
        paid_minor=-(2**62),
        currency="HBT",
        note="Ünï\nsecond line\x00end",
    )


def an_album(name: str = "Tokens", shelf: int = 0, **changes: object) -> Album:
    plain = Album(AlbumId(0), name, TOKENS, shelf)
    return replace(plain, **changes)  # type: ignore[arg-type]  # fields by name, in tests only


def a_full_album() -> Album:
    return Album(
        AlbumId(0),
        "Everything",
        TOKENS,
        4,
        AlbumKind.OVERVIEW,
        Arrangement(ArrangementKind.RUNNING, 7, 4, ShowP.ALWAYS),
        "a note",
        volumes="The harbour, in volumes",
    )


def a_slot(album: AlbumId, position: int, **changes: object) -> Slot:
    year = 1901 + position
    plain = Slot(SlotId(0), album, position, str(year), a_described(year))
    return replace(plain, **changes)  # type: ignore[arg-type]  # fields by name, in tests only


def a_full_slot(album: AlbumId, position: int) -> Slot:
    return Slot(
        SlotId(0),
        album,
        position,
        "1901 wide",
        Description.of(TOKENS, {"date": ["1901", "1902"]}),
        VarietyId("doubled"),
        Wish.OPTIONAL,
        parse_target("MS-65 RD FS problems allowed"),
        is_pinned=True,
        note="look at the rim",
        lead=Lead(2, new_leaf=True),
        has_own_label=True,
    )


@dataclass(frozen=True)
class Small:
    """Ids of the small collection: twelve slots, the first four filled, the fifth reserved."""

    album: AlbumId
    slots: list[SlotId]
    coins: list[CoinId]


def a_store(path: Path, now: Callable[[], datetime] | None = None) -> Store:
    create(path, "The jar", date(2026, 1, 2))
    return open_store(path) if now is None else open_store(path, now=now)


def a_log(album: AlbumId, coin: CoinId, of: int = 1) -> list[Logged]:
    """One of everything in the search log, little of it at its default; `of`: the first ids."""
    box, noon = BoxId(of), at_noon(DAY)
    wide = TallyRule.of([TOKENS], {"mint": ["", "N|;"]}, None, 1909, counters=["foreign"])
    return [
        Campaign(CampaignId(0), "The jar", album, "for the wall", 31, 77_500, 88, 140, True),
        Search(SearchId(0), CampaignId(of), "March", DAY, (TOKENS,), 1905),
        Box(
            BoxId(0), SearchId(of), 32, DAY, "US 1c", 50, 49, "the north bank", "paper",
            BoxKind.MIXED, 2500, 120, "HBT", "back", 3600, 12, 14, False, 1906, "dusty",
        ),
        Roll(0, box, 3, 48, True),
        Find(0, box, 4, 1, coin, True, "Fills a gap", noon),
        Sighting(
            0, box, 5, 2, a_described(1903), "damaged", 7, VarietyId("doubled"), Looked.SUSPECTED,
            "worn, καλό", True, noon,
        ),
        Sighting(0, box, 6, 3, counter="foreign", text="1962"),
        Claim(0, box, TOKENS, 1901, 1909, "all early ones"),
        Tally(0, "US 1c", "Early", wide, 2),
        Weighing(0, box, 412, 1_173_600, TOKENS, "bronze", 235, 4, "235 ± 4", noon),
        Container(0, "the blue jar", 500, 8, "US 1c", 20, "chipped"),
    ]  # fmt: skip


def a_price(year: int, grade: int, minor: int, **changes: object) -> Price:
    plain = Price(PriceId(0), a_described(year), grade, minor, "HBT", DAY, "a sheet, καλό")
    return replace(plain, **changes)  # type: ignore[arg-type]  # fields by name, in tests only


def an_offer(year: int = 1906, **changes: object) -> Offer:
    """An offer with nothing left at its default."""
    full = Offer(
        OfferId(0), a_described(year), 2**40, "HBT", DAY, parse_grade("au details"),
        (Problem.CLEANED,), VarietyId("doubled"), "the spring show, 北", date(2026, 12, 31), 3,
        "second tray", True,
    )  # fmt: skip
    return replace(full, **changes)  # type: ignore[arg-type]  # fields by name, in tests only


SOME_RULES = PriceRules(
    "HBT", 365, Choose.MEDIAN, 40, 55, ((TOKENS, VarietyId("doubled")),), False,
    SpotPrice(2_500, "HBT", Weight.OUNCE, DAY), SpotPrice(900, "HBT", Weight.KILO, DAY),
)  # fmt: skip
A_LISTED = Listed(a_described(1906), 20, VarietyId("doubled"), is_proof=True)


def add_prices(unit: Unit) -> None:
    """Prices of two sources and days, one of a variety, an offer, a rate and rules."""
    doubled = VarietyId("doubled")
    unit.prices.set_prices(
        [
            a_price(1905, 4, 250),
            a_price(1905, 12, 900, source="", is_proof=True),
            a_price(1906, 20, 1_200, variety=doubled),
        ]
    )
    unit.prices.add_offers([an_offer(), an_offer(1907, until=None, is_taken=False)])
    unit.prices.set_rate(Rate("EUR", "HBT", "1.08", DAY))
    unit.prices.set_rules(SOME_RULES)


def add_choices(unit: Unit, slots: Sequence[SlotId]) -> None:
    """One of each kind; of an offer that stands, and of the list."""
    unit.prices.set_choice(PlanChoice(slots[5], ChoiceKind.PINNED, A_LISTED))
    unit.prices.set_choice(PlanChoice(slots[6], ChoiceKind.FORBIDDEN, OfferId(2)))
    unit.prices.set_choice(PlanChoice(slots[6], ChoiceKind.SHOWN, OfferId(2)))


def fill(store: Store) -> Small:
    with store.operation("Begin") as unit:
        unit.add_series(*TOKEN_TEXTS)
        album = unit.add_album(an_album())
        slots = unit.add_slots([a_slot(album, at) for at in range(12)])
        coins = unit.add_coins([a_coin(1901 + at, "vf20") for at in range(11)])
        coins += unit.add_coins([a_coin(1905, status=CoinStatus.ON_ORDER), a_coin(quantity=9)])
        unit.place_many(list(zip(slots[:4], coins[:4], strict=True)), DAY)
        unit.reserve(slots[4], coins[11])
        unit.keep_arrangement("the old folder", parse_arrangement("map:9 9 / 4_4"))
        unit.log.add_all(a_log(album, coins[9]))
        add_prices(unit)
        unit.set_own_code(TOKENS, VarietyId("doubled"), "K 12")
        add_choices(unit, slots)
    return Small(album, slots, coins)


_LATER = date(2026, 4, 1)


def delete_all_of_tokens(unit: Unit, small: Small) -> None:
    unit.log.delete(Campaign, [1])
    unit.delete_album(small.album)
    unit.delete_coins(small.coins)
    delete_prices(unit)
    unit.set_own_code(TOKENS, VarietyId("doubled"), "")
    unit.delete_series(TOKENS)


def delete_prices(unit: Unit) -> None:
    unit.prices.delete_prices([one.id for one in unit.read.prices.prices()])
    unit.prices.delete_offers([one.id for one in unit.read.prices.offers()])


def update_log(unit: Unit, small: Small) -> None:
    other: tuple[Logged, ...] = (
        Campaign(CampaignId(1), "Another"),
        Search(SearchId(1), CampaignId(1), "April", _LATER),
        Box(BoxId(1), SearchId(1), 33, _LATER, "US 5c", at_roll=2, reached=7, is_done=True),
        Roll(1, BoxId(1), 4, 51),
        Find(1, BoxId(1), 4, 1, small.coins[8]),
        Sighting(1, BoxId(1), 5, 2, counter="unreadable"),
        Sighting(2, BoxId(1), 5, 3, a_described(1950)),
        Claim(1, BoxId(1), TOKENS),
        Tally(1, "US 1c", "All", TallyRule()),
        Weighing(1, BoxId(1), 3, 9_000, TOKENS),
        Container(1, "a cup", 12),
    )
    for one in other:
        unit.log.update(one)


def delete_log(unit: Unit) -> None:
    """One of each kind, what belongs to another before it."""
    kinds: tuple[type[Logged], ...] = (
        Weighing, Claim, Sighting, Find, Roll, Box, Search, Campaign, Tally, Container,
    )  # fmt: skip
    for kind in kinds:
        unit.log.delete(kind, [1])


# One of each thing a unit can do, lawful on the small collection.
CHANGES: Mapping[str, Callable[[Unit, Small], object]] = {
    "set_name": lambda u, _: u.set_name("The other jar"),
    "add_numbered": lambda u, _: u.add_numbered([a_coin(1999), a_coin(1950, id=CoinId(77))]),
    "add_stays": lambda u, at: u.add_stays(
        [
            Placement(0, at.slots[0], at.coins[9], date(2025, 1, 1), date(2025, 2, 1)),
            Placement(0, at.slots[9], at.coins[9], DAY),
        ]
    ),
    "add_series": lambda u, _: u.add_series(SeriesId("ferry-token"), "Ferry tokens", "", ""),
    "put_series": lambda u, _: u.put_series(
        TOKENS, "Harbour tokens, told anew", "x = 1\n", "row\n"
    ),
    "set_own_code": lambda u, _: u.set_own_code(TOKENS, VarietyId("doubled"), "北-7"),
    "set_own_code of another": lambda u, _: u.set_own_code(TOKENS, VarietyId("worn"), "K 13"),
    "set_own_code to none": lambda u, _: u.set_own_code(TOKENS, VarietyId("doubled"), ""),
    "delete_series": delete_all_of_tokens,
    "add_coins": lambda u, _: u.add_coins([a_full_coin(), a_coin(1999), a_coin(1950, "g4")]),
    "update_coins": lambda u, at: u.update_coins(
        [replace(a_full_coin(), id=at.coins[8]), a_coin(1904, "ms60", id=at.coins[1])]
    ),
    "delete_coins": lambda u, at: u.delete_coins([at.coins[0], at.coins[11], at.coins[7]]),
    "add_album": lambda u, _: u.add_album(a_full_album()),
    "update_album": lambda u, at: u.update_album(replace(a_full_album(), id=at.album)),
    "delete_album": lambda u, at: u.delete_album(at.album),
    "keep_arrangement": lambda u, _: u.keep_arrangement("mine", parse_arrangement("by-decade")),
    "delete_arrangement": lambda u, _: u.delete_arrangement(1),
    "add_slots": lambda u, at: u.add_slots([a_full_slot(at.album, 12), a_slot(at.album, 13)]),
    "reorder_slots": lambda u, at: u.reorder_slots(at.album, u.read.slot_ids(at.album)[::-1]),
    "update_slots": lambda u, at: u.update_slots(
        [replace(a_full_slot(at.album, 30), id=at.slots[0]), a_slot(at.album, 40, id=at.slots[5])]
    ),
    "delete_slots": lambda u, at: u.delete_slots([at.slots[0], at.slots[4], at.slots[9]]),
    "place": lambda u, at: u.place(at.slots[6], at.coins[6], DAY),
    "place_many": lambda u, at: u.place_many(
        [(at.slots[7], at.coins[7]), (at.slots[8], at.coins[8])], DAY
    ),
    "end_placements": lambda u, at: u.end_placements(at.slots[:3], _LATER),
    "correct_placement": lambda u, _: u.correct_placement(1, date(2026, 2, 1), date(2026, 2, 9)),
    "remove_placement": lambda u, _: u.remove_placement(1),
    "reserve": lambda u, at: u.reserve(at.slots[10], at.coins[10]),
    "unreserve": lambda u, at: u.unreserve(at.slots),
    "log": lambda u, at: u.log.add_all(a_log(at.album, at.coins[10], 2)),
    "log.update": update_log,
    "log.delete": lambda u, _: delete_log(u),
    "log.delete the whole": lambda u, _: u.log.delete(Campaign, [1]),
    "prices": lambda u, _: u.prices.set_prices([a_price(1904, 63, 7_000)]),
    "prices.set_prices": lambda u, _: u.prices.set_prices(
        [
            a_price(1905, 4, 260, currency="EUR"),
            a_price(1911, 4, 99),
            a_price(1905, 4, 9, day=_LATER),
        ]
    ),
    "prices.delete_prices": lambda u, _: u.prices.delete_prices([PriceId(1), PriceId(3)]),
    "prices.add_offers": lambda u, _: u.prices.add_offers([an_offer(1903)]),
    "prices.update_offer": lambda u, _: u.prices.update_offer(
        Offer(OfferId(1), a_described(1909), 1, "EUR", _LATER)
    ),
    "prices.delete_offers": lambda u, _: u.prices.delete_offers([OfferId(2)]),
    "prices.set_rate": lambda u, _: u.prices.set_rate(Rate("EUR", "HBT", "1.1", _LATER)),
    "prices.set_rate anew": lambda u, _: u.prices.set_rate(Rate("CHF", "HBT", "1.05", DAY)),
    "prices.delete_rate": lambda u, _: u.prices.delete_rate("EUR", "HBT"),
    "prices.set_rules": lambda u, _: u.prices.set_rules(PriceRules()),
    "prices.set_choice": lambda u, at: u.prices.set_choice(
        PlanChoice(at.slots[5], ChoiceKind.FORBIDDEN, A_LISTED)
    ),
    "prices.set_choice shown": lambda u, at: u.prices.set_choice(
        PlanChoice(at.slots[6], ChoiceKind.SHOWN, A_LISTED)
    ),
    "prices.drop_choices": lambda u, at: u.prices.drop_choices(
        [PlanChoice(at.slots[6], ChoiceKind.SHOWN, OfferId(2))]
    ),
    "log.let_go_of_goal": lambda u, at: u.log.let_go_of_goal(at.album),
}


def swap(unit: Unit, small: Small) -> None:
    """Two placed coins change places on one day."""
    first, second = small.slots[:2]
    unit.end_placements([first, second], DAY)
    unit.place(first, small.coins[1], DAY)
    unit.place(second, small.coins[0], DAY)


def at_noon(day: date) -> datetime:
    return datetime(day.year, day.month, day.day, 12, tzinfo=UTC)
