"""Finishing a box: fill, spares, lots and back to the bank, whole, in one entry, undone exactly."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from core.app.collection import Collection
from core.app.finish_box import (
    LOT_PLACE,
    Way,
    finish_box,
    finish_proposal,
    finish_task,
    totals,
)
from core.app.operations import clear_slots, place_coin
from core.app.search_orders import count_seen, reopen_box
from core.errors import CollectionError
from core.fill.proposal import propose
from core.model.album import AlbumKind
from core.model.coin import CoinId, CoinStatus
from core.model.search import BoxId, Sighting
from tests.collection_material import (
    DAY,
    a_box,
    a_collection,
    an_album,
    differences,
    fresh,
    held,
    keep,
    slot,
    with_coins,
)

ONE = BoxId(1)


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """1940 holds a VG-8 and a spare VF-30 lies about; the box gave 1940 (twice), 1941 and others.

    Coins: 1 in 1940, 2 a spare 1942, then finds 3 (1940 VF-20), 4 (1941 F-12), 5 to 7 (1959, not
    in the album: VF-20, XF-40, no grade) and 8 (1959, corroded).
    """
    with a_collection(tmp_path_factory.mktemp("finish")) as collection:
        an_album(collection)
        an_album(collection, "All of them", kind=AlbumKind.OVERVIEW)
        old, _spare = with_coins(collection, "1940 vg8", "1942 vf30")
        collection.run(place_coin(old, slot(collection, "1940")))
        a_box(collection)
        keep(collection, ONE, "1940 vf20", answer="Upgrade")
        keep(collection, ONE, "1941 f12", answer="Fills a gap")
        for entry in ("1959 vf20", "1959 xf40", "1959", "1959 vf20 corroded"):
            keep(collection, ONE, entry, answer="Not sought")
        collection.run(count_seen(ONE, Sighting(0, ONE, 0, 0, counter="foreign")))
        path = collection.path
    return path.read_bytes()


@pytest.fixture
def jar(written: bytes, tmp_path: Path) -> Iterator[Collection]:
    """The same file, made once, opened by each test."""
    path = tmp_path / "jar.slotleaf"
    path.write_bytes(written)
    with Collection.open(path, today=lambda: DAY) as collection:
        yield collection


def pairs_of(collection: Collection, *off: int) -> list[tuple[str, int]]:
    """What is proposed, as slot labels and coins, less these coins' lines."""
    task = finish_task(collection, ONE)
    barred = [m.pair for m in finish_proposal(task).moves if m.coin in off]
    found = finish_proposal(task, barred)
    labels = {one.id: one.label for one in task.given.slots}
    return [(labels[move.slot], move.coin) for move in found.moves]


def test_only_the_finds_of_the_box_are_proposed(jar: Collection) -> None:
    assert pairs_of(jar) == [("1940", 3), ("1941", 4)]
    assert pairs_of(jar, 3) == [("1941", 4)]
    task = finish_task(jar, ONE)
    proposal = finish_proposal(task)
    assert [line.coin.id for line in task.rest(proposal)] == [5, 6, 7, 8]
    told = totals(task, proposal, {CoinId(5): Way.LOT, CoinId(6): Way.LOT, CoinId(8): Way.BANK})
    assert told.text == (
        "2 finds into albums · 1 coin comes out · 1 spare · 2 into the lot · 1 back to the bank"
    )


def test_coins_of_the_albums_move_only_for_a_find(jar: Collection) -> None:
    an_album(jar, "Forties", years=(1942, 1942), target="")
    jar.run(place_coin(CoinId(2), slot(jar, "1942", "Forties")))
    everywhere = {move.coin for move in propose(jar.fill_input()).moves}
    assert CoinId(2) in everywhere  # Fill alone moves it up the shelf
    assert pairs_of(jar) == [("1940", 3), ("1941", 4)]


def test_a_find_said_to_be_better_goes_in_where_only_the_eye_could_tell(jar: Collection) -> None:
    (held_there,) = with_coins(jar, "1941-D")
    jar.run(place_coin(held_there, slot(jar, "1941-D")))
    first, second, other = (
        keep(jar, ONE, "1941-D", answer=answer)[0] for answer in ("Upgrade", "Upgrade", "No use")
    )
    keep(jar, ONE, "1940-S", answer="Fills a gap")
    (best,) = keep(jar, ONE, "1940-S", answer="Upgrade")
    keep(jar, ONE, "1940-S", answer="No use")
    found = pairs_of(jar)
    assert ("1941-D", second) in found, "the last that was said to be better"
    assert ("1940-S", best) in found
    assert not {first, other} & {coin for _, coin in found}
    assert ("1941-D", first) in pairs_of(jar, second), "the line taken off leaves it to the other"
    task = finish_task(jar, ONE)
    (move,) = (m for m in finish_proposal(task).moves if m.coin == second)
    assert (move.leaving, move.reason) == (held_there, "You said that it is better.")
    proposal = finish_proposal(task)
    jar.run(finish_box(ONE, [m.pair for m in proposal.moves]))
    for album, have in proposal.have_after.items():
        headline = jar.album_view(album).headline
        assert (headline.have, headline.at_target) == (have, proposal.target_after[album])
    words = jar.log.box_slots(ONE).words
    assert words[slot(jar, "1941-D")] == "better", "the report and the tallies count it too"


def test_what_is_said_of_a_coin_that_would_go_on_is_told_as_it_is(jar: Collection) -> None:
    """1942-D G-4 makes way for a VF-20 and would fill the other gap; a find is said to beat it."""
    an_album(jar, "Forties", years=(1942, 1942), mints=("D",), target="")
    (worn,) = with_coins(jar, "1942-D g4")
    jar.run(place_coin(worn, slot(jar, "1942-D")))
    (bare,) = keep(jar, ONE, "1942-D", answer="Upgrade")
    (fine,) = keep(jar, ONE, "1942-D vf20", answer="Upgrade")
    moves = {move.coin: move for move in finish_proposal(finish_task(jar, ONE)).moves}
    assert moves[fine].slot == slot(jar, "1942-D")
    move = moves[bare]
    assert move.slot == slot(jar, "1942-D", "Forties")
    assert (move.from_slot, move.reason) == (None, "You said that it is better.")
    assert move.chain != moves[fine].chain
    assert worn not in moves


def test_all_of_it_is_one_entry_and_undo_takes_back_the_whole(jar: Collection) -> None:
    before, rows = jar.content_hash(), jar.rows_hash()
    task = finish_task(jar, ONE)
    pairs = [move.pair for move in finish_proposal(task).moves]
    ways = dict.fromkeys(map(CoinId, (5, 6, 7)), Way.LOT) | {CoinId(8): Way.BANK}
    jar.run(finish_box(ONE, pairs, ways, seconds=60))
    box = jar.log.box(ONE)
    assert (box.is_done, box.seconds) == (True, 60)
    assert (held(jar, "1940"), held(jar, "1941")) == (3, 4)
    lot = jar.coin(CoinId(5))
    assert (lot.quantity, lot.grade and lot.grade.text, lot.place) == (
        2,
        "VF-20 to XF-40",
        LOT_PLACE,
    )
    single = jar.coin(CoinId(7))
    assert (single.quantity, single.grade, single.place) == (1, None, LOT_PLACE)
    back = jar.coin(CoinId(8))
    assert (back.status, back.note) == (CoinStatus.GONE, "back to the bank, box 32")
    assert [line.coin.id for line in jar.log.box_view(ONE).finds] == [3, 4, 5, 5, 7, 8]
    assert jar.entries(1)[0].label == "finish · box 32"
    with fresh(jar) as other:
        assert differences(jar, other) == []
    after = jar.content_hash()
    jar.undo()
    assert (jar.content_hash(), jar.rows_hash()) == (before, rows)
    jar.redo()
    assert jar.content_hash() == after
    assert jar.check() == []


def test_nothing_is_done_where_a_part_cannot_be(jar: Collection) -> None:
    before = jar.rows_hash()
    into = slot(jar, "1940"), CoinId(3)
    refused = {
        "is no find of box 32": ([], {CoinId(2): Way.BANK}),
        "is to go into an album": ([into], {CoinId(3): Way.BANK}),
        "no longer surely fits": ([(slot(jar, "1940"), CoinId(4))], {CoinId(5): Way.LOT}),
        "no coin": ([], {CoinId(99): Way.LOT}),
    }
    for said, (pairs, ways) in refused.items():
        with pytest.raises(CollectionError, match=said):
            jar.run(finish_box(ONE, pairs, ways))
        assert jar.rows_hash() == before, said


def test_a_box_is_finished_once_and_what_is_settled_is_not_asked_again(jar: Collection) -> None:
    ways = {CoinId(5): Way.LOT, CoinId(6): Way.LOT, CoinId(8): Way.BANK}
    jar.run(finish_box(ONE, [], ways))
    with pytest.raises(CollectionError, match="is finished"):
        finish_task(jar, ONE)
    with pytest.raises(CollectionError, match="is finished"):
        jar.run(finish_box(ONE))
    jar.run(reopen_box(ONE))
    task = finish_task(jar, ONE)
    assert sorted(task.loose) == [3, 4, 7]
    for coin, why in ((5, "in a lot already"), (8, "is gone already")):
        with pytest.raises(CollectionError, match=why):
            jar.run(finish_box(ONE, [], {CoinId(coin): Way.BANK}))


def test_a_coin_that_sat_in_an_album_keeps_its_own_row_in_the_lot(jar: Collection) -> None:
    an_album(jar, "Late", years=(1959, 1959), target="")
    jar.run(place_coin(CoinId(6), slot(jar, "1959", "Late")))
    jar.run(place_coin(CoinId(5), slot(jar, "1959", "Late")))
    jar.undo()
    jar.run(clear_slots([slot(jar, "1959", "Late")]))
    keep(jar, ONE, "1959 xf40")
    jar.run(finish_box(ONE, [], dict.fromkeys(map(CoinId, (5, 6, 9)), Way.LOT), "tin"))
    assert [jar.coin(CoinId(n)).quantity for n in (5, 6)] == [2, 1]
    assert jar.coin(CoinId(6)).place == "tin"


def test_a_box_without_finds_or_albums_is_just_done(tmp_path: Path) -> None:
    with a_collection(tmp_path) as collection:
        box = a_box(collection)
        task = finish_task(collection, box)
        proposal = finish_proposal(task)
        assert (task.finds, proposal.moves) == ((), ())
        assert totals(task, proposal, {}).text == "nothing was kept of this box"
        collection.run(finish_box(box))
        assert collection.log.box(box).is_done
        assert replace(task.box, is_done=True) == collection.log.box(box)
