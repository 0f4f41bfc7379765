"""The keys of stocking: what each asks for, and what holds for the next coins."""

from collections.abc import Iterable

import pytest

from core.app.stocking import (
    BACKSPACE,
    ENTER,
    ESCAPE,
    SPACE,
    Act,
    Answer,
    Typed,
    next_slot,
    press,
)
from core.model.album import SlotId
from core.model.grade import parse_grade


def keys(text: Iterable[str]) -> list[Answer]:
    """Press one key after another."""
    typed, answers = Typed(), []
    for key in text:
        answers.append(press(typed, key))
        typed = answers[-1].typed
    return answers


def acts(text: Iterable[str]) -> list[Act]:
    return [answer.act for answer in keys(text) if answer.act is not Act.NOTHING]


def last(text: Iterable[str]) -> Answer:
    return keys(text)[-1]


def test_space_stocks_the_slot_without_a_grade() -> None:
    answer = last(" ")
    assert answer.act is Act.STOCK
    assert answer.typed.grade is None
    assert answer.typed.grade_text == "no grade"


def test_a_typed_grade_holds_for_every_next_coin_until_another_is_typed() -> None:
    answers = keys("vf20  g4 ")
    stocked = [a.typed.grade for a in answers if a.act is Act.STOCK]
    assert stocked == [parse_grade("vf20"), parse_grade("vf20"), parse_grade("g4")]
    assert answers[-1].typed.entry == ""


def test_a_grade_may_be_set_by_enter_without_stocking() -> None:
    answer = last("xf40\r")
    assert (answer.act, answer.typed.grade) == (Act.NOTHING, parse_grade("xf40"))


@pytest.mark.parametrize("word", ["none", "-"])
def test_a_grade_is_dropped_by_its_word(word: str) -> None:
    answer = last(f"vf20 {word} ")
    assert (answer.act, answer.typed.grade) == (Act.STOCK, None)


def test_an_unknown_grade_says_so_and_stocks_nothing() -> None:
    answer = last("vf21 ")
    assert answer.act is Act.NOTHING
    assert "no step 21" in answer.typed.fault
    assert answer.typed.entry == ""
    assert press(answer.typed, SPACE).act is Act.STOCK  # the fault holds nobody up
    assert press(answer.typed, "v").typed.fault == ""


def test_digits_jump_as_they_are_typed_and_space_then_stocks() -> None:
    answers = keys("194 ")
    assert [(a.act, a.date) for a in answers[:3]] == [
        (Act.JUMP, "1"),
        (Act.JUMP, "19"),
        (Act.JUMP, "194"),
    ]
    assert answers[3].act is Act.STOCK
    assert answers[3].typed.entry == ""


def test_a_date_with_a_letter_jumps_on_enter() -> None:
    answer = last("1943d" + ENTER)
    assert (answer.act, answer.date) == (Act.JUMP, "1943d")


def test_a_date_keeps_the_grade_that_holds() -> None:
    answer = last("vf20 1955 ")
    assert (answer.act, answer.typed.grade) == (Act.STOCK, parse_grade("vf20"))


def test_a_question_mark_marks_the_next_coin_and_a_second_one_takes_it_off() -> None:
    assert last("?").typed.is_flagged
    assert not last("??").typed.is_flagged
    assert last("? ").act is Act.STOCK


def test_backspace_mends_the_entry_or_takes_back_the_last_slot() -> None:
    assert last("vf" + BACKSPACE).typed.entry == "v"
    assert last("vf" + BACKSPACE * 2).act is Act.NOTHING
    assert last("vf" + BACKSPACE * 3).act is Act.TAKE_BACK
    assert last(BACKSPACE).act is Act.TAKE_BACK


def test_escape_drops_the_entry_then_leaves() -> None:
    answers = keys("vf" + ESCAPE + ESCAPE)
    assert (answers[2].act, answers[2].typed.entry) == (Act.NOTHING, "")
    assert answers[3].act is Act.LEAVE


@pytest.mark.parametrize("key", ["\t", "\x00", "ab", ""])
def test_keys_that_mean_nothing_do_nothing(key: str) -> None:
    assert press(Typed(entry="v"), key) == Answer(Act.NOTHING, Typed(entry="v"))


def test_the_next_slot_is_the_next_empty_one_in_reading_order() -> None:
    order = [SlotId(n) for n in (4, 2, 7, 5)]
    assert next_slot(order, SlotId(4), {SlotId(7), SlotId(5)}) == 7
    assert next_slot(order, SlotId(7), {SlotId(4)}) is None
    assert next_slot(order, SlotId(5), set(order)) is None


def test_a_leaf_of_one_grade_costs_one_key_a_slot_after_the_grade() -> None:
    assert acts("f12" + SPACE * 45).count(Act.STOCK) == 45
