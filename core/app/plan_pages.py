"""The curves of the upgrades and the months of a plan, with their tables, ready for paper.

The stairs drawn here and in the window are the same, and so are the rows of the tables. Nothing
private is told: not what was paid, nor where an offer was seen.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from core.app.checklists import day_text
from core.app.price_book import amount_text
from core.app.upgrades import Upgrades
from core.model.money import money_text
from core.planning.aim import Aim
from core.planning.curve import Curve
from core.planning.drawn import (
    Drawn,
    Stair,
    counted,
    curve_stairs,
    drawn_curve,
    drawn_months,
    figure_at,
    figure_text,
    month_text,
)
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


# ---- the figures behind the pictures, in the window as on paper


def curve_table(stairs: Sequence[Stair], figure: str, currency: str) -> CurveTable:
    """Each step: the money, what it buys, and by how much both are more than a step before."""
    rows = []
    before = Stair(0, 0.0)
    for stair in stairs:
        more = stair.figure - before.figure
        rows.append(
            (
                money_text(stair.across, currency),
                figure_text(stair.figure),
                f"+{figure_text(more)}" if more else "—",
                money_text(stair.across - before.across, currency),
            )
        )
        before = stair
    return CurveTable((f"Spent, {currency}", _head(figure), "More", "For"), tuple(rows))


def beside_table(drawn: Drawn) -> CurveTable:
    """Each amount at which either curve rises, and what both have there."""
    moneys = sorted({stair.across for stair in (*drawn.stairs, *drawn.beside)})
    rows = []
    for money in moneys:
        then, now = figure_at(drawn.stairs, money), figure_at(drawn.beside, money)
        by = then - now
        told = f"{'+' if by > 0 else '−' if by < 0 else ''}{figure_text(abs(by))}"
        rows.append((money_text(money, drawn.unit), figure_text(now), figure_text(then), told))
    return CurveTable((f"Spent, {drawn.unit}", "Now", "Supposed", "More"), tuple(rows))


def _head(figure: str) -> str:
    return figure[:1].upper() + figure[1:]


def months_table(found: Upgrades, made: Schedule) -> CurveTable:
    """Month by month what comes into which slot, what it costs, and what is kept after the month.

    A coin in hand costs nothing; what is kept stands on the last line of its month.
    """
    currency, today = found.book.rules.base, found.book.today
    rows_of = {row.slot.slot.id: row for row in found.rows}
    is_several = len({row.album for row in found.rows}) > 1

    def slot(number: int) -> str:
        row = rows_of[number]  # type: ignore[index]  # a SlotId is an int
        return f"{row.slot.label}, {row.album_name}" if is_several else row.slot.label

    rows: list[tuple[str, ...]] = []
    for month in made.months:
        when = month_text(today, month.number)
        mine: list[tuple[str, str]] = []
        for moved in month.moves:
            coin = found.coin(moved.coin)
            grade = coin.grade.text if coin.grade else "no grade"
            kind = "spare" if moved.from_slot is None else "freed"
            mine.append((f"{slot(moved.to_slot)}: {kind} {grade}", "—"))
        for bought in month.purchases:
            coin = found.buys[bought.purchase].coin
            grade = coin.grade.text if coin.grade else "no grade"
            mine.append((f"{slot(bought.slot)}: {grade}", money_text(bought.cost, currency)))
        for at, (what, cost) in enumerate(mine, 1):
            kept = money_text(month.left, currency) if at == len(mine) else ""
            rows.append((when, what, cost, kept))
    heads = ("Month", "Slot, and what comes in", f"Cost, {currency}", "Kept")
    return CurveTable(heads, tuple(rows), texts=2)


# ---- words


def curve_proof(found: Curve) -> str:
    """Whether each step is the best there is for its money."""
    if not found.is_complete:
        return "at some amounts only, not exact"
    return "each step proven best" if found.is_proven else "not each step is proven best"


def plan_proof(made: Plan) -> str:
    """proven best; or how far from it."""
    if made.is_proven:
        return "proven best" if made.is_least else "proven best, perhaps not the cheapest"
    return f"not proven: one could be better by up to {made.gap:.1%}"


def told_of_months(made: Schedule, currency: str) -> str:
    """How many slots close, for how much, and what is left over."""
    many = len(made.closes)
    said = [
        f"{many} slot{'s' * (many != 1)} close{'s' * (many == 1)}",
        f"{money_text(made.spent, currency)} spent",
    ]
    if made.later:
        said.append(f"{len(made.later)} need{'s' * (len(made.later) == 1)} more months")
    if made.not_priced:
        said.append(f"{len(made.not_priced)} not priced, left out")
    said.append("proven best" if made.is_proven else "not proven best")
    return " · ".join(said)


def _marked(drawn: Drawn, budget: int | None) -> Marked:
    """The budget; without one, the least money for all that is priced."""
    if budget is None:
        end = drawn.stairs[-1].across if drawn.stairs else 0
        return Marked(end, f"all that is priced, {money_text(end, drawn.unit)}")
    return Marked(budget, f"budget {money_text(budget, drawn.unit)}")


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
        curve_table(drawn.stairs, drawn.figure, about.currency),
        _marked(drawn, budget),
        empty_text="Nothing that has a price is left to buy.",
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
        empty_text="Nothing that has a price is left to buy, supposed or not.",
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
