"""The scenes of the page of series and of its editor, for the contact sheets."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from core.catalogue.draft import SeriesDraft, empty_draft
from core.model.issue import SeriesId
from gui.series.dialog import SeriesDialog
from gui.series.editor import SeriesEditor
from tests.gui.desk_material import a_desk, an_album


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


SCENES: dict[str, Callable[[Path], QWidget]] = {
    "series": series,
    "series-varieties": series_varieties,
    "series-details": series_details,
    "series-editor-new": series_editor_new,
    "series-editor": series_editor,
    "series-editor-rows": series_editor_rows,
    "series-editor-varieties": series_editor_varieties,
}
