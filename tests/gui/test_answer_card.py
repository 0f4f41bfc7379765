"""The card of the answers: what stands side by side keeps its words whole."""

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QFontMetrics, QKeyEvent
from PySide6.QtWidgets import QApplication

from core.app.look_up import Looked, Scope
from core.app.search_views import RollView
from gui.search.answer_card import SEEN_NOTE, AnswerCard, Change, Reading
from gui.search.form import Choice
from gui.search.roll_strip import RollStrip
from gui.search.tally_card import paced
from tests.collection_material import CENTS, DIMES, NICKELS, a_collection, an_album

DROP_PX = 612
"""What the drop of the bar leaves the card."""


@pytest.fixture(scope="module")
def looked(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Looked]:
    """Answers to a few lines, of three albums."""
    with a_collection(tmp_path_factory.mktemp("card")) as jar:
        for name, series in (("Nickels", NICKELS), ("Cents", CENTS), ("Dimes", DIMES)):
            an_album(jar, name, series, (1946, 1950))
        cents = Scope(series=(CENTS,))
        told = {text: jar.look_up(text) for text in ("46?", "46 vf20")}
        return told | {
            text: jar.look_up(text, cents) for text in ("46 vf20 ", "seen 46d", "44 d/s")
        }


@pytest.fixture
def card(qapp: QApplication) -> AnswerCard:
    return AnswerCard()


def shown(card: AnswerCard, looked: Looked) -> list[Reading]:
    card.show_looked(looked)
    card.setFixedWidth(DROP_PX)
    card.show()
    QApplication.processEvents()
    return card.readings


def test_three_verdicts_side_by_side_are_whole(card: AnswerCard, looked: dict[str, Looked]) -> None:
    for text in ("46?", "46 vf20"):
        readings = shown(card, looked[text])
        assert len(readings) == 3
        for one in readings:
            label = one.verdict
            longest = max(label.text().split(), key=len)
            words = QFontMetrics(label.font()).horizontalAdvance(longest)
            assert words <= label.width(), (text, label.text())
            change = one.findChild(Change)
            assert change is not None
            assert change.geometry().top() >= label.geometry().bottom(), "glyphs below the verdict"
            assert change.geometry().right() <= one.width()


def test_what_stands_under_the_glyphs_of_one_reading_has_room(
    card: AnswerCard, looked: dict[str, Looked]
) -> None:
    (one,) = shown(card, looked["46 vf20 "])
    change = one.findChild(Change)
    assert change is not None
    change.set_size(34)
    font = change.font()
    font.setPixelSize(12)
    needed = QFontMetrics(font).horizontalAdvance("no grade ▸ 20")
    assert change.room_for_text() >= needed


def test_a_line_that_begins_with_seen_says_what_enter_does(
    card: AnswerCard, looked: dict[str, Looked]
) -> None:
    shown(card, looked["seen 46d"])
    assert card.text.startswith(SEEN_NOTE)


def test_what_is_too_rare_to_be_believed_stands_out(
    card: AnswerCard, looked: dict[str, Looked]
) -> None:
    for text, look in (("46 vf20 ", "mute"), ("44 d/s", "sentence")):
        (one,) = shown(card, looked[text])
        assert one.closer.property("look") == look, one.closer.text()


def test_few_rolls_get_wide_cells(qapp: QApplication) -> None:
    strip = RollStrip()
    strip.resize(640, 40)
    wide = []
    for many in (5, 12, 50):
        rolls = [
            RollView(n, n, 1, 10, 50, False, False, True, n == 1, 0) for n in range(1, many + 1)
        ]
        strip.show_rolls(rolls)
        wide.append(strip.rect_of(0).width())
        assert strip.rect_of(min(many, 10) - 1).right() <= 640
    assert wide[0] > 50 > wide[1] > 40 > wide[2]


def test_half_a_coin_on_pace_is_a_whole_one() -> None:
    assert [paced(value) for value in (0, 2.4, 2.5, 3.5, 7.5)] == [0, 2, 3, 4, 8]


def test_enter_on_a_list_gives_the_form(qapp: QApplication) -> None:
    choice = Choice([("a", "A"), ("b", "B")])
    assert not choice.autoDefault()
    for key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
        press = QKeyEvent(QEvent.Type.KeyPress, key, Qt.KeyboardModifier.NoModifier)
        choice.keyPressEvent(press)
        assert not press.isAccepted(), "left to the form"
        assert not choice.choices.isVisible()
