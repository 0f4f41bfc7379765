"""From offers to small independent groups: the choices that can matter, as arrays.

Of the coins that may go into the same k slots, each slot needs only the k it likes best: were it
to take another, one of those would be free, and better. Slots that then share no coin are
independent of each other.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain

import numpy as np

from core.fill.offers import Looks, Offers, Single, Standing
from core.fill.spares import Ints
from core.fill.value import Worth, is_off_variety, must_compare
from core.model.album import Slot

_WIDTH = len(Worth._fields)
_PLAIN = Worth._fields.index("plain")
_FEW = 1_000
_WORTHS = 1 << 11  # more than there are different worths


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
    def of(slots: Sequence[Slot], of_slot: Sequence[int], looks: Looks) -> "_Sorts":
        """One slot of each sort, and what each look of coin is worth to it."""
        first = dict(zip(reversed(of_slot), reversed(slots), strict=True))
        each = [first[sort] for sort in range(len(first))]
        worths = [[looks.worth(slot, look) for look in range(len(looks.coins))] for slot in each]
        return _Sorts(each, of_slot, worths)


class _Classes:
    """Sets of slots that coins may go into; first those of one slot, the others as they come."""

    def __init__(self, slots: int) -> None:
        self.slots = slots
        self.places: list[tuple[int, ...]] = [(at,) for at in range(slots)]
        self._numbers: dict[tuple[int, ...], int] = {}

    def number(self, places: tuple[int, ...]) -> int:
        """The set's number, -1 for the empty one."""
        if len(places) < 2:
            return places[0] if places else -1
        number = self._numbers.setdefault(places, len(self.places))
        if number == len(self.places):
            self.places.append(places)
        return number

    def sizes(self) -> Ints:
        """How many slots each set has, and last, for number -1, none."""
        return np.array([len(places) for places in self.places] + [0], dtype=np.int64)


def edges(slots: Sequence[Slot], now: Standing, offers: Offers) -> Edges:
    """All choices that can matter."""
    classes = _Classes(len(slots))
    loose_class, loose = _loose(slots, now, offers, classes)
    first_piece = int(loose.piece.max()) + 1 if len(loose) else 0
    single_class, single = _singles(offers.singles, classes, first_piece)
    class_of = np.concatenate([loose_class, single_class])
    both = Edges(
        np.concatenate([loose.slot, single.slot]),
        np.concatenate([loose.piece, single.piece]),
        np.concatenate([loose.number, single.number]),
        np.concatenate([loose.worth, single.worth]),
    )
    kept = _best_of(class_of * (len(slots) + 1) + both.slot, both, classes.sizes()[class_of])
    both = both.rows(kept)
    return both.rows(_by_worth(both, both.slot))


def _by_worth(rows: Edges, head: Ints) -> Ints:
    """The order by this head, then from the best worth and the lowest number down.

    Rows that agree in all of it, pieces of one lot, keep their order.
    """
    sound, met, points, stays, plain = rows.worth.T
    worth = (((sound * 2 + met) * 71 + points) * 3 + stays + 1) * 2 + plain + 1
    key = head * _WORTHS + (_WORTHS - 1 - worth)
    numbers = int(rows.number.max(initial=0)) + 1
    if (int(key.max(initial=0)) + 1) * numbers < 1 << 62:
        return _order(key * numbers + rows.number)
    return np.lexsort((rows.number, key))


def _order(key: Ints) -> Ints:
    """The order by a key not below nought; what agrees in it stays as it was.

    Sorting keys that carry their place takes a fifth of the time of sorting places by their keys.
    """
    bits = len(key).bit_length()
    if int(key.max(initial=0)) >= 1 << (62 - bits):
        return np.argsort(key, kind="stable")
    placed = (key << bits) | np.arange(len(key))
    placed.sort()
    return placed & ((1 << bits) - 1)


def _best_of(head: Ints, rows: Edges, most: Ints) -> Ints:
    """The best rows, at most so many, of each head."""
    order = _by_worth(rows, head)
    return order[_rank(head[order]) < most[order]]


def _rank(head: Ints) -> Ints:
    """Each row's place, from 0, in its run of rows that agree in the head."""
    count = len(head)
    first = np.flatnonzero(np.diff(head, prepend=-1))
    return np.arange(count) - np.repeat(first, np.diff(np.append(first, count)))


def _expand(which: Ints, alone: int, lists: Sequence[Sequence[int]]) -> tuple[Ints, Ints]:
    """For each row and each entry of the list it names: the row, and the entry.

    Before the lists given there are so many that hold their own place alone.
    """
    own = np.arange(alone)
    further = np.array([len(entries) for entries in lists], dtype=np.int64)
    entries = np.fromiter(chain.from_iterable(lists), dtype=np.int64)
    lengths = np.concatenate([np.ones_like(own), further])
    flat = np.concatenate([own, entries])
    starts = np.cumsum(lengths) - lengths
    times = lengths[which]
    row = np.repeat(np.arange(len(which)), times)
    offset = np.arange(len(row)) - np.repeat(np.cumsum(times) - times, times)
    return row, flat[starts[which][row] + offset]


def _loose(
    slots: Sequence[Slot], now: Standing, offers: Offers, classes: _Classes
) -> tuple[Ints, Edges]:
    """The rows of the loose coins that can matter, and the class of each."""
    sorts = _Sorts.of(slots, now.sort_of, offers.looks)
    class_of = _classes_of(offers, now, sorts, classes)
    kind, look = offers.kind_of, offers.look_of
    number, quantity = offers.number, offers.quantity
    sizes = classes.sizes()
    # Of coins of one kind and look, and of a lot's pieces, never more than there are slots.
    at = np.repeat(np.arange(len(kind)), np.minimum(quantity, sizes[class_of]))
    alike = kind[at] * len(offers.looks.coins) + look[at]
    is_rising = bool((number[1:] >= number[:-1]).all())
    order = _order(alike) if is_rising else np.lexsort((number[at], alike))
    at = at[order]
    at = at[_rank(alike[order]) < sizes[class_of[at]]]
    # Rank once for all slots of a class that are of one sort: a part. Then spread over its slots.
    parts, part_slots, part_sort = _parts(classes, sorts)
    piece, part = _expand(class_of[at], classes.slots, parts)
    coin = at[piece]
    worth = np.zeros((len(piece), _WIDTH), dtype=np.int64)
    if len(piece):
        worth = np.array(sorts.worths, dtype=np.int64)[part_sort[part], look[coin]]
        worth[:, _PLAIN] = _plain(sorts, offers)[part_sort[part], kind[coin]]
    rows = Edges(part, piece, number[coin], worth)
    rows = rows.rows(_best_of(part, rows, sizes[class_of[coin]]))  # a part is of one class
    row, slot = _expand(rows.slot, classes.slots, part_slots)
    rows = rows.rows(row)
    return class_of[at][rows.piece], Edges(slot, rows.piece, rows.number, rows.worth)


def _classes_of(offers: Offers, now: Standing, sorts: _Sorts, classes: _Classes) -> Ints:
    """For each loose coin the number of the set of slots it may go into."""
    if not len(offers.number):
        return np.zeros(0, dtype=np.int64)
    manners: dict[object, int] = {}
    manner_of = []
    of_manner: list[int] = []
    for look, coin in enumerate(offers.looks.coins):
        said = (coin.grade is not None, tuple(worths[look].sound for worths in sorts.worths))
        manner_of.append(manners.setdefault(said, len(manners)))
        if manner_of[-1] == len(of_manner):
            of_manner.append(look)
    manner = np.array(manner_of, dtype=np.int64)[offers.look_of]
    code = offers.kind_of * len(manners) + manner
    numbers = np.full(len(offers.kinds) * len(manners), -1, dtype=np.int64)
    graded = now.graded
    codes = np.flatnonzero(np.bincount(code))
    # Most kinds fit one slot, and such are looked at together.
    has_one = np.array([len(fits) == 1 for fits in offers.fits])[codes // len(manners)]
    ones, rest = codes[has_one], codes[~has_one]
    if len(ones):
        numbers[ones] = _of_one_slot(offers, now, sorts, ones, np.array(of_manner))
    whole: dict[int, int] = {}  # by kind: the class of those that nothing bars
    for one in rest.tolist():
        kind, said_by = divmod(one, len(manners))
        number = whole.get(kind)
        if number is None:
            fits, look = offers.fits[kind], of_manner[said_by]
            barring = [at for at in fits if graded[at] is not None]
            if barring:
                stand_in = offers.looks.coins[look]
                fits = tuple(
                    at
                    for at in fits
                    if not must_compare(graded[at], stand_in)
                    or not sorts.worths[sorts.of_slot[at]][look].sound
                )
            number = classes.number(fits)
            if not barring:
                whole[kind] = number
        numbers[one] = number
    class_of: Ints = numbers[code]
    return class_of


def _of_one_slot(
    offers: Offers, now: Standing, sorts: _Sorts, codes: Ints, of_manner: Ints
) -> Ints:
    """For kinds that fit one slot, each with a manner of coin: that slot, -1 where it is barred."""
    first = np.array([fits[0] for fits in offers.fits], dtype=np.int64)
    slot, look = first[codes // len(of_manner)], of_manner[codes % len(of_manner)]
    held = {None: -1, False: 0, True: 1}
    graded = np.array([held[one] for one in now.graded], dtype=np.int64)[slot]
    is_graded = np.array([coin.grade is not None for coin in offers.looks.coins])[look]
    sound = np.array([[worth.sound for worth in worths] for worths in sorts.worths]) > 0
    sort = np.array(sorts.of_slot, dtype=np.int64)[slot]
    is_barred = (graded >= 0) & (graded != is_graded) & sound[sort, look]
    return np.where(is_barred, -1, slot)


def _parts(classes: _Classes, sorts: _Sorts) -> tuple[list[list[int]], list[list[int]], Ints]:
    """The parts of each class, the slots of each part, the sort of each part.

    The first two without the classes of one slot, which are each one part of that slot.
    """
    parts: list[list[int]] = []
    part_slots: list[list[int]] = []
    part_sort = list(sorts.of_slot)
    for places in classes.places[classes.slots :]:
        own: dict[int, list[int]] = {}
        for at in places:
            own.setdefault(sorts.of_slot[at], []).append(at)
        parts.append(list(range(len(part_sort), len(part_sort) + len(own))))
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
    rows: list[int] = []  # one after another
    piece = first_piece
    for single in singles:
        number = classes.number(tuple(sorted(single.worths)))
        for _ in range(min(single.pieces, len(single.worths))):
            for at, worth in single.worths.items():
                rows += (number, at, piece, single.coin.id, *worth)
            piece += 1
    table = np.array(rows, dtype=np.int64).reshape(-1, 4 + _WIDTH)
    return table[:, 0], Edges(table[:, 1], table[:, 2], table[:, 3], table[:, 4:])


def groups(found: Edges) -> tuple[Edges, list[Edges]]:
    """What is decided already, and the groups that hang together and are not.

    A group is decided where every slot can have the coin that is best for it.
    """
    if not len(found):
        return found, []
    _, piece = np.unique(found.piece, return_inverse=True)
    slots = int(found.slot.max()) + 1
    join = _joined if len(found) <= _FEW else _joined_by_library
    label = join(found.slot, piece, slots)[found.slot]
    best = found.best()
    contested = np.bincount(piece[best])[piece[best]] > 1
    is_open = np.zeros(int(label.max()) + 1, dtype=bool)  # by component
    is_open[label[best[contested]]] = True
    rest = np.flatnonzero(is_open[label])
    rest = rest[np.argsort(label[rest], kind="stable")]
    return found.rows(best[~is_open[label[best]]]), list(_runs(found, rest, label[rest]))


def _joined(slot: Ints, piece: Ints, slots: int) -> Ints:
    """For each of so many slots the number of the component it is in; the edges run alike."""
    parent = list(range(slots))

    def root(node: int) -> int:
        while parent[node] != node:
            parent[node] = node = parent[parent[node]]
        return node

    first: dict[int, int] = {}
    for at, one in zip(slot.tolist(), piece.tolist(), strict=True):
        other = first.setdefault(one, at)
        if other != at:
            parent[root(at)] = root(other)
    return np.array([root(node) for node in range(slots)], dtype=np.int64)


def _joined_by_library(slot: Ints, piece: Ints, slots: int) -> Ints:
    """As `_joined`; for few edges getting there takes longer than the work."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    ones = np.ones(len(slot), dtype=np.int8)
    size = slots + int(piece.max()) + 1
    _, labels = connected_components(coo_array((ones, (slot, slots + piece)), (size, size)))
    return np.asarray(labels, dtype=np.int64)[:slots]


def _runs(found: Edges, rows: Ints, label: Ints) -> Iterator[Edges]:
    ends = np.flatnonzero(np.diff(label, append=-1)) + 1
    for start, end in zip([0, *ends.tolist()], ends.tolist(), strict=False):
        yield found.rows(rows[start:end])
