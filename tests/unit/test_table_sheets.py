"""The sheets for the sorting table, read back from the PDF against the album they are for."""

from collections import Counter
from collections.abc import Iterator
from ctypes import c_uint
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest
from pypdfium2 import raw

from core.app.collection import Collection
from core.app.operations import add_coins, place_coin
from core.app.table_sheets import SheetKind, closer_sheet, sheet_pdf, tally_sheet
from core.errors import CollectionError
from core.model.plan_album import Varieties
from core.printing.checklist import Paper
from core.printing.pdf import measure
from core.printing.png import page_count
from core.printing.table_sheets import MOST_TALLIES, tally_pages
from tests.collection_material import CENTS, a_box, a_collection, an_album, read_coin, slot
from tests.unit.test_box_report import pdf_text


@pytest.fixture(scope="module")
def jar(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Collection]:
    """Cents 1954 to 1956, main varieties too; 1955-D is filled, 1956 below target."""
    with a_collection(tmp_path_factory.mktemp("sheets")) as collection:
        an_album(collection, "Nickels", CENTS, (1954, 1956), varieties=Varieties.MAIN)
        for entry, label in (("1955-D xf40", "1955-D"), ("1956 g4", "1956")):
            coin = read_coin(collection, entry, CENTS)
            (number,) = collection.run(add_coins([coin])).made_coins
            collection.run(place_coin(number, slot(collection, label)))
        yield collection


def test_look_closer_tells_open_slots_first_then_the_other_coins(jar: Collection) -> None:
    album = jar.albums()[0].id
    sheet = closer_sheet(jar, jar.album_view(album))
    mine = {(one.date, one.name): one for one in sheet.for_slots}
    assert ("1955", "doubled die obverse") in mine
    assert mine["1955", "doubled die obverse"].slots == ("1955",)
    assert {one.date[:4] for one in sheet.for_slots} <= {"1954", "1955", "1956"}
    assert [one.date for one in sheet.others] == sorted(one.date for one in sheet.others)
    series = jar.series(CENTS)
    told = {(one.date[:4], one.name) for one in (*sheet.for_slots, *sheet.others)}
    for variety in series.varieties:
        dates = {i.date for i in series.issues_of(series.variety_mask(variety))}
        is_told = any((date, variety.name) in told for date in dates)
        assert is_told == (str(variety.odds) != "not in rolls") or len(dates) > 1, variety.id


def test_the_look_closer_sheet_has_every_marker_with_its_number(jar: Collection) -> None:
    album = jar.albums()[0].id
    sheet = closer_sheet(jar, jar.album_view(album))
    text = pdf_text(sheet_pdf(jar, SheetKind.CLOSER, album)).replace("- ", "-")
    assert "For open slots" in text
    assert "Also in these coins" in text
    for entry in (*sheet.for_slots, *sheet.others):
        for marker in entry.markers:
            assert marker.place in text
            assert " ".join(marker.see.split()[:3]) in text
    used = {m.number for one in sheet.others for m in one.markers}
    assert len(used) > 3


def test_numbers_stand_in_white_on_filled_spots_and_all_else_in_black(jar: Collection) -> None:
    album = jar.albums()[0].id
    sheet = closer_sheet(jar, jar.album_view(album))
    entries = (*sheet.for_slots, *sheet.others)
    decide = sum(
        m.evidence.value == "decides" and m.number > 0 for one in entries for m in one.markers
    )
    colours = text_colours(sheet_pdf(jar, SheetKind.CLOSER, album))
    assert set(colours) == {(0, 0, 0), (255, 255, 255)}
    assert colours[255, 255, 255] >= 2 * decide * 0.9 > 10  # on the disc and beside the words


def text_colours(data: bytes) -> Counter[tuple[int, int, int]]:
    """How many pieces of text of a PDF stand in each colour."""
    found: Counter[tuple[int, int, int]] = Counter()
    document = pypdfium2.PdfDocument(data)
    try:
        for number in range(len(document)):
            for item in document[number].get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT]):
                parts = [c_uint() for _ in range(4)]
                assert raw.FPDFPageObj_GetFillColor(item, *parts)
                red, green, blue, _ = (part.value for part in parts)
                found[red, green, blue] += 1
    finally:
        document.close()
    return found


def test_the_tally_sheet_has_a_row_a_roll_and_a_box_for_every_open_slot(jar: Collection) -> None:
    box = a_box(jar, rolls=100, series=CENTS, denomination="US 1c", per_roll=50)
    view = jar.log.box_view(box)
    shown = jar.album_view(jar.albums()[0].id)
    sheet = tally_sheet(jar, shown, view)
    assert (sheet.rolls, sheet.about) == (100, "US 1c · 100 rolls of 50")
    assert sheet.tallies == tuple(one.name for one in jar.log.tallies("US 1c"))
    boxes = sum(bool(label) for row in sheet.open_rows for label in row.cells)
    wanted = [one for one in shown.slots if one.state.value in ("gap", "below target")]
    assert boxes + len(sheet.others) == len(wanted)
    text = pdf_text(sheet_pdf(jar, SheetKind.TALLY, box=box))
    for said in ("Wheat reverse", "99", "100", "Open slots", "1955", "P D S"):
        assert said in text
    lone = tally_sheet(jar, shown)
    assert (lone.rolls, lone.about) == (50, "US 1c · 50 rolls of 50")


def test_many_tallies_and_long_names_stay_on_the_paper(jar: Collection) -> None:
    shown = jar.album_view(jar.albums()[0].id)
    names = tuple(f"a very long name of a tally, number {n}" for n in range(20))
    sheet = replace(tally_sheet(jar, shown), tallies=names, others=("x" * 200,) * 90)
    for paper in (Paper.A4, Paper.LETTER, Paper.A5):
        for page in tally_pages(sheet, paper, measure):
            for text in page.texts:
                assert text.x > 0
                assert text.x + text.width < page.width, text
                assert text.y < page.height
    assert len(names) > MOST_TALLIES


def test_what_cannot_be_made_is_refused_in_words(jar: Collection, tmp_path: Path) -> None:
    album = jar.albums()[0].id
    with pytest.raises(CollectionError, match="which album"):
        sheet_pdf(jar, SheetKind.CLOSER)
    with pytest.raises(CollectionError, match="too small"):
        sheet_pdf(jar, SheetKind.TALLY, album, paper=Paper.INDEX_CARD)
    folder = tmp_path / "other"
    folder.mkdir()
    with a_collection(folder) as empty:
        plain = sheet_pdf(empty, SheetKind.CLOSER, box=a_box(empty, denomination="CA $2"))
        assert "Box 32" in pdf_text(plain)
        assert page_count(sheet_pdf(empty, SheetKind.TALLY, box=empty.log.boxes()[0].id)) == 1
