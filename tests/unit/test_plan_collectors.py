"""Albums that also hold circulation strikes that were sold to collectors."""

from collections import Counter
from dataclasses import replace

import pytest

from core.app.album_edit import present_plan
from core.app.album_view import lay_out
from core.app.slot_card import accepts_text
from core.catalogue.load import library_ids, load_series
from core.errors import Refused
from core.lookup.parse import parse_entry
from core.model.arrangement import Arrangement
from core.model.fit import Fit, fit
from core.model.issue import Release, SeriesId, Strike
from core.model.plan_album import ANY_MINT, AlbumPlan, Varieties, plan_slots

KENNEDY = load_series(SeriesId("us-half-kennedy"))
PARKS = load_series(SeriesId("us-quarter-national-parks"))
CENTS = load_series(SeriesId("us-cent-lincoln"))
BARBER = load_series(SeriesId("us-dime-barber"))
SMALL = load_series(SeriesId("us-dollar-small"))
BANKS, ALL = AlbumPlan(), AlbumPlan(with_collectors=True)
WITH = [load_series(i) for i in library_ids() if load_series(i).has_collectors_issues]


def labels(series, plan):
    return [slot.label for slot in plan_slots(series, plan)]


def the_slot(series, label, plan=ALL):
    return next(slot for slot in plan_slots(series, plan) if slot.label == label)


def test_the_halves_that_never_went_to_banks_get_plain_labels() -> None:
    """Common practice: 1970-D, 1987 and 2002 to 2020 were sold to collectors only."""
    more = [x for x in labels(KENNEDY, ALL) if x not in labels(KENNEDY, BANKS)]
    assert more[:5] == ["1970-D", "1776-1976-S", "1987-P", "1987-D", "2002-P"]
    assert more[-1] == "2020-D"
    assert len(more) == 4 + 2 * 19


def test_a_slot_says_that_its_issue_was_sold_to_collectors() -> None:
    slot = the_slot(KENNEDY, "1970-D")
    assert accepts_text(KENNEDY, slot) == "takes 1970-D, sold to collectors"
    coin = parse_entry("1970-D collectors", [KENNEDY]).coin
    assert fit(KENNEDY, slot, coin) is Fit.FITS
    proof = parse_entry("1970-S proof", [KENNEDY]).coin
    assert fit(KENNEDY, slot, proof) is Fit.DOES_NOT_FIT
    of_banks = the_slot(KENNEDY, "1971-D")
    assert accepts_text(KENNEDY, of_banks) == "takes 1971-D"


def test_a_quarter_of_the_parks_names_its_park() -> None:
    slot = the_slot(PARKS, "2012-S Denali")
    assert accepts_text(PARKS, slot) == "takes 2012-S Denali, sold to collectors"
    (issue,) = PARKS.matching(slot.accepts)
    assert (issue.mint, issue.strike, issue.release) == (
        "S", Strike.CIRCULATION, Release.COLLECTORS,
    )  # fmt: skip


def test_beside_a_bank_issue_of_its_kind_a_label_says_which_it_is() -> None:
    """Lincoln cents of 2025 came without the privy mark to banks, with it to collectors."""
    theirs = [f"2025{d} omega privy mark for collectors" for d in ("", "-D")]
    got = [x for x in labels(CENTS, ALL) if x.startswith(("2025", "2019-W"))]
    assert got == ["2019-W", "2025", "2025-D", *theirs]


def test_one_slot_a_date_takes_either() -> None:
    plan = AlbumPlan((2012, 2012), ANY_MINT, with_collectors=True)
    slot = plan_slots(PARKS, plan)[0]
    assert {i.release for i in PARKS.matching(slot.accepts)} == {*Release}
    assert {i.strike for i in PARKS.matching(slot.accepts)} == {Strike.CIRCULATION}
    assert accepts_text(PARKS, slot).endswith(", also one sold to collectors")
    assert labels(KENNEDY, replace(plan, years=(2005, 2005))) == ["2005 any mint"]


def test_the_mints_of_the_plan_hold_for_them_too() -> None:
    assert labels(KENNEDY, AlbumPlan(None, ("S",), with_collectors=True)) == ["1776-1976-S"]


def test_a_plan_without_them_says_that_they_are_left_out() -> None:
    with pytest.raises(Refused, match=r"none went to banks .* take in those sold to collectors"):
        plan_slots(KENNEDY, AlbumPlan((2005, 2008)))


def test_a_date_sold_to_collectors_is_not_called_not_struck() -> None:
    """24 dimes were struck at San Francisco in 1894; an album of bank issues leaves the place."""
    slots = plan_slots(BARBER, AlbumPlan((1893, 1895)))
    row = next(row for leaf in lay_out(BARBER, slots, Arrangement()) for row in leaf.rows
               if row.head == "1894")  # fmt: skip
    assert [cell.is_spacer for cell in row.cells if cell.slot is None] == [True]


@pytest.mark.parametrize("series", WITH, ids=lambda s: s.id)
@pytest.mark.parametrize("mints", [(), ANY_MINT], ids=["mints", "any"])
def test_every_circulation_strike_has_one_slot(series, mints) -> None:
    slots = plan_slots(series, AlbumPlan(mints=mints, with_collectors=True))
    masks = [series.may_be(slot.accepts) for slot in slots]
    counts = Counter(i.number for mask in masks for i in series.issues_of(mask))
    assert set(counts.values()) == {1}
    assert set(counts) == {i.number for i in series.issues if i.strike is Strike.CIRCULATION}
    assert len({slot.label for slot in slots}) == len(slots)
    assert not any("(2)" in slot.label for slot in slots)


@pytest.mark.parametrize("series", WITH, ids=lambda s: s.id)
@pytest.mark.parametrize("with_collectors", [False, True], ids=["banks", "all"])
@pytest.mark.parametrize("varieties", [*Varieties])
def test_a_whole_album_is_known_again(series, with_collectors, varieties) -> None:
    """Also that it is whole: an album of bank issues grows by the later years when switched."""
    plan = AlbumPlan(varieties=varieties, with_collectors=with_collectors)
    slots = plan_slots(series, plan)
    found = present_plan(series, slots)
    assert (found.years, found.mints, found.with_collectors) == (None, (), with_collectors)
    assert [s.accepts for s in plan_slots(series, found)] == [s.accepts for s in slots]


def test_no_series_that_went_to_collectors_alone_asks_for_the_switch() -> None:
    assert SMALL in WITH
    alone = load_series(SeriesId("us-dollar-innovation"))
    assert not alone.has_collectors_issues
    assert plan_slots(alone, ALL) == plan_slots(alone, BANKS)


def test_of_a_slot_for_any_mint_the_metal_is_named_where_mints_differ_in_it() -> None:
    """Bicentennial halves: clad to banks from two mints, silver to collectors from one."""
    plan = AlbumPlan((1976, 1976), ANY_MINT, Varieties.ALL, with_collectors=True)
    assert labels(KENNEDY, plan) == [
        "1776-1976 any mint", "1776-1976 any mint clad", "1776-1976-S",
    ]  # fmt: skip


def test_a_slot_that_asks_for_a_metal_names_it_where_another_was_sold_to_collectors() -> None:
    """1992: bronze for collectors, copper-plated steel to banks; the slot of both asks for none."""
    pence = load_series(SeriesId("uk-penny-decimal"))
    plan = AlbumPlan((1992, 1992), ANY_MINT, Varieties.ALL, with_collectors=True)
    assert labels(pence, plan) == [
        "1992", "1992 copper-plated steel", "1992 bronze for collectors",
    ]  # fmt: skip


def test_the_figure_of_a_strike_for_collectors_is_its_own() -> None:
    """As the shipped row of 1970-D has it; of the S quarters of the parks none is listed."""
    own = {(i.date, i.mint, i.strike): i.mintage for i in KENNEDY.issues}
    slot = the_slot(KENNEDY, "1970-D")
    figure = own["1970", "D", Strike.CIRCULATION]
    assert figure is not None
    assert KENNEDY.mintage_of(KENNEDY.may_be(slot.accepts)) == (figure, "")
    unknown = the_slot(PARKS, "2012-S Denali")
    assert PARKS.mintage_of(PARKS.may_be(unknown.accepts)) == (None, "")
