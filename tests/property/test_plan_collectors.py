"""Whatever a plan asks for, its slots take each issue once, and switching keeps what stays."""

from collections import Counter
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from core.app.album_edit import EditChoice, plan_edit, present_plan
from core.app.album_view import album_view
from core.catalogue.load import library_ids, load_series
from core.errors import Refused
from core.model.album import Album, AlbumId, SlotId
from core.model.arrangement import Arrangement
from core.model.coin import Coin, CoinId
from core.model.fit import Fit, fit
from core.model.issue import Description, Facet, Release, Series, Strike
from core.model.plan_album import ANY_MINT, AlbumPlan, Varieties, plan_slots

SERIES = [load_series(i) for i in library_ids() if load_series(i).has_collectors_issues]


@st.composite
def series_and_plans(draw: st.DrawFn) -> tuple[Series, AlbumPlan]:
    series = draw(st.sampled_from(SERIES))
    first, last = series.dates[0][1], series.dates[-1][1]
    start = draw(st.integers(first, last))
    years = draw(st.sampled_from([None, (start, min(last, start + draw(st.integers(0, 20))))]))
    some = st.lists(st.sampled_from([m.id for m in series.mints]), min_size=1, unique=True)
    mints = draw(st.one_of(st.sampled_from([(), ANY_MINT]), some.map(tuple)))
    varieties = draw(st.sampled_from([*Varieties]))
    return series, AlbumPlan(years, mints, varieties, with_collectors=draw(st.booleans()))


def as_planned(series: Series, plan: AlbumPlan) -> set[int]:
    """The issues that the plan's words mean, told anew."""
    first, last = plan.years or (0, 9999)
    kinds = [Release.BANKS, *([Release.COLLECTORS] if plan.with_collectors else [])]
    return {
        issue.number
        for issue in series.issues
        if issue.strike is Strike.CIRCULATION
        and issue.release in kinds
        and first <= issue.year <= last
        and (plan.mints in ((), ANY_MINT) or issue.mint in plan.mints)
    }


@given(series_and_plans())
@settings(max_examples=60, deadline=None)
def test_the_slots_of_a_plan_are_filled_by_exactly_its_issues(drawn) -> None:
    series, plan = drawn
    meant = as_planned(series, plan)
    try:
        slots = plan_slots(series, replace(plan, varieties=Varieties.NONE))
    except Refused:
        assert not meant
        return
    filled: Counter[int] = Counter()
    for issue in series.issues:
        facets = {f.value: issue.value(f) or "" for f in Facet} | dict(issue.choices)
        coin = Coin(CoinId(0), Description.of(series.id, facets))
        for slot in slots:
            if fit(series, slot, coin) is Fit.FITS:
                filled[issue.number] += 1
    assert filled == Counter(meant)
    assert len({slot.label for slot in slots}) == len(slots)


@given(series_and_plans())
@settings(max_examples=40, deadline=None)
def test_switching_adds_or_drops_their_slots_and_keeps_all_others(drawn) -> None:
    series, plan = drawn
    try:
        before = [
            replace(slot, id=SlotId(at)) for at, slot in enumerate(plan_slots(series, plan), 1)
        ]
        other = replace(plan, with_collectors=not plan.with_collectors)
        wanted = plan_slots(series, other)
    except Refused:
        return
    view = album_view(Album(AlbumId(1), "An album", series.id, 0), series, before, {}, {}, None)
    edit = plan_edit(view, EditChoice("An album", "", other, Arrangement()), plan)
    assert [s.accepts for s in edit.slots] == [s.accepts for s in wanted]
    assert len(edit.kept) + len(edit.added) == len(edit.slots)
    assert len(edit.kept) + len(edit.dropped) == len(before)
    if plan.mints != ANY_MINT:
        least, most = (
            (before, edit.slots) if other.with_collectors else (edit.slots, before)
        )  # fmt: skip
        assert len(edit.kept) == len(least)
        extra = len(most) - len(least)
        assert (len(edit.added), len(edit.dropped)) == (
            (extra, 0) if other.with_collectors else (0, extra)
        )
        changed = edit.added or edit.dropped
        for slot in changed:
            assert all(series.is_for_collectors(i) for i in series.matching(slot.accepts))


@given(series_and_plans())
@settings(max_examples=30, deadline=None)
def test_the_plan_of_an_album_is_found_again(drawn) -> None:
    series, plan = drawn
    try:
        slots = plan_slots(series, plan)
    except Refused:
        return
    again = plan_slots(series, present_plan(series, slots))
    assert [s.accepts for s in again] == [s.accepts for s in slots]
