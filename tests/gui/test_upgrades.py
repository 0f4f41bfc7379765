"""The upgrades workspace: the table, the plan within a budget, pins, buying, the curve."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from shutil import copy

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from core.app.collection import Collection
from core.app.price_orders import set_rules
from core.model.state import SlotState
from core.planning.aim import GAPS, KEYS, TARGETS
from core.planning.prices import share_of
from core.planning.wants import Spot
from gui.upgrades.last_plan import read_plan_text
from gui.upgrades.lines import (
    Choice,
    Line,
    Order,
    Part,
    chosen_lines,
    make_lines,
    told_of,
    value_of,
)
from gui.upgrades.reading import Asked
from gui.upgrades.table import At
from gui.upgrades.workspace import UpgradesWorkspace
from tests.gui.desk_material import collection_of
from tests.gui.window_material import OpenWindow, close_window, open_window, small_collection


@pytest.fixture(scope="module")
def window(
    qapp: QApplication, demo_file: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[OpenWindow]:
    folder = tmp_path_factory.mktemp("upgrades")
    opened = open_window(qapp, folder, Path(copy(demo_file, folder)))
    opened.duties.actions["upgrades"].trigger()
    yield opened
    close_window(opened)


@pytest.fixture
def space(window: OpenWindow) -> Iterator[UpgradesWorkspace]:
    """The same workspace for every test, as it was when it was opened."""
    begun = window.desk.undo_label
    space = window.duties.make_upgrades()
    space.planning.asked = Asked()
    space._has_budget = False
    space.planning.shown.clear()
    space._settings.plan = ""
    space.budget.show_aim(GAPS)
    space.bar.filter.clear()
    space.bar.priced.setChecked(False)
    space.bar.choose_order(Order.PLAN)
    space.bar.choose(Part.OPEN)
    space.read()
    window.window.activateWindow()
    space.to_table()
    yield space
    while window.desk.undo_label != begun:
        window.desk.undo()


def press(space: UpgradesWorkspace, key: Qt.Key) -> None:
    QTest.keyClick(space.table, key)


def stand(space: UpgradesWorkspace, label: str, album: str = "") -> Line:
    for line in space.table.model_.lines:
        if line.row.slot.label == label and album in line.row.album_name:
            space.go_to(line.slot)
            break
    return here(space)


def here(space: UpgradesWorkspace) -> Line:
    line = space.table.current
    assert line is not None
    return line


def test_the_plan_stands_first_and_spares_that_cost_nothing_before_all(
    space: UpgradesWorkspace,
) -> None:
    lines = space.table.model_.lines
    planned = [line for line in lines if line.is_in_plan]
    assert lines[: len(planned)] == planned
    assert planned[0].is_move
    assert [line.is_move for line in planned] == sorted(
        (line.is_move for line in planned), reverse=True
    )
    assert space.planned is not None
    made = space.planned.plan
    assert made.spent <= 25_000
    assert len(planned) == len(made.purchases) + len(made.moves)
    assert f"{len(made.purchases)} to buy" in space.foot.text()
    assert "proven best" in space.foot.text()


def test_every_screen_says_that_prices_are_invented_and_counts_what_is_left_out(
    space: UpgradesWorkspace,
) -> None:
    told = space.head.told.text()
    assert "invented" in told
    assert "have no price" in told
    assert "older than" in told
    assert "not appraisals" in space.fair.text()
    space.bar.choose(Part.BARE)
    lines = space.table.model_.lines
    assert space.sheet is not None
    assert len(lines) == len(space.sheet.found.not_priced)
    costs = {space.table.model_.text(line, at) for line in lines for at in (At.COST,)}
    assert "not priced" in costs
    space.bar.priced.setChecked(True)
    assert all(line.cost is not None for line in space.table.model_.lines)


def test_parts_words_and_order_choose_the_lines(space: UpgradesWorkspace) -> None:
    space.bar.choose(Part.GAPS)
    assert {line.row.held for line in space.table.model_.lines} == {None}
    space.bar.choose_order(Order.COST)
    costs = [line.cost for line in space.table.model_.lines if line.cost is not None]
    assert costs == sorted(costs)
    space.bar.choose(Part.OPEN)
    space.bar.choose_order(Order.GAIN)
    closing = [line.closes_gap for line in space.table.model_.lines]
    assert closing == sorted(closing, reverse=True)
    gains = [line.gain for line in space.table.model_.lines if not line.closes_gap]
    assert gains == sorted(gains, reverse=True)
    space.bar.choose_order(Order.VALUE)
    values = [value_of(line) for line in space.table.model_.lines]
    assert values == sorted(values, reverse=True)
    assert values[0] > values[-1]
    space.bar.choose(Part.GAPS)
    space.bar.filter.setText("dimes 1951")
    assert {line.row.slot.label for line in space.table.model_.lines} == {"1951-S"}
    space.bar.filter.setText("nothing like this")
    assert space.list_pages.currentIndex() == 1
    QTest.keyClick(space, Qt.Key.Key_Escape)
    assert space.bar.filter.text() == ""


def test_spares_stand_first_without_a_plan_too(space: UpgradesWorkspace) -> None:
    assert space.sheet is not None
    lines = chosen_lines(make_lines(space.sheet.found), Part.OPEN, Order.PLAN, "", False)
    has_spare = [line.row.spare is not None for line in lines]
    assert any(has_spare)
    assert has_spare == sorted(has_spare, reverse=True)


def test_what_a_freed_coin_may_bring_is_a_share_of_its_price_set_once(
    space: UpgradesWorkspace, window: OpenWindow
) -> None:
    assert space.sheet is not None
    rules = space.sheet.found.book.rules
    shares = {}
    for share in (100, 40):
        window.desk.run(set_rules(replace(rules, resale_share=share)))
        lines = {line.slot: line for line in space.planning.lines.all if line.brings}
        assert lines
        shares[share] = {slot: line.brings for slot, line in lines.items()}
        line = next(line for line in lines.values() if line.step and not line.goes)
        assert line.step is not None
        assert space.table.model_.text(line, At.FREES) == f"{(line.brings or 0) / 100:.2f}"
        assert line.net == (line.cost or 0) - (line.brings or 0)
    assert shares[40].keys() <= shares[100].keys()
    for slot, brings in shares[40].items():
        assert brings == share_of(shares[100][slot] or 0, 40)


def test_pins_forbidden_choices_and_the_grade_looked_at_are_there_in_a_new_window(
    space: UpgradesWorkspace, window: OpenWindow, qapp: QApplication, tmp_path: Path
) -> None:
    space.bar.choose(Part.ALL)
    pinned = stand(space, "1914-D")
    press(space, Qt.Key.Key_P)
    forbidden = stand(space, "1942-D", "Nickels")
    press(space, Qt.Key.Key_X)
    looked = stand(space, "1939-D", "Nickels")
    press(space, Qt.Key.Key_Right)
    assert window.desk.undo_label is not None
    assert window.desk.undo_label.startswith("look at another purchase")
    assert here(space).buys == "VF-20"
    assert "1 pinned, 1 forbidden" in space.head.told.text()
    again = open_window(qapp, tmp_path, Path(copy(collection_of(window.desk).path, tmp_path)))
    try:
        again.duties.show_workspace("upgrades")
        other = again.duties.make_upgrades()
        lines = {line.slot: line for line in other.planning.lines.all}
        assert lines[pinned.slot].choice is Choice.PINNED
        assert lines[forbidden.slot].forbidden == 1
        assert ", forbidden" in told_of(lines[forbidden.slot], "HBT")
        assert lines[looked.slot].buys == "VF-20"
    finally:
        close_window(again)
    for _ in range(3):
        window.desk.undo()
    assert space.asked.pinned == space.asked.forbidden == frozenset()
    space.go_to(looked.slot)
    assert here(space).buys == "F-12"


def test_p_pins_and_x_forbids_and_the_plan_follows(space: UpgradesWorkspace) -> None:
    space.bar.choose(Part.ALL)
    dear = stand(space, "1914-D")
    assert not dear.is_in_plan
    press(space, Qt.Key.Key_P)
    assert here(space).choice is Choice.PINNED
    assert here(space).is_in_plan
    press(space, Qt.Key.Key_P)
    assert not here(space).is_in_plan
    cheap = stand(space, "1942-D", "Nickels")
    assert cheap.is_in_plan
    assert cheap.step is not None
    press(space, Qt.Key.Key_X)
    assert Spot(cheap.step.buy.id, cheap.slot) in space.asked.forbidden
    assert space.planned is not None
    assert cheap.step.buy.id not in {b.purchase for b in space.planned.plan.purchases}


def test_a_click_on_the_tick_takes_a_purchase_out_and_another_lets_it_in(
    space: UpgradesWorkspace,
) -> None:
    line = stand(space, "1942-D", "Nickels")
    assert line.step is not None
    number = line.step.buy.id
    where = space.table.visualRect(space.table.model_.index(space.table.currentIndex().row(), 0))
    QTest.mouseClick(space.table.viewport(), Qt.MouseButton.LeftButton, pos=where.center())
    assert Spot(number, line.slot) in space.asked.forbidden


def test_pins_beyond_the_budget_are_told_and_taken_off_by_one_key(
    space: UpgradesWorkspace,
) -> None:
    space.bar.choose(Part.ALL)
    stand(space, "1914-D")
    press(space, Qt.Key.Key_P)
    space.take_budget(5_000)
    space.solve()
    assert "cost more than the budget" in space.foot.text()
    space.unpin_all()
    assert "proven best" in space.foot.text()


def test_another_grade_is_looked_at_by_the_arrow_keys_and_pinned(
    space: UpgradesWorkspace,
) -> None:
    line = stand(space, "1939-D", "Nickels")
    assert [line.buys, len(line.row.steps)] == ["F-12", 2]
    press(space, Qt.Key.Key_Right)
    assert here(space).buys == "VF-20"
    press(space, Qt.Key.Key_P)
    assert space.planned is not None
    bought = {b.slot: b.points for b in space.planned.plan.purchases}
    assert bought[line.slot] == 20


def test_b_puts_a_purchase_on_order_in_one_step_that_undo_takes_back(
    space: UpgradesWorkspace, window: OpenWindow
) -> None:
    line = stand(space, "1942-D", "Nickels")
    press(space, Qt.Key.Key_B)
    assert window.desk.undo_label is not None
    assert "order" in window.desk.undo_label
    space.bar.choose(Part.ALL)
    space.go_to(line.slot)
    assert here(space).row.is_ordered
    assert "on order" in space.line_told.text()
    ordered = here(space).row.slot.ordered
    assert ordered is not None
    assert ordered.paid_minor is None, "what the list says is not what was paid"
    window.desk.undo()
    space.go_to(line.slot)
    assert not here(space).row.is_ordered
    assert here(space).is_in_plan


def test_an_offer_that_is_bought_is_taken(space: UpgradesWorkspace, window: OpenWindow) -> None:
    line = next(
        one
        for one in space.table.model_.lines
        if any(step.buy.offer for step in one.row.steps) and not one.is_move
    )
    offer = next(step.buy for step in line.row.steps if step.buy.offer)
    space.planning.shown[line.slot] = offer.id
    space.solve()
    space.go_to(line.slot)
    press(space, Qt.Key.Key_B)
    assert space.sheet is not None
    standing = [one.id for one in space.sheet.found.book.standing]
    assert offer.offer is not None
    assert offer.offer.quantity > 1 or offer.offer.id not in standing


def test_a_spare_of_the_plan_is_put_in_by_the_same_key(space: UpgradesWorkspace) -> None:
    line = space.table.model_.lines[0]
    assert line.is_move
    space.go_to(line.slot)
    assert space.bought.text() == "Put it in"
    press(space, Qt.Key.Key_B)
    assert space.sheet is not None
    row = space.sheet.found.row_of(line.slot)
    assert row.slot.coin is not None
    assert line.doing is not None
    assert line.doing.moved is not None
    assert row.slot.coin.id == space.sheet.found.number(line.doing.moved.coin)


def test_the_aim_and_the_mix_change_the_plan_and_say_what_they_mean(
    space: UpgradesWorkspace,
) -> None:
    actions = space.budget.aims.choices.actions()
    actions[1].trigger()
    space.solve()
    assert space.asked.aim is TARGETS
    assert "targets" in space.budget.words.text()
    actions[3].trigger()
    assert space.asked.aim is KEYS
    actions[4].trigger()
    assert space.budget.mix.isVisible()
    space.budget.weights[2].setValue(7)
    assert space.asked.aim.name == "mix:3,2,7"
    assert "every ten grade points gained 7" in space.budget.words.text()
    for slider in space.budget.weights:
        slider.setValue(0)
    assert any(slider.value() for slider in space.budget.weights)


def test_budget_and_aim_are_those_last_planned_with(
    space: UpgradesWorkspace, window: OpenWindow
) -> None:
    space.budget.aims.choices.actions()[4].trigger()
    for slider, weight in zip(space.budget.weights, (3, 7, 1), strict=True):
        slider.setValue(weight)
    space.take_budget(12_300)
    settings = space._settings
    assert settings.plan == "mix:3,7,1 HBT 12300"
    other = UpgradesWorkspace(window.desk, settings)
    other.read()
    assert (other.asked.aim.name, other.asked.budget) == ("mix:3,7,1", 12_300)
    assert [slider.value() for slider in other.budget.weights] == [3, 7, 1]
    assert other.budget.amount.text() == "123.00"
    assert read_plan_text("keys CHF 5", "HBT") == (KEYS, 25_000), "of another currency"
    assert read_plan_text("keys HBT none", "HBT") == (KEYS, None)
    for odd in ("gaps", "odd HBT 5", "gaps HBT x", ""):
        assert read_plan_text(odd, "HBT") == (None, 25_000)
    other.deleteLater()


def test_the_curve_its_table_and_the_budget_agree(space: UpgradesWorkspace) -> None:
    assert space.further is not None
    assert space.planned is not None
    steps = space.further.curve.steps
    assert space.curve.chart.drawn.stairs == tuple((s.spent, float(s.figure)) for s in steps)
    rows = space.curve.table.rows.rows
    assert len(rows) == len(steps)
    assert rows[-1][0] == f"{steps[-1].spent / 100:.2f}"
    assert space.further.curve.figure_at(25_000) == space.planned.plan.gains.gaps
    space.curve.chart.setFocus()
    QTest.keyClick(space.curve.chart, Qt.Key.Key_Home)
    assert space.asked.budget == steps[0].spent
    QTest.keyClick(space.curve.chart, Qt.Key.Key_Right)
    assert space.asked.budget == steps[1].spent
    assert space.budget.budget == steps[1].spent


def test_the_budget_is_typed_and_what_is_no_amount_is_told(space: UpgradesWorkspace) -> None:
    space.budget.amount.setText("")
    space.budget.amount.textEdited.emit("")
    assert space.asked.budget is None
    QTest.keyClicks(space.budget.amount, "12.50")
    assert space.asked.budget == 1250
    QTest.keyClicks(space.budget.amount, "x")
    assert "is no amount" in space.budget.fault.text()
    assert space.asked.budget == 1250


def test_the_set_then_is_that_of_the_plan(space: UpgradesWorkspace, window: OpenWindow) -> None:
    assert space.sheet is not None
    assert space.planned is not None
    now, then, made = space.sheet.now, space.planned.then, space.planned.plan
    assert f"have: {now.have} of {now.wanted} → {then.have} of {then.wanted}" in space.set.texts
    assert then.met - now.met <= made.gains.targets + then.arrived
    heads = [one.headline for one in collection_of(window.desk).shelf()]
    assert (now.have, now.met) == (sum(h.have for h in heads), sum(h.at_target for h in heads))
    states = Counter(row.slot.state for row in space.sheet.found.rows)
    assert now.gaps + now.optional_gaps == states[SlotState.GAP]
    assert then.arrived == 2
    assert "2 on order counted as there then" in space.set.left_out.text()
    assert then.filled.by_count.per_cent > now.filled.by_count.per_cent  # type: ignore[operator]


def test_one_album_alone_is_planned(space: UpgradesWorkspace) -> None:
    assert space.sheet is not None
    number, name = space.sheet.albums[0]
    space.head.albums_chosen.emit((number,))
    assert {row.album_name for row in space.sheet.found.rows} == {name}
    assert name[:10] in space.head.albums.text() or space.asked.albums == (number,)


def test_without_prices_spares_are_still_told_and_the_next_step_named(
    qapp: QApplication, tmp_path: Path
) -> None:
    opened = open_window(qapp, tmp_path, small_collection(tmp_path / "drawer.slotleaf"))
    try:
        opened.duties.show_workspace("upgrades")
        space = opened.duties.make_upgrades()
        assert "No prices yet" in space.band.label.text()
        assert {line.row.slot.label for line in space.table.model_.lines if line.is_move} >= {
            "1943-D"
        }
    finally:
        close_window(opened)


def test_without_an_album_the_next_step_is_one(qapp: QApplication, tmp_path: Path) -> None:
    from core.app.collection import make_collection

    path = tmp_path / "empty.slotleaf"
    make_collection(path, "Empty")
    with Collection.open(path) as collection:
        assert not collection.albums()
    opened = open_window(qapp, tmp_path, path)
    try:
        opened.duties.show_workspace("upgrades")
        space = opened.duties.make_upgrades()
        assert space.pages.currentWidget() is space.empty
        asked: list[str] = []
        space.command_asked.disconnect()
        space.command_asked.connect(asked.append)
        space.empty.button.click()
        assert asked == ["new_album"]
    finally:
        close_window(opened)


def test_a_budget_in_another_currency_is_no_budget_in_this_one(
    space: UpgradesWorkspace, window: OpenWindow
) -> None:
    assert space.sheet is not None
    assert space.asked.budget == 25_000
    window.desk.run(set_rules(replace(space.sheet.found.book.rules, base="JPY")))
    assert (space.asked.budget, space.budget.budget) == (250, 250)
    assert space.budget.amount.text() == "250"


def test_space_on_a_line_without_a_purchase_says_so(space: UpgradesWorkspace) -> None:
    heard: list[str] = []
    space.said.connect(heard.append)
    space.bar.choose(Part.BARE)
    line = next(one for one in space.table.model_.lines if one.step is None and not one.is_move)
    space.go_to(line.slot)
    press(space, Qt.Key.Key_Space)
    assert heard == ["There is no purchase on this line to choose."]


def test_why_there_is_no_plan_stands_until_there_is_one(space: UpgradesWorkspace) -> None:
    space.take_budget(1)
    space.solve()
    bought = next(one for one in space.table.model_.lines if one.step and not one.is_move)
    space.go_to(bought.slot)
    space.pin()
    why_not = space.foot.text()
    assert "more than the budget" in why_not
    working = space.planning.solver.working
    working.emit(True, 0.5, "Drawing the curve")
    assert space.foot.text() == "Drawing the curve …"
    working.emit(False, 1.0, "")
    assert (space.foot.text(), space.foot.property("look")) == (why_not, "fault")
    space.unpin_all()
    working.emit(False, 1.0, "")
    assert "proven best" in space.foot.text()


def test_nothing_of_one_collection_stands_in_the_table_of_the_next(
    space: UpgradesWorkspace, window: OpenWindow
) -> None:
    window.duties.show_workspace("albums")
    assert space.table.model_.lines
    space._on_opened()
    assert space.table.current is None
    window.duties.show_workspace("upgrades")
    assert space.table.current is not None


def test_a_line_of_the_plan_that_shows_another_grade_says_what_the_plan_buys(
    space: UpgradesWorkspace,
) -> None:
    text = space.table.model_.text
    line = next(
        one
        for one in space.table.model_.lines
        if one.is_in_plan and not one.is_move and len(one.row.steps) > 1
    )
    assert (line.plan_buys, text(line, At.TICK)) == ("", "in the plan")
    space.go_to(line.slot)
    space.look_at_grade(1 if line.step is line.row.steps[0] else -1)
    other = here(space)
    assert (other.slot, other.is_in_plan) == (line.slot, True)
    assert other.buys != line.buys
    assert (other.plan_buys, text(other, At.TICK)) == (line.buys, f"in the plan: {line.buys}")


def test_a_share_that_coins_in_hand_lead_to_is_not_reached_yet(space: UpgradesWorkspace) -> None:
    assert space.sheet is not None
    wants, card = space.sheet.found.given.wants, space.costs
    filled = sum(want.held is not None for want in wants)
    met = sum(want.meets(want.held) for want in wants)
    told: dict[str, int] = {}
    for which, have in ((0, filled), (1, met)):
        card.which.choose(which)
        for share in range(1, 101):
            card.share.setValue(share)
            text = card.way.text()
            assert (text == "is reached") == (100 * have >= share * len(wants)), share
            told[text] = told.get(text, 0) + 1
    assert told["nothing: coins you hold lead there"] > 0
