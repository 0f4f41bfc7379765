"""Which holes an album gets at real size, and what the command line says of them."""

import re
from dataclasses import replace
from pathlib import Path

import pdfplumber
import pytest

from core.app.picture_order import RealOrder, read_clearance
from core.app.real_size import hole_source, real_size_of
from core.app.views import AlbumView
from core.errors import BadEntry
from core.model.album import Wish
from core.model.arrangement import parse_arrangement
from core.model.issue import Description
from tests.builders import dimes
from tests.cli_material import slotleaf
from tests.collection_material import a_collection, an_album

MM_PER_POINT = 25.4 / 72  # ISO 32000-1:2008, 8.3.2.3


@pytest.fixture(scope="module")
def view(tmp_path_factory: pytest.TempPathFactory) -> AlbumView:
    with a_collection(tmp_path_factory.mktemp("real")) as collection:
        return collection.album_view(an_album(collection))


@pytest.fixture(scope="module")
def jar(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("jar") / "jar.slotleaf"
    assert slotleaf("demo", file).code == 0
    return file


def shaped(view: AlbumView, text: str) -> AlbumView:
    return replace(view, album=replace(view.album, arrangement=parse_arrangement(text)))


def test_a_chosen_hole_goes_before_the_albums_and_that_before_the_coins(view: AlbumView) -> None:
    first = int(view.slots[0].slot.id)
    plain = real_size_of(view, RealOrder())
    assert plain.diameters[first] == view.series.diameter_mm
    assert hole_source(view) == (f"{view.series.diameter_mm:g}", "from the series")
    shape = shaped(view, "years-by-mints; hole=24")
    assert hole_source(shape) == ("24", "from the album")
    of_album = real_size_of(shape, RealOrder(clearance_mm=1))
    assert (of_album.hole_mm, of_album.clearance_mm, of_album.diameters) == (24, 1, {})
    assert real_size_of(shape, RealOrder(30)).hole_mm == 30


def test_slots_of_another_series_have_holes_of_its_coins(view: AlbumView) -> None:
    other = dimes()
    slot = view.slots[3].slot
    moved = replace(slot, accepts=Description.of(other.id, {}))
    slots = tuple(replace(v, slot=moved) if v.slot is slot else v for v in view.slots)
    mixed = replace(view, slots=slots, others={other.id: other})
    look = real_size_of(mixed, RealOrder())
    assert look.diameters[int(slot.id)] == other.diameter_mm
    assert look.diameters[int(view.slots[0].slot.id)] == view.series.diameter_mm
    sizes, source = hole_source(mixed)
    assert sizes == f"{other.diameter_mm:g} to {view.series.diameter_mm:g}"
    assert "each coin" in source


def test_where_a_diameter_is_not_known_the_hole_must_be_chosen(view: AlbumView) -> None:
    unknown = replace(view, series=replace(view.series, diameter_mm=None))
    assert hole_source(unknown) == ("", "")
    with pytest.raises(BadEntry, match=re.escape(f"“{view.series.title}” are is not known")):
        real_size_of(unknown, RealOrder())
    assert real_size_of(unknown, RealOrder(21)).hole_mm == 21
    assert real_size_of(replace(unknown, slots=()), RealOrder()).diameters == {}


def test_labels_are_those_drawn_and_only_figures_that_are_known_stand_below(
    view: AlbumView,
) -> None:
    slot = view.slots[0]
    optional = replace(slot, slot=replace(slot.slot, wish=Wish.OPTIONAL), label=f"[{slot.label}]")
    look = real_size_of(replace(view, slots=(optional, *view.slots[1:])), RealOrder())
    assert look.labels[int(slot.slot.id)] == f"[{slot.label}]"
    for shown in view.slots:
        number, _ = view.series.mintage_of(view.series.may_be(shown.slot.accepts))
        note = look.notes.get(int(shown.slot.id), "")
        assert note.startswith(f"{number:,}") if number is not None else not note
    templated = shaped(view, "running:9x5; label={date} {mintage}")
    assert real_size_of(templated, RealOrder()).notes == {}


def test_the_paper_lies_as_chosen_else_as_the_album_is_shaped(view: AlbumView) -> None:
    wide = shaped(view, "running:9x5; wide")
    assert real_size_of(wide, RealOrder()).is_wide is True
    assert real_size_of(wide, RealOrder(is_wide=False)).is_wide is False
    assert real_size_of(view, RealOrder()).is_wide is None


@pytest.mark.parametrize(("text", "size"), [("0", 0), ("0,4", 0.4), (" 1.25 mm", 1.25), ("20", 20)])
def test_a_clearance_is_read_as_it_is_written(text: str, size: float) -> None:
    assert read_clearance(text) == size


@pytest.mark.parametrize("text", ["", "-1", "20.5", "wide", "0.333", "1e1", "٤", "nan"])
def test_what_is_no_clearance_says_what_is(text: str) -> None:
    with pytest.raises(BadEntry, match="is no clearance; write millimetres, 0 to 20"):
        read_clearance(text)


# --- the command line --------------------------------------------------------------------------


def test_sheets_at_real_size_are_written_with_the_holes_asked_for(
    jar: Path, tmp_path: Path
) -> None:
    out = tmp_path / "holes.pdf"
    options = ("--hole", "22,5", "--clearance", "0.5", "--paper", "a5", "--landscape")
    said = slotleaf("leaves", jar, "dime", "-o", out, "--real-size", "--leaf", "1", *options)
    assert (said.code, said.err) == (0, "")
    with pdfplumber.open(out) as document:
        for page in document.pages:
            assert page.width > page.height
            sizes = {round((c["x1"] - c["x0"]) * MM_PER_POINT, 1) for c in page.curves}
            assert sizes <= {22.9, 23.0, 23.1}
            assert sizes
            assert "leaf 1" in page.extract_text()


def test_without_a_hole_it_is_the_coins_own(jar: Path, tmp_path: Path) -> None:
    out = tmp_path / "holes.pdf"
    assert slotleaf("leaves", jar, "cent", "-o", out, "--real-size", "--paper", "letter").code == 0
    with pdfplumber.open(out) as document:
        text = " ".join(page.extract_text() for page in document.pages)
    assert "Holes of 19.45 mm: 19.05 mm and 0.4 mm of clearance." in text


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("-o", "holes.png", "--real-size"), "let the name end in .pdf"),
        (("-o", "holes.pdf", "--real-size", "--card"), "without --card"),
        (("-o", "holes.pdf", "--real-size", "--since", "2024-05-31"), "--since"),
        (("-o", "holes.pdf", "--hole", "20"), "--hole is for sheets at real size"),
        (("-o", "holes.pdf", "--clearance", "1"), "--clearance is for sheets at real size"),
        (("-o", "holes.pdf", "--portrait"), "is for sheets at real size"),
        (("-o", "holes.pdf", "--real-size", "--hole", "wide"), "“wide” is no hole"),
        (("-o", "holes.pdf", "--real-size", "--clearance", "-1"), "“-1” is no clearance"),
        (("-o", "holes.pdf", "--real-size", "--hole", "119", "--paper", "a5"), "is too large"),
        (("-o", "holes.pdf", "--real-size", "--leaf", "99"), "has no leaf 99"),
    ],
)  # fmt: skip
def test_what_does_not_go_together_is_refused_and_nothing_written(
    options: tuple[str, ...],
    said: str,
    jar: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    heard = slotleaf("leaves", jar, "nick", *options)
    assert heard.code == 1
    assert said in heard.err
    assert not list(tmp_path.iterdir())
