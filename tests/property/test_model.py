"""What is always true of descriptions, fits, grades, targets, states and arrangements."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from core.arrange.grid import Column, GridSlot, arrange
from core.model.album import Target, parse_target
from core.model.arrangement import Arrangement, ArrangementKind, parse_arrangement
from core.model.coin import Coin, CoinId, Finding, Problem
from core.model.fit import Fit, fit, improves, meets_target, needs_comparing, open_facets
from core.model.grade import SCALE, STRIKE_WORDS, WORDS, Colour, Grade, parse_grade
from core.model.issue import Description, Issue, Series, SeriesId
from core.model.state import SlotFacts, SlotState, fill_level, slot_state
from tests.builders import a_coin, a_slot, all_series, cents

POINTS = sorted(SCALE)
MS = WORDS["MS"]


@st.composite
def grades(draw) -> Grade:
    """Any grade that can be written: a step, a word's span, a range, or a proof number."""
    low = draw(st.sampled_from(POINTS))
    high = draw(st.one_of(st.just(low), st.sampled_from([p for p in POINTS if p >= low])))
    return Grade(
        low,
        high,
        draw(st.booleans()),
        draw(st.booleans()),
        draw(st.booleans()),
        draw(st.none() | st.sampled_from(Colour)),
        tuple(sorted(draw(st.sets(st.sampled_from(STRIKE_WORDS), max_size=3)))),
    )


@given(grades())
def test_a_grade_reads_back_from_its_text(grade) -> None:
    assert parse_grade(grade.text) == grade
    assert parse_grade(grade.text.lower()) == grade


targets = st.builds(
    Target,
    st.none() | st.sampled_from(POINTS),
    st.just(False),
    st.none() | st.sampled_from(Colour),
    st.sets(st.sampled_from(STRIKE_WORDS), max_size=2).map(lambda s: tuple(sorted(s))),
    st.booleans(),
) | st.builds(Target, st.sampled_from([p for p in POINTS if p >= 60]), st.just(True))


@given(targets)
def test_a_target_reads_back_from_its_text(target) -> None:
    assert parse_target(target.text) == target


@given(targets, grades(), st.booleans())
def test_a_sound_coin_of_a_target_meets_it_and_a_problem_never_helps(target, grade, bad) -> None:
    if target.is_met_by(grade, has_problem=True):
        assert target.is_met_by(grade, has_problem=False)
    exact = Grade(
        target.least or 1, 70, target.is_proof, colour=target.colour,
        strike_words=target.strike_words,
    )  # fmt: skip
    assert target.is_met_by(exact, has_problem=bad and target.allows_problems)


arrangements = st.builds(
    Arrangement, st.just(ArrangementKind.RUNNING), st.integers(1, 60), st.integers(1, 60)
) | st.builds(
    Arrangement,
    st.just(ArrangementKind.YEARS_BY_MINTS),
    rows_per_leaf=st.none() | st.integers(1, 60),
)


@given(arrangements)
def test_an_arrangement_reads_back_from_its_text(arrangement) -> None:
    assert parse_arrangement(arrangement.text) == arrangement


words = st.text(st.sampled_from("ab;|=%0123 –昭"), max_size=6)


@given(st.dictionaries(words.filter(bool), st.lists(words, max_size=3), max_size=4))
def test_a_description_reads_back_from_its_key(facets) -> None:
    description = Description.of(SeriesId("a-series"), facets)
    assert Description.from_key(description.key) == description


@given(
    st.dictionaries(words.filter(bool), st.lists(words, max_size=2), max_size=3),
    st.dictionaries(words.filter(bool), st.lists(words, max_size=2), max_size=3),
)
def test_different_descriptions_have_different_keys(one, two) -> None:
    first, second = (Description.of(SeriesId("a"), facets) for facets in (one, two))
    assert (first.key == second.key) == (first == second)


# What a coin may still be, and what fits


@st.composite
def described(draw, series: Series) -> Description:
    """A description of a coin of this series, often possible, sometimes not."""
    names = ["date", "mint", "mark", "design", "composition", "strike", "release", "date size"]
    facets = {}
    for name in draw(st.sets(st.sampled_from(names), max_size=4)):
        values = sorted({v for i in series.issues if (v := i.value(name)) is not None})
        if values:
            facets[name] = draw(st.lists(st.sampled_from(values), min_size=1, max_size=4))
    return Description.of(series.id, facets)


@st.composite
def of_a_coin(draw, series: Series) -> Description:
    """A description that some issue meets: values of one issue, with some more beside them."""
    issue = draw(st.sampled_from(series.issues))
    description = draw(described(series))
    facets = {
        name: [*values, value]
        for name, values in description.facets
        if (value := issue.value(name)) is not None
    }
    return Description.of(series.id, facets)


def agrees(issue: Issue, description: Description) -> bool:
    return all(issue.value(name) in values for name, values in description.facets)


def issues_of(series: Series, description: Description) -> set[int]:
    """The definition, without masks: the issues that agree with every facet."""
    return {i.number for i in series.issues if agrees(i, description)}


any_series = st.sampled_from(all_series())


@given(st.data(), any_series)
def test_masks_say_what_the_definition_says(data, series) -> None:
    description = data.draw(described(series))
    mask = series.may_be(description)
    assert {i.number for i in series.issues_of(mask)} == issues_of(series, description)


@given(st.data(), any_series)
def test_fit_is_the_subset_test(data, series) -> None:
    coin = a_coin(description=data.draw(described(series) | of_a_coin(series)))
    slot = a_slot(accepts=data.draw(described(series) | of_a_coin(series)))
    may_be = issues_of(series, coin.description)
    accepted = issues_of(series, slot.accepts)
    if may_be and may_be <= accepted:
        expected = Fit.FITS
    elif may_be & accepted:
        expected = Fit.MAY_FIT
    else:
        expected = Fit.DOES_NOT_FIT
    assert fit(series, slot, coin) is expected
    if expected is not Fit.MAY_FIT:
        assert open_facets(series, slot, coin) == ()


@given(st.data(), any_series)
def test_a_description_that_fits_still_fits_when_more_is_known(data, series) -> None:
    description = data.draw(of_a_coin(series))
    slot = a_slot(accepts=data.draw(of_a_coin(series)))
    issue = data.draw(st.sampled_from(series.matching(description)))
    name = data.draw(st.sampled_from(["date", "mint", "mark", "design", "composition", "strike"]))
    narrower = description.with_facet(name, issue.value(name) or "")
    before = fit(series, slot, a_coin(description=description))
    after = fit(series, slot, a_coin(description=narrower))
    if before is not Fit.MAY_FIT:
        assert after is before
    wider = description.with_facet(name, ())
    if fit(series, slot, a_coin(description=wider)) is Fit.FITS:
        assert before is Fit.FITS


@given(st.data(), any_series)
def test_open_facets_settle_the_fit(data, series) -> None:
    coin = a_coin(description=data.draw(of_a_coin(series)))
    slot = a_slot(accepts=data.draw(of_a_coin(series)))
    if fit(series, slot, coin) is not Fit.MAY_FIT:
        return
    names = open_facets(series, slot, coin)
    inside = issues_of(series, slot.accepts)
    for issue in series.matching(coin.description):
        settled = coin.description
        for name in names:
            if (value := issue.value(name)) is not None:
                settled = settled.with_facet(name, value)
            else:  # "offers no such choice" cannot be described: nothing to learn from this one
                return
        wanted = Fit.FITS if issue.number in inside else Fit.DOES_NOT_FIT
        assert fit(series, slot, a_coin(description=settled)) is wanted


@given(st.data(), any_series)
def test_facts_against_are_as_few_as_can_be_and_enough(data, series) -> None:
    description = data.draw(described(series))
    bad = series.facts_against(description)
    assert bool(bad) == (not issues_of(series, description))
    if bad:
        only = Description(series.id, tuple(f for f in description.facets if f[0] in bad))
        assert not issues_of(series, only)
        for name in bad:
            assert issues_of(series, only.with_facet(name, ()))


@given(st.data(), any_series, st.sampled_from(Finding))
def test_a_coin_that_is_not_genuine_fits_nothing(data, series, finding) -> None:
    description = data.draw(of_a_coin(series))
    coin = a_coin(description=description, is_genuine=False)
    assert fit(series, a_slot(accepts=description), coin) is Fit.DOES_NOT_FIT
    for variety in series.varieties:
        seen = coin.with_finding(variety.id, finding)
        slot = a_slot(accepts=description, variety=variety.id)
        assert fit(series, slot, seen) is Fit.DOES_NOT_FIT


# Improvements

coins = st.builds(
    Coin,
    st.just(CoinId(1)),
    st.sampled_from([a_coin().description, a_coin(mint=None).description]),
    st.none() | grades(),
    st.sampled_from([(), (Problem.CLEANED,)]),
    is_flagged=st.booleans(),
)
slots = st.builds(lambda target: a_slot(target=target.text if target else ""), st.none() | targets)


@given(slots, coins, coins)
def test_no_two_coins_improve_on_each_other(slot, one, two) -> None:
    assert not (improves(cents(), slot, one, two) and improves(cents(), slot, two, one))


@given(slots, coins)
def test_no_coin_improves_on_itself(slot, coin) -> None:
    assert not improves(cents(), slot, coin, coin)


@given(slots, coins, coins)
def test_an_improvement_never_loses_a_target_or_passes_the_eye_by(slot, held, spare) -> None:
    if not improves(cents(), slot, held, spare):
        return
    sure = fit(cents(), slot, held) is Fit.FITS and not held.is_flagged
    if sure:
        assert not needs_comparing(slot, held, spare)
        assert meets_target(slot, spare) or not meets_target(slot, held)


# States


@given(
    st.builds(
        SlotFacts, *[st.booleans() for _ in range(9)], st.none() | st.integers(1, 70),
        st.none() | st.integers(1, 70),
    )
)  # fmt: skip
def test_a_state_is_the_first_in_order_whose_condition_holds(facts) -> None:
    holds = {
        SlotState.NOT_STRUCK: not facts.is_struck,
        SlotState.SKIPPED: facts.is_skipped,
        SlotState.ON_ORDER: not facts.has_coin and facts.is_ordered,
        SlotState.GAP: not facts.has_coin,
        SlotState.TO_VERIFY: not facts.surely_fits or facts.is_flagged,
        SlotState.HOLE_FILLER: facts.has_barred_problem,
        SlotState.BELOW_TARGET: facts.has_target and not facts.meets_target,
        SlotState.FILLED: True,
    }
    assert slot_state(facts) is next(state for state in SlotState if holds[state])


@given(st.integers(1, 70), st.integers(2, 70))
def test_a_level_is_the_share_of_the_way_in_quarters(points, target) -> None:
    share = Fraction(points - 1, target - 1)
    quarters = int(share * 4) * 25  # rounded down
    assert fill_level(points, target) == min(75, max(25, quarters))


# Arrangement

grid_slots = st.lists(
    st.builds(
        GridSlot,
        st.integers(1900, 1915).map(str),
        st.sampled_from(["P", "D", "S", "O", ""]),
        st.sampled_from(["", "", "small date", "large date"]),
        st.just("label"),
    ),
    max_size=60,
).map(lambda slots: sorted(slots, key=lambda s: s.date))


@given(grid_slots, arrangements)
def test_every_slot_stands_in_exactly_one_cell(slots_, arrangement) -> None:
    columns = [Column(m, m) for m in "PDS"]
    leaves = arrange(slots_, arrangement, columns, lambda date, mint: mint != "S")
    rows = [row for leaf in leaves for row in leaf.rows]
    placed = [c.slot for row in rows for c in row.cells if c.slot is not None]
    assert sorted(placed) == list(range(len(slots_)))
    assert all(leaf.rows for leaf in leaves)
    for leaf in leaves:
        for row in leaf.rows:
            if leaf.heads:
                assert len(row.cells) == len(leaf.heads)
            for cell in row.cells:
                if cell.slot is not None and leaf.heads:
                    slot = slots_[cell.slot]
                    assert (row.head, row.differs) == (slot.date, slot.differs)


@given(st.integers(0, 400), st.integers(1, 20), st.integers(1, 12))
def test_running_leaves_are_full_but_the_last(count, per_row, rows) -> None:
    slots_ = [GridSlot(str(n), "", "", str(n)) for n in range(count)]
    shape = Arrangement(ArrangementKind.RUNNING, per_row, rows)
    leaves = arrange(slots_, shape, [], lambda date, mint: True)
    flat = [row.cells for leaf in leaves for row in leaf.rows]
    assert [c.slot for cells in flat for c in cells] == list(range(count))
    assert all(len(cells) == per_row for cells in flat[:-1])
    assert all(len(leaf.rows) == rows for leaf in leaves[:-1])


@given(grid_slots, st.none() | st.integers(1, 12))
def test_a_leaf_holds_no_more_rows_than_it_may_and_keeps_a_date_together(slots_, most) -> None:
    shape = Arrangement(rows_per_leaf=most)
    leaves = arrange(slots_, shape, [Column(m, m) for m in "PDS"], lambda date, mint: True)
    limit = most or 10
    homes: dict[str, list[int]] = {}
    for number, leaf in enumerate(leaves):
        assert len(leaf.rows) <= limit
        for row in leaf.rows:
            homes.setdefault(row.head, []).append(number)
    for numbers in homes.values():
        if len(numbers) <= limit and most:
            assert len(set(numbers)) == 1
