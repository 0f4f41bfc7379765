"""The upgrades as they are drawn for the contact sheets."""

from dataclasses import replace
from typing import TYPE_CHECKING

from core.app.offers import offered
from core.app.price_orders import set_rules
from core.model.prices import SpotPrice, Weight
from gui.portrait import settle
from gui.upgrades.price_forms import (
    OfferForm,
    PriceForm,
    RateForm,
    RulesForm,
    SpotForm,
    WorthForm,
)
from gui.upgrades.price_sheet_dialog import PriceSheetDialog
from gui.upgrades.workspace import UpgradesWorkspace

if TYPE_CHECKING:
    from gui.app import Program
    from tests.pictures_screens import Screens

SHEET = (
    "series,date,mint,grade,price,source\n"
    "us-cent-lincoln,1914,D,F-12,210,a list kept in the blue biscuit tin behind the stove\n"
)
FAULTY = f"{SHEET}us-cent-lincoln,1914,D,F-12x,210,\nus-cent-lincoln,19,D,F-12,0,\n"


def _space(program: "Program") -> UpgradesWorkspace:
    program.window.duties.show_workspace("upgrades")
    return program.window.duties.make_upgrades()


def _price(program: "Program") -> None:
    """One price, of the coin that the one slot wants."""
    from datetime import date

    from core.app.operations import set_target
    from core.app.price_orders import set_prices
    from core.model.album import SlotId, Target
    from core.model.prices import Price, PriceId

    space = program.window.duties.make_upgrades()
    assert space.sheet is not None
    slot = space.sheet.found.rows[0].slot.slot
    description = slot.accepts
    program.desk.run(set_target([SlotId(slot.id)], Target(40)))
    price = Price(PriceId(0), description, 40, 125_000, "USD", date(2026, 11, 1))
    program.desk.run(set_prices([price]))


def upgrades(screens: "Screens") -> None:
    """The table with nothing, without prices, with all; every side; every page of the prices."""
    for path, name in ((screens.empty, "nothing"), (screens.much, "much")):
        with screens.window(path) as program:
            space = _space(program)
            screens.save(program, f"upgrades-{name}")
            for side, called in ((1, "months"), (2, "what-if")):
                if space.sheet is not None and space.sheet.found.rows:
                    space.show_side(side)
                    screens.save(program, f"upgrades-{name}-{called}")
    with screens.window(screens.one) as program:
        space = _space(program)
        space.planning.ask_albums(())
        _price(program)
        space.budget.aims.choices.actions()[1].trigger()
        space.solve()
        for side, called in enumerate(("curve", "months", "what-if")):
            space.show_side(side)
            screens.save(program, f"upgrades-one-{called}")
    with screens.window(screens.demo) as program:
        space = _space(program)
        screens.save(program, "upgrades-plan")
        space.go_to(space.table.model_.lines[6].slot)
        space.pin()
        forbidden = space.table.model_.lines[9].slot
        space.go_to(forbidden)
        space.forbid()
        space.go_to(forbidden)
        space.budget.aims.choices.actions()[4].trigger()
        space.solve()
        space.curve.behind.setChecked(True)
        screens.save(program, "upgrades-mix-table")
        space.curve.behind.setChecked(False)
        space.budget.aims.choices.actions()[2].trigger()
        space.solve()
        screens.save(program, "upgrades-curve-much")
        space.show_side(1)
        screens.save(program, "upgrades-months")
        space.months.amount.setText("0.10")
        space.months.work()
        screens.save(program, "upgrades-months-little")
        space.show_side(2)
        screens.save(program, "upgrades-what-if-nothing")
        space.what_if.keys.setChecked(True)
        space.what_if.varieties.setChecked(True)
        settle(400)
        screens.save(program, "upgrades-what-if")
        space.what_if.shown.behind.setChecked(True)
        screens.save(program, "upgrades-what-if-table")
        space.what_if.shown.behind.setChecked(False)
        space.show_side(0)
        space.bar.filter.setText("nothing like this")
        screens.save(program, "upgrades-none-found")
        space.bar.filter.clear()
        program.desk.undo()
        program.desk.undo()
        space.show_prices()
        page = space.prices
        assert page is not None
        page.line.field.setText("1914-d f12 @ 210")
        screens.save(program, "upgrades-prices")
        page.choose_tab(1)
        page.line.field.setText("09 s @ 40")
        screens.save(program, "upgrades-offers")
        page.choose_tab(2)
        screens.save(program, "upgrades-rules")
        page.choose_tab(3)
        screens.save(program, "upgrades-metal-no-price")
        assert page.sheet is not None
        book = page.sheet.book
        silver = SpotPrice(2800, book.rules.base, Weight.OUNCE, book.today)
        copper = SpotPrice(900, "EUR", Weight.KILO, book.today)
        program.desk.run(set_rules(replace(book.rules, silver=silver, copper=copper)))
        screens.save(program, "upgrades-metal")
        page.metal.turn()
        screens.save(program, "upgrades-metal-spares")
        program.desk.undo()
        price, offer = page.sheet.prices[0], page.sheet.offers[0]
        long = "bronze planchet of 1943, no letter, D or S?, Lincoln cents, VF-20"
        for made, name in (
            (PriceSheetDialog(program.window, program.desk, FAULTY), "sheet-faulty"),
            (PriceSheetDialog(program.window, program.desk, SHEET), "sheet"),
            (RulesForm(program.window, book.rules, book.today), "rules-form"),
            (RateForm(program.window, book.rules.base), "rate-form"),
            (SpotForm(program.window, book.rules, book.today), "spot-form"),
            (PriceForm(program.window, price, long, book.today), "price-form"),
            (OfferForm(program.window, offer, long, book.today), "offer-form"),
            (
                WorthForm(program.window, offered(offer), long, book.rules.base, book.today),
                "worth-form",
            ),
        ):
            screens.save(program, f"dialog-upgrades-{name}", made)
            made.deleteLater()
