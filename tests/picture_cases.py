"""Pictures, sheets and cards to be looked at and tested: few slots, many, long names, much news."""

from collections.abc import Callable
from dataclasses import dataclass, field

from core.arrange.plan import LeafPlan, PlanBuilder, PlanCell, PlanRow
from core.glyph.codes import STATE_BITS, GlyphCode, state_of
from core.glyph.legend import key
from core.model.state import SlotState
from core.printing.leaf_picture import Heading
from core.printing.share_card import CardNews, NewOnCard
from tests.gui.leaf_material import beside, matrix, running

LONG = "Everything my great-grandmother kept in the blue biscuit tin behind the stove, 1909–2025"
MANY_SCRIPTS = 'Ελληνικά, Кириллица, 日本語の硬貨, ☞ œuvre & <b>more</b> "so"'


@dataclass(frozen=True)
class PictureCase:
    """An album drawn: its heading, plan, and what changed since a day."""

    heading: Heading
    plan: LeafPlan
    news: CardNews | None = None
    changed: frozenset[int] = field(default_factory=frozenset)


def picture_case(name: str, plan: LeafPlan, changed: int | None = None) -> PictureCase:
    """A case whose first so many slots changed; None where no day is asked for."""
    slots = [cell for cell in range(plan.cells) if plan.is_slot(cell)]
    states: dict[SlotState, int] = {}
    for cell in slots:
        state = state_of(plan.codes[cell])
        assert state is not None
        states[state] = states.get(state, 0) + 1
    empty = (SlotState.GAP, SlotState.ON_ORDER, SlotState.SKIPPED)
    have = sum(count for state, count in states.items() if state not in empty)
    at_target, wanted = states.get(SlotState.FILLED, 0), len(slots)
    news = None
    cells = slots[: changed or 0]
    if changed is not None:
        lines = tuple(
            NewOnCard(plan.codes[c], plan.sentence(c).partition(",")[0], "new") for c in cells
        )
        summary = f"{len(lines):,} new"
        news = CardNews("Since 1 May 2026", summary, lines, "Nothing changed since 1 May 2026.")
    heading = Heading(
        name,
        f"have {have:,} of {wanted:,}",
        f"at target {at_target:,}",
        "25 November 2026",
        tuple((entry.code, words) for entry, words in key(states)),
        have / wanted if wanted else 0.0,
        at_target / wanted if wanted else 0.0,
        "changed since 1 May 2026" if cells else "",
    )
    return PictureCase(heading, plan, news, frozenset(cells))


def one_leaf(count: int, per_row: int) -> LeafPlan:
    """One leaf of bare slots, running on."""
    builder = PlanBuilder("One leaf", has_two_lines=True)
    codes = [code for code in GlyphCode if code & STATE_BITS < GlyphCode.NOT_STRUCK]
    cells = [
        PlanCell(int(codes[n % len(codes)]), str(1900 + n), str(1900 + n), "VF-20", "VF-20", n + 1)
        for n in range(count)
    ]
    rows = [PlanRow(cells[at : at + per_row]) for at in range(0, count, per_row)]
    builder.add_leaf("Leaf 1", f"1900–{1900 + count - 1}", rows)
    return builder.build()


def no_leaf() -> LeafPlan:
    """An album without slots."""
    return PlanBuilder("Nothing", has_two_lines=True).build()


PICTURE_CASES: dict[str, Callable[[], PictureCase]] = {
    "twelve": lambda: picture_case("A dozen", matrix(range(1938, 1942), rows_a_leaf=4), 2),
    "usual": lambda: picture_case("Nickels 1938–1964", matrix(range(1938, 1965)), 6),
    "quiet": lambda: picture_case("Nickels 1938–1964", matrix(range(1938, 1965)), 0),
    "no-day": lambda: picture_case("Dimes 1946–1964", matrix(range(1946, 1965), rows_a_leaf=10)),
    "long-names": lambda: picture_case(
        LONG,
        matrix(
            range(1909, 1940),
            ("P (no letter)", "D", "S", "a long mint name"),
            8,
            subs={1909: "three-masted ship, close date", 1912: "small letter"},
        ),
        30,
    ),
    "beside": lambda: picture_case("Cents side by side", beside(range(1909, 1958), 6), 5),
    "scripts": lambda: picture_case(MANY_SCRIPTS, running(120, (12,), 5), 14),
    "two-thousand": lambda: picture_case("Every cent there is", running(2000, (20,), 10), 44),
    "one-wide-leaf": lambda: picture_case("On one sheet of card", one_leaf(900, 60), 3),
    "nothing": lambda: picture_case("Nothing yet", no_leaf()),
}
