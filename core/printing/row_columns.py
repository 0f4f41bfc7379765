"""The rows of a checklist in columns: which columns there are, how wide, and each row's lines.

Columns fit what the list holds: one that no row uses is left out, the rest are as wide as their
widest entry up to a bound, and what is left over is room to write a price and a note.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from core.glyph.codes import STATE_BITS, GlyphCode
from core.printing.checklist import Checklist, ChecklistRow, ListKind
from core.printing.placed import (
    Measure,
    PlacedBox,
    PlacedRule,
    Sheet,
    Style,
    Wrap,
    short,
)
from core.printing.text_runs import Face

TICK = 9.4
GLYPH = 11.6
"""Diameter in points: 48 dots at 300 to the inch."""
ROW_HEIGHT = 18.0
_BASELINE = 12.4
_BELOW_GAP = 1.2
_GAP = 9.0
_FLUSH_GAP = 5.0
"""More room after figures set flush right, so that they do not lean on the next column."""
_PRICE_ROOM, _NOTE_ROOM = 40.0, 26.0

LABEL = Style(Face.BOLD, 10.4)
CELL = Style(Face.REGULAR, 8.6)
FIGURE = Style(Face.REGULAR, 7.4)
VARIETY = Style(Face.REGULAR, 8.2)
NOTE = Style(Face.ITALIC, 7.8)
COLUMN_HEAD = Style(Face.REGULAR, 6.6)
_LEADING = {LABEL: 12.4, CELL: 10.6, FIGURE: 10.6, VARIETY: 10.4, NOTE: 10.0}
HEADS_HEIGHT = 14.0

NOTHING_HELD, NO_TARGET = "—", "any"
_MOST_CELL_LINES = 6


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
    the room for writing; without room for both, `note_x` is None.
    """

    width: float
    glyph_x: float | None
    label_x: float
    cells: tuple[Column, ...]
    price_head: str
    price_x: float
    note_x: float | None


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


def columns_for(checklist: Checklist, width: float, measure: Measure) -> Columns:
    """The columns of a list's rows, the same on all of its pages.

    Where what was struck does not fit beside the rest it is left to a line below.
    """
    rows = [row for leaf in checklist.leaves for row in leaf.rows]
    is_spares = checklist.kind == ListKind.SPARES
    has_glyph = any(row.code & STATE_BITS != GlyphCode.SPACER for row in rows)
    label_x = TICK + (2 * 6.0 + GLYPH if has_glyph else 0.0) + 8.0
    used = [
        spec
        for spec in (_SPARES if is_spares else _SLOTS)
        if spec.key == "label" or any(getattr(row, spec.key) not in {"", 1} for row in rows)
    ]
    room = width - label_x - _PRICE_ROOM - _FLUSH_GAP
    extents = _extents(used, rows, measure)
    if sum(least for least, _ in extents) + _GAP * len(used) > room:
        used = [spec for spec in used if spec.key != "mintage"]
        extents = _extents(used, rows, measure)
    widths = _shared_out(extents, room - _GAP * len(used))
    cells = []
    x = label_x
    for spec, cell_width in zip(used, widths, strict=True):
        cells.append(Column(spec.key, spec.head, x, cell_width, spec.style, spec.is_flush_right))
        x += cell_width + _GAP + (_FLUSH_GAP if spec.is_flush_right else 0.0)
    left = width - x
    has_note_room = left >= _PRICE_ROOM + _GAP + _NOTE_ROOM
    price_width = max(_PRICE_ROOM, min(64.0, 0.4 * left))
    return Columns(
        width,
        TICK + 6.0 + GLYPH / 2 if has_glyph else None,
        label_x,
        tuple(cells),
        "ask" if is_spares else "pay up to",
        x,
        x + price_width + _GAP if has_note_room else None,
    )


@dataclass(frozen=True, slots=True)
class _Spec:
    """A column that a list may have; `floor` bounds the width it insists on, `bound` any width."""

    key: str
    head: str
    style: Style
    floor: float
    bound: float
    is_flush_right: bool = False


_SLOTS = (
    _Spec("label", "date", LABEL, 64.0, 104.0),
    _Spec("mintage", "struck", FIGURE, 58.0, 58.0, is_flush_right=True),
    _Spec("held", "holds", CELL, 44.0, 78.0),
    _Spec("wanted", "want", CELL, 36.0, 66.0),
)
_SPARES = (
    _Spec("label", "coin", LABEL, 64.0, 120.0),
    _Spec("mintage", "struck", FIGURE, 58.0, 58.0, is_flush_right=True),
    _Spec("held", "grade", CELL, 44.0, 84.0),
    _Spec("count", "pieces", CELL, 40.0, 40.0, is_flush_right=True),
)


def cell_text(row: ChecklistRow, key: str) -> str:
    """What a row shows in a column."""
    match key:
        case "label":
            return f"({row.label})" if row.is_optional else row.label
        case "mintage":
            return row.mintage
        case "held":
            return row.held or NOTHING_HELD
        case "wanted":
            return row.wanted or NO_TARGET
        case _:
            return f"{row.count:,}"


def _extents(
    specs: Iterable[_Spec], rows: Sequence[ChecklistRow], measure: Measure
) -> list[tuple[float, float]]:
    """The least and the best width of each column: its widest word, and its widest entry."""
    extents = []
    for spec in specs:
        texts = {cell_text(row, spec.key) for row in rows}
        words = {word for text in texts for word in text.split()}
        head = measure(spec.head, COLUMN_HEAD)
        least = max([head, *(measure(word, spec.style) for word in words)])
        best = max([head, *(measure(text, spec.style) for text in texts)])
        extents.append((min(least, spec.floor), min(best, spec.bound)))
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


def row_lines(
    row: ChecklistRow, columns: Columns, tallest: float, measure: Measure, wrap: Wrap
) -> list[RowLines]:
    """Cut a row into lines; one taller than `tallest` points gives further pieces."""
    cells = tuple(
        _cell_lines(cell_text(row, column.key), column, measure, wrap) for column in columns.cells
    )
    room = columns.width - columns.note_x if columns.note_x is not None else 0.0
    is_aside = "\n" not in row.note and 0 < measure(row.note, NOTE) <= room
    width = columns.width - columns.label_x
    has_struck = any(column.key == "mintage" for column in columns.cells)
    struck = f"{row.mintage} struck" if row.mintage and not has_struck else ""
    plain = " · ".join(part for part in (row.variety, struck) if part)
    below = [(line, VARIETY) for line in wrap(plain, VARIETY, width)]
    if not is_aside:
        below += [(line, NOTE) for line in wrap(row.note, NOTE, width)]
    head_height = ROW_HEIGHT + max(
        (len(lines) - 1) * _LEADING[column.style]
        for lines, column in zip(cells, columns.cells, strict=True)
    )
    first, rest = _split(below, tallest - head_height)
    side_note = row.note if is_aside else ""
    pieces = [RowLines(row, cells, first, side_note, head_height + _height(first))]
    while rest:
        piece, rest = _split(rest, tallest - 6.0)
        pieces.append(RowLines(None, (), piece, "", 6.0 + _height(piece)))
    return pieces


def _cell_lines(text: str, column: Column, measure: Measure, wrap: Wrap) -> tuple[str, ...]:
    """A cell's lines; a single word too long for it, or a seventh line, is cut short with …"""
    if measure(text, column.style) <= column.width + 0.01:
        return (text,)
    lines = wrap(text, column.style, column.width)
    if len(lines) <= _MOST_CELL_LINES:
        return lines or ("",)
    last = short(
        lines[_MOST_CELL_LINES - 1] + lines[_MOST_CELL_LINES],
        column.style,
        column.width,
        measure,
    )
    return (*lines[: _MOST_CELL_LINES - 1], last)


def _height(below: tuple[tuple[str, Style], ...]) -> float:
    return sum(_LEADING[style] for _, style in below) + (_BELOW_GAP if below else 0.0)


def _split(
    below: list[tuple[str, Style]], room: float
) -> tuple[tuple[tuple[str, Style], ...], list[tuple[str, Style]]]:
    """As many lines as there is room for, at least one, and the rest."""
    used, count = 0.0, 0
    while count < len(below) and (count == 0 or used + _LEADING[below[count][1]] <= room):
        used += _LEADING[below[count][1]]
        count += 1
    return tuple(below[:count]), below[count:]


# --- drawing ---------------------------------------------------------------------------------


def draw_heads(sheet: Sheet, x: float, y: float, columns: Columns) -> None:
    """The heads of the columns, and the line under them `HEADS_HEIGHT` below y."""
    base = y + HEADS_HEIGHT - 4.6
    for column in columns.cells:
        if column.is_flush_right:
            sheet.text_to(x + column.x + column.width, base, column.head, COLUMN_HEAD)
        else:
            sheet.text(x + column.x, base, column.head, COLUMN_HEAD)
    sheet.text(x + columns.price_x, base, columns.price_head, COLUMN_HEAD)
    if columns.note_x is not None:
        sheet.text(x + columns.note_x, base, "note", COLUMN_HEAD)
    sheet.rules.append(PlacedRule(x, y + HEADS_HEIGHT, columns.width, 0.7))


def draw_row(sheet: Sheet, x: float, y: float, lines: RowLines, columns: Columns) -> None:
    """One row with its top left corner there, and the line under it."""
    bottom = y + lines.height
    sheet.rules.append(PlacedRule(x, bottom, columns.width, 0.25))
    if lines.row is None:
        base = y + 3.0
    else:
        base = (
            y + _BASELINE + _BELOW_GAP + _draw_first_lines(sheet, x, y, lines, lines.row, columns)
        )
    for text, style in lines.below:
        base += _LEADING[style]
        sheet.text(x + columns.label_x, base - (2.4 if lines.row is None else 0.0), text, style)


def _draw_first_lines(
    sheet: Sheet, x: float, y: float, lines: RowLines, row: ChecklistRow, columns: Columns
) -> float:
    """Tick box, glyph and cells; gives how much lower than one line they end."""
    middle = y + ROW_HEIGHT / 2
    sheet.boxes.append(PlacedBox(x + 0.4, middle - TICK / 2, TICK, 0.8))
    if columns.glyph_x is not None and row.code & STATE_BITS != GlyphCode.SPACER:
        sheet.glyph(row.code, x + columns.glyph_x, middle, GLYPH)
    deepest = 0.0
    for column, texts in zip(columns.cells, lines.cells, strict=True):
        leading = _LEADING[column.style]
        for i, text in enumerate(texts):
            base = y + _BASELINE + i * leading
            if column.is_flush_right:
                sheet.text_to(x + column.x + column.width, base, text, column.style)
            else:
                sheet.text(x + column.x, base, text, column.style)
        deepest = max(deepest, (len(texts) - 1) * leading)
    if lines.side_note and columns.note_x is not None:
        sheet.text(x + columns.note_x, y + _BASELINE, lines.side_note, NOTE)
    return deepest
