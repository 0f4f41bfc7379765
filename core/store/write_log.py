"""What an operation may write of the search log."""

from collections.abc import Callable, Collection, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, Table, delete, insert, select, update

from core.errors import NotFound, Refused
from core.model.album import AlbumId
from core.model.issue import Description, SeriesId
from core.model.search import (
    Box,
    Campaign,
    Claim,
    Container,
    Find,
    Roll,
    Search,
    Sighting,
    Tally,
    Weighing,
)
from core.store.mapping_log import KEPT, SIGHTING_NAMES, sighting_values
from core.store.read_log import LogReader
from core.store.tables import (
    box,
    campaign,
    claim,
    find,
    roll,
    search,
    sighting,
    weighing,
)

if TYPE_CHECKING:
    from collections.abc import Iterable

Logged = Campaign | Search | Box | Roll | Find | Sighting | Claim | Tally | Weighing | Container
Intern = Callable[["Iterable[Description]"], Mapping[Description, int]]

_IN_BOX = (roll, find, sighting, claim, weighing)


class LogWriter:
    """What an operation may do to the log, in the transaction of its `Unit`."""

    def __init__(self, conn: Connection, intern: Intern) -> None:
        self._conn = conn
        self._intern = intern

    def add(self, one: Logged) -> int:
        """Keep a campaign, box, find …; its id is ignored, the new one returned."""
        table, values = self._written(one)
        added = insert(table).values(values).returning(table.c.id)
        return int(self._conn.execute(added).scalar_one())

    def add_all(self, many: Sequence[Logged]) -> list[int]:
        """Keep several things in order; their new ids."""
        return [self.add(one) for one in many]

    def update(self, one: Logged) -> None:
        """Write all that is known of it, found by its id; raises NotFound."""
        table, values = self._written(one)
        changed = update(table).where(table.c.id == one.id).values(values)
        if self._conn.execute(changed).rowcount != 1:
            raise _not_there(table, one.id)

    def delete(self, kind: type[Logged], ids: Collection[int]) -> None:
        """Take things out of the log, with all that belongs to them; raises NotFound."""
        table = sighting if kind is Sighting else KEPT[kind].table
        for number in ids:
            self._clear(table, number)
            if self._conn.execute(delete(table).where(table.c.id == number)).rowcount != 1:
                raise _not_there(table, number)

    def let_go_of_goal(self, album_id: AlbumId) -> None:
        """Leave the campaigns whose goal was this album without one."""
        mine = update(campaign).where(campaign.c.album_id == album_id)
        self._conn.execute(mine.values(album_id=None))

    def require_unnamed(self, code: SeriesId) -> None:
        """Refuse where a search, sighting, claim or weighing is of this series."""
        read = LogReader(self._conn)
        for one in read.searches():
            if code in one.series:
                raise Refused(f"The search “{one.name}” asks for this series. Change it first.")
        described = (
            (seen.box, "a coin counted in")
            for seen in read.all_sightings()
            if seen.description is not None and seen.description.series == code
        )
        claimed = ((one.box, "a claim of") for one in read.all_claims() if one.series == code)
        weighed = ((one.box, "a pile of") for one in read.all_weighings() if one.of == code)
        for number, what in (*described, *claimed, *weighed):
            raise Refused(
                f"{what.capitalize()} box {read.box(number).number} is of this series. Take it out "
                "of the box first."
            )

    def _clear(self, table: Table, number: int) -> None:
        if table is campaign:
            for search_id in self._ids(search, search.c.campaign_id == number):
                self.delete(Search, [search_id])
        elif table is search:
            for box_id in self._ids(box, box.c.search_id == number):
                self.delete(Box, [box_id])
        elif table is box:
            for part in _IN_BOX:
                self._conn.execute(delete(part).where(part.c.box_id == number))

    def _ids(self, table: Table, condition: Any) -> list[int]:
        return list(self._conn.execute(select(table.c.id).where(condition)).scalars())

    def _written(self, one: Logged) -> tuple[Table, dict[str, Any]]:
        if isinstance(one, Sighting):
            mine = one.description
            described = None if mine is None else self._intern([mine])[mine]
            values = sighting_values(one, described)
            return sighting, dict(zip(SIGHTING_NAMES, values, strict=True))
        kept = KEPT[type(one)]
        names = [c.name for c in kept.table.c if c.name != "id"]
        return kept.table, dict(zip(names, kept.values(one), strict=True))


def _not_there(table: Table, number: int) -> NotFound:
    return NotFound(
        f"There is no {table.name} number {number} in this collection any more. Look again what "
        "is there, then repeat the change."
    )
