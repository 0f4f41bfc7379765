"""An album laid out as leaves of rows of cells: flat arrays, nothing kept a slot.

The cells of all rows stand one after another. A **row** is its first cell, its indent in half cells
(which centres uneven rows) and its head; a **leaf** is a run of rows. A spacer is a cell where
nothing is drawn; a caption is a spacer with a text, which may reach over the free places after it.
A not-struck cell is drawn but is no slot. Texts are numbers into one list of distinct lines.
"""

from array import array
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from core.arrange.text_room import USUAL_CELL, label_room
from core.model.state import SlotState

# The bytes of `core.glyph.codes`, which this package may not import; a test holds the two together.
STATE_BITS = 15
SPACER_CODE = 15
NOT_STRUCK_CODE = 9
STATE_WORDS: tuple[SlotState, ...] = (
    SlotState.GAP,
    SlotState.FILLED,
    SlotState.BELOW_TARGET,
    SlotState.BELOW_TARGET,
    SlotState.BELOW_TARGET,
    SlotState.HOLE_FILLER,
    SlotState.ON_ORDER,
    SlotState.TO_VERIFY,
    SlotState.SKIPPED,
    SlotState.NOT_STRUCK,
)
MARK_WORDS = ((16, "a spare is waiting"), (32, "a better coin is on order"), (64, "pinned"))
NO_CELL = -1
_NOT_TYPED = str.maketrans("", "", " -–—−/.,:;'’·()[]")


class PlanCell(NamedTuple):
    """One place of a row.

    `code` is the glyph byte, `name` what the slot is called aloud ("1943-D"), `line_1` and `line_2`
    what stands under the glyph, `detail` what a screen reader says after the state ("VG-8, target
    VF-20"), `slot_id` 0 where there is no slot.
    """

    code: int
    name: str = ""
    line_1: str = ""
    line_2: str = ""
    detail: str = ""
    slot_id: int = 0


SPACER_CELL = PlanCell(SPACER_CODE)


def caption_cell(text: str, sub: str = "") -> PlanCell:
    """A text that stands where no slot is, and a second, quieter line of it."""
    return PlanCell(SPACER_CODE, " ".join(filter(None, (text, sub))), text or sub, text and sub)


@dataclass(frozen=True, slots=True)
class PlanRow:
    """One row: its cells, its indent in half cells, its head ("1960") and what differs under it."""

    cells: Sequence[PlanCell]
    indent: int = 0
    head: str = ""
    sub: str = ""


@dataclass(frozen=True, slots=True)
class PlanLeaf:
    """One leaf: a run of rows under a title; `width` in half cells, `heads` one a column."""

    title: str
    subtitle: str
    first_row: int
    rows: int
    width: int
    heads: tuple[str, ...] = ()


@dataclass(slots=True, eq=False)
class LeafPlan:
    """The whole album. Made by `PlanBuilder`; only `set_cell` changes it afterwards.

    `row_first` has one entry more than there are rows, so that row r is the cells from
    `row_first[r]` to `row_first[r + 1]`. `label_cell` is how wide a place with labels is, in units
    of a leaf, and `label_lines` how many lines a label may take.
    """

    name: str
    has_two_lines: bool
    has_row_heads: bool = False
    max_columns: int = 0
    label_cell: int = USUAL_CELL
    label_lines: int = 1
    leaves: list[PlanLeaf] = field(default_factory=list)
    row_first: "array[int]" = field(default_factory=lambda: array("I", [0]))
    row_indent: "array[int]" = field(default_factory=lambda: array("H"))
    row_leaf: "array[int]" = field(default_factory=lambda: array("I"))
    row_head: list[str] = field(default_factory=list)
    row_sub: list[str] = field(default_factory=list)
    codes: bytearray = field(default_factory=bytearray)
    names: "array[int]" = field(default_factory=lambda: array("I"))
    l1: "array[int]" = field(default_factory=lambda: array("I"))
    l2: "array[int]" = field(default_factory=lambda: array("I"))
    details: "array[int]" = field(default_factory=lambda: array("I"))
    slot_ids: "array[int]" = field(default_factory=lambda: array("q"))
    captions: "array[int]" = field(default_factory=lambda: array("I"))
    """The cells that are captions, in reading order."""
    lines: list[str] = field(default_factory=lambda: [""])
    _numbers: dict[str, int] = field(default_factory=lambda: {"": 0})
    _by_slot: "array[int] | None" = None
    _search_keys: list[str] = field(default_factory=list)

    @property
    def rows(self) -> int:
        """How many rows all leaves have together."""
        return len(self.row_head)

    @property
    def cells(self) -> int:
        """How many cells all rows have together, spacers too."""
        return len(self.codes)

    def copy(self) -> "LeafPlan":
        """A plan of its own for `set_cell`; what never changes is shared."""
        return replace(
            self,
            codes=bytearray(self.codes),
            l1=self.l1[:],
            l2=self.l2[:],
            details=self.details[:],
            lines=list(self.lines),
            _numbers=dict(self._numbers),
            _search_keys=list(self._search_keys),
        )

    def line(self, text: str) -> int:
        """The number of a line of text, given when it is first asked for."""
        number = self._numbers.get(text)
        if number is None:
            number = self._numbers[text] = len(self.lines)
            self.lines.append(text)
        return number

    def numbers_of(self, lines: Sequence[str]) -> list[int]:
        """The numbers of lines here, -1 for those that are not."""
        return [self._numbers.get(line, -1) for line in lines]

    def cell_at(self, row: int, column: int) -> int:
        """The cell at a place, or NO_CELL where the row has no such place."""
        if not 0 <= row < self.rows or column < 0:
            return NO_CELL
        cell = self.row_first[row] + column
        return cell if cell < self.row_first[row + 1] else NO_CELL

    def where(self, cell: int) -> tuple[int, int]:
        """Row and column of a cell."""
        row = bisect_right(self.row_first, cell) - 1
        return row, cell - self.row_first[row]

    def cells_of_row(self, row: int) -> range:
        """The cells of a row, spacers too."""
        return range(self.row_first[row], self.row_first[row + 1])

    def is_drawn(self, cell: int) -> bool:
        """Whether anything stands there: all but spacers."""
        return self.codes[cell] & STATE_BITS != SPACER_CODE

    def is_slot(self, cell: int) -> bool:
        """Whether a coin could ever stand there: neither a spacer nor not struck."""
        return self.codes[cell] & STATE_BITS not in (SPACER_CODE, NOT_STRUCK_CODE)

    def is_caption(self, cell: int) -> bool:
        """Whether a text stands there instead of a slot."""
        return self.codes[cell] & STATE_BITS == SPACER_CODE and self.names[cell] != 0

    def caption_room(self, cell: int) -> int:
        """The half cells a caption may take: its own place and the free ones after it.

        At the end of a row it reaches as far as the leaf's widest row.
        """
        row, column = self.where(cell)
        end = self.row_first[row + 1]
        for other in range(cell + 1, end):
            if self.is_drawn(other) or self.names[other]:
                return 2 * (other - cell)
        width = self.leaves[self.row_leaf[row]].width
        return max(2 * (end - cell), width - self.row_indent[row] - 2 * column)

    def drawn_in_row(self, row: int) -> Iterator[int]:
        """The cells of a row in which something stands."""
        return (cell for cell in self.cells_of_row(row) if self.is_drawn(cell))

    def first_drawn(self) -> int:
        """The first cell in which something stands, or NO_CELL in an empty plan."""
        return next((cell for cell in range(self.cells) if self.is_drawn(cell)), NO_CELL)

    def cell_of_slot(self, slot_id: int) -> int:
        """The cell of a slot, or NO_CELL where the slot is not in this album."""
        if slot_id == 0:
            return NO_CELL
        if self._by_slot is None:
            self._by_slot = array("I", sorted(range(self.cells), key=self.slot_ids.__getitem__))
        at = bisect_left(self._by_slot, slot_id, key=self.slot_ids.__getitem__)
        if at == len(self._by_slot) or self.slot_ids[self._by_slot[at]] != slot_id:
            return NO_CELL
        return self._by_slot[at]

    def set_cell(
        self, cell: int, code: int, line_1: str = "", line_2: str = "", detail: str = ""
    ) -> None:
        """Give a cell another state and other lines; its name and its slot stay."""
        self.codes[cell] = code
        self.l1[cell] = self.line(line_1)
        self.l2[cell] = self.line(line_2)
        self.details[cell] = self.line(detail)

    def sentence(self, cell: int) -> str:
        """What a screen reader says: "1943-D, below target, VG-8, target VF-20, pinned"."""
        if not self.is_drawn(cell):
            return self.lines[self.names[cell]] or "no slot here"
        return say(self.lines[self.names[cell]], self.codes[cell], self.lines[self.details[cell]])

    def find_date(self, typed: str) -> int:
        """The first cell whose name begins as typed, or NO_CELL.

        `1943-D` is met by 1943, 1943d, 43 and 43-d; full years go before short ones.
        """
        wanted = _search_key(typed)
        if not wanted:
            return NO_CELL
        known = len(self._search_keys)
        self._search_keys += [_search_key(line) for line in self.lines[known:]]
        for is_met in (_begins, _begins_short, _holds):
            numbers = {n for n, key in enumerate(self._search_keys) if n and is_met(key, wanted)}
            for cell, number in enumerate(self.names) if numbers else ():
                if number in numbers and self.is_drawn(cell):
                    return cell
        return NO_CELL


def say(name: str, code: int, detail: str = "") -> str:
    """One sentence of a name, the state and marks in a glyph byte, and a detail."""
    said = [name, str(STATE_WORDS[code & STATE_BITS]), detail]
    said += [words for bit, words in MARK_WORDS if code & bit]
    return ", ".join(part for part in said if part)


def _search_key(text: str) -> str:
    return text.casefold().translate(_NOT_TYPED)


def _begins(key: str, wanted: str) -> bool:
    return key.startswith(wanted)


def _begins_short(key: str, wanted: str) -> bool:
    return key[:4].isdigit() and key.startswith(wanted, 2)


def _holds(key: str, wanted: str) -> bool:
    return wanted in key


class PlanBuilder:
    """Gathers leaves into a plan, in reading order."""

    def __init__(self, name: str, *, has_two_lines: bool) -> None:
        self._plan = LeafPlan(name, has_two_lines)

    def add_leaf(
        self, title: str, subtitle: str, rows: Iterable[PlanRow], heads: Sequence[str] = ()
    ) -> None:
        """Add a leaf below those added before."""
        plan = self._plan
        first, width = plan.rows, 0
        for row in rows:
            self._add_row(row)
            width = max(width, row.indent + 2 * len(row.cells))
        leaf = PlanLeaf(title, subtitle, first, plan.rows - first, width, tuple(heads))
        plan.leaves.append(leaf)

    def _add_row(self, row: PlanRow) -> None:
        plan, line = self._plan, self._plan.line
        for code, name, line_1, line_2, detail, slot_id in row.cells:
            if name and code == SPACER_CODE:
                plan.captions.append(len(plan.codes))
            plan.codes.append(code)
            plan.names.append(line(name))
            plan.l1.append(line(line_1))
            plan.l2.append(line(line_2))
            plan.details.append(line(detail))
            plan.slot_ids.append(slot_id)
        plan.row_first.append(len(plan.codes))
        plan.row_indent.append(row.indent)
        plan.row_leaf.append(len(plan.leaves))
        plan.row_head.append(row.head)
        plan.row_sub.append(row.sub)
        plan.max_columns = max(plan.max_columns, len(row.cells))
        plan.has_row_heads |= bool(row.head or row.sub)

    def build(self) -> LeafPlan:
        """The plan of all leaves added; the builder is done with."""
        plan = self._plan
        if plan.has_two_lines:
            captions = set(plan.captions)
            used = {n for cell, n in enumerate(plan.l1) if cell not in captions}
            plan.label_cell, plan.label_lines = label_room({plan.lines[n] for n in used})
        return plan


def empty_plan(name: str = "") -> LeafPlan:
    """A plan without a leaf."""
    return LeafPlan(name, has_two_lines=False)
