"""Boxes of cents for tests and pictures of finishing a box: a campaign of several, one in hand."""

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from random import Random

from core.app.collection import Collection, make_collection
from core.app.operations import add_coins, apply_fill
from core.app.search_orders import add_box, claim, count_seen, finish_box, go_to_roll, keep_find
from core.lookup.parse import parse_entry
from core.model.coin import Coin
from core.model.search import Box, BoxId, Campaign, CampaignId, Search, SearchId, Sighting
from tests.collection_material import CENTS, Clock, an_album

BEGUN = date(2026, 11, 2)
_KEPT = (
    ("1934-D f12", "Fills a gap"), ("1949-S vf20", "Upgrade"), ("1937", "Spare"),
    ("1947-D corroded", "No use"), ("1951 vf20", "Spare"), ("1951 f12", "Spare"),
    ("1939-D vf20", "Upgrade"), ("1956-D", "Spare"), ("1944-S xf40", "Fills a gap"),
    ("1917 g4", "Fills a gap"), ("1955-S", "Spare"), ("1951 xf40", "Spare"),
)  # fmt: skip


def read(collection: Collection, entry: str) -> Coin:
    """A cent as it is typed."""
    return parse_entry(entry, [collection.series(CENTS)]).coin


def cents_box(folder: Path, before: int = 4, rolls: int = 50) -> tuple[Collection, BoxId]:
    """An album of cents partly filled, finished boxes, and one in hand with finds and sightings."""
    path = folder / "jar.slotleaf"
    make_collection(path, "Harbour Museum coin jar")
    clock = Clock(BEGUN)
    collection = Collection.open(path, today=clock)
    album = an_album(
        collection, "Cents 1909–1958", CENTS, (1909, 1958), arrangement="years-by-mints"
    )
    chance = Random(33)
    coins, slots = [], []
    for shown in collection.album_view(album).slots:
        entry = f"{shown.slot.label} {chance.choice(('vg8', 'f12', 'vf20', 'vf30', 'ag3'))}"
        if chance.random() < 0.6 and shown.slot.label not in ("1934-D", "1944-S", "1917"):
            coins.append(replace(read(collection, entry), description=shown.slot.accepts))
            slots.append(shown.slot.id)
    made_coins = collection.run(add_coins(coins)).made_coins
    collection.run(apply_fill(list(zip(slots, made_coins, strict=True))))
    campaign = Campaign(CampaignId(0), "Cents 1909–1958", album, opening_boxes=32 - before)
    search = Search(SearchId(0), CampaignId(0), "Late autumn", BEGUN, (CENTS,))
    box = Box(
        BoxId(0), SearchId(0), 0, BEGUN, "US 1c", rolls, 50, "north branch", "machine wrapped",
        face_minor=2500, fees_minor=300, currency="USD", goes_to="the south branch",
    )  # fmt: skip
    (*_, made) = collection.run(add_box(box, search, campaign)).made_log
    of = collection.log.box(BoxId(made)).search
    for number in range(before):
        _search(collection, BoxId(made), Random(number), chance.randint(3, 9), rolls)
        collection.run(finish_box(BoxId(made), seconds=9000 + 600 * number))
        clock.day += timedelta(days=3)
        (made,) = collection.run(add_box(replace(box, search=of, begun=clock.day))).made_log
    return collection, _in_hand(collection, BoxId(made), rolls)


def _search(collection: Collection, box: BoxId, chance: Random, many: int, rolls: int) -> None:
    for _ in range(many):
        entry = f"{chance.randint(1930, 1958)}{chance.choice(('', '-D'))}"
        coin = read(collection, entry)
        seen = Sighting(0, box, chance.randint(1, rolls), 0, coin.description)
        collection.run(count_seen(box, seen))
    collection.run(count_seen(box, Sighting(0, box, 1, 0, counter="foreign", quantity=2)))
    collection.run(go_to_roll(box, rolls))


def _in_hand(collection: Collection, box: BoxId, rolls: int) -> BoxId:
    for at, (entry, answer) in enumerate(_KEPT):
        roll = 1 + at * (rolls - 2) // len(_KEPT)
        order = keep_find(
            box, read(collection, entry), answer=answer, roll=roll, is_ender=at == 2, seconds=700
        )
        collection.run(order)
    for year, many in (("1959", 5), ("1960", 2)):
        coin = read(collection, year)
        collection.run(count_seen(box, Sighting(0, box, 3, 0, coin.description, quantity=many)))
    foreign = Sighting(0, box, 3, 0, counter="foreign", text="1962, Canada")
    collection.run(count_seen(box, foreign))
    collection.run(claim(box, CENTS, up_to=1958))
    collection.run(go_to_roll(box, rolls))
    return box
