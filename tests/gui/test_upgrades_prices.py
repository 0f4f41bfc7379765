"""The page of prices: typed, pasted, imported; offers answered at once; rates and rules."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from core.app.price_orders import delete_prices, edit_offer, set_prices, set_rate, set_rules
from core.model.prices import Offer, Price, PriceRules, SpotPrice, Weight
from gui.search.plain_table import PlainTable
from gui.upgrades import prices_page
from gui.upgrades.price_forms import OfferForm, PriceForm, RateForm, RulesForm, SpotForm
from gui.upgrades.price_sheet_dialog import PriceSheetDialog
from gui.upgrades.prices_page import PricesPage, rule_facts
from gui.upgrades.table import At
from tests.gui.window_material import OpenWindow, close_window, open_window, small_collection

SHEET = "series,date,mint,grade,price\nus-nickel-jefferson,1942,D,F-12,2.50\n"
FAULTY = "us-nickel-jefferson,1942,D,F-12x,1\nus-nickel-jefferson,1799,,F-12,1\n"


@pytest.fixture(scope="module")
def window(qapp: QApplication, tmp_path_factory: pytest.TempPathFactory) -> Iterator[OpenWindow]:
    folder = tmp_path_factory.mktemp("prices")
    opened = open_window(qapp, folder, small_collection(folder / "drawer.slotleaf"))
    opened.duties.show_workspace("upgrades")
    yield opened
    close_window(opened)


@pytest.fixture
def page(window: OpenWindow) -> Iterator[PricesPage]:
    begun = window.desk.undo_label
    space = window.duties.make_upgrades()
    space.show_prices()
    page = space.prices
    assert page is not None
    page.filter.clear()
    page.line.field.clear()
    page.metal.whose.choose(0)
    page.choose_tab(0)
    yield page
    while window.desk.undo_label != begun:
        window.desk.undo()


def rows(page: PricesPage, tab: int) -> tuple[tuple[str, ...], ...]:
    return page.tables[tab].rows.rows


def test_a_price_is_typed_as_coin_grade_and_amount_and_deleted_by_its_key(
    page: PricesPage, window: OpenWindow
) -> None:
    assert page.pages.currentWidget() is page.empties[0]
    QTest.keyClicks(page.line.field, "1942-d f12 @ 2.50")
    assert "not in your list" in page.line.told.text()
    page.line.source.setText("my own list")
    QTest.keyClick(page.line.field, Qt.Key.Key_Return)
    assert [cells[1:4] for cells in rows(page, 0)] == [("F-12", "my own list", "2.50 USD")]
    assert page.line.field.text() == ""
    QTest.keyClicks(page.line.field, "1942-d f12 @ 3")
    assert "over your list by 20 %" in page.line.told.text()
    page.line.field.clear()
    page.to_table()
    QTest.keyClick(page.tables[0], Qt.Key.Key_Delete)
    assert rows(page, 0) == ()
    window.desk.undo()
    assert len(rows(page, 0)) == 1


def test_a_price_without_a_grade_or_of_a_problem_coin_is_refused_with_its_reason(
    page: PricesPage,
) -> None:
    for text, reason in (("1942-d @ 2", "of one grade"), ("1942-d f12 bent @ 2", "sound coin")):
        page.line.field.setText(text)
        page.line.give()
        assert reason in page.line.told.text()
        assert page.line.told.property("look") == "fault"
    assert rows(page, 0) == ()


def test_the_keys_of_the_page_are_its_own_while_it_is_shown(page: PricesPage) -> None:
    page.line.field.setFocus()
    for key, place in ((Qt.Key.Key_2, 1), (Qt.Key.Key_3, 2), (Qt.Key.Key_4, 3), (Qt.Key.Key_1, 0)):
        asked = QApplication.focusWidget()
        assert asked is not None
        QTest.keyClick(asked, key, Qt.KeyboardModifier.AltModifier)
        assert page.tabs.choice() == place
    page.line.field.setText("1942-d f12 @ 2.50")
    page.line.give()
    page.filter.setText("nothing like it")
    page.read()
    assert page.pages.currentWidget() is page.none_found
    QTest.keyClick(page, Qt.Key.Key_Escape)
    page.read()
    assert page.pages.currentWidget() is page.tables[0]


def test_an_offer_is_answered_at_once_and_noted_by_enter(page: PricesPage) -> None:
    page.choose_tab(1)
    assert page.pages.currentWidget() is page.empties[1]
    QTest.keyClicks(page.line.field, "1942-d f12 @ 4")
    assert "gap" in page.line.told.text()
    QTest.keyClick(page.line.field, Qt.Key.Key_Return)
    assert [cells[4] for cells in rows(page, 1)] == ["4.00 USD"]
    page.line.field.setText("nonsense @ 4")
    assert page.line.told.property("look") == "mute"
    page.line.give()
    assert len(rows(page, 1)) == 1


def test_a_sheet_is_taken_in_whole_or_its_faults_are_listed(
    page: PricesPage, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    path = tmp_path / "spring list.csv"
    path.write_text(SHEET, encoding="utf-8")
    monkeypatch.setattr(prices_page, "choose_file", lambda *_: path)
    shown: list[PriceSheetDialog] = []

    def ask(_cls: object, parent: object, desk: object, text: str, source: str) -> object:
        dialog = PriceSheetDialog(None, page._desk, text, source)
        shown.append(dialog)
        return dialog.draft if dialog.foot.give.isEnabled() else None

    monkeypatch.setattr(PriceSheetDialog, "ask", classmethod(ask))
    page.import_sheet()
    assert [cells[1:4] for cells in rows(page, 0)] == [("F-12", "spring list", "2.50 USD")]
    QApplication.clipboard().setText(f"{SHEET}{FAULTY}")
    QTest.keyClick(page.line.field, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert page.line.field.text() == ""
    dialog = shown[-1]
    assert [cells[0] for cells in dialog.faults.texts.rows] == ["3", "4"]
    assert dialog.faults.texts.rows[0][1].startswith("grade: ")
    assert [mark.cursor.blockNumber() for mark in dialog.text.extraSelections()] == [2, 3]
    dialog.faults.setCurrentIndex(dialog.faults.texts.index(1, 0))
    QTest.keyClick(dialog.faults, Qt.Key.Key_Return)
    assert dialog.text.textCursor().selectedText() == "us-nickel-jefferson,1799,,F-12,1"
    QTest.keyClick(dialog, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert (dialog.foot.give.isEnabled(), dialog.result()) == (False, 0)
    assert len(rows(page, 0)) == 1
    page.choose_tab(1)
    QTest.keyClick(page.line.field, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert "An offer is one line" in page.line.told.text()
    QApplication.clipboard().setText("1942-d f12 @ 4")
    QTest.keyClick(page.line.field, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert "gap" in page.line.told.text()
    for dialog in shown:
        dialog.deleteLater()


def test_rates_and_rules_are_set_by_their_forms(
    page: PricesPage, monkeypatch: pytest.MonkeyPatch
) -> None:
    page.choose_tab(2)
    monkeypatch.setattr(RateForm, "ask", lambda *_: ("EUR", "1.08"))
    page.set_rate()
    assert page.rates.rows.rows[0][:2] == ("EUR", "1.08 USD")
    page.rates.setCurrentIndex(page.rates.rows.index(0, 0))
    page.delete()
    assert page.rates.rows.rows == ()

    def ask(_parent: object, rules: PriceRules, _today: object) -> PriceRules:
        return replace(rules, resale_share=40)

    monkeypatch.setattr(RulesForm, "ask", ask)
    page.change_rules()
    assert page.sheet is not None
    assert page.sheet.book.rules.resale_share == 40


def test_the_forms_read_what_they_show_and_name_the_faulty_field(page: PricesPage) -> None:
    assert page.sheet is not None
    book = page.sheet.book
    form = RulesForm(page, book.rules, book.today)
    assert form.read() == book.rules
    assert not book.rules.inherits_all
    form.varieties.choose(True)
    assert form.read().inherits_all
    form.base.setText("us")
    form._give()
    assert "no currency" in form.fields["Base currency"].fault
    rate = RateForm(page, "USD")
    rate.currency.setText("eur")
    rate.per.setText("1,08")
    assert rate.read() == ("EUR", "1.08")
    form.deleteLater()
    rate.deleteLater()


def test_the_price_of_a_metal_is_kept_with_its_currency_weight_and_day(page: PricesPage) -> None:
    rules = replace(PriceRules(), copper=SpotPrice(900, "EUR", Weight.KILO, date(2025, 5, 3)))
    form = SpotForm(page, rules, date(2026, 3, 2))
    assert form.read() == rules
    silver, copper = form.amounts
    silver.setText("900 eur")
    form.weights[0].choose(Weight.KILO)
    form.days[0].setText("3 May 2025")
    assert form.read().silver == SpotPrice(90_000, "EUR", Weight.KILO, date(2025, 5, 3))
    QTest.keyClick(copper, Qt.Key.Key_Backspace)  # a figure typed anew is of today
    assert form.days[1].text() == "2026-03-02"
    copper.clear()
    assert form.read().copper is None
    copper.setText("nine or ten")
    form._give()
    assert "is no price of a metal" in form.fields["Copper"].fault
    form.deleteLater()


def test_varieties_take_their_issues_price_one_by_one_or_all_and_say_so(
    page: PricesPage, window: OpenWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    page.choose_tab(2)
    page.filter.setText("1943 over 2")
    page.read()
    names = [cells[:2] for cells in page.varieties.rows.rows]
    assert names == [("3 over 2 of 1943-P, Jefferson nickels", "not priced")]
    page.varieties.setFocus()
    page.turn_variety()
    assert page.varieties.rows.rows[0][1] == "its issue's price"
    assert ("varieties that take their issue's price", "1") in shown_facts(page)
    page.turn_variety()
    assert page.varieties.rows.rows[0][1] == "not priced"
    page._desk.run(set_rules(PriceRules(inherits_all=True)))
    assert page.varieties.rows.rows[0][1] == "its issue's price"
    assert ("varieties that take their issue's price", "all") in shown_facts(page)
    told: list[str] = []
    window.desk.failed.connect(told.append)
    page.turn_variety()
    assert "switch that off in the rules" in told[-1]
    page.filter.setText("nothing like it")
    page.read()
    assert page.no_varieties.text() == "Nothing holds all these words."


def shown_facts(page: PricesPage) -> list[tuple[str, str]]:
    assert page.sheet is not None
    return list(rule_facts(page.sheet.book.rules))


def test_metal_is_told_by_series_for_all_coins_or_the_spares_with_its_caution(
    page: PricesPage, monkeypatch: pytest.MonkeyPatch
) -> None:
    page.choose_tab(3)
    metal = page.metal
    assert metal.spots.text() == "No price of metal is entered yet: Alt+M sets one."
    assert metal.pages.currentWidget() is metal.table
    assert {cells[5] for cells in metal.table.rows.rows} == {"—"}

    def ask(_parent: object, rules: PriceRules, today: date) -> PriceRules:
        return replace(rules, copper=SpotPrice(1000, "EUR", Weight.KILO, today))

    monkeypatch.setattr(SpotForm, "ask", ask)
    page.set_spot()
    assert "No rate of EUR: Alt+R sets it." in metal.spots.text()
    page._desk.run(set_rate("EUR", "1.10"))
    pieces = sum(int(cells[2]) for cells in metal.table.rows.rows)
    assert f"in {pieces} pieces. An estimate, not an offer." in metal.sum.text()
    assert "31 CFR 82.1" in metal.notes.text()
    page._turn_metal()
    assert sum(int(cells[2]) for cells in metal.table.rows.rows) < pieces


def test_a_price_and_an_offer_are_changed_by_enter_on_their_row(
    page: PricesPage, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert page.sheet is not None
    today = page.sheet.book.today
    page.line.field.setText("1942-d f12 @ 2.50")
    page.line.give()

    def priced(_cls: object, parent: object, price: Price, name: str, day: date) -> object:
        form = PriceForm(None, price, name, day)
        form.amount.setText("3 eur")
        form.day.setText("5 January 2026")
        form.source.setText(" the  fair ")
        told = form.read()
        form.amount.setText("3 4 5")
        form._give()
        assert "one amount" in form.fields["Price"].fault
        form.deleteLater()
        return told

    monkeypatch.setattr(PriceForm, "ask", classmethod(priced))
    QTest.keyClick(page.tables[0], Qt.Key.Key_Return)
    assert [cells[2:5] for cells in rows(page, 0)] == [("the fair", "3.00 EUR", "2026-01-05")]
    page.choose_tab(1)
    page.line.field.setText("1942-d f12 @ 4")
    page.line.give()

    def offered(_cls: object, parent: object, offer: Offer, name: str, day: date) -> object:
        assert name.startswith("1942-D")
        form = OfferForm(None, offer, name, day)
        form.until.setText((today + timedelta(3)).isoformat())
        form.many.setValue(2)
        told = form.read()
        form.until.setText("soon")
        form._give()
        assert "is no day" in form.fields["Until"].fault
        form.deleteLater()
        return told

    monkeypatch.setattr(OfferForm, "ask", classmethod(offered))
    page.change_button.click()
    assert rows(page, 1)[0][5:] == ((today + timedelta(3)).isoformat(), "2 of it")


def test_what_is_old_or_ran_out_is_greyed_and_counted(page: PricesPage) -> None:
    assert page.sheet is not None
    today = page.sheet.book.today
    page.line.field.setText("1942-d f12 @ 2.50")
    page.line.give()
    (price,) = page.sheet.prices
    old = replace(price, day=date(2001, 1, 1))
    page._desk.run(set_prices([old, replace(old, grade=8), replace(price, grade=20)]))
    page.line.field.setText("1942-d vf20 @ 4")
    page.choose_tab(1)
    page.line.give()
    (offer,) = page.sheet.offers
    page._desk.run(edit_offer(replace(offer, seen=date(2001, 1, 1), until=today - timedelta(1))))
    assert [cells[-1] for cells in rows(page, 1)] == ["ran out"]
    assert "1 offer ran out and is not planned with" in page.told.text()
    assert "1 price is older than 730 days" in page.told.text()
    greyed = [
        [at for at in range(table.rows.rowCount()) if colour(table, at) is not None]
        for table in page.tables
    ]
    assert greyed == [[2, 3], [0]]
    assert sorted(cells[-1] for cells in rows(page, 0)) == ["", "", "old", "replaced"]


def colour(table: PlainTable, at: int) -> object:
    return table.rows.data(table.rows.index(at, 0), Qt.ItemDataRole.ForegroundRole)


def test_esc_goes_back_to_the_plan_which_knows_the_new_prices(
    page: PricesPage, window: OpenWindow
) -> None:
    page.line.field.setText("1942-d vf20 @ 2.50")
    page.line.give()
    QTest.keyClick(page, Qt.Key.Key_Escape)
    space = window.duties.make_upgrades()
    assert space.pages.currentWidget() is space.main
    assert space.planned is not None
    assert space.planned.plan.spent == 250
    assert not space.band.isVisible()


def test_what_a_price_rests_on_is_said_below_it_in_the_plan(
    page: PricesPage, window: OpenWindow
) -> None:
    for text in ("1942-d f12 @ 1", "1942-d vf30 @ 4"):
        page.line.field.setText(text)
        page.line.give()
    assert page.sheet is not None
    _, low = page.sheet.prices
    page._desk.run(set_prices([replace(low, grade=4, day=date(2001, 1, 1))]))
    page._desk.run(delete_prices([low.id]))
    QTest.keyClick(page, Qt.Key.Key_Escape)
    model = window.duties.make_upgrades().table.model_
    heard = {
        model.data(model.index(at, At.COST), Qt.ItemDataRole.AccessibleTextRole)
        for at in range(model.rowCount())
    }
    assert {str(text).partition(", ")[2] for text in heard} >= {"old, between"}


def test_the_rate_chosen_is_forgotten_whatever_the_base_is_by_now(
    page: PricesPage, window: OpenWindow
) -> None:
    assert page.sheet is not None
    rules = page.sheet.book.rules
    window.desk.run(set_rate("CHF", "1.1"))
    window.desk.run(set_rules(replace(rules, base="EUR")))
    window.desk.run(set_rate("CHF", "1.05"))
    page.choose_tab(2)
    kept = [(rate.currency, rate.base) for rate in page.sheet.book.rates]
    assert set(kept) >= {("CHF", "USD"), ("CHF", "EUR")}
    at = kept.index(("CHF", "USD"))
    assert rows_of(page.rates)[at][:2] == ("CHF", "1.1 USD")
    page.rates.setCurrentIndex(page.rates.rows.index(at, 0))
    page.delete()
    left = [(rate.currency, rate.base) for rate in page.sheet.book.rates]
    assert left == [one for one in kept if one != ("CHF", "USD")]


def test_where_nothing_may_be_changed_each_key_says_why_and_asks_nothing(
    page: PricesPage, window: OpenWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    page.line.field.setText("1942-d f12 @ 2.50")
    page.line.give()
    desk = window.desk
    monkeypatch.setattr(type(desk), "is_read_only", property(lambda _desk: True))
    monkeypatch.setattr(type(desk), "read_only_reason", property(lambda _desk: "Another has it."))
    monkeypatch.setattr(prices_page, "choose_file", lambda *_: pytest.fail("a file is asked for"))
    for form in (PriceForm, OfferForm, RateForm, RulesForm, SpotForm, PriceSheetDialog):
        monkeypatch.setattr(form, "ask", lambda *_: pytest.fail("a form is asked"))
    heard: list[str] = []
    desk.failed.connect(heard.append)
    try:
        for act in (
            page.change, page.set_rate, page.change_rules, page.set_spot, page.paste,
            page.import_sheet,
        ):  # fmt: skip
            act()
    finally:
        desk.failed.disconnect(heard.append)
    assert heard == ["Nothing was changed. Another has it."] * 6


def test_a_name_that_is_cut_is_told_whole_at_its_cell(qapp: QApplication) -> None:
    table = PlainTable("Prices")
    table.show_rows(("Coin", "Price"), [("a long & winding name", "2")], tips=[("", "at most")])
    tips = [table.rows.index(0, at).data(Qt.ItemDataRole.ToolTipRole) for at in (0, 1)]
    assert tips == ["a long &amp; winding name", "at most"]
    table.deleteLater()


def rows_of(table: PlainTable) -> tuple[tuple[str, ...], ...]:
    return table.rows.rows
