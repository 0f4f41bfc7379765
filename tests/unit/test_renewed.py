"""A kept view after a change beside it: the same leaves, the marks and the shown coins anew."""

from pathlib import Path

from core.app.operations import let_go, place_coin, set_pinned
from core.app.search_orders import keep_find, remove_find
from core.model.album import AlbumKind
from tests.collection_material import (
    a_box,
    a_collection,
    an_album,
    differences,
    fresh,
    marks,
    read_coin,
    slot,
    with_coins,
)

WAITING = "spare waiting"


def test_finds_and_spares_that_go_leave_the_leaves_and_renew_the_marks(tmp_path: Path) -> None:
    with a_collection(tmp_path) as collection:
        albums = [an_album(collection), an_album(collection, "All", kind=AlbumKind.OVERVIEW)]
        albums.append(an_album(collection, "Either mint", mints=("any",)))
        box = a_box(collection)
        (worn,) = with_coins(collection, "1941 g4")
        collection.run(place_coin(worn, slot(collection, "1941")))

        before = [collection.album_view(album).leaves for album in albums]

        def are_kept() -> list[bool]:
            return [
                collection.album_view(album).leaves is laid_out
                for album, laid_out in zip(albums, before, strict=True)
            ]

        for entry in ("1943-D vf20", "2 x 1941 f12", "1942 ?", "1943-D g4"):
            coin = read_coin(collection, entry)
            collection.run(keep_find(box, coin))
            with fresh(collection) as other:
                assert differences(collection, other) == [], entry
        assert are_kept() == [True, True, True]
        assert marks(collection, "1943-D") == marks(collection, "1941") == {WAITING}
        first, *_, last = collection.log.box_view(box).finds
        for gone in (remove_find(last.find.id), let_go([first.coin.id])):
            collection.run(gone)
            with fresh(collection) as other:
                assert differences(collection, other) == []
        assert marks(collection, "1943-D") == set()
        assert are_kept() == [True, False, True]  # the overview showed a coin that is gone
        collection.run(set_pinned([slot(collection, "1941")], True))
        assert are_kept() == [False, False, True]
        assert marks(collection, "1941") == {"pinned"}
