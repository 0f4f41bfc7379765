"""What a new album shall be, from what was typed and chosen, and how it would look. No Qt here."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from core.app.album_view import album_view
from core.app.views import AlbumView
from core.errors import BadEntry
from core.lookup.vocabulary import singular
from core.model.album import Album, AlbumId, SlotId
from core.model.arrangement import Arrangement
from core.model.issue import Mint, Series
from core.model.label import join_and
from core.model.plan_across import AcrossPlan, plan_across
from core.model.plan_album import AlbumPlan, plan_slots, regular_issues


@dataclass(frozen=True, slots=True)
class SeriesChoice:
    """A series that a new album may use; `is_in_use` where the collection carries it already."""

    series: Series
    is_in_use: bool

    @property
    def detail(self) -> str:
        """United States · 1938–2025 · in this collection."""
        words = [self.series.issuer, span_text(self.series)]
        if self.is_in_use:
            words.append("in this collection")
        return " · ".join(words)

    def is_met_by(self, typed: str) -> bool:
        """Whether every word typed is found in its title, issuer, words or dates."""
        series = self.series
        hay = " ".join((series.title, series.issuer, series.denomination, *series.words)).casefold()
        dates = {date for date, _ in series.dates} | {str(year) for _, year in series.dates}
        return all(word in hay or word in dates for word in typed.casefold().split())


@dataclass(frozen=True, slots=True)
class AlbumChoice:
    """Everything chosen but the name."""

    series: Series
    plan: AlbumPlan
    arrangement: Arrangement


@dataclass(frozen=True, slots=True)
class AcrossChoice:
    """Everything chosen of an album across series but the name; `series` are those chosen."""

    series: tuple[Series, ...]
    plan: AcrossPlan
    arrangement: Arrangement


def span_text(series: Series) -> str:
    """The first and last date as struck."""
    return f"{series.dates[0][0]}–{series.dates[-1][0]}"


def struck_mints(series: Series, with_collectors: bool = False) -> list[Mint]:
    """The mints that struck regular coins of the series, or also those sold to collectors."""
    every = regular_issues(series, AlbumPlan(with_collectors=with_collectors))
    used = {issue.mint for issue in every}
    return [mint for mint in series.mints if mint.id in used]


def collectors_text(series: Series) -> str:
    """42 that never went to banks, 1970-D to 2020-D; "" where there is none."""
    theirs = [issue for issue in series.issues if series.is_for_collectors(issue)]
    if not theirs:
        return ""
    first, last = ("-".join(filter(None, (i.date, i.mark))) for i in (theirs[0], theirs[-1]))
    span = first if len(theirs) == 1 else f"{first} to {last}"
    return f"{len(theirs)} that never went to banks: {span}"


def read_year(series: Series, text: str) -> int:
    """The Gregorian year of a date as struck, of a year, or of its last two digits.

    Raises BadEntry, which names the dates of the series.
    """
    typed = " ".join(text.split()).replace("–", "-")
    for date, year in series.dates:
        if date.casefold().replace("–", "-") == typed.casefold():
            return year
    if typed.isdigit():
        number = int(typed)
        if len(typed) > 2:
            return number
        near = [year for _, year in series.dates if year % 100 == number]
        if len(near) == 1:
            return near[0]
        if near:
            years = " or ".join(map(str, near))
            raise BadEntry(f"“{typed}” can be {years}; write the year in full.")
    raise BadEntry(f"“{typed}” is no date of this series ({span_text(series)}).")


def read_years(series: Series, first: str, last: str) -> tuple[int, int] | None:
    """Both ends, None for the whole series. Raises BadEntry in plain words."""
    ends = series.dates[0][1], series.dates[-1][1]
    start = read_year(series, first) if first.strip() else ends[0]
    end = read_year(series, last) if last.strip() else ends[1]
    if start > end:
        raise BadEntry("The first date lies after the last.")
    if end < ends[0] or start > ends[1]:
        raise BadEntry(f"Nothing was struck in those years; the series runs {span_text(series)}.")
    return None if (start, end) == ends else (start, end)


def date_of(series: Series, year: int, is_last: bool = False) -> str:
    """The first (or last) date as struck in a year; the year itself where none was."""
    dates = [date for date, struck in series.dates if struck == year]
    return dates[-1 if is_last else 0] if dates else str(year)


def _short_name(series: Series, others: Iterable[Series]) -> str:
    """Nickels; Buffalo nickels where another series is of nickels too."""
    title = series.title.partition(",")[0]  # the years that a title may end in stand behind it
    last = title.split()[-1]
    is_plural = last in series.words and singular(last) != last
    if not is_plural or any(last in o.words for o in others if o.id != series.id):
        return title
    return last.capitalize()


def suggested_name(
    series: Series, years: tuple[int, int] | None, others: Iterable[Series] = ()
) -> str:
    """Nickels 1938–1964; Buffalo nickels 1913–1938 where `others` hold nickels too.

    The title alone where dates are no plain years and all are in.
    """
    first_year, last_year = years or (series.dates[0][1], series.dates[-1][1])
    inside = [date for date, year in series.dates if first_year <= year <= last_year]
    plain = all(date[:4].isdigit() for date, _ in series.dates)
    if not plain:
        span = f" {inside[0]}–{inside[-1]}" if years and inside else ""
        return f"{series.title.partition(',')[0] if span else series.title}{span}"
    plural = _short_name(series, others)
    if not inside:
        return plural
    return f"{plural} {inside[0]}–{inside[-1]}" if len(inside) > 1 else f"{plural} {inside[0]}"


def free_name(name: str, taken: list[str]) -> str:
    """The name itself, or with a number behind it where an album is called that already."""
    known = {other.casefold() for other in taken}
    if name.casefold() not in known:
        return name
    number = 2
    while f"{name} ({number})".casefold() in known:
        number += 1
    return f"{name} ({number})"


def preview(choice: AlbumChoice, name: str) -> AlbumView:
    """The album as it would stand, every slot a gap. Raises Refused where nothing is left."""
    planned = plan_slots(choice.series, choice.plan)
    slots = [replace(slot, id=SlotId(at)) for at, slot in enumerate(planned, 1)]
    album = Album(AlbumId(0), name, choice.series.id, 0, arrangement=choice.arrangement)
    return album_view(album, choice.series, slots, {}, {}, None)


def preview_across(choice: AcrossChoice, name: str) -> AlbumView:
    """`preview` of an album across series. Raises Refused where nothing is left."""
    planned = plan_across(choice.series, choice.plan)
    slots = [replace(slot, id=SlotId(at)) for at, slot in enumerate(planned, 1)]
    known = {series.id: series for series in choice.series}
    others = {slot.accepts.series: known[slot.accepts.series] for slot in slots}
    first = others.pop(slots[0].accepts.series)
    album = Album(AlbumId(0), name, first.id, 0, arrangement=choice.arrangement)
    return album_view(album, first, slots, {}, {}, None, others)


def suggested_across(series: Sequence[Series], plan: AcrossPlan) -> str:
    """The year 1964; Types of Lincoln cents and Jefferson nickels; Types of 5 series."""
    if plan.year is not None:
        return f"The year {plan.year}"
    titles = [one.title for one in series]
    return f"Types of {join_and(titles) if len(titles) < 3 else f'{len(titles)} series'}"


def count_text(view: AlbumView) -> str:
    """82 slots on 3 leaves, 12 optional."""
    slots, leaves = len(view.slots), len(view.leaves)
    optional = slots - view.headline.wanted
    text = (
        f"{slots:,} slot{'' if slots == 1 else 's'} on {leaves} lea{'f' if leaves == 1 else 'ves'}"
    )
    return f"{text}, {optional} optional" if optional else text
