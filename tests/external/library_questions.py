"""Questions to the loaded library, as the outside checks ask them: who struck what, and when."""

from collections.abc import Iterable

from core.catalogue.load import load_series
from core.model.issue import BANK_ISSUE, Description, Issue, SeriesId


def struck(name: str, **facets: str | Iterable[str]) -> tuple[Issue, ...]:
    """The issues that agree, whoever got them and however they were struck."""
    code = SeriesId(name)
    return load_series(code).matching(Description.of(code, facets))


def paid(name: str, **facets: str | Iterable[str]) -> tuple[Issue, ...]:
    """The circulation strikes for banks that agree."""
    return struck(name, **{**BANK_ISSUE, **facets})


def years(issues: Iterable[Issue]) -> set[int]:
    return {issue.year for issue in issues}


def span(first: int, last: int) -> set[int]:
    return set(range(first, last + 1))


def gaps(*names: str) -> set[int]:
    """The years within these series, taken together, of which none was struck for banks."""
    known = {year for name in names for year in years(paid(name))}
    return span(min(known), max(known)) - known


def mints(name: str, date: str) -> set[str]:
    return {issue.mint for issue in paid(name, date=date)}


def marks(names: Iterable[str], *dates: str) -> dict[tuple[str, str], list[str]]:
    """By series and date: the letter of each issue for banks, "" for none, in their order."""
    return {(n, d): [issue.mark for issue in paid(n, date=d)] for n in names for d in dates}


def first_p(name: str) -> int:
    """The first year of which a coin from Philadelphia bears a P, war nickels aside."""
    return min(years(i for i in struck(name, mint="P", mark="P") if i.composition != "silver"))


def scarcest(name: str, how_many: int) -> list[tuple[str, str]]:
    """Date and mint of the issues for banks of which the fewest were struck, rarest first."""
    known = [(i.mintage, i.date, i.mint) for i in paid(name) if i.mintage is not None]
    return [(date, mint) for _, date, mint in sorted(known)[:how_many]]


def varieties(name: str, *ids: str) -> dict[str, set[tuple[str, str]]]:
    """By its id: date and mint of the issues on which a variety is known."""
    series = load_series(SeriesId(name))
    return {
        str(v.id): {(i.date, i.mint) for i in series.issues_of(series.variety_mask(v))}
        for v in series.varieties
        if v.id in ids
    }


def figures(name: str, date: str) -> dict[str, int | None]:
    """By mint: how many were struck of a date, whoever got them."""
    return {i.mint: i.mintage for i in struck(name, date=date, strike="circulation")}


def signed(name: str, look: str) -> set[str]:
    """The alloys of the issues of which a sign speaks that is worded so."""
    series = load_series(SeriesId(name))
    found = [sign for sign in series.signs if sign.look == look]
    return {i.composition for sign in found for i in series.issues_of(series.sign_mask(sign))}
