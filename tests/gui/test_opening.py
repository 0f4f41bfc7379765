"""What is read of the albums after opening: in short steps, the album on screen first."""

from pathlib import Path

from PySide6.QtCore import QObject

from core.app import kept_views
from core.model.album import AlbumId
from gui.album.opening import ReadAhead
from gui.desk import Desk
from gui.work import Runner
from tests.gui.window_material import small_collection


def test_a_look_up_goes_in_between_and_an_album_that_is_gone_is_passed_over(
    qapp, qtbot, tmp_path: Path, monkeypatch
) -> None:
    monkeypatch.setattr(kept_views, "_A_LITTLE", 1)
    unexpected: list[Exception] = []
    desk, parent = Desk(Runner(unexpected.append)), QObject()
    with qtbot.waitSignal(desk.opened, timeout=20_000):
        desk.open(small_collection(tmp_path / "drawer.slotleaf"))
    told: list[str] = []
    ahead = ReadAhead(desk, parent)
    ahead.ready.connect(lambda album: told.append(f"album {album}"))
    ahead.begin([AlbumId(99), AlbumId(1)])
    desk.ask(
        lambda collection: collection.look_up("43d "),
        lambda looked: told.append(f"{len(looked.readings) > 0}"),
    )
    qtbot.waitUntil(lambda: len(told) == 2, timeout=20_000)
    assert told == ["True", "album 1"]  # asked for last, answered before the album is ready
    kept: list[int] = []
    desk.ask(lambda c: len(list(c._kept.spares(c.albums()[0].series).coins())), kept.append)
    qtbot.waitUntil(lambda: bool(kept))
    assert kept[0] > 0
    ahead.begin([AlbumId(1), AlbumId(1)])
    qtbot.waitUntil(lambda: len(told) == 3)
    desk.shut_down()
    assert told[2] == "album 1"
    assert unexpected == []
