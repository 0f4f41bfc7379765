"""Compare from the line and from the list, by keys: what falls, what is kept, what stays open."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import pytest
from PySide6.QtWidgets import QApplication

from core.app.compare import Tick, ticks_of
from core.catalogue.load import load_series
from core.lookup.parse import parse_entry
from core.model.coin import Coin, Finding
from core.model.issue import Description, VarietyId
from gui.search.compare import MOST_COLUMNS, CompareDialog, settled, subjects_of
from gui.search.small_forms import words_of
from scenarios.designing import Stroke, keys, typed
from tests.gui.search_material import CENTS, AtTable, begin_cents, table_window
from tests.gui.strokes import Fingers
from tests.gui.window_material import close_window


@dataclass(slots=True)
class Look:
    """What the dialog said after each key."""

    outcomes: list[str] = field(default_factory=list)
    heads: list[str] = field(default_factory=list)
    rows: list[str] = field(default_factory=list)

    def __call__(self, _stroke: Stroke) -> None:
        dialog = QApplication.activeModalWidget()
        if isinstance(dialog, CompareDialog):
            self.outcomes.append(dialog.outcome.text())
            self.heads = [one.accessibleName() for one in dialog.table.heads]
            self.rows = [one.accessibleName() for one in dialog.table.rows]


@pytest.fixture(scope="module")
def window(qapp: QApplication, tmp_path_factory: pytest.TempPathFactory) -> Iterator[AtTable]:
    folder = tmp_path_factory.mktemp("compare")
    at = table_window(qapp, folder, begin_cents(folder / "cents.slotleaf"))
    yield at
    close_window(at.window)


@pytest.fixture
def table(window: AtTable) -> Iterator[AtTable]:
    """The same window for every test, all of it taken back afterwards."""
    begun = window.window.desk.undo_label
    window.space.line.field.clear()
    window.space.to_line()
    yield window
    while window.window.desk.undo_label != begun:
        window.window.desk.undo()


DIE_1, DIE_2, DIE_8 = (VarietyId(f"1972-ddo-{die}") for die in (1, 2, 8))


def give(table: AtTable, *strokes: Stroke) -> Look:
    """Keys to whatever has the focus; what Compare said meanwhile."""
    look = Look()
    Fingers(table.window, look).give(strokes)
    return look


def coin(table: AtTable) -> Coin:
    """The one coin kept in the box."""
    shown = table.space.table
    assert shown is not None
    assert shown.box is not None
    (line,) = shown.box.finds
    return line.coin


def test_one_of_three_is_settled_and_kept_with_its_ticks(table: AtTable) -> None:
    look = give(table, *typed("72 ddo bent"), *keys("F4"), *typed("-+"), *keys("Return"))
    assert look.outcomes[0].startswith("One of 3: ")
    assert look.outcomes[1].startswith("One of 2: ")
    assert look.outcomes[2] == "It is doubled die obverse, die 2."
    assert [name.split(". ")[1] for name in look.heads] == [
        "not this one", "it is this one", "not this one",
    ]  # fmt: skip
    assert table.kept == [(1, "1972 doubled die obverse, die 2", "No use")]
    kept = coin(table)
    assert [kept.finding(one) for one in (DIE_1, DIE_2, DIE_8)] == [
        Finding.RULED_OUT, Finding.CONFIRMED, Finding.RULED_OUT,
    ]  # fmt: skip
    assert sorted(ticks_of(kept.note).values()) == [Tick.NOT_SEEN, Tick.SEEN]
    assert kept.problems == ("bent",)
    assert table.space.line.field.text() == ""


def test_a_coin_may_stay_one_of_two_and_be_compared_again_from_the_list(table: AtTable) -> None:
    look = give(table, *typed("72 ddo"), *keys("F4"), *typed("-"), *keys("Return"))
    assert look.outcomes[-1].startswith("One of 2: ")
    kept = coin(table)
    assert kept.finding(DIE_1) is Finding.RULED_OUT
    assert kept.finding(DIE_2) is Finding.SUSPECTED
    assert list(ticks_of(kept.note).values()) == [Tick.NOT_SEEN]
    look = give(table, *keys("Down", "F4"), *keys("Return"))
    assert look.outcomes == [
        "One of 2: doubled die obverse, die 2 or doubled die obverse, die 8."
    ], "the set comes back with what was kept"
    assert coin(table) == kept, "and saved as it was it stays as it was"
    look = give(table, *keys("Down", "F4"), *typed("+"), *keys("Return"))
    assert [name.split(".")[0] for name in look.heads] == [
        "doubled die obverse, die 1", "doubled die obverse, die 2", "doubled die obverse, die 8",
    ]  # fmt: skip
    kept = coin(table)
    assert kept.finding(DIE_2) is Finding.CONFIRMED
    assert table.kept[0][1] == "1972 doubled die obverse, die 2"
    assert sorted(ticks_of(kept.note).values()) == [Tick.NOT_SEEN, Tick.SEEN]


def test_one_of_three_kept_from_the_line_stays_so_and_is_edited_as_written(
    table: AtTable,
) -> None:
    give(table, *typed("72 ddo"), *keys("Return"))
    assert table.kept[0][1] == "1972 doubled die obverse, one of 3"
    look = give(table, *keys("Down", "F4", "Escape"))
    assert look.outcomes[0].startswith("One of 3: "), "Compare takes the set up again"
    shown = table.space.table
    assert shown is not None
    assert shown.box is not None
    assert words_of(shown.box.finds[0]) == "1972 doubled die obverse"
    give(table, *keys("Escape"), *typed("72 ddo?"), *keys("Return"))
    assert table.kept[1][1] == "1972 doubled die obverse? (die 1, die 2, die 8)"
    look = give(table, *keys("Down", "F4", "Escape"))
    assert look.outcomes[0].startswith("May be "), "and these are only suspected"


def test_one_of_three_counted_names_none_of_them_alone(table: AtTable) -> None:
    give(table, *typed("72 ddo vf20"), *keys("Shift+Return"))
    ((_, name, note),) = table.seen
    assert (name, note) == ("1972", "VF-20, doubled die obverse, one of 3")


def test_esc_changes_nothing_and_the_line_is_as_it_was(table: AtTable) -> None:
    give(table, *typed("46s"), *keys("F4"), *typed("+"), *keys("Escape"))
    assert table.kept == []
    assert table.space.line.field.text() == "46s"
    assert table.space.line.field.hasFocus()


def test_a_coin_compared_may_be_counted_instead(table: AtTable) -> None:
    give(table, *typed("46s"), *keys("F4"), *typed("-"), *keys("Shift+Return"))
    assert table.kept == []
    ((_, name, note),) = table.seen
    assert name == "1946-S, not S over D"
    assert "- mint mark: " in note


def test_ticks_are_taken_off_and_told_aloud(table: AtTable) -> None:
    strokes = (*typed("46s"), *keys("F4"), *typed("+"), *keys("Up", "Backspace", "Space", "Space"))
    look = give(table, *strokes, *keys("Escape"))
    assert look.outcomes == [
        "May be S over D.", "It is S over D.", "It is S over D.", "May be S over D.",
        "It is S over D.", "None of these.",
    ]  # fmt: skip
    assert look.rows[0].endswith("decides S over D. not seen")
    assert look.heads[0].startswith("S over D. not this one. not there: mint mark")


def test_what_cannot_be_compared_is_told_in_the_card(table: AtTable) -> None:
    give(table, *typed("1947"), *keys("F4"))
    assert "Nothing is known that tells 1947 apart." in table.space.card.text
    give(table, *keys("Escape"), *typed("+foreign"), *keys("F4"))
    assert "Type a coin first" in table.space.card.text
    give(table, *keys("Escape"))
    assert "Type a coin first" not in table.space.card.text
    give(table, *keys("F4"))
    assert "Type a coin first" in table.space.card.text


def test_values_of_a_facet_are_compared_beside_the_varieties() -> None:
    series = load_series(CENTS)
    plain = parse_entry("1960", [series]).coin
    assert [one.title for one in subjects_of(series, plain)] == ["Date size"]
    denver = parse_entry("1960d", [series]).coin
    assert [one.title for one in subjects_of(series, denver)] == ["Varieties", "Date size"]


def test_a_coin_that_may_be_much_shows_what_there_is_room_for_and_settles_no_rest() -> None:
    series = load_series(CENTS)
    open_date = replace(parse_entry("1972", [series]).coin, description=Description(series.id))
    wide = subjects_of(series, open_date, is_one_of=True)[0]
    assert len(wide.compared.candidates) == MOST_COLUMNS
    assert wide.left_out == len(series.varieties) - MOST_COLUMNS
    assert not wide.compared.is_one_of
    assert {len(row.evidence) for row in wide.compared.rows} == {MOST_COLUMNS}
    assert all(any(row.evidence) for row in wide.compared.rows)


def test_ticks_of_markers_that_are_not_shown_are_kept() -> None:
    series = load_series(CENTS)
    one = replace(parse_entry("46s", [series]).coin, note="worn. Compared: ? rim: a nick")
    ticks = {**ticks_of(one.note), "mint mark: the straight back of a D behind the S": Tick.SEEN}
    note = settled(series, one, subjects_of(series, one), ticks).note
    assert note.startswith("worn. Compared: ")
    assert ticks_of(note) == ticks


def test_the_look_up_line_in_the_bar_compares_too(table: AtTable) -> None:
    look = give(
        table, *keys("Ctrl+K"), *typed("72 ddo"), *keys("F4"), *typed("-+"), *keys("Return")
    )
    assert look.outcomes[-1] == "It is doubled die obverse, die 2."
    assert table.window.desk.undo_label == "add a coin"
    bar = table.window.duties.look_up
    assert bar.field.text() == ""
    assert table.kept == []  # it is no find of the box
    give(table, *keys("Escape"))
