"""The search log as it is shown: campaigns with their boxes, a box with its rolls and entries."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeVar

from core.app.box_slots import BoxSlots, Stays, box_slots
from core.app.changes import Changes
from core.app.compare import was_one_of
from core.app.search_common import rolls_before_in
from core.app.search_facts import BoxParts, Known, box_facts, known_of, roll_coins
from core.app.search_sets import tallies_of
from core.app.views import Headline
from core.errors import NotFound
from core.model.album import AlbumId, Placement, SlotId
from core.model.coin import Coin, CoinId, CoinStatus
from core.model.issue import Description
from core.model.label import coin_name
from core.model.search import (
    COUNTERS,
    Box,
    BoxId,
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
    Weighing,
)
from core.search.facts import UPGRADES, BoxFacts, CampaignFacts
from core.search.packaging import packaging
from core.store.read import Reader
from core.store.store import Store

if TYPE_CHECKING:
    from core.app.collection import Collection

InBox = TypeVar("InBox", Roll, Find, Sighting, Claim)
_MANY = 3  # boxes that are read together, not one by one


@dataclass(frozen=True, slots=True)
class RollView:
    """A roll on the strip; `number` counts in the box from 1, `shown` as the collector counts.

    `kept` finds, `seen` coins counted; `coins` it has; `is_told`: as many as was said of it.
    """

    number: int
    shown: int
    kept: int
    seen: int
    coins: int
    is_told: bool
    is_skipped: bool
    is_opened: bool
    is_now: bool
    enders: int = 0


@dataclass(frozen=True, slots=True)
class FindLine:
    """A find in the list: `roll` as the collector counts, what the coin is, where it is now.

    `where`: “1943-D in Cents”, “spare”, “gone”; `code` the glyph of the slot it sits in, or None.
    `of`: its series, which `label` ends with, where the search is not for it.
    """

    find: Find
    coin: Coin
    roll: int
    label: str
    grade: str
    problems: str
    answer: str
    where: str
    album: AlbumId | None = None
    slot: SlotId | None = None
    code: int | None = None
    of: str = ""


@dataclass(frozen=True, slots=True)
class SeenLine:
    """Coins counted in the list: `name` is what they are, “+ foreign” for a counter alone.

    `label` has how many before it: 5 × 1959. `of` as of a `FindLine`.
    """

    sighting: Sighting
    roll: int
    name: str
    label: str
    text: str
    of: str = ""


@dataclass(frozen=True, slots=True)
class BoxView:
    """A box as it is worked on. Rolls, finds and sightings in order; claims and weighings too.

    `goal` is the goal album's headline now, `have_before` what it had without this box; both None
    where there is no goal. `facts` are for the reckoning; they tell the slots filled and bettered.
    """

    box: Box
    search: Search
    campaign: Campaign
    rolls: tuple[RollView, ...]
    finds: tuple[FindLine, ...]
    sightings: tuple[SeenLine, ...]
    claims: tuple[Claim, ...]
    weighings: tuple[Weighing, ...]
    facts: BoxFacts
    goal: Headline | None = None
    have_before: int | None = None

    @property
    def coins_opened(self) -> int:
        """The coins of the rolls opened so far, the open one included."""
        return self.facts.coins_opened

    @property
    def now(self) -> RollView:
        """The roll in hand."""
        return self.rolls[self.box.at_roll - 1]

    @property
    def text(self) -> str:
        """US 1c · 50 rolls of 50 · north branch · machine wrapped · circulated."""
        box = self.box
        rolls = f"{box.rolls} roll{'' if box.rolls == 1 else 's'} of {box.per_roll}"
        told = (box.denomination, rolls, box.came_from, box.wrapper, box.kind.value)
        return " · ".join(filter(None, told))


@dataclass(frozen=True, slots=True)
class BoxLine:
    """A box in the list of its campaign; `slots` it filled, `bettered` others.

    Both are provisional while the box is open: so far by the answers.
    """

    box: Box
    search: Search
    kept: int
    seen: int
    slots: int
    opened: int
    bettered: int = 0

    @property
    def text(self) -> str:
        """roll 23 of 50 · 6 kept; done · 11 kept · 2 slots."""
        slots = f"{self.slots} slot{'' if self.slots == 1 else 's'}"
        if self.box.is_done:
            return f"done · {self.kept} kept · {slots}"
        return f"roll {self.box.at_roll} of {self.box.rolls} · {self.kept} kept"


@dataclass(frozen=True, slots=True)
class CampaignView:
    """A campaign with its searches and boxes, newest box first.

    `have` of `wanted` are the goal album's, or the opening figures where there is none; None where
    nobody said. `boxes_in_all` and `coins_in_all` count those before the log too.
    """

    campaign: Campaign
    goal_name: str
    have: int | None
    wanted: int | None
    searches: tuple[Search, ...]
    boxes: tuple[BoxLine, ...]
    boxes_in_all: int
    coins_in_all: int
    facts: CampaignFacts

    @property
    def text(self) -> str:
        """33 boxes · have 88 of 140."""
        boxes = f"{self.boxes_in_all} box{'' if self.boxes_in_all == 1 else 'es'}"
        if self.have is None or self.wanted is None:
            return boxes
        return f"{boxes} · have {self.have} of {self.wanted}"


class SearchLog:
    """The log of an open collection: asked for views, it keeps each box's figures for the next.

    Used from the collection's worker alone, as `Collection` is.
    """

    def __init__(self, collection: "Collection", store: Store) -> None:
        self._collection = collection
        self._store = store
        self._facts: dict[BoxId, BoxFacts] = {}
        self._parts: dict[BoxId, BoxParts] = {}
        self._known: dict[Description, Known] = {}
        self._boxes_of: defaultdict[CoinId, set[BoxId]] = defaultdict(set)
        self._boxes_at: defaultdict[SlotId, set[BoxId]] = defaultdict(set)

    def forget(self, changes: Changes) -> None:
        """Drop the figures that a change made untrue."""
        if changes.is_everything or changes.is_log or changes.is_shelf:
            self._facts.clear()
            self._parts.clear()
            self._known.clear()
            self._boxes_of.clear()
            self._boxes_at.clear()
        touched = {box for coin in changes.coins for box in self._boxes_of.get(coin, ())}
        touched |= {box for slot in changes.slots for box in self._boxes_at.get(slot, ())}
        for box in touched | changes.boxes:
            self._facts.pop(box, None)
            self._parts.pop(box, None)

    # ---- lists ------------------------------------------------------------------------------

    def campaigns(self) -> tuple[CampaignView, ...]:
        """All campaigns, as they were begun."""
        with self._store.reading() as reader:
            campaigns, searches = reader.log.campaigns(), reader.log.searches()
            boxes = {box.id: box for box in reader.log.boxes()}
            facts = self._all_facts(reader)
        return tuple(self._campaign(one, searches, boxes, facts) for one in campaigns)

    def campaign(self, campaign_id: CampaignId) -> CampaignView:
        """One campaign; raises NotFound."""
        for one in self.campaigns():
            if one.campaign.id == campaign_id:
                return one
        raise NotFound(f"There is no campaign number {campaign_id} in this collection any more.")

    def _campaign(
        self,
        campaign: Campaign,
        searches: Sequence[Search],
        boxes: dict[BoxId, Box],
        facts: Sequence[BoxFacts],
    ) -> CampaignView:
        under = {one.id: one for one in searches if one.campaign == campaign.id}
        whole = CampaignFacts(campaign, tuple(f for f in facts if f.campaign == campaign.id))
        lines = [_box_line(boxes[f.box], under[f.search], f) for f in whole.boxes]
        goal = self._goal(campaign)
        return CampaignView(
            campaign,
            goal[0] if goal else "",
            goal[1].have if goal else campaign.opening_have,
            goal[1].wanted if goal else campaign.opening_wanted,
            tuple(under.values()),
            tuple(reversed(lines)),
            whole.boxes_in_all,
            whole.coins_in_all,
            whole,
        )

    def _goal(self, campaign: Campaign) -> tuple[str, Headline] | None:
        if campaign.album is None:
            return None
        view = self._collection.album_view(campaign.album)
        return view.album.name, view.headline

    def boxes(self) -> tuple[Box, ...]:
        """All boxes, by number."""
        with self._store.reading() as reader:
            return tuple(reader.log.boxes())

    def box(self, box_id: BoxId) -> Box:
        """One box; raises NotFound."""
        with self._store.reading() as reader:
            return reader.log.box(box_id)

    def search(self, search_id: SearchId) -> Search:
        """One search; raises NotFound."""
        with self._store.reading() as reader:
            return reader.log.search(search_id)

    def open_box(self) -> Box | None:
        """The box begun last that is not finished; None for none."""
        return max(
            (one for one in self.boxes() if not one.is_done),
            key=lambda one: (one.begun, one.id),
            default=None,
        )

    def find_box(self, name: str) -> Box:
        """A box by its number (33), with its campaign's name in front where several have it.

        Raises NotFound, naming the boxes there are.
        """
        with self._store.reading() as reader:
            searches = {one.id: one.campaign for one in reader.log.searches()}
            names = {one.id: one.name for one in reader.log.campaigns()}
            boxes = reader.log.boxes()
        wanted = " ".join(name.casefold().split()).removeprefix("box ")
        called = {one.id: names[searches[one.search]] for one in boxes}
        found = [
            one
            for one in boxes
            if wanted in (str(one.number), f"{called[one.id].casefold()} {one.number}")
        ]
        if len(found) == 1:
            return found[0]
        shown = ", ".join(f"{called[one.id]} {one.number}" for one in (found or boxes)[:8])
        if found:
            raise NotFound(f"Box {name} may be any of: {shown}. Put the campaign in front.")
        raise NotFound(f"There is no box {name}. Boxes here: {shown or 'none yet'}.")

    def tallies(self, denomination: str) -> tuple[Tally, ...]:
        """What is counted for a denomination: the set saved here, or the one to start with."""
        with self._store.reading() as reader:
            return tallies_of(reader, denomination)

    def containers(self) -> tuple[Container, ...]:
        """The jars and cups, by name."""
        with self._store.reading() as reader:
            return tuple(reader.log.containers())

    def counters(self) -> tuple[str, ...]:
        """The counters there are: those every search has, then one's own, as they came."""
        with self._store.reading() as reader:
            own = [one.counter for one in reader.log.all_sightings() if one.counter]
        return tuple(dict.fromkeys((*COUNTERS, *own)))

    # ---- figures ----------------------------------------------------------------------------

    def facts(self, box_id: BoxId) -> BoxFacts:
        """The figures of a box."""
        if box_id not in self._facts:
            with self._store.reading() as reader:
                box = reader.log.box(box_id)
                self._read_one(reader, box, reader.log.search(box.search))
        return self._facts[box_id]

    def all_facts(self) -> tuple[BoxFacts, ...]:
        """The figures of all boxes, by number."""
        with self._store.reading() as reader:
            return self._all_facts(reader)

    def _all_facts(self, reader: Reader) -> tuple[BoxFacts, ...]:
        boxes = reader.log.boxes()
        missing = [one for one in boxes if one.id not in self._facts]
        searches = {one.id: one for one in reader.log.searches()} if missing else {}
        if len(missing) > _MANY:
            self._read_all(reader, missing, searches)
        else:
            for one in missing:
                self._read_one(reader, one, searches[one.search])
        return tuple(self._facts[one.id] for one in boxes)

    def campaign_facts(self, campaign_id: CampaignId) -> CampaignFacts:
        """The figures of a campaign; raises NotFound."""
        with self._store.reading() as reader:
            campaign = reader.log.campaign(campaign_id)
        mine = [facts for facts in self.all_facts() if facts.campaign == campaign_id]
        return CampaignFacts(campaign, tuple(mine))

    def _read_one(self, reader: Reader, box: Box, search: Search) -> None:
        log, box_id = reader.log, box.id
        parts = BoxParts(
            box,
            search,
            log.rolls(box_id),
            log.finds(box_id),
            log.coins_found(box_id),
            log.sightings(box_id),
            log.claims(box_id),
        )
        self._keep(reader, parts, Stays.read(reader, len(parts.finds)))

    def _read_all(
        self, reader: Reader, boxes: Sequence[Box], searches: dict[SearchId, Search]
    ) -> None:
        log = reader.log
        rolls, finds = _by_box(log.all_rolls()), _by_box(log.all_finds())
        seen, claims = _by_box(log.all_sightings()), _by_box(log.all_claims())
        coins = reader.coins({one.coin for mine in finds.values() for one in mine})
        settled = {one.coin for box in boxes if box.is_done for one in finds[box.id]}
        stays = Stays.read(reader, len(settled))
        for box in boxes:
            of = box.id
            search = searches[box.search]
            mine = {find.coin: coins[find.coin] for find in finds[of]}
            parts = BoxParts(box, search, rolls[of], finds[of], mine, seen[of], claims[of])
            self._keep(reader, parts, stays)

    def _keep(self, reader: Reader, parts: BoxParts, stays: Stays) -> None:
        box = parts.box
        if box.is_done:
            slots = self._slots(reader, parts.finds, stays)
            parts = replace(parts, came=slots.came)
            for slot in slots.slots:
                self._boxes_at[slot].add(box.id)
            for coin in slots.coins:
                self._boxes_of[coin].add(box.id)
        self._parts[box.id] = parts
        self._facts[box.id] = box_facts(parts, self._known_of)
        for find in parts.finds:
            self._boxes_of[find.coin].add(box.id)

    def _slots(self, reader: Reader, finds: Sequence[Find], stays: Stays) -> BoxSlots:
        coins = [find.coin for find in finds]
        better = frozenset(find.coin for find in finds if find.answer == UPGRADES)
        return box_slots(reader, coins, stays, self._collection.series, better)

    def box_slots(self, box_id: BoxId) -> BoxSlots:
        """What the finds of a box changed in the albums up to now, finished or not."""
        with self._store.reading() as reader:
            finds = reader.log.finds(box_id)
            return self._slots(reader, finds, Stays.read(reader, len(finds)))

    def _known_of(self, description: Description) -> Known:
        known = self._known.get(description)
        if known is None:
            known = self._known[description] = known_of(self._collection.series, description)
        return known

    # ---- one box ----------------------------------------------------------------------------

    def box_view(self, box_id: BoxId) -> BoxView:
        """A box as it is worked on; raises NotFound."""
        facts, parts = self.facts(box_id), self._parts[box_id]
        box, search, finds, coins = parts.box, parts.search, parts.finds, parts.coins
        with self._store.reading() as reader:
            campaign = reader.log.campaign(search.campaign)
            before = rolls_before_in(reader, box, campaign)
            stays = reader.log.stays_beside(box_id)
            slots = reader.slots_by_ids({stay.slot for stay in stays})
            weighings = reader.log.weighings(box_id)
        goal = self._goal(campaign)
        fresh = _filled(stays, coins)
        of_goal = [s for s in fresh if slots[s].album == campaign.album and goal is not None]
        counted = sum(self._counts(slots[s].album, s) for s in of_goal)
        at = {stay.coin: slots[stay.slot] for stay in stays if stay.until is None}
        names = {a.id: a.name for a in self._collection.albums()} if at else {}
        lines = []
        for find, told in zip(finds, facts.finds, strict=True):
            coin, slot = coins[find.coin], at.get(find.coin)
            of = self._beyond(coin.description, box, search)
            line = FindLine(
                find,
                coin,
                find.roll + before,
                ", ".join(filter(None, (self._name(coin, told.said), of))),
                coin.grade.text if coin.grade else "",
                ", ".join(coin.problems),
                find.answer,
                "spare" if coin.status is CoinStatus.HELD else coin.status.value,
                of=of,
            )
            if slot is not None:
                where = f"{slot.label} in {names[slot.album]}"
                code = self._collection.album_view(slot.album).by_id[slot.id].code
                line = replace(line, where=where, album=slot.album, slot=slot.id, code=code)
            lines.append(line)
        return BoxView(
            box,
            search,
            campaign,
            _roll_views(parts, before),
            tuple(lines),
            tuple(
                self._seen_line(one, before, told.said, self._beyond(one.description, box, search))
                for one, told in zip(parts.sightings, facts.sightings, strict=True)
            ),
            tuple(parts.claims),
            tuple(weighings),
            facts,
            goal[1] if goal else None,
            goal[1].have - counted if goal else None,
        )

    def _name(self, coin: Coin, said: str) -> str:
        if not coin.varieties:
            return said
        series = self._collection.series(coin.description.series)
        return coin_name(series, coin, was_one_of(coin.note))

    def _beyond(self, description: Description | None, box: Box, search: Search) -> str:
        """The series of a coin that the search is not for, "" for any other."""
        if description is None or description.series in search.series:
            return ""
        series, told = self._collection.series(description.series), packaging(box.denomination)
        is_sought = not search.series and (told is None or told.holds(series))
        return "" if is_sought else series.title

    def _seen_line(self, one: Sighting, before: int, said: str, of: str) -> SeenLine:
        variety = None
        if one.description is not None and one.variety is not None:
            variety = self._collection.series(one.description.series).variety(one.variety)
        name = _seen_name(one, said, variety.name if variety else one.variety or "")
        name = ", ".join(filter(None, (name, of)))
        label = f"{one.quantity} × {name}" if one.quantity > 1 else name
        return SeenLine(one, one.roll + before, name, label, one.text, of)

    def _counts(self, album: AlbumId, slot: SlotId) -> bool:
        return self._collection.album_view(album).by_id[slot].counts


def _by_box(entries: Iterable[InBox]) -> defaultdict[BoxId, list[InBox]]:
    found: defaultdict[BoxId, list[InBox]] = defaultdict(list)
    for one in entries:
        found[one.box].append(one)
    return found


def _box_line(box: Box, search: Search, facts: BoxFacts) -> BoxLine:
    seen = sum(one.quantity for one in facts.sightings)
    slots, bettered = facts.slots_filled, facts.slots_bettered
    return BoxLine(box, search, len(facts.finds), seen, slots, facts.opened, bettered)


def _seen_name(one: Sighting, said: str, variety: str) -> str:
    """1959; + foreign; 1955 doubled die obverse?; 1955, not doubled die obverse."""
    if one.description is None:
        return f"+ {one.counter}"
    name = said
    if variety and one.looked is Looked.NOT_IT:
        name += f", not {variety}"
    elif variety:
        name += f" {variety}" + "?" * (one.looked is Looked.SUSPECTED)
    return f"{name}, {one.counter}" if one.counter else name


def _roll_views(parts: BoxParts, before: int) -> tuple[RollView, ...]:
    box = parts.box
    told = {roll.number: roll for roll in parts.rolls}
    kept = Counter(find.roll for find in parts.finds)
    enders = Counter(find.roll for find in parts.finds if find.is_ender)
    counted: Counter[int] = Counter()
    for one in parts.sightings:
        counted[one.roll] += one.quantity
        enders[one.roll] += one.is_ender
    views = []
    for number in range(1, box.rolls + 1):
        roll = told.get(number)
        is_skipped = roll is not None and roll.is_skipped
        views.append(
            RollView(
                number,
                number + before,
                kept[number],
                counted[number],
                roll_coins(box, roll),
                roll is not None and roll.coins is not None,
                is_skipped,
                number <= box.reached and not is_skipped,
                number == box.at_roll,
                enders[number],
            )
        )
    return tuple(views)


def _filled(stays: Sequence[Placement], coins: Mapping[CoinId, Coin]) -> list[SlotId]:
    """The slots where these coins sit now that were empty when the first of them came."""
    by_slot: defaultdict[SlotId, list[Placement]] = defaultdict(list)
    for stay in stays:
        by_slot[stay.slot].append(stay)
    fresh: list[SlotId] = []
    for slot, mine in by_slot.items():
        came = min(stay.since for stay in mine if stay.coin in coins)
        others = (stay for stay in mine if stay.coin not in coins)
        was_full = any(
            stay.since <= came and stay.until is not None and stay.until >= came for stay in others
        )
        if not was_full:
            fresh.append(slot)
    return fresh
