"""The report of a box: what it changed in the albums, its tallies, records and finds, in words.

What is private (where the box came from, its wrapper, cost, where the coin goes, notes) is told
only where it is asked for. The same box gives the same report on any later day: the albums are as
they stood at the end of the day on which its last find went into one, with its own coins in place.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING

from core.app.box_slots import Became, BoxSlots, SlotStep
from core.app.checklists import day_text
from core.app.past import AlbumPast
from core.app.search_views import BoxView, FindLine
from core.app.slot_card import coin_text
from core.app.views import SlotView
from core.errors import BadEntry
from core.glyph.codes import STATE_BITS
from core.glyph.palette import LIGHT
from core.model.album import SlotId
from core.model.coin import Coin, CoinId, CoinStatus
from core.model.money import money_text
from core.model.search import BoxId, Claim, Weighing
from core.printing.box_markdown import report_markdown
from core.printing.box_report import (
    AlbumChange,
    BoxReport,
    FindRow,
    SlotLine,
    report_pages,
    report_picture,
    usual_words,
)
from core.printing.checklist import Paper
from core.printing.drawn_page import MOST_PX, page_png
from core.printing.pdf import measure, pages_pdf
from core.printing.whole_file import write_whole
from core.search.facts import SO_FAR, BoxFacts, CampaignFacts
from core.search.records import Over, Record, RecordKind, records, usual_rules
from core.search.tally import Tallier, tally_lines

if TYPE_CHECKING:
    from core.app.collection import Collection


MOST_FIRSTS = 40
"""More firsts of a date than these are told by their number."""


class ReportKind(StrEnum):
    """The files a report can be, by their endings."""

    PDF = "pdf"
    MARKDOWN = "md"
    PNG = "png"

    @property
    def name_of_file(self) -> str:
        """PDF, MD, PNG."""
        return self.value.upper()


def report_file(report: BoxReport, kind: ReportKind, paper: Paper = Paper.A4) -> bytes:
    """The report as a file of a kind."""
    match kind:
        case ReportKind.PDF:
            pages = report_pages(report, paper, measure)
            title = f"{report.title}: report"
            return pages_pdf(pages, title, report.created, "Report of a box")
        case ReportKind.MARKDOWN:
            return report_markdown(report).encode("utf-8")
        case ReportKind.PNG:
            page = report_picture(report, measure)
            return page_png(page, LIGHT, min(2.0, MOST_PX / page.height))


def report_kind(path: Path) -> ReportKind:
    """The kind of a file by its ending; raises BadEntry."""
    try:
        return ReportKind(path.suffix.lower().removeprefix("."))
    except ValueError as error:
        raise BadEntry(
            f"“{path.name}” says not what to write; end the name in .pdf, .md or .png."
        ) from error


def write_report(path: Path, report: BoxReport, kind: ReportKind, paper: Paper = Paper.A4) -> None:
    """Put the file in place whole or not at all; raises Refused or FileTrouble."""
    write_whole(path, report_file(report, kind, paper), kind.name_of_file, "The report")


def box_report(collection: "Collection", box_id: BoxId, private: bool = False) -> BoxReport:
    """All that the report of a box tells, with what is private only where asked for."""
    view = collection.log.box_view(box_id)
    box, facts = view.box, view.facts
    all_facts = collection.log.all_facts()
    tallier = Tallier({one.id: one for one in collection.series_in_use})
    tallies = collection.log.tallies(box.denomination)
    lines = tally_lines(tallier, tallies, facts, all_facts)
    campaign = _up_to(view, all_facts)
    before = CampaignFacts(campaign.campaign, campaign.boxes[:-1])
    rules = usual_rules(tallies)
    told = record_texts(
        records(tallier, rules, before), records(tallier, rules, campaign), box.id, campaign
    )
    albums = album_changes(collection, collection.log.box_slots(box_id))
    name = collection.name
    return BoxReport(
        title=f"Box {box.number}",
        campaign=view.campaign.name,
        day_text=f"begun {day_text(box.begun)}",
        created=f"D:{box.begun:%Y%m%d}000000Z",
        footer=name,
        facts=(*_facts(view), *(_private(view) if private else ())),
        summary=_summary(view),
        albums=albums,
        tallies=lines,
        usual_text=usual_words(lines, box.kind.is_usual),
        is_done=box.is_done,
        records=told,
        finds=tuple(_find_row(line) for line in view.finds),
        seen=_seen(view),
        notes=_notes(collection, view, private),
    )


# ---- facts


def _facts(view: BoxView) -> list[tuple[str, str]]:
    box, facts = view.box, view.facts
    rolls = f"{box.rolls} {_rolls(box.rolls)} of {box.per_roll:,}"
    opened = f"{facts.opened} {_rolls(facts.opened)}, {facts.coins_opened:,} coins"
    if facts.skipped:
        opened += f"; {facts.skipped} skipped"
    seen = sum(one.quantity for one in facts.sightings)
    kept = f"{len(facts.finds):,} kept · {seen:,} counted, not kept"
    told = [
        ("Holds", box.denomination),
        ("Rolls", rolls),
        ("Opened", opened),
        ("Coins", box.kind.value),
    ]
    told += [("Finds", kept), ("Search", view.search.name)]
    if box.seconds:
        told.append(("Time", time_text(box.seconds)))
    if not box.is_done:
        told.append(("Stands", f"not finished, at roll {view.now.shown}"))
    return told


def _rolls(count: int) -> str:
    return "roll" if count == 1 else "rolls"


def _private(view: BoxView) -> list[tuple[str, str]]:
    """What is told only where it is asked for; what nobody entered is left out."""
    box = view.box

    def money(minor: int | None) -> str:
        return "" if minor is None else f"{money_text(minor, box.currency)} {box.currency}".strip()

    rows = [
        ("From", box.came_from),
        ("Wrapper", box.wrapper),
        ("Face value", money(box.face_minor)),
        ("Fees", money(box.fees_minor)),
        ("Goes to", box.goes_to),
        ("Note", box.note),
    ]
    return [(name, value) for name, value in rows if value]


def time_text(seconds: int) -> str:
    """2 h 40 min; under a minute."""
    minutes = round(seconds / 60)
    if not minutes:
        return "under a minute"
    hours, rest = divmod(minutes, 60)
    return " ".join(filter(None, (f"{hours} h" if hours else "", f"{rest} min" if rest else "")))


def _summary(view: BoxView) -> str:
    """3 slots filled and 2 slots bettered, from 25 finds among 2,500 coins."""
    facts = view.facts
    parts = [
        f"{many:,} slot{'' if many == 1 else 's'} {said}"
        for many, said in ((facts.slots_filled, "filled"), (facts.slots_bettered, "bettered"))
        if many
    ]
    done = " and ".join(parts) or "No slot filled or bettered"
    if parts and not facts.is_done:
        done = f"{SO_FAR[:1].upper()}{SO_FAR[1:]}: {done}"
    finds, coins = len(view.finds), view.coins_opened
    among = f"from {finds:,} find{'' if finds == 1 else 's'} among {coins:,} coins"
    return f"{done}, {among}."


def _find_row(line: FindLine) -> FindRow:
    detail = ", ".join(filter(None, (line.grade, line.problems)))
    return FindRow(
        line.roll, line.label, detail, line.answer, whereabouts(line), line.code,
        line.find.is_ender,
    )  # fmt: skip


def whereabouts(line: FindLine) -> str:
    """Where a find is by now: 1943-D in Cents; spare; in a lot of 12; back to the bank."""
    coin = line.coin
    if coin.status is CoinStatus.GONE and "back to the bank" in coin.note:
        return "back to the bank"
    if coin.is_lot:
        return f"in a lot of {coin.quantity:,}"
    return line.where


def _seen(view: BoxView) -> tuple[str, ...]:
    """What was counted: 5 × 1959, the most first."""
    counts: Counter[str] = Counter()
    for line in view.sightings:
        counts[line.name.removeprefix("+ ")] += line.sighting.quantity
    ranked = sorted(counts.items(), key=lambda pair: -pair[1])
    return tuple(f"{many:,} × {label}" for label, many in ranked)


def _notes(collection: "Collection", view: BoxView, private: bool) -> tuple[str, ...]:
    claims = [_claim_text(collection, one, private) for one in view.claims]
    return (*claims, *(_weighed_text(one) for one in view.weighings if one.text))


def _weighed_text(one: Weighing) -> str:
    """412 coins weighed: copper 235 ± 5, shared wear adds ± 20."""
    counted = f"{one.counted} " if one.result is not None and one.counted else ""
    return f"{one.coins:,} coin{'' if one.coins == 1 else 's'} weighed: {counted}{one.text}"


def _claim_text(collection: "Collection", one: Claim, private: bool) -> str:
    """All Lincoln cents dated up to 1958 are logged."""
    title = collection.series(one.series).title
    if one.from_ is None and one.up_to is None:
        dated = ""
    elif one.from_ is None:
        dated = f" dated up to {one.up_to}"
    elif one.up_to is None:
        dated = f" dated from {one.from_} on"
    else:
        dated = f" dated {one.from_} to {one.up_to}"
    said = f": {one.text}" if one.text and private else ""
    return f"All {title}{dated} are logged{said}."


# ---- records


def _up_to(view: BoxView, all_facts: Iterable[BoxFacts]) -> CampaignFacts:
    """The campaign as it was with this box as its last one."""
    mine = [one for one in all_facts if one.campaign == view.campaign.id]
    mine.sort(key=lambda one: (one.begun, one.box))
    at = next(n for n, one in enumerate(mine, 1) if one.box == view.box.id)
    return CampaignFacts(view.campaign, tuple(mine[:at]))


def record_texts(
    before: Sequence[Record], after: Sequence[Record], box: BoxId, campaign: CampaignFacts
) -> tuple[str, ...]:
    """The records that a box set, in words; the firsts of a decade, and of a date, in one line.

    The first box of a campaign that nothing came before sets no "most in a box".
    """
    held = {one.rule for one in before}
    texts: list[str] = []
    firsts: dict[RecordKind, dict[str, int]] = {
        RecordKind.FIRST_DECADE: {},
        RecordKind.FIRST_DATE: {},
    }
    for one in (one for one in after if one.box == box):
        match one.rule.kind:
            case RecordKind.OLDEST if one.rule.over is Over.CAMPAIGN and one.rule not in held:
                continue  # the first box's own oldest says it
            case RecordKind.MOST if one.rule not in held:
                continue
            case RecordKind.FIRST_DATE | RecordKind.FIRST_DECADE:
                said = one.of.partition("/")[2]
                name = f"{said}s" if one.rule.kind is RecordKind.FIRST_DECADE else said
                firsts[one.rule.kind].setdefault(name, one.value)
            case _:
                texts.append(one.text)
    of = "this log" if campaign.campaign.opening_boxes else "this campaign"
    for kind, word in ((RecordKind.FIRST_DECADE, "decade"), (RecordKind.FIRST_DATE, "date")):
        names = sorted(firsts[kind], key=lambda name: (firsts[kind][name], name))
        more = f" and {len(names) - MOST_FIRSTS} more" if len(names) > MOST_FIRSTS else ""
        if names:
            texts.append(f"first of their {word} of {of}: {', '.join(names[:MOST_FIRSTS])}{more}")
    return tuple(text[:1].upper() + text[1:] for text in texts)


# ---- albums


def album_changes(collection: "Collection", changed: BoxSlots) -> tuple[AlbumChange, ...]:
    """The albums in which a box changed slots, from the top of the shelf, before and after."""
    told: list[AlbumChange] = []
    steps = changed.steps
    for album in collection.albums():
        if not steps.keys().isdisjoint(collection.album_view(album.id).by_id):
            change = _album_change(collection.album_past(album.id), changed)
            told += [change] if change else []
    return tuple(told)


def _album_change(past: AlbumPast, changed: BoxSlots) -> AlbumChange | None:
    album, steps = past.present, changed.steps
    mine = {slot: step for slot, step in steps.items() if slot in album.by_id}
    if not mine:
        return None
    standing = past.coins_on(max(step.day for step in mine.values()))

    def filled(coin_of: Callable[[SlotStep], CoinId | None]) -> dict[SlotId, Coin]:
        now = {slot: number for slot, step in mine.items() if (number := coin_of(step)) is not None}
        moved = set(now.values())
        rest = {s: c for s, c in standing.items() if s not in mine and c.id not in moved}
        return rest | {slot: past.coin(number) for slot, number in now.items()}

    before = past.view_with(filled(lambda step: step.before))
    after = past.view_with(filled(lambda step: step.after))
    slots = [view.slot.id for view in album.slots if view.slot.id in mine]
    cells = (after.plan.cell_of_slot(int(slot)) for slot in slots)
    return AlbumChange(
        album.album.name,
        before.plan,
        after.plan,
        frozenset(cell for cell in cells if cell >= 0),
        before.headline.whole_text,
        after.headline.whole_text,
        tuple(
            _slot_line(before.by_id[slot], after.by_id[slot], changed.words[slot]) for slot in slots
        ),
    )


def _slot_line(before: SlotView, after: SlotView, word: Became) -> SlotLine:
    return SlotLine(
        after.slot.label,
        before.code & STATE_BITS,
        after.code & STATE_BITS,
        coin_text(before.coin) if before.coin else "empty",
        coin_text(after.coin) if after.coin else "empty",
        word.value if after.coin else "out",
    )
