"""The collection for benches, at a small size: sound, each time the same, of everything some."""

from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from core.app.checklists import ListName
from core.app.collection import Collection
from core.app.operations import apply_fill
from core.errors import Refused
from core.fill.proposal import propose
from core.model.album import Wish
from core.model.coin import CoinStatus
from core.model.state import SlotState
from scenarios.big_collection import album_sizes, main, write_big_collection

COINS, SIZES = 4_000, (250, 400)


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("big") / "warehouse.slotleaf"
    write_big_collection(file, COINS, SIZES)
    return file


@pytest.fixture
def warehouse(path: Path) -> Iterator[Collection]:
    with Collection.open(path, read_only=True) as collection:
        yield collection


def test_it_has_the_coins_and_slots_asked_for_and_the_file_is_sound(warehouse: Collection) -> None:
    assert warehouse.check() == []
    assert len(warehouse.coin_rows()) == COINS
    assert tuple(len(warehouse.album_view(a.id).slots) for a in warehouse.albums()) == SIZES


def test_the_same_arguments_give_the_same_content(warehouse: Collection, tmp_path: Path) -> None:
    for seed, is_same in ((1, True), (2, False)):
        write_big_collection(tmp_path / f"{seed}", COINS, SIZES, seed)
        with Collection.open(tmp_path / f"{seed}", read_only=True) as other:
            assert (other.content_hash() == warehouse.content_hash()) is is_same


def test_there_is_some_of_everything(warehouse: Collection) -> None:
    rows = warehouse.coin_rows()
    states = Counter(row.state for row in rows)
    assert {"in an album", "spare", "lot", "on order", "gone"} <= states.keys()
    coins = [row.coin for row in rows]
    assert 0.5 < sum(c.grade is None for c in coins) / COINS < 0.7
    assert 0.04 < sum(bool(c.problems) for c in coins) / COINS < 0.12
    assert any(c.varieties for c in coins)
    assert any(c.is_flagged for c in coins)
    views = [warehouse.album_view(album.id) for album in warehouse.albums()]
    drawn = Counter(slot.state for view in views for slot in view.slots)
    assert set(SlotState) - {SlotState.NOT_STRUCK} <= drawn.keys()
    assert 0.4 < states["in an album"] / sum(SIZES) < 0.6
    pasts = [warehouse.slot_card(slot.slot.id).history for slot in views[0].slots]
    assert sum(len(past) > 1 for past in pasts) > 5
    assert len(warehouse.entries()) == 5


def test_it_can_be_filled_printed_and_undone(path: Path, tmp_path: Path) -> None:
    mine = tmp_path / "mine.slotleaf"
    mine.write_bytes(path.read_bytes())
    with Collection.open(mine) as warehouse:
        before = warehouse.content_hash()
        album = warehouse.albums()[0].id
        given = warehouse.fill_input([album])
        proposal = propose(given)
        assert sum(proposal.have_after.values()) > sum(proposal.have_before.values())
        warehouse.run(apply_fill([move.pair for move in proposal.moves]))
        assert propose(warehouse.fill_input([album])).moves == ()
        gaps = warehouse.checklist(album, ListName.GAPS)
        empty = [
            view
            for view in warehouse.album_view(album).slots
            if view.coin is None and view.slot.wish is Wish.WANTED
        ]
        assert 0 < sum(len(leaf.rows) for leaf in gaps.leaves) <= len(empty)
        warehouse.undo()
        assert warehouse.content_hash() == before
        held = {r.coin.id for r in warehouse.coin_rows() if r.coin.status is CoinStatus.HELD}
        assert {move.coin for move in proposal.moves} <= held


def test_albums_are_cut_as_asked() -> None:
    assert album_sizes(25_000) == (250, 5_000, 19_750)
    assert album_sizes(600) == (200, 200, 200)
    assert album_sizes(10, 3) == (4, 3, 3)


def test_it_is_run_from_the_command_line(tmp_path: Path, monkeypatch, capsys) -> None:
    out = tmp_path / "out.slotleaf"
    words = [str(out), "--coins", "300", "--slots", "40", "--albums", "2", "--seed", "3"]
    monkeypatch.setattr("sys.argv", ["big_collection", *words])
    assert main() == 0
    assert "300 coins" in capsys.readouterr().out
    assert main() == 1
    assert "already" in capsys.readouterr().err


def test_fewer_coins_than_slots_are_refused(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="fewer"):
        write_big_collection(tmp_path / "x", 5, (10,))
