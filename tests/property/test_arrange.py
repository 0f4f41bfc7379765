"""What is always true of arrangements: any slots, any kind, any options."""

from dataclasses import replace
from itertools import groupby

from hypothesis import given
from hypothesis import strategies as st

from core.arrange.grid import Column, GridSlot, LeafLayout, arrange
from core.arrange.row_map import (
    break_leaf,
    break_row,
    join_leaf,
    join_row,
    map_of,
    misfit,
    put_spacer,
    take_spacer,
)
from core.model.arrangement import (
    LABEL_FIELDS,
    NO_LEAD,
    Arrangement,
    ArrangementKind,
    Break,
    Lead,
    Order,
    RowMap,
    ShowP,
    map_text,
    parse_arrangement,
    parse_lead,
    parse_map,
)

K = ArrangementKind
BLOCK_KINDS = {K.BY_DECADE: Break.DECADE, K.BY_TYPE: Break.DESIGN}
COLUMNS = tuple(Column(mint, mint, f"Mint {mint}") for mint in "PDS")
FIRST_YEAR = 1895

row_maps = st.lists(
    st.lists(st.lists(st.booleans(), min_size=1, max_size=12).map(tuple), min_size=1, max_size=6)
    .map(tuple),
    min_size=1,
    max_size=5,
).map(tuple)  # fmt: skip
leads = st.just(NO_LEAD) | st.builds(
    lambda spacers, begins: Lead(spacers, begins == "row", begins == "leaf"),
    st.integers(0, 12),
    st.sampled_from(["", "row", "leaf"]),
)


@st.composite
def a_slot(draw: st.DrawFn, lead: st.SearchStrategy[Lead]) -> GridSlot:
    rank = draw(st.integers(0, 29))
    year = FIRST_YEAR + rank
    return GridSlot(
        str(year),
        draw(st.sampled_from(["P", "D", "S", "O", ""])),
        draw(st.sampled_from(["", "", "", "small date", "large date"])),
        "",
        rank,
        year,
        f"d{rank // 7}",
        f"Design {rank // 7}",
        draw(lead),
    )


def slots_with(lead: st.SearchStrategy[Lead]) -> st.SearchStrategy[list[GridSlot]]:
    """Slots in any order, each with a label of its own."""
    return st.lists(a_slot(lead), max_size=50).map(
        lambda slots: [replace(slot, label=f"slot {at}") for at, slot in enumerate(slots)]
    )


templates = st.sampled_from(["", "{date}", "{date}-{mark} ({mintage})"]) | st.sampled_from(
    LABEL_FIELDS
).map("{{{}}}".format)


@st.composite
def shapes(draw: st.DrawFn, kinds: tuple[K, ...] = tuple(K)) -> Arrangement:
    """Any arrangement that can be written."""
    kind = draw(st.sampled_from(kinds))
    is_sized = not kind.is_matrix and kind is not K.ROW_MAP
    rows = st.integers(1, 12) if is_sized else st.none() | st.integers(1, 12)
    return Arrangement(
        kind,
        draw(st.integers(1, 12)) if is_sized else 9,
        draw(rows) if kind is not K.ROW_MAP else None,
        draw(st.sampled_from(ShowP)),
        draw(row_maps) if kind is K.ROW_MAP else (),
        draw(st.sampled_from(Order)),
        tuple(draw(st.lists(st.sampled_from(["P", "D", "S", ""]), unique=True, max_size=4))),
        draw(st.booleans()),
        draw(st.booleans()),
        draw(st.sampled_from(Break)),
        draw(st.sampled_from(Break)),
        draw(st.integers(1, 3)),
        draw(templates),
        draw(st.none() | st.sampled_from([19.05, 5.0, 120.0])),
        draw(st.booleans()),
    )


def laid(slots: list[GridSlot], shape: Arrangement) -> tuple[LeafLayout, ...]:
    return arrange(slots, shape, COLUMNS, lambda date, mint: (int(date) + len(mint)) % 3 > 0)


def stated(slots: list[GridSlot], shape: Arrangement) -> list[int]:
    """The order as the words of the arrangement have it, worked out slot by slot."""
    mints = ["", *(m or "none" for m in shape.mints)]
    mints += [m for m in ("P", "D", "S", *(s.mint for s in slots)) if m not in mints]
    mints = list(dict.fromkeys(mints))
    order = list(range(len(slots)))
    if shape.order is not Order.AS_LISTED:
        order.sort(key=lambda at: mints.index(slots[at].mint))
        order.sort(key=lambda at: slots[at].rank)
    if shape.order is Order.MINT and not shape.kind.is_matrix:
        order.sort(key=lambda at: mints.index(slots[at].mint))
    rule = BLOCK_KINDS.get(shape.kind)
    if rule is not None:
        blocks = [block_of(slots[at], rule) for at in order]
        met = list(dict.fromkeys(blocks)) if shape.order is Order.AS_LISTED else sorted(set(blocks))
        order.sort(key=lambda at: met.index(block_of(slots[at], rule)))
    return order


def block_of(slot: GridSlot, rule: Break) -> str:
    return slot.date[:3] if rule is Break.DECADE else slot.design


def slots_of(leaf: LeafLayout) -> list[int]:
    return [cell.slot for row in leaf.rows for cell in row.cells if cell.slot is not None]


def read(leaf: LeafLayout, *, is_down: bool) -> list[int | None]:
    """The cells row by row, or column by column."""
    cells = [
        (column, number, cell.slot)
        for number, row in enumerate(leaf.rows)
        for column, cell in enumerate(row.cells)
    ]
    if is_down:
        cells.sort(key=lambda cell: cell[:2])
    return [slot for _, _, slot in cells]


def most_rows(shape: Arrangement) -> int:
    if shape.kind is K.ROW_MAP:
        return 60
    return shape.rows_per_leaf or (10 if shape.kind.is_matrix else 5)


@given(slots_with(leads), shapes())
def test_each_slot_stands_once_and_leaves_are_no_longer_than_they_may_be(
    slots: list[GridSlot], shape: Arrangement
) -> None:
    leaves = laid(slots, shape)
    assert sorted(at for leaf in leaves for at in slots_of(leaf)) == list(range(len(slots)))
    for leaf in leaves:
        assert 1 <= len(leaf.rows) <= most_rows(shape)
        assert all(row.cells and row.indent >= 0 for row in leaf.rows)
        assert leaf.title
        for row in leaf.rows:
            if leaf.heads:
                assert len(row.cells) == len(leaf.heads)
            for cell in row.cells:
                assert cell.slot is None or cell.name == slots[cell.slot].label
    if not shape.kind.is_matrix and shape.kind is not K.ROW_MAP:
        runs = shape.blocks
        widest = max((len(row.cells) for leaf in leaves for row in leaf.rows), default=0)
        assert widest <= runs * shape.per_row + 2 * (runs - 1)


@given(slots_with(leads), shapes((K.RUNNING, K.DATES_ONLY, K.ROW_MAP, K.BY_DECADE, K.BY_TYPE)))
def test_slots_stand_in_the_order_stated_within_a_run_and_from_leaf_to_leaf(
    slots: list[GridSlot], shape: Arrangement
) -> None:
    leaves, order = laid(slots, shape), stated(slots, shape)
    done = 0
    for leaf in leaves:
        here = slots_of(leaf)
        assert set(here) == set(order[done : done + len(here)])
        done += len(here)
    is_one_run = shape.kind is K.ROW_MAP or shape.blocks == 1
    is_in_blocks = shape.kind in BLOCK_KINDS
    if is_one_run and not (is_in_blocks and shape.is_down):
        beyond = [leaf.title.startswith("Beyond the map") for leaf in leaves]
        found = [
            at
            for leaf, is_beyond in zip(leaves, beyond, strict=True)
            for at in read(leaf, is_down=shape.is_down and not is_beyond)
            if at is not None
        ]
        assert found == order


@given(slots_with(leads), shapes((K.YEARS_BY_MINTS, K.BY_DESIGN)))
def test_rows_of_a_matrix_stand_in_the_order_stated_under_their_own_heads(
    slots: list[GridSlot], shape: Arrangement
) -> None:
    shape = replace(shape, blocks=1)
    order = stated(slots, shape)
    rows = [row for leaf in laid(slots, shape) for row in leaf.rows]
    dates = [{slots[c.slot].date for c in row.cells if c.slot is not None} for row in rows]
    assert all(len(found) <= 1 for found in dates)
    met = [date for date, _ in groupby(date for found in dates for date in found)]
    assert met == [date for date, _ in groupby(slots[at].date for at in order)]
    leaves = laid(slots, shape)
    dated = {(slot.title, slot.date) for slot in slots}
    is_spread = len(dated) > len({title for title, _ in dated})
    for leaf in leaves:
        before = ""
        for row in leaf.rows:
            here = [(at, slots[c.slot]) for at, c in enumerate(row.cells) if c.slot is not None]
            for at, slot in here:
                assert not leaf.heads or leaf.heads[at] == (slot.mint or "any mint")
                head, sub = slot.date, slot.differs
                if shape.kind is K.BY_DESIGN and not is_spread:
                    head, sub = slot.title, f"{slot.date} {slot.differs}".strip()
                elif shape.kind is K.BY_DESIGN and slot.title != before:
                    sub = " · ".join(filter(None, (slot.title, slot.differs)))
                assert (row.head, row.differs) == (head, sub)
            before = here[0][1].title if here else before
            if shape.is_closed and here:
                assert len(row.cells) == len(here)


@given(slots_with(leads), shapes((K.RUNNING, K.BY_DECADE, K.BY_TYPE, K.DATES_ONLY)))
def test_what_stands_before_a_slot_by_hand_is_kept(
    slots: list[GridSlot], shape: Arrangement
) -> None:
    shape = replace(shape, blocks=1)
    is_down = shape.is_down and shape.kind not in BLOCK_KINDS
    shape = replace(shape, is_down=is_down)  # blocks stand under each other, so columns mix
    before: list[int | None] = []
    for leaf in laid(slots, shape):
        cells = read(leaf, is_down=is_down)
        first = next((at for at in cells if at is not None), None)
        for number, at in enumerate(cells):
            if at is None:
                continue
            lead = slots[at].lead
            gap = 0
            for earlier in reversed(before + cells[:number]):
                if earlier is not None:
                    break
                gap += 1
            assert gap >= lead.spacers if is_down else gap == lead.spacers
            if lead.new_leaf:
                assert at == first or lead.spacers
            if lead.new_row:
                (line,) = [line for line in lines_of(leaf, is_down) if at in line]
                assert lead.spacers or next(s for s in line if s is not None) == at
        before += cells


def lines_of(leaf: LeafLayout, is_down: bool) -> list[list[int | None]]:
    """Rows, or columns where it runs down."""
    if not is_down:
        return [[cell.slot for cell in row.cells] for row in leaf.rows]
    wide = max(len(row.cells) for row in leaf.rows)
    return [[row.cells[at].slot for row in leaf.rows if at < len(row.cells)] for at in range(wide)]


@given(slots_with(leads), shapes((K.YEARS_BY_MINTS, K.BY_DESIGN)))
def test_leaves_and_free_rows_begun_by_hand_are_kept_in_a_matrix(
    slots: list[GridSlot], shape: Arrangement
) -> None:
    for leaf in laid(slots, replace(shape, blocks=1)):
        for number, row in enumerate(leaf.rows):
            here = [slots[c.slot].lead for c in row.cells if c.slot is not None]
            if any(lead.new_leaf for lead in here):
                assert number == 0
            if number and any(lead.new_row for lead in here):
                assert all(cell.is_spacer for cell in leaf.rows[number - 1].cells)


@given(slots_with(st.just(NO_LEAD)), shapes(), st.sampled_from(Break))
def test_a_new_leaf_begins_where_the_rule_says(
    slots: list[GridSlot], shape: Arrangement, rule: Break
) -> None:
    leaves = laid(slots, replace(shape, leaf_break=rule))
    if rule is Break.NONE or shape.kind is K.ROW_MAP:
        return
    if shape.kind.is_matrix and rule is Break.MINT:
        return
    for leaf in leaves:
        keys = {
            Break.DATE: [slots[at].date for at in slots_of(leaf)],
            Break.DECADE: [slots[at].date[:3] for at in slots_of(leaf)],
            Break.DESIGN: [slots[at].design for at in slots_of(leaf)],
            Break.MINT: [slots[at].mint for at in slots_of(leaf)],
        }[rule]
        assert len(set(keys)) == 1


@given(slots_with(leads), shapes())
def test_the_map_of_any_leaves_gives_their_places_again(
    slots: list[GridSlot], shape: Arrangement
) -> None:
    leaves = laid(slots, shape)
    row_map = map_of(leaves)
    in_turn = [slots[at] for leaf in leaves for at in slots_of(leaf)]
    again = laid(in_turn, Arrangement(K.ROW_MAP, row_map=row_map))
    assert map_of(again) == row_map
    labels = [[[cell.name for cell in row.cells if cell.slot is not None] for row in leaf.rows]
              for leaf in leaves]  # fmt: skip
    assert labels == [
        [[cell.name for cell in row.cells if cell.slot is not None] for row in leaf.rows]
        for leaf in again
    ]


# ---- grammar ----------------------------------------------------------------------------------


@given(row_maps)
def test_a_row_map_reads_back_from_its_text(row_map: RowMap) -> None:
    assert parse_map(map_text(row_map)) == row_map


@given(shapes())
def test_any_arrangement_reads_back_from_its_text(shape: Arrangement) -> None:
    assert parse_arrangement(shape.whole_text) == shape
    assert parse_arrangement(shape.text) == replace(shape, show_p=ShowP.AS_ON_COIN)


@given(leads)
def test_a_lead_reads_back_from_its_text(lead: Lead) -> None:
    assert parse_lead(lead.text) == lead


# ---- row maps ---------------------------------------------------------------------------------


def holes(row_map: RowMap) -> int:
    return sum(sum(row) for leaf in row_map for row in leaf)


places = st.tuples(st.integers(-1, 5), st.integers(-1, 6), st.integers(-1, 12))


@given(row_maps, places)
def test_editing_a_map_keeps_its_holes_and_breaks_are_joined_again(
    row_map: RowMap, at: tuple[int, int, int]
) -> None:
    leaf, row, _place = at
    for edit in (put_spacer, take_spacer, break_row, join_row, break_leaf, join_leaf):
        edited = edit(row_map, *at)
        assert holes(edited) == holes(row_map)
        assert parse_map(map_text(edited)) == edited
    broken = break_row(row_map, *at)
    assert broken == row_map or join_row(broken, leaf, row + 1, 0) == row_map
    spaced = put_spacer(row_map, *at)
    assert spaced == row_map or take_spacer(spaced, *at) == row_map
    apart = break_leaf(row_map, leaf, row, 0)
    assert apart == row_map or join_leaf(apart, leaf + 1) == row_map


@given(row_maps, st.integers(0, 200), st.booleans())
def test_a_misfit_counts_what_is_over_or_short_and_says_where(
    row_map: RowMap, count: int, is_down: bool
) -> None:
    slots = [GridSlot(str(n), "P", "", f"slot {n}") for n in range(count)]
    found = misfit(row_map, [slot.label for slot in slots], is_down=is_down)
    leaves = laid(slots, Arrangement(K.ROW_MAP, row_map=row_map, is_down=is_down))
    on_map = [leaf for leaf in leaves if not leaf.title.startswith("Beyond the map")]
    over = count - sum(len(slots_of(leaf)) for leaf in on_map)
    if found is None:
        assert count == holes(row_map)
        return
    assert (found.over, found.short) == (over, max(0, holes(row_map) - count))
    if found.over:
        assert found.label == f"slot {holes(row_map)}"
    elif count:
        assert leaves[found.leaf].rows[found.row].cells[found.place].slot is None
        assert row_map[found.leaf][found.row][found.place]
