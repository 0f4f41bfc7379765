"""What a line gives way to: the dates beside one never struck, the letter of a named variety."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from core.lookup.claims import Claims, Sense
from core.lookup.trouble import Trouble
from core.lookup.vocabulary import Thing, Vocabulary
from core.lookup.words import Claim
from core.model.issue import Description, Facet, Issue, Series, Strike
from core.model.label import describe, join_or

_FAR = 1_000
"""Years that a date counts as away that cannot be measured."""


def never_struck(series: Series, word: str) -> Trouble:
    """That no coin bears a date, and the dates beside it."""
    years = {year: date for date, year in series.dates}
    first, last = min(years), max(years)
    plain = word.rpartition("-")[2]
    told = f"none is dated {word}"
    span = f"the series runs from {years[first]} to {years[last]}"
    if not plain.isdecimal():
        return Trouble(
            2, f"{told}; {span}. Check the date against the coin.", title=series.title, away=_FAR
        )
    number = int(plain)
    ends = f"{told}; {span}. Check the date against the coin, or name another series."
    if len(word) == 2:
        inside = [y for y in range(first, last + 1) if y % 100 == number]
        if not inside:
            return Trouble(0, ends, (), (years[first], years[last]), series.title, _FAR)
        number = inside[0]
    if not first <= number <= last:
        nearest = first if number < first else last
        away = abs(nearest - number)
        return Trouble(0, ends, (), (years[nearest],), series.title, away)
    beside = (
        years[max(y for y in years if y <= number)],
        years[min(y for y in years if y >= number)],
    )
    names = tuple(dict.fromkeys(beside))
    message = (
        f"{told}: no coin of {number} was struck; the dates beside it are {' and '.join(names)}. "
        "Check the date against the coin."
        if len(names) > 1
        else f"{told}, but there is {names[0]}. Check the date against the coin."
    )
    return Trouble(2, message, (), names, series.title, 1)


def not_so_struck(
    series: Series, description: Description, date: str, mints: tuple[str, ...]
) -> Trouble:
    """That a date was not struck so, how it was, and what lies beside it.

    `description` says of which strike and release. The neighbours are the others of that date,
    then the nearest dates so struck at that mint.
    """
    wanted = date + (f"-{join_or(mints)}" if mints else "")
    here = Description.of(series.id, {Facet.DATE: date})
    is_usual = all(description.only(facet) == value for facet, value in series.usual.items())
    regular = list(series.matching(Description.of(series.id, {**series.usual, Facet.DATE: date})))
    names = list(dict.fromkeys(map(_label, regular)))
    near = tuple(dict.fromkeys([*names, *_beside(series, description, date, mints)]))
    others = series.matching(here.with_facet(Facet.MINT, mints))
    if others and is_usual:
        words = {
            i.strike.value if i.strike is not Strike.CIRCULATION else Claim.COLLECTORS.value
            for i in others
        }
        adds = join_or([f"“{word.removeprefix('for ')}”" for word in sorted(words)])
        return Trouble(
            2,
            f"no {wanted} was struck for circulation and let go to banks. "
            f"Add {adds} if it is one, or check the date and letter.",
            neighbours=near,
            title=series.title,
        )
    strike = description.only(Facet.STRIKE)
    kind = f" {strike}" if strike and strike != Strike.CIRCULATION else " for collectors"
    there = f"; of that date there is {join_or(names)}" if names else ""
    return Trouble(
        2,
        f"no {wanted}{'' if is_usual else kind} was struck{there}. Check the date and letter, "
        f"or write {date}? if the letter can't be read.",
        neighbours=near,
        title=series.title,
    )


def _beside(
    series: Series, description: Description, date: str, mints: tuple[str, ...]
) -> Iterator[str]:
    """The nearest earlier and later coin so struck, of these mints or else of any."""
    year = next((y for d, y in series.dates if d == date), 0)
    free = description.with_facet(Facet.DATE, ()).with_facet(Facet.MARK, ())
    for chosen in (mints, ()):
        alike = series.matching(free.with_facet(Facet.MINT, chosen))
        before = [i for i in alike if i.year < year]
        after = [i for i in alike if i.year > year]
        if before or after:
            if before:
                yield _label(max(before, key=lambda i: i.year))
            if after:
                yield _label(min(after, key=lambda i: i.year))
            return


def _label(issue: Issue) -> str:
    """1922-D; 1968-S proof."""
    strike = f" {issue.strike}" if issue.strike is not Strike.CIRCULATION else ""
    return issue.date + (f"-{issue.mark}" if issue.mark else "") + strike


def given_by_name(known: Vocabulary, claims: Claims, date: str | None) -> tuple[Claims, str] | None:
    """The claims with the letter and strike of the one variety that they name on this date."""
    series = known.series
    here = series.facet_mask(Facet.DATE, (date,)) if date else series.everything
    for named in claims.named:
        words = set(named.words)
        fitting = [
            thing
            for thing in known.things
            if thing.mask & here
            if thing.name == named.words or (words <= thing.words and words & thing.keys)
        ]
        places = {_mint_and_strike(series, thing.mask & here) for thing in fitting}
        if named.sense is Sense.RULED_OUT or len(places) != 1:
            continue
        mints, strike = places.pop()
        if (claims.mints and claims.mints[0] != mints) or len(mints) != 1:
            continue
        more = replace(claims, mints=[mints], said=set(claims.said))
        if strike != Strike.CIRCULATION.value:
            more.said.add(Claim.PROOF if strike == Strike.PROOF.value else Claim.SPECIMEN)
        label = describe(series, _only(series, fitting[0].mask & here))
        return more, f"{_called(series, fitting, named.words)} is listed only for {label}"
    return None


def _called(series: Series, things: Sequence[Thing], words: tuple[str, ...]) -> str:
    """The name of the one variety meant, else the words as they were written."""
    ids = {thing.variety for thing in things}
    variety = series.variety(one) if len(ids) == 1 and (one := ids.pop()) else None
    return f"“{variety.name}”" if variety else " ".join(words)


def _mint_and_strike(series: Series, mask: int) -> tuple[tuple[str, ...], str]:
    issues = list(series.issues_of(mask))
    strikes = {issue.strike.value for issue in issues}
    strike = Strike.CIRCULATION.value
    return tuple(sorted({issue.mint for issue in issues})), min(strikes, default=strike)


def _only(series: Series, mask: int) -> Description:
    """The date, letter and strike of some issues."""
    facets = (Facet.DATE, Facet.MINT, Facet.STRIKE)
    issues = list(series.issues_of(mask))
    return Description.of(series.id, {f: {i.value(f) or "" for i in issues} for f in facets})
