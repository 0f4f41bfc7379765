"""The curves of the upgrades and the months of a plan, with their tables, ready for paper.

The stairs drawn here and in the window are the same, and so are the rows of the tables
(`plan_tables`). Nothing private is told: not what was paid, nor where an offer was seen.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from core.app.checklists import day_text
from core.app.plan_tables import (
    beside_table,
    curve_proof,
    curve_table,
    months_table,
    nothing_text,
    plan_proof,
    told_of_months,
)
from core.app.price_book import amount_text
from core.app.upgrades import Upgrades
from core.model.money import money_text
from core.planning.aim import Aim
from core.planning.curve import Curve
from core.planning.drawn import Drawn, counted, curve_stairs, drawn_curve, drawn_months
from core.planning.plan import Plan
from core.planning.schedule import Schedule
from core.printing.checklist import Paper
from core.printing.curve_page import CurveSheet, CurveTable, Marked, curve_pages
from core.printing.pdf import measure, pages_pdf, wrap

ESTIMATES = "Values are estimates, not appraisals."
OWN_LIST = "Prices are those of the collector's own list and offers."
KIND = "Upgrades"


@dataclass(frozen=True, slots=True)
class About:
    """What every page tells at its head and foot: the collection's name, and over what it is."""

    collection: str
    found: Upgrades

    @property
    def albums(self) -> str:
        """The albums looked at, by name."""
        names = {row.album: row.album_name for row in self.found.rows}
        return ", ".join(names.values())

    @property
    def currency(self) -> str:
        """The base currency."""
        return self.found.book.rules.base

    @property
    def notes(self) -> tuple[str, ...]:
        """What stands on every page: estimates, invented prices, what is left out."""
        book = self.found.book
        told = (book.invented_text, *self.found.notes)
        return (ESTIMATES, OWN_LIST, *(f"{text}." for text in told if text))


# ---- words


def _marked(drawn: Drawn, budget: int | None) -> Marked:
    """The budget; without one, the least money for all that is priced."""
    if budget is None:
        end = drawn.stairs[-1].across if drawn.stairs else 0
        return Marked(end, f"all that is priced, {money_text(end, drawn.unit)}")
    beyond = " →" if budget > drawn.most else ""
    return Marked(budget, f"budget {money_text(budget, drawn.unit)}{beyond}")


def _bought_for(drawn: Drawn, budget: int | None, made: Plan | None) -> tuple[str, str]:
    """What the budget buys by the curve, and whether the plan for it is proven best."""
    mark = _marked(drawn, budget)
    proof = f"; the plan for it is {plan_proof(made)}" if made is not None else ""
    if drawn.stairs and mark.across < drawn.stairs[0].across:
        bought = "not enough for what is pinned"
    else:
        bought = counted(drawn.figure_at(mark.across), drawn.figure)
    amount = "no end" if budget is None else amount_text(budget, drawn.unit)
    return "Budget", f"{amount}: {bought}{proof}"


# ---- the pages


def curve_sheet(
    about: About,
    aim: Aim,
    found: Curve,
    budget: int | None,
    made: Plan | None = None,
    pins: str = "",
) -> CurveSheet:
    """The budget curve; `made` is the plan for the budget, `pins` says what becomes of pins."""
    drawn = drawn_curve(curve_stairs(found, aim.unit), aim, about.currency)
    facts = [("Aim", aim.words), ("Curve", curve_proof(found)), _bought_for(drawn, budget, made)]
    return _sheet(
        about,
        "What each amount buys",
        [*facts, *([("Pins", pins)] if pins else [])],
        drawn,
        curve_table(drawn.stairs, about.currency),
        _marked(drawn, budget),
        empty_text=nothing_text(drawn.figure),
    )


def what_if_sheet(
    about: About,
    aim: Aim,
    now: Curve,
    then: Curve,
    budget: int | None,
    supposed: Iterable[tuple[str, str]],
) -> CurveSheet:
    """The curve of what is supposed, full, beside the present one, dashed.

    `supposed` are names and values: what is supposed, and what comes of it.
    """
    stairs = (curve_stairs(one, aim.unit) for one in (then, now))
    drawn = drawn_curve(next(stairs), aim, about.currency, next(stairs))
    proof = curve_proof(then if now.is_complete and now.is_proven else now)
    return _sheet(
        about,
        "What if",
        [("Aim", aim.words), *supposed, ("Curves", proof)],
        drawn,
        beside_table(drawn),
        _marked(drawn, budget),
        names=("what is supposed", "now"),
        notes=("Nothing of what is supposed is kept in the collection.",),
        empty_text=nothing_text(drawn.figure),
    )


def months_sheet(
    about: About, aim: Aim, made: Schedule, monthly: int, looked_at: int
) -> CurveSheet:
    """A sum each month: how many slots are closed by when, and what is bought in which month."""
    currency = about.currency
    drawn = drawn_months(made, about.found.book.today, looked_at)
    sum_text = f"{amount_text(monthly, currency)} each month, {looked_at} month"
    facts = [
        ("Aim", aim.words),
        ("Set aside", f"{sum_text}{'s' * (looked_at != 1)} looked at; what is left is kept"),
        ("In all", told_of_months(made, currency)),
    ]
    return _sheet(
        about,
        "A sum each month",
        facts,
        drawn,
        months_table(about.found, made),
        across_name="month",
        empty_text="In these months nothing can be bought or moved in.",
    )


def _sheet(
    about: About,
    title: str,
    facts: Iterable[tuple[str, str]],
    drawn: Drawn,
    table: CurveTable,
    marked: Marked | None = None,
    names: tuple[str, str] = ("", ""),
    notes: tuple[str, ...] = (),
    across_name: str = "",
    empty_text: str = "",
) -> CurveSheet:
    return CurveSheet(
        title,
        KIND,
        about.albums,
        day_text(about.found.book.today),
        tuple(facts),
        drawn,
        across_name or f"money spent, {about.currency}",
        names,
        marked,
        table,
        (*notes, *about.notes),
        f"{ESTIMATES.removesuffix('.')} · {about.collection}",
        empty_text,
    )


def curve_pdf(sheet: CurveSheet, paper: Paper, day: date) -> bytes:
    """The pages of a curve as a PDF file."""
    pages = curve_pages(sheet, paper, measure, wrap)
    title = f"{sheet.title}: {sheet.albums}"
    return pages_pdf(pages, title, f"D:{day:%Y%m%d}000000Z", "Upgrades")
