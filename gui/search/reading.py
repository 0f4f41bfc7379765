"""What the worker reads for the searches workspace: campaigns, the box in hand, its reckoning."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.app.look_up import Scope, UseRule
from core.app.search_views import BoxView, CampaignView
from core.model.issue import Series
from core.model.label import join_and
from core.model.search import Box, BoxId, CampaignId, Container, Search, Tally
from core.search.packaging import Packaging, packaging
from core.search.records import Record, broken_by, of_box, records, usual_rules
from core.search.tally import Tallier, TallyLine, tally_lines

if TYPE_CHECKING:
    from core.app.collection import Collection

MOST_RECORDS = 4
MOST_TITLES = 3


@dataclass(frozen=True, slots=True)
class Table:
    """All that the workspace shows. `box` is None where no box was begun, or none is chosen.

    `announced` are the records broken since this campaign was read last. `scope` is what the line
    asks about in this box; `series` those that may lie in it; `goals` albums by id and name.
    """

    campaigns: tuple[CampaignView, ...]
    box: BoxView | None = None
    tallies: tuple[Tally, ...] = ()
    lines: tuple[TallyLine, ...] = ()
    records: tuple[str, ...] = ()
    announced: tuple[str, ...] = ()
    counters: tuple[str, ...] = ()
    containers: tuple[Container, ...] = ()
    scope: Scope = Scope()  # noqa: RUF009 (frozen)
    series: tuple[Series, ...] = ()
    wraps: Packaging | None = None

    @property
    def campaign(self) -> CampaignView | None:
        """The campaign of the box in hand."""
        if self.box is None:
            return None
        mine = self.box.campaign.id
        return next((one for one in self.campaigns if one.campaign.id == mine), None)


def scope_of(
    box: Box, search: Search, in_use: Sequence[Series], counters: Sequence[str], rule: UseRule
) -> Scope:
    """What is asked about in a box: its search's series, else those its coins may be of."""
    wraps = packaging(box.denomination)
    held = tuple(s.id for s in in_use if wraps is not None and wraps.holds(s))
    before = box.nothing_before if box.nothing_before is not None else search.nothing_before
    return Scope(search.series or held, before, rule, tuple(counters))


class TableReader:
    """Reads the table; used from the worker alone. Keeps tallies and records between readings."""

    def __init__(self) -> None:
        self._known: tuple[Series, ...] = ()
        self._tallier = Tallier({})
        self._records: tuple[CampaignId, tuple[Record, ...]] | None = None

    def read(self, collection: "Collection", wanted: BoxId | None, rule: UseRule) -> Table:
        """The table with a box, or with the one begun last that is not finished."""
        log = collection.log
        campaigns = log.campaigns()
        box = self._box(campaigns, wanted)
        if box is None:
            return Table(campaigns, containers=log.containers(), counters=log.counters())
        in_use = tuple(collection.series_in_use)
        view, counters = log.box_view(box.id), log.counters()
        tallier = self._tallier_for(collection)
        tallies = log.tallies(box.denomination)
        mine = next(c for c in campaigns if c.campaign.id == view.campaign.id)
        found = records(tallier, usual_rules(tallies), mine.facts)
        scope = scope_of(box, view.search, in_use, counters, rule)
        collection.look_up("1", scope)  # the words are read here, not at the first key
        return Table(
            campaigns,
            view,
            tallies,
            tally_lines(tallier, tallies, view.facts, mine.facts.boxes),
            tuple(one.text for one in of_box(found, box.id))[:MOST_RECORDS],
            self._announced(view.campaign.id, found),
            counters,
            log.containers(),
            scope,
            tuple(s for s in in_use if s.id in scope.series),
            packaging(box.denomination),
        )

    def _box(self, campaigns: Sequence[CampaignView], wanted: BoxId | None) -> Box | None:
        boxes = [line.box for campaign in campaigns for line in campaign.boxes]
        chosen = next((one for one in boxes if one.id == wanted), None)
        if chosen is not None:
            return chosen
        begun = sorted(boxes, key=lambda one: (not one.is_done, one.begun, one.id))
        return begun[-1] if begun else None

    def _announced(self, campaign: CampaignId, found: tuple[Record, ...]) -> tuple[str, ...]:
        before, self._records = self._records, (campaign, found)
        return broken_by(before[1], found) if before and before[0] == campaign else ()

    def _tallier_for(self, collection: "Collection") -> Tallier:
        known = tuple(collection.all_series())
        if len(known) != len(self._known) or any(
            one is not other for one, other in zip(known, self._known, strict=True)
        ):
            self._known, self._tallier = known, Tallier({one.id: one for one in known})
        return self._tallier


def asked_text(table: Table) -> str:
    """Lincoln cents · nothing before 1940 · every coin dated up to 1939 is logged."""
    view = table.box
    if view is None:
        return ""
    titles = [one.title for one in table.series]
    told = [join_and(titles) if len(titles) <= MOST_TITLES else f"{len(titles)} series"]
    if table.scope.nothing_before is not None:
        told.append(f"nothing before {table.scope.nothing_before}")
    for claim in view.claims:
        of = next((one.title for one in table.series if one.id == claim.series), "")
        told.append(f"{claim.text} ({of})" if of and len(titles) > 1 else claim.text)
    return " · ".join(filter(None, told))
