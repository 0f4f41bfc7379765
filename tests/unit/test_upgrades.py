"""What a plan is given of a collection: slots, useful purchases, coins in hand."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from core.app.collection import Collection
from core.app.offers import offer_answer
from core.app.operations import (
    order_coin,
    place_coin,
    set_pinned,
    set_target,
    set_wish,
)
from core.app.price_orders import add_offer, let_inherit, set_prices
from core.app.standings import standings
from core.app.upgrades import UpgradeRow, Upgrades, plan_input, upgrade_rows
from core.model.album import AlbumKind, Wish, parse_target
from core.model.coin import CoinId
from core.model.issue import BANK_ISSUE, Description, SeriesId, VarietyId
from core.model.plan_album import Varieties
from core.model.prices import Price, PriceId
from core.planning.aim import GAPS, TARGETS
from core.planning.plan import plan
from tests.collection_material import (
    CENTS,
    NICKELS,
    Clock,
    a_collection,
    an_album,
    read_coin,
    slot,
    with_coins,
)


@pytest.fixture
def jar(tmp_path: Path) -> Iterator[Collection]:
    """Nickels 1940–1943 at VF-20, 1941 in G-4 there; a spare 1942-D of VF-30."""
    with a_collection(tmp_path, Clock()) as collection:
        an_album(collection)
        with_coins(collection, "1941 g4", "1942-D vf30")
        collection.run(place_coin(CoinId(1), slot(collection, "1941")))
        yield collection


def price(
    jar: Collection,
    date_: str,
    mint: str,
    series: SeriesId = NICKELS,
    variety: str = "",
    **grades: int,
) -> None:
    """Enter prices of a coin: vf20=500."""
    facets = {**BANK_ISSUE, "date": date_, **({"mint": mint} if mint else {})}
    described = Description.of(series, facets)
    jar.run(
        set_prices(
            [
                Price(
                    PriceId(0), described, int(grade.strip("fgmsvx")), minor, "USD",
                    date(2026, 3, 1), "", VarietyId(variety) if variety else None,
                )
                for grade, minor in grades.items()
            ]
        )
    )  # fmt: skip


def row(jar: Collection, label: str, **more: object) -> UpgradeRow:
    found: Upgrades = plan_input(jar, **more)  # type: ignore[arg-type]  # by name, in tests
    return found.row_of(slot(jar, label))


def told(one: UpgradeRow) -> list[tuple[str, int | None, int, bool, bool]]:
    return [(s.buy.name, s.buy.cost, s.points, s.closes_gap, s.meets_target) for s in one.steps]


def test_useful_grades_end_with_the_cheapest_that_meets_the_target(jar: Collection) -> None:
    price(jar, "1941", "P", g4=100, f12=400, vf30=2000, xf40=1900)
    one = row(jar, "1941")
    assert (one.held, one.target, one.is_met, one.is_priced) == (4, 20, False, True)
    assert told(one) == [
        ("1941 F-12", 400, 8, False, False),
        ("1941 VF-20", 818, 16, False, True),
    ]
    assert one.steps[1].buy.told is not None
    assert one.steps[1].buy.told.marks == ("in between",)
    assert one.brings == 60


def test_a_gap_without_a_price_is_counted_and_a_spare_better_for_nothing_told(
    jar: Collection,
) -> None:
    price(jar, "1943", "D", vf20=500)
    found = plan_input(jar)
    one = found.row_of(slot(jar, "1942-D"))
    assert one.spare is not None
    assert (one.spare.id, one.steps, one.is_priced) == (2, (), False)
    assert told(found.row_of(slot(jar, "1943-D"))) == [("1943-D VF-20", 500, 20, True, True)]
    assert found.row_of(slot(jar, "1943-D")).is_priced
    assert len(found.not_priced) == 11
    assert found.notes[0].startswith("11 slots that want a coin or a better one have no price")
    assert [piece.coin for piece in found.given.pieces] == [1, 2]


def test_a_plan_buys_moves_and_tells_of_coins_by_their_names(jar: Collection) -> None:
    price(jar, "1941", "P", vf20=900)
    price(jar, "1943", "D", f12=300, vf20=500)
    found = plan_input(jar)
    made = plan(found.given, 1400, TARGETS)
    assert {found.buys[b.purchase].name for b in made.purchases} == {"1941 VF-20", "1943-D VF-20"}
    assert [(m.coin, m.to_slot) for m in made.moves] == [(2, slot(jar, "1942-D"))]
    assert (made.spent, made.freed, made.is_proven) == (1400, (1,), True)
    assert plan(found.given, 300, GAPS).gains.gaps == 2


def test_a_freed_coin_fills_a_slot_of_another_album(jar: Collection) -> None:
    an_album(jar, "Second", target="none")
    price(jar, "1941", "P", vf20=900)
    found = plan_input(jar)
    made = plan(found.given, 900, TARGETS)
    moves = {(m.coin, m.to_slot) for m in made.moves}
    assert (1, slot(jar, "1941", "Second")) in moves
    alone = plan_input(jar, [jar.find_album("Nickels").id])
    assert {row.album_name for row in alone.rows} == {"Nickels"}


def test_offers_are_purchases_below_zero_usable_as_often_as_they_are_there(
    jar: Collection,
) -> None:
    an_album(jar, "Second")
    for line in ("1943-D vf20 @ 4 x 2", "1940 f12 bent @ 1", "1943-S @ 3", "1940-D vf20 @ 3 chf"):
        jar.run(add_offer(offer_answer(jar, line).readings[0].offer))
    found = plan_input(jar)
    by_id = {p.id: p for p in found.given.purchases}
    assert set(by_id) == {-1, -2, -3, -4}
    assert (by_id[-1].is_offer, by_id[-1].quantity, by_id[-1].cost) == (True, 2, 400)
    assert len(by_id[-1].seats) == 2
    assert {seat.points for seat in by_id[-2].seats} == {0}  # a problem the target bars
    assert {seat.points for seat in by_id[-3].seats} == {0}  # no grade
    assert by_id[-4].cost is None
    assert slot(jar, "1940-D") in found.not_priced


def test_what_is_pinned_skipped_shown_only_or_under_way_is_left_alone(jar: Collection) -> None:
    price(jar, "1941", "P", vf20=900)
    price(jar, "1943", "D", vf20=500)
    jar.run(set_pinned([slot(jar, "1941")], True))
    assert row(jar, "1941").steps == ()
    jar.run(set_pinned([slot(jar, "1941")], False))
    jar.run(order_coin(read_coin(jar, "1943-D vf20"), slot(jar, "1943-D")))
    ordered = row(jar, "1943-D")
    assert (ordered.is_ordered, ordered.is_met, ordered.steps) == (True, True, ())
    jar.run(set_wish([slot(jar, "1941")], Wish.SKIPPED))
    an_album(jar, "Shown", kind=AlbumKind.OVERVIEW)
    assert len(upgrade_rows(jar)) == 11


def test_coins_without_a_grade_are_compared_by_eye_unless_a_target_asks(jar: Collection) -> None:
    price(jar, "1940", "P", vf20=900)
    with_coins(jar, "1940")
    jar.run(place_coin(CoinId(3), slot(jar, "1940")))
    assert len(row(jar, "1940").steps) == 1
    assert "1 coin without a grade counts as below target" in plan_input(jar).notes
    jar.run(set_target([slot(jar, "1940")], None))
    assert (row(jar, "1940").steps, row(jar, "1940").is_met) == ((), True)


def test_a_target_of_more_than_a_grade_is_not_met_by_the_list(jar: Collection) -> None:
    price(jar, "1943", "D", vf20=500, ms65=4000)
    jar.run(set_target([slot(jar, "1943-D")], parse_target("MS-65 FS")))
    assert [(s.grade, s.points, s.meets_target) for s in row(jar, "1943-D").steps] == [
        (20, 20, False), (65, 64, False),
    ]  # fmt: skip


def test_forbidden_purchases_beat_nothing_and_pinned_ones_stay(jar: Collection) -> None:
    price(jar, "1943", "D", vf20=500, vf30=600, xf40=700)
    ids = [s.buy.id for s in row(jar, "1943-D").steps]
    assert [number % 100 for number in ids] == [20]
    number = ids[0] - 20
    both = row(jar, "1943-D", forbidden=[ids[0]])
    assert [s.buy.id - number for s in both.steps] == [20, 30]
    kept = row(jar, "1943-D", pinned=[number + 40])
    assert [s.buy.id - number for s in kept.steps] == [20, 40]


def test_slots_of_varieties_take_their_own_prices_alone_unless_told(jar: Collection) -> None:
    an_album(jar, "Cents", CENTS, (1955, 1955), target="none", varieties=Varieties.ALL)
    view = jar.album_view(jar.find_album("Cents").id)
    hole = next(v for v in view.slots if v.slot.variety == "1955-ddo")
    price(jar, "1955", "P", CENTS, vf20=30)
    assert plan_input(jar).row_of(hole.slot.id).steps == ()
    jar.run(let_inherit(CENTS, VarietyId("1955-ddo")))
    (step,) = plan_input(jar).row_of(hole.slot.id).steps
    assert step.buy.coin.varieties != ()
    assert step.buy.told is not None
    assert step.buy.told.marks == ("price of the issue",)
    plain = next(v for v in view.slots if v.slot.label == "1955")
    assert plan_input(jar).row_of(plain.slot.id).steps[0].buy.id != step.buy.id
    price(jar, "1955", "P", CENTS, "1955-ddo", vf20=90_000)
    (own,) = plan_input(jar).row_of(hole.slot.id).steps
    assert own.buy.cost == 90_000
    price(jar, "1955", "P", CENTS, vf20=31)
    (still,) = plan_input(jar).row_of(plain.slot.id).steps
    assert still.buy.cost == 31


def test_a_lot_is_as_many_pieces_as_there_are_slots_for_it(jar: Collection) -> None:
    an_album(jar, "Second")
    with_coins(jar, "9 x 1943-D vf20")
    found = plan_input(jar)
    pieces = [p.coin for p in found.given.pieces if found.number(p.coin) == 3]
    assert len(pieces) == len(set(pieces)) == 2
    made = plan(found.given, 0, GAPS)
    assert sum(found.number(m.coin) == 3 for m in made.moves) == 2


def test_any_mint_slots_take_the_cheapest_of_the_coins_that_fit(jar: Collection) -> None:
    an_album(jar, "Either", mints=("any",), target="none")
    price(jar, "1943", "D", vf20=500)
    price(jar, "1943", "S", vf20=400, vf30=450)
    one = plan_input(jar).row_of(slot(jar, "1943 any mint", "Either"))
    assert told(one) == [
        ("1943-S VF-20", 400, 20, True, True),
        ("1943-S VF-30", 450, 30, True, True),
    ]


def test_key_dates_are_those_of_which_few_were_struck(jar: Collection) -> None:
    an_album(jar, "All", years=(1938, 1964))
    keys = [r.slot.label for r in upgrade_rows(jar, [jar.find_album("All").id]) if r.is_key]
    assert keys == ["1938-D", "1938-S", "1939-D", "1950-D"]


def test_percentages_weigh_what_is_done_by_count_scarcity_and_price(jar: Collection) -> None:
    price(jar, "1941", "P", f12=400, vf20=900)
    price(jar, "1943", "D", vf20=2700)
    found = plan_input(jar)
    filled = standings(found, jar.series)
    assert (filled.by_count.per_cent, filled.by_count.counted) == (100 / 12, 12)
    assert (filled.by_price.per_cent, filled.by_price.left_out) == (25.0, 10)
    assert filled.by_scarcity.per_cent is not None
    assert 0 < filled.by_scarcity.per_cent < 100 / 12  # the 1941 is one of the most common
    assert (filled.grades.mean, filled.grades.graded) == (4, 1)
    assert standings(found, jar.series, at_target=True).by_count.per_cent == 0
