"""What tests of opened collections share: albums, coins, and comparing two looks at one file."""

from collections.abc import Callable
from dataclasses import fields, replace
from datetime import date
from pathlib import Path

from core.app.changes import Changes
from core.app.collection import Collection, make_collection
from core.app.operations import add_album, add_coins
from core.app.search_orders import add_box, keep_find
from core.app.views import AlbumView
from core.arrange.plan import LeafPlan
from core.lookup.parse import parse_entry
from core.model.album import AlbumId, AlbumKind, Slot, SlotId, parse_target
from core.model.arrangement import parse_arrangement
from core.model.coin import Coin, CoinId
from core.model.issue import SeriesId
from core.model.plan_album import AlbumPlan, Varieties
from core.model.search import Box, BoxId, Campaign, CampaignId, Search, SearchId

DAY = date(2026, 3, 2)
NICKELS = SeriesId("us-nickel-jefferson")
DIMES = SeriesId("us-dime-roosevelt")
CENTS = SeriesId("us-cent-lincoln")
TOKENS = SeriesId("harbour-token")


class Clock:
    """A day that a test moves on."""

    def __init__(self, day: date = DAY) -> None:
        self.day = day

    def __call__(self) -> date:
        return self.day


def a_collection(folder: Path, today: Callable[[], date] = lambda: DAY) -> Collection:
    """A new, empty collection, open."""
    path = folder / "jar.slotleaf"
    make_collection(path, "The jar")
    return Collection.open(path, today=today)


def an_album(
    collection: Collection,
    name: str = "Nickels",
    series: SeriesId = NICKELS,
    years: tuple[int, int] | None = (1940, 1943),
    target: str = "VF-20",
    mints: tuple[str, ...] = (),
    varieties: Varieties = Varieties.NONE,
    arrangement: str = "years-by-mints",
    kind: AlbumKind = AlbumKind.HOLDER,
) -> AlbumId:
    """Add an album."""
    plan = AlbumPlan(years, mints, varieties, parse_target(target))
    order = add_album(name, series, plan, parse_arrangement(arrangement), kind)
    made = collection.run(order).made_album
    assert made is not None
    return made


def read_coin(collection: Collection, entry: str, series: SeriesId = NICKELS) -> Coin:
    """A coin as an entry line gives it, not yet in the collection."""
    return parse_entry(entry, [collection.series(series)]).coin


def with_coins(
    collection: Collection, *entries: str, series: SeriesId = NICKELS
) -> tuple[CoinId, ...]:
    """Add coins by their entry lines; their numbers."""
    coins = [read_coin(collection, entry, series) for entry in entries]
    return collection.run(add_coins(coins)).made_coins


def slot(collection: Collection, label: str, album: str = "Nickels") -> SlotId:
    """A slot's id by its label."""
    return whole_slot(collection, label, album).id


def whole_slot(collection: Collection, label: str, album: str = "Nickels") -> Slot:
    """A slot by its label."""
    return collection.find_slot(collection.find_album(album), label)


def state(collection: Collection, label: str, album: str = "Nickels") -> str:
    """The state of a slot, by its name."""
    found = collection.find_album(album)
    hole = collection.find_slot(found, label)
    return collection.album_view(found.id).by_id[hole.id].state.value


def marks(collection: Collection, label: str, album: str = "Nickels") -> set[str]:
    """The marks of a slot, by their names."""
    found = collection.find_album(album)
    hole = collection.find_slot(found, label)
    return {m.value for m in collection.album_view(found.id).by_id[hole.id].marks}


def held(collection: Collection, label: str, album: str = "Nickels") -> CoinId | None:
    """The number of the coin in a slot."""
    found = collection.find_album(album)
    coin = collection.album_view(found.id).by_id[slot(collection, label, album)].coin
    return coin.id if coin else None


def plan_of(plan: LeafPlan) -> tuple[object, ...]:
    """All of a plan that is drawn or spoken, to compare."""
    cells = [
        (plan.codes[at], plan.lines[plan.names[at]], plan.lines[plan.l1[at]],
         plan.lines[plan.l2[at]], plan.lines[plan.details[at]], plan.slot_ids[at])
        for at in range(plan.cells)
    ]  # fmt: skip
    shape = (list(plan.row_first), list(plan.row_head), list(plan.row_sub), list(plan.row_indent))
    return plan.name, plan.has_two_lines, plan.leaves, shape, cells


def view_of(view: AlbumView) -> dict[str, object]:
    """An album's view by its parts, to compare."""
    parts = {f.name: getattr(view, f.name) for f in fields(view) if f.name != "series"}
    parts["series"] = view.series.id
    parts["plan"] = plan_of(view.plan)
    return parts


def differences(one: Collection, other: Collection) -> list[str]:
    """Where two opened collections say different things of the same file; [] where nowhere."""
    found = []

    def compare(what: str, of_one: object, of_other: object) -> None:
        if of_one != of_other:
            found.append(f"{what}: {of_one} but {of_other}")

    compare("name", one.name, other.name)
    compare("series", [s.id for s in one.series_in_use], [s.id for s in other.series_in_use])
    compare("shelf", one.shelf(), other.shelf())
    compare("coins", one.coin_rows(), other.coin_rows())
    compare("fill", one.fill_input(), other.fill_input())
    for part in ("prices", "offers", "rates", "rules"):
        compare(part, getattr(one.price_book(), part), getattr(other.price_book(), part))
    compare("choices", one.plan_choices(), other.plan_choices())
    compare("campaigns", one.log.campaigns(), other.log.campaigns())
    for box in other.log.boxes():
        compare(f"box {box.number}", one.log.box_view(box.id), other.log.box_view(box.id))
    for album in other.albums():
        mine, theirs = one.album_view(album.id), other.album_view(album.id)
        for name, value in view_of(theirs).items():
            compare(f"{album.name}, {name}", view_of(mine)[name], value)
        for hole in theirs.slots[::2]:
            compare(hole.label, card_of(one, hole.slot.id), card_of(other, hole.slot.id))
    return found


def card_of(collection: Collection, slot_id: SlotId) -> dict[str, object]:
    """A slot's card by its parts, to compare."""
    card = collection.slot_card(slot_id)
    parts = {f.name: getattr(card, f.name) for f in fields(card) if f.name != "series"}
    return parts | {"series": card.series.id}


def fresh(collection: Collection) -> Collection:
    """The same file opened anew beside the first, for reading."""
    return Collection.open(collection.path, read_only=True, verify=False)


def a_box(
    collection: Collection, rolls: int = 10, series: SeriesId = NICKELS, **more: object
) -> BoxId:
    """Begin a campaign for the album Nickels, its search and its first box."""
    goal = next((a.id for a in collection.albums() if a.name == "Nickels"), None)
    campaign = Campaign(CampaignId(0), "Nickels to 1943", goal, opening_boxes=31)
    search = Search(SearchId(0), CampaignId(0), "March", DAY, (series,))
    plain = Box(BoxId(0), SearchId(0), 0, DAY, "US 5c", rolls, 40, "the north branch")
    box = replace(plain, **more)  # type: ignore[arg-type]  # fields by name, in tests only
    return BoxId(collection.run(add_box(box, search, campaign)).made_log[-1])


def keep(collection: Collection, box: BoxId, entry: str, **more: object) -> tuple[CoinId, ...]:
    """Keep a coin from the roll in hand."""
    order = keep_find(box, read_coin(collection, entry), **more)  # type: ignore[arg-type]
    return collection.run(order).made_coins


class Heard:
    """A listener that keeps what it was told."""

    def __init__(self, collection: Collection) -> None:
        self.changes: list[Changes] = []
        collection.listen(self.changes.append)
