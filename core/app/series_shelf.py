"""The series at hand: those copied into the collection, then those of the library."""

from collections import Counter
from collections.abc import Sequence

from core.catalogue.load import (
    library_ids,
    library_texts,
    load_series,
    read_series,
    series_text,
)
from core.errors import UnknownSeries
from core.model.issue import Series, SeriesId
from core.store.read import Reader
from core.store.unit import Unit


class SeriesShelf:
    """Series by id; read when first asked for, kept while their texts stay the same."""

    def __init__(self) -> None:
        self._texts: dict[SeriesId, tuple[str, str]] = {}
        self._read: dict[SeriesId, Series] = {}

    def refresh(self, reader: Reader) -> None:
        """Learn the texts of the collection's own series anew."""
        before = self._texts
        self._texts = {
            SeriesId(row.code): (row.series_toml, row.issues_csv) for row in reader.series_texts()
        }
        for code in list(self._read):
            if self._texts.get(code) != before.get(code):
                del self._read[code]

    def _own(self, code: SeriesId) -> Series:
        series = self._read.get(code)
        if series is None:
            texts = self._texts[code]
            is_library = code in library_ids() and library_texts(code) == texts
            series = load_series(code) if is_library else read_series(*texts)
            self._read[code] = series
        return series

    def texts(self, code: SeriesId) -> tuple[str, str] | None:
        """The two texts that the collection carries of a series, None where it carries none."""
        return self._texts.get(code)

    @property
    def in_use(self) -> Sequence[Series]:
        """The collection's own series."""
        return tuple(self._own(code) for code in self._texts)

    def all_known(self) -> Sequence[Series]:
        """The collection's own series, then the rest of the library as one looks through it."""
        rest = [load_series(code) for code in library_ids() if code not in self._texts]
        return (*self.in_use, *by_issuer(rest))

    def get(self, code: SeriesId) -> Series:
        """A series by id; raises UnknownSeries, naming those at hand."""
        if code in self._texts:
            return self._own(code)
        if code in library_ids():
            return load_series(code)
        known = ", ".join(dict.fromkeys([*self._texts, *library_ids()]))
        raise UnknownSeries(f"There is no series “{code}”; choose one of {known}.")

    def require(self, unit: Unit, code: SeriesId) -> Series:
        """A series by id, copied into the collection if it is not there yet."""
        series = self.get(code)
        if code not in self._texts:
            unit.add_series(code, series.title, *series_text(series))
        return series


def by_issuer(series: Sequence[Series]) -> list[Series]:
    """Series as one looks through them: those of the issuer with the most first.

    Small values stand before large ones, of one value the latest first; what is invented last.
    """
    most = Counter(one.issuer for one in series)
    return sorted(
        series,
        key=lambda one: (
            one.is_invented, -most[one.issuer], one.issuer,
            one.face_value_minor, -one.dates[-1][1], one.title,
        ),
    )  # fmt: skip
