"""Beside the plan: the months, what if, and the prices one can see are the demo's."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from shutil import copy

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from core.app.collection import Collection
from core.app.operations import add_album, let_go
from core.app.price_orders import set_prices
from core.app.work import Progress
from core.lookup.parse import parse_entry
from core.model.album import Wish
from core.model.arrangement import Arrangement
from core.model.plan_album import AlbumPlan
from core.model.prices import Price, PriceId
from core.planning.drawn import month_text
from gui.upgrades.workspace import UpgradesWorkspace
from gui.work import Job
from tests.gui.window_material import (
    NICKELS,
    OpenWindow,
    close_window,
    open_window,
    small_collection,
)


@pytest.fixture(scope="module")
def window(
    qapp: QApplication, demo_file: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[OpenWindow]:
    folder = tmp_path_factory.mktemp("beside")
    opened = open_window(qapp, folder, Path(copy(demo_file, folder)))
    opened.duties.show_workspace("upgrades")
    space = opened.duties.make_upgrades()
    assert space.sheet is not None
    nickels = next(number for number, name in space.sheet.albums if "Nickels" in name)
    space.head.albums_chosen.emit((nickels,))
    yield opened
    close_window(opened)


@pytest.fixture
def space(window: OpenWindow) -> Iterator[UpgradesWorkspace]:
    begun = window.desk.undo_label
    space = window.duties.make_upgrades()
    yield space
    space.what_if.forget()
    space.show_side(0)
    while window.desk.undo_label != begun:
        window.desk.undo()


def test_months_say_when_each_slot_closes_and_never_spend_more_than_was_set_aside(
    space: UpgradesWorkspace, window: OpenWindow
) -> None:
    window.window.activateWindow()
    space.to_table()
    QTest.keyClick(space.table, Qt.Key.Key_2, Qt.KeyboardModifier.AltModifier)
    assert space.sides.currentIndex() == 1
    made = space.months.made
    assert made is not None
    assert made.closes
    spent = 0
    for month in made.months:
        spent += month.spent
        assert spent <= 2_500 * month.number
    rows = space.months.table.rows.rows
    assert len(rows) == sum(len(m.purchases) + len(m.moves) for m in made.months)
    assert f"{len(made.closes)} slots close" in space.months.told.text()


def test_a_smaller_sum_takes_more_months_and_none_is_told_as_a_fault(
    space: UpgradesWorkspace,
) -> None:
    space.show_side(1)
    space.months.amount.setText("1.50")
    space.months.work()
    assert space.months.made is not None
    assert "need more months" in space.months.told.text() or len(space.months.made.months) > 3
    space.months.amount.setText("0")
    space.months.work()
    assert "above 0" in space.months.told.text()
    space.months.amount.setText("25.00")


def test_the_first_month_is_this_one() -> None:
    assert [month_text(date(2026, 11, 25), n) for n in (1, 2, 3)] == [
        "Nov 2026", "Dec 2026", "Jan 2027",
    ]  # fmt: skip


def test_lower_targets_for_key_dates_are_supposed_and_kept_only_when_asked(
    space: UpgradesWorkspace, window: OpenWindow
) -> None:
    space.show_side(2)
    assert "nothing is supposed" in space.what_if.told.text().casefold()
    space.what_if.points = 8
    space.what_if.keys.setChecked(True)
    space.what_if.work()
    supposed, now = space.what_if.supposed, space.further
    assert supposed is not None
    assert now is not None
    assert supposed.reach.money < now.reach.money
    begun = window.desk.undo_label
    lowered = space.what_if.lowered()
    assert lowered
    space.what_if.keep.click()
    assert window.desk.undo_label != begun
    assert space.sheet is not None
    slots = {row.slot.slot.id: row.slot.slot for row in space.sheet.found.rows}
    for target, ids in lowered:
        assert {slots[one].target for one in ids} == {target}
    assert not space.what_if.keys.isChecked()


def test_optional_slots_and_varieties_are_supposed_without_a_change(
    space: UpgradesWorkspace, window: OpenWindow
) -> None:
    from core.app.operations import set_wish

    assert space.sheet is not None
    gap = next(r for r in space.sheet.found.rows if r.held is None and r.steps)
    window.desk.run(set_wish([gap.slot.slot.id], Wish.OPTIONAL))
    space.show_side(2)
    begun = window.desk.undo_label
    space.what_if.optional.setChecked(True)
    space.what_if.work()
    assert space.what_if.supposed is not None
    assert space.further is not None
    assert space.what_if.supposed.finish.wanted == space.further.finish.wanted - 1
    space.what_if.optional.setChecked(False)
    space.what_if.varieties.setChecked(True)
    space.what_if.work()
    assert space.what_if.supposed is not None
    more = space.what_if.supposed.finish.wanted - space.further.finish.wanted
    assert more == space.what_if.supposed.added > 0
    assert "for varieties" in space.what_if.told.text()
    assert window.desk.undo_label == begun


def test_a_coin_that_is_freed_and_fills_another_slot_is_told_on_both_lines(
    qapp: QApplication, tmp_path: Path
) -> None:
    path = small_collection(tmp_path / "drawer.slotleaf")
    with Collection.open(path) as collection:
        more = AlbumPlan(years=(1943, 1943))
        collection.run(add_album("Just 1943", NICKELS, more, Arrangement()))
        series = collection.series(NICKELS)
        spare = next(c for c in collection.spares_of(NICKELS) if c.points == 20)
        collection.run(let_go([spare.id]))
        coin = parse_entry("1943-D vf20", [series]).coin
        price = Price(PriceId(0), coin.description, 20, 250, "USD", collection.today)
        collection.run(set_prices([price]))
    opened = open_window(qapp, tmp_path, path)
    try:
        opened.duties.show_workspace("upgrades")
        space = opened.duties.make_upgrades()
        assert space.planned is not None
        assert [m.from_slot is None for m in space.planned.plan.moves] == [True, False]
        war, just = (
            next(
                line
                for line in space.table.model_.lines
                if line.row.slot.label == "1943-D" and line.row.album_name == name
            )
            for name in ("War nickels", "Just 1943")
        )
        assert (war.buys, war.goes) == ("VF-20", "1943-D, Just 1943")
        assert (just.buys, just.cost) == ("VG-8 from 1943-D", 0)
        space.go_to(war.slot)
        assert "the freed VG-8 goes to 1943-D, Just 1943" in space.line_told.text()
        space.go_to(just.slot)
        said: list[str] = []
        space.said.connect(said.append)
        space.buy()
        assert "sits in 1943-D still" in said[0]
    finally:
        close_window(opened)


def test_a_plan_under_way_is_told_and_stopped_by_esc(space: UpgradesWorkspace) -> None:
    runner = space._desk.runner
    held = Job(Progress())

    def hold(*_: object) -> Job:
        return held

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(runner, "submit_drawing", hold)
        space.solve()
        assert space.planning.solver.is_working
        space.planning.solver._show()
        assert space.working.isVisible()
        assert space.cancel.isVisible()
        QTest.keyClick(space, Qt.Key.Key_Escape)
    assert held.is_cancelled
    assert not space.working.isVisible()
    assert space.foot.text().startswith("Stopped")
    space.solve()
    assert "proven best" in space.foot.text()
