"""`slotleaf leaves`: what it writes, what it refuses, and that nothing private gets out."""

import io
import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pypdf
import pytest
from PIL import Image

from core.app.collection import Collection
from core.app.operations import edit_coins, set_note
from core.app.past import SlotChange
from core.app.picture_order import Kind, PictureOrder, What
from core.app.pictures import draw, drawn_of, news_of
from core.model.album import AlbumId
from core.model.state import Mark, SlotState
from tests.cli_material import slotleaf

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def jar(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("jar") / "jar.slotleaf"
    assert slotleaf("demo", file).code == 0
    return file


def words_of_svg(path: Path) -> list[str]:
    root = ET.fromstring(path.read_bytes())
    return [g.get("aria-label", "") for g in root.iter(f"{SVG}g") if g.get("aria-label")]


def words_of_pdf(data: bytes) -> str:
    return "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages)


def test_sheets_on_each_paper_tell_the_counts_and_the_date(jar: Path, tmp_path: Path) -> None:
    with Collection.open(jar, read_only=True) as collection:
        head = collection.album_view(AlbumId(1)).headline
    have, gaps = head.text, f"{head.states[SlotState.GAP]} gaps"
    sides = {"a4": (210, 297), "letter": (216, 279), "a5": (148, 210)}
    for paper, (width, height) in sides.items():
        out = tmp_path / f"{paper}.pdf"
        said = slotleaf("leaves", jar, "nick", "-o", out, "--paper", paper)
        assert said.out == f"Wrote {out}: Nickels 1938–1964, {have}.\n"
        pages = pypdf.PdfReader(out).pages
        for number, page in enumerate(pages, 1):
            box = [round(float(side) * 25.4 / 72) for side in page.mediabox[2:]]
            assert sorted(box) == [width, height]
            text = page.extract_text()
            assert have in text
            assert f"page {number} of {len(pages)}" in text
        whole = words_of_pdf(out.read_bytes())
        assert all(year in whole for year in ("1938", "1950", "1964", "Leaf 3", gaps))
    assert slotleaf("leaves", jar, "nick", "-o", tmp_path / "again.pdf", "--paper", "a5").code == 0
    assert (tmp_path / "again.pdf").read_bytes() == (tmp_path / "a5.pdf").read_bytes()


def test_the_key_tells_the_marks_that_are_drawn_and_no_others(jar: Path, tmp_path: Path) -> None:
    out = tmp_path / "leaf.svg"
    assert slotleaf("leaves", jar, "nick", "-o", out).code == 0
    words = words_of_svg(out)
    with Collection.open(jar, read_only=True) as collection:
        slots = collection.album_view(AlbumId(1)).slots
    waiting = sum(Mark.SPARE_WAITING in slot.marks for slot in slots)
    pinned = sum(Mark.PINNED in slot.marks for slot in slots)
    assert {f"{waiting} spares waiting", f"{pinned} pinned"} <= set(words)
    assert slotleaf("leaves", jar, "nick", "-o", out, "--as-of", "2025-07-01").code == 0
    assert not [word for word in words_of_svg(out) if "spare" in word or "on order" in word]


def test_a_picture_of_a_leaf_shows_that_leaf_and_counts_it(jar: Path, tmp_path: Path) -> None:
    out = tmp_path / "leaf.svg"
    assert slotleaf("leaves", jar, "nick", "-o", out, "--leaf", "2").code == 0
    words = words_of_svg(out)
    assert "Leaf 2" in words
    assert "Leaf 1" not in words
    assert {"1947", "1955"} <= set(words)
    assert "1938" not in words
    with Collection.open(jar, read_only=True) as collection:
        view = collection.album_view(AlbumId(1))
    row = view.leaves[1].rows
    gaps = sum(
        view.slots[cell.slot].state is SlotState.GAP
        for line in row
        for cell in line.cells
        if cell.slot is not None
    )
    assert f"{gaps} gaps" in words


@pytest.mark.parametrize(
    ("options", "size"),
    [((), (1240, 919)), (("--scale", "2"), (2480, 1838)), (("--width", "620"), (620, 460)),
     (("--card",), (1600, 900)), (("--card", "--width", "800"), (800, 450))],
)  # fmt: skip
def test_a_png_has_the_size_asked(
    options: tuple[str, ...], size: tuple[int, int], jar: Path, tmp_path: Path
) -> None:
    out = tmp_path / "nickels.PNG"
    said = slotleaf("leaves", jar, "nick", "-o", out, *options)
    assert said.code == 0, said
    with Image.open(out) as picture:
        assert picture.size == size


def test_themes_and_a_clear_ground(jar: Path, tmp_path: Path) -> None:
    corners = {}
    for theme in ("light", "dark", "paper"):
        out = tmp_path / f"{theme}.png"
        assert slotleaf("leaves", jar, "dime", "-o", out, "--theme", theme).code == 0
        dots = rgba(out)
        corners[theme] = tuple(int(value) for value in dots[0, 0])
        if theme == "paper":
            assert (dots[..., 0] == dots[..., 1]).all()
            assert (dots[..., 1] == dots[..., 2]).all()
    assert corners == {
        "light": (251, 249, 244, 255), "dark": (23, 24, 26, 255), "paper": (255, 255, 255, 255),
    }  # fmt: skip
    out = tmp_path / "clear.png"
    assert slotleaf("leaves", jar, "dime", "-o", out, "--transparent").code == 0
    assert rgba(out)[0, 0, 3] == 0


def rgba(path: Path) -> npt.NDArray[np.uint8]:
    with Image.open(path) as picture:
        return np.asarray(picture.convert("RGBA"))


def test_a_card_names_what_changed_since_a_day(jar: Path, tmp_path: Path) -> None:
    out = tmp_path / "card.svg"
    said = slotleaf("leaves", jar, "nick", "-o", out, "--card", "--since", "2026-05-01")
    words = words_of_svg(out)
    with Collection.open(jar, read_only=True) as collection:
        changes = collection.changed_since(AlbumId(1), date(2026, 5, 1))
        view = collection.album_view(AlbumId(1))
    labels = {v.slot.label for v in view.slots if v.slot.id in changes}
    assert SlotChange.NEW in changes.values()
    assert labels <= set(words)
    assert said.out.endswith(f", {len(changes)} changed since 2026-05-01.\n")
    told = {view.headline.text, f"at target {view.headline.at_target}", "SINCE 1 MAY 2026"}
    assert told <= set(words)


def test_a_picture_as_of_a_past_day_is_of_that_day(jar: Path, tmp_path: Path) -> None:
    out = tmp_path / "then.svg"
    words = ("leaves", jar, "nick", "-o", out, "--as-of", "2026-01-01", "--since", "2025-11-01")
    assert slotleaf(*words, "--card").code == 0
    told = words_of_svg(out)
    with Collection.open(jar, read_only=True) as collection:
        past = collection.album_past(AlbumId(1))
        then, before = past.coins_on(date(2026, 1, 1)), past.coins_on(date(2025, 11, 1))
        headline = past.view_on(date(2026, 1, 1)).headline
        drawn = drawn_of(collection, AlbumId(1), date(2026, 1, 1), date(2025, 11, 1))
    assert headline.text in told
    assert "as of 1 January 2026" in told
    differing = {slot for slot in {*then, *before} if then.get(slot) != before.get(slot)}
    assert set(drawn.shown_changes) == differing
    news = news_of(drawn)
    assert news is not None
    assert len(news.lines) == len(differing) > 3


REFUSED = {
    "an ending it does not know": (("-o", "x.txt"), "let its name end in .pdf"),
    "a leaf that is not there": (("-o", "x.png", "--leaf", "9"), "has no leaf 9; it has 3 leaves"),
    "a leaf of a card": (("-o", "x.png", "--card", "--leaf", "1"), "shows the whole album"),
    "paper for a picture": (("-o", "x.png", "--paper", "a5"), "--paper is for sheets"),
    "paper for a card": (("-o", "x.pdf", "--card", "--paper", "a5"), "--paper is for sheets"),
    "pixels for a PDF": (("-o", "x.pdf", "--width", "900"), "A PDF has no pixels"),
    "two sizes": (("-o", "x.png", "--width", "9", "--scale", "2"), "both set the size"),
    "colours for sheets": (("-o", "x.pdf", "--theme", "dark"), "Sheets are black"),
    "too large": (("-o", "x.png", "--width", "99999"), "is too large to draw"),
    "too small": (("-o", "x.svg", "--scale", "0.001"), "is too small to draw"),
    "no size": (("-o", "x.png", "--scale", "nan"), "is no size of a picture"),
    "no size of an SVG": (("-o", "x.svg", "--scale", "nan"), "is no size of a picture"),
    "no end": (("-o", "x.svg", "--scale", "inf"), "is no size of a picture"),
    "a day to come": (("-o", "x.png", "--since", "2999-01-01"), "still to come"),
    "no day": (("-o", "x.png", "--since", "May"), "is no day"),
    "days the wrong way round": (
        ("-o", "x.png", "--as-of", "2026-01-01", "--since", "2026-01-01"), "Nothing lies between",
    ),
    "no such album": (("-o", "x.png"), "There is no album"),
}  # fmt: skip


@pytest.mark.parametrize("why", REFUSED)
def test_what_cannot_be_done_is_told_and_nothing_written(
    why: str, jar: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    words, told = REFUSED[why]
    said = slotleaf("leaves", jar, "florins" if why == "no such album" else "nick", *words)
    assert said.code == 1
    assert told in said.err
    assert said.err.count("\n") == 1
    assert list(tmp_path.iterdir()) == []


def test_an_svg_may_be_larger_than_any_picture_of_dots(jar: Path, tmp_path: Path) -> None:
    """As is said where a PNG is refused."""
    out = tmp_path / "x.svg"
    assert slotleaf("leaves", jar, "nick", "-o", out, "--width", "99999").code == 0
    assert ET.fromstring(out.read_bytes()).get("width") == "99999"


@pytest.mark.parametrize("ending", ["pdf", "png", "svg"])
def test_only_a_file_of_its_own_kind_is_written_over(
    ending: str, jar: Path, tmp_path: Path
) -> None:
    out = tmp_path / f"mine.{ending}"
    out.write_bytes(jar.read_bytes())
    before = out.read_bytes()
    said = slotleaf("leaves", jar, "nick", "-o", out)
    assert said.code == 1
    assert f"is there already and is no {ending.upper()}" in said.err
    assert out.read_bytes() == before
    out.unlink()
    for _ in range(2):
        assert slotleaf("leaves", jar, "nick", "-o", out).code == 0
    assert [path.name for path in tmp_path.iterdir()] == [out.name]


def test_nothing_private_is_on_a_card_or_picture(jar: Path, tmp_path: Path) -> None:
    """Prices, places, notes, where a coin came from, the collection's name."""
    mine = tmp_path / "mine.slotleaf"
    assert slotleaf("copy", jar, "-o", mine).code == 0
    with Collection.open(mine) as collection:
        view = collection.album_view(AlbumId(1))
        held = [v for v in view.slots if v.coin is not None]
        for seen in held[:3]:
            collection.run(set_note(seen.slot.id, "SECRETNOTE"))
        coins = [
            replace(v.coin, note="SECRETNOTE", place="SECRETPLACE", came_from="SECRETSHOP")
            for v in held[:9]
            if v.coin is not None
        ]
        collection.run(edit_coins(coins))
        drawn = drawn_of(collection, AlbumId(1), since=date(2025, 6, 1))
        files = [
            draw(drawn, PictureOrder(Kind.SVG, what)).decode() for what in (What.CARD, What.ALBUM)
        ]
        files.append(words_of_pdf(draw(drawn, PictureOrder(Kind.PDF, What.CARD))))
        name = collection.name
    for text in files:
        assert "SECRET" not in text.upper()
        assert name not in text
        assert "1943-D" in text or "1943" in text
