"""The desk and its runners: orders, answers and failures arrive on the main thread, in order."""

import sqlite3
import threading
from contextlib import closing
from pathlib import Path

import pytest
from PySide6.QtCore import QObject, QThread

from core.app.changes import Changes
from core.app.collection import Collection
from core.app.operations import rename_album, set_target
from core.app.order import Context, Operation
from core.app.work import Progress
from core.errors import FileTrouble, NotFound, ReadOnly, Refused
from core.model.album import AlbumId, Target
from core.store.unit import Unit
from gui.desk import Desk
from gui.work import InlineRunner, Runner
from tests.gui.window_material import small_collection


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return small_collection(tmp_path / "drawer.slotleaf")


@pytest.fixture
def desk(qapp, qtbot, path: Path):
    """A desk with real threads, opened."""
    unexpected: list[Exception] = []
    runner = Runner(unexpected.append)
    desk = Desk(runner)
    with qtbot.waitSignal(desk.opened, timeout=20_000):
        desk.open(path)
    yield desk
    desk.shut_down()
    assert unexpected == []


def test_an_answer_arrives_on_the_main_thread_from_another(desk: Desk, qtbot) -> None:
    seen: list[tuple[int, bool]] = []
    here = threading.get_ident()

    def answer(worker: int) -> None:
        seen.append((worker, QThread.currentThread().isMainThread()))

    desk.ask(lambda _collection: threading.get_ident(), answer)
    qtbot.waitUntil(lambda: bool(seen))
    assert seen[0][0] != here
    assert seen[0][1]


def test_an_order_is_told_before_it_is_answered(desk: Desk, qtbot) -> None:
    told: list[str] = []
    desk.changed.connect(lambda changes: told.append(f"changed: {changes.label}"))
    desk.run(rename_album(AlbumId(1), "Kept"), lambda _changes: told.append("then"))
    qtbot.waitUntil(lambda: len(told) == 2)
    assert told == ["changed: rename to Kept", "then"]
    assert desk.undo_label == "rename to Kept"


def test_undo_and_redo_keep_their_labels_up_to_date(desk: Desk, qtbot) -> None:
    with qtbot.waitSignal(desk.changed):
        desk.run(rename_album(AlbumId(1), "Kept"))
    with qtbot.waitSignal(desk.changed):
        desk.undo()
    assert desk.redo_label == "rename to Kept"
    with qtbot.waitSignal(desk.changed):
        desk.redo()
    assert desk.redo_label is None


def test_a_refusal_is_shown_or_handed_to_who_asked(desk: Desk, qtbot) -> None:
    with qtbot.waitSignal(desk.failed) as shown:
        desk.run(rename_album(AlbumId(1), "Later nickels"))
    assert "already" in shown.args[0]
    taken: list[Exception] = []
    desk.run(rename_album(AlbumId(1), ""), failed=taken.append)
    qtbot.waitUntil(lambda: bool(taken))
    assert isinstance(taken[0], Refused)


def test_a_fault_of_the_program_is_no_refusal(desk: Desk, qtbot) -> None:
    def fails(_collection: object) -> None:
        raise ZeroDivisionError

    with qtbot.waitSignal(desk.broke) as broke:
        desk.ask(fails, lambda _none: None)
    assert isinstance(broke.args[0], ZeroDivisionError)


def test_a_cancelled_question_gives_no_answer(desk: Desk, qtbot) -> None:
    began = threading.Event()
    seen: list[str] = []

    def slow(_collection: object, progress: Progress) -> str:
        began.set()
        for _ in range(2000):
            progress.check()
            threading.Event().wait(0.005)
        return "late"

    stopped: list[bool] = []
    desk.ask_long(slow, seen.append, cancelled=lambda: stopped.append(True))
    assert began.wait(5)
    assert desk.can_cancel
    desk.cancel()
    qtbot.waitUntil(lambda: stopped == [True])
    desk.ask(lambda _collection: "next", seen.append)
    qtbot.waitUntil(lambda: bool(seen))
    assert seen == ["next"]


def test_an_order_under_way_cannot_be_cancelled(desk: Desk, qtbot) -> None:
    seen: list[Changes] = []
    desk.run(set_target([], Target(20)), seen.append)
    desk.cancel()
    qtbot.waitUntil(lambda: bool(seen))


def test_a_long_order_stopped_in_its_midst_changes_nothing(desk: Desk, qtbot) -> None:
    began = threading.Event()
    seen: list[object] = []
    stopped: list[bool] = []

    def make(progress: Progress) -> Operation:
        rename = rename_album(AlbumId(1), "Half done")

        def work(unit: Unit, context: Context) -> Changes:
            rename.work(unit, context)
            began.set()
            while True:
                progress.check()
                threading.Event().wait(0.005)

        return Operation("long", work)

    desk.run_long(make, seen.append, cancelled=lambda: stopped.append(True), doing="Long")
    assert began.wait(5)
    assert desk.can_cancel
    desk.cancel()
    qtbot.waitUntil(lambda: stopped == [True])
    names: list[str] = []
    desk.ask(lambda collection: names.append(collection.albums()[0].name), seen.append)
    qtbot.waitUntil(lambda: bool(names))
    assert names == ["War nickels"]
    assert desk.undo_label != "long"


def test_a_long_order_that_was_done_before_it_was_stopped_is_told(desk: Desk, qtbot) -> None:
    began, gate = threading.Event(), threading.Event()
    seen: list[Changes] = []
    stopped: list[bool] = []

    def make(_progress: Progress) -> Operation:
        rename = rename_album(AlbumId(1), "Whole")

        def work(unit: Unit, context: Context) -> Changes:
            began.set()
            gate.wait(5)
            return rename.work(unit, context)

        return Operation("long", work)

    desk.run_long(make, seen.append, cancelled=lambda: stopped.append(True), doing="Long")
    assert began.wait(5)
    desk.cancel()
    gate.set()
    qtbot.waitUntil(lambda: bool(seen))
    assert stopped == []
    assert desk.undo_label == "long"


def test_long_work_is_told_and_its_progress(desk: Desk, qtbot) -> None:
    shares: list[float] = []
    desk.progressed.connect(lambda share, _doing: shares.append(share))

    def slow(_collection: object, progress: Progress) -> None:
        for step in range(100):
            progress.report(step / 100, "counting")
            threading.Event().wait(0.01)

    with qtbot.waitSignals([desk.busy, desk.busy], timeout=10_000, order="none"):
        desk.ask_long(slow, lambda _none: None, doing="Counting")
    assert shares
    assert shares == sorted(shares)


def test_what_a_gone_widget_waits_for_is_dropped(desk: Desk, qtbot) -> None:
    class Waits(QObject):
        def take(self, _answer: str) -> None:
            raise AssertionError("a gone widget was called")

    waits = Waits()
    gate = threading.Event()
    desk.ask(lambda _collection: "x" if gate.wait(5) else "y", waits.take)
    waits.deleteLater()
    qtbot.wait(1)  # the deletion is carried out
    gate.set()
    seen: list[str] = []
    desk.ask(lambda _collection: "next", seen.append)
    qtbot.waitUntil(lambda: seen == ["next"])


def test_a_second_window_may_only_look(desk: Desk, qtbot, path: Path) -> None:
    other = Desk(InlineRunner())
    other.open(path)
    assert other.is_read_only
    assert "only look" in other.read_only_reason
    other.shut_down()


def test_a_file_that_cannot_be_opened_leaves_the_open_one(desk: Desk, qtbot, tmp_path) -> None:
    with qtbot.waitSignal(desk.failed):
        desk.open(tmp_path / "nowhere.slotleaf")
    assert desk.collection_name == "Kitchen drawer"


def test_a_new_collection_takes_the_place_of_the_open_one(desk: Desk, qtbot, tmp_path) -> None:
    with qtbot.waitSignal(desk.opened):
        desk.make(tmp_path / "new.slotleaf", "Shoe box")
    assert desk.collection_name == "Shoe box"
    assert desk.undo_label is None


def test_nothing_is_asked_of_a_closed_desk(desk: Desk, qtbot) -> None:
    desk.close()
    assert not desk.is_open
    assert desk.is_read_only
    assert desk.ask(lambda _collection: 1, lambda _one: None) is None


def test_the_inline_runner_hands_errors_on_as_the_threads_do(qapp) -> None:
    taken: list[Exception] = []

    def fails(_progress: Progress) -> None:
        raise NotFound("no such thing")

    InlineRunner().submit(fails, failed=taken.append)
    assert isinstance(taken[0], NotFound)
    with pytest.raises(NotFound):
        InlineRunner().submit(fails)


def test_a_file_changed_behind_the_journal_is_shown_but_not_changed(qapp, path: Path) -> None:
    """The file is read through after the first album is asked for, and found strange."""
    with closing(sqlite3.connect(path)) as behind:
        behind.execute("DROP TRIGGER journal_album_update")
    desk = Desk(InlineRunner())
    desk.open(path)
    assert desk.is_open
    assert desk.is_read_only
    assert desk.read_only_reason
    refused: list[Exception] = []
    desk.run(rename_album(AlbumId(1), "Kept"), failed=refused.append)
    assert isinstance(refused[0], ReadOnly)
    desk.shut_down()


def test_a_daily_copy_that_fails_is_told_once_and_holds_up_nothing(
    qapp, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_args: object) -> None:
        raise FileTrouble("Today's copy could not be kept.")

    monkeypatch.setattr("core.store.store.copy_of_the_day", fail)
    desk = Desk(InlineRunner())
    desk.open(path)
    told: list[str] = []
    desk.told.connect(told.append)
    desk.run(rename_album(AlbumId(1), "Kept"))
    desk.run(rename_album(AlbumId(1), "Kept too"))
    assert told == ["Today's copy could not be kept."]
    assert desk.undo_label == "rename to Kept too"
    desk.shut_down()


def test_a_collection_only_looked_at_shows_what_its_writer_did(qapp, path: Path) -> None:
    with Collection.open(path) as writer:
        desk = Desk(InlineRunner())
        desk.open(path)
        assert desk.is_read_only
        seen: list[Changes] = []
        desk.changed.connect(seen.append)
        desk.look_again()
        assert seen == []
        writer.run(rename_album(AlbumId(1), "Kept"))
        desk.look_again()
        assert [changes.is_everything for changes in seen] == [True]
        names: list[str] = []
        desk.ask(lambda c: c.albums()[0].name, names.append)
        assert names == ["Kept"]
        desk.shut_down()


def test_while_another_collection_is_opened_orders_still_go_to_the_one_that_is_shown(
    desk: Desk, qtbot, path: Path, tmp_path: Path
) -> None:
    other = small_collection(tmp_path / "other.slotleaf")
    broken: list[Exception] = []
    answers: list[str] = []
    desk.broke.connect(broken.append)
    gate = threading.Event()
    desk.ask(lambda _collection: gate.wait(5), lambda _none: None)
    with qtbot.waitSignal(desk.opened):
        desk.open(other)
        desk.run(rename_album(AlbumId(1), "Kept"))
        desk.ask(lambda collection: collection.albums()[0].name, answers.append)
        gate.set()
    desk.ask(lambda collection: collection.albums()[0].name, answers.append)
    qtbot.waitUntil(lambda: bool(answers))
    assert (broken, answers) == ([], ["War nickels"])
    with Collection.open(path) as collection:  # it is let go of, and the order is in it
        assert not collection.is_read_only
        assert collection.albums()[0].name == "Kept"


def test_of_two_collections_opened_at_once_the_last_stays_and_the_other_is_let_go(
    qapp, qtbot, path: Path, tmp_path: Path
) -> None:
    other = small_collection(tmp_path / "other.slotleaf")
    desk = Desk(Runner(lambda error: pytest.fail(str(error))))
    for each in (path, path, other):
        desk.open(each)
    qtbot.waitUntil(lambda: desk.path == other)
    desk.ask(lambda _collection: None, lambda _none: None)
    desk.runner.wait()
    assert not desk.is_read_only
    with Collection.open(path) as collection:
        assert not collection.is_read_only
    desk.shut_down()
