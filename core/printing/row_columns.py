"""The rows of a checklist in columns: which columns there are, how wide, and each row's lines.

Columns fit what the list holds: one that no row uses is left out, the rest are as wide as their
widest entry up to a bound, and what is left over is room to write a price and a note.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from core.glyph.codes import STATE_BITS, GlyphCode
from core.printing.checklist import (
    COLUMNS_OF,
    Checklist,
    ChecklistRow,
    LeftOut,
    ListColumn,
    ListKind,
    Look,
)
from core.printing.placed import (
    Measure,
    PlacedBox,
    PlacedRule,
    Sheet,
    Style,
    Wrap,
    short,
)
from core.printing.type_sizes import TypeSizes, leading

_BASELINE = 12.4
_BELOW_GAP = 1.2
_GAP = 9.0
_FLUSH_GAP = 5.0
"""More room after figures set flush right, so that they do not lean on the next column."""
_PRICE_ROOM, _NOTE_ROOM = 40.0, 26.0
_MOST_PRICE_ROOM = 64.0

NOTHING_HELD, NO_TARGET = "—", "any"
_MOST_CELL_LINES = 6
_PIECE_PADDING = 6.0


@dataclass(frozen=True, slots=True)
class Column:
    """One column of text: its head, left end and width in points."""

    key: str
    head: str
    x: float
    width: float
    style: Style
    is_flush_right: bool = False


@dataclass(frozen=True, slots=True)
class Columns:
    """Where everything stands in a row `width` points wide.

    `glyph_x` is the middle of the glyph, None where no row has one. `price_x` and `note_x` begin
    the room for writing, None where there is none. `shown` are the columns that a row tells of,
    beside its name or below it; `left_out` says which others were chosen. `tallest` bounds the
    height of a piece of a row.
    """

    sizes: TypeSizes
    width: float
    tallest: float
    glyph_x: float | None
    label_x: float
    cells: tuple[Column, ...]
    price_head: str
    price_x: float | None
    note_x: float | None
    shown: frozenset[ListColumn]
    left_out: LeftOut


@dataclass(frozen=True, slots=True)
class RowLines:
    """A row cut into lines: the cells in the order of the columns, then what stands below them.

    `row` is None for the rest of a row that was too tall for one column of paper. `side_note` is a
    note that fits in the room for notes.
    """

    row: ChecklistRow | None
    cells: tuple[tuple[str, ...], ...]
    below: tuple[tuple[str, Style], ...]
    side_note: str
    height: float


# --- which columns ---------------------------------------------------------------------------


def columns_for(
    checklist: Checklist,
    look: Look,
    sizes: TypeSizes,
    width: float,
    tallest: float,
    measure: Measure,
) -> Columns:
    """The columns of a list's rows, the same on all of its pages.

    Where not all that were chosen fit they give way in this order: the mintage, to a line below;
    room for a price; the pieces, to a line below; what is held; what is wanted.
    """
    rows = [row for leaf in checklist.leaves for row in leaf.rows]
    is_spares = checklist.kind == ListKind.SPARES
    glyph_width, label_x = _before_label(rows, sizes)
    heads = ("ask",) if is_spares else ("pay up to", "pay")  # the first that fits
    least_room = _PRICE_ROOM * min(1.2, max(0.85, sizes.spread))
    price_room = max(least_room, measure(heads[-1], sizes.column_head))
    note_room = max(_NOTE_ROOM * sizes.spread, measure("note", sizes.column_head))
    chosen = [c for c in COLUMNS_OF[ListKind(checklist.kind)] if c in look.columns]
    shown = [c for c in chosen if _is_filled(c, rows)]
    specs = _SPARES if is_spares else _SLOTS
    beside, widths, has_price = _fitted(
        specs, shown, rows, sizes, width - label_x, price_room, measure
    )
    cells = []
    x = label_x
    spread = sizes.spread
    for spec, cell_width in zip(beside, widths, strict=True):
        style = spec.style(sizes)
        cells.append(Column(spec.key, spec.head, x, cell_width, style, spec.is_flush_right))
        x += cell_width + spread * (_GAP + (_FLUSH_GAP if spec.is_flush_right else 0.0))
    left = width - x
    price = price_room if has_price else 0.0
    gap = _GAP * spread if has_price else 0.0
    has_note = ListColumn.NOTE in shown and left >= price + gap + note_room
    if has_price and has_note:
        widest = min(_MOST_PRICE_ROOM * spread, 0.4 * left, left - gap - note_room)
        price = max(price, widest)
    room = price if has_note else left
    price_head = next((h for h in heads if measure(h, sizes.column_head) <= room), heads[-1])
    missing = _missing(shown, [spec.key for spec in beside], has_price, has_note)
    return Columns(
        sizes,
        width,
        tallest,
        sizes.tick + 6.0 * spread + sizes.glyph / 2 if glyph_width else None,
        label_x,
        tuple(cells),
        price_head,
        x if has_price else None,
        x + price + gap if has_note else None,
        frozenset(c for c in shown if c not in missing.no_room),
        LeftOut(missing.no_room, missing.below, tuple(c for c in chosen if c not in shown)),
    )


def _before_label(rows: Sequence[ChecklistRow], sizes: TypeSizes) -> tuple[float, float]:
    """The room of the glyph, 0 where no row has one, and where the label begins."""
    has_glyph = any(row.code & STATE_BITS != GlyphCode.SPACER for row in rows)
    glyph_width = 2 * 6.0 * sizes.spread + sizes.glyph if has_glyph else 0.0
    return glyph_width, sizes.tick + glyph_width + 8.0 * sizes.spread


def _is_filled(column: ListColumn, rows: Sequence[ChecklistRow]) -> bool:
    """Whether any row has something to say in a column; price and note are room to write."""
    match column:
        case ListColumn.PRICE | ListColumn.NOTE:
            return True
        case ListColumn.PIECES:
            return any(row.count != 1 for row in rows)
        case ListColumn.VARIETY:
            return any(row.variety for row in rows)
        case ListColumn.MINTAGE:
            return any(row.mintage for row in rows)
        case ListColumn.HELD:
            return any(row.held for row in rows)
        case ListColumn.WANTED:
            return any(row.wanted for row in rows)


def _missing(
    shown: Sequence[ListColumn], beside: Sequence[str], has_price: bool, has_note: bool
) -> LeftOut:
    """What was to be shown and has no place of its own beside the rest."""
    no_room: list[ListColumn] = []
    below: list[ListColumn] = []
    for column in shown:
        if column is ListColumn.NOTE:
            below += [] if has_note else [column]
        elif column is ListColumn.PRICE:
            no_room += [] if has_price else [column]
        elif column in (ListColumn.MINTAGE, ListColumn.PIECES):
            below += [] if column in beside else [column]
        elif column is not ListColumn.VARIETY and column not in beside:
            no_room.append(column)
    return LeftOut(tuple(no_room), tuple(below))


@dataclass(frozen=True, slots=True)
class _Spec:
    """A column that a list may have, named by its field of `TypeSizes`.

    `floor` bounds the width it insists on, `bound` any width, both in sizes of its type.
    """

    key: str
    head: str
    type_name: str
    floor: float
    bound: float
    is_flush_right: bool = False

    def style(self, sizes: TypeSizes) -> Style:
        """The style of its entries."""
        match self.type_name:
            case "label":
                return sizes.label
            case "figure":
                return sizes.figure
        return sizes.cell


_LABEL = "label"
_SLOTS = (
    _Spec(_LABEL, "date", "label", 6.2, 10.0),
    _Spec(ListColumn.MINTAGE, "mintage", "figure", 7.9, 8.7, is_flush_right=True),
    _Spec(ListColumn.HELD, "holds", "cell", 5.1, 9.1),
    _Spec(ListColumn.WANTED, "want", "cell", 4.2, 7.7),
)
_SPARES = (
    _Spec(_LABEL, "coin", "label", 6.2, 11.6),
    _Spec(ListColumn.MINTAGE, "mintage", "figure", 7.9, 8.7, is_flush_right=True),
    _Spec(ListColumn.HELD, "grade", "cell", 5.1, 9.8),
    _Spec(ListColumn.PIECES, "pieces", "cell", 4.7, 4.7, is_flush_right=True),
)
_GIVE_WAY = (
    ListColumn.MINTAGE,
    ListColumn.PRICE,
    ListColumn.PIECES,
    ListColumn.HELD,
    ListColumn.WANTED,
)


def _fitted(
    specs: Sequence[_Spec],
    shown: Sequence[ListColumn],
    rows: Sequence[ChecklistRow],
    sizes: TypeSizes,
    room: float,
    price_room: float,
    measure: Measure,
) -> tuple[list[_Spec], list[float], bool]:
    """The columns that fit into so many points with their widths, and whether a price does too."""
    spread = sizes.spread
    here = [spec for spec in specs if spec.key == _LABEL or spec.key in shown]
    extents = dict(zip(here, _extents(here, rows, sizes, measure), strict=True))
    has_price = ListColumn.PRICE in shown
    leaving = [column for column in _GIVE_WAY if column in shown]
    while True:
        for_writing = price_room if has_price else -_GAP * spread
        for_cells = room - for_writing - spread * (_GAP * len(here) + _FLUSH_GAP)
        if sum(extents[spec][0] for spec in here) <= for_cells or not leaving:
            return here, _shared_out([extents[spec] for spec in here], for_cells), has_price
        gone = leaving.pop(0)
        has_price = has_price and gone is not ListColumn.PRICE
        here = [spec for spec in here if spec.key != gone]


def cell_text(row: ChecklistRow, key: str) -> str:
    """What a row shows in a column."""
    match key:
        case "label":
            return f"({row.label})" if row.is_optional else row.label
        case ListColumn.MINTAGE:
            return row.mintage
        case ListColumn.HELD:
            return row.held or NOTHING_HELD
        case ListColumn.WANTED:
            return row.wanted or NO_TARGET
        case _:
            return f"{row.count:,}"


def _extents(
    specs: Iterable[_Spec], rows: Sequence[ChecklistRow], sizes: TypeSizes, measure: Measure
) -> list[tuple[float, float]]:
    """The least and the best width of each column: its widest word, and its widest entry."""
    extents = []
    for spec in specs:
        texts = {cell_text(row, spec.key) for row in rows}
        words = {word for text in texts for word in text.split()}
        head, style = measure(spec.head, sizes.column_head), spec.style(sizes)
        floor, bound = max(head, spec.floor * style.size), max(head, spec.bound * style.size)
        least = max([head, *(measure(word, style) for word in words)])
        best = max([head, *(measure(text, style) for text in texts)])
        extents.append((min(least, floor), min(best, bound)))
    return extents


def _shared_out(extents: Sequence[tuple[float, float]], room: float) -> list[float]:
    """Widths between least and best: the widest give way first, down to their least."""
    low, high = 0.0, max(best for _, best in extents)
    if sum(best for _, best in extents) <= room:
        return [best for _, best in extents]
    for _ in range(30):
        cap = (low + high) / 2
        if sum(max(least, min(best, cap)) for least, best in extents) <= room:
            low = cap
        else:
            high = cap
    return [max(least, min(best, low)) for least, best in extents]


# --- a row's lines ---------------------------------------------------------------------------


def row_lines(row: ChecklistRow, columns: Columns, measure: Measure, wrap: Wrap) -> list[RowLines]:
    """Cut a row into lines; one taller than the columns allow gives further pieces."""
    sizes, tallest, shown = columns.sizes, columns.tallest, columns.shown
    cells = tuple(
        _cell_lines(cell_text(row, column.key), column, columns, measure, wrap)
        for column in columns.cells
    )
    note = row.note if ListColumn.NOTE in shown else ""
    room = columns.width - columns.note_x if columns.note_x is not None else 0.0
    is_aside = "\n" not in note and 0 < measure(note, sizes.note) <= room
    width = columns.width - columns.label_x
    below = [
        (line, sizes.variety) for line in wrap(_plain_below(row, columns), sizes.variety, width)
    ]
    if not is_aside:
        below += [(line, sizes.note) for line in wrap(note, sizes.note, width)]
    head_height = sizes.row_height + max(
        (len(lines) - 1) * leading(column.style)
        for lines, column in zip(cells, columns.cells, strict=True)
    )
    first, rest = _split(below, tallest - head_height)
    side_note = note if is_aside else ""
    gap = _BELOW_GAP * sizes.stretch if first else 0.0
    pieces = [RowLines(row, cells, first, side_note, head_height + _height(first) + gap)]
    padding = _PIECE_PADDING * sizes.stretch
    while rest:
        piece, rest = _split(rest, tallest - padding)
        pieces.append(RowLines(None, (), piece, "", padding + _height(piece)))
    return pieces


def _plain_below(row: ChecklistRow, columns: Columns) -> str:
    """What stands below a row's name, but for its note: the variety, what had no room beside."""
    below = columns.left_out.below
    parts = [row.variety] if ListColumn.VARIETY in columns.shown else []
    if ListColumn.PIECES in below and row.count != 1:
        parts.append(f"{row.count:,} pieces")
    if ListColumn.MINTAGE in below and row.mintage:
        parts.append(f"mintage {row.mintage}")
    return " · ".join(part for part in parts if part)


def _cell_lines(
    text: str, column: Column, columns: Columns, measure: Measure, wrap: Wrap
) -> tuple[str, ...]:
    """A cell's lines; a line after the sixth, or past the height of a row, is cut short with …"""
    if measure(text, column.style) <= column.width + 0.01:
        return (text,)
    lines = wrap(text, column.style, column.width)
    extra = int((columns.tallest - columns.sizes.row_height) / leading(column.style))
    most = max(1, min(_MOST_CELL_LINES, 1 + extra))
    if len(lines) <= most:
        return lines or ("",)
    last = short(f"{lines[most - 1]} {lines[most]}", column.style, column.width, measure)
    return (*lines[: most - 1], last)


def _height(below: tuple[tuple[str, Style], ...]) -> float:
    return sum(leading(style) for _, style in below)


def _split(
    below: list[tuple[str, Style]], room: float
) -> tuple[tuple[tuple[str, Style], ...], list[tuple[str, Style]]]:
    """As many lines as there is room for, at least one, and the rest."""
    used, count = 0.0, 0
    while count < len(below) and (count == 0 or used + leading(below[count][1]) <= room):
        used += leading(below[count][1])
        count += 1
    return tuple(below[:count]), below[count:]


# --- drawing ---------------------------------------------------------------------------------


def draw_heads(sheet: Sheet, x: float, y: float, columns: Columns) -> None:
    """The heads of the columns, and the line under them `heads_height` below y."""
    sizes = columns.sizes
    style, bottom = sizes.column_head, y + sizes.heads_height
    base = bottom - 4.6 * sizes.stretch
    for column in columns.cells:
        if column.is_flush_right:
            sheet.text_to(x + column.x + column.width, base, column.head, style)
        else:
            sheet.text(x + column.x, base, column.head, style)
    if columns.price_x is not None:
        sheet.text(x + columns.price_x, base, columns.price_head, style)
    if columns.note_x is not None:
        sheet.text(x + columns.note_x, base, "note", style)
    sheet.rules.append(PlacedRule(x, bottom, columns.width, 0.7))


def draw_row(sheet: Sheet, x: float, y: float, lines: RowLines, columns: Columns) -> None:
    """One row with its top left corner there, and the line under it."""
    sheet.rules.append(PlacedRule(x, y + lines.height, columns.width, 0.25))
    stretch = columns.sizes.stretch
    if lines.row is None:
        base = y + 0.6 * stretch
    else:
        base = y + (_BASELINE + _BELOW_GAP) * stretch
        base += _draw_first_lines(sheet, x, y, lines, lines.row, columns)
    for text, style in lines.below:
        base += leading(style)
        sheet.text(x + columns.label_x, base, text, style)


def _draw_first_lines(
    sheet: Sheet, x: float, y: float, lines: RowLines, row: ChecklistRow, columns: Columns
) -> float:
    """Tick box, glyph and cells; gives how much lower than one line they end."""
    sizes = columns.sizes
    middle, first = y + sizes.row_height / 2, y + _BASELINE * sizes.stretch
    sheet.boxes.append(PlacedBox(x + 0.4, middle - sizes.tick / 2, sizes.tick, 0.8))
    if columns.glyph_x is not None and row.code & STATE_BITS != GlyphCode.SPACER:
        sheet.glyph(row.code, x + columns.glyph_x, middle, sizes.glyph)
    deepest = 0.0
    for column, texts in zip(columns.cells, lines.cells, strict=True):
        step = leading(column.style)
        for i, text in enumerate(texts):
            base = first + i * step
            if column.is_flush_right:
                sheet.text_to(x + column.x + column.width, base, text, column.style)
            else:
                sheet.text(x + column.x, base, text, column.style)
        deepest = max(deepest, (len(texts) - 1) * step)
    if lines.side_note and columns.note_x is not None:
        sheet.text(x + columns.note_x, first, lines.side_note, sizes.note)
    return deepest
