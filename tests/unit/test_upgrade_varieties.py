"""What if an album had slots for its varieties."""

from pathlib import Path

import pytest

from core.app.collection import Collection, make_collection
from core.app.operations import add_album, add_coins
from core.app.price_orders import set_prices, set_rules
from core.app.upgrade_varieties import FIRST_PURCHASE, with_varieties
from core.app.upgrades import plan_input
from core.lookup.parse import parse_entry
from core.model.album import Target
from core.model.arrangement import Arrangement
from core.model.coin import Finding
from core.model.issue import SeriesId
from core.model.plan_album import AlbumPlan, Varieties
from core.model.prices import UNGRADED, Price, PriceId, PriceRules
from core.planning.aim import GAPS
from core.planning.curve import curve
from core.planning.plan import plan

CENTS = SeriesId("us-cent-lincoln")


@pytest.fixture
def collection(tmp_path: Path) -> Collection:
    path = tmp_path / "cents.slotleaf"
    make_collection(path, "Cents")
    opened = Collection.open(path)
    years = AlbumPlan(years=(1955, 1955), target=Target(20))
    opened.run(add_album("Cents 1955", CENTS, years, Arrangement()))
    return opened


def test_each_variety_without_a_slot_becomes_a_gap_with_its_own_prices_alone(
    collection: Collection,
) -> None:
    with collection:
        series = collection.series(CENTS)
        coin = parse_entry("1955 ddo vf20", [series]).coin
        (variety, finding), *_ = coin.varieties
        assert finding is Finding.CONFIRMED
        day = collection.today
        price = Price(PriceId(0), coin.description, 20, 90_000, "USD", day, "", variety)
        plain = Price(PriceId(0), coin.description, 20, 50, "USD", day)
        collection.run(set_prices([price, plain]))
        found = plan_input(collection)
        varied = with_varieties(found, found.given, {CENTS: series})
        known = {v.id for v in series.varieties if "1955" in str(v.id)}
        assert varied.added == len(varied.given.wants) - len(found.given.wants) == len(known)
        assert varied.added - varied.not_priced == 1
        new = [p for p in varied.given.purchases if p.id >= FIRST_PURCHASE]
        assert [(p.cost, p.seats[0].points) for p in new] == [(90_000, 20)]
        made = plan(varied.given, 100_000, GAPS)
        assert {b.cost for b in made.purchases} == {50, 90_000}


def test_what_a_variety_is_worth_ungraded_keeps_it_from_no_issues_price(
    collection: Collection,
) -> None:
    with collection:
        series = collection.series(CENTS)
        coin = parse_entry("1955 ddo vf20", [series]).coin
        variety, day = coin.varieties[0][0], collection.today
        bare = Price(PriceId(0), coin.description, UNGRADED, 40_000, "USD", day, "", variety)
        plain = Price(PriceId(0), coin.description, 20, 50, "USD", day)
        collection.run(set_rules(PriceRules(inherits_all=True)))
        bought = []
        for price in (plain, bare):
            collection.run(set_prices([price]))
            found = plan_input(collection)
            supposed = with_varieties(found, found.given, {CENTS: series}).given
            bought.append([p for p in supposed.purchases if p.id >= FIRST_PURCHASE])
        assert bought[0]
        assert bought[1] == bought[0]
        year = AlbumPlan(years=(1955, 1955), varieties=Varieties.ALL, target=Target(20))
        collection.run(add_album("Varieties of 1955", CENTS, year, Arrangement()))
        (row,) = (r for r in plan_input(collection).rows if r.slot.slot.variety == variety)
        told = collection.price_book().list.price(series, coin)
        assert [step.buy.told for step in row.steps] == [told]


def test_a_spare_of_the_variety_fills_its_new_slot_for_nothing(collection: Collection) -> None:
    with collection:
        series = collection.series(CENTS)
        coin = parse_entry("1955 ddo vf20", [series]).coin
        collection.run(add_coins([coin, parse_entry("1955 vf30", [series]).coin]))
        found = plan_input(collection)
        spares = collection.spares_of(CENTS)
        varied = with_varieties(found, found.given, {CENTS: series}, spares)
        made = plan(varied.given, 0, GAPS)
        assert made.gains.gaps == plan(found.given, 0, GAPS).gains.gaps + 1
        assert any(moved.to_slot < 0 for moved in made.moves)


def test_spares_fill_what_they_filled_before_where_nothing_fits_the_new_slots(
    collection: Collection,
) -> None:
    with collection:
        series = collection.series(CENTS)
        collection.run(add_coins([parse_entry("1955 vf30", [series]).coin]))
        found = plan_input(collection)
        varied = with_varieties(found, found.given, {CENTS: series})
        assert varied.added
        now, then = (curve(given, GAPS.shown) for given in (found.given, varied.given))
        assert now.steps == then.steps == ((0, 1),)
