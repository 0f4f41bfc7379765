"""An album's view from what is stored: states, marks, leaves, the flat plan, the headline. Pure."""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence

from core.app.grid_slots import (
    SeriesOf,
    columns,
    grid_slots,
    mint_of,
    series_of_slots,
    slot_ranks,
    struck_pairs,
)
from core.app.slot_label import has_labels, label_text
from core.app.spares import SpareIndex
from core.app.views import AlbumView, Headline, SlotView
from core.arrange.grid import arrange
from core.arrange.layout import Cell, LeafLayout
from core.arrange.order import OrderKey, in_order
from core.arrange.plan import (
    SPACER_CELL,
    LeafPlan,
    PlanBuilder,
    PlanCell,
    PlanRow,
    caption_cell,
)
from core.glyph.codes import GlyphCode, glyph_code
from core.model.album import Album, Slot, SlotId, Wish
from core.model.arrangement import PLAIN, Arrangement
from core.model.coin import Coin
from core.model.fit import (
    Fit,
    does_better,
    fit,
    has_barred_problem,
    open_facets,
    state_and_level,
)
from core.model.issue import Series, SeriesId
from core.model.label import join_or
from core.model.state import Mark, SlotState


def slot_view(
    series: Series,
    slot: Slot,
    coin: Coin | None,
    ordered: Coin | None,
    spares: SpareIndex | None,
    arrangement: Arrangement = PLAIN,
) -> SlotView:
    """A slot with its state, marks and the texts drawn with it; the arrangement labels it."""
    state, level = state_and_level(series, slot, coin, ordered is not None)
    marks = set()
    if slot.is_pinned:
        marks.add(Mark.PINNED)
    if slot.wish is not Wish.SKIPPED:
        if spares is not None and not slot.is_pinned and spares.has_better(slot, coin):
            marks.add(Mark.SPARE_WAITING)
        if coin is not None and ordered is not None and does_better(series, slot, coin, ordered):
            marks.add(Mark.BETTER_ON_ORDER)
    label = label_text(series, slot, arrangement)
    if slot.wish is Wish.OPTIONAL:
        label = f"[{label}]"
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


def marked(view: AlbumView, slot: SlotId, spares: SpareIndex) -> SlotView:
    """A slot of an album with its marks; `spares` of the series that it takes coins of."""
    shown, shape = view.by_id[slot], view.album.arrangement
    series = view.series_of(shown.slot)
    return slot_view(series, shown.slot, shown.coin, shown.ordered, spares, shape)


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
    spares: SpareIndex | Mapping[SeriesId, SpareIndex] | None,
    others: Mapping[SeriesId, Series] | None = None,
) -> AlbumView:
    """The whole album as drawn; `spares` None leaves the marks for later.

    `others` are the series that only some of the slots take coins of; `spares` then stand by
    series.
    """
    shape, known = album.arrangement, {series.id: series, **(others or {})}
    found = spares if isinstance(spares, Mapping) else {} if spares is None else {series.id: spares}
    views = tuple(
        slot_view(
            known.get(s.accepts.series, series),
            s,
            coins.get(s.id),
            ordered.get(s.id),
            found.get(s.accepts.series),
            shape,
        )
        for s in slots
    )
    leaves = lay_out(series, slots, shape, others)
    return AlbumView(
        album,
        series,
        views,
        leaves,
        leaf_plan(album.name, leaves, views, shape),
        headline(views),
        {v.slot.id: v for v in views},
        places(leaves, slots),
        others or {},
    )


def lay_out(
    series: Series,
    slots: Sequence[Slot],
    arrangement: Arrangement,
    others: Mapping[SeriesId, Series] | None = None,
) -> tuple[LeafLayout, ...]:
    """Slots to leaves of rows; `others` are series that only some of the slots take coins of."""
    known = {series.id: series, **(others or {})}
    struck = struck_pairs(known.__getitem__, slots) if arrangement.kind.is_matrix else set()
    return arrange(
        grid_slots(known.__getitem__, slots, arrangement),
        arrangement,
        columns(list(known.values()), arrangement.show_p),
        lambda date, mint: (date, mint) in struck,
    )


def shown_order(series_of: SeriesOf, slots: Sequence[Slot], arrangement: Arrangement) -> list[int]:
    """The indexes of an album's slots in the order in which they are laid out."""
    known = series_of_slots(series_of, slots)
    ranks = slot_ranks(series_of, slots)
    keys = [OrderKey(rank, mint_of(slot)) for rank, slot in zip(ranks, slots, strict=True)]
    return in_order(
        keys, arrangement, list(dict.fromkeys(m.id for one in known for m in one.mints))
    )


def leaf_plan(
    name: str,
    leaves: Sequence[LeafLayout],
    views: Sequence[SlotView],
    arrangement: Arrangement,
) -> LeafPlan:
    """The flat arrays that the leaf view draws from."""
    has_two_lines = has_labels(arrangement)
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
        if cell.is_caption:
            return caption_cell(cell.name, cell.sub)
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
