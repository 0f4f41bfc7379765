"""The forms of the sorting table: a first box, what a form fills in and refuses, weighing."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from core.app.look_up import UseRule
from core.app.search_sets import add_container
from core.model.issue import Series
from core.model.search import Campaign, CampaignId, Claim, Container
from core.search.packaging import packaging
from gui.search.box_form import BoxAnswer, BoxForm, first_box
from gui.search.campaign_form import CampaignForm
from gui.search.small_forms import ClaimForm, RollAnswer, RollForm, RuleForm
from gui.search.tally_forms import DatesDialog, TalliesForm
from gui.search.weigh_form import JarAnswer, JarForm, WeighForm
from scenarios.designing import keys, typed
from tests.gui.search_material import AtTable, begin_box, table_window
from tests.gui.strokes import Fingers
from tests.gui.window_material import close_window, open_window, small_collection


@pytest.fixture(scope="module")
def window(qapp: QApplication, tmp_path_factory: pytest.TempPathFactory) -> Iterator[AtTable]:
    folder = tmp_path_factory.mktemp("forms")
    at = table_window(qapp, folder, begin_box(folder / "drawer.slotleaf"))
    yield at
    close_window(at.window)


@pytest.fixture
def table(window: AtTable) -> Iterator[AtTable]:
    begun = window.window.desk.undo_label
    yield window
    while window.window.desk.undo_label != begun:
        window.window.desk.undo()


def test_the_first_box_brings_its_campaign_in_one_entry(
    qapp: QApplication, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = open_window(qapp, tmp_path, small_collection(tmp_path / "none.slotleaf"))
    campaign = Campaign(CampaignId(0), "Nickels", opening_boxes=3)
    offered: list[str] = []

    def begin(_parent: object, beside: object, _box: object = None) -> BoxAnswer:
        box = first_box(beside)  # type: ignore[arg-type]  # what the form is given
        offered.append(box.denomination)
        return BoxAnswer(box, "nickels 2026")

    monkeypatch.setattr(CampaignForm, "ask", lambda *_args: campaign)
    monkeypatch.setattr(BoxForm, "ask", begin)
    try:
        window.duties.show_workspace("searches")
        space = window.duties.make_searches()
        assert space.pages.currentWidget() is space.empty
        assert window.window.focusWidget() is space.empty.button
        before = window.desk.undo_label
        QTest.keyClick(space.empty.button, Qt.Key.Key_Return)
        assert offered == ["US 5c"]  # the collection holds nickels
        assert space.table is not None
        assert space.table.box is not None
        assert (space.table.box.box.number, space.table.box.campaign.name) == (4, "Nickels")
        assert space.head.title.text() == "Box 4"
        window.desk.undo()
        assert window.desk.undo_label == before
        assert space.pages.currentWidget() is space.empty
    finally:
        close_window(window)


def test_a_box_form_fills_in_how_coins_are_packed_and_tells_the_weight(table: AtTable) -> None:
    shown = table.space.table
    assert shown is not None
    assert shown.box is not None
    from gui.search.box_form import Beside

    form = BoxForm(None, Beside((shown.box.search,), (shown.box.box,), 33), None)
    form.coins.choose("US 50c")
    halves = packaging("US 50c")
    assert halves is not None
    assert (form.rolls.value(), form.per_roll.value()) == (halves.rolls, halves.per_roll)
    assert form.face.text() == "500.00"
    assert form.weight.text().startswith("Weighs about 11 kg")
    form.fees.setText("much")
    form._give()
    assert form.fields["Fees"].fault
    form.fees.setText("1.50")
    form.before.setText("1940")
    form._give()
    answer = form.answer
    assert isinstance(answer, BoxAnswer)
    assert (answer.box.fees_minor, answer.box.nothing_before, answer.box.number) == (150, 1940, 33)
    form.deleteLater()


def test_a_roll_is_corrected_and_skipped(table: AtTable, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(RollForm, "ask", lambda *_args: RollAnswer(39, True))
    table.space.edit_roll(7)
    roll = table.space.strip.rolls[6]
    assert (roll.coins, roll.is_skipped) == (39, True)


def test_a_weighed_pile_tells_its_count_or_why_not(table: AtTable) -> None:
    shown = table.space.table
    assert shown is not None
    cents = [s for s in _every_series(table) if s.id == "us-cent-lincoln"]
    form = WeighForm(None, table.box.id, cents)
    form.coins.setValue(412)
    form.grams.setText("1173.6")
    # the figures of the picture that this screen was drawn after
    assert form.outcome.text() == "copper 235 ± 5"
    assert "31 CFR 82.1" in form.caution.text()
    form.grams.setText("3000")
    assert form.outcome.text() == ""
    assert "heavier than all copper" in form.wear.text()
    form._give()
    assert form.answer is None
    assert "heavier" in form.foot.trouble.text()
    form.deleteLater()


def _every_series(table: AtTable) -> tuple[Series, ...]:
    found: list[tuple[Series, ...]] = []
    table.window.desk.ask(lambda c: tuple(c.all_series()), found.append)
    return found[0]


def test_a_container_is_told_by_its_level(table: AtTable, monkeypatch: pytest.MonkeyPatch) -> None:
    jar = Container(0, "Red cup", 320, 8, "US 5c")
    monkeypatch.setattr(JarForm, "ask", lambda *_args: JarAnswer(jar))
    table.space.act("jars")
    shown = table.space.table
    assert shown is not None
    assert [replace(one, id=0) for one in shown.containers] == [jar]


def test_a_level_is_set_in_three_keys_at_most(table: AtTable) -> None:
    desk = table.window.desk
    for name in ("Blue jar", "Red cup", "Amber jug"):
        desk.run(add_container(Container(0, name, 320, 0, "US 5c")))
    fingers = Fingers(table.window)

    def levels() -> dict[str, int]:
        shown = table.space.table
        assert shown is not None
        return {one.name: one.eighths for one in shown.containers}

    table.space.to_line()
    third = (*keys("Alt+J"), *typed("r1"))
    for strokes in (keys("Alt+J", "8"), keys("Alt+J", "Down", "3"), third):
        fingers.give(strokes)
        assert table.space.line.field.hasFocus(), "the next coin can be typed"
    assert levels() == {"Amber jug": 8, "Blue jar": 3, "Red cup": 1}
    assert table.window.duties.notices.text == "Red cup, 1 of 8: 40 ± 23 coins. Undo: Ctrl+Z."
    desk.undo()
    assert levels()["Red cup"] == 0
    fingers.give((*keys("Alt+J"), *typed("r"), *keys("Return", "5", "Return")))
    assert levels()["Red cup"] == 5, "the form opens on its level"
    fingers.give(keys("Alt+J", "Escape"))
    assert table.space.line.field.hasFocus()


def test_a_faulty_rule_of_a_tally_is_told_and_nothing_is_saved(table: AtTable) -> None:
    shown = table.space.table
    assert shown is not None
    form = TalliesForm(None, "US 5c", shown.tallies)
    form._on_add()
    form.name.setText("Buffalo, S")
    form.rule.setText("mint")
    form._on_edited()
    form._give()
    assert form.answer is None
    assert "no part of a tally's rule" in form.foot.trouble.text()
    form.rule.setText("series=us-nickel-buffalo; mint=S")
    form._on_edited()
    form._give()
    assert isinstance(form.answer, tuple)
    assert form.answer[-1].name == "Buffalo, S"
    form.deleteLater()


def test_fully_logged_dates_stand_above_the_line_and_among_the_counts(
    table: AtTable, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown = table.space.table
    assert shown is not None
    series = next(s.id for s in shown.series if s.id == "us-nickel-jefferson")
    claim = Claim(0, table.box.id, series, None, 1939, "every coin dated up to 1939 is logged")
    monkeypatch.setattr(ClaimForm, "ask", lambda *_args: (claim, False))
    table.space.act("claims")
    assert "every coin dated up to 1939 is logged" in table.space.asked.whole_text
    dialog = DatesDialog(None, table.window.desk, table.box.id)
    assert [row[:1] + row[2:] for row in dialog.table.rows.rows] == [
        ("1938", "0", "0"), ("1939", "0", "0"),
    ]  # fmt: skip
    dialog.deleteLater()


def test_what_is_of_use_is_remembered_and_changes_the_answer(
    table: AtTable, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(RuleForm, "ask", lambda *_args: UseRule(gaps=False))
    table.space.act("rule")
    table.type("42d")
    assert table.space.card.text.startswith("No use")
    assert table.space.rule == UseRule(gaps=False)
    monkeypatch.setattr(RuleForm, "ask", lambda *_args: UseRule())
    table.space.act("rule")
    assert table.space.card.text.startswith("Fills a gap")
    table.press(Qt.Key.Key_Escape)


def test_a_campaign_in_figures_and_back_by_escape(table: AtTable) -> None:
    table.keep("42d")
    table.space.act("page")
    page = table.space.pages.currentWidget()
    assert page is table.space._dashboard
    assert page is not None
    heads = page.table.rows.heads
    row = dict(zip(heads, page.table.rows.rows[0], strict=True))
    # one slot in one roll of fifty: as many as 50 a box
    assert (row["Boxes"], row["Coins"], row["Slots filled"]) == ("1", "40", "50.0")
    assert all("finished boxes" in line[3] for line in page.trends.rows.rows)
    QTest.keyClick(page, Qt.Key.Key_Escape)
    assert table.space.pages.currentIndex() == 0
