"""Questions about the search log: its campaigns, searches and boxes, and what lay in them."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any, TypeVar

from sqlalchemy import BindParameter, ColumnElement, Connection, Select, bindparam, func, select

from core.errors import NotFound
from core.model.album import AlbumId, Placement
from core.model.coin import Coin, CoinId
from core.model.issue import Description
from core.model.search import (
    Box,
    BoxId,
    Campaign,
    CampaignId,
    Claim,
    Container,
    Find,
    Roll,
    Search,
    SearchId,
    Sighting,
    Tally,
    Weighing,
)
from core.store.mapping import COIN_BY_KEY, PLACEMENT, coin_of, placement_of, raw, read_description
from core.store.mapping_log import KEPT, sighting_of
from core.store.read import chunks, screen_rows
from core.store.tables import (
    box,
    campaign,
    claim,
    coin,
    description,
    find,
    placement,
    roll,
    search,
    sighting,
    tally,
    weighing,
)

Kind = TypeVar("Kind", Campaign, Search, Box, Roll, Find, Claim, Tally, Weighing, Container)

_SELECT = {kind: select(*map(raw, kept.table.c)) for kind, kept in KEPT.items()}
_SIGHTING_COLUMNS = tuple(map(raw, sighting.c))
_IN_ORDER = {kind: _SELECT[kind].order_by(kept.table.c.id) for kind, kept in KEPT.items()}
_OF: BindParameter[int] = bindparam("of")
_BY_ID = {kind: _SELECT[kind].where(kept.table.c.id == _OF) for kind, kept in KEPT.items()}
_ROLLS = _SELECT[Roll].where(roll.c.box_id == _OF).order_by(roll.c.number, roll.c.id)
_FINDS = _SELECT[Find].where(find.c.box_id == _OF).order_by(find.c.place, find.c.id)
_SIGHTINGS = (
    select(*_SIGHTING_COLUMNS)
    .where(sighting.c.box_id == _OF)
    .order_by(sighting.c.place, sighting.c.id)
)
_ALL_SIGHTINGS = select(*_SIGHTING_COLUMNS).order_by(sighting.c.box_id, sighting.c.place)
_COINS = (
    select(*COIN_BY_KEY)
    .select_from(
        find.join(coin, coin.c.id == find.c.coin_id).join(
            description, description.c.id == coin.c.description_id
        )
    )
    .where(find.c.box_id == _OF)
)
_DESCRIBED = (
    select(description.c.id, description.c.key)
    .join_from(sighting, description)
    .where(sighting.c.box_id == _OF)
)
_found_slots = (
    select(placement.c.slot_id)
    .join_from(find, placement, placement.c.coin_id == find.c.coin_id)
    .where(find.c.box_id == _OF, placement.c.until.is_(None))
)
_STAYS = select(*PLACEMENT).where(placement.c.slot_id.in_(_found_slots)).order_by(placement.c.id)
_CLAIMS = _SELECT[Claim].where(claim.c.box_id == _OF).order_by(claim.c.id)
_WEIGHINGS = _SELECT[Weighing].where(weighing.c.box_id == _OF).order_by(weighing.c.id)


class LogReader:
    """Answers about the log from the transaction of its `Reader`."""

    def __init__(self, conn: Connection) -> None:
        self._conn = conn

    def _screen_rows(self, statement: Select[*tuple[Any, ...]], of: int) -> Sequence[Sequence[Any]]:
        return screen_rows(self._conn, statement, of)

    def _all(self, kind: type[Kind], *conditions: ColumnElement[bool]) -> list[Kind]:
        kept = KEPT[kind]
        rows = self._conn.execute(_IN_ORDER[kind].where(*conditions)).all()
        return [kept.of(row) for row in rows]

    def _one(self, kind: type[Kind], number: int) -> Kind:
        kept = KEPT[kind]
        for row in self._screen_rows(_BY_ID[kind], number):
            return kept.of(row)  # type: ignore[no-any-return]  # what this kind's rows make
        raise NotFound(
            f"There is no {kept.called} number {number} in this collection any more. Look again "
            "what is there."
        )

    def _of_box(
        self, kind: type[Kind], statement: Select[*tuple[Any, ...]], box_id: BoxId
    ) -> list[Kind]:
        of = KEPT[kind].of
        return [of(row) for row in self._screen_rows(statement, box_id)]

    # What there is

    def campaigns(self) -> list[Campaign]:
        """All campaigns, as they were begun."""
        return self._all(Campaign)

    def campaign(self, number: CampaignId) -> Campaign:
        """One campaign; raises NotFound."""
        return self._one(Campaign, number)

    def campaigns_for(self, album_id: AlbumId) -> list[Campaign]:
        """The campaigns whose goal is this album."""
        return self._all(Campaign, campaign.c.album_id == album_id)

    def searches(self, of: CampaignId | None = None) -> list[Search]:
        """The searches of a campaign, or all, as they were begun."""
        return self._all(Search, *([] if of is None else [search.c.campaign_id == of]))

    def search(self, number: SearchId) -> Search:
        """One search; raises NotFound."""
        return self._one(Search, number)

    def boxes(self, of: CampaignId | None = None) -> list[Box]:
        """The boxes of a campaign, or all, by their number."""
        mine = select(search.c.id).where(search.c.campaign_id == of)
        found = self._all(Box, *([] if of is None else [box.c.search_id.in_(mine)]))
        return sorted(found, key=lambda one: (one.number, one.id))

    def box(self, number: BoxId) -> Box:
        """One box; raises NotFound."""
        return self._one(Box, number)

    # What lay in a box

    def rolls(self, box_id: BoxId) -> list[Roll]:
        """The rolls of a box that differ from its others, by number."""
        return self._of_box(Roll, _ROLLS, box_id)

    def finds(self, box_id: BoxId) -> list[Find]:
        """What was kept of a box, in order."""
        return self._of_box(Find, _FINDS, box_id)

    def find(self, number: int) -> Find:
        """One find; raises NotFound."""
        return self._one(Find, number)

    def coins_found(self, box_id: BoxId) -> dict[CoinId, Coin]:
        """The coins kept of a box."""
        return {CoinId(row[0]): coin_of(row) for row in self._screen_rows(_COINS, box_id)}

    def stays_beside(self, box_id: BoxId) -> list[Placement]:
        """All stays, past and present, in the slots where coins kept of a box sit now."""
        return [placement_of(row) for row in self._screen_rows(_STAYS, box_id)]

    def sightings(self, box_id: BoxId) -> list[Sighting]:
        """What was counted and not kept of a box, in order."""
        rows = self._screen_rows(_SIGHTINGS, box_id)
        told = self._screen_rows(_DESCRIBED, box_id) if rows else ()
        described = {row[0]: read_description(row[1]) for row in told}
        return [sighting_of(row, described) for row in rows]

    def sighting(self, number: int) -> Sighting:
        """One sighting; raises NotFound."""
        mine = select(*_SIGHTING_COLUMNS, description.c.key).select_from(
            sighting.outerjoin(description)
        )
        for *row, key in self._conn.execute(mine.where(sighting.c.id == number)):
            described: Mapping[int, Description] = {row[4]: read_description(key)} if key else {}
            return sighting_of(row, described)
        raise NotFound(
            f"There is no sighting number {number} in this collection any more. Look again what "
            "is there."
        )

    def claims(self, box_id: BoxId) -> list[Claim]:
        """What was declared fully logged in a box."""
        return self._of_box(Claim, _CLAIMS, box_id)

    def weighings(self, box_id: BoxId) -> list[Weighing]:
        """The piles of a box that were weighed."""
        return self._of_box(Weighing, _WEIGHINGS, box_id)

    def last_place(self, box_id: BoxId) -> int:
        """The place of a box's last entry, 0 for none."""
        tops = [
            self._conn.execute(
                select(func.max(table.c.place)).where(table.c.box_id == box_id)
            ).scalar()
            for table in (find, sighting)
        ]
        return max(top or 0 for top in tops)

    def last_roll(self, box_id: BoxId) -> int:
        """The furthest roll of which anything is kept, counted or known; 0 for none."""
        tops = [
            self._conn.execute(select(func.max(number)).where(table.c.box_id == box_id)).scalar()
            for table, number in (
                (find, find.c.roll),
                (sighting, sighting.c.roll),
                (roll, roll.c.number),
            )
        ]
        return max(top or 0 for top in tops)

    # Over all boxes

    def all_rolls(self) -> list[Roll]:
        """Every roll that differs from the others of its box."""
        return self._all(Roll)

    def all_finds(self) -> list[Find]:
        """Every find, box by box, in order."""
        return sorted(self._all(Find), key=lambda one: (one.box, one.place, one.id))

    def all_sightings(self) -> list[Sighting]:
        """Every sighting, box by box, in order."""
        rows = self._conn.execute(_ALL_SIGHTINGS).all()
        mine = select(description.c.id, description.c.key).where(
            description.c.id.in_(select(sighting.c.description_id))
        )
        described = {row[0]: read_description(row[1]) for row in self._conn.execute(mine)}
        return [sighting_of(row, described) for row in rows]

    def all_claims(self) -> list[Claim]:
        """Everything that was declared fully logged."""
        return self._all(Claim)

    def all_weighings(self) -> list[Weighing]:
        """Every pile that was weighed."""
        return self._all(Weighing)

    def finds_of_coins(self, coins: Collection[CoinId]) -> list[Find]:
        """The finds of these coins, by their number."""
        found: list[Find] = []
        for chunk in chunks(coins):
            found += self._all(Find, find.c.coin_id.in_(chunk))
        return sorted(found, key=lambda one: one.id)

    def tallies(self, denomination: str | None = None) -> list[Tally]:
        """The tallies of a denomination, or all, each set in its order."""
        only = [] if denomination is None else [tally.c.denomination == denomination]
        found = self._all(Tally, *only)
        return sorted(found, key=lambda one: (one.denomination, one.place, one.id))

    def containers(self) -> list[Container]:
        """The jars and cups, by name."""
        return sorted(self._all(Container), key=lambda one: (one.name.casefold(), one.id))

    def container(self, number: int) -> Container:
        """One container; raises NotFound."""
        return self._one(Container, number)

    def texts(self) -> Iterator[tuple[str, str]]:
        """Every text that somebody typed, with where it stands in words."""
        for goal in self.campaigns():
            yield f"campaign “{goal.name}”", f"{goal.name}\n{goal.note}"
        for sitting in self.searches():
            yield f"search “{sitting.name}”", sitting.name
        for one in self.boxes():
            typed = (one.came_from, one.wrapper, one.currency, one.goes_to, one.note)
            yield f"box {one.number}", "\n".join(filter(None, typed))
        numbers = {one.id: one.number for one in self.boxes()}
        for seen in self.all_sightings():
            yield f"a coin counted in box {numbers[seen.box]}", f"{seen.counter}\n{seen.text}"
        for claimed in self.all_claims():
            yield f"a claim of box {numbers[claimed.box]}", claimed.text
        for weighed in self.all_weighings():
            yield f"a pile of box {numbers[weighed.box]}", weighed.text
        for counted in self.tallies():
            yield f"tally “{counted.name}”", f"{counted.name}\n{counted.rule.text}"
        for jar in self.containers():
            yield f"container “{jar.name}”", f"{jar.name}\n{jar.note}"
