"""The slot card: each control is one order, and the card shows what came of it."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from core.errors import BadEntry
from core.model.album import Wish
from core.model.state import SlotState
from gui.leaf.card_parts import SpareButton
from gui.leaf.look_closer import LookEntry
from gui.leaf.slot_orders import OrderForm, read_coin, read_price
from tests.gui.desk_material import collection_of
from tests.gui.window_material import OpenWindow


def shown(opened: OpenWindow) -> str:
    return opened.albums.card.title.text()


def texts(opened: OpenWindow) -> list[str]:
    from gui.widgets import FactRow

    card = opened.albums.card
    return [f.value.accessibleName() for f in card.findChildren(FactRow) if not f.isHidden()]


def test_the_card_tells_the_slot_its_coin_and_its_issue(opened: OpenWindow) -> None:
    opened.go_to("1943-D")
    card = opened.albums.card
    assert shown(opened) == "1943-D"
    assert card.state.text() == "below target · spare waiting"
    assert "In the slot: VG-8" in texts(opened)
    assert "Mintage: 15,294,000" in texts(opened)
    assert card.target.button.text().startswith("VF-20")
    assert card.takes.text().startswith("Takes 1943-D")


def test_one_press_puts_the_best_spare_in(opened: OpenWindow) -> None:
    opened.go_to("1943-D")
    card = opened.albums.card
    assert card.primary.text() == "Put VF-20 in the slot"
    card.primary.click()
    assert "filled" in opened.state("1943-D")
    opened.go_to("1943-D")
    assert "In the slot: VF-20" in texts(opened)
    assert card.primary.isHidden()


def test_any_spare_that_fits_can_be_put_in(opened: OpenWindow) -> None:
    opened.go_to("1944-P")
    buttons = opened.albums.card.findChildren(SpareButton)
    assert [b.spare.title for b in buttons if not b.isHidden()] == ["F-12", "no grade yet"]
    next(b for b in buttons if b.spare.title == "F-12").click()
    assert "F-12" in opened.state("1944-P")


def test_the_coin_comes_out_and_waits_as_a_spare(opened: OpenWindow) -> None:
    opened.go_to("1943-D")
    opened.albums.card.take_out.click()
    assert "gap" in opened.state("1943-D")
    assert "a spare is waiting" in opened.state("1943-D")


def test_a_target_is_set_by_a_line_or_a_press(opened: OpenWindow) -> None:
    opened.go_to("1943-D")
    card = opened.albums.card
    assert card.begin("target")
    assert card.target_form.field.text() == "VF-20"
    card.target_form.field.setText("vg8")
    card.target_form.give()
    assert card.target_form.isHidden()
    assert "filled" in opened.state("1943-D")
    opened.go_to("1943-D")
    card.begin("target")
    next(button for button in card.target_form.quick if button.text() == "none").click()
    assert opened.slot("1943-D").target is None


def test_a_target_that_cannot_be_read_says_so_and_keeps_the_line(opened: OpenWindow) -> None:
    opened.go_to("1943-D")
    card = opened.albums.card
    card.begin("target")
    card.target_form.field.setText("shiny")
    card.target_form.give()
    assert not card.target_form.isHidden()
    assert "shiny" in card.target_form.fault.text()
    assert card.target_form.field.text() == "shiny"


def test_a_grade_alone_puts_in_a_coin_of_the_slots_own_issue(opened: OpenWindow) -> None:
    opened.go_to("1945-S")
    card = opened.albums.card
    assert card.primary.text() == "Put in a coin…"
    card.primary.click()
    card.entry_form.field.setText("xf40")
    card.entry_form.give()
    assert "XF-40" in opened.state("1945-S")
    assert card.entry_form.isHidden()


def test_a_coin_of_another_date_is_refused_in_the_card(opened: OpenWindow) -> None:
    opened.go_to("1945-S")
    card = opened.albums.card
    card.begin("put_in")
    card.entry_form.field.setText("1899 vf20")
    card.entry_form.give()
    assert card.entry_form.fault.text()
    assert "gap" in opened.state("1945-S")


def test_an_order_is_reserved_arrives_and_fills_the_slot(opened: OpenWindow) -> None:
    opened.go_to("1945-S")
    card = opened.albums.card
    card.begin("order")
    card.order_form.grade.setText("vf30")
    card.order_form.came_from.setText("the autumn fair")
    card.order_form.price.setText("4.50")
    card.order_form.give()
    assert "on order" in opened.state("1945-S")
    opened.go_to("1945-S")
    assert card.primary.text() == "The coin has arrived"
    assert not card.cancel.isHidden()
    assert card.order.isHidden()
    card.primary.click()
    assert "filled" in opened.state("1945-S")
    view = opened.view
    coin = view.by_id[opened.slot("1945-S").id].coin
    assert coin is not None
    assert (coin.came_from, coin.paid_minor, coin.currency) == ("the autumn fair", 450, "USD")


def test_an_order_can_be_cancelled(opened: OpenWindow) -> None:
    opened.go_to("1945-S")
    card = opened.albums.card
    assert card._card is not None
    card._orders.order(OrderForm("", "", ""), card._card)
    opened.go_to("1945-S")
    card.cancel.click()
    assert "gap" in opened.state("1945-S")


def test_the_slot_is_wanted_optional_or_skipped(opened: OpenWindow) -> None:
    opened.go_to("1945-P")
    card = opened.albums.card
    assert card.wish.choice() == 0
    card.wish.buttons[2].click()
    assert opened.slot("1945-P").wish is Wish.SKIPPED
    assert "skipped" in opened.state("1945-P")


def test_pin_and_to_verify_are_switches(opened: OpenWindow) -> None:
    opened.go_to("1943-D")
    card = opened.albums.card
    card.pin.click()
    assert "pinned" in opened.state("1943-D")
    card.verify.click()
    assert "to verify" in opened.state("1943-D")
    opened.go_to("1943-D")
    assert card.pin.isChecked()
    assert card.verify.isChecked()
    card.pin.click()
    card.verify.click()
    assert "pinned" not in opened.state("1943-D")
    assert "below target" in opened.state("1943-D")


def test_the_keys_of_a_note_are_told_while_one_writes(opened: OpenWindow) -> None:
    opened.window.activateWindow()
    QTest.qWaitForWindowActive(opened.window)
    opened.go_to("1943-D")
    card = opened.albums.card
    card.note.setFocus()
    assert not card.note_keys.isVisible()
    QTest.keyClicks(card.note, "rims")
    assert card.note_keys.isVisible()
    QTest.keyClick(card.note, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert opened.slot("1943-D").note == "rims"
    assert not card.note_keys.isVisible()


def test_a_note_is_kept_when_one_goes_elsewhere(opened: OpenWindow) -> None:
    opened.go_to("1943-D")
    note = opened.albums.card.note
    note.setPlainText("in the blue folder, Ελληνικά")
    opened.go_to("1944-P")
    assert opened.slot("1943-D").note == "in the blue folder, Ελληνικά"
    assert note.toPlainText() == ""
    assert opened.slot("1944-P").note == ""


def test_several_slots_share_the_controls(opened: OpenWindow) -> None:
    leaf = opened.albums.centre.leaf
    leaf.selectAll()
    opened.show_card()
    card = opened.albums.card
    assert shown(opened) == "12 slots selected"
    assert card.wish.choice() == 0
    card.begin("target")
    card.target_form.field.setText("xf40")
    card.target_form.give()
    view = opened.view
    assert {v.slot.target.text for v in view.slots if v.slot.target} == {"XF-40"}
    assert opened.desk.undo_label == "set the target to XF-40"
    card.take_out.click()
    assert all(v.coin is None for v in opened.view.slots)


def test_the_history_grows_with_what_is_put_in_and_taken_out(opened: OpenWindow) -> None:
    from gui.leaf.card_parts import HistoryRow

    opened.go_to("1943-D")
    opened.albums.card.primary.click()
    opened.go_to("1943-D")
    rows = [r for r in opened.albums.card.findChildren(HistoryRow) if r.isVisible()]
    assert len(rows) == 3


def test_a_slot_with_nothing_says_what_to_do(opened: OpenWindow) -> None:
    card = opened.albums.card
    card.show_nothing()
    assert "Choose a slot" in card.idle.text()
    assert card.primary.isHidden()


@pytest.mark.parametrize(
    ("text", "minor"), [("12.50", 1250), ("7", 700), ("$3.5", 350), ("0,99", 99), ("", None)]
)
def test_a_price_is_read_to_the_cent(text: str, minor: int | None) -> None:
    assert read_price(text) == minor


@pytest.mark.parametrize("text", ["cheap", "1.234", "-3", "1.2.3", "٣"])
def test_what_is_no_price_is_refused(text: str) -> None:
    with pytest.raises(BadEntry):
        read_price(text)


def test_a_line_at_a_slot_means_its_issue_unless_it_names_a_date(opened: OpenWindow) -> None:
    view = opened.view
    slot = opened.slot("1943-S")
    assert read_coin("", view.series, slot).description == slot.accepts
    graded = read_coin("vf30", view.series, slot)
    assert graded.description == slot.accepts
    assert graded.points == 30
    other = read_coin("1944-S vf30", view.series, slot)
    assert other.description.only("date") == "1944"


def test_states_of_the_card_and_the_leaf_are_the_same(opened: OpenWindow) -> None:
    view = opened.view
    for slot_view in view.slots:
        opened.go_to(slot_view.slot.label)
        assert opened.albums.card.state.text().split(" · ")[0] == SlotState(slot_view.state)


def entry_of(opened: OpenWindow, name: str) -> LookEntry:
    entries = opened.albums.card.look_closer.entries
    return next(entry for entry in entries if entry.entry.name == name)


def test_a_variety_is_given_a_code_of_ones_own_by_keys(opened: OpenWindow) -> None:
    opened.go_to("1943-P")
    card = opened.albums.card
    entry = entry_of(opened, "3 over 2")
    assert entry.code_button is not None
    assert entry.code_button.text() == "Own code…"
    entry.setFocus()
    QTest.keyClick(entry, Qt.Key.Key_F2)
    form = entry.code_form
    assert form is not None
    assert not form.isHidden()
    QTest.keyClicks(form.field, "43d")
    QTest.keyClick(form.field, Qt.Key.Key_Return)
    assert "means something" in form.fault.text()
    form.field.setText("Q & 9")
    QTest.keyClick(form.field, Qt.Key.Key_Return)
    assert collection_of(opened.desk).own_codes() == {
        "Q & 9": ("us-nickel-jefferson", "1943-3-over-2")
    }
    opened.go_to("1943-P")
    entry = entry_of(opened, "3 over 2")
    assert entry.code_button is not None
    assert entry.code_button.text() == "Own code Q && 9"
    assert "own code Q & 9" in entry.accessibleName()
    entry.ask_code()
    assert entry.code_form is not None
    assert entry.code_form.field.text() == "Q & 9"
    entry.code_form.field.clear()
    entry.code_form.give()
    assert collection_of(opened.desk).own_codes() == {}
    opened.go_to("1943-P")
    card.set_read_only(True)
    card.show_card(collection_of(opened.desk).slot_card(opened.slot("1943-P").id))
    assert entry_of(opened, "3 over 2").code_button is None
