"""The look-up line in the bar takes offers: a coin, an @ and its price."""

from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from core.app.offers import look_up_with_offers
from tests.gui.window_material import close_window, open_window, small_collection


def test_an_offer_is_answered_in_the_bar_and_noted_by_enter(
    qapp: QApplication, tmp_path: Path
) -> None:
    window = open_window(qapp, tmp_path, small_collection(tmp_path / "jar.slotleaf"))
    bar = window.duties.look_up
    window.duties.actions["look_up"].trigger()
    for letter in "42d vf30 @ 4.50 at the fair":
        QTest.keyClicks(bar.field, letter)
    assert bar.look is not None
    assert "Gap / not in your list." in bar.look.card.text
    assert bar.look.hint.text().startswith("Enter notes the offer")
    QTest.keyClick(bar.field, Qt.Key.Key_Return)
    assert window.desk.undo_label == "note an offer"
    assert bar.look.card.text.startswith("Offer noted: 1942-D")
    for letter in "42d vf30 @ much":
        QTest.keyClicks(bar.field, letter)
    assert "is no amount; write it such as 12.50" in bar.look.card.text
    QTest.keyClick(bar.field, Qt.Key.Key_Return)
    collection = window.desk._collection
    assert collection is not None
    (offer,) = collection.price_book().offers
    assert (offer.minor, offer.where, offer.grade and offer.grade.low) == (450, "the fair", 30)
    coins = collection.coin_count()
    plain = look_up_with_offers(collection, "42d vf30")
    assert plain == collection.look_up("42d vf30")
    assert coins == 4
    close_window(window)
