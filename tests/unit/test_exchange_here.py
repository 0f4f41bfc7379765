"""How a sheet names the slots of an album, and finds them again."""

import pytest

from core.app.exchange_here import AlbumHere
from core.errors import BadEntry
from core.model.album import Album, AlbumId
from tests.builders import a_slot

MANY = 12_000


def album_of(labels: list[str]) -> AlbumHere:
    slots = tuple(a_slot(number=at, label=label) for at, label in enumerate(labels, 1))
    return AlbumHere(Album(AlbumId(1), "Wall", slots[0].accepts.series, 0), slots)


def test_a_slot_is_found_by_what_the_sheet_calls_it_however_many_there_are() -> None:
    album = album_of(["1944"] * MANY)
    assert album.names[album.slots[-1].id] == f"#{MANY}"
    for slot in (album.slots[0], album.slots[9_998], album.slots[9_999], album.slots[-1]):
        assert album.slot(album.names[slot.id]) is slot


@pytest.mark.parametrize("name", ["#0", f"#{MANY + 1}", "#" + "9" * 40, "#" + "0" * 40])
def test_a_place_that_is_not_there_is_refused(name: str) -> None:
    with pytest.raises(BadEntry, match=f"has {MANY} slots, so there is no {name}"):
        album_of(["1944"] * MANY).slot(name)


def test_a_label_that_stands_once_names_its_slot() -> None:
    album = album_of(["1944", "1944-D", " 1944-S", "#1"])
    assert list(album.names.values()) == ["1944", "1944-D", "#3", "#4"]
    for slot in album.slots:
        assert album.slot(album.names[slot.id]) is slot
