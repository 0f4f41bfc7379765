"""Records of a campaign as rules: oldest, first of a date, decade or variety, most in a box."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from core.model.search import BoxId, Tally, TallyRule
from core.search.facts import SO_FAR, BoxFacts, CampaignFacts, Seen
from core.search.tally import Tallier


class RecordKind(StrEnum):
    """What a rule looks for, the one told first where several are broken at once."""

    OLDEST = "oldest"
    FIRST_VARIETY = "first of a variety"
    FIRST_DECADE = "first of a decade"
    FIRST_DATE = "first of a date"
    MOST = "most in a box"


class Over(StrEnum):
    """What a record holds for."""

    CAMPAIGN = "this campaign"
    BOX = "this box"


@dataclass(frozen=True, slots=True)
class RecordRule:
    """A record to keep: of everything seen that `counts`, over the campaign or each box.

    `name` is what is counted, for the most in a box: wheat reverse.
    """

    kind: RecordKind
    over: Over = Over.CAMPAIGN
    counts: TallyRule = TallyRule()  # noqa: RUF009 (frozen, and counts everything)
    name: str = ""
    denomination: str = ""


@dataclass(frozen=True, slots=True)
class Record:
    """A record as it stands: its rule, what it is of, its value, and where it was set.

    `of` tells records of one rule apart: the date, the decade, the variety, the box. `value` is the
    year of the oldest, the count of the most, else the year.
    """

    rule: RecordRule
    of: str
    value: int
    box: BoxId
    number: int
    roll: int
    text: str


def usual_rules(tallies: Sequence[Tally]) -> tuple[RecordRule, ...]:
    """The rules of a campaign: all kinds, and the most in a box of each tally."""
    most = (
        RecordRule(RecordKind.MOST, Over.CAMPAIGN, t.rule, t.name, t.denomination) for t in tallies
    )
    return (
        RecordRule(RecordKind.OLDEST, Over.BOX),
        RecordRule(RecordKind.OLDEST),
        RecordRule(RecordKind.FIRST_VARIETY),
        RecordRule(RecordKind.FIRST_DECADE),
        RecordRule(RecordKind.FIRST_DATE),
        *most,
    )


def records(
    tallier: Tallier, rules: Sequence[RecordRule], campaign: CampaignFacts
) -> tuple[Record, ...]:
    """Every record of a campaign, by rule, then in the order they were set.

    New coins and what one returned oneself set none. Only what is certain counts: a coin of which
    the date is open is no oldest.
    """
    boxes = [box for box in campaign.boxes if box.kind.is_usual]
    found: list[Record] = []
    for rule in rules:
        match rule.kind:
            case RecordKind.OLDEST:
                found += _oldest(tallier, rule, boxes)
            case RecordKind.MOST:
                found += _most(tallier, rule, boxes)
            case _:
                found += _firsts(tallier, rule, campaign, boxes)
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Bests:
    """What one box holds for a rule: its oldest with the year, or its first of each kind."""

    oldest: tuple[Seen, int] | None
    firsts: tuple[tuple[str, str, int, Seen], ...]


def _bests(tallier: Tallier, rule: RecordRule, box: BoxFacts) -> _Bests:
    return tallier.kept(box, rule, lambda: _found_in(tallier, rule, box))


def _found_in(tallier: Tallier, rule: RecordRule, box: BoxFacts) -> _Bests:
    oldest: tuple[Seen, int] | None = None
    firsts: dict[str, tuple[str, str, int, Seen]] = {}
    for one in box.seen:
        if not tallier.holds(rule.counts, one):
            continue
        if rule.kind is RecordKind.OLDEST:
            date = tallier.dates(one)
            if date is not None and (oldest is None or date[2] < oldest[1]):
                oldest = one, date[2]
            continue
        for of, said, year in _first_of(tallier, rule.kind, one):
            firsts.setdefault(of, (of, said, year, one))
    return _Bests(oldest, tuple(firsts.values()))


def _oldest(tallier: Tallier, rule: RecordRule, boxes: Sequence[BoxFacts]) -> list[Record]:
    best: dict[str, Record] = {}
    for box in boxes:
        of = str(box.box) if rule.over is Over.BOX else ""
        oldest = _bests(tallier, rule, box).oldest
        if oldest is not None and (of not in best or oldest[1] < best[of].value):
            one, year = oldest
            text = f"oldest {rule.over}: {one.said or year}"
            best[of] = _record(rule, of, year, box, one, text)
    return list(best.values())


def _firsts(
    tallier: Tallier, rule: RecordRule, campaign: CampaignFacts, boxes: Sequence[BoxFacts]
) -> list[Record]:
    where = "this campaign" if not campaign.campaign.opening_boxes else "this log"
    found: dict[str, Record] = {}
    for box in boxes:
        for of, said, year, one in _bests(tallier, rule, box).firsts:
            if of not in found:
                found[of] = _record(rule, of, year, box, one, f"first {said} of {where}")
    return list(found.values())


def _first_of(tallier: Tallier, kind: RecordKind, one: Seen) -> list[tuple[str, str, int]]:
    """What a coin may be the first of: key, words and year."""
    date = tallier.dates(one)
    if kind is RecordKind.FIRST_VARIETY:
        year = 0 if date is None else date[2]
        return [
            (f"{one.series}/{variety}", tallier.variety_name(one.series, variety), year)
            for variety in one.varieties
        ]
    if date is None:
        return []
    series, said, year = date
    if kind is RecordKind.FIRST_DECADE:
        decade = year // 10 * 10
        return [(f"{series}/{decade}", f"coin of the {decade}s", year)]
    return [(f"{series}/{said}", said, year)]


def _most(tallier: Tallier, rule: RecordRule, boxes: Sequence[BoxFacts]) -> list[Record]:
    best: Record | None = None
    alike = [box for box in boxes if rule.denomination in ("", box.denomination)]
    if len(alike) < 2:  # the most of one box is no record
        return []
    for box in alike:
        count = tallier.in_box(rule.counts, box)
        if count > (best.value if best else 0):
            text = f"most in a box, {rule.name}: {count:,} in box {box.number}"
            if rule.counts.verdicts and not box.is_done:
                text += f", {SO_FAR}"
            last = max((s for s in box.seen if tallier.holds(rule.counts, s)), key=_place)
            best = _record(rule, "", count, box, last, text)
    return [best] if best else []


def _place(one: Seen) -> int:
    return one.place


def _record(rule: RecordRule, of: str, value: int, box: BoxFacts, one: Seen, text: str) -> Record:
    return Record(rule, of, value, box.box, box.number, one.roll, text)


def broken_by(before: Sequence[Record], after: Sequence[Record]) -> tuple[str, ...]:
    """What to announce when the records went from `before` to `after`, the weightiest first.

    An oldest is announced where there was one before, of the campaign only; a first when it comes
    up; the most in a box when another box takes the lead. A coin that is the first of its decade
    is not also announced as the first of its date.
    """
    held = {(one.rule, one.of): one for one in before}
    broken = [one for one in after if _is_broken(held.get((one.rule, one.of)), one)]
    broken.sort(key=lambda one: list(RecordKind).index(one.rule.kind))
    kinds = {one.rule.kind for one in broken}
    if RecordKind.FIRST_DECADE in kinds:
        broken = [one for one in broken if one.rule.kind is not RecordKind.FIRST_DATE]
    return tuple(one.text for one in broken)


def _is_broken(before: Record | None, after: Record) -> bool:
    match after.rule.kind:
        case RecordKind.OLDEST:
            is_campaign = after.rule.over is Over.CAMPAIGN
            return is_campaign and before is not None and after.value < before.value
        case RecordKind.MOST:
            is_ahead = before is not None and after.value > before.value
            return is_ahead and before is not None and after.box != before.box
    return before is None


def of_box(found: Sequence[Record], box: BoxId) -> tuple[Record, ...]:
    """The short list beside a box: its oldest, the campaign's, variety firsts and mosts it set."""
    return tuple(
        one
        for one in found
        if (
            one.rule.kind is RecordKind.OLDEST
            and (one.rule.over is Over.CAMPAIGN or one.box == box)
        )
        or (one.rule.kind in (RecordKind.FIRST_VARIETY, RecordKind.MOST) and one.box == box)
    )
