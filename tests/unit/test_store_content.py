"""The content hash tells what a collection means, the rows hash what lies in its file."""

from dataclasses import replace
from pathlib import Path

import pytest

from core.model.album import AlbumId, SlotId
from core.model.coin import CoinId
from core.store import content
from core.store.store import Store
from core.store.tables import JOURNALLED
from tests.store_material import (
    CHANGES,
    DAY,
    TOKEN_TEXTS,
    a_coin,
    a_described,
    a_slot,
    a_store,
    an_album,
    fill,
)

# Of the changes a unit can make, those that alter nothing a collector has.
MEANS_NOTHING = {"set_name", "add_series"}


def test_every_table_is_walked_or_told_by_the_rows_that_use_it() -> None:
    assert {*content.WALKED, *content.NAMED_BY_USERS} == set(JOURNALLED)


@pytest.mark.parametrize("name", sorted(CHANGES))
def test_every_change_of_coins_slots_or_albums_alters_both_hashes(
    tmp_path: Path, name: str
) -> None:
    store = a_store(tmp_path / "jar.slotleaf")
    small = fill(store)
    before = store.content_hash(), store.rows_hash()
    with store.operation("Change") as unit:
        CHANGES[name](unit, small)
    after = store.content_hash(), store.rows_hash()
    assert after[1] != before[1]
    assert (after[0] == before[0]) is (name in MEANS_NOTHING)
    store.undo()
    assert (store.content_hash(), store.rows_hash()) == before


def a_filled_store(path: Path, is_roundabout: bool) -> Store:
    """Two albums and four coins; roundabout, every row but a coin gets another key."""
    store = a_store(path)
    with store.operation("Begin") as unit:
        unit.add_series(*TOKEN_TEXTS)
        if is_roundabout:
            gone = unit.add_album(an_album("Gone", 9))
            unit.add_slots([a_slot(gone, at) for at in range(3)])
            unit.delete_slots([s.id for s in unit.read.slots(gone)])
            (extra,) = unit.add_coins([replace(a_coin(), description=a_described(1950))])
            unit.delete_coins([extra])
        albums = {}
        names = ("First", "Second")[:: -1 if is_roundabout else 1]
        for name in names:
            made = unit.add_album(an_album(name, ("First", "Second").index(name)))
            albums[name] = unit.add_slots([a_slot(made, at) for at in range(3)])
        numbers = [CoinId(n) for n in (11, 12, 13, 14)]
        unit.add_numbered([a_coin(1900 + n, id=n) for n in numbers])
        pairs = [(albums["First"][0], numbers[0]), (albums["Second"][2], numbers[1])]
        for pair in pairs[:: -1 if is_roundabout else 1]:
            unit.place(*pair, DAY)
        unit.reserve(albums["Second"][1], numbers[3])
        if is_roundabout:
            unit.delete_album(gone)
    return store


def test_collections_that_mean_the_same_have_one_content_hash(tmp_path: Path) -> None:
    plain = a_filled_store(tmp_path / "plain.slotleaf", is_roundabout=False)
    other = a_filled_store(tmp_path / "other.slotleaf", is_roundabout=True)
    assert plain.content_hash() == other.content_hash()
    assert plain.rows_hash() != other.rows_hash()


def test_a_coin_in_another_slot_or_under_another_number_is_other_content(tmp_path: Path) -> None:
    def store(name: str, slot_at: int, number: int) -> Store:
        made = a_store(tmp_path / name)
        with made.operation("Begin") as unit:
            unit.add_series(*TOKEN_TEXTS)
            album: AlbumId = unit.add_album(an_album())
            slots: list[SlotId] = unit.add_slots([a_slot(album, at) for at in range(3)])
            unit.add_numbered([a_coin(id=CoinId(number))])
            unit.place(slots[slot_at], CoinId(number), DAY)
        return made

    one = store("one", 0, 5).content_hash()
    assert one == store("same", 0, 5).content_hash()
    assert one != store("slot", 1, 5).content_hash()
    assert one != store("number", 0, 6).content_hash()
