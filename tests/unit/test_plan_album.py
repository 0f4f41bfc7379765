from collections import Counter
from dataclasses import replace

import pytest

from core.errors import Refused
from core.model.album import Target, Wish
from core.model.arrangement import ShowP
from core.model.issue import Mint, RollOdds, Sign
from core.model.plan_album import (
    ANY_MINT,
    AlbumPlan,
    Varieties,
    numbered,
    plan_slots,
    regular_issues,
)
from tests.builders import (
    DDO_1972_1,
    RPM_1944,
    STEEL_1944,
    WIDE_AM_1998,
    all_series,
    cents,
    dimes,
    nickels,
    quarters,
    tokens,
)

WHOLE = AlbumPlan()


def labels(series, plan=WHOLE, wish=None) -> list[str]:
    return [s.label for s in plan_slots(series, plan) if wish in (None, s.wish)]


def of(labels_, date) -> list[str]:
    return [x for x in labels_ if x.startswith(date)]


def test_by_default_a_slot_for_every_date_mint_and_design() -> None:
    got = labels(cents())
    assert of(got, "1944") == ["1944", "1944-D", "1944-S"]
    assert of(got, "1960") == ["1960", "1960-D"]
    assert of(got, "1970") == ["1970", "1970-D", "1970-S"]
    assert of(got, "1982") == ["1982", "1982-D"]
    assert of(got, "1909") == [
        "1909 Wheat ears, with VDB", "1909-S Wheat ears, with VDB",
        "1909 Wheat ears", "1909-S Wheat ears",
    ]  # fmt: skip
    assert of(labels(nickels()), "1942") == ["1942", "1942-D", "1942-S"]


@pytest.mark.parametrize("series", [*all_series(), tokens()], ids=lambda s: s.id)
@pytest.mark.parametrize("plan", [AlbumPlan(), AlbumPlan(mints=ANY_MINT)], ids=["mints", "any"])
def test_regular_slots_share_out_every_regular_issue_once(series, plan) -> None:
    masks = [series.may_be(s.accepts) for s in plan_slots(series, plan)]
    counts = Counter(i.number for mask in masks for i in series.issues_of(mask))
    assert counts == Counter(i.number for i in regular_issues(series, plan))
    assert set(counts.values()) == {1}


def test_slots_accept_circulation_strikes_released_to_banks_only() -> None:
    slot = next(s for s in plan_slots(cents(), AlbumPlan()) if s.label == "1970-S")
    assert {i.strike.value for i in cents().matching(slot.accepts)} == {"circulation"}
    assert "1776-1976-S" not in labels(quarters())


def test_years_limit_the_album_by_the_gregorian_year() -> None:
    assert labels(quarters(), AlbumPlan(years=(1965, 1976))) == [
        "1965", "1966", "1967", "1974", "1974-D", "1776-1976", "1776-1976-D",
    ]  # fmt: skip
    assert labels(tokens(), AlbumPlan(years=(1902, 1902))) == ["Tide 10", "Tide 10-K"]


def test_mints_limit_the_album() -> None:
    assert labels(cents(), AlbumPlan(years=(1941, 1944), mints=("S", "D"))) == [
        "1941-D", "1941-S", "1943-D", "1943-S", "1944-D", "1944-S",
    ]  # fmt: skip


def test_any_mint_gives_one_slot_a_date_and_design() -> None:
    got = labels(cents(), AlbumPlan(mints=ANY_MINT))
    assert of(got, "1944") == ["1944 any mint"]
    assert of(got, "1965") == ["1965"]
    assert of(got, "1922") == ["1922-D"]
    assert of(labels(nickels(), AlbumPlan(mints=ANY_MINT)), "2005") == [
        "2005 any mint American bison", "2005 any mint Ocean in view",
    ]  # fmt: skip


def test_main_adds_optional_slots_for_sizes_metals_and_findable_varieties() -> None:
    plan = AlbumPlan(varieties=Varieties.MAIN)
    extra = labels(cents(), plan, Wish.OPTIONAL)
    assert labels(cents(), plan, Wish.WANTED) == labels(cents())
    assert of(extra, "1960") == [
        "1960 large date", "1960 small date", "1960-D large date", "1960-D small date",
    ]  # fmt: skip
    assert len(of(extra, "1982-D")) == 3  # large brass, and both sizes in zinc
    assert len(of(extra, "1982 ")) == 4
    assert of(extra, "1998") == ["1998 wide AM"]
    assert of(extra, "1944") == ["1944-D D over D"]
    assert of(labels(nickels(), plan, Wish.OPTIONAL), "1942") == [
        "1942 75 % copper, 25 % nickel", "1942-P 56 % copper, 35 % silver, 9 % manganese",
    ]  # fmt: skip


def test_none_adds_none() -> None:
    assert labels(cents(), wish=Wish.OPTIONAL) == []


def test_all_adds_the_rare_ones_too() -> None:
    main = {s.variety for s in plan_slots(cents(), AlbumPlan(varieties=Varieties.MAIN))}
    every = {s.variety for s in plan_slots(cents(), AlbumPlan(varieties=Varieties.ALL))}
    assert {RPM_1944, DDO_1972_1, WIDE_AM_1998} <= main
    assert STEEL_1944 not in main
    assert STEEL_1944 in every


def test_a_date_size_that_searchers_never_find_is_left_to_all() -> None:
    rare = Sign("date size", "small", "date", "tops", RollOdds.VERY_RARE, (("date", ("1960",)),))
    series = replace(cents(), signs=(rare,), _masks={})
    main = of(labels(series, AlbumPlan(varieties=Varieties.MAIN), Wish.OPTIONAL), "1960")
    every = of(labels(series, AlbumPlan(varieties=Varieties.ALL), Wish.OPTIONAL), "1960")
    assert main == ["1960 large date", "1960-D large date"]
    assert len(every) == 4


def test_extra_slots_follow_their_date() -> None:
    got = labels(cents(), AlbumPlan(years=(1958, 1962), varieties=Varieties.MAIN))
    assert got[:8] == [
        "1958", "1958-D", "1960", "1960-D",
        "1960 large date", "1960 small date", "1960-D large date", "1960-D small date",
    ]  # fmt: skip


def test_a_mint_without_a_letter_for_id_keeps_to_its_own_coins() -> None:
    series = dimes()
    nameless = replace(
        series,
        mints=(Mint("", "The only mint", ""), *series.mints[1:]),
        issues=tuple(replace(i, mint="" if i.mint == "P" else i.mint) for i in series.issues),
        _masks={},
    )
    slots = plan_slots(nameless, AlbumPlan(years=(1964, 1964)))
    assert [[i.mint for i in nameless.matching(s.accepts)] for s in slots] == [[""], ["D"]]


def test_targets_and_letters_go_into_every_slot() -> None:
    plan = AlbumPlan(target=Target(20), show_p=ShowP.ALWAYS, years=(1944, 1944))
    slots = plan_slots(cents(), plan)
    assert [s.label for s in slots] == ["1944-P", "1944-D", "1944-S"]
    assert {s.target for s in slots} == {Target(20)}


def test_labels_are_unique_and_positions_count_from_nought() -> None:
    for series in all_series():
        slots = plan_slots(series, AlbumPlan(varieties=Varieties.ALL))
        assert len({s.label for s in slots}) == len(slots)
        assert [s.position for s in slots] == list(range(len(slots)))


def test_equal_labels_are_numbered() -> None:
    slot = plan_slots(cents(), AlbumPlan())[0]
    got = [s.label for s in numbered([replace(slot, label="a"), replace(slot, label="a")])]
    assert got == ["a", "a (2)"]


def test_a_plan_that_holds_nothing_is_refused_with_the_series_span() -> None:
    with pytest.raises(Refused, match="runs from 1909 to 2017"):
        plan_slots(cents(), AlbumPlan(years=(1890, 1900)))
    with pytest.raises(Refused):
        plan_slots(cents(), AlbumPlan(years=(1965, 1967), mints=("S",)))
