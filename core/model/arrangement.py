"""How slots turn into leaves of rows: the shape of an album, and how it is written in one line."""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from string import Formatter
from typing import Final

from core.errors import BadEntry

MOST_CELLS, MOST_ROWS, MOST_LEAVES, MOST_BLOCKS = 60, 60, 2000, 6
"""Cells to a row, rows to a leaf, leaves of a row map, blocks side by side."""
HOLE_MM = (5.0, 120.0)
"""The least and the greatest hole, in millimetres."""
LABEL_FIELDS = ("date", "mark", "mint", "variety", "design", "mintage", "label")
"""What a label template may name; `label` is the slot's own."""

MapRow = tuple[bool, ...]
"""One row of a row map: True for a hole, False for a spacer."""
RowMap = tuple[tuple[MapRow, ...], ...]
"""Leaves of rows, as a collector counts them on the folder on the desk."""


class ShowP(StrEnum):
    """When labels show Philadelphia's P."""

    NEVER = "never"
    AS_ON_COIN = "as on the coin"
    ALWAYS = "always"


class ArrangementKind(StrEnum):
    """How slots turn into leaves of rows."""

    YEARS_BY_MINTS = "years by mints"
    RUNNING = "running"
    BY_DECADE = "by decade"
    BY_TYPE = "by type"
    BY_DESIGN = "one row a design"
    DATES_ONLY = "dates only"
    ROW_MAP = "row map"

    @property
    def is_matrix(self) -> bool:
        """Whether a mint has a column of its own."""
        return self in (ArrangementKind.YEARS_BY_MINTS, ArrangementKind.BY_DESIGN)

    @property
    def word(self) -> str:
        """As the command line writes it."""
        return _WORDS[self]


class Order(StrEnum):
    """The order in which slots are laid out."""

    AS_LISTED = "as listed"
    """As the album's slots stand: the series' own order, or what was moved by hand."""
    DATE = "date, then mint"
    MINT = "mint, then date"


class Break(StrEnum):
    """Where a new leaf or a new row begins of itself."""

    NONE = "none"
    DATE = "date"
    DECADE = "decade"
    DESIGN = "design"
    MINT = "mint"


@dataclass(frozen=True, slots=True)
class Lead:
    """What stands before a slot: spacers, and whether a new row or a new leaf begins with it."""

    spacers: int = 0
    new_row: bool = False
    new_leaf: bool = False

    @property
    def text(self) -> str:
        """As it is stored: "", 2, row, leaf 1."""
        word = "leaf" if self.new_leaf else "row" if self.new_row else ""
        return " ".join(filter(None, (word, str(self.spacers) if self.spacers else "")))


NO_LEAD: Final = Lead()


def parse_lead(text: str) -> Lead:
    """Read a lead as `Lead.text` writes it. Raises BadEntry."""
    if not text:
        return NO_LEAD
    found = re.fullmatch(r"(leaf|row)? ?(\d{1,2})?", text)
    if not found or int(found[2] or 0) > MOST_CELLS:
        raise BadEntry(f"“{text}” does not say what stands before a slot.")
    return Lead(int(found[2] or 0), found[1] == "row", found[1] == "leaf")


@dataclass(frozen=True, slots=True)
class Arrangement:
    """An album's shape.

    `per_row` and `rows_per_leaf` count cells and rows; matrices use only `rows_per_leaf` (None: as
    many as make even leaves of at most ten). `mints`: the order of the mints' ids, those not named
    after them. `is_down`: top to bottom (not in matrices). `is_closed`: a matrix without its
    not-struck places. `blocks`: how many blocks (decades, types, or runs of rows of a matrix) stand
    side by side on a leaf. `label`: a template of LABEL_FIELDS in braces, "" for the usual label.
    `hole_mm`: None for the coin's own diameter. `is_wide`: the leaf lies on its long side.
    """

    kind: ArrangementKind = ArrangementKind.YEARS_BY_MINTS
    per_row: int = 9
    rows_per_leaf: int | None = None
    show_p: ShowP = ShowP.AS_ON_COIN
    row_map: RowMap = ()
    order: Order = Order.AS_LISTED
    mints: tuple[str, ...] = ()
    is_down: bool = False
    is_closed: bool = False
    leaf_break: Break = Break.NONE
    row_break: Break = Break.NONE
    blocks: int = 1
    label: str = ""
    hole_mm: float | None = None
    is_wide: bool = False

    @property
    def text(self) -> str:
        """As the command line writes it, save the P: years-by-mints, running:9x5; down."""
        return "; ".join([self.kind.word + self._sizes, *_options(self)])

    @property
    def whole_text(self) -> str:
        """`text` with the P: what a saved arrangement holds."""
        parts = [self.kind.word + self._sizes, *_options(self)]
        if self.show_p is not ShowP.AS_ON_COIN:
            parts.insert(1, f"p={self.show_p.value}")
        return "; ".join(parts)

    @property
    def _sizes(self) -> str:
        if self.kind is ArrangementKind.ROW_MAP:
            return ":" + map_text(self.row_map)
        if self.kind.is_matrix:
            return f":{self.rows_per_leaf}" if self.rows_per_leaf else ""
        return f":{self.per_row}x{self.rows_per_leaf or 5}"


PLAIN: Final = Arrangement()
"""Years by mints, everything as usual."""

_WORDS = {
    ArrangementKind.YEARS_BY_MINTS: "years-by-mints",
    ArrangementKind.RUNNING: "running",
    ArrangementKind.BY_DECADE: "by-decade",
    ArrangementKind.BY_TYPE: "by-type",
    ArrangementKind.BY_DESIGN: "by-design",
    ArrangementKind.DATES_ONLY: "dates-only",
    ArrangementKind.ROW_MAP: "map",
}
_KINDS = {word: kind for kind, word in _WORDS.items()}
_ORDERS = {"listed": Order.AS_LISTED, "date": Order.DATE, "mint": Order.MINT}
_HOW = (
    "write years-by-mints, running:9x5 (slots to a row, rows to a leaf, 1 to 60 each), by-decade, "
    'by-type, by-design, dates-only, or map:"9 9 9 8 / 10 10 9"'
)


def _options(shape: Arrangement) -> Iterator[str]:
    """The parts after the kind, those that are as usual left out; the label comes last."""
    if shape.order is not Order.AS_LISTED:
        yield "order=" + next(word for word, order in _ORDERS.items() if order is shape.order)
    if shape.mints:
        yield "mints=" + ",".join(mint or "-" for mint in shape.mints)
    if shape.is_down:
        yield "down"
    if shape.is_closed:
        yield "closed"
    if shape.leaf_break is not Break.NONE:
        yield f"leaf-break={shape.leaf_break.value}"
    if shape.row_break is not Break.NONE:
        yield f"row-break={shape.row_break.value}"
    if shape.blocks > 1:
        yield f"blocks={shape.blocks}"
    if shape.hole_mm is not None:
        yield f"hole={shape.hole_mm:g}"
    if shape.is_wide:
        yield "wide"
    if shape.label:
        yield f"label={shape.label}"


def parse_arrangement(text: str, show_p: ShowP = ShowP.AS_ON_COIN) -> Arrangement:
    """Read an arrangement as `Arrangement.text` or `whole_text` writes it.

    `show_p` holds where the text says nothing of the P. Raises BadEntry with what may be written.
    """
    before, mark, label = text.partition("label=")
    if mark and before.rstrip() and not before.rstrip().endswith(";"):
        before, label = text, ""
    first, *options = (part.strip() for part in before.split(";"))
    shape = replace(_parse_kind(first, text), show_p=show_p)
    for option in filter(None, options):
        shape = _with_option(shape, option)
    return replace(shape, label=check_label(label.strip())) if label.strip() else shape


def _parse_kind(part: str, text: str) -> Arrangement:
    word, _, sizes = part.partition(":")
    kind = _KINDS.get(word.strip().lower())
    sizes = sizes.strip().strip('"')
    if kind is ArrangementKind.ROW_MAP:
        return Arrangement(kind, row_map=parse_map(sizes))
    if kind is not None and kind.is_matrix and (not sizes or _is_count(sizes, MOST_ROWS)):
        return Arrangement(kind, rows_per_leaf=int(sizes) if sizes else None)
    per_row, _, rows = sizes.lower().partition("x")
    if kind is not None and not kind.is_matrix:
        if not sizes and kind is not ArrangementKind.RUNNING:
            return Arrangement(kind)
        if _is_count(per_row, MOST_CELLS) and _is_count(rows, MOST_ROWS):
            return Arrangement(kind, int(per_row), int(rows))
    raise BadEntry(f"“{text}” is no arrangement; {_HOW}.")


def _is_count(text: str, most: int) -> bool:
    return text.isascii() and text.isdigit() and len(text) < 4 and 0 < int(text) <= most


def _with_option(shape: Arrangement, option: str) -> Arrangement:
    """The shape with one part such as `order=mint` read into it."""
    name, has_value, value = (part.strip() for part in option.partition("="))
    word = name.lower()
    flag = {"down": "is_down", "closed": "is_closed", "wide": "is_wide"}.get(word)
    if flag and not has_value:
        return replace(shape, **{flag: True})  # type: ignore[arg-type]  # all three are flags
    reader = _READERS.get(word)
    if reader is None or not has_value:
        known = ", ".join(["down", "closed", "wide", *(f"{w}=" for w in _READERS), "label="])
        raise BadEntry(f"“{option}” is no part of an arrangement; write one of {known}.")
    return reader(shape, value)


def _read_order(shape: Arrangement, value: str) -> Arrangement:
    if value not in _ORDERS:
        raise BadEntry(f"“order={value}”: write order=date, order=mint or order=listed.")
    return replace(shape, order=_ORDERS[value])


def _read_mints(shape: Arrangement, value: str) -> Arrangement:
    mints = tuple("" if mint.strip() == "-" else mint.strip() for mint in value.split(","))
    if len(set(mints)) < len(mints):
        raise BadEntry(f"“mints={value}” names a mint twice; name each once, as mints=P,D,S.")
    return replace(shape, mints=mints)


def _read_break(value: str) -> Break:
    try:
        return Break(value)
    except ValueError:
        raise BadEntry(f"“{value}” is no place for a break; write {_one_of(Break)}.") from None


def _read_blocks(shape: Arrangement, value: str) -> Arrangement:
    if not _is_count(value, MOST_BLOCKS):
        raise BadEntry(f"“blocks={value}”: write how many stand side by side, 1 to {MOST_BLOCKS}.")
    return replace(shape, blocks=int(value))


def read_hole(value: str) -> float:
    """A hole in millimetres. Raises BadEntry where it is none, or beyond HOLE_MM."""
    least, most = HOLE_MM
    found = re.fullmatch(r"(\d{1,3})(?:[.,](\d{1,2}))?(?: ?mm)?", value.strip())
    size = float(f"{found[1]}.{found[2] or 0}") if found else 0.0
    if not least <= size <= most:
        raise BadEntry(f"“{value}” is no hole; write millimetres, {least:g} to {most:g}.")
    return size


def _read_p(shape: Arrangement, value: str) -> Arrangement:
    try:
        return replace(shape, show_p=ShowP(value))
    except ValueError:
        raise BadEntry(f"“p={value}”: write {_one_of(ShowP)}.") from None


def _one_of(words: type[StrEnum]) -> str:
    return ", ".join(word.value for word in words)


_READERS: dict[str, Callable[[Arrangement, str], Arrangement]] = {
    "order": _read_order,
    "mints": _read_mints,
    "leaf-break": lambda shape, value: replace(shape, leaf_break=_read_break(value)),
    "row-break": lambda shape, value: replace(shape, row_break=_read_break(value)),
    "blocks": _read_blocks,
    "hole": lambda shape, value: replace(shape, hole_mm=read_hole(value)),
    "p": _read_p,
}


def check_label(template: str) -> str:
    """The template, in one line, if every field in braces is one of LABEL_FIELDS.

    Raises BadEntry, naming what is wrong and what may be written.
    """
    known = ", ".join(f"{{{name}}}" for name in LABEL_FIELDS)
    line = " ".join(template.split())
    try:
        parts = list(Formatter().parse(line))
    except ValueError:
        raise BadEntry(f"“{line}”: a brace is not closed; write fields as {known}.") from None
    for _, name, form, conversion in parts:
        if name is not None and (name not in LABEL_FIELDS or form or conversion):
            raise BadEntry(f"“{{{name}}}” is no field of a label; write {known}.")
    return line


# ---- row maps ---------------------------------------------------------------------------------

_TIMES = re.compile(r"([\d_]+)[*×](\d{1,2})")


def parse_map(text: str) -> RowMap:
    """Read `9 9 9 8 / 10 10 9`: counts of slots row by row, leaf by leaf.

    `_` is a spacer (`4_4`, `_8_`), `9*4` four rows of nine; a row of spacers alone stays free.
    Raises BadEntry, naming leaf and row.
    """
    leaves = []
    parts = text.split("/")
    if len(parts) > MOST_LEAVES:
        raise BadEntry(
            f"The row map has {len(parts)} leaves; at most {MOST_LEAVES} may be written."
        )
    for leaf_no, part in enumerate(parts, 1):
        rows: list[MapRow] = []
        for word in part.split():
            times = _TIMES.fullmatch(word)
            row = _parse_row(times[1] if times else word, word, leaf_no, len(rows) + 1)
            rows += [row] * (int(times[2]) if times else 1)
        if not rows:
            raise BadEntry(f"Leaf {leaf_no} of the row map has no row; write a count such as 9.")
        if len(rows) > MOST_ROWS:
            raise BadEntry(f"Leaf {leaf_no} has {len(rows)} rows; at most {MOST_ROWS} fit a leaf.")
        leaves.append(tuple(rows))
    return tuple(leaves)


def _parse_row(text: str, word: str, leaf_no: int, row_no: int) -> MapRow:
    where = f"Leaf {leaf_no}, row {row_no} of the row map"
    cells: list[bool] = []
    for found in re.finditer(r"\d+|_+|.", text):
        run = found[0]
        if run.isascii() and run.isdigit():
            if len(run) > 2 or int(run) > MOST_CELLS or int(run) == 0:
                raise BadEntry(f"{where}: “{run}” slots; a row has 1 to {MOST_CELLS}.")
            cells += [True] * int(run)
        elif run[0] == "_":
            cells += [False] * len(run)
        else:
            raise BadEntry(f"{where}: “{word}” is no count; write 9, or 4_4 with _ for a spacer.")
    if len(cells) > MOST_CELLS:
        raise BadEntry(f"{where} has {len(cells)} places; a row has at most {MOST_CELLS}.")
    return tuple(cells)


def row_text(row: MapRow) -> str:
    """One row: 9, 4_4, _8_."""
    out = ""
    run = 0
    for is_hole in (*row, False):
        if is_hole:
            run += 1
            continue
        out += f"{run}" if run else ""
        out += "_"
        run = 0
    return out[:-1]  # the spacer that closed the last run


def map_text(row_map: RowMap) -> str:
    """`9 9 9 8 / 10 10 9`; reading it gives the same map."""
    return " / ".join(" ".join(map(row_text, leaf)) for leaf in row_map)


@dataclass(frozen=True, slots=True)
class SavedArrangement:
    """An arrangement kept under a name, for any series."""

    id: int
    name: str
    arrangement: Arrangement
