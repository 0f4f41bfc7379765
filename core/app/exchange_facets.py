"""What a coin is, from the cells of a sheet: series and facets, their values checked."""

from collections.abc import Iterable, Mapping, Sequence

from core.app.exchange_cells import (
    FACETS,
    NO_LETTER,
    BadCell,
    Column,
    Facets,
    facets_meant,
    is_usual_meant,
)
from core.app.exchange_here import same
from core.errors import BadEntry
from core.model.issue import COLLECTORS_ISSUE, Description, Facet, Series, SeriesId

_FIXED = {facet: column.value for column, facet in FACETS.items()}


class SeriesWords:
    """The values of each facet of a series, found by id, by title, and however they are typed."""

    def __init__(self, series: Series) -> None:
        self.series = series
        self._values: dict[str, set[str]] = {}
        for issue in series.issues:
            for facet in Facet:
                value = issue.value(facet.value)
                if value is not None:
                    self._values.setdefault(facet.value, set()).add(value)
            for name, value in issue.choices:
                self._values.setdefault(name, set()).add(value)
        self._words = {name: self._worded(name, values) for name, values in self._values.items()}

    def _worded(self, facet: str, values: Iterable[str]) -> Mapping[str, str]:
        """The value that each way of typing stands for; a way that stands for two is left out."""
        titles: Mapping[str, str] = {}
        if facet == Facet.DESIGN:
            titles = {d.id: d.title for d in self.series.designs}
        elif facet == Facet.COMPOSITION:
            titles = {c.id: c.title for c in self.series.compositions}
        elif facet == Facet.MINT:
            titles = {m.id: m.name for m in self.series.mints}
        found: dict[str, set[str]] = {}
        for value in values:
            for word in (value, titles.get(value, value)):
                found.setdefault(_dashed(word), set()).add(value)
        return {word: next(iter(meant)) for word, meant in found.items() if len(meant) == 1}

    def description(self, facets: Facets, *, may_be_collectors: bool = False) -> Description:
        """The description that facets make; raises BadCell for one that no issue meets.

        `may_be_collectors`: strike and release were not said. Then, where no issue for banks meets
        the rest but circulation strikes sold to collectors do, those are meant.
        """
        checked = {name: [self._value(name, v) for v in values] for name, values in facets}
        made = Description.of(self.series.id, checked)
        if may_be_collectors and Facet.DATE in checked and not self.series.may_be(made):
            theirs = Description.of(self.series.id, {**checked, **COLLECTORS_ISSUE})
            if self.series.may_be(theirs):
                return theirs
        try:
            return self.series.require(made)
        except BadEntry as bad:
            names = self.series.facts_against(made)
            column = next((_FIXED.get(name, Column.CHOICES.value) for name in names), "")
            raise BadCell(column, str(bad)) from bad

    def _value(self, facet: str, typed: str) -> str:
        known = self._values.get(facet)
        column = _FIXED.get(facet, Column.CHOICES.value)
        if known is None:
            names = ", ".join(sorted(set(self._values) - set(_FIXED)))
            there = f"it has {names}" if names else "it has none; leave the cell empty"
            raise BadCell(column, f"{self.series.title} has no choice “{facet}”; {there}.")
        if typed in known:
            return typed
        meant = self._words[facet].get(_dashed(typed))
        if meant is None:
            raise BadCell(column, self._unknown(facet, typed, known))
        return meant

    def _unknown(self, facet: str, typed: str, known: Iterable[str]) -> str:
        if facet == Facet.DATE:
            dates = self.series.dates
            span = f"its dates run from {dates[0][0]} to {dates[-1][0]}" if dates else "it has none"
            alone = typed.replace("–", "-").rpartition("-")[0].strip()
            if _dashed(alone) in {_dashed(date) for date, _year in dates}:
                return (
                    f"The date “{typed}” has a letter with it. Write {alone} here and the letter "
                    "in the column “mark”, or call this column “coin”."
                )
            return f"{self.series.title} has no date “{typed}”; {span}."
        values = ", ".join(value or NO_LETTER for value in sorted(known))
        return f"{self.series.title} has no {facet} “{typed}”; write one of {values}."


def _dashed(text: str) -> str:
    """A value as it is compared: whatever the case, the spaces and the kind of dash."""
    return same(text.replace("–", "-").replace("—", "-"))


class Describer:
    """Turns cells into series and descriptions; equal cells are read once."""

    def __init__(self, series: Sequence[Series]) -> None:
        self._series = {one.id: one for one in series}
        self._words: dict[SeriesId, SeriesWords] = {}
        self._made: dict[tuple[SeriesId, tuple[str, ...]], Description] = {}

    def series(self, cell: str) -> Series:
        """A series by its id or title; raises BadCell."""
        typed = cell.strip()
        found = self._series.get(SeriesId(typed))
        if found is not None:
            return found
        alike = [s for s in self._series.values() if same(typed) in (same(s.id), same(s.title))]
        if len(alike) == 1:
            return alike[0]
        known = ", ".join(self._series)
        raise BadCell(
            Column.SERIES.value, f"There is no series “{typed}” here; write one of {known}."
        )

    def get(self, code: SeriesId) -> Series:
        """A series that is known to be there."""
        return self._series[code]

    def knows(self, code: SeriesId) -> bool:
        """Whether a series is there."""
        return code in self._series

    def description(self, series: Series, cells: Mapping[Column, str]) -> Description:
        """What the facet columns of a row say; raises BadCell."""
        key = (series.id, tuple(cells.get(c, "") for c in (*FACETS, Column.CHOICES)))
        made = self._made.get(key)
        if made is None:
            made = self._made[key] = self._words_of(series).description(
                facets_meant(cells, series.usual), may_be_collectors=is_usual_meant(cells)
            )
        return made

    def remark(self, series: Series, cells: Mapping[Column, str], description: Description) -> str:
        """What is worth telling of how a row was read; "" for nothing."""
        release = Facet.RELEASE.value
        if not is_usual_meant(cells) or description.only(release) == series.usual.get(release):
            return ""
        name = description.only(Facet.DATE) or "such a coin"
        letters = {issue.mark for issue in series.matching(description)}
        if description.only(Facet.MINT) and len(letters) == 1:
            name += "".join(f"-{letter}" for letter in letters if letter)
        return f"no {name} went to banks: read as the one sold to collectors."

    def _words_of(self, series: Series) -> SeriesWords:
        if series.id not in self._words:
            self._words[series.id] = SeriesWords(series)
        return self._words[series.id]
