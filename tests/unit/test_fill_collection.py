"""Fill on an opened collection: what it is given, and what carrying it out leaves."""

from pathlib import Path

from core.app.collection import Collection, make_collection
from core.app.operations import add_album, add_coins, apply_fill, place_coin
from core.fill.proposal import Aim, propose
from core.lookup.parse import parse_entry
from core.model.arrangement import parse_arrangement
from core.model.issue import SeriesId
from core.model.plan_album import AlbumPlan

NICKELS, DIMES = SeriesId("us-nickel-jefferson"), SeriesId("us-dime-roosevelt")


def a_jar(folder: Path) -> Collection:
    """A collection with an album of the 1946 and 1947 nickels."""
    make_collection(folder / "jar.slotleaf", "The jar")
    collection = Collection.open(folder / "jar.slotleaf")
    plan = AlbumPlan((1946, 1947))
    collection.run(add_album("Nickels", NICKELS, plan, parse_arrangement("years-by-mints")))
    return collection


def put_in_jar(collection: Collection, entry: str, series: SeriesId = NICKELS):
    coin = parse_entry(entry, [collection.series(series)]).coin
    (number,) = collection.run(add_coins([coin])).made_coins
    return number


def test_a_coin_of_another_series_in_a_slot_makes_way_for_one_that_fits(tmp_path):
    collection = a_jar(tmp_path)
    hole = collection.find_slot(collection.albums()[0], "1946-D")
    stray = put_in_jar(collection, "1946-D", DIMES)
    collection.run(place_coin(stray, hole.id, may_be_wrong=True))
    assert propose(collection.fill_input()).moves == ()
    right = put_in_jar(collection, "1946-D")
    (move,) = propose(collection.fill_input()).moves
    assert (move.coin, move.leaving, move.aim) == (right, stray, Aim.REPLACES_UNSURE)
    collection.close()


def test_a_fill_carried_out_leaves_nothing_to_propose(tmp_path):
    collection = a_jar(tmp_path)
    for entry in ("1946-D vf20", "1946-D f12", "1946-S", "1947", "1947-S g4"):
        put_in_jar(collection, entry)
    proposal = propose(collection.fill_input())
    assert len(proposal.moves) == 4
    collection.run(apply_fill([move.pair for move in proposal.moves]))
    again = propose(collection.fill_input())
    assert again.moves == ()
    assert again.have_before == proposal.have_after
    collection.close()
