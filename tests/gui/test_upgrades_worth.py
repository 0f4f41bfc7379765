"""A budget that follows what was bought; what a coin is worth asked at its line; first looks."""

from collections.abc import Iterator
from pathlib import Path
from shutil import copy

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from core.model.coin import Problem
from core.model.prices import UNGRADED, Price
from core.planning.aim import GAPS
from core.planning.prices import share_of
from gui.keyboard_sheet import PRICE_KEYS, UPGRADE_KEYS
from gui.upgrades.lines import Choice, Line, told_of
from gui.upgrades.price_forms import WorthForm
from gui.upgrades.price_reading import coin_to_price
from gui.upgrades.reading import Asked
from gui.upgrades.table import _KEYS, At
from gui.upgrades.workspace import UpgradesWorkspace
from tests.gui.window_material import OpenWindow, close_window, open_window


@pytest.fixture(scope="module")
def window(
    qapp: QApplication, demo_file: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[OpenWindow]:
    folder = tmp_path_factory.mktemp("worth")
    opened = open_window(qapp, folder, Path(copy(demo_file, folder)))
    opened.duties.actions["upgrades"].trigger()
    yield opened
    close_window(opened)


@pytest.fixture
def space(window: OpenWindow) -> Iterator[UpgradesWorkspace]:
    begun = window.desk.undo_label
    space = window.duties.make_upgrades()
    space.budget.show_aim(GAPS)
    space.planning.asked = Asked()
    space.take_budget(25_000)
    space.solve()
    window.window.activateWindow()
    space.to_table()
    yield space
    while window.desk.undo_label != begun:
        window.desk.undo()


def press(space: UpgradesWorkspace, key: Qt.Key) -> None:
    QTest.keyClick(space.table, key)


def purchase(space: UpgradesWorkspace, place: int = 0) -> Line:
    """The first purchase of the plan, or one that follows."""
    return [one for one in space.table.model_.lines if one.is_in_plan and not one.is_move][place]


def test_the_table_begins_at_its_top(space: UpgradesWorkspace) -> None:
    space._on_opened()
    assert space.table.currentIndex().row() == 0
    assert space.table.verticalScrollBar().value() == 0


def test_what_is_bought_comes_off_the_budget_and_back_onto_it(
    space: UpgradesWorkspace, window: OpenWindow
) -> None:
    first, following = purchase(space), purchase(space, 1)
    assert first.cost is not None
    space.go_to(first.slot)
    press(space, Qt.Key.Key_B)
    assert space.table.current is not None
    assert space.table.current.slot == following.slot  # on to the next, as one works down a list
    assert space.asked.budget == 25_000 - first.cost
    second = purchase(space, 2)
    assert second.cost is not None
    space.go_to(second.slot)
    press(space, Qt.Key.Key_B)
    assert space.asked.budget == 25_000 - first.cost - second.cost
    space.solve()
    assert space.planned is not None
    assert space.planned.plan.spent <= space.asked.budget
    window.desk.undo()
    assert space.asked.budget == 25_000 - first.cost
    window.desk.undo()
    assert space.asked.budget == 25_000
    window.desk.redo()
    assert space.budget.budget == space.asked.budget == 25_000 - first.cost
    window.desk.undo()
    space.go_to(next(one for one in space.table.model_.lines if one.is_move).slot)
    press(space, Qt.Key.Key_B)
    assert space.asked.budget == 25_000  # a spare costs nothing


def test_what_a_coin_without_a_grade_is_worth_is_asked_at_its_line(
    space: UpgradesWorkspace, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert space.sheet is not None
    line = next(
        one
        for one in space.planning.lines.all
        if one.holds == "no grade" and one.step is not None and not one.goes
    )
    assert line.brings is None
    assert "is worth is yours to say (W)" in told_of(line, "HBT")
    asked: list[str] = []

    def ask(_parent: object, coin: object, name: str, base: str, today: object) -> Price:
        form = WorthForm(None, coin, name, base, today)  # type: ignore[arg-type]  # as it is asked
        asked.append(name)
        assert form.grade.text() == ""
        form.amount.setText("2.50")
        form.source.setText("my  eye")
        price = form.read()
        form.deleteLater()
        return price

    monkeypatch.setattr(WorthForm, "ask", ask)
    space.go_to(line.slot)
    press(space, Qt.Key.Key_W)
    assert len(asked) == 1
    book = space.sheet.found.book
    (price,) = [one for one in book.prices if one.grade == UNGRADED]
    assert (price.minor, price.source) == (250, "my eye")
    again = next(one for one in space.planning.lines.all if one.slot == line.slot)
    worth = share_of(250, book.rules.resale_share)
    coin = line.row.slot.coin
    assert coin is not None
    assert again.brings == (worth if not coin.problems else worth // 2)
    assert f"its coin without a grade may bring {again.brings / 100:.2f}" in told_of(again, "HBT")


def test_the_form_takes_a_plain_grade_and_a_gap_offers_its_target(
    space: UpgradesWorkspace,
) -> None:
    assert space.sheet is not None
    gap = next(one for one in space.planning.lines.all if one.closes_gap and one.target == "VF-20")
    coin, name = coin_to_price(gap.row.slot, space.sheet.series)
    form = WorthForm(space, coin, name, "HBT", space.sheet.found.book.today)
    assert form.grade.text() == "VF-20"
    for typed, field in (("VF-20 details", "Grade"), ("nice", "Grade"), ("", "Grade")):
        form.grade.setText(typed)
        form.amount.setText("3")
        form._give()
        assert form.fields[field].fault
    form.grade.setText("f12")
    form.amount.setText("3 eur")
    price = form.read()
    assert (price.grade_text, price.minor, price.currency) == ("F-12", 300, "EUR")
    assert Problem.CLEANED not in coin.problems
    form.deleteLater()


def test_a_forbidden_grade_is_named_where_a_spare_moves_in(space: UpgradesWorkspace) -> None:
    from gui.upgrades.table import _choice

    line = next(one for one in space.table.model_.lines if one.is_move and one.step is not None)
    space.go_to(line.slot)
    press(space, Qt.Key.Key_X)
    now = next(one for one in space.planning.lines.all if one.slot == line.slot)
    assert now.choice is Choice.FORBIDDEN
    assert line.step is not None
    assert line.step.buy.coin.grade is not None
    assert _choice(now) == f"{line.step.buy.coin.grade.text} forbidden"


def test_an_amount_stands_as_money_once_it_is_left_and_aims_open_with_the_keys(
    space: UpgradesWorkspace,
) -> None:
    space.budget.amount.setFocus()
    space.budget.amount.selectAll()
    QTest.keyClicks(space.budget.amount, "250")
    assert space.budget.amount.text() == "250"
    QTest.keyClick(space.budget.amount, Qt.Key.Key_Return)
    assert space.budget.amount.text() == "250.00"
    QTest.keyClick(space.table, Qt.Key.Key_A, Qt.KeyboardModifier.AltModifier)
    assert space.budget.aims.choices.isVisible()
    space.budget.aims.choices.close()
    assert space.budget.aims.hasFocus()


def test_every_key_of_the_table_is_on_the_sheet_of_keys() -> None:
    told = {key for _, key in UPGRADE_KEYS}
    named = {"Space", "Enter"}
    letters = {Qt.Key(key).name.removeprefix("Key_") for key in _KEYS} - {"Return", "Enter"}
    assert letters - told <= named - told
    assert {key for _, key in PRICE_KEYS} >= {"Alt+I", "Alt+R", "Alt+G", "Alt+V", "Alt+M", "Ctrl+V"}


def test_a_slot_says_all_of_its_name_where_one_points_at_it(space: UpgradesWorkspace) -> None:
    model = space.table.model_
    tip = model.data(model.index(0, At.SLOT), Qt.ItemDataRole.ToolTipRole)
    row = model.lines[0].row
    assert tip == f"{row.slot.label}, {row.album_name}"


def test_from_the_list_of_offers_one_goes_to_the_line_where_it_gains_most(
    space: UpgradesWorkspace, window: OpenWindow
) -> None:
    space.show_prices()
    page = space.prices
    assert page is not None
    assert page.sheet is not None
    page.choose_tab(1)
    told = [cells[3] for cells in page.tables[1].rows.rows]
    assert all("list" in text for text in told), told
    place = next(n for n, one in enumerate(page.sheet.offers) if one.is_sound)
    page.tables[1].setCurrentIndex(page.tables[1].rows.index(place, 0))
    QTest.keyClick(page.tables[1], Qt.Key.Key_B, Qt.KeyboardModifier.AltModifier)
    assert space.pages.currentWidget() is space.main
    line = space.table.current
    assert line is not None
    assert line.step is not None
    assert line.step.buy.offer == page.sheet.offers[place]
    assert "offer" in space.line_told.text()
    press(space, Qt.Key.Key_B)
    assert window.desk.undo_label is not None
    assert "offer" in window.desk.undo_label
