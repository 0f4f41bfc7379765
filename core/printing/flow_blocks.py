"""A page filled from the top by blocks: each knows its height, and how it is drawn at a place.

Points. A block may keep the next one by it, and may name what is drawn again above it where it
begins a page: the heads of its table.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from core.printing.placed import Measure, Page, Sheet

Draw = Callable[[Sheet, float, float], None]


@dataclass(frozen=True, slots=True)
class Block:
    """Something of a height that stands whole; `draw` is given its top left corner."""

    height: float
    draw: Draw
    keeps_next: bool = False
    head: "Block | None" = None
    is_gap: bool = False


def gap(height: float) -> Block:
    """Nothing, so high; left away at the top of a page."""
    return Block(height, lambda _sheet, _x, _y: None, is_gap=True)


@dataclass(frozen=True, slots=True)
class Room:
    """Where blocks may stand on each page: top and bottom, and the left edge of each column."""

    lefts: tuple[float, ...]
    top: float
    bottom: float


def total_height(blocks: Iterable[Block]) -> float:
    """How high all of them are, one below the other."""
    return sum(block.height for block in blocks)


def fill_pages(blocks: Sequence[Block], room: Room, measure: Measure) -> list[Sheet]:
    """Blocks in order, column by column, on as many sheets as they need, at least one.

    A block higher than a column stands in one of its own and is cut off by the edge.
    """
    sheets = [Sheet(measure)]
    column, y = 0, room.top
    for at, block in enumerate(blocks):
        if block.is_gap and y == room.top:
            continue
        if y > room.top and y + _needed(blocks, at) > room.bottom:
            column, y = (column + 1) % len(room.lefts), room.top
            if not column:
                sheets.append(Sheet(measure))
            if block.is_gap:
                continue
            if block.head is not None:
                block.head.draw(sheets[-1], room.lefts[column], y)
                y += block.head.height
        block.draw(sheets[-1], room.lefts[column], y)
        y += block.height
    return sheets


def _needed(blocks: Sequence[Block], at: int) -> float:
    """The height of a block and of those it keeps by it."""
    needed = blocks[at].height
    while blocks[at].keeps_next and at + 1 < len(blocks):
        at += 1
        needed += blocks[at].height
    return needed


def finished(sheets: Sequence[Sheet], width: float, height: float) -> tuple[Page, ...]:
    """The sheets as pages of one size."""
    return tuple(sheet.page(width, height) for sheet in sheets)
