"""The key: every state and mark once, with words that read right."""

import pytest

from core.glyph.codes import MARK_BITS, GlyphCode, state_of
from core.glyph.legend import MARKS, STATES, counted, key, mark_entry, spoken, state_entry
from core.model.state import Mark, SlotState


def test_every_state_and_mark_is_in_the_key_once() -> None:
    assert sorted(entry.state for entry in STATES) == sorted(SlotState)
    assert sorted(entry.mark for entry in MARKS) == sorted(Mark)


def test_the_key_runs_from_best_to_not_struck() -> None:
    assert [entry.singular for entry in STATES] == [
        "filled", "below target", "hole filler", "to verify",
        "on order", "gap", "skipped", "not struck",
    ]  # fmt: skip


def test_words_are_those_of_the_states() -> None:
    assert all(entry.singular == entry.state for entry in STATES)
    assert all(entry.singular == entry.mark for entry in MARKS)


@pytest.mark.parametrize(
    ("state", "count", "words"),
    [
        (SlotState.FILLED, 44, "44 filled"),
        (SlotState.FILLED, 1, "1 filled"),
        (SlotState.GAP, 0, "0 gaps"),
        (SlotState.GAP, 1, "1 gap"),
        (SlotState.GAP, 1204, "1,204 gaps"),
        (SlotState.HOLE_FILLER, 1, "1 hole filler"),
        (SlotState.HOLE_FILLER, 3, "3 hole fillers"),
        (SlotState.BELOW_TARGET, 9, "9 below target"),
    ],
)
def test_a_count_takes_its_number(state: SlotState, count: int, words: str) -> None:
    assert counted(state_entry(state), count) == words


def test_spares_waiting_are_counted_as_spares() -> None:
    assert counted(mark_entry(Mark.SPARE_WAITING), 1) == "1 spare waiting"
    assert counted(mark_entry(Mark.SPARE_WAITING), 2) == "2 spares waiting"


def test_each_entry_shows_the_glyph_of_its_state() -> None:
    for entry in STATES:
        assert state_of(entry.code) is entry.state
    for mark in MARKS:
        assert mark.code == GlyphCode.FILLED | MARK_BITS[mark.mark]


def test_the_key_leaves_out_what_does_not_occur_unless_told() -> None:
    counts = {SlotState.GAP: 2, SlotState.FILLED: 5}
    assert [words for _, words in key(counts)] == ["5 filled", "2 gaps"]
    assert [words for _, words in key(counts, (SlotState.SKIPPED,))] == [
        "5 filled",
        "2 gaps",
        "0 skipped",
    ]


def test_meanings_are_whole_sentences() -> None:
    assert all(entry.meaning.endswith(".") for entry in (*STATES, *MARKS))


def test_a_reader_says_the_state_then_its_marks() -> None:
    assert spoken(SlotState.GAP) == "gap"
    marks = frozenset({Mark.PINNED, Mark.SPARE_WAITING})
    assert spoken(SlotState.FILLED, marks) == "filled, spare waiting, pinned"
