"""From offers to small independent groups: the choices that can matter, as arrays.

Of the coins that may go into the same k slots, each slot needs only the k it likes best: were it
to take another, one of those would be free, and better. Slots that then share no coin are
independent of each other.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from core.fill.offers import Offers, Single, Standing
from core.fill.spares import Ints
from core.fill.value import Worth, is_off_variety, must_compare, newcomer_worth
from core.model.album import Slot
from core.model.coin import Coin

_WIDTH = len(Worth._fields)
_PLAIN = Worth._fields.index("plain")


@dataclass(frozen=True, slots=True)
class Edges:
    """Lawful choices, one a row: this piece into this slot.

    `slot` is a place among the slots to fill, `piece` unique to a single piece of a lot, `number`
    the coin's; `worth` has the columns of `Worth`. Sorted by slot, the best for each slot first.
    """

    slot: Ints
    piece: Ints
    number: Ints
    worth: Ints

    def __len__(self) -> int:
        return len(self.slot)

    def rows(self, chosen: Ints) -> "Edges":
        """Some of the rows, in the order chosen."""
        return Edges(self.slot[chosen], self.piece[chosen], self.number[chosen], self.worth[chosen])

    def best(self) -> Ints:
        """The first row of each slot."""
        return np.flatnonzero(np.diff(self.slot, prepend=-1))


@dataclass(frozen=True, slots=True)
class _Sorts:
    """Slots that value every loose coin alike: those of one target and one variety asked.

    `slots` has one of each sort, `of_slot` the sort of every slot; `worths` is by sort and look,
    without regard to varieties.
    """

    slots: Sequence[Slot]
    of_slot: Sequence[int]
    worths: Sequence[Sequence[Worth]]

    @staticmethod
    def of(
        slots: Sequence[Slot], of_slot: Sequence[int], looks: Sequence[Coin], uncapped: bool
    ) -> "_Sorts":
        """One slot of each sort, and what each look of coin is worth to it."""
        first = dict(zip(reversed(of_slot), reversed(slots), strict=True))
        each = [first[sort] for sort in range(len(first))]
        worths = [[newcomer_worth(slot, coin, uncapped) for coin in looks] for slot in each]
        return _Sorts(each, of_slot, worths)


class _Classes:
    """Sets of slots that coins may go into, numbered as they come."""

    def __init__(self) -> None:
        self.places: list[tuple[int, ...]] = []
        self._numbers: dict[tuple[int, ...], int] = {}

    def number(self, places: tuple[int, ...]) -> int:
        """The set's number, -1 for the empty one."""
        if not places:
            return -1
        number = self._numbers.setdefault(places, len(self.places))
        if number == len(self.places):
            self.places.append(places)
        return number

    def sizes(self) -> Ints:
        """How many slots each set has, and last, for number -1, none."""
        return np.array([len(places) for places in self.places] + [0], dtype=np.int64)


def edges(slots: Sequence[Slot], now: Standing, offers: Offers, uncapped: bool) -> Edges:
    """All choices that can matter."""
    classes = _Classes()
    loose_class, loose = _loose(slots, now, offers, uncapped, classes)
    first_piece = int(loose.piece.max()) + 1 if len(loose) else 0
    single_class, single = _singles(offers.singles, classes, first_piece)
    class_of = np.concatenate([loose_class, single_class])
    both = Edges(
        np.concatenate([loose.slot, single.slot]),
        np.concatenate([loose.piece, single.piece]),
        np.concatenate([loose.number, single.number]),
        np.concatenate([loose.worth, single.worth]),
    )
    kept = _best_of(class_of, both.slot, both, classes.sizes()[class_of])
    both = both.rows(kept)
    return both.rows(_by_worth(both, both.slot))


def _by_worth(rows: Edges, *heads: Ints) -> Ints:
    """The order by these heads, then from the best worth and the lowest number down."""
    key = np.zeros(len(rows), dtype=np.int64)
    for column in rows.worth.T:  # each from -1 to 70
        key = key * 128 + column + 1
    return np.lexsort((rows.piece, rows.number, -key, *reversed(heads)))


def _best_of(class_of: Ints, part: Ints, rows: Edges, most: Ints) -> Ints:
    """The best rows, at most so many, of each class and part."""
    order = _by_worth(rows, class_of, part)
    return order[_rank(class_of[order], part[order]) < most[order]]


def _rank(*heads: Ints) -> Ints:
    """Each row's place, from 0, in its run of rows that agree in all heads."""
    count = len(heads[0])
    is_first = np.zeros(count, dtype=bool)
    is_first[:1] = True
    for head in heads:
        is_first[1:] |= head[1:] != head[:-1]
    first = np.flatnonzero(is_first)
    return np.arange(count) - np.repeat(first, np.diff(np.append(first, count)))


def _expand(which: Ints, lists: Sequence[Sequence[int]]) -> tuple[Ints, Ints]:
    """For each row and each entry of the list it names: the row, and the entry."""
    lengths = np.array([len(entries) for entries in lists], dtype=np.int64)
    flat = np.array([entry for entries in lists for entry in entries], dtype=np.int64)
    starts = np.cumsum(lengths) - lengths
    times = lengths[which]
    row = np.repeat(np.arange(len(which)), times)
    offset = np.arange(len(row)) - np.repeat(np.cumsum(times) - times, times)
    return row, flat[starts[which][row] + offset]


def _loose(
    slots: Sequence[Slot], now: Standing, offers: Offers, uncapped: bool, classes: _Classes
) -> tuple[Ints, Edges]:
    """The rows of the loose coins that can matter, and the class of each."""
    sorts = _Sorts.of(slots, now.sort_of, offers.looks, uncapped)
    class_of = _classes_of(offers, now, sorts, classes)
    kind, look = offers.kind_of, offers.look_of
    number, quantity = offers.number, offers.quantity
    sizes = classes.sizes()
    # Of coins of one kind and look, and of a lot's pieces, never more than there are slots.
    at = np.repeat(np.arange(len(kind)), np.minimum(quantity, sizes[class_of]))
    at = at[np.lexsort((number[at], look[at], kind[at]))]
    at = at[_rank(kind[at], look[at]) < sizes[class_of[at]]]
    # Rank once for all slots of a class that are of one sort: a part. Then spread over its slots.
    parts, part_slots, part_sort = _parts(classes, sorts)
    piece, part = _expand(class_of[at], parts)
    coin = at[piece]
    worth = np.zeros((len(piece), _WIDTH), dtype=np.int64)
    if len(piece):
        worth = np.array(sorts.worths, dtype=np.int64)[part_sort[part], look[coin]]
        worth[:, _PLAIN] = _plain(sorts, offers)[part_sort[part], kind[coin]]
    rows = Edges(part, piece, number[coin], worth)
    rows = rows.rows(_best_of(class_of[coin], part, rows, sizes[class_of[coin]]))
    row, slot = _expand(rows.slot, part_slots)
    rows = rows.rows(row)
    return class_of[at][rows.piece], Edges(slot, rows.piece, rows.number, rows.worth)


def _classes_of(offers: Offers, now: Standing, sorts: _Sorts, classes: _Classes) -> Ints:
    """For each loose coin the number of the set of slots it may go into."""
    if not len(offers.number):
        return np.zeros(0, dtype=np.int64)
    manners: dict[object, int] = {}
    manner_of = []
    of_manner: list[int] = []
    for look, coin in enumerate(offers.looks):
        said = (coin.grade is not None, tuple(worths[look].sound for worths in sorts.worths))
        manner_of.append(manners.setdefault(said, len(manners)))
        if manner_of[-1] == len(of_manner):
            of_manner.append(look)
    manner = np.array(manner_of, dtype=np.int64)[offers.look_of]
    code = offers.kind_of * len(manners) + manner
    numbers = np.full(len(offers.kinds) * len(manners), -1, dtype=np.int64)
    for one in np.flatnonzero(np.bincount(code)).tolist():
        kind, look = one // len(manners), of_manner[one % len(manners)]
        stand_in = offers.looks[look]
        numbers[one] = classes.number(
            tuple(
                at
                for at in offers.fits[kind]
                if not must_compare(now.graded[at], stand_in)
                or not sorts.worths[sorts.of_slot[at]][look].sound
            )
        )
    class_of: Ints = numbers[code]
    return class_of


def _parts(classes: _Classes, sorts: _Sorts) -> tuple[list[list[int]], list[list[int]], Ints]:
    """The parts of each class, the slots of each part, the sort of each part."""
    parts: list[list[int]] = []
    part_slots: list[list[int]] = []
    part_sort: list[int] = []
    for places in classes.places:
        own: dict[int, list[int]] = {}
        for at in places:
            own.setdefault(sorts.of_slot[at], []).append(at)
        parts.append(list(range(len(part_slots), len(part_slots) + len(own))))
        part_slots += own.values()
        part_sort += own
    return parts, part_slots, np.array(part_sort, dtype=np.int64)


def _plain(sorts: _Sorts, offers: Offers) -> Ints:
    """By sort and kind, what a variety costs that was not asked for."""
    table = np.zeros((len(sorts.slots), len(offers.kinds)), dtype=np.int64)
    for at, kind in enumerate(offers.kinds):
        if kind.varieties:
            table[:, at] = [-int(is_off_variety(slot, kind.varieties)) for slot in sorts.slots]
    return table


def _singles(singles: Sequence[Single], classes: _Classes, first_piece: int) -> tuple[Ints, Edges]:
    """The rows of the coins treated singly, and the class of each."""
    rows: list[tuple[int, int, int, int, *tuple[int, ...]]] = []
    piece = first_piece
    for single in singles:
        number = classes.number(tuple(sorted(single.worths)))
        for _ in range(min(single.pieces, len(single.worths))):
            rows += [
                (number, at, piece, single.coin.id, *worth) for at, worth in single.worths.items()
            ]
            piece += 1
    table = np.array(rows, dtype=np.int64).reshape(len(rows), 4 + _WIDTH)
    return table[:, 0], Edges(table[:, 1], table[:, 2], table[:, 3], table[:, 4:])


def groups(found: Edges) -> tuple[Edges, list[Edges]]:
    """What is decided already, and the groups that hang together and are not.

    A group is decided where every slot can have the coin that is best for it.
    """
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    if not len(found):
        return found, []
    _, piece = np.unique(found.piece, return_inverse=True)
    slots = int(found.slot.max()) + 1
    size = slots + int(piece.max()) + 1
    ones = np.ones(len(found), dtype=np.int8)
    _, labels = connected_components(coo_array((ones, (found.slot, slots + piece)), (size, size)))
    label = np.asarray(labels, dtype=np.int64)[found.slot]
    best = found.best()
    contested = np.bincount(piece[best])[piece[best]] > 1
    is_open = np.zeros(size, dtype=bool)
    is_open[label[best[contested]]] = True
    rest = np.flatnonzero(is_open[label])
    rest = rest[np.argsort(label[rest], kind="stable")]
    return found.rows(best[~is_open[label[best]]]), list(_runs(found, rest, label[rest]))


def _runs(found: Edges, rows: Ints, label: Ints) -> Iterator[Edges]:
    ends = np.flatnonzero(np.diff(label, append=-1)) + 1
    for start, end in zip([0, *ends.tolist()], ends.tolist(), strict=False):
        yield found.rows(rows[start:end])
