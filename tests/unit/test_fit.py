import pytest

from core.model.album import Wish
from core.model.coin import Finding, Problem
from core.model.fit import (
    Fit,
    fit,
    has_barred_problem,
    improves,
    meets_target,
    needs_comparing,
    open_facets,
    open_tags,
    slot_facts,
    state_and_level,
)
from core.model.issue import VarietyId
from core.model.state import SlotState
from tests.builders import (
    DDO_1955,
    DDO_1972_1,
    WIDE_AM_1998,
    a_coin,
    a_slot,
    cents,
    nickels,
)

CLEANED = (Problem.CLEANED,)


def state(slot, coin, is_ordered=False):
    return state_and_level(cents(), slot, coin, is_ordered)


@pytest.mark.parametrize(
    ("slot", "coin", "is_ordered", "expected"),
    [
        (a_slot(), None, False, SlotState.GAP),
        (a_slot(), None, True, SlotState.ON_ORDER),
        (a_slot(wish=Wish.SKIPPED), None, False, SlotState.SKIPPED),
        (a_slot(wish=Wish.SKIPPED), a_coin(), False, SlotState.SKIPPED),
        (a_slot(wish=Wish.OPTIONAL), None, False, SlotState.GAP),
        (a_slot(), a_coin(), False, SlotState.FILLED),
        (a_slot(), a_coin(), True, SlotState.FILLED),
        (a_slot(), a_coin(is_flagged=True), False, SlotState.TO_VERIFY),
        (a_slot(), a_coin(mint="D"), False, SlotState.TO_VERIFY),
        (a_slot(), a_coin(mint=None), False, SlotState.TO_VERIFY),
        (a_slot(), a_coin(is_genuine=False), False, SlotState.TO_VERIFY),
        (a_slot(), a_coin(problems=CLEANED), False, SlotState.HOLE_FILLER),
        (a_slot(), a_coin(grade="au details"), False, SlotState.HOLE_FILLER),
        (a_slot(target="g4 problems allowed"), a_coin(grade="g4", problems=CLEANED), False,
         SlotState.FILLED),
        (a_slot(target="vf20"), a_coin(grade="vf30", problems=CLEANED), False,
         SlotState.HOLE_FILLER),
        (a_slot(target="vf20"), a_coin(), False, SlotState.BELOW_TARGET),
        (a_slot(target="vf20"), a_coin(grade="f12"), False, SlotState.BELOW_TARGET),
        (a_slot(target="vf20"), a_coin(grade="vf20"), False, SlotState.FILLED),
        (a_slot(target="ms65 rd"), a_coin(grade="ms66 rb"), False, SlotState.BELOW_TARGET),
    ],
)  # fmt: skip
def test_a_slot_shows_what_is_in_it(slot, coin, is_ordered, expected) -> None:
    assert state(slot, coin, is_ordered)[0] is expected


def test_a_coin_below_its_target_shows_how_far_it_has_come() -> None:
    slot = a_slot(target="vf20")
    assert [state(slot, a_coin(grade=g))[1] for g in ("g4", "f12", "f15")] == [25, 50, 50]
    assert state(a_slot(target="ms63"), a_coin(grade="au50"))[1] == 75
    assert state(slot, a_coin())[1] == 25


def test_facts_carry_the_points_of_the_target() -> None:
    facts = slot_facts(cents(), a_slot(target="vf20"), a_coin(grade="f12"))
    assert (facts.points, facts.target_points, facts.meets_target) == (12, 20, False)


def test_coins_of_another_series_do_not_fit() -> None:
    other = a_coin("1943", "D", series=nickels())
    assert fit(cents(), a_slot("1943", "D"), other) is Fit.DOES_NOT_FIT


def test_a_variety_slot_takes_only_issues_the_variety_is_known_on() -> None:
    any_mint = a_slot("1955", None, variety=DDO_1955)
    assert fit(cents(), any_mint, a_coin("1955", "D")) is Fit.DOES_NOT_FIT
    assert fit(cents(), any_mint, a_coin("1955", "P")) is Fit.MAY_FIT
    seen = ((DDO_1955, Finding.CONFIRMED),)
    assert fit(cents(), any_mint, a_coin("1955", "P", varieties=seen)) is Fit.FITS


def test_a_slot_that_accepts_none_of_the_varietys_issues_takes_no_coin() -> None:
    slot = a_slot("1955", "D", variety=DDO_1955)
    assert fit(cents(), slot, a_coin("1955", None)) is Fit.DOES_NOT_FIT


def test_a_variety_the_series_does_not_list_is_still_required() -> None:
    slot = a_slot(variety=VarietyId("own find"))
    assert fit(cents(), slot, a_coin()) is Fit.MAY_FIT
    assert open_facets(cents(), slot, a_coin()) == ("own find",)
    seen = a_coin(varieties=((VarietyId("own find"), Finding.CONFIRMED),))
    assert fit(cents(), slot, seen) is Fit.FITS


def test_open_facets_are_nothing_where_the_fit_is_settled() -> None:
    assert open_facets(cents(), a_slot(), a_coin()) == ()
    assert open_facets(cents(), a_slot(), a_coin(mint="D")) == ()
    assert open_facets(cents(), a_slot(), a_coin(mint=None)) == ("mint",)
    assert open_facets(cents(), a_slot(), a_coin(None, "P")) == ("date",)


def test_two_facets_are_named_where_neither_alone_would_settle() -> None:
    facets = {"design": ("bison", "ocean-in-view")}
    coin = a_coin("2005", None, series=nickels(), facets=facets)
    slot = a_slot("2005", "P", series=nickels(), facets={"design": "bison"})
    assert open_facets(nickels(), slot, coin) == ("mint", "design")


@pytest.mark.parametrize(
    ("target", "grade", "problems", "barred"),
    [
        ("", "", (), False),
        ("", "", CLEANED, True),
        ("", "au details", (), True),
        ("vf20", "vf20", CLEANED, True),
        ("vf20 problems allowed", "vf20", CLEANED, False),
        ("problems allowed", "", CLEANED, False),
    ],
)
def test_a_problem_is_barred_unless_the_target_allows_it(target, grade, problems, barred) -> None:
    slot, coin = a_slot(target=target), a_coin(grade=grade, problems=problems)
    assert has_barred_problem(slot, coin) is barred


def test_without_a_target_any_sound_coin_meets_it() -> None:
    assert meets_target(a_slot(), a_coin())
    assert not meets_target(a_slot(), a_coin(problems=CLEANED))


@pytest.mark.parametrize(
    ("slot", "held", "spare", "better"),
    [
        # a gap
        (a_slot(), None, a_coin(), True),
        (a_slot(), None, a_coin(problems=CLEANED), True),
        (a_slot(), None, a_coin(mint=None), False),
        (a_slot(), None, a_coin(is_flagged=True), False),
        (a_slot(wish=Wish.SKIPPED), None, a_coin(), False),
        (a_slot(is_pinned=True), None, a_coin(), False),
        # a coin to verify counts as neither sound nor at target
        (a_slot(), a_coin(mint=None), a_coin(), True),
        (a_slot(), a_coin(grade="ms65", is_flagged=True), a_coin(), True),
        (a_slot(), a_coin(mint=None), a_coin(problems=CLEANED), False),
        # soundness before grade
        (a_slot(), a_coin(grade="ms65", problems=CLEANED), a_coin(grade="g4"), True),
        (a_slot(), a_coin(grade="ms65", problems=CLEANED), a_coin(), True),
        (a_slot(), a_coin(grade="g4"), a_coin(grade="ms65", problems=CLEANED), False),
        (a_slot(), a_coin(grade="g4", problems=CLEANED), a_coin(grade="f12", problems=CLEANED),
         True),
        # the target before points, points up to the target's
        (a_slot(target="vf20"), a_coin(grade="f12"), a_coin(grade="f15"), True),
        (a_slot(target="vf20"), a_coin(grade="f12"), a_coin(grade="f12"), False),
        (a_slot(target="vf20"), a_coin(grade="vf20"), a_coin(grade="ms65"), False),
        (a_slot(target="rd"), a_coin(grade="au50 rd"), a_coin(grade="ms65 bn"), False),
        (a_slot(target="vf20 rd"), a_coin(grade="ms65 bn"), a_coin(grade="vf20 rd"), True),
        # no target: more points
        (a_slot(), a_coin(grade="vf20"), a_coin(grade="ms65"), True),
        # compare by eye
        (a_slot(), a_coin(), a_coin(grade="ms65"), False),
        (a_slot(target="vf20"), a_coin(), a_coin(grade="vf20"), False),
        (a_slot(target="vf20"), a_coin(grade="f12"), a_coin(), False),
        (a_slot(), a_coin(), a_coin(), False),
    ],
)  # fmt: skip
def test_a_spare_improves_a_slot_by_the_aims_of_fill(slot, held, spare, better) -> None:
    assert improves(cents(), slot, held, spare) is better


@pytest.mark.parametrize(
    ("held", "spare", "by_eye"),
    [
        (a_coin(), a_coin(grade="vf20"), True),
        (a_coin(grade="vf20"), a_coin(), True),
        (a_coin(), a_coin(), False),
        (a_coin(grade="g4"), a_coin(grade="vf20"), False),
        (a_coin(problems=CLEANED), a_coin(grade="vf20"), False),
    ],
)
def test_the_eye_decides_between_a_graded_and_an_ungraded_sound_coin(held, spare, by_eye) -> None:
    assert needs_comparing(a_slot(), held, spare) is by_eye


def test_varieties_still_open_are_those_neither_seen_nor_ruled_out() -> None:
    series = cents()
    coin = a_coin("1972", "P", varieties=((DDO_1972_1, Finding.RULED_OUT),))
    mask = series.may_be(coin.description)
    assert open_tags(series, coin, mask) == ["doubled die obverse, die 2"]
    suspected = a_coin("1998", "P", varieties=((WIDE_AM_1998, Finding.SUSPECTED),))
    assert open_tags(series, suspected, series.may_be(suspected.description)) == ["wide AM"]
