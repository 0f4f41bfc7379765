"""The scenes of the page of series and of its editor, for the contact sheets."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from core.catalogue.draft import SeriesDraft, empty_draft
from core.catalogue.draft_rows import Rule, generate
from core.model.issue import Mint, SeriesId
from gui.series.dialog import SeriesDialog
from gui.series.editor import SeriesEditor
from gui.series.import_dialog import ImportSeriesDialog
from tests.gui.desk_material import a_desk, an_album, collection_of
from tests.gui.series_material import harbour_draft, with_older_copy


def _settle() -> None:
    for _ in range(3):
        QTest.qWait(120)
        QApplication.processEvents()


def _page(folder: Path, series: str = "us-nickel-jefferson") -> SeriesDialog:
    desk = a_desk(folder)
    an_album(desk)
    dialog = SeriesDialog(None, desk, SeriesId(series))
    dialog.resize(1216, 728)
    dialog.show()
    _settle()
    return dialog


def series(folder: Path) -> QWidget:
    return _page(folder)


def series_varieties(folder: Path) -> QWidget:
    page = _page(folder, "us-cent-lincoln")
    page.card.show_tab(1)
    _settle()
    return page


def series_details(folder: Path) -> QWidget:
    page = _page(folder, "us-quarter-national-parks")
    page.card.show_tab(2)
    _settle()
    return page


HARBOUR = {
    "title": "Harbour pennies",
    "issuer": "Harbour Office (invented)",
    "denomination": "one penny",
    "currency": "XHB",
    "face_value": "1",
}


def an_editor(folder: Path, draft: SeriesDraft | None = None) -> SeriesEditor:
    """The editor on an invented series, 1900 to 1912, of two mints."""
    desk = a_desk(folder)
    editor = SeriesEditor(None, desk, draft or empty_draft(), (), True)
    editor.resize(1216, 728)
    editor.show()
    if draft is None:
        for name, text in HARBOUR.items():
            editor._on_field(name, text)
        mints = (("N", "North Quay", "N"), ("L", "Lantern Isle", "L"))
        editor._on_edited("mint", mints, "type")
        for name, text in (("first", "1900"), ("last", "1912"), ("without", "1902 L, 1907")):
            editor._on_rule(name, text)
        editor._check()
    _settle()
    return editor


def series_editor_new(folder: Path) -> QWidget:
    return an_editor(folder, empty_draft())


def series_editor(folder: Path) -> QWidget:
    return an_editor(folder)


def series_editor_rows(folder: Path) -> QWidget:
    editor = an_editor(folder)
    editor.show_page(1)
    grid = editor.rows_page.grid
    rows = [list(row) for row in editor.sheets.rows]
    rows[2][9], rows[4][2], rows[5][0] = "12 thousand", "Q", ""
    grid.edited.emit(tuple(map(tuple, rows)), "type")
    editor._check()
    grid.go_to(2, 9)
    grid.begin()
    _settle()
    return editor


def series_editor_varieties(folder: Path) -> QWidget:
    from core.catalogue.draft import draft_of
    from core.catalogue.load import load_series

    editor = an_editor(folder, draft_of(load_series(SeriesId("us-cent-lincoln"))))
    editor.show_page(2)
    editor.reject()
    editor._on_field("title", "Cents from my grandfather's tins, with a title that goes on and on "
                     "until there is no room left for it in the window at all")  # fmt: skip
    editor.reject()
    _settle()
    return editor


def series_own(folder: Path) -> QWidget:
    """One of one's own with a long title, and nothing found in its rows."""
    from core.app.own_series import save_series

    title = "Pennies of the harbour office and of every lighthouse, quay and ferry beside it"
    desk = a_desk(folder)
    collection_of(desk).run(save_series(replace(harbour_draft(), title=title)))
    dialog = SeriesDialog(None, desk, SeriesId("harbour-pennies"))
    dialog.resize(1216, 728)
    dialog.show()
    _settle()
    dialog.card.search.setText("1850")
    _settle()
    return dialog


def series_update(folder: Path) -> QWidget:
    """The library has newer figures, and an album grows by them."""
    desk = a_desk(folder)
    an_album(desk, "Nickels from 1938 on", years=None)
    an_album(desk)
    with_older_copy(desk)
    dialog = SeriesDialog(None, desk, SeriesId("us-nickel-jefferson"))
    dialog.resize(1856, 1000)
    dialog.show()
    _settle()
    return dialog


def series_none(folder: Path) -> QWidget:
    page = _page(folder)
    page.search.setText("doubloons")
    _settle()
    return page


def series_small(folder: Path) -> QWidget:
    """As little room as a screen at 200 % leaves."""
    page = _page(folder, "us-cent-lincoln")
    page.resize(940, 600)
    _settle()
    return page


def series_editor_many(folder: Path) -> QWidget:
    """3,000 rows, the last one faulty, at the size of a large screen."""
    draft = replace(harbour_draft(1, 1000), id="")
    mints = (*draft.mints, Mint("M", "Mole Head", "M"))
    rows = generate(Rule(1, 1000, ()), mints, "usual", "usual")
    rows = (*rows[:-1], replace(rows[-1], mintage="-5"))
    editor = an_editor(folder, replace(draft, mints=mints, rows=rows))
    editor.resize(1520, 960)
    editor.show_page(1)
    editor.faults.go(1)
    _settle()
    return editor


def series_import(folder: Path) -> QWidget:
    dialog = ImportSeriesDialog(None, a_desk(folder))
    dialog.show()
    lines = [f"{year}\t{mint}\t{(year - 1890) * 8400:,}" for year in range(1900, 1924)
             for mint in "NL"]  # fmt: skip
    dialog.text.setPlainText("\n".join(["date\tmint\tmintage", *lines]))
    dialog.read()
    _settle()
    return dialog


def series_import_faults(folder: Path) -> QWidget:
    dialog = ImportSeriesDialog(None, a_desk(folder))
    dialog.show()
    dialog.text.setPlainText("date,mint\n1900,N\n,L\nH.E. 12,N\n1901,N,3,4\n")
    dialog.read()
    _settle()
    return dialog


def series_editor_more(folder: Path) -> QWidget:
    from core.catalogue.draft import draft_of
    from core.catalogue.load import load_series

    editor = an_editor(folder, draft_of(load_series(SeriesId("harbour-token"))))
    editor.show_page(3)
    _settle()
    return editor


def series_editor_small(folder: Path) -> QWidget:
    """As little room as a screen at 200 % leaves."""
    editor = an_editor(folder)
    editor.resize(940, 600)
    _settle()
    return editor


SCENES: dict[str, Callable[[Path], QWidget]] = {
    "series": series,
    "series-varieties": series_varieties,
    "series-details": series_details,
    "series-own": series_own,
    "series-update": series_update,
    "series-none": series_none,
    "series-small": series_small,
    "series-editor-many": series_editor_many,
    "series-import": series_import,
    "series-import-faults": series_import_faults,
    "series-editor-new": series_editor_new,
    "series-editor": series_editor,
    "series-editor-rows": series_editor_rows,
    "series-editor-more": series_editor_more,
    "series-editor-small": series_editor_small,
    "series-editor-varieties": series_editor_varieties,
}
