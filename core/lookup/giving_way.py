"""What a line gives way to: the dates beside one never struck, the letter of a named variety."""

from dataclasses import replace

from core.lookup.claims import Claims, Sense
from core.lookup.vocabulary import Vocabulary
from core.lookup.words import Claim
from core.model.issue import Description, Facet, Series, Strike
from core.model.label import describe


def never_struck(series: Series, word: str) -> tuple[str, tuple[str, ...]]:
    """That no coin bears a date, and the dates beside it."""
    years = {year: date for date, year in series.dates}
    first, last = min(years), max(years)
    number = int(word) if word.isdecimal() else None
    told = f"{series.title}: none is dated {word}"
    span = f"the series runs from {years[first]} to {years[last]}"
    if number is None:
        return f"{told}; {span}. Check the date against the coin.", ()
    ends = f"{told}; {span}. Check the date against the coin, or name another series."
    if len(word) == 2:
        inside = [y for y in range(first, last + 1) if y % 100 == number]
        if not inside:
            return ends, ()
        number = inside[0]
    if not first <= number <= last:
        return ends, (years[first] if number < first else years[last],)
    before = years[max(y for y in years if y < number)]
    after = years[min(y for y in years if y > number)]
    beside = (
        f"{told}: no coin of {number} was struck; the dates beside it are {before} and {after}. "
        "Check the date against the coin."
    )
    return beside, (before, after)


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
        return more, f"{' '.join(named.words)} is listed only for {label}"
    return None


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
