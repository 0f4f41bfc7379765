"""Operations on albums and the shelf, and how an opened collection finds things by their names."""

from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from core.app.collection import Collection, make_collection
from core.app.operations import (
    Operation,
    add_album,
    add_coins,
    delete_album,
    move_album,
    order_coin,
    place_coin,
    rearrange_album,
    rename_album,
    rename_collection,
    set_note,
    stock_slots,
)
from core.errors import Ambiguous, BadEntry, CollectionError, InUse, NotFound, ReadOnly
from core.model.album import AlbumId, AlbumKind
from core.model.arrangement import Arrangement, parse_arrangement
from core.model.coin import CoinId
from core.model.issue import SeriesId
from core.model.plan_album import AlbumPlan
from tests.collection_material import (
    DIMES,
    NICKELS,
    TOKENS,
    Heard,
    a_collection,
    an_album,
    fresh,
    held,
    marks,
    read_coin,
    slot,
    state,
    with_coins,
)


@pytest.fixture
def jar(tmp_path: Path) -> Iterator[Collection]:
    """Nickels 1940–1943 holding coin 1 in 1941, dimes below it, and coin 2 a spare."""
    with a_collection(tmp_path) as collection:
        an_album(collection)
        an_album(collection, "Dimes", DIMES, (1946, 1948))
        with_coins(collection, "1941 vf20", "1941 g4")
        collection.run(place_coin(CoinId(1), slot(collection, "1941")))
        yield collection


def names(collection: Collection) -> list[str]:
    return [summary.album.name for summary in collection.shelf()]


def test_a_new_album_stands_at_the_bottom_of_the_shelf_with_its_series(jar: Collection) -> None:
    an_album(jar, "  Harbour   tokens ", TOKENS, years=None)
    assert names(jar) == ["Nickels", "Dimes", "Harbour tokens"]
    assert TOKENS in [s.id for s in jar.series_in_use]
    summary = jar.shelf()[-1]
    assert summary.headline.text == f"have 0 of {len(jar.album_view(summary.album.id).slots)}"


def test_undoing_a_new_album_takes_its_series_out_again(jar: Collection) -> None:
    before = jar.rows_hash()
    an_album(jar, "Tokens", TOKENS, years=None)
    jar.undo()
    assert jar.rows_hash() == before
    assert TOKENS not in [s.id for s in jar.series_in_use]


def test_adding_the_first_coin_of_a_series_brings_the_series_in(jar: Collection) -> None:
    jar.run(add_coins([read_coin(jar, "H.E. 12 N", TOKENS)]))
    with fresh(jar) as other:
        assert [s.id for s in jar.series_in_use] == [s.id for s in other.series_in_use]
    assert TOKENS in [s.id for s in jar.series_in_use]


def test_an_album_is_renamed(jar: Collection) -> None:
    album = jar.find_album("Dimes").id
    jar.run(rename_album(album, "Roosevelt dimes"))
    assert names(jar) == ["Nickels", "Roosevelt dimes"]
    assert jar.album_view(album).plan.name == "Roosevelt dimes"


def test_an_album_may_be_renamed_to_another_case_of_its_own_name(jar: Collection) -> None:
    jar.run(rename_album(jar.find_album("Dimes").id, "DIMES"))
    assert names(jar) == ["Nickels", "DIMES"]


def test_a_rearranged_album_keeps_every_coin_in_its_slot(jar: Collection) -> None:
    album = jar.find_album("Nickels").id
    before = {s: v.coin for s, v in jar.album_view(album).by_id.items()}
    jar.run(rearrange_album(album, parse_arrangement("running:4x2")))
    view = jar.album_view(album)
    assert {s: v.coin for s, v in view.by_id.items()} == before
    assert [len(leaf.rows) for leaf in view.leaves] == [2, 1]


def test_albums_move_on_the_shelf_and_their_kept_views_know(jar: Collection) -> None:
    an_album(jar, "Tokens", TOKENS, years=None)
    views = [jar.album_view(a.id) for a in jar.albums()]
    assert [v.album.shelf for v in views] == [0, 1, 2]
    jar.run(move_album(views[2].album.id, 0))
    assert names(jar) == ["Tokens", "Nickels", "Dimes"]
    assert [jar.album_view(a.id).album.shelf for a in jar.albums()] == [0, 1, 2]


def test_a_deleted_album_leaves_its_coins_as_spares_and_undo_brings_it_back(
    jar: Collection,
) -> None:
    before = jar.rows_hash()
    an_album(jar, "Other nickels", target="none")
    whole = jar.rows_hash()
    jar.run(delete_album(jar.find_album("Nickels").id))
    assert names(jar) == ["Dimes", "Other nickels"]
    assert [summary.album.shelf for summary in jar.shelf()] == [0, 1]
    assert {c.id for c in jar.spares_of(NICKELS)} == {1, 2}
    assert "spare waiting" in marks(jar, "1941", "Other nickels")
    jar.undo()
    assert jar.rows_hash() == whole
    assert held(jar, "1941") == 1
    jar.undo()
    assert jar.rows_hash() == before


def test_the_collection_is_renamed(jar: Collection) -> None:
    jar.run(rename_collection(" Harbour Museum jar "))
    assert jar.name == "Harbour Museum jar"


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda c: add_album(" ", NICKELS, AlbumPlan(), Arrangement()), "needs a name"),
        (lambda c: add_album("nickels", NICKELS, AlbumPlan(), Arrangement()), "called Nickels"),
        (lambda c: add_album("X", SeriesId("no"), AlbumPlan(), Arrangement()), "no series “no”"),
        (
            lambda c: add_album("X", NICKELS, AlbumPlan((1800, 1810)), Arrangement()),
            "runs from 1938",
        ),
        (
            lambda c: add_album("X", NICKELS, AlbumPlan((1965, 1967), ("S",)), Arrangement()),
            "in those years at those mints",
        ),
        (lambda c: rename_album(c.find_album("Dimes").id, "NICKELS"), "called Nickels already"),
        (lambda c: rename_album(AlbumId(99), "X"), "99"),
        (lambda c: rearrange_album(AlbumId(99), Arrangement()), "99"),
        (lambda c: move_album(AlbumId(99), 0), "99"),
        (lambda c: delete_album(AlbumId(99)), "99"),
        (lambda c: delete_album(c.find_album("Dimes").id), "on order for Dimes (1946-S)"),
        (lambda c: rename_collection("  "), "needs a name"),
    ],
)
def test_a_refused_change_of_the_shelf_says_why_and_changes_nothing(
    jar: Collection, make: Callable[[Collection], Operation], told: str
) -> None:
    jar.run(order_coin(read_coin(jar, "1946-S", DIMES), slot(jar, "1946-S", "Dimes")))
    before, entries = jar.rows_hash(), len(jar.entries())
    with pytest.raises(CollectionError) as refusal:
        jar.run(make(jar))
    assert told in str(refusal.value)
    assert jar.rows_hash() == before
    assert len(jar.entries()) == entries
    with fresh(jar) as other:
        assert [s.id for s in jar.series_in_use] == [s.id for s in other.series_in_use]


SHELF: dict[str, Callable[[Collection], Operation]] = {
    "new": lambda c: add_album("More", TOKENS, AlbumPlan(), Arrangement()),
    "rename": lambda c: rename_album(c.find_album("Dimes").id, "Small silver"),
    "rearrange": lambda c: rearrange_album(c.find_album("Dimes").id, Arrangement(rows_per_leaf=2)),
    "move": lambda c: move_album(c.find_album("Dimes").id, 0),
    "delete": lambda c: delete_album(c.find_album("Nickels").id),
    "name": lambda c: rename_collection("Another jar"),
}


@pytest.mark.parametrize("name", SHELF)
def test_changes_of_the_shelf_are_undone_and_redone_exactly(jar: Collection, name: str) -> None:
    before, heard, order = jar.rows_hash(), Heard(jar), SHELF[name](jar)
    jar.run(order)
    after = jar.rows_hash()
    assert after != before
    assert heard.changes[0].label == order.label
    assert heard.changes[0].is_shelf or heard.changes[0].is_reshaped
    assert jar.undo() == order.label
    assert jar.rows_hash() == before
    assert jar.redo() == order.label
    assert jar.rows_hash() == after


# ---- an opened collection ---------------------------------------------------------------------


def test_an_album_is_found_by_a_unique_beginning_whatever_the_case(jar: Collection) -> None:
    an_album(jar, "Nickels of the war", years=(1942, 1945))
    assert jar.find_album("dim").name == "Dimes"
    assert jar.find_album("NICKELS").name == "Nickels"  # a whole name goes before a beginning
    assert jar.find_album("nickels o").name == "Nickels of the war"
    with pytest.raises(Ambiguous, match=r"Nickels, Nickels of the war\. Type more"):
        jar.find_album("nick")
    with pytest.raises(NotFound, match=r"Albums here: Nickels, Dimes, Nickels of the war"):
        jar.find_album("cents")


def test_a_slot_is_found_by_its_label_and_a_wrong_one_names_its_neighbours(
    jar: Collection,
) -> None:
    album = jar.find_album("Nickels")
    assert jar.find_slot(album, " 1941-d ").label == "1941-D"
    with pytest.raises(NotFound, match=r"no slot “1941-W”\. Near it: 1941, 1941-D, 1941-S\."):
        jar.find_slot(album, "1941-W")
    with pytest.raises(NotFound, match=r"no slot “1999”\.$"):
        jar.find_slot(album, "1999")


def test_entries_carry_the_moment_they_are_given_and_placements_its_local_day(
    jar: Collection,
) -> None:
    moment = datetime(2025, 6, 1, 12, tzinfo=UTC)
    jar.run(place_coin(CoinId(2), slot(jar, "1941")), at=datetime(2026, 3, 2, 12, tzinfo=UTC))
    jar.run(stock_slots([slot(jar, "1940")]), at=moment)
    assert jar.entries()[0].at == moment
    history = jar.slot_card(slot(jar, "1940")).history
    assert history[0].day == moment.astimezone().date()


def test_a_second_writer_is_refused_and_a_reader_sees_each_change(jar: Collection) -> None:
    with pytest.raises(InUse):
        Collection.open(jar.path)
    with fresh(jar) as reader:
        assert reader.is_read_only
        assert state(reader, "1940") == "gap"
        jar.run(stock_slots([slot(jar, "1940")]))
        assert state(reader, "1940") == "below target"
        jar.undo()
        assert state(reader, "1940") == "gap"
        with pytest.raises(ReadOnly, match=r"^Nothing was changed\. It was opened for read"):
            reader.run(set_note(slot(reader, "1940"), "x"))
        with pytest.raises(ReadOnly):
            reader.undo()


def test_undo_and_redo_outlive_closing_and_opening(jar: Collection) -> None:
    jar.run(stock_slots([slot(jar, "1940")]))
    after = jar.rows_hash()
    path = jar.path
    jar.close()
    with Collection.open(path) as again:
        assert again.undo_label == "stocking"
        again.undo()
        assert again.redo_label == "stocking"
    with Collection.open(path) as again:
        again.redo()
        assert again.rows_hash() == after


def test_undo_and_redo_with_nothing_to_do_say_none(tmp_path: Path) -> None:
    with a_collection(tmp_path) as collection:
        heard = Heard(collection)
        assert collection.undo_label is None
        assert collection.undo() is None
        assert collection.redo() is None
        assert heard.changes == []


def test_every_listener_is_told(jar: Collection) -> None:
    one, other = Heard(jar), Heard(jar)
    jar.run(stock_slots([slot(jar, "1940")]))
    assert one.changes == other.changes
    assert len(one.changes) == 1


def test_making_a_collection_never_overwrites(tmp_path: Path) -> None:
    path = tmp_path / "jar.slotleaf"
    make_collection(path, "One")
    before = path.read_bytes()
    with pytest.raises(CollectionError, match="is there already"):
        make_collection(path, "Other")
    assert path.read_bytes() == before


def test_an_overview_shows_the_best_held_coin_wherever_it_sits(jar: Collection) -> None:
    an_album(jar, "Best of all", kind=AlbumKind.OVERVIEW)
    assert held(jar, "1941", "Best of all") == 1
    with_coins(jar, "1941 xf40", "1941 ms60 bent", "1941 ms60 counterfeit")
    assert held(jar, "1941", "Best of all") == 3
    assert all(a.kind is AlbumKind.HOLDER or a.name == "Best of all" for a in jar.albums())
    assert jar.fill_input().albums == tuple(
        a.id for a in jar.albums() if a.kind is AlbumKind.HOLDER
    )


def test_what_is_wrong_with_an_entry_is_told_before_anything_is_written(jar: Collection) -> None:
    with pytest.raises(BadEntry):
        read_coin(jar, "1937")
