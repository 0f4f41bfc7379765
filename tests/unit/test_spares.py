"""Spares by the issues they may be: the same answers as walking every coin."""

from collections import Counter
from collections.abc import Collection
from dataclasses import replace
from functools import partial
from itertools import permutations, product

from core.app.spares import SpareIndex, rank
from core.model.album import Target
from core.model.coin import Coin, Problem
from core.model.fit import Fit, fit, improves
from core.model.issue import Description
from tests.builders import DDO_1955, a_coin, a_slot, cents

SPARES = [
    a_coin("1955", "P", "vf20", number=1),
    a_coin("1955", "P", "g4", number=2),
    a_coin("1955", "D", number=3),
    a_coin("1955", None, "f12", number=4),
    a_coin(None, "S", number=5),
    a_coin("1955", "P", "xf40", number=6, problems=(Problem.BENT,)),
    a_coin("1943", "P", "xf40", number=7, is_flagged=True),
    a_coin("1943", "P", "xf40", number=8, is_genuine=False),
    a_coin("1982", "D", number=9),
    a_coin("1955", "P", "vf20", number=10),
]
SLOTS = [
    a_slot("1955", "P", "vf20", number=1),
    a_slot("1955", "D", number=2),
    a_slot("1955", None, "f12", number=3),
    a_slot("1943", "P", number=4),
    a_slot("1955", "P", number=5, variety=DDO_1955),
    a_slot(None, None, number=6, facets={"design": "wheat"}),
]


def test_what_fits_a_slot_is_what_a_walk_over_every_spare_finds() -> None:
    index = SpareIndex(cents(), SPARES)
    for slot in SLOTS:
        walked = [c for c in SPARES if fit(cents(), slot, c) is Fit.FITS]
        assert index.fitting(slot) == sorted(walked, key=partial(rank, slot))


class Source:
    """Gives the spares of descriptions, and keeps what it was asked for."""

    def __init__(self) -> None:
        self.asked: list[Description] = []
        self.counted: list[Description] = []

    def coins(self, descriptions: Collection[Description]) -> list[Coin]:
        self.asked += descriptions
        return [c for c in SPARES if c.description in descriptions]

    def counts(self, descriptions: Collection[Description]) -> Counter[Description]:
        self.counted += descriptions
        return Counter(c.description for c in SPARES if c.description in descriptions)


def test_an_index_with_a_source_says_what_a_whole_one_does_and_reads_nothing_twice() -> None:
    whole, described = SpareIndex(cents(), SPARES), [c.description for c in SPARES]
    for order in permutations(range(4)):
        source = Source()
        index = SpareIndex(cents(), (), described, source)
        for turn in order:
            match turn:
                case 0:
                    assert [index.fitting(s) for s in SLOTS] == [whole.fitting(s) for s in SLOTS]
                case 1:
                    masks = [cents().may_be(d) for d in described]
                    assert [index.held(m) for m in masks] == [whole.held(m) for m in masks]
                case 2:
                    gone = SPARES[3].description
                    for one in (index, whole):
                        one.renew([gone], [replace(SPARES[3], quantity=2)])
                case 3:
                    index.read_some(1)
        assert sorted(map(repr, index.coins())) == sorted(map(repr, whole.coins()))
        whole.renew([SPARES[3].description], [SPARES[3]])
        assert len(source.asked) == len(set(source.asked)) <= len(set(described))
        assert len(source.counted) == len(set(source.counted))


def test_only_the_issues_that_are_asked_for_are_read() -> None:
    source = Source()
    index = SpareIndex(cents(), (), [c.description for c in SPARES], source)
    assert [c.id for c in index.fitting(SLOTS[1])] == [3]
    assert set(source.asked) == {SPARES[2].description}
    assert index.held(cents().may_be(SPARES[0].description)) == 4
    assert set(source.counted) == {SPARES[0].description}
    while not index.read_some(1):
        pass
    assert set(source.asked) == {c.description for c in SPARES}


def test_a_better_spare_is_found_where_a_walk_finds_one() -> None:
    index = SpareIndex(cents(), SPARES)
    for slot, held in product(SLOTS, [None, *SPARES]):
        walked = any(improves(cents(), slot, held, c) for c in SPARES)
        assert index.has_better(slot, held) == walked


def test_the_best_comes_first_and_ties_go_to_the_lower_number() -> None:
    index = SpareIndex(cents(), SPARES)
    assert [c.id for c in index.fitting(SLOTS[0])] == [1, 10, 2, 6]


def test_a_details_grade_comes_after_a_sound_coin_unless_the_slot_allows_problems() -> None:
    details = a_coin("1955", "P", "xf40 details", number=1)
    sound = a_coin("1955", "P", "f12", number=2)
    index = SpareIndex(cents(), [details, sound])
    assert [c.id for c in index.fitting(a_slot("1955", "P", "au50"))] == [2, 1]
    lenient = replace(a_slot("1955", "P"), target=Target(50, allows_problems=True))
    assert [c.id for c in index.fitting(lenient)] == [1, 2]


def test_renewing_some_kinds_leaves_the_others() -> None:
    index = SpareIndex(cents(), SPARES)
    gone, new = SPARES[0].description, a_coin("1958", "P", "ms60", number=20)
    index.renew([gone, new.description], [new, SPARES[1]])
    assert [c.id for c in index.fitting(SLOTS[0])] == [2]
    assert index.has_better(a_slot("1958", "P"), None)
    assert {c.id for c in index.coins()} == {2, 3, 4, 5, 7, 8, 9, 20}


def test_a_coin_that_can_be_nothing_fits_nothing() -> None:
    nothing = a_coin("1900", "P")
    index = SpareIndex(cents(), [nothing])
    assert not any(index.fitting(slot) for slot in SLOTS)
    assert list(index.coins()) == [nothing]
