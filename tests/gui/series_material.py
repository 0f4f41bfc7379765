"""Series of one's own, and copies older than the library's, for the tests of the page of series."""

from dataclasses import replace

from core.app.changes import Changes
from core.app.order import Context, Operation
from core.catalogue.draft import SeriesDraft, empty_draft
from core.catalogue.draft_rows import Rule, generate
from core.catalogue.load import library_texts, load_series
from core.catalogue.write import write_series
from core.model.issue import Mint, SeriesId
from core.store.unit import Unit
from gui.desk import Desk
from tests.gui.desk_material import NICKELS, collection_of


def harbour_draft(first: int = 1900, last: int = 1912) -> SeriesDraft:
    """Invented pennies of two mints, without faults."""
    draft = replace(
        empty_draft(),
        id="harbour-pennies",
        title="Harbour pennies",
        issuer="Harbour Office (invented)",
        denomination="one penny",
        currency="XHB",
        face_value="1",
        mints=(Mint("N", "North Quay", "N"), Mint("L", "Lantern Isle", "L")),
    )
    rows = generate(Rule(first, last, ()), draft.mints, "usual", "usual")
    return replace(draft, rows=rows)


def with_older_copy(desk: Desk, series_id: SeriesId = NICKELS) -> None:
    """Let the collection's copy lack the last year, and have one figure otherwise."""
    series = load_series(series_id)
    last = series.issues[-1].year
    kept = [issue for issue in series.issues if issue.year < last]
    kept[0] = replace(kept[0], mintage=1)
    older = replace(series, issues=tuple(kept), _masks={})
    texts = library_texts(series_id)[0], write_series(older)[1]

    def work(unit: Unit, context: Context) -> Changes:
        unit.put_series(series_id, series.title, *texts)
        return Changes.everything()

    collection_of(desk).run(Operation("an older copy", work))
