"""One change to many coins: what is named changes, all else stays, one step of undo."""

from dataclasses import fields, replace
from pathlib import Path

import pytest

from core.app.collection import Collection
from core.app.operations import order_coin, place_coin
from core.app.operations_coins import KEEP, CoinChange, change_coins
from core.errors import BadEntry, NotFound, Refused
from core.model.coin import Coin, CoinId, CoinStatus, Origin, Problem
from core.model.grade import parse_grade
from core.model.issue import Description
from tests.builders import a_coin
from tests.collection_material import (
    DAY,
    NICKELS,
    Heard,
    a_collection,
    an_album,
    differences,
    fresh,
    read_coin,
    slot,
    with_coins,
)

WHOLE = CoinChange(
    grade=None,
    problems=(Problem.BENT,),
    is_genuine=False,
    is_flagged=True,
    weight_mg=5000,
    origin=Origin.GIVEN,
    came_from="the harbour master",
    acquired=DAY,
    place="tray 7",
    paid_minor=250,
    currency="USD",
    note="two together",
)


@pytest.fixture
def collection(tmp_path: Path) -> Collection:
    collection = a_collection(tmp_path)
    an_album(collection)
    with_coins(collection, "1941 vf20", "1941-D g4 bent", "1942-D", "3 x 1943-S")
    return collection


def every(collection: Collection) -> list[Coin]:
    return [row.coin for row in collection.coin_rows()]


def test_a_change_names_every_fact_of_a_coin_but_its_number_and_status() -> None:
    facts = {f.name for f in fields(Coin)} - {"id", "status"}
    assert {f.name for f in fields(CoinChange)} - {"more_problems", "fewer_problems"} == facts


def test_what_is_not_named_stays(collection: Collection) -> None:
    before = every(collection)
    collection.run(change_coins([CoinId(1), CoinId(2), CoinId(4)], CoinChange(place="tray 7")))
    wanted = [replace(c, place="tray 7") if c.id != 3 else c for c in before]
    assert every(collection) == wanted


def test_every_fact_named_is_set_on_every_coin(collection: Collection) -> None:
    collection.run(change_coins([CoinId(1), CoinId(3)], WHOLE))
    for coin in (collection.coin(CoinId(1)), collection.coin(CoinId(3))):
        for fact in fields(CoinChange):
            value = getattr(WHOLE, fact.name)
            if value is not KEEP and fact.name not in ("more_problems", "fewer_problems"):
                assert getattr(coin, fact.name) == value, fact.name


def test_problems_are_added_and_taken_off_beside_others() -> None:
    coin = a_coin("1943", "D", problems=(Problem.BENT, Problem.CLEANED))
    more = CoinChange(more_problems=(Problem.HOLED, Problem.CLEANED))
    assert more.of(coin).problems == (Problem.BENT, Problem.CLEANED, Problem.HOLED)
    fewer = CoinChange(fewer_problems=(Problem.BENT, Problem.HOLED))
    assert fewer.of(coin).problems == (Problem.CLEANED,)


def test_one_undo_takes_the_whole_change_back(collection: Collection) -> None:
    before = collection.content_hash()
    collection.run(change_coins([CoinId(n) for n in (1, 2, 3)], WHOLE))
    after = collection.content_hash()
    assert collection.undo_label == "edit 3 coins"
    assert collection.undo() == "edit 3 coins"
    assert collection.content_hash() == before
    assert collection.redo() == "edit 3 coins"
    assert collection.content_hash() == after


def test_a_change_that_changes_nothing_writes_nothing(collection: Collection) -> None:
    before = every(collection)
    collection.run(change_coins([CoinId(1)], CoinChange(grade=parse_grade("VF-20"))))
    assert every(collection) == before


@pytest.mark.parametrize(
    ("coins", "change", "error", "told"),
    [
        ([], CoinChange(note="x"), Refused, "No coin is chosen"),
        ([1, 99], CoinChange(note="x"), NotFound, "99"),
        ([3, 1], CoinChange(quantity=2), Refused, "Coin 1 sits in slot 1941; take it out"),
        ([1, 3], CoinChange(description=Description.of(NICKELS, {"date": "1950", "mint": "S"})),
         BadEntry, "1950"),
    ],
)  # fmt: skip
def test_one_coin_that_cannot_be_changed_leaves_all_as_they_are(
    collection: Collection, coins: list[int], change: CoinChange, error: type, told: str
) -> None:
    collection.run(place_coin(CoinId(1), slot(collection, "1941")))
    before = collection.content_hash()
    with pytest.raises(error, match=told):
        collection.run(change_coins([CoinId(n) for n in coins], change))
    assert collection.content_hash() == before


def test_a_coin_on_order_is_edited_and_stays_on_order(collection: Collection) -> None:
    order = order_coin(read_coin(collection, "1940-S xf40"), slot(collection, "1940-S"))
    (made,) = collection.run(order).made_coins
    heard = Heard(collection)
    collection.run(change_coins([made], CoinChange(came_from="by post")))
    assert collection.coin(made).status is CoinStatus.ON_ORDER
    assert heard.changes[0].slots == {slot(collection, "1940-S")}
    with pytest.raises(Refused, match="is on order for slot 1940-S"):
        collection.run(change_coins([made], CoinChange(quantity=4)))


def test_kept_views_stay_true_after_many_are_changed(collection: Collection) -> None:
    collection.run(place_coin(CoinId(2), slot(collection, "1941-D")))
    assert differences(collection, fresh(collection)) == []
    collection.run(change_coins([CoinId(1), CoinId(2)], CoinChange(grade=parse_grade("ms65"))))
    assert differences(collection, fresh(collection)) == []
