"""The page of prices: typed, pasted, imported; offers answered at once; rates and rules."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from core.model.prices import PriceRules
from gui.upgrades import prices_page
from gui.upgrades.price_forms import RateForm, RulesForm
from gui.upgrades.price_sheet_dialog import PriceSheetDialog
from gui.upgrades.prices_page import PricesPage
from tests.gui.window_material import OpenWindow, close_window, open_window, small_collection

SHEET = "series,date,mint,grade,price\nus-nickel-jefferson,1942,D,F-12,2.50\n"


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


def test_an_offer_is_answered_at_once_and_noted_by_enter(page: PricesPage) -> None:
    page.choose_tab(1)
    assert page.pages.currentWidget() is page.empties[1]
    QTest.keyClicks(page.line.field, "1942-d f12 @ 4")
    assert "gap" in page.line.told.text()
    QTest.keyClick(page.line.field, Qt.Key.Key_Return)
    assert [cells[3] for cells in rows(page, 1)] == ["4.00 USD"]
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
    QApplication.clipboard().setText(f"{SHEET}us-nickel-jefferson,1942,D,F-12x,1\n")
    page.paste()
    assert "line 3, grade" in shown[-1].faults.toPlainText()
    assert not shown[-1].foot.give.isEnabled()
    assert len(rows(page, 0)) == 1
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
    form.silver.setText("30")
    assert form.read().silver_minor == 3000
    assert form.read().spot_day == book.today
    form.base.setText("us")
    form._give()
    assert "no currency" in form.fields["Base currency"].fault
    rate = RateForm(page, "USD")
    rate.currency.setText("eur")
    rate.per.setText("1,08")
    assert rate.read() == ("EUR", "1.08")
    form.deleteLater()
    rate.deleteLater()


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
