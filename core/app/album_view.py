"""An album's view from what is stored: states, marks, leaves, the flat plan, the headline. Pure."""

from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence

from core.app.spares import SpareIndex
from core.app.views import AlbumView, Headline, SlotView
from core.arrange.grid import Cell, Column, GridSlot, LeafLayout, arrange
from core.arrange.order import NO_LETTER, OrderKey, in_order
from core.arrange.plan import SPACER_CELL, LeafPlan, PlanBuilder, PlanCell, PlanRow
from core.glyph.codes import GlyphCode, glyph_code
from core.model.album import Album, Slot, SlotId, Wish
from core.model.arrangement import Arrangement, ArrangementKind, ShowP
from core.model.coin import Coin
from core.model.fit import (
    Fit,
    does_better,
    fit,
    has_barred_problem,
    open_facets,
    state_and_level,
)
from core.model.issue import Description, Facet, Series, SeriesId, Strike
from core.model.label import join_or, what_differs
from core.model.state import Mark, SlotState


def slot_view(
    series: Series,
    slot: Slot,
    coin: Coin | None,
    ordered: Coin | None,
    spares: SpareIndex | None,
) -> SlotView:
    """A slot with its state, marks and the texts drawn with it."""
    state, level = state_and_level(series, slot, coin, ordered is not None)
    marks = set()
    if slot.is_pinned:
        marks.add(Mark.PINNED)
    if slot.wish is not Wish.SKIPPED:
        if spares is not None and not slot.is_pinned and spares.has_better(slot, coin):
            marks.add(Mark.SPARE_WAITING)
        if coin is not None and ordered is not None and does_better(series, slot, coin, ordered):
            marks.add(Mark.BETTER_ON_ORDER)
    label = f"[{slot.label}]" if slot.wish is Wish.OPTIONAL else slot.label
    return SlotView(
        slot,
        coin,
        ordered,
        state,
        level,
        frozenset(marks),
        glyph_code(state, level, marks),
        label,
        held_text(series, slot, coin, state),
    )


def held_text(series: Series, slot: Slot, coin: Coin | None, state: SlotState) -> str:
    """What stands under the glyph: the grade, what is open, or the problem."""
    if coin is None or state is SlotState.SKIPPED:
        return ""
    grade = coin.grade.short_text if coin.grade else ""
    match state:
        case SlotState.TO_VERIFY:
            return _open_text(series, slot, coin) or grade
        case SlotState.HOLE_FILLER:
            return str(coin.problems[0]) if coin.problems else grade
        case SlotState.BELOW_TARGET if slot.target and slot.target.least:
            return f"{grade or 'no grade'} ▸ {slot.target.least}"
    return grade


def _open_text(series: Series, slot: Slot, coin: Coin) -> str:
    """`S or D?` where the letter is open; else the facet that is."""
    open_names = open_facets(series, slot, coin)
    if not open_names:
        return "wrong coin?" if fit(series, slot, coin) is Fit.DOES_NOT_FIT else ""
    if "mint" in open_names:
        letters = dict.fromkeys(i.mark or i.mint for i in series.matching(coin.description))
        return join_or(list(letters)) + "?" if len(letters) <= 3 else "letter?"
    return f"{open_names[0]}?"


def headline(views: Collection[SlotView]) -> Headline:
    """The counts: the headline over wanted slots, the states over all."""
    wanted = [v for v in views if v.counts]
    return Headline(
        sum(v.coin is not None for v in wanted),
        len(wanted),
        sum(v.state is SlotState.FILLED for v in wanted),
        Counter(v.state for v in views),
        sum(Mark.SPARE_WAITING in v.marks for v in views),
    )


def album_view(
    album: Album,
    series: Series,
    slots: Sequence[Slot],
    coins: Mapping[SlotId, Coin],
    ordered: Mapping[SlotId, Coin],
    spares: SpareIndex | None,
) -> AlbumView:
    """The whole album as drawn; `spares` None leaves the marks for later."""
    views = tuple(slot_view(series, s, coins.get(s.id), ordered.get(s.id), spares) for s in slots)
    leaves = lay_out(series, slots, album.arrangement)
    return AlbumView(
        album,
        series,
        views,
        leaves,
        leaf_plan(album.name, leaves, views, album.arrangement.kind),
        headline(views),
        {v.slot.id: v for v in views},
        places(leaves, slots),
    )


def lay_out(
    series: Series, slots: Sequence[Slot], arrangement: Arrangement
) -> tuple[LeafLayout, ...]:
    """Slots to leaves of rows."""
    struck = _struck_pairs(series)
    grid_slots = [_grid_slot(series, slot) for slot in slots]
    return arrange(
        grid_slots,
        arrangement,
        _columns(series, arrangement.show_p),
        lambda date, mint: (date, mint) in struck,
    )


def shown_order(
    series_of: Callable[[SeriesId], Series], slots: Sequence[Slot], arrangement: Arrangement
) -> list[int]:
    """The indexes of an album's slots in the order in which they are laid out."""
    series = list(dict.fromkeys(slot.accepts.series for slot in slots))
    ranks: dict[str, int] = {}
    known = [series_of(code) for code in series]
    for date, _ in sorted((d for s in known for d in s.dates), key=lambda dated: dated[1]):
        ranks.setdefault(date, len(ranks))
    keys = []
    for slot in slots:
        date = slot.accepts.only(Facet.DATE) or _first_date(series_of(slot.accepts.series), slot)
        mint = slot.accepts.only(Facet.MINT)
        keys.append(
            OrderKey(ranks.get(date, len(ranks)), "" if mint is None else mint or NO_LETTER)
        )
    mints = list(dict.fromkeys(mint.id for one in known for mint in one.mints))
    return in_order(keys, arrangement, mints)


def _first_date(series: Series, slot: Slot) -> str:
    """The first date that a slot takes, "" where it takes none."""
    return next((issue.date for issue in series.matching(slot.accepts)), "")


def _grid_slot(series: Series, slot: Slot) -> GridSlot:
    date = slot.accepts.only(Facet.DATE) or slot.label
    variety = series.variety(slot.variety) if slot.variety else None
    differs = what_differs(series, slot.accepts, variety.name if variety else "")
    mint = slot.accepts.only(Facet.MINT)
    return GridSlot(date, "" if mint is None else mint or NO_LETTER, differs, slot.label)


def _columns(series: Series, show_p: ShowP) -> list[Column]:
    """A column a mint, headed by its letter; where coins bear none, or another, it says so."""
    columns = []
    for mint in series.mints:
        marks = {i.mark for i in series.issues if i.mint == mint.id}
        head = mint.id
        if marks == {""} or show_p is ShowP.NEVER:
            head = f"{mint.id} (no letter)".strip()
        elif len(marks) == 1 and mint.id not in marks:
            head = f"{mint.id} ({marks.pop()})"
        columns.append(Column(mint.id or NO_LETTER, head))
    return columns


def _struck_pairs(series: Series) -> set[tuple[str, str]]:
    """Dates and mints struck for circulation, whether let go to banks or to collectors."""
    struck = series.may_be(Description.of(series.id, {Facet.STRIKE: Strike.CIRCULATION}))
    return {(i.date, i.mint or NO_LETTER) for i in series.issues_of(struck)}


def leaf_plan(
    name: str,
    leaves: Sequence[LeafLayout],
    views: Sequence[SlotView],
    kind: ArrangementKind,
) -> LeafPlan:
    """The flat arrays that the leaf view draws from."""
    has_two_lines = not kind.is_matrix
    builder = PlanBuilder(name, has_two_lines=has_two_lines)
    for leaf in leaves:
        rows = [
            PlanRow(
                [plan_cell(cell, views, has_two_lines) for cell in row.cells],
                row.indent,
                row.head,
                row.differs,
            )
            for row in leaf.rows
        ]
        builder.add_leaf(leaf.title, leaf.subtitle, rows, leaf.heads)
    return builder.build()


def plan_cell(cell: Cell, views: Sequence[SlotView], has_two_lines: bool) -> PlanCell:
    """One place of the plan."""
    if cell.slot is None:
        if cell.is_spacer:
            return SPACER_CELL
        return PlanCell(int(GlyphCode.NOT_STRUCK), cell.name)
    return cell_of(views[cell.slot], has_two_lines)


def cell_of(view: SlotView, has_two_lines: bool) -> PlanCell:
    """A slot's place of the plan."""
    is_optional = view.slot.wish is Wish.OPTIONAL
    held = view.held_text
    lines = (view.label, held) if has_two_lines else (f"[{held}]" if is_optional else held, "")
    if is_optional and not has_two_lines and not held:
        lines = ("[optional]", "")
    return PlanCell(view.code, view.slot.label, *lines, spoken_detail(view), int(view.slot.id))


def spoken_detail(view: SlotView) -> str:
    """What a screen reader says after the state: the grade and the target."""
    words = []
    if view.coin is not None:
        words.append(view.held_text.partition(" ▸")[0])
    if view.slot.target:
        words.append(f"target {view.slot.target.text}")
    if view.slot.wish is Wish.OPTIONAL:
        words.append("optional")
    return ", ".join(w for w in words if w)


def places(
    leaves: Sequence[LeafLayout], slots: Sequence[Slot]
) -> dict[SlotId, tuple[int, int, int]]:
    """Leaf, row and place of every slot, each from 1."""
    return {
        slots[cell.slot].id: (leaf_no, row_no, column)
        for leaf_no, leaf in enumerate(leaves, 1)
        for row_no, row in enumerate(leaf.rows, 1)
        for column, cell in enumerate(row.cells, 1)
        if cell.slot is not None
    }


def why_text(series: Series, slot: Slot, coin: Coin | None) -> str:
    """Why a slot's coin does not simply count as filled, one sentence; "" where it does."""
    if coin is None:
        return ""
    match fit(series, slot, coin):
        case Fit.DOES_NOT_FIT if not coin.is_genuine:
            return "The coin is marked not genuine, so it fits no slot."
        case Fit.DOES_NOT_FIT:
            return "The coin in this slot does not fit it."
        case Fit.MAY_FIT:
            asked = " and ".join(open_facets(series, slot, coin))
            return f"It only may fit: the {asked} would settle it."
    if coin.is_flagged:
        return "You marked this coin to verify."
    if has_barred_problem(slot, coin):
        problem = join_or([str(p) for p in coin.problems]) or "a details grade"
        return f"It holds the slot until a sound coin turns up: {problem}."
    return ""
