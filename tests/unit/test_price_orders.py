"""Prices, offers, rates and rules in a collection: what is kept, refused, answered, undone."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from core.app.collection import Collection
from core.app.metals import MetalRow, metals
from core.app.offers import OfferAnswer, as_price, offer_answer
from core.app.operations import place_coin
from core.app.order import Operation
from core.app.price_book import read_price_sheet
from core.app.price_orders import (
    add_offer,
    delete_prices,
    delete_rate,
    edit_offer,
    edit_price,
    import_prices,
    let_inherit,
    set_prices,
    set_rate,
    set_rules,
    take_back_offers,
    take_offer,
)
from core.app.price_sheet import COLUMNS, PriceDraft
from core.errors import BadEntry, CollectionError
from core.model.coin import CoinId
from core.model.issue import BANK_ISSUE, Description, VarietyId
from core.model.prices import (
    UNGRADED,
    OfferId,
    Price,
    PriceId,
    PriceRules,
    SpotPrice,
    Weight,
    read_spot,
)
from tests.collection_material import (
    DAY,
    NICKELS,
    TOKENS,
    Clock,
    Heard,
    a_collection,
    an_album,
    fresh,
    read_coin,
    slot,
    state,
    with_coins,
)

SHEET = """series,date,mint,variety,grade,price,currency,day,source
us-nickel-jefferson,1941,,,G-4,1.00,,2026-01-05,the fair
us-nickel-jefferson,1941,,,VF-20,16.00,,2026-01-05,the fair
us-nickel-jefferson,1941,D,,VF-20,3.50,EUR,2026-01-05,the fair
us-nickel-jefferson,1943,P,1943-3-over-2,F-12,50,,,
"""


@pytest.fixture
def jar(tmp_path: Path) -> Iterator[Collection]:
    with a_collection(tmp_path, Clock()) as collection:
        an_album(collection)
        with_coins(collection, "1941 g4")
        yield collection


def read(jar: Collection, text: str) -> PriceDraft:
    return read_price_sheet(text, jar.all_series(), jar.price_book())


def a_price(minor: int = 500, **changes: object) -> Price:
    described = Description.of(NICKELS, {**BANK_ISSUE, "date": "1942", "mint": "D"})
    plain = Price(PriceId(0), described, 12, minor, "USD", DAY, "mine")
    return replace(plain, **changes)  # type: ignore[arg-type]  # fields by name, in tests only


def answer(jar: Collection, text: str) -> OfferAnswer:
    looked = offer_answer(jar, text)
    assert looked.trouble == ""
    (one,) = looked.readings
    return one


# ---- sheets -----------------------------------------------------------------------------------


def test_a_sheet_is_taken_in_whole_and_reads_a_bare_date_as_the_issue_without_a_letter(
    jar: Collection,
) -> None:
    draft = read(jar, SHEET)
    assert [fault.text for fault in draft.faults] == []
    done = jar.run(import_prices(draft))
    assert (done.is_prices, len(done.made_prices)) == (True, 4)
    book = jar.price_book()
    assert [(p.grade, p.minor, p.currency) for p in book.prices] == [
        (4, 100, "USD"), (20, 1600, "USD"), (20, 350, "EUR"), (12, 5000, "USD"),
    ]  # fmt: skip
    series = jar.series(NICKELS)
    assert {i.mint for i in series.matching(book.prices[0].description)} == {"P"}
    assert book.prices[3].day == DAY
    assert book.without_rate_text == "1 price is left out: no rate of EUR"
    assert not jar.run(import_prices(read(jar, SHEET))).made_prices  # nothing new
    assert jar.undo() == "import 4 prices"
    assert jar.price_book().prices == ()


def test_every_faulty_row_is_listed_and_nothing_is_taken_in(jar: Collection) -> None:
    rows = [
        "us-nickel-jefferson,1941,D,,VF-20,3.50,,,",
        "no-series,1941,D,,VF-20,3.50,,,",
        "us-nickel-jefferson,1799,D,,VF-20,3.50,,,",
        "us-nickel-jefferson,1941,D,,VF-21,3.50,,,",
        "us-nickel-jefferson,1941,D,,VF-20,cheap,,,",
        "us-nickel-jefferson,1941,D,,VF-20,0,,,",
        "us-nickel-jefferson,1941,D,,VF-20,1,dollars,,",
        "us-nickel-jefferson,1941,D,,VF-20,1,,5 March,",
        "us-nickel-jefferson,1941,D,overpriced,VF-20,1,,,",
        "us-nickel-jefferson,1941,D,,VF-20,3.60,,,",
        "us-nickel-jefferson,1941,D,,,3.60,,,",
        "us-nickel-jefferson,,D,,VF-20,3.60,,,",
        "us-nickel-jefferson,1941,D,,VF-20 details,3.60,,,",
        "us-nickel-jefferson,1941,D,,VF-20,1,USD,2026-01-01,x,y",
    ]
    draft = read(jar, "\n".join([",".join(COLUMNS), *rows]))
    told = {fault.line: fault.column for fault in draft.faults}
    assert told == {
        3: "series", 4: "date", 5: "grade", 6: "price", 7: "", 8: "", 9: "day", 10: "variety",
        11: "", 12: "grade", 13: "date", 14: "grade", 15: "",
    }  # fmt: skip
    before = jar.rows_hash()
    with pytest.raises(CollectionError, match="13 rows are faulty, so nothing was taken in"):
        jar.run(import_prices(draft))
    assert jar.rows_hash() == before


def test_rows_are_pasted_without_a_first_line_and_heads_are_checked(jar: Collection) -> None:
    pasted = "us-nickel-jefferson\t1941\tD\t\tVF-20\t3,50\tEUR\t2026-01-05\tthe fair\n"
    assert [p.minor for p in read(jar, pasted).prices] == [350]
    assert read(jar, " \n").faults[0].line == 1
    headless = read(jar, "series,date,grade\nus-nickel-jefferson,1941,VF-20\n")
    assert [fault.column for fault in headless.faults] == ["price"]
    more = read(jar, "series,date,grade,price,price,colour\nus-nickel-jefferson,1941,F-12,1,1,x\n")
    assert [fault.column for fault in more.faults] == ["price"]
    assert more.notes[0] == "The column “colour” is not one of a price; it is left out."
    torn = read(jar, 'series,date,grade,price\nus-nickel-jefferson,1941,F-12,"1\n')
    assert [fault.line for fault in torn.faults] == [2]


def test_prices_are_pasted_as_they_are_typed_each_line_by_itself(jar: Collection) -> None:
    used = [one.id for one in jar.series_in_use]

    def pasted(text: str) -> PriceDraft:
        book = jar.price_book()
        return read_price_sheet(text, jar.all_series(), book, "mine", in_use=used)

    draft = pasted("1941 f12 @ 2\n\n1941-D nickel vf20 @ 4.50 eur\n1942 ungraded @ 1\n")
    assert draft.faults == ()
    assert [(row.line, row.price.grade_text, row.price.minor, row.price.currency, row.price.source)
            for row in draft.rows] == [
        (1, "F-12", 200, "USD", "mine"), (3, "VF-20", 450, "EUR", "mine"),
        (4, "no grade", 100, "USD", "mine"),
    ]  # fmt: skip
    wrong = pasted(
        "1941 @ 2\n1941 f12\n1799 f12 @ 2\n1941 f12 cleaned @ 2\n1941 f12 no grade @ 2\n"
        "1941 f12 @ much\n1941 vf20 @ 2\n1941 vf20 @ 3\n"
    )
    assert [fault.line for fault in wrong.faults] == [1, 2, 3, 4, 5, 6, 8]
    assert "or that it has none: 1914-d no grade @ 90" in wrong.faults[0].reason
    assert wrong.faults[4].reason == "A coin is F-12 or has no grade; leave one of them out."


def test_a_sheet_names_series_as_one_speaks_of_them_and_a_coin_without_a_grade(
    jar: Collection,
) -> None:
    head = "series,date,mint,grade,price"
    rows = f"{head}\nnickel,1941,D,F-12,2\nJefferson nickels,1942,D,ungraded,1\n"
    used = [one.id for one in jar.series_in_use]
    draft = read_price_sheet(rows, jar.all_series(), jar.price_book(), in_use=used)
    assert [(p.series, p.grade_text) for p in draft.prices] == [
        (NICKELS, "F-12"), (NICKELS, "no grade"),
    ]  # fmt: skip
    many = read(jar, f"{head},a,b,c,d,e\nus-nickel-jefferson,1941,D,F-12,2,,,,,\n")
    assert many.notes == (
        "The columns “a”, “b”, “c” and 2 more are not those of a price; they are left out.",
    )
    foreign = read(jar, f"{head},currency\nus-nickel-jefferson,1941,D,F-12,2,eur\n")
    assert foreign.notes == (
        "1 is in EUR, of which there is no rate; without one it is left out of all that is "
        "reckoned.",
    )
    home = "us-nickel-jefferson,1941,D,,F-12,2,,,me@home\n"
    assert [p.source for p in read(jar, home).prices] == ["me@home"]
    two = read(jar, f"{head},a,b\nus-nickel-jefferson,1941,D,F-12,2,,\n")
    assert two.notes == ("The columns “a” and “b” are not those of a price; they are left out.",)


def test_what_a_coin_without_a_grade_is_worth_is_said_not_guessed(jar: Collection) -> None:
    assert answer(jar, "1941 ungraded @ 3").text.endswith("not in your list without a grade")
    price = as_price(answer(jar, "1941 no grade @ 2.50"))
    assert jar.price_book().invented_text == ""
    made_up = replace(price, source="Invented", day=date(2020, 1, 1))
    jar.run(set_prices([made_up]))
    assert jar.price_book().invented_text == "The prices are invented"
    jar.run(set_prices([price]))
    assert jar.price_book().invented_text == "Some of the prices are invented"
    assert price.grade == UNGRADED
    assert answer(jar, "1941 @ 3").text.endswith("over your list by 20 %")
    assert not answer(jar, "1941 g4 @ 3").text.endswith("%")
    assert "leave one of them out" in offer_answer(jar, "1941 g4 ungraded @ 3").trouble
    with pytest.raises(BadEntry, match="1914-d no grade @ 90"):
        as_price(answer(jar, "1941 @ 3"))


def test_prices_of_a_series_that_is_new_here_bring_it_along(jar: Collection) -> None:
    text = "series,date,mint,grade,price\nharbour-token,H.E. 12,N,VF-20,3\n"
    done = jar.run(import_prices(read(jar, text)))
    assert done.is_shelf
    assert TOKENS in {series.id for series in jar.series_in_use}


# ---- rates and rules --------------------------------------------------------------------------


def test_rates_and_rules_change_what_is_told_and_a_new_base_keeps_the_spot_as_entered(
    jar: Collection,
) -> None:
    jar.run(import_prices(read(jar, SHEET)))
    jar.run(set_rate("eur", "1,08"))
    assert jar.price_book().list.in_base(350, "EUR") == 378
    assert jar.price_book().without_rate_text == ""
    spot = SpotPrice(3000, "USD", Weight.OUNCE, DAY)
    jar.run(set_rules(PriceRules(oldest_days=30, silver=spot)))
    assert jar.price_book().old_text == "3 prices are older than 30 days"
    jar.run(set_rules(replace(jar.price_book().rules, base="EUR")))
    assert jar.price_book().rules.silver == spot
    assert jar.price_book().list.in_base(350, "EUR") == 350
    assert not jar.run(set_rules(jar.price_book().rules)).is_prices


def test_spot_prices_and_what_varieties_take_are_kept_as_they_were_entered(
    jar: Collection,
) -> None:
    rules = PriceRules(
        silver=SpotPrice(90_000, "EUR", Weight.KILO, DAY),
        copper=SpotPrice(28, "USD", Weight.OUNCE, date(2025, 5, 3)),
        inherits_all=True,
    )
    jar.run(set_rules(rules))
    assert jar.price_book().rules == rules
    with pytest.raises(CollectionError, match="switch that off in the rules"):
        jar.run(let_inherit(NICKELS, VarietyId("1943-3-over-2"), yes=False))
    jar.undo()
    assert jar.price_book().rules == PriceRules()
    refused = (
        replace(rules, silver=SpotPrice(0, "EUR", Weight.KILO, DAY)),
        replace(rules, copper=SpotPrice(28, "dollars", Weight.KILO, DAY)),
    )
    for wrong in refused:
        with pytest.raises(CollectionError):
            jar.run(set_rules(wrong))


def test_the_price_of_a_metal_is_read_as_one_writes_it() -> None:
    read = {
        "30.50": SpotPrice(3050, "USD", Weight.OUNCE, DAY),
        "28,5 eur": SpotPrice(2850, "EUR", Weight.OUNCE, DAY),
        "900 EUR a kg": SpotPrice(90_000, "EUR", Weight.KILO, DAY),
        "900 EUR/kg": SpotPrice(90_000, "EUR", Weight.KILO, DAY),
        "30 USD per troy ounce": SpotPrice(3000, "USD", Weight.OUNCE, DAY),
        "": None,
        "0": None,
    }
    assert {text: read_spot(text, Weight.OUNCE, "USD", DAY) for text in read} == read
    for wrong in ("much", "30 40", "EUR", "-3", "1.234"):
        with pytest.raises(BadEntry):
            read_spot(wrong, Weight.OUNCE, "USD", DAY)


def test_metal_is_counted_of_all_coins_or_spares_with_its_share_of_the_list(
    jar: Collection,
) -> None:
    numbers = with_coins(jar, "3 x 1943-P vf20", "1943-P f12", "1943-P")
    jar.run(set_rules(PriceRules(silver=SpotPrice(3000, "USD", Weight.OUNCE, DAY))))

    def silver(only_spares: bool = False) -> MetalRow:
        return next(row for row in metals(jar, only_spares).rows if row.worth.minor)

    assert (silver().coins, silver().priced, silver().share) == (5, 0, None)
    assert silver().worth.minor == 844  # 5 × 0.05626 oz t × 30.00
    priced = a_price(250, description=jar.coin(numbers[0]).description, grade=20)
    jar.run(set_prices([priced]))
    assert (silver().priced, silver().listed, silver().share) == (3, 750, 68)  # 506.4 of 750
    jar.run(place_coin(numbers[1], slot(jar, "1943-P")))
    assert (silver(only_spares=True).coins, silver().coins) == (4, 5)


# ---- offers -----------------------------------------------------------------------------------


def test_an_offer_is_answered_with_what_it_is_to_the_set_and_to_the_list(jar: Collection) -> None:
    jar.run(import_prices(read(jar, SHEET)))
    gap = answer(jar, "1941 vf20 @ 17.92 until 2026-12-31 at the spring show")
    assert gap.text == "+16 points / over your list by 12 %"  # the spare G-4 waits for the gap
    assert (gap.offer.where, gap.offer.until) == ("the spring show", date(2026, 12, 31))
    jar.run(place_coin(CoinId(1), slot(jar, "1941")))
    told = {
        "1941 vf20 @ 16": "+16 points / at your list's price",
        "1941 f12 @ 2": "+8 points / under your list by 50 % (in between)",
        "1941-D vf20 @ 5": "gap / not in your list",
        "1941 vf20 @ 5 chf": "+16 points / no rate of CHF",
        "1941-D @ 5": "gap / not in your list without a grade",
        "1941 au50 @ 5": "+46 points / beyond the grades of your list",
        "1941 vf20 @ 16.01": "+16 points / over your list by less than 1 %",
        "1941 g4 @ 1": "no use / at your list's price",
    }
    assert {line: answer(jar, line).text for line in told} == told


def test_lines_that_are_no_offer_say_why(jar: Collection) -> None:
    lines = (
        "1941 vf20", "1941 vf20 @", "1941 vf20 @ cheap", "@ 5", "1799 @ 5", "1941 @ 5 until soon",
        "1941 @ 0", "1941 @ 5 usd eur", "1941 vf20 @ 5 until 2020-01-01", "1941 @ 1.005",
        "1941 // seen @ 5",
    )  # fmt: skip
    assert [line for line in lines if not offer_answer(jar, line).trouble] == []


def test_an_offer_taken_is_a_coin_on_order_and_counts_down(jar: Collection) -> None:
    offer = answer(jar, "1941-D vf20 @ 4.20 eur x 2 from a friend").offer
    number = OfferId(jar.run(add_offer(offer)).made_prices[0])
    jar.run(take_offer(number, slot(jar, "1941-D")))
    assert state(jar, "1941-D") == "on order"
    (coin,) = (row.coin for row in jar.coin_rows() if row.state == "on order")
    assert (coin.paid_minor, coin.currency, coin.came_from) == (420, "EUR", "a friend")
    assert [one.quantity for one in jar.price_book().standing] == [1]
    with pytest.raises(CollectionError, match="on order for slot 1941-D already"):
        jar.run(take_offer(number, slot(jar, "1941-D")))
    jar.undo()
    assert (state(jar, "1941-D"), jar.price_book().standing[0].quantity) == ("gap", 2)
    jar.run(edit_offer(replace(jar.price_book().offers[0], quantity=1)))
    jar.run(take_offer(number, slot(jar, "1941-D")))
    assert jar.price_book().standing == ()
    with pytest.raises(CollectionError, match="taken already"):
        jar.run(take_offer(number, slot(jar, "1942-D")))


def test_an_offer_stands_until_its_day_and_fits_only_its_slot(jar: Collection) -> None:
    offer = answer(jar, "1941-D vf20 @ 4 until 2026-03-02").offer
    number = OfferId(jar.run(add_offer(offer)).made_prices[0])
    with pytest.raises(CollectionError, match="does not fit slot 1942-D"):
        jar.run(take_offer(number, slot(jar, "1942-D")))
    clock = jar._today
    assert isinstance(clock, Clock)
    clock.day = date(2026, 3, 3)
    assert jar.price_book().standing == ()
    with pytest.raises(CollectionError, match="ended on 2026-03-02"):
        jar.run(take_offer(number, slot(jar, "1941-D")))


def test_a_problem_coin_that_counts_for_nothing_is_told_so(jar: Collection) -> None:
    jar.run(set_prices([a_price(description=read_coin(jar, "1941-D vf20").description, grade=20)]))
    jar.run(set_rules(PriceRules(problem_share=0)))
    said = answer(jar, "1941-D vf20 bent @ 2").text
    assert said.endswith(" / worth nothing by your list (share of a sound coin's)")


# ---- what every operation keeps ---------------------------------------------------------------

ORDERS: dict[str, Callable[[Collection], Operation]] = {
    "set": lambda _: set_prices([a_price(), a_price(90, grade=4)]),
    "replace": lambda _: set_prices([a_price(777)]),
    "edit": lambda _: edit_price(PriceId(1), a_price(5, grade=8)),
    "delete": lambda _: delete_prices([PriceId(1)]),
    "rate": lambda _: set_rate("CHF", "1.1"),
    "no rate": lambda _: delete_rate("EUR"),
    "rules": lambda _: set_rules(PriceRules(resale_share=1)),
    "inherit": lambda _: let_inherit(NICKELS, VarietyId("1943-3-over-2")),
    "offer": lambda jar: add_offer(answer(jar, "1941 vf20 @ 5").offer),
    "edit offer": lambda jar: edit_offer(replace(jar.price_book().offers[0], where="elsewhere")),
    "take back": lambda _: take_back_offers([OfferId(1)]),
    "take": lambda jar: take_offer(OfferId(1), slot(jar, "1941-D")),
}
REFUSED: dict[str, Callable[[Collection], Operation]] = {
    "no such coin": lambda _: set_prices(
        [a_price(description=Description.of(NICKELS, {"date": "1799"}))]
    ),
    "another's variety": lambda _: set_prices([a_price(variety=VarietyId("1943-3-over-2"))]),
    "one of two faulty": lambda _: set_prices([a_price(1), a_price(0)]),
    "no price there": lambda _: delete_prices([PriceId(1), PriceId(99)]),
    "none chosen": lambda _: delete_prices([]),
    "edit of none": lambda _: edit_price(PriceId(99), a_price()),
    "rate of the base": lambda _: set_rate("USD", "1"),
    "no number": lambda _: set_rate("EUR", "much"),
    "no rate": lambda _: delete_rate("CHF"),
    "rules": lambda _: set_rules(PriceRules(problem_share=101)),
    "no variety": lambda _: let_inherit(NICKELS, VarietyId("none")),
    "no offers": lambda _: take_back_offers([]),
    "no offer there": lambda _: take_back_offers([OfferId(9)]),
    "take of none": lambda jar: take_offer(OfferId(9), slot(jar, "1941-D")),
}


@pytest.fixture
def priced(jar: Collection) -> Collection:
    jar.run(set_prices([a_price()]))
    jar.run(set_rate("EUR", "1.08"))
    jar.run(add_offer(answer(jar, "1941-D vf20 @ 4").offer))
    return jar


def test_every_order_tells_of_it_and_is_undone_and_redone_exactly(priced: Collection) -> None:
    for name, make in ORDERS.items():
        before, book = priced.rows_hash(), priced.price_book()
        heard = Heard(priced)
        priced.run(make(priced))
        assert heard.changes[-1].is_prices, name
        assert priced.price_book() is not book, name
        after = priced.rows_hash()
        assert after != before, name
        with fresh(priced) as other:
            assert priced.price_book().prices == other.price_book().prices, name
            assert priced.price_book().offers == other.price_book().offers, name
        priced.undo()
        assert priced.rows_hash() == before, name
        priced.redo()
        assert priced.rows_hash() == after, name
        priced.undo()
    assert priced.check() == []


def test_what_cannot_be_is_refused_and_nothing_changes(priced: Collection) -> None:
    for name, make in REFUSED.items():
        before = priced.rows_hash()
        with pytest.raises(CollectionError):
            priced.run(make(priced))
        assert priced.rows_hash() == before, name
