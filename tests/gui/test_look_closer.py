"""“Look closer” of the slot card: spots and lines pick each other out, by pointer and by keys."""

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from core.app.slot_card import numbered
from core.app.views import LookCloser, MarkerLine
from core.glyph.palette import LIGHT
from core.model.issue import Evidence, Face
from gui.leaf.card_parts import ShortList
from gui.leaf.look_closer import LookCloserList, shown_at_once
from gui.leaf.spot_disc import SPOT_PX, SpotDisc, paint_spot, spot_tip, spots_of
from gui.widgets import Card, Label, QuietButton


def marker(
    place: str, evidence: Evidence, face: Face = Face.OBVERSE, x: float = 0.0, y: float = 0.0
) -> MarkerLine:
    return MarkerLine(0, place, f"what the {place} shows", evidence, face, x, y)


def look(name: str, *markers: MarkerLine, is_open: bool = True) -> LookCloser:
    known = "" if is_open else "ruled out"
    return LookCloser(name, "where", "look", "possible", known, "a work", markers, is_open)


DATE = marker("date", Evidence.DECIDES, x=0.6, y=0.4)
SAME_DATE = marker("digits", Evidence.EXCLUDES, x=0.6, y=0.4)
MOTTO = marker("motto", Evidence.SUPPORTS, y=-0.85)
DOME = marker("dome", Evidence.DECIDES, Face.REVERSE, y=-0.5)
EDGE = marker("edge", Evidence.SUPPORTS, Face.EDGE)


@pytest.fixture
def shown(qapp: QApplication) -> Iterator[LookCloserList]:
    card = Card()
    part = LookCloserList(card)
    card.box.addWidget(part)
    card.box.addStretch(1)
    card.resize(300, 900)
    card.show()
    card.activateWindow()
    card.setFocus()
    QApplication.processEvents()
    yield part
    card.close()
    card.deleteLater()


def fill(shown: LookCloserList, *lines: LookCloser) -> None:
    shown.fill(numbered(lines))
    QApplication.processEvents()


def texts(shown: LookCloserList) -> list[str]:
    return [label.text() for label in shown.findChildren(Label) if label.isVisibleTo(shown)]


def picked_rows(shown: LookCloserList) -> list[str]:
    return [r.marker.place for entry in shown.entries for r in entry.rows if r.is_picked]


def test_one_disc_where_one_face_is_needed_and_two_where_both_are(shown: LookCloserList) -> None:
    fill(shown, look("one", DATE, MOTTO))
    assert {spot.face for spot in shown.disc.spots} == {Face.OBVERSE}
    alone = shown.disc.middle_of(Face.OBVERSE)
    assert abs(alone.x() - shown.disc.width() / 2) < 1
    fill(shown, look("one", DATE, MOTTO), look("two", DOME))
    assert shown.disc.middle_of(Face.OBVERSE).x() < alone.x()
    assert shown.disc.middle_of(Face.REVERSE).x() > alone.x()
    for spot, point in shown.disc.places().items():
        assert shown.disc.rect().contains(point.toPoint()), spot


def test_a_marker_without_a_spot_is_listed_and_draws_no_disc(shown: LookCloserList) -> None:
    fill(shown, look("off-metal", EDGE))
    assert not shown.disc.isVisibleTo(shown)
    assert shown.key.isVisibleTo(shown)
    assert {"Edge", "supports"} <= set(texts(shown))


def test_without_markers_the_words_stand_alone(shown: LookCloserList) -> None:
    fill(shown, look("of one's own"))
    assert not shown.ground.isVisibleTo(shown)
    assert "where: look" in texts(shown)


def test_a_place_with_several_markers_has_one_spot_of_the_weightiest() -> None:
    lines = numbered([look("first", SAME_DATE), look("second", DATE)])
    (spot,) = spots_of(lines)
    assert (spot.number, spot.evidence, spot.place) == (1, Evidence.DECIDES, "digits / date")
    assert len(spot.tells) == 2
    assert "<b>1 digits / date</b>" in spot_tip(spot)


def test_hovering_a_spot_picks_out_its_lines_and_leaving_lets_go(shown: LookCloserList) -> None:
    fill(shown, look("one", DATE, MOTTO), look("two", SAME_DATE))
    disc = shown.disc
    QTest.mouseMove(disc, disc.places()[1].toPoint())
    QApplication.processEvents()
    assert picked_rows(shown) == ["date", "digits"]
    assert disc.picked == {1}
    QTest.mouseMove(disc, QPoint(1, 1))
    QApplication.processEvents()
    assert picked_rows(shown) == []
    assert disc.picked == frozenset()


def test_pointing_at_a_line_picks_out_its_spot(shown: LookCloserList) -> None:
    fill(shown, look("one", DATE, MOTTO))
    line = shown.entries[0].rows[1]
    line.hovered.emit(line.marker.number)
    assert shown.disc.picked == {2}
    assert picked_rows(shown) == ["motto"]


def test_arrow_keys_go_from_spot_to_spot_round_and_round(shown: LookCloserList) -> None:
    fill(shown, look("one", DATE, MOTTO), look("two", DOME))
    shown.disc.setFocus()
    fill(shown, look("one", DATE, MOTTO), look("two", DOME))  # another slot meanwhile
    seen = []
    for _press in range(4):
        seen.append(set(shown.disc.picked))
        QTest.keyClick(shown.disc, Qt.Key.Key_Right)
    assert seen == [{1}, {2}, {3}, {1}]
    QTest.keyClick(shown.disc, Qt.Key.Key_Left)
    assert shown.disc.picked == {1}
    assert "what the date shows" in shown.disc.accessibleDescription()


def test_the_focus_on_a_line_picks_out_all_its_spots(shown: LookCloserList) -> None:
    fill(shown, look("one", DATE, MOTTO), look("two", DOME))
    shown.entries[0].setFocus()
    assert shown.disc.picked == {1, 2}
    QTest.keyClick(shown.entries[0], Qt.Key.Key_Tab)
    assert shown.entries[1].hasFocus()
    assert shown.disc.picked == {3}
    assert "motto: what the motto shows, supports" in shown.entries[0].accessibleName()


def test_what_is_settled_is_quiet_and_has_no_spot(shown: LookCloserList) -> None:
    fill(shown, look("open", DATE), look("closed", DOME, is_open=False))
    assert [spot.place for spot in shown.disc.spots] == ["date"]
    assert shown.entries[1].rows == []
    assert {"closed", "ruled out"} <= set(texts(shown))
    assert "what the dome shows" in shown.entries[1].toolTip()


def test_many_lines_are_folded_and_their_spots_come_with_them(shown: LookCloserList) -> None:
    many = [look(f"die {n}", marker(f"place {n}", Evidence.DECIDES, x=n / 9)) for n in range(6)]
    fill(shown, *many)
    assert len(shown.disc.spots) == 3
    short = shown.findChild(ShortList)
    assert short is not None
    more = next(b for b in short.findChildren(QuietButton) if "more" in b.text())
    assert more.text() == "Show 3 more"
    more.click()
    assert len(shown.disc.spots) == 6


def test_few_lines_are_shown_at_once_where_each_has_many_markers() -> None:
    short, long = look("short", DATE), look("long", *[DATE] * 7)
    assert shown_at_once([short] * 5) == 3
    assert shown_at_once([long, long, short]) == 1
    assert shown_at_once([short, long, short]) == 2
    assert shown_at_once([look("longest", *[DATE] * 20)]) == 1
    assert shown_at_once([]) == 0


def test_spots_that_would_overlap_stand_side_by_side(qapp: QApplication) -> None:
    disc = SpotDisc()
    near = [marker(f"digit {n}", Evidence.DECIDES, x=0.5 + n * 0.11, y=0.4) for n in range(4)]
    disc.resize(250, 190)
    disc.show_spots(spots_of(numbered([look("one", *near)])))
    points = list(disc.places().values())
    for at, one in enumerate(points):
        for other in points[at + 1 :]:
            assert (other - one).manhattanLength() >= 2 * SPOT_PX


def test_the_three_kinds_of_evidence_differ_without_colour(qapp: QApplication) -> None:
    """Filled, ring and crossed ring: their dark parts differ well, in grey alone."""
    pictures = []
    for evidence in Evidence:
        image = QImage(44, 44, QImage.Format.Format_Grayscale8)
        image.fill(255)
        painter = QPainter(image)
        painter.scale(2, 2)
        paint_spot(painter, QPointF(11, 11), 3, evidence, LIGHT, LIGHT.card)
        painter.end()
        pictures.append([image.pixelColor(x, y).red() < 160 for y in range(44) for x in range(44)])
    for at, one in enumerate(pictures):
        for other in pictures[at + 1 :]:
            assert sum(a != b for a, b in zip(one, other, strict=True)) > 40
