"""The demo collection: the same every time, and every state and mark on its first screen."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from core.app import demo
from core.app.collection import Collection
from core.app.demo import CSV, ensure_demo, write_demo
from core.app.views import AlbumView
from core.errors import CollectionError, FileTrouble, Refused
from core.fill.proposal import propose
from core.model.album import Wish
from core.model.coin import CoinStatus, Finding, Origin
from core.model.state import Mark, SlotState
from resources import read_text


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("demo") / "demo.slotleaf"
    write_demo(path)
    return path


@pytest.fixture(scope="module")
def jar(file: Path) -> Iterator[Collection]:
    with Collection.open(file, read_only=True) as collection:
        yield collection


def first(jar: Collection) -> AlbumView:
    return jar.album_view(jar.albums()[0].id)


def test_it_is_the_same_collection_every_time(file: Path, tmp_path: Path) -> None:
    again = tmp_path / "again.slotleaf"
    write_demo(again)
    with Collection.open(file, read_only=True) as one, Collection.open(again) as other:
        assert one.content_hash() == other.content_hash()
        told = [(entry.label, entry.at) for entry in one.entries(500)]
        assert told == [(entry.label, entry.at) for entry in other.entries(500)]


def test_it_is_sound(jar: Collection) -> None:
    assert jar.check() == []


def test_it_holds_four_albums_of_which_one_is_invented_and_complete(jar: Collection) -> None:
    shelf = jar.shelf()
    assert [summary.album.name for summary in shelf] == [
        "Nickels 1938–1964",
        "Dimes 1946–1964",
        "Cents 1909–1958",
        "Harbour tokens",
    ]
    invented = [jar.series(summary.album.series).is_invented for summary in shelf]
    assert invented == [False, False, False, True]
    assert [s.headline.have == s.headline.wanted for s in shelf] == [False, False, False, True]
    assert len({summary.album.arrangement.kind for summary in shelf}) == 2


def test_it_holds_between_400_and_800_coins_graded_and_not(jar: Collection) -> None:
    coins = [row.coin for row in jar.coin_rows()]
    held = [coin for coin in coins if coin.status is CoinStatus.HELD]
    assert 400 <= len(held) <= 800
    graded = sum(coin.grade is not None for coin in held)
    assert 0.3 < graded / len(held) < 0.9
    assert any(coin.is_lot for coin in held)
    assert any(not coin.is_genuine for coin in held)
    assert {f for coin in held for _, f in coin.varieties} >= {Finding.CONFIRMED, Finding.SUSPECTED}
    assert {coin.origin for coin in coins} >= {Origin.FOUND, Origin.BOUGHT}
    assert {coin.status for coin in coins} == set(CoinStatus)
    assert all(coin.paid_minor is None for coin in coins)  # it holds no prices


def test_the_first_two_leaves_show_every_state_level_and_mark(jar: Collection) -> None:
    view = first(jar)
    places = {slot: place for slot, place in view.places.items() if place[0] <= 2}
    seen = [view.by_id[slot] for slot in places]
    states = {slot.state for slot in seen}
    cells = [cell for leaf in view.leaves[:2] for row in leaf.rows for cell in row.cells]
    if any(cell.slot is None and not cell.is_spacer for cell in cells):
        states.add(SlotState.NOT_STRUCK)
    assert states == set(SlotState)
    assert {mark for slot in seen for mark in slot.marks} == set(Mark)
    assert {s.level for s in seen if s.state is SlotState.BELOW_TARGET} == {25, 50, 75}
    assert any("or" in s.held_text for s in seen if s.state is SlotState.TO_VERIFY)


def test_optional_slots_are_there_held_and_empty(jar: Collection) -> None:
    slots = [s for album in jar.albums() for s in jar.album_view(album.id).slots]
    optional = [s for s in slots if s.slot.wish is Wish.OPTIONAL]
    assert {s.coin is not None for s in optional} == {True, False}


def test_its_history_runs_over_a_year_and_a_half(jar: Collection) -> None:
    days = [entry.at for entry in jar.entries(500)]
    assert timedelta(days=500) < days[0] - days[-1] < timedelta(days=600)
    assert 40 <= len(days) <= 120
    card = jar.slot_card(jar.find_slot(jar.find_album("Nickels"), "1943-D").id)
    assert [(line.day.isoformat(), line.text) for line in card.history] == [
        ("2026-03-02", "VG-8 put in"),
        ("2025-11-18", "bent coin taken out"),
        ("2025-06-30", "bent coin put in"),
    ]


def test_fill_finds_a_handful_of_moves_and_something_to_compare_by_eye(jar: Collection) -> None:
    proposal = propose(jar.fill_input())
    assert 5 <= len(proposal.moves) <= 12
    assert len({move.aim for move in proposal.moves}) >= 3
    assert proposal.compares
    slots = {s: v for album in jar.albums() for s, v in jar.album_view(album.id).by_id.items()}
    for move in proposal.moves:
        assert move.from_slot is not None or Mark.SPARE_WAITING in slots[move.slot].marks


def test_it_is_never_written_over_anything(file: Path, tmp_path: Path) -> None:
    before = file.read_bytes()
    with pytest.raises(Refused, match="is there already"):
        write_demo(file)
    assert ensure_demo(file) is False
    assert file.read_bytes() == before
    with pytest.raises(FileTrouble, match="no folder"):
        write_demo(tmp_path / "no" / "demo.slotleaf")
    assert ensure_demo(tmp_path / "new folder" / "demo.slotleaf") is True
    assert [p.name for p in (tmp_path / "new folder").iterdir()] == ["demo.slotleaf"]


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("2025-05-20,dance,c1,Nickels 1938–1964,,1941,,found,jar,,", "“dance” is no act"),
        ("2025-05-20,find,c1,Nickels 1938–1964,,1937,,found,jar,,", "1937"),
        ("2025-05-20,find,c1,Pounds,,1941,,found,jar,,", "no album “Pounds”"),
        ("2025-05-20,put,c1,Nickels 1938–1964,1941,,,,,,", "no coin is called “c1”"),
        ("2025-05-20,skip,,Nickels 1938–1964,1937,,,,,,", "no slot “1937”"),
        ("2025-05-20,arrive,,Nickels 1938–1964,1941,,,,,,", "No coin is on order"),
    ],
)
def test_a_fault_in_the_table_names_its_line_and_leaves_no_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, line: str, told: str
) -> None:
    head = read_text(CSV).splitlines()[0]

    def read(name: str) -> str:
        return f"{head}\n{line}\n" if name == CSV else read_text(name)

    monkeypatch.setattr(demo, "read_text", read)
    with pytest.raises(CollectionError, match=r"sittings\.csv line 2: .*" + told):
        write_demo(tmp_path / "demo.slotleaf")
    assert list(tmp_path.iterdir()) == []
