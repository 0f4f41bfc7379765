"""The series at hand: those copied into the collection, then those of the library."""

from collections.abc import Sequence

from core.catalogue.load import library_ids, load_series, read_series, series_text
from core.errors import UnknownSeries
from core.model.issue import Series, SeriesId
from core.store.read import Reader, SeriesRow
from core.store.unit import Unit


class SeriesShelf:
    """Series by id; read once, kept while their texts stay the same."""

    def __init__(self) -> None:
        self._known: dict[SeriesId, Series] = {}
        self._texts: dict[SeriesId, tuple[str, str]] = {}

    def refresh(self, reader: Reader) -> None:
        """Read the collection's own series anew where their texts changed."""
        rows = {SeriesId(row.code): row for row in reader.series_texts()}
        for gone in set(self._known) - set(rows):
            del self._known[gone], self._texts[gone]
        for code, row in rows.items():
            self._keep(code, row)

    def _keep(self, code: SeriesId, row: SeriesRow) -> None:
        texts = (row.series_toml, row.issues_csv)
        if self._texts.get(code) == texts:
            return
        library = load_series(code) if code in library_ids() else None
        same = library is not None and series_text(library) == texts
        self._known[code] = library if same and library else read_series(*texts)
        self._texts[code] = texts

    @property
    def in_use(self) -> Sequence[Series]:
        """The collection's own series."""
        return tuple(self._known.values())

    def all_known(self) -> Sequence[Series]:
        """The collection's own series, then the rest of the library."""
        rest = [load_series(code) for code in library_ids() if code not in self._known]
        return (*self._known.values(), *rest)

    def get(self, code: SeriesId) -> Series:
        """A series by id; raises UnknownSeries, naming those at hand."""
        if code in self._known:
            return self._known[code]
        if code in library_ids():
            return load_series(code)
        known = ", ".join(dict.fromkeys([*self._known, *library_ids()]))
        raise UnknownSeries(f"There is no series “{code}”; choose one of {known}.")

    def require(self, unit: Unit, code: SeriesId) -> Series:
        """A series by id, copied into the collection if it is not there yet."""
        series = self.get(code)
        if code not in self._known:
            unit.add_series(code, series.title, *series_text(series))
        return series
