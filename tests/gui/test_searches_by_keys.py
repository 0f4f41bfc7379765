"""Correcting a box by keys alone, in the real forms: entries, rolls, claims, jars, what is left."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from core.app.search_views import BoxView, FindLine
from core.model.coin import CoinStatus
from scenarios.designing import keys, typed
from tests.gui.desk_material import collection_of
from tests.gui.search_material import AtTable, begin_box, begin_cents, table_window
from tests.gui.strokes import Fingers
from tests.gui.window_material import close_window


@pytest.fixture(scope="module")
def window(qapp: QApplication, tmp_path_factory: pytest.TempPathFactory) -> Iterator[AtTable]:
    folder = tmp_path_factory.mktemp("by-keys")
    at = table_window(qapp, folder, begin_box(folder / "drawer.slotleaf", rolls=5))
    yield at
    close_window(at.window)


@pytest.fixture
def table(window: AtTable) -> Iterator[AtTable]:
    begun = window.window.desk.undo_label
    window.space.to_line()
    yield window
    while window.window.desk.undo_label != begun:
        window.window.desk.undo()


@pytest.fixture
def fingers(table: AtTable) -> Fingers:
    return Fingers(table.window)


def box_of(table: AtTable) -> BoxView:
    """The box in hand as the file has it, whatever is shown."""
    return collection_of(table.window.desk).log.box_view(table.box.id)


def told(line: FindLine) -> tuple[int, str, str, str, bool]:
    return line.roll, line.label, line.grade, line.problems, line.find.is_ender


def test_a_find_is_edited_and_taken_out_of_the_list(table: AtTable, fingers: Fingers) -> None:
    for entry in ("42d", "43 vf20", "44s"):
        fingers.give((*typed(entry), *keys("Return")))
    before = collection_of(table.window.desk).content_hash()
    fingers.give((*keys("Down", "Down", "F2"), *typed("1943-S xf40 cleaned"), *keys("Return")))
    assert [told(one)[1:4] for one in box_of(table).finds] == [
        ("1942-D", "", ""), ("1943-S", "XF-40", "cleaned"), ("1944-S", "", ""),
    ]  # fmt: skip
    assert table.space.entries.hasFocus(), "the next line can be corrected"
    fingers.give((*keys("Return", "Tab"), *typed("3"), *keys("Tab", "Space", "Return")))
    assert told(box_of(table).finds[1]) == (3, "1943-S", "XF-40", "cleaned", True)
    fingers.give((*keys("Return"), *typed("1950 zz"), *keys("Return", "Escape")))  # refused
    assert told(box_of(table).finds[1])[1] == "1943-S"
    coins = collection_of(table.window.desk).coin_rows()
    fingers.give(keys("Delete"))
    assert [one.label for one in box_of(table).finds] == ["1942-D", "1944-S"]
    assert len(collection_of(table.window.desk).coin_rows()) == len(coins) - 1
    assert table.window.duties.notices.text == "1943-S is taken back. Undo brings it in."
    fingers.give(keys("Ctrl+Z", "Ctrl+Z", "Ctrl+Z"))
    assert collection_of(table.window.desk).content_hash() == before


def test_a_find_with_a_variety_keeps_it_when_its_grade_is_typed(
    qapp: QApplication, tmp_path: Path
) -> None:
    table = table_window(qapp, tmp_path, begin_cents(tmp_path / "cents.slotleaf"))
    try:
        fingers = Fingers(table.window)
        table.space.to_line()
        fingers.give((*typed("1909s vdb"), *keys("Return")))
        fingers.give((*keys("Down", "Return", "End"), *typed(" vf20"), *keys("Return")))
        (line,) = box_of(table).finds
        assert (line.label, line.grade) == ("1909-S VDB", "VF-20")
        fingers.give((*keys("Escape"), *typed("55 ddo"), *keys("Return")))
        fingers.give((*keys("Down", "Return", "End"), *typed(" f12"), *keys("Return")))
        line = box_of(table).finds[-1]
        assert (line.label, line.grade) == ("1955 doubled die obverse", "F-12")
        assert line.coin.varieties
    finally:
        close_window(table.window)


def test_what_was_counted_is_edited_and_taken_out(table: AtTable, fingers: Fingers) -> None:
    def seen() -> list[tuple[int, str, str, bool]]:
        found = box_of(table).sightings
        return [(one.roll, one.label, one.text, one.sighting.is_ender) for one in found]

    fingers.give((*typed("5x1959"), *keys("Shift+Return", "F5")))
    assert seen() == [(1, "5 × 1959", "", False), (1, "+ foreign", "", False)]
    more = (*keys("Tab", "Tab", "Space", "Tab"), *typed("3"), *keys("Tab"), *typed("bent"))
    fingers.give((*keys("Down", "Return"), *typed("damaged"), *more, *keys("Return")))
    assert seen()[1] == (1, "3 × + damaged", "bent", True)
    fingers.give((*keys("Down", "Return"), *typed("1958 d"), *keys("Return")))
    assert seen()[0] == (1, "5 × 1958-D", "", False)
    fingers.give(keys("Delete", "Delete"))
    assert seen() == []
    fingers.give((*keys("Ctrl+Z"), *keys("Escape"), *typed("42d"), *keys("Return")))
    assert (len(seen()), len(box_of(table).finds)) == (1, 1)


def test_a_roll_is_short_long_and_skipped(table: AtTable, fingers: Fingers) -> None:
    def rolls() -> list[tuple[int, bool]]:
        return [(one.coins, one.is_skipped) for one in box_of(table).rolls[:3]]

    fingers.give((*keys("Alt+R"), *typed("39"), *keys("Return")))
    fingers.give((*keys("Space", "Alt+R"), *typed("41"), *keys("Return")))
    fingers.give(keys("Space", "Alt+R", "Tab", "Space", "Return"))
    assert rolls() == [(39, False), (41, False), (40, True)]
    assert (table.box.at_roll, box_of(table).coins_opened) == (4, 39 + 41 + 40)
    assert table.space.line.field.hasFocus()
    fingers.give((*typed("/1"), *keys("Return", "Alt+R"), *typed("40"), *keys("Return")))
    fingers.give((*typed("/3"), *keys("Return")))  # taken up after all
    assert rolls() == [(40, False), (41, False), (40, False)]
    assert [one.is_told for one in box_of(table).rolls[:3]] == [False, True, False]


def test_fully_logged_dates_are_claimed_changed_and_taken_back(
    table: AtTable, fingers: Fingers
) -> None:
    def claims() -> list[tuple[int | None, int | None]]:
        return [(one.from_, one.up_to) for one in box_of(table).claims]

    fingers.give((*keys("Alt+L", "Tab"), *typed("1945"), *keys("Return")))
    assert claims() == [(None, 1945)]
    fingers.give((*keys("Alt+L"), *typed("1938"), *keys("Tab"), *typed("1950"), *keys("Return")))
    assert claims() == [(1938, 1950)]
    fingers.give((*keys("Alt+L"), *typed("1960"), *keys("Return", "Escape")))
    assert claims() == [(1938, 1950)], "from 1960 up to 1950 is refused"
    fingers.give(keys("Alt+L", "Tab", "Tab", "Space", "Return"))
    assert claims() == []
    assert table.space.line.field.hasFocus()


def test_a_container_is_begun_changed_and_forgotten(table: AtTable, fingers: Fingers) -> None:
    def jars() -> list[tuple[str, int, int]]:
        found = collection_of(table.window.desk).log.containers()
        return [(one.name, one.holds, one.eighths) for one in found]

    new = (*typed("red cup"), *keys("Tab"), *typed("320"), *keys("Return"))
    fingers.give((*keys("Alt+J"), *new))
    assert jars() == [("red cup", 320, 0)]
    fingers.give(keys("Alt+J", "5"))
    assert jars() == [("red cup", 320, 5)]
    fingers.give(keys("Alt+J", "Return", "Tab", "Space"))
    assert jars() == []


def test_the_rest_goes_to_lot_and_bank_by_keys(qapp: QApplication, tmp_path: Path) -> None:
    table = table_window(qapp, tmp_path, begin_box(tmp_path / "jar.slotleaf", rolls=5))
    try:
        fingers = Fingers(table.window)
        table.space.to_line()
        for entry in ("43d vf20", "1960", "1961 vf20", "1961 f12", "1962"):
            fingers.give((*typed(entry), *keys("Return")))
        before = collection_of(table.window.desk).content_hash()
        ways = keys("Alt+F", "End", "B", "Up", "L", "Up", "Up", "L")
        fingers.give((*ways, *keys("Ctrl+Return", "Escape")))
        assert table.box.is_done
        lines = box_of(table).finds
        lot = next(one.coin for one in lines if one.coin.is_lot)
        assert [(one.label, one.coin.id == lot.id, one.coin.status) for one in lines] == [
            ("1943-D", False, CoinStatus.HELD),
            ("1960", False, CoinStatus.HELD),
            ("1961", True, CoinStatus.HELD),
            ("1961", True, CoinStatus.HELD),
            ("1962", False, CoinStatus.GONE),
        ]
        assert (lot.quantity, lot.place) == (2, "bulk lot")
        assert box_of(table).facts.slots_text == "0 slots filled, 1 bettered"
        fingers.give(keys("Ctrl+Z"))
        assert not table.box.is_done
        assert collection_of(table.window.desk).content_hash() == before
    finally:
        close_window(table.window)
