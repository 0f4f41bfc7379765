"""A coin in hand over a slot: what would come of it is said, and is what then happens."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from core.app.carried import Carried, Drop, outlook
from core.app.collection import Collection
from core.app.operations import (
    let_go,
    move_coin,
    place_coin,
    swap_slots,
)
from core.errors import CollectionError
from core.model.album import AlbumKind
from core.model.coin import CoinId
from tests.collection_material import (
    CENTS,
    a_collection,
    an_album,
    held,
    slot,
    whole_slot,
    with_coins,
)


@pytest.fixture
def jar(tmp_path: Path) -> Iterator[Collection]:
    """1941 holds coin 1, that of the album Second coin 2; spares: 3 of an open mint, 4, 5."""
    with a_collection(tmp_path) as collection:
        an_album(collection)
        an_album(collection, "Second", target="none")
        an_album(collection, "Shown", kind=AlbumKind.OVERVIEW)
        with_coins(collection, "1941 vf20", "1941 g4", "1943 ?", "3 x 1942-D vf30")
        with_coins(collection, "1940 vf20", series=CENTS)
        collection.run(place_coin(CoinId(1), slot(collection, "1941")))
        collection.run(place_coin(CoinId(2), slot(collection, "1941", "Second")))
        yield collection


def carried(
    collection: Collection, number: int, label: str = "", album: str = "Nickels"
) -> Carried:
    coin = collection.coin(CoinId(number))
    series = collection.series(coin.description.series)
    if not label:
        return Carried(coin, series)
    return Carried(coin, series, whole_slot(collection, label, album), series, album)


def told(
    collection: Collection, hand: Carried, label: str, album: str = "Nickels"
) -> tuple[Drop, str]:
    view = collection.album_view(collection.find_album(album).id)
    look = outlook(view, slot(collection, label, album), hand)
    return look.drop, look.words


def test_an_empty_slot_takes_a_fitting_coin(jar: Collection) -> None:
    assert told(jar, carried(jar, 4), "1942-D") == (Drop.PUT_IN, "goes into 1942-D")
    assert carried(jar, 4).name == "one of 3 1942-D VF-30"


def test_a_full_slot_swaps_or_gives_up_its_coin(jar: Collection) -> None:
    hand = carried(jar, 1, "1941")
    assert told(jar, hand, "1941", "Second") == (Drop.SWAP, "swaps with 1941 G-4")
    jar.run(swap_slots(slot(jar, "1941"), slot(jar, "1941", "Second")))
    assert held(jar, "1941") == 2
    with_coins(jar, "1941 ms60")
    assert told(jar, carried(jar, 6), "1941") == (
        Drop.REPLACE,
        "takes the place of 1941 G-4, which becomes a spare",
    )


def test_a_coin_that_only_may_fit_goes_in_to_verify(jar: Collection) -> None:
    drop, words = told(jar, carried(jar, 3), "1943-D")
    assert drop is Drop.PUT_IN
    assert words == "goes into 1943-D, to verify: the mint would settle it"


def test_what_cannot_be_says_why(jar: Collection) -> None:
    assert told(jar, carried(jar, 1, "1941"), "1941") == (Drop.NOTHING, "its own slot")
    assert told(jar, carried(jar, 1, "1941"), "1940") == (
        Drop.REFUSED,
        "does not fit 1940: it is 1941",
    )
    drop, words = told(jar, carried(jar, 5), "1940")
    assert drop is Drop.REFUSED
    assert words.startswith("does not fit 1940: it is of another series, ")
    assert told(jar, carried(jar, 4), "1942-D", "Shown")[1] == (
        "Shown is an overview and holds no coins"
    )
    jar.run(let_go([CoinId(3)]))
    assert told(jar, carried(jar, 3), "1943-D") == (
        Drop.REFUSED,
        "this coin is gone: only coins you hold can go",
    )


def test_a_swap_whose_other_coin_would_not_fit_is_refused(jar: Collection) -> None:
    an_album(jar, "Any", mints=("any",))
    with_coins(jar, "1941-D f12")
    jar.run(place_coin(CoinId(6), slot(jar, "1941 any mint", "Any")))
    drop, words = told(jar, carried(jar, 1, "1941"), "1941 any mint", "Any")
    assert (drop, words) == (Drop.REFUSED, "1941-D F-12 would not fit 1941: it is 1941-D")


def test_the_outlook_is_what_happens(jar: Collection) -> None:
    """Over every slot of both albums: allowed goes through, refused is refused."""
    hands = [carried(jar, 1, "1941"), carried(jar, 2, "1941", "Second")]
    seen = set()
    for hand in hands:
        for album in ("Nickels", "Second", "Shown"):
            view = jar.album_view(jar.find_album(album).id)
            for there in view.slots:
                look = outlook(view, there.slot.id, hand)
                assert hand.slot is not None
                order = swap_slots if there.coin is not None and album != "Shown" else move_coin
                before = jar.rows_hash()
                try:
                    jar.run(order(hand.slot.id, there.slot.id))
                    jar.undo()
                    was_done = True
                except CollectionError:
                    was_done = False
                assert was_done is look.drop.is_allowed, (there.label, look)
                assert jar.rows_hash() == before
                seen.add(look.drop)
    assert seen == {Drop.SWAP, Drop.NOTHING, Drop.REFUSED}


def test_words_are_short_and_begin_small(jar: Collection) -> None:
    hand = carried(jar, 1, "1941")
    gone = replace(hand, slot=None)
    for one in (hand, gone):
        look = outlook(
            jar.album_view(jar.find_album("Second").id), slot(jar, "1941", "Second"), one
        )
        assert len(look.words) < 70
        assert look.words[0].islower()
