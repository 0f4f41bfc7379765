"""The figures behind the curves and the months of a plan, alike in the window and on paper."""

from collections.abc import Sequence

from core.app.upgrades import Upgrades
from core.model.album import SlotId
from core.model.money import money_text
from core.planning.curve import Curve
from core.planning.drawn import Drawn, Stair, figure_at, figure_text, month_text
from core.planning.plan import Plan
from core.planning.schedule import Schedule
from core.printing.curve_page import CurveTable


def curve_table(stairs: Sequence[Stair], currency: str) -> CurveTable:
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
    return CurveTable((f"Spent, {currency}", "Buys", "More", "For"), tuple(rows))


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


def nothing_text(figure: str) -> str:
    """Why there is no curve of a figure."""
    return f"Nothing that is priced adds to the {figure}."


def months_table(found: Upgrades, made: Schedule, has_kept: bool = True) -> CurveTable:
    """Month by month what comes into which slot, what it costs, and what is kept after the month.

    A coin in hand costs nothing; what is kept (`has_kept`) stands on the last line of its month.
    """
    currency, today = found.book.rules.base, found.book.today
    rows_of = {row.slot.slot.id: row for row in found.rows}
    is_several = len({row.album for row in found.rows}) > 1

    def slot(number: int) -> tuple[str, str]:
        row = rows_of[SlotId(number)]
        return row.slot.label, f", {row.album_name}" if is_several else ""

    rows: list[tuple[str, ...]] = []
    for month in made.months:
        when = month_text(today, month.number)
        mine: list[tuple[str, str]] = []
        for moved in month.moves:
            coin = found.coin(moved.coin)
            grade = coin.grade.text if coin.grade else "no grade"
            kind = "spare" if moved.from_slot is None else "freed"
            label, album = slot(moved.to_slot)
            mine.append((f"{label}: {kind} {grade}{album}", "—"))
        for bought in month.purchases:
            coin = found.buys[bought.purchase].coin
            grade = coin.grade.text if coin.grade else "no grade"
            label, album = slot(bought.slot)
            mine.append((f"{label}: {grade}{album}", money_text(bought.cost, currency)))
        for at, (what, cost) in enumerate(mine, 1):
            kept = money_text(month.left, currency) if at == len(mine) else ""
            rows.append((when, what, cost, kept))
    cost = f"Cost, {currency}" if has_kept else "Cost"
    heads = ("Month", "Slot, and what comes in", cost, "Kept")
    columns = len(heads) if has_kept else len(heads) - 1
    return CurveTable(heads[:columns], tuple(row[:columns] for row in rows), texts=2)


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
