"""The pages of the editor of series, and what is found out about its sheets. No Qt here."""

from dataclasses import dataclass

from core.app.work import Progress
from core.catalogue.draft import ROWS
from core.errors import BadEntry
from gui.series.sheets import RULE_PART, SIGNS, TOTALS, VARIETIES, Checked, Sheets
from gui.series.sheets_check import check_sheets, made_rows
from gui.series.sheets_edit import made_text
from gui.series.tables import Table, is_blank

PAGES = ("The series", "Rows", "Varieties", "Signs and totals")
HEAD_AT, ROWS_AT, VARIETIES_AT, MORE_AT = range(len(PAGES))


@dataclass(frozen=True, slots=True)
class Looked:
    """Sheets that were checked, and the rows that their rule makes (None: it makes no sense)."""

    sheets: Sheets
    checked: Checked
    made: Table | None
    would: str


def look(sheets: Sheets, series_id: str, progress: Progress) -> Looked:
    """Check sheets, and see what their rule makes; some ms, so on the worker."""
    made: Table | None = None
    would = ""
    if not is_blank(sheets.rule):
        try:
            made = made_rows(sheets)
            would = made_text(sheets.rows, made)
        except BadEntry:
            would = ""
    progress.check()
    return Looked(sheets, check_sheets(sheets, series_id), made, would)


def page_of(part: str) -> int:
    """The page on which a part is."""
    if part in (ROWS, RULE_PART):
        return ROWS_AT
    if part in (SIGNS, TOTALS):
        return MORE_AT
    return VARIETIES_AT if part == VARIETIES else HEAD_AT
