"""The lines of the table: what a slot holds, what it is given, gain, cost, what is freed. No Qt."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from core.app.upgrades import UpgradeRow, Upgrades, UpgradeStep
from core.model.coin import Coin
from core.model.grade import code_of
from core.model.money import money_text
from core.model.prices import OfferId
from core.model.state import SlotState
from core.planning.plan import Plan
from core.planning.wants import Want, is_marked
from gui.upgrades.reading import Doing, doings


class Part(StrEnum):
    """Which lines are shown."""

    OPEN = "To do"
    PLAN = "Plan"
    GAPS = "Gaps"
    BELOW = "Below target"
    SPARES = "Spares"
    BARE = "Not priced"
    ALL = "All"


class Order(StrEnum):
    """How they are sorted."""

    PLAN = "plan first"
    ALBUM = "as in the albums"
    COST = "cheapest first"
    GAIN = "most gained first"
    VALUE = "most gained for the money"


class Choice(StrEnum):
    """What the collector said of the purchase shown."""

    FREE = ""
    PINNED = "pinned"
    FORBIDDEN = "forbidden"


@dataclass(frozen=True, slots=True)
class Line:
    """One slot. `step` is the purchase shown, of `row.steps`; `doing` what the plan does here.

    `gain` in points as far as the target counts them; `brings` what the coin there may bring, None
    where nothing leaves it for good or it is not priced; `goes` names the slot its coin goes to.
    """

    row: UpgradeRow
    step: UpgradeStep | None
    doing: Doing | None
    choice: Choice
    source: str
    gain: int
    cost: int | None
    brings: int | None
    goes: str
    chosen: tuple[Choice, ...] = ()
    """What was said by hand of each of `row.steps`; () for nothing of any."""
    searched: str = ""
    """What words are sought in, in small letters."""

    @property
    def slot(self) -> int:
        """The slot's number."""
        return int(self.row.slot.slot.id)

    @property
    def forbidden(self) -> int:
        """How many of the purchases are forbidden here."""
        return self.chosen.count(Choice.FORBIDDEN)

    @property
    def is_in_plan(self) -> bool:
        """Whether the plan does something here."""
        return self.doing is not None

    @property
    def is_move(self) -> bool:
        """Whether it costs nothing: a coin in hand moves in."""
        return self.doing is not None and self.doing.moved is not None

    @property
    def plan_buys(self) -> str:
        """The grade that the plan buys, where another purchase is looked at; "" elsewhere."""
        bought = self.doing.bought if self.doing else None
        if bought is None or self.step is None or self.step.buy.id == bought.purchase:
            return ""
        mine = next((one for one in self.row.steps if one.buy.id == bought.purchase), None)
        return _grade_of(mine.buy.coin) if mine else ""

    @property
    def closes_gap(self) -> bool:
        """Whether a gap is closed."""
        return self.row.held is None

    @property
    def is_old(self) -> bool:
        """Whether the price shown is older than the collector's limit."""
        told = self.step.buy.told if self.step and not self.is_move else None
        return told is not None and told.is_old and (self.step is None or not self.step.buy.offer)

    @property
    def price_marks(self) -> str:
        """What is said beside the price shown, short: old, issue's, between; "" of an offer."""
        step = None if self.is_move else self.step
        if step is None or step.buy.offer is not None or step.buy.told is None:
            return ""
        return ", ".join(step.buy.told.short_marks)

    @property
    def net(self) -> int | None:
        """Cost less what the freed coin may bring."""
        return None if self.cost is None else self.cost - (self.brings or 0)

    @property
    def holds(self) -> str:
        """What it holds now: a grade, on order, — for a gap."""
        shown = self.row.slot
        if shown.coin is None:
            return "on order" if shown.ordered is not None else "—"
        word = str(shown.state) if shown.state is SlotState.HOLE_FILLER else ""
        grade = shown.coin.grade
        return word or (grade.text if grade else "no grade")

    @property
    def target(self) -> str:
        """What it asks for."""
        target = self.row.slot.slot.target
        return target.text if target else "any"

    @property
    def buys(self) -> str:
        """What comes in: a grade; a spare, or the coin of another slot, with its grade."""
        if self.is_move:
            return self.source
        if self.step is None:
            return "spare" if self.row.spare is not None and not self.row.is_met else ""
        return _grade_of(self.step.buy.coin)


def _grade_of(coin: Coin) -> str:
    return coin.grade.text if coin.grade else "no grade"


def make_lines(
    found: Upgrades,
    made: Plan | None = None,
    shown: Mapping[int, int] | None = None,
) -> tuple[Line, ...]:
    """A line a slot, in the order of the albums.

    `shown` says which purchase one looks at, before what was chosen by hand.
    """
    looked = {**found.choices.shown, **(shown or {})}
    doing = doings(made)
    rows = {int(row.slot.slot.id): row for row in found.rows}
    wants = {want.slot: want for want in found.given.wants}
    leaves = {} if made is None else {m.from_slot: m for m in made.moves if m.from_slot is not None}
    return tuple(
        _line(
            found, row, wants[number], doing.get(number), looked,
            f"{label(rows[leaves[number].to_slot])}" if number in leaves else "",
            rows,
        )
        for number, row in rows.items()
    )  # fmt: skip


def label(row: UpgradeRow) -> str:
    """A slot as it is spoken of elsewhere: 1944-D, Dimes 1946–1964."""
    return f"{row.slot.label}, {row.album_name}"


def _line(
    found: Upgrades,
    row: UpgradeRow,
    want: Want,
    doing: Doing | None,
    shown: Mapping[int, int],
    goes: str,
    rows: Mapping[int, UpgradeRow],
) -> Line:
    step = shown_step(row, doing, shown)
    choice = choice_of(found, row, step) if step else Choice.FREE
    chosen = tuple(choice_of(found, row, one) for one in row.steps)
    moved = doing.moved if doing else None
    source, gain = "", step.points if step else 0
    cost = step.buy.cost if step else None
    if moved is not None:
        coin = found.coin(moved.coin)
        home = rows.get(moved.from_slot) if moved.from_slot is not None else None
        source = f"{_grade_of(coin)} from {home.slot.label}" if home else f"spare {_grade_of(coin)}"
        gain, cost = max(0, want.counted(moved.points) - want.counted(want.held)), 0
    elif step is None and row.spare is not None and not row.is_met:
        cost = 0
    brings = None if goes else row.brings
    chosen = chosen if any(chosen) else ()
    made = Line(row, step, doing, choice, source, gain, cost, brings, goes, chosen)
    searched = f"{row.slot.label} {row.album_name} {made.holds} {made.buys} {choice}"
    return replace(made, searched=searched.casefold())


def choice_of(found: Upgrades, row: UpgradeRow, step: UpgradeStep) -> Choice:
    """What was said by hand of a purchase in a slot."""
    number, slot = step.buy.id, int(row.slot.slot.id)
    if is_marked(found.given.pinned, number, slot):
        return Choice.PINNED
    is_forbidden = is_marked(found.given.forbidden, number, slot)
    return Choice.FORBIDDEN if is_forbidden else Choice.FREE


def shown_step(
    row: UpgradeRow, doing: Doing | None, shown: Mapping[int, int]
) -> UpgradeStep | None:
    """What was chosen to look at; else what the plan buys; else the cheapest that meets."""
    by_id = {step.buy.id: step for step in row.steps}
    chosen = by_id.get(shown.get(int(row.slot.slot.id), 0))
    if chosen is not None:
        return chosen
    if doing is not None and doing.bought is not None:
        return by_id.get(doing.bought.purchase)
    meeting = next((step for step in row.steps if step.meets_target), None)
    return meeting or (row.steps[0] if row.steps else None)


def is_of(line: Line, part: Part) -> bool:
    """Whether a line belongs to a part."""
    row = line.row
    match part:
        case Part.OPEN:
            return row.is_open or line.is_in_plan
        case Part.PLAN:
            return line.is_in_plan
        case Part.GAPS:
            return row.held is None
        case Part.BELOW:
            return row.held is not None and row.is_open
        case Part.SPARES:
            return row.spare is not None
        case Part.BARE:
            return not row.is_priced
        case Part.ALL:
            return True


def counts(lines: Sequence[Line]) -> dict[Part, int]:
    """How many lines each part has."""
    return {part: sum(is_of(line, part) for line in lines) for part in Part}


def chosen_lines(
    lines: Sequence[Line], part: Part, order: Order, words: str, is_priced_only: bool
) -> list[Line]:
    """The lines of a part that hold all words, sorted."""
    sought = words.casefold().split()
    kept = [
        line
        for line in lines
        if is_of(line, part)
        and (not is_priced_only or line.cost is not None)
        and all(word in line.searched for word in sought)
    ]
    match order:
        case Order.PLAN:
            kept.sort(key=_plan_key)
        case Order.COST:
            kept.sort(key=lambda line: (line.cost is None, line.cost or 0))
        case Order.GAIN:
            kept.sort(key=lambda line: (line.row.is_met, not line.closes_gap, -line.gain))
        case Order.VALUE:
            kept.sort(key=lambda line: -value_of(line))
        case Order.ALBUM:
            pass
    return kept


def _plan_key(line: Line) -> tuple[int, int]:
    """The plan, spares first; then what a spare would better, has a price, has none, is done."""
    if line.doing is not None:
        return 0, line.doing.place
    if line.row.is_met:
        return 4, 0
    if line.row.spare is not None:
        return 1, 0
    return (2, 0) if line.step is not None else (3, 0)


def value_of(line: Line) -> float:
    """Points for a unit of money; without cost more than any that costs something."""
    if line.gain == 0 or line.cost is None:
        return 0.0
    return line.gain / line.cost if line.cost else float("inf")


def points_text(mean: float | None) -> str:
    """A mean of points as the grade at or below it: F-15; — without one."""
    if mean is None:
        return "—"
    from core.model.grade import SCALE

    known = [points for points in SCALE if points <= round(mean)]
    return code_of(known[-1]) if known else "—"


def told_of(line: Line, currency: str) -> str:
    """All there is to say of a slot, in one paragraph."""
    row = line.row
    target = f"target {line.target}" if row.slot.slot.target else "no target"
    said = [f"{row.slot.label}, {row.album_name}: {row.slot.state}, {target}"]
    if row.is_key:
        said.append("a key date")
    if not row.steps and row.is_open:
        said.append("no useful price" if row.is_priced else "not priced")
    for at, step in enumerate(row.steps):
        choice = f", {line.chosen[at]}" if line.chosen and line.chosen[at] else ""
        said.append(f"{_step_text(step, currency)}{choice}")
    if row.spare is not None:
        said.append(f"a spare {_grade_of(row.spare)} goes in for nothing")
    if line.goes:
        said.append(f"the freed {_coin_there(line)} goes to {line.goes}")
    elif row.brings is not None and (line.step is not None or line.is_move):
        said.append(f"its {_coin_there(line)} may bring {money_text(row.brings, currency)}")
    elif _is_worth_unsaid(line):
        said.append("what its coin without a grade is worth is yours to say (W)")
    if row.is_ordered:
        said.append("a coin for it is on order")
    return " · ".join(said)


def _coin_there(line: Line) -> str:
    """VF-20; hole filler; coin without a grade."""
    coin = line.row.slot.coin
    is_bare = coin is not None and coin.grade is None
    return "coin without a grade" if is_bare else line.holds


def _is_worth_unsaid(line: Line) -> bool:
    """Whether a coin without a grade would be freed and no price of it is on the list."""
    coin = line.row.slot.coin
    is_freed = line.step is not None or line.is_move
    return is_freed and coin is not None and coin.grade is None and line.row.brings is None


def best_place(offer: OfferId, rows: Sequence[UpgradeRow]) -> tuple[int, int] | None:
    """The slot where an offer gains most, gaps first, and its purchase; None for none."""
    found = [
        (step.closes_gap, step.points, int(row.slot.slot.id), step.buy.id)
        for row in rows
        for step in row.steps
        if step.buy.offer is not None and step.buy.offer.id == offer
    ]
    best = max(found, key=lambda one: one[:2], default=None)
    return None if best is None else (best[2], best[3])


def _step_text(step: UpgradeStep, currency: str) -> str:
    buy = step.buy
    cost = money_text(buy.cost, currency) if buy.cost is not None else "no rate"
    gain = "closes the gap" if step.closes_gap else f"+{step.points} points"
    met = ", at target" if step.meets_target else ""
    marks = [f"offer{f' at {buy.where}' if buy.where else ''}"] if buy.offer else []
    marks += list(buy.told.marks) if buy.told and not buy.offer else []
    beside = f" ({', '.join(marks)})" if marks else ""
    return f"{_grade_of(buy.coin)} for {cost}{beside}: {gain}{met}"
