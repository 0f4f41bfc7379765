"""Entry lines, whatever is typed, and every date and mint of the shipped series."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.catalogue.load import library_ids, load_series
from core.errors import BadEntry
from core.lookup.parse import parse_entry, readings
from core.model.fit import Fit, fit
from core.model.issue import Facet
from core.model.label import describe
from core.model.plan_album import AlbumPlan, Varieties, plan_slots, regular_issues
from tests.builders import a_description, a_slot, all_series, cents

WORDS = [
    "43",
    "44d",
    "1943",
    "1982",
    "09",
    "70s",
    "2005",
    "76",
    "1776-1976",
    "bicen",
    "?",
    "d",
    "s",
    "p",
    "44?",
    "44s?",
    "vf20",
    "vf",
    "xf",
    "20",
    "58",
    "au-58",
    "details",
    "rd",
    "ms65+",
    "fs",
    "proof",
    "pf65",
    "corroded",
    "bent",
    "zinc",
    "rot",
    "not",
    "genuine",
    "fake",
    "verify",
    "no",
    "date",
    "ddo",
    "ddo?",
    "-ddo",
    "wide",
    "am",
    "small",
    "large",
    "date",
    "die",
    "2",
    "3",
    "x",
    "3x",
    "3.11g",
    "2.5",
    "g",
    "5g",
    "copper",
    "silver",
    "steel",
    "wheat",
    "vdb",
    "bison",
    "cent",
    "dime",
    "nickel",
    "quarter",
    "lincoln",
    ">",
    "<",
    "=",
    "-",
    "--",
    "/",
    "to",
    "d/s",
    "3/2",
    "over",
    '"note"',
    "//",
    "collectors",
    "xyz",
    "🪙",
    "vf-",
    "-d",
    "denver",
    "san",
    "francisco",
    "any",
    "mint",
    "ocean",
    "in",
    "view",
]


@given(st.lists(st.sampled_from(WORDS), max_size=7).map(" ".join))
def test_any_words_are_read_or_refused_in_plain_words(text) -> None:
    try:
        found = readings(text, all_series())
    except BadEntry as bad:
        assert str(bad).strip().endswith((".", "?"))  # noqa: PT017  either outcome is right
        return
    by_id = {s.id: s for s in all_series()}
    for entry in found:
        assert by_id[entry.series].may_be(entry.coin.description)  # never an impossible coin
        assert entry.quantity >= 1


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused(text) -> None:
    try:
        assert readings(text, all_series())
    except BadEntry as bad:
        assert str(bad)  # noqa: PT017  either outcome is right


PARTS = [
    ["1943-D", "vf20", "corroded"],
    ["1982", "d", "3.11g", "scratched"],
    ["70s", "small date", "ms65+", "rd"],
    ["1955", "ddo", "cleaned", "2x"],
    ["1972", "ddo?", "verify", "xf40"],
    ["1909s", "vdb", "g4", "cent"],
    ["98", "wide am", "au details"],
    ["?", "s", "wheat", "fake"],
    ["1970-S", "proof", "pf66", "large date"],
]


@pytest.mark.parametrize("parts", PARTS, ids=" ".join)
def test_the_order_of_the_parts_does_not_matter(parts) -> None:
    wanted = parse_entry(" ".join(parts), [cents()])

    @given(st.permutations(parts), st.booleans())
    def check(order: list[str], is_upper: bool) -> None:
        text = " ".join(order)
        assert parse_entry(text.upper() if is_upper else text, [cents()]).coin == wanted.coin

    check()


@pytest.mark.parametrize("series_id", library_ids())
def test_every_regular_date_and_letter_of_a_shipped_series_reads_as_itself(series_id) -> None:
    series = load_series(series_id)
    for issue in regular_issues(series, AlbumPlan()):
        letter = issue.mark or issue.mint
        slot = a_slot(issue.date, issue.mint, series=series)
        for text in (f"{issue.date}-{letter}".rstrip("-"), f"{letter.lower()} {issue.date} vf20"):
            coin = parse_entry(text, [series]).coin
            assert coin.description == slot.accepts, text


@pytest.mark.parametrize("series_id", library_ids())
def test_a_date_alone_is_the_coin_without_a_letter_where_there_is_one(series_id) -> None:
    series = load_series(series_id)
    for date, _ in series.dates:
        here = series.matching(a_description(series, date=date))
        if not here:
            continue
        plain = {i.number for i in here if not i.mark} or {i.number for i in here}
        read = series.matching(parse_entry(date, [series]).coin.description)
        assert {i.number for i in read} == plain, date


@pytest.mark.parametrize("series_id", library_ids())
@pytest.mark.parametrize("mints", [(), ("any",)])
@pytest.mark.parametrize("with_collectors", [False, True])
def test_a_slots_label_reads_as_a_coin_that_fits_it(series_id, mints, with_collectors) -> None:
    series = load_series(series_id)
    plan = AlbumPlan(mints=mints, varieties=Varieties.ALL, with_collectors=with_collectors)
    for slot in plan_slots(series, plan):
        coin = parse_entry(slot.label, [series]).coin
        assert fit(series, slot, coin) is Fit.FITS, slot.label


@pytest.mark.parametrize("series_id", library_ids())
def test_what_an_issue_is_called_reads_as_what_it_may_be(series_id) -> None:
    series = load_series(series_id)
    for issue in series.issues:
        facets = {f.value: issue.value(f) or "" for f in Facet} | dict(issue.choices)
        read = parse_entry(describe(series, a_description(series, **facets)), [series]).coin
        assert series.may_be(read.description) & 1 << issue.number, issue


@pytest.mark.parametrize("series_id", library_ids())
def test_a_slots_label_never_reads_as_a_coin_that_does_not_fit_it(series_id) -> None:
    series = load_series(series_id)
    fitting = 0
    for slot in plan_slots(series, AlbumPlan()):
        for entry in readings(slot.label.replace("any mint", "?"), [series]):
            answer = fit(series, slot, entry.coin)
            assert answer is not Fit.DOES_NOT_FIT, (slot.label, describe(series, slot.accepts))
            fitting += answer is Fit.FITS
    assert fitting
