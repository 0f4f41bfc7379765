"""What stories do with prices and plans, without a screen."""

from collections.abc import Sequence
from pathlib import Path

from core.app.collection import Collection
from core.app.exchange_sheet import sheet_text
from core.app.price_book import read_price_sheet
from core.app.price_orders import import_prices
from core.app.upgrades import Upgrades, plan_input
from core.app.want_list import bought, read_pay, want_lines, want_pdf, want_sheet
from core.model.album import AlbumId, SlotId
from core.model.money import read_money
from core.planning.aim import GAPS
from core.planning.plan import Plan, plan
from core.printing.pdf import write_pdf
from core.printing.want_list import WantPaper

Chosen = dict[str, tuple[str, int]]
"""Label of a slot to the grade to buy for it and what that costs, in minor units."""


class Buyer:
    """Plans over one album of a collection, and buys by the plan made last."""

    def __init__(self, collection: Collection, album: AlbumId) -> None:
        self._collection, self._album = collection, album
        self._planned: tuple[Upgrades, Plan] | None = None

    def take_prices(self, sheet: Path) -> None:
        """Import a sheet of prices."""
        book = self._collection.price_book()
        known = [self._collection.album_view(self._album).series]
        self._collection.run(import_prices(read_price_sheet(sheet_text(sheet), known, book)))

    def plan(self, budget: str, pins: Sequence[str] = ()) -> Chosen:
        """The best purchases that close gaps, within a budget; pins are slots to buy for."""
        found = plan_input(self._collection, [self._album])
        if pins:
            numbers = [row.steps[-1].buy.id for row in found.rows if row.slot.slot.label in pins]
            found = plan_input(self._collection, [self._album], numbers)
        made = plan(found.given, read_money(budget, found.book.rules.base), GAPS)
        assert made.is_proven
        self._planned = found, made
        chosen: Chosen = {}
        for one in made.purchases:
            grade = found.buys[one.purchase].coin.grade
            assert grade is not None
            chosen[found.row_of(one.slot).slot.slot.label] = grade.text, one.cost
        return chosen

    def want_list(self, budget: str, pins: Sequence[str], pay: str, paper: str, to: Path) -> None:
        """Print what a plan buys."""
        self.plan(budget, pins)
        assert self._planned is not None
        found, made = self._planned
        money = read_money(budget, found.book.rules.base)
        lines = want_lines(found, made)
        sheet = want_sheet(self._collection, found, lines, read_pay(pay), made, money)
        write_pdf(to, want_pdf(sheet, WantPaper(paper), self._collection.today))

    def buy(self, label: str) -> None:
        """A purchase of the plan made last is made."""
        assert self._planned is not None
        found, made = self._planned
        slots = {found.row_of(one.slot).slot.slot.label: one for one in made.purchases}
        one = slots[label]
        buy = found.buys[one.purchase]
        self._collection.run(bought(buy, SlotId(one.slot), found.book.rules.base))
