"""What the rows of a series rest on: how many were read somewhere, how many are recalled."""

from collections import Counter
from dataclasses import dataclass

from core.model.issue import Confidence, Series


@dataclass(frozen=True, slots=True)
class Shares:
    """How many rows of a series rest on what, as counts; the four kinds add up to `rows`.

    `not_known` counts the rows without a mintage of their own, of whatever kind: what such a row
    says is that the coin exists.
    """

    rows: int
    published: int
    recalled: int
    practice: int
    invented: int
    not_known: int

    @property
    def text(self) -> str:
        """One line: "412 rows: 62 % published, 38 % recalled; 3 % without a figure"."""
        if not self.rows:
            return "no rows"
        kinds = (
            (self.published, "published"),
            (self.recalled, "recalled"),
            (self.practice, "common practice"),
            (self.invented, "invented"),
        )
        told = ", ".join(f"{percent(n, self.rows)} {name}" for n, name in kinds if n)
        noun = "row" if self.rows == 1 else "rows"
        return f"{self.rows} {noun}: {told}; {percent(self.not_known, self.rows)} without a figure"


def confidence_shares(series: Series) -> Shares:
    """What the issues of a series rest on; its signs and varieties are not counted."""
    kinds = Counter(issue.confidence for issue in series.issues)
    return Shares(
        rows=len(series.issues),
        published=kinds[Confidence.PUBLISHED],
        recalled=kinds[Confidence.RECALLED],
        practice=kinds[Confidence.PRACTICE],
        invented=kinds[Confidence.INVENTED],
        not_known=sum(issue.mintage is None for issue in series.issues),
    )


def percent(part: int, whole: int) -> str:
    """A share in whole per cent: 0 and 100 only where nothing or all is meant."""
    if part == 0:
        return "0 %"
    if part == whole:
        return "100 %"
    if 100 * part < whole:
        return "under 1 %"
    if 100 * (whole - part) < whole:
        return "over 99 %"
    return f"{(200 * part + whole) // (2 * whole)} %"
