"""A leaf in small, beside or under its heading on paper: glyphs, dates across, mints down.

A matrix leaf lies on its side, so that its dates run along the line; where it is wider than the
paper it is cut into bands. A running leaf is drawn as it lies, up to `TALLEST_ROWS` rows; with more
it is cut into blocks, read downwards and then to the right.
"""

import re
from dataclasses import dataclass
from math import ceil

from core.glyph.codes import GlyphCode
from core.printing.checklist import LeafMap
from core.printing.placed import Measure, Sheet, Style, short
from core.printing.text_runs import Face

MAP_GLYPH = 10.0
"""Diameter of a glyph in points: 41 dots at 300 to the inch, enough for the hatching."""
PITCH = 13.8
TALLEST_ROWS = 8
BLOCK_GAP = 16.0
BAND_GAP = 5.0
HEAD = Style(Face.REGULAR, 6.2)
_HEAD_GAP = 4.0
_HEADS_HEIGHT = 7.6
_WIDEST_ROW_HEAD = 46.0

Codes = tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True)
class Block:
    """A piece of a map: rows of places, a head at the left of each row, a head under each place."""

    codes: Codes
    row_heads: tuple[str, ...]
    heads: tuple[str, ...]

    @property
    def places(self) -> int:
        """How many places the widest row has."""
        return max(map(len, self.codes), default=0)


@dataclass(frozen=True, slots=True)
class Band:
    """Blocks side by side, `pitch` points from place to place; `width`, `height` in points."""

    blocks: tuple[Block, ...]
    pitch: float
    row_head_width: float
    width: float
    height: float


def map_bands(
    leaf_map: LeafMap, beside_width: float, full_width: float, measure: Measure
) -> tuple[tuple[Band, ...], bool]:
    """The bands of a map from the top, and whether they stand beside the heading.

    A map stands beside it where it fits there in one band; otherwise under it, over the whole
    width. A map without a glyph gives no band.
    """
    if not any(code != GlyphCode.SPACER for row in leaf_map.codes for code in row):
        return (), True
    lies_on_side = bool(any(leaf_map.heads) and any(leaf_map.row_heads))
    block = _on_its_side(leaf_map) if lies_on_side else _as_it_lies(leaf_map)
    head_width = _row_head_width(block, measure)
    cut = _cut_places if lies_on_side else _cut_rows
    beside = cut(block, beside_width, head_width)
    if len(beside) == 1:
        return beside, True
    return cut(block, full_width, head_width), False


def draw_band(sheet: Sheet, x: float, y: float, band: Band) -> None:
    """Draw a band with its top left corner there, row by row."""
    for block in band.blocks:
        left = x + band.row_head_width
        for i, row in enumerate(block.codes):
            middle = y + (i + 0.5) * band.pitch
            head = block.row_heads[i] if i < len(block.row_heads) else ""
            if head:
                text = short(head, HEAD, band.row_head_width - _HEAD_GAP, sheet.measure)
                sheet.text_to(left - _HEAD_GAP, middle + 2.2, text, HEAD)
            for j, code in enumerate(row):
                if code != GlyphCode.SPACER:
                    centre = left + (j + 0.5) * band.pitch
                    sheet.glyph(code, centre, middle, MAP_GLYPH * min(1.0, band.pitch / PITCH))
        foot = y + len(block.codes) * band.pitch + 6.0
        for j, head in enumerate(block.heads):
            text = short(head, HEAD, band.pitch - 0.8, sheet.measure)
            sheet.text_about(left + (j + 0.5) * band.pitch, foot, text, HEAD)
        x = left + block.places * band.pitch + BLOCK_GAP


def short_head(head: str) -> str:
    """A date as it stands under a place: the last two digits of its year, else the text itself."""
    years = re.findall(r"\d{3,}", head) or re.findall(r"\d+", head)
    return years[-1][-2:] if years else head


def _on_its_side(leaf_map: LeafMap) -> Block:
    """Rows become places: mints down, dates across."""
    depth = max(len(leaf_map.heads), *(len(row) for row in leaf_map.codes))
    codes = tuple(
        tuple(row[i] if i < len(row) else int(GlyphCode.SPACER) for row in leaf_map.codes)
        for i in range(depth)
    )
    return Block(
        codes, leaf_map.heads, tuple(map(short_head, leaf_map.row_heads[: len(leaf_map.codes)]))
    )


def _as_it_lies(leaf_map: LeafMap) -> Block:
    places = max(map(len, leaf_map.codes))
    return Block(leaf_map.codes, leaf_map.row_heads, leaf_map.heads[:places])


def _row_head_width(block: Block, measure: Measure) -> float:
    widest = max((measure(head, HEAD) for head in block.row_heads), default=0.0)
    return min(widest, _WIDEST_ROW_HEAD) + _HEAD_GAP if widest else 0.0


def _cut_places(block: Block, width: float, head_width: float) -> tuple[Band, ...]:
    """Cut across the places into bands of nearly one length, no wider than the width."""
    fitting = max(1, int((width - head_width) / PITCH))
    count = ceil(block.places / fitting)
    each = ceil(block.places / count)
    return tuple(
        _band(
            (
                Block(
                    tuple(row[at : at + each] for row in block.codes),
                    block.row_heads,
                    block.heads[at : at + each],
                ),
            ),
            width,
            head_width,
        )
        for at in range(0, block.places, each)
    )


def _cut_rows(block: Block, width: float, head_width: float) -> tuple[Band, ...]:
    """Cut between rows into blocks of nearly one height, set side by side, then into bands."""
    rows = len(block.codes)
    block_width = head_width + block.places * PITCH
    fitting = max(1, int((width + BLOCK_GAP) / (block_width + BLOCK_GAP)))
    count = ceil(rows / TALLEST_ROWS)
    each = ceil(rows / count)
    blocks = [
        Block(block.codes[at : at + each], block.row_heads[at : at + each], block.heads)
        for at in range(0, rows, each)
    ]
    return tuple(
        _band(tuple(blocks[at : at + fitting]), width, head_width)
        for at in range(0, len(blocks), fitting)
    )


def _band(blocks: tuple[Block, ...], width: float, head_width: float) -> Band:
    """A band whose places move closer together where even one block is wider than the width."""
    places = sum(block.places for block in blocks)
    fixed = len(blocks) * head_width + (len(blocks) - 1) * BLOCK_GAP
    pitch = min(PITCH, (width - fixed) / places)
    rows = max(len(block.codes) for block in blocks)
    heads = _HEADS_HEIGHT if any(any(block.heads) for block in blocks) else 0.0
    return Band(blocks, pitch, head_width, fixed + places * pitch, rows * pitch + heads)
