"""Boxes for tests of the reckoning: what was seen in them said in few words."""

from collections.abc import Iterable, Sequence
from datetime import date

from core.model.issue import Description, Series, VarietyId
from core.model.search import (
    BoxId,
    BoxKind,
    Campaign,
    CampaignId,
    Claim,
    SearchId,
    Tally,
    TallyRule,
)
from core.search.facts import BoxFacts, CampaignFacts, Seen
from core.search.tally import Tallier
from tests.builders import cents, nickels

TALLIER = Tallier({one.id: one for one in (cents(), nickels())})
CENT = "US 1c"
SOME_DAY = date(2024, 3, 9)


def seen(
    series: Series,
    *,
    roll: int = 1,
    place: int = 1,
    kept: bool = True,
    quantity: int = 1,
    varieties: Iterable[VarietyId] = (),
    answer: str = "",
    **facets: str | Sequence[str],
) -> Seen:
    """A find or a sighting of a circulation strike; `date_size` is the facet “date size”."""
    told = {name.replace("_", " "): value for name, value in facets.items()}
    one = Description.of(series.id, {**series.usual, **told})
    mask = series.may_be(one)
    assert mask, one
    mint = facets.get("mint", "P")
    said = str(facets.get("date", "no date")) + (f"-{mint}" if mint != "P" else "")
    return Seen(
        roll, place, series.id, mask, one, tuple(varieties), answer,
        quantity=quantity, is_kept=kept, said=said,
    )  # fmt: skip


def cent(when: str, mint: str | tuple[str, ...] = "P", **more) -> Seen:
    return seen(cents(), date=when, mint=mint, **more)


def counter(name: str, *, quantity: int = 1, roll: int = 1, place: int = 1) -> Seen:
    return Seen(roll, place, counter=name, quantity=quantity)


def box(
    number: int,
    what: Iterable[Seen] = (),
    *,
    opened: int = 50,
    rolls: int = 50,
    per_roll: int = 50,
    done: bool = True,
    kind: BoxKind = BoxKind.CIRCULATED,
    denomination: str = CENT,
    skipped: int = 0,
    claims: tuple[Claim, ...] = (),
    **more,
) -> BoxFacts:
    what = tuple(what)
    return BoxFacts(
        BoxId(number), SearchId(1), CampaignId(1), number, SOME_DAY, denomination, kind, rolls,
        opened, opened * per_roll, (rolls - skipped - opened) * per_roll, skipped, done,
        finds=tuple(one for one in what if one.is_kept),
        sightings=tuple(one for one in what if not one.is_kept),
        claims=claims, **more,
    )  # fmt: skip


def campaign(*boxes: BoxFacts, opening_boxes: int = 0, opening_coins: int = 0) -> CampaignFacts:
    one = Campaign(CampaignId(1), "Cents", opening_boxes=opening_boxes, opening_coins=opening_coins)
    return CampaignFacts(one, tuple(boxes))


def tally(name: str = "All", place: int = 0, denomination: str = CENT, **rule) -> Tally:
    return Tally(place + 1, denomination, name, TallyRule.of(**rule), place)
