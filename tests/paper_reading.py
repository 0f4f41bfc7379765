"""Checklists read back from their files by a program that is not ours, pdfplumber."""

import io
import unicodedata
from dataclasses import dataclass, replace
from itertools import pairwise

import pdfplumber

from core.printing.checklist import ChecklistRow, ListColumn, Look
from core.printing.type_sizes import PLAIN, TypeSizes


@dataclass(frozen=True)
class ReadRow:
    """A row as read from paper: all text of a kind, without spaces."""

    label: str
    held: str
    wanted: str
    mintage: str
    aside: str
    below: str


def bare(text: str) -> str:
    """Composed and without spaces: where lines break is no part of the text."""
    return "".join(unicodedata.normalize("NFC", text).split())


def expected_row(row: ChecklistRow, heads: set[str], look: Look) -> ReadRow:
    """What must stand in a row under those heads. A note stands aside or below, never twice."""
    label = f"({row.label})" if row.is_optional else row.label
    has_mintage = ListColumn.MINTAGE in look.columns
    below = [row.variety] if ListColumn.VARIETY in look.columns else []
    if has_mintage and "mintage" not in heads and row.mintage:
        below.append(f"mintage {row.mintage}")
    note = row.note if ListColumn.NOTE in look.columns else ""
    return ReadRow(
        bare(label),
        bare(row.held or "—") if "holds" in heads else "",
        bare(row.wanted or "any") if "want" in heads else "",
        bare(row.mintage) if "mintage" in heads else "",
        "",
        bare("·".join(part for part in below if part) + note),
    )


def _note_moved_below(read: ReadRow) -> ReadRow:
    return replace(read, aside="", below=read.below + read.aside)


@dataclass(frozen=True)
class _Piece:
    """What stands between two lines of a column of rows: with a tick box a row begins."""

    has_tick: bool
    chars: list[dict]
    columns: dict[str, tuple[float, float]]


def _pieces_on(page: pdfplumber.page.Page, sizes: TypeSizes) -> tuple[list[_Piece], set[str]]:
    """The pieces of rows of a page in reading order, and the column heads seen."""
    heads = [
        word
        for word in page.extract_words(extra_attrs=["size"], use_text_flow=True)
        if abs(word["size"] - sizes.column_head.size) < 0.05
    ]
    side = sizes.tick
    ticks = [r for r in page.rects if max(abs(r["width"] - side), abs(r["height"] - side)) < 0.2]
    lines = [r for r in page.rects if r["height"] < 0.4]  # a row ends in a fine line
    bases = [r for r in page.rects if 0.5 < r["height"] < 0.9]  # heads in a stronger one
    pieces: list[_Piece] = []
    for date in sorted(
        (word for word in heads if word["text"] in ("date", "coin")),
        key=lambda word: (round(word["top"]), word["x0"]),
    ):
        under = [
            r
            for r in bases
            if 0 < r["top"] - date["top"] < sizes.heads_height and r["x0"] < date["x0"] < r["x1"]
        ]
        if not under:  # the word stands elsewhere
            continue
        base = under[0]
        left, right = base["x0"], base["x1"]
        mine = [word for word in heads if abs(word["top"] - date["top"]) < 1]
        columns = {w["text"]: (w["x0"], w["x1"]) for w in mine if left < w["x0"] < right}
        lower = [r["top"] for r in bases if r["top"] > base["top"] + 1 and abs(r["x0"] - left) < 1]
        bottom = min(lower, default=page.height)
        ends = [
            r["top"] for r in lines if abs(r["x0"] - left) < 1 and base["top"] < r["top"] < bottom
        ]
        edges = [base["top"], *sorted(ends)]
        for top, end in pairwise(edges):
            here = [c for c in page.chars if left < c["x0"] < right and top < c["top"] < end]
            has_tick = any(left <= t["x0"] < right and top < t["top"] < end for t in ticks)
            pieces.append(_Piece(has_tick, here, columns))
    return pieces, {word["text"] for word in heads}


def _row(chars: list[dict], columns: dict[str, tuple[float, float]], sizes: TypeSizes) -> ReadRow:
    """A row from its characters, in the order of the file, and the ends of the columns' heads.

    What is printed before the first line below is in columns; the text of a page is in order, so
    whatever comes after it and stands under the label's left end is below.
    """
    order = ["date", "holds", "want", "pay", "note"]
    starts = {name: columns[name][0] - 1 for name in order if name in columns}
    parts = dict.fromkeys(["label", "holds", "want", "mintage", "note", "below"], "")
    is_below = False
    for char in chars:
        is_bold = "Bold" in char["fontname"] or abs(char["size"] - sizes.label.size) < 0.05
        x = char["x0"]
        if parts["label"] and not is_bold and abs(x - columns["date"][0]) < 1.2:
            is_below = True
        if is_below:
            where = "below"
        elif is_bold:
            where = "label"
        elif "mintage" in columns and _is_figure(char, columns, starts, sizes):
            where = "mintage"
        else:
            where = max((name for name in starts if starts[name] <= x), key=starts.__getitem__)
        parts[{"date": "label", "pay": "note"}.get(where, where)] += char["text"]
    return ReadRow(
        bare(parts["label"]),
        bare(parts["holds"]),
        bare(parts["want"]),
        bare(parts["mintage"]),
        bare(parts["note"]),
        bare(parts["below"]),
    )


def _is_figure(
    char: dict, columns: dict[str, tuple[float, float]], starts: dict[str, float], sizes: TypeSizes
) -> bool:
    """Whether a character is in the column of mintages, which stands after that of dates."""
    next_start = min((start for name, start in starts.items() if name != "date"), default=1e6)
    return abs(char["size"] - sizes.figure.size) < 0.05 and char["x0"] < min(
        next_start, columns["mintage"][1] + 1
    )


def read_back(data: bytes, sizes: TypeSizes = PLAIN) -> tuple[list[ReadRow], set[str]]:
    """The rows of a file, notes moved below where they stand aside, and the heads of columns."""
    rows: list[ReadRow] = []
    heads: set[str] = set()
    with pdfplumber.open(io.BytesIO(data)) as document:
        for page in document.pages:
            pieces, seen = _pieces_on(page, sizes)
            heads |= seen
            for piece in pieces:
                if piece.has_tick:
                    rows.append(_note_moved_below(_row(piece.chars, piece.columns, sizes)))
                else:
                    more = bare("".join(char["text"] for char in piece.chars))
                    rows[-1] = replace(rows[-1], below=rows[-1].below + more)
    return rows, heads
