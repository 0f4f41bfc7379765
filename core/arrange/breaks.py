"""Where leaves, rows and blocks begin of themselves, and what a leaf is called for it. Pure."""

from collections.abc import Callable, Hashable, Mapping, Sequence

from core.arrange.layout import SPACER, Cell, Column, GridSlot
from core.arrange.order import NO_LETTER
from core.model.arrangement import NO_LEAD, Arrangement, ArrangementKind, Break

SlotKey = Callable[[GridSlot], Hashable]

SEVERAL_DECADES = "More than one decade"
SEVERAL_DESIGNS = "More than one design"


def decade_of(slot: GridSlot) -> str:
    """1940s; in words where more than one is open."""
    return SEVERAL_DECADES if slot.year is None else f"{slot.year // 10 * 10}s"


def design_of(slot: GridSlot) -> str:
    """The design's title; in words where more than one is open."""
    return slot.title or slot.design or SEVERAL_DESIGNS


_KEYS: Mapping[Break, SlotKey] = {
    Break.DATE: lambda slot: slot.date,
    Break.DECADE: lambda slot: None if slot.year is None else slot.year // 10,
    Break.DESIGN: lambda slot: slot.design,
    Break.MINT: lambda slot: slot.mint,
}
_BLOCKS = {ArrangementKind.BY_DECADE: Break.DECADE, ArrangementKind.BY_TYPE: Break.DESIGN}


def key_of(rule: Break) -> SlotKey | None:
    """What a rule compares from slot to slot; None where it never breaks."""
    return _KEYS.get(rule)


def block_rule(kind: ArrangementKind) -> Break:
    """What the blocks of a kind have in common; NONE where it has no blocks."""
    return _BLOCKS.get(kind, Break.NONE)


def block_title(kind: ArrangementKind, slot: GridSlot) -> str:
    """What stands over the block that a slot belongs to."""
    return decade_of(slot) if kind is ArrangementKind.BY_DECADE else design_of(slot)


def has_leads(slots: Sequence[GridSlot]) -> bool:
    """Whether anything stands before a slot by hand."""
    return any(slot.lead is not NO_LEAD and slot.lead != NO_LEAD for slot in slots)


def gathered(
    slots: Sequence[GridSlot], turn: Sequence[int], key: SlotKey, *, is_by_date: bool = False
) -> list[list[int]]:
    """The same turn in groups of equal keys, as they are first met or by their first dates."""
    groups: dict[Hashable, list[int]] = {}
    for index in turn:
        groups.setdefault(key(slots[index]), []).append(index)
    if not is_by_date:
        return list(groups.values())
    return sorted(groups.values(), key=lambda group: min(slots[index].rank for index in group))


def cut_at(
    slots: Sequence[GridSlot],
    turn: Sequence[int],
    key: SlotKey | None,
    is_cut_by_hand: Callable[[GridSlot], bool] | None = None,
) -> list[list[int]]:
    """The turn cut where the key changes, and before each slot that is cut off by hand."""
    parts: list[list[int]] = []
    for index in turn:
        slot = slots[index]
        is_new = not parts
        if parts and key is not None:
            is_new = key(slot) != key(slots[parts[-1][-1]])
        if is_new or (is_cut_by_hand is not None and is_cut_by_hand(slot)):
            parts.append([])
        parts[-1].append(index)
    return parts


class Titles:
    """What leaves are called: by number, or by what they begin anew with.

    A name is given once; the leaves that go on with it are numbered from 2.
    """

    def __init__(self, rule: Break, columns: Sequence[Column] = ()) -> None:
        self._rule, self._number = rule, 0
        self._names = {column.mint: column.name or column.head for column in columns}
        self._given: dict[str, int] = {}

    def next(self, first: GridSlot | None, span: str) -> tuple[str, str]:
        """Title and subtitle of the next leaf, whose first slot is that one."""
        self._number += 1
        plain = f"Leaf {self._number}"
        name = self._name(first) if first is not None else ""
        if not name:
            return plain, span
        times = self._given[name] = self._given.get(name, 0) + 1
        title = name if times == 1 else f"{name} ({times})"
        return title, " · ".join(filter(None, (plain, "" if span == name else span)))

    def _name(self, slot: GridSlot) -> str:
        match self._rule:
            case Break.DATE:
                return slot.date
            case Break.DECADE:
                return decade_of(slot)
            case Break.DESIGN:
                return design_of(slot)
            case Break.MINT if slot.mint in ("", NO_LETTER):
                return self._names.get(slot.mint) or ("No letter" if slot.mint else "Any mint")
            case Break.MINT:
                return self._names.get(slot.mint, slot.mint)
        return ""


def has_block_titles(arrangement: Arrangement) -> bool:
    """Whether blocks are headed by their titles: not where each leaf is titled by it anyway."""
    rule = block_rule(arrangement.kind)
    return rule is not Break.NONE and arrangement.leaf_break is not rule


_SHORT_HEAD, _SHORT_SUB = 6, 11


def is_short_head(head: str, sub: str) -> bool:
    """Whether a head fits one place; a longer one takes two."""
    return len(head) <= _SHORT_HEAD and len(sub) <= _SHORT_SUB


def beside_head(head: str, sub: str, *, are_short: bool) -> tuple[Cell, Cell]:
    """What stands between two runs of rows side by side: a free place and the head of the second.

    A caption reaches over the free place after it, so heads that are not short come first.
    """
    caption = Cell(name=head, sub=sub) if head or sub else SPACER
    return (SPACER, caption) if are_short else (caption, SPACER)


def span_text(first: str, last: str) -> str:
    """1909–1920; one text where both are the same; spaced where they are words."""
    if first == last:
        return first
    is_words = " " in first or " " in last
    return f"{first} – {last}" if is_words else f"{first}–{last}"
