"""What fits where: coins for a slot, slots for a coin, in the order of what they gain."""

from pathlib import Path

import pytest

from core.app.collection import Collection
from core.app.finding import FoundCoin, Gain, coins_for_slot, places_for_coin
from core.app.operations import edit_coins, let_go, place_coin, set_wish
from core.app.work import Progress
from core.errors import Cancelled
from core.model.album import AlbumKind, Wish
from core.model.coin import CoinId
from core.model.fit import Fit
from tests.collection_material import CENTS, a_collection, an_album, held, slot, with_coins


@pytest.fixture
def collection(tmp_path: Path) -> Collection:
    """Two albums with 1943-D; spares 1–4, one of them (3) of which the letter is not known."""
    collection = a_collection(tmp_path)
    an_album(collection)
    an_album(collection, "War years", years=(1942, 1945), target="none")
    with_coins(collection, "1943-D vf20", "1943-D g4", "1943 ?", "1943-D xf40 cleaned")
    with_coins(collection, "1943-D steel", series=CENTS)
    return collection


def found(collection: Collection, label: str = "1943-D") -> tuple[FoundCoin, ...]:
    return collection.coins_for_slot(slot(collection, label)).coins


def test_coins_that_fit_come_best_first_and_those_that_may_last(collection: Collection) -> None:
    coins = found(collection)
    assert [c.coin for c in coins] == [1, 2, 4, 3]
    assert [c.fit for c in coins] == [Fit.FITS, Fit.FITS, Fit.FITS, Fit.MAY_FIT]
    assert coins[0].text == "fills the gap, meets target"
    assert coins[3].text == "may fit: mint not known"


def test_a_coin_in_another_slot_is_found_after_the_spares(collection: Collection) -> None:
    collection.run(place_coin(CoinId(1), slot(collection, "1943-D", "War years")))
    coins = found(collection)
    assert [c.coin for c in coins] == [2, 4, 1, 3]
    assert coins[2].text.endswith("from its slot")


def test_the_coin_in_the_slot_and_coins_that_are_gone_are_left_out(
    collection: Collection,
) -> None:
    collection.run(place_coin(CoinId(2), slot(collection, "1943-D")))
    collection.run(let_go([CoinId(4)]))
    finds = collection.coins_for_slot(slot(collection, "1943-D"))
    assert [(c.coin, c.gain) for c in finds.coins] == [(1, Gain.UPGRADE), (3, Gain.NONE)]
    assert finds.there == "G-4, below target"
    assert (finds.album_name, finds.label) == ("Nickels", "1943-D")


def test_sound_against_ungraded_is_for_the_eye(collection: Collection) -> None:
    (made,) = with_coins(collection, "1943-D")
    collection.run(place_coin(CoinId(2), slot(collection, "1943-D")))
    gains = {c.coin: c.gain for c in found(collection)}
    assert gains[made] is Gain.COMPARE
    assert gains[CoinId(4)] is Gain.NONE


def test_only_the_coins_given_are_looked_at(collection: Collection) -> None:
    some = [collection.coin(CoinId(2))]
    finds = collection.coins_for_slot(slot(collection, "1943-D"), some)
    assert [c.coin for c in finds.coins] == [2]


def test_a_coin_is_shown_every_slot_of_every_album_that_takes_it(collection: Collection) -> None:
    collection.run(place_coin(CoinId(2), slot(collection, "1943-D")))
    found = collection.places_for_coin(CoinId(1))
    told = [(p.album_name, p.label, p.there, p.gain) for p in found.places]
    assert told == [
        ("War years", "1943-D", "a gap", Gain.GAP),
        ("Nickels", "1943-D", "G-4, below target", Gain.UPGRADE),
    ]
    assert found.places[1].where == "leaf 1, row 4, place 2"
    assert found.places[1].text == "meets target"


def test_where_the_coin_is_comes_first_and_says_so(collection: Collection) -> None:
    collection.run(place_coin(CoinId(1), slot(collection, "1943-D", "War years")))
    places = collection.places_for_coin(CoinId(1)).places
    assert [(p.album_name, p.is_here) for p in places] == [("War years", True), ("Nickels", False)]
    assert places[0].text == "it is here"


def test_slots_it_only_may_fit_come_last_and_name_what_is_open(collection: Collection) -> None:
    places = collection.places_for_coin(CoinId(3)).places
    assert {p.label for p in places} == {"1943-P", "1943-D", "1943-S"}
    assert {p.fit for p in places} == {Fit.MAY_FIT}
    assert {p.text for p in places} == {"may fit: mint not known"}


def test_a_skipped_slot_gains_nothing_and_an_overview_is_no_place(collection: Collection) -> None:
    an_album(collection, "All at once", kind=AlbumKind.OVERVIEW)
    collection.run(set_wish([slot(collection, "1943-D")], Wish.SKIPPED))
    places = collection.places_for_coin(CoinId(1)).places
    assert [(p.album_name, p.text) for p in places] == [
        ("War years", "fills the gap"),
        ("Nickels", "you skip this slot"),
    ]


def test_nothing_is_found_for_a_coin_that_is_not_genuine(collection: Collection) -> None:
    from dataclasses import replace

    collection.run(edit_coins([replace(collection.coin(CoinId(1)), is_genuine=False)]))
    assert collection.places_for_coin(CoinId(1)).places == ()
    assert 1 not in [c.coin for c in found(collection)]


def test_more_places_than_anybody_reads_are_counted(collection: Collection) -> None:
    views = [collection.album_view(a.id) for a in collection.albums()]
    coin = collection.coin(CoinId(3))
    few = places_for_coin(views, coin, most=2)
    everything = places_for_coin(views, coin)
    assert (len(few.places), few.left_out) == (2, len(everything.places) - 2)
    assert few.places == everything.places[:2]


def test_putting_in_what_was_found_does_what_was_said(collection: Collection) -> None:
    best = found(collection)[0]
    collection.run(place_coin(best.coin, slot(collection, "1943-D")))
    assert held(collection, "1943-D") == best.coin
    assert Gain.UPGRADE not in {c.gain for c in found(collection)}


def test_looking_and_reading_stop_when_asked(collection: Collection) -> None:
    progress = Progress()
    progress.cancel()
    view = collection.album_view(collection.albums()[0].id)
    coin = collection.coin(CoinId(1))
    with pytest.raises(Cancelled):
        coins_for_slot(view, slot(collection, "1943-D"), [coin], check=progress.check)
    with pytest.raises(Cancelled):
        places_for_coin([view], coin, progress.check)
    with pytest.raises(Cancelled):
        collection.coin_rows(progress=progress)


def test_reading_every_coin_tells_how_far_it_is(collection: Collection) -> None:
    shares: list[float] = []
    rows = collection.coin_rows(progress=Progress(lambda share, _doing: shares.append(share)))
    assert len(rows) == 5
    assert shares[0] == 0
    assert all(0 <= share <= 1 for share in shares)
