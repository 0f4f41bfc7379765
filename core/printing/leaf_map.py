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
from core.printing.placed import Measure, Sheet, short
from core.printing.type_sizes import TypeSizes

TALLEST_ROWS = 8
BLOCK_GAP = 16.0
BAND_GAP = 5.0
_HEAD_GAP = 4.0
_PITCH = 1.38
"""From place to place, in diameters of a glyph."""
_TALLEST_BAND = 300.0
"""In points; places move closer together where a band would be taller."""
_LEAST_BESIDE = 0.7
"""The share of that distance under which a map moves below its heading."""
_HEADS_HEIGHT, _HEAD_BASE = 1.23, 0.97
"""The heads under the places, and how far their baseline lies below, in sizes of their type."""
_WIDEST_ROW_HEAD = 7.4
"""In sizes of its type."""

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

    sizes: TypeSizes
    blocks: tuple[Block, ...]
    pitch: float
    row_head_width: float
    width: float
    height: float


def map_bands(
    leaf_map: LeafMap,
    beside_width: float,
    full_width: float,
    sizes: TypeSizes,
    measure: Measure,
) -> tuple[tuple[Band, ...], bool]:
    """The bands of a map from the top, and whether they stand beside the heading.

    A map stands beside it where it fits there in one band; otherwise under it, over the whole
    width. A map without a glyph gives no band.
    """
    if not any(code != GlyphCode.SPACER for row in leaf_map.codes for code in row):
        return (), True
    lies_on_side = bool(any(leaf_map.heads) and any(leaf_map.row_heads))
    block = _on_its_side(leaf_map) if lies_on_side else _as_it_lies(leaf_map)
    head_width = _row_head_width(block, sizes, measure)
    cut = _cut_places if lies_on_side else _cut_rows
    beside = cut(block, beside_width, head_width, sizes)
    if len(beside) == 1 and beside[0].pitch >= _LEAST_BESIDE * _pitch(sizes):
        return beside, True
    return cut(block, full_width, head_width, sizes), False


def draw_band(sheet: Sheet, x: float, y: float, band: Band) -> None:
    """Draw a band with its top left corner there, row by row."""
    style, full = band.sizes.map_head, _pitch(band.sizes)
    for block in band.blocks:
        left = x + band.row_head_width
        for i, row in enumerate(block.codes):
            middle = y + (i + 0.5) * band.pitch
            head = block.row_heads[i] if i < len(block.row_heads) else ""
            if head and band.pitch >= style.size:
                text = short(head, style, band.row_head_width - _HEAD_GAP + 0.01, sheet.measure)
                sheet.text_to(left - _HEAD_GAP, middle + 0.36 * style.size, text, style)
            for j, code in enumerate(row):
                if code != GlyphCode.SPACER:
                    centre = left + (j + 0.5) * band.pitch
                    diameter = band.sizes.map_glyph * min(1.0, band.pitch / full)
                    sheet.glyph(code, centre, middle, diameter)
        foot = y + len(block.codes) * band.pitch + _HEAD_BASE * style.size
        for j, head in enumerate(block.heads[: block.places]):
            text = short(head, style, band.pitch - 0.8, sheet.measure)
            if sheet.measure(text, style) <= band.pitch:
                sheet.text_about(left + (j + 0.5) * band.pitch, foot, text, style)
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


def _pitch(sizes: TypeSizes) -> float:
    """From place to place where there is room: wide enough for the head under a place too."""
    return _PITCH * sizes.map_glyph


def _row_head_width(block: Block, sizes: TypeSizes, measure: Measure) -> float:
    style = sizes.map_head
    widest = max((measure(head, style) for head in block.row_heads), default=0.0)
    return min(widest, _WIDEST_ROW_HEAD * style.size) + _HEAD_GAP if widest else 0.0


def _cut_places(
    block: Block, width: float, head_width: float, sizes: TypeSizes
) -> tuple[Band, ...]:
    """Cut across the places into bands of nearly one length, no wider than the width."""
    fitting = max(1, int((width - head_width) / _pitch(sizes)))
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
            sizes,
        )
        for at in range(0, block.places, each)
    )


def _cut_rows(block: Block, width: float, head_width: float, sizes: TypeSizes) -> tuple[Band, ...]:
    """Cut between rows into blocks of nearly one height, set side by side, then into bands."""
    rows = len(block.codes)
    block_width = head_width + block.places * _pitch(sizes)
    fitting = max(1, int((width + BLOCK_GAP) / (block_width + BLOCK_GAP)))
    count = ceil(rows / TALLEST_ROWS)
    each = ceil(rows / count)
    blocks = [
        Block(block.codes[at : at + each], block.row_heads[at : at + each], block.heads)
        for at in range(0, rows, each)
    ]
    return tuple(
        _band(tuple(blocks[at : at + fitting]), width, head_width, sizes)
        for at in range(0, len(blocks), fitting)
    )


def _band(blocks: tuple[Block, ...], width: float, head_width: float, sizes: TypeSizes) -> Band:
    """A band whose places move closer together where even one block is wider than the width."""
    places = sum(block.places for block in blocks)
    fixed = len(blocks) * head_width + (len(blocks) - 1) * BLOCK_GAP
    rows = max(len(block.codes) for block in blocks)
    pitch = min(_pitch(sizes), (width - fixed) / max(1, places), _TALLEST_BAND / rows)
    has_heads = any(any(block.heads) for block in blocks)
    heads = _HEADS_HEIGHT * sizes.map_head.size if has_heads else 0.0
    return Band(sizes, blocks, pitch, head_width, fixed + places * pitch, rows * pitch + heads)
