"""What is always true of the price list: whole units, monotone where the list is, sums exact."""

from datetime import date, timedelta
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from core.app.price_sheet import COLUMNS, Usual, read_prices
from core.errors import BadEntry
from core.lookup.offer_terms import read_terms, split_terms
from core.model.grade import SCALE
from core.model.issue import Description, SeriesId
from core.model.prices import Choose, Price, PriceId, PriceRules, Rate, require_price
from core.planning.prices import Curve, PriceList, Told, converter, in_between, share_of
from tests.builders import cents

TODAY = date(2026, 3, 2)
COIN = Description.of(SeriesId("a-series"), {"date": "1901"})
STEPS = tuple(SCALE)
amounts = st.integers(1, 10**12)


def curve_of(prices: dict[int, int]) -> Curve:
    listed = [
        Price(PriceId(at), COIN, grade, minor, "USD", TODAY)
        for at, (grade, minor) in enumerate(prices.items(), 1)
    ]
    (curve,) = PriceList(listed, TODAY).curves.values()
    return curve


lists = st.dictionaries(st.sampled_from(STEPS), amounts, min_size=1, max_size=8)


@given(lists)
def test_grades_in_between_stay_within_their_neighbours_and_none_lies_beyond(
    prices: dict[int, int],
) -> None:
    curve = curve_of(prices)
    for grade in STEPS:
        told = curve.at(grade)
        if not min(prices) <= grade <= max(prices):
            assert told is None
            continue
        assert told is not None
        assert type(told.minor) is int
        assert told.is_between is (grade not in prices)
        low = max(g for g in prices if g <= grade)
        high = min(g for g in prices if g >= grade)
        between = sorted((prices[low], prices[high]))
        assert between[0] <= told.minor <= between[1]


@given(st.dictionaries(st.sampled_from(STEPS), st.integers(0, 10**9), min_size=2, max_size=8))
def test_the_price_rises_with_the_grade_wherever_the_list_does(rises: dict[int, int]) -> None:
    total, prices = 1, {}
    for grade in sorted(rises):
        total += rises[grade]
        prices[grade] = total
    curve = curve_of(prices)
    told = [t.minor for grade in STEPS if (t := curve.at(grade)) is not None]
    assert told == sorted(told)


@given(st.integers(1, 10**6), st.integers(1, 10**6), st.integers(2, 60), st.data())
def test_the_price_in_between_is_the_nearest_whole_unit_on_the_log_scale(
    low: int, high: int, of: int, data: st.DataObject
) -> None:
    steps = data.draw(st.integers(1, of - 1))
    found = in_between(low, high, steps, of)
    # low^(of - steps) * high^steps lies between the powers of the half units about what was found.
    exact = low ** (of - steps) * high**steps
    assert Fraction(2 * found - 1, 2) ** of <= exact <= Fraction(2 * found + 1, 2) ** of


@given(amounts, st.integers(0, 100))
def test_a_share_is_the_nearest_whole_unit(minor: int, share: int) -> None:
    assert abs(share_of(minor, share) - Fraction(minor * share, 100)) <= Fraction(1, 2)


@given(amounts, st.integers(1, 10**9), st.sampled_from(("JPY", "EUR", "BHD")))
def test_a_rate_turns_an_amount_into_the_nearest_whole_unit(
    minor: int, millionths: int, currency: str
) -> None:
    per = f"{millionths // 10**6}.{millionths % 10**6:06}"
    told = converter([Rate(currency, "USD", per, TODAY)], "USD")(minor, currency)
    digits = {"JPY": 0, "EUR": 2, "BHD": 3}[currency]
    exact = Fraction(minor, 10**digits) * Fraction(millionths, 10**6) * 100
    assert told is not None
    assert abs(told - exact) <= Fraction(1, 2)


entries = st.lists(
    st.tuples(amounts, st.sampled_from("abcd"), st.integers(0, 9)), min_size=1, max_size=12
)


@given(entries, st.sampled_from(Choose))
def test_of_each_source_its_newest_price_counts_whatever_the_order(
    entered: list[tuple[int, str, int]], choose: Choose
) -> None:
    prices = [
        Price(PriceId(at), COIN, 12, minor, "USD", TODAY - timedelta(days), source)
        for at, (minor, source, days) in enumerate(entered)
    ]
    rules = PriceRules(choose=choose)

    def told(of: list[Price]) -> Told:
        (curve,) = PriceList(of, TODAY, (), rules).curves.values()
        return curve.steps[0]

    assert told(prices[::-1]) == told(prices)
    latest: dict[str, Price] = {}
    for one in sorted(prices, key=lambda price: (price.day, price.id)):
        latest[one.source] = one
    assert told(list(latest.values())) == told(prices)
    amounts_told = sorted(one.minor for one in latest.values())
    assert amounts_told[0] <= told(prices).minor <= amounts_told[-1]
    if choose is Choose.NEWEST:
        newest = max(latest.values(), key=lambda price: (price.day, price.id))
        assert told(prices).minor == newest.minor


cells = st.sampled_from(
    ("us-test-cents", "1941", "P", "D", "1955-ddo", "VF-20", "F", "PF-65", "1,50", "12.5", "0",
     "EUR", "2026-01-05", "a book", "", '"', "'", "x" * 40)
)  # fmt: skip
rows_typed = st.lists(st.lists(cells, max_size=11), max_size=6)


@settings(max_examples=60)
@given(rows_typed, st.sampled_from(",;\t"), st.booleans())
def test_a_sheet_of_anything_gives_prices_that_can_be_or_faults_with_their_lines(
    rows: list[list[str]], separator: str, has_head: bool
) -> None:
    lines = [separator.join(COLUMNS)] * has_head + [separator.join(row) for row in rows]
    series = cents()
    draft = read_prices("\n".join(lines), [series], Usual("USD", TODAY, "", series.id))
    for row in draft.rows:
        require_price(row.price)
        assert series.may_be(row.price.description)
    assert all(1 <= fault.line <= max(1, len(lines)) and fault.reason for fault in draft.faults)
    assert draft.rows or draft.faults or draft.notes


words = st.lists(
    st.sampled_from(
        ("@", "210", "4.50", "eur", "until", "2026-12-31", "2026-02-30", "at", "from", "x", "x 3",
         "3x", "the show", '"a note"', "//", "€", "")
    ),
    max_size=9,
)  # fmt: skip


@given(words)
def test_whatever_follows_an_at_sign_is_a_price_or_refused_in_words(typed: list[str]) -> None:
    parted = split_terms(" ".join(typed))
    if parted is None:
        return
    try:
        terms = read_terms(parted[1], "USD")
    except BadEntry:
        return
    assert type(terms.minor) is int
    assert len(terms.currency) == 3
