"""Collection files as files: made, opened, refused, locked, copied."""

import hashlib
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from contextlib import closing
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from core.errors import FileTrouble, InUse, ReadOnly, Refused
from core.store.copies import copies_beside, copies_elsewhere
from core.store.schema import APPLICATION_ID
from core.store.store import Store, create, open_store
from core.store.tables import SCHEMA_NO
from tests.store_material import TOKENS, a_coin, a_store, at_noon, fill

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def jar(tmp_path: Path) -> Path:
    """A closed collection with something in it, alone in its folder."""
    path = tmp_path / "shelf" / "jar.slotleaf"
    path.parent.mkdir()
    store = a_store(path)
    fill(store)
    store.close()
    lock_of(path).unlink()
    return path


def lock_of(path: Path) -> Path:
    return path.with_name(f".{path.name}.lock")


def folder_as_bytes(folder: Path) -> dict[str, str]:
    """Every file of a folder by name, with the hash of its bytes."""
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not path.name.endswith(".lock")
    }


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def is_refused(path: Path, match: str) -> None:
    """Opening fails, in either way, with these words; not a byte of the folder changes."""
    before = folder_as_bytes(path.parent)
    for read_only in (False, True):
        with pytest.raises(FileTrouble, match=match):
            open_store(path, read_only)
        assert folder_as_bytes(path.parent) == before
    with closing(sqlite3.connect(lock_of(path))) as free:  # no lock is left held
        free.execute("BEGIN EXCLUSIVE")
    lock_of(path).unlink()


# Made and opened


def test_a_new_file_carries_the_marks_of_a_collection(tmp_path: Path):
    path = tmp_path / "new one.slotleaf"
    create(path, "New")
    head = path.read_bytes()[:100]
    assert head[68:72] == b"SLOT"
    assert int.from_bytes(head[68:72], "big") == APPLICATION_ID
    assert int.from_bytes(head[60:64], "big") == SCHEMA_NO
    assert names(tmp_path) == ["new one.slotleaf"]
    store = open_store(path)
    assert (store.undo_label, store.redo_label, store.undo()) == (None, None, None)
    assert store.check() == []
    store.close()


@pytest.mark.parametrize(
    "name", ["50% of #1? & more.slotleaf", "ünï 北 καλό.slotleaf", "no ending"]
)
def test_any_name_will_do(tmp_path: Path, name: str):
    store = a_store(tmp_path / name)
    fill(store)
    store.copy_to(tmp_path / f"copy of {name}")
    store.close()
    assert set(names(tmp_path)) == {name, f".{name}.lock", f"copy of {name}"}
    again = open_store(tmp_path / f"copy of {name}")
    with again.reading() as read:
        assert read.coin_count() == 13
    again.close()


def test_a_new_file_never_replaces_another(tmp_path: Path):
    path = tmp_path / "notes.txt"
    path.write_text("mine")
    with pytest.raises(Refused, match="there already"):
        create(path, "New")
    assert path.read_text() == "mine"
    with pytest.raises(FileTrouble, match="no folder"):
        create(tmp_path / "nowhere" / "a.slotleaf", "New")
    assert names(tmp_path) == ["notes.txt"]


# Refused


def test_a_missing_file_is_told(tmp_path: Path):
    for read_only in (False, True):
        with pytest.raises(FileTrouble, match="no file"):
            open_store(tmp_path / "gone.slotleaf", read_only)
    assert names(tmp_path) == []


def test_a_folder_is_told(tmp_path: Path):
    with pytest.raises(FileTrouble, match="is a folder"):
        open_store(tmp_path)


@pytest.mark.parametrize("content", [b"", b"hello", b"SQLite format 3\0", os.urandom(5000)])
def test_a_foreign_file_is_refused(tmp_path: Path, content: bytes):
    path = tmp_path / "foreign.slotleaf"
    path.write_bytes(content)
    is_refused(path, "not a Slotleaf collection")


@pytest.mark.parametrize("mode", ["delete", "wal"])
def test_another_programs_database_is_refused(tmp_path: Path, mode: str):
    path = tmp_path / "other.db"
    with closing(sqlite3.connect(path)) as other:
        other.execute(f"PRAGMA journal_mode={mode}")
        other.execute("CREATE TABLE coin (id INTEGER)")
        other.commit()
    is_refused(path, "not a Slotleaf collection")


def test_a_newer_file_is_refused(jar: Path):
    with closing(sqlite3.connect(jar)) as newer:
        newer.execute(f"PRAGMA user_version={SCHEMA_NO + 1}")
    is_refused(jar, "newer Slotleaf")


def test_an_unfinished_file_is_refused(tmp_path: Path):
    path = tmp_path / "half.slotleaf"
    with closing(sqlite3.connect(path)) as half:
        half.execute(f"PRAGMA application_id={APPLICATION_ID}")
        half.execute("CREATE TABLE coin (id INTEGER)")
    is_refused(path, "damaged")
    with closing(sqlite3.connect(path)) as half:
        half.execute(f"PRAGMA user_version={SCHEMA_NO}")
    is_refused(path, "damaged")


def page_of(path: Path, name: str) -> int:
    """Where the root page of a table or index begins in the file."""
    with closing(sqlite3.connect(path)) as found:
        (page,) = found.execute(
            "SELECT rootpage FROM sqlite_master WHERE name = ?", (name,)
        ).fetchone()
        (size,) = found.execute("PRAGMA page_size").fetchone()
    return (int(page) - 1) * int(size)


@pytest.mark.parametrize("where", ["coin", "placement", "ix_slot_album_position", "journal_change"])
def test_a_page_overwritten_is_told(jar: Path, where: str):
    at = page_of(jar, where)
    with jar.open("rb+") as file:
        file.seek(at)
        file.write(b"\xa5" * 512)
    is_refused(jar, "damaged")


def test_a_file_cut_short_is_told(jar: Path):
    with jar.open("rb+") as file:
        file.truncate(jar.stat().st_size // 2)
    is_refused(jar, "damaged")


def test_the_list_of_tables_overwritten_is_told(jar: Path):
    with jar.open("rb+") as file:
        file.seek(100)
        file.write(b"\xff" * 900)
    is_refused(jar, "damaged")


def test_a_rule_of_the_database_taken_away_makes_it_read_only(jar: Path):
    changes = (
        "CREATE TRIGGER strange AFTER INSERT ON coin BEGIN DELETE FROM placement; END",
        "DROP TRIGGER journal_coin_update",
        "CREATE VIEW strange AS SELECT 1",
        "DROP INDEX uq_placement_open_slot",
    )
    whole = jar.read_bytes()
    for change in changes:
        jar.write_bytes(whole)
        with closing(sqlite3.connect(jar)) as other:
            other.execute(change)
            other.commit()
        changed = jar.read_bytes()
        store = open_store(jar)
        assert store.is_read_only
        assert "another program" in (store.read_only_reason or "")
        with pytest.raises(ReadOnly, match="another program"), store.operation("x"):
            pass
        with store.reading() as read:
            assert read.coin_count() == 13
        assert len(store.check()) == 1
        store.close()
        assert jar.read_bytes() == changed


def test_the_check_may_come_after_opening(jar: Path):
    with closing(sqlite3.connect(jar)) as other:
        other.execute("CREATE VIEW strange AS SELECT 1")
        other.commit()
    store = open_store(jar, verify=False)
    assert not store.is_read_only
    reason = store.verify()
    assert store.is_read_only
    assert store.read_only_reason == reason
    store.close()


# One writer


def test_a_second_writer_is_told_and_may_read(jar: Path):
    first = open_store(jar)
    link = jar.with_name("link")
    link.symlink_to(jar)
    for name in (jar, link):
        with pytest.raises(InUse, match="another window"):
            open_store(name)
    second = open_store(jar, read_only=True)
    assert second.is_read_only
    with first.operation("Add") as unit:
        unit.add_coins([a_coin()])
        with second.reading() as read:
            assert read.coin_count() == 13
    with second.reading() as read:
        assert read.coin_count() == 14
    with pytest.raises(ReadOnly, match="reading only"):
        second.undo()
    first.close()
    third = open_store(jar)
    third.close()
    second.close()


def test_a_closed_store_takes_no_orders(jar: Path):
    store = open_store(jar)
    store.close()
    store.close()
    with pytest.raises(RuntimeError, match="closed"), store.operation("x"):
        pass
    with pytest.raises(RuntimeError, match="closed"), store.reading():
        pass


def test_opening_a_file_twice_in_one_process_keeps_its_locks(jar: Path):
    """A plain handle closed in this process would let another process into a half-done write."""
    store = open_store(jar)
    probe = (
        "import sqlite3, sys; c = sqlite3.connect(sys.argv[1], timeout=0); "
        "c.execute('BEGIN IMMEDIATE')"
    )
    with store.operation("Add") as unit:
        unit.add_coins([a_coin()])
        second = open_store(jar, read_only=True)
        done = subprocess.run(
            [sys.executable, "-c", probe, str(jar)], capture_output=True, text=True, check=False
        )
        second.close()
    assert "database is locked" in done.stderr
    store.close()


# Where writing is not allowed


WITHOUT_RIGHTS = """
import os, sys
from pathlib import Path
from core.errors import ReadOnly
from core.store.store import open_store
first = open_store(Path(sys.argv[1]), read_only=True)  # all is imported while it may be
first.check(), first.close()
if os.getuid() == 0:
    os.setgid(65534), os.setuid(65534)
store = open_store(Path(sys.argv[1]))
assert store.is_read_only, "opened for writing"
with store.reading() as read:
    assert read.coin_count() == 13
try:
    with store.operation("x") as unit:
        unit.set_name("x")
except ReadOnly as error:
    print(error)
print(store.check(), store.undo_label)
"""


@pytest.mark.skipif(os.name != "posix", reason="rights are set by mode bits")
@pytest.mark.parametrize("which", ["file", "folder"])
def test_without_the_right_to_write_it_is_read_only(jar: Path, which: str):
    with tempfile.TemporaryDirectory() as outside:  # pytest's own folders are closed to others
        Path(outside).chmod(0o755)
        shelf = Path(outside) / "shelf"
        shelf.mkdir()
        opens_for_reading_only(Path(shutil.copy(jar, shelf / "jar.slotleaf")), which)


def opens_for_reading_only(jar: Path, which: str) -> None:
    if which == "file":
        jar.parent.chmod(0o777)
        jar.chmod(0o444)
    else:
        jar.chmod(0o666)
        jar.parent.chmod(0o555)
    before = folder_as_bytes(jar.parent)
    done = subprocess.run(
        [sys.executable, "-c", WITHOUT_RIGHTS, str(jar)],
        capture_output=True,
        text=True,
        check=False,
    )
    jar.parent.chmod(0o755)
    assert done.returncode == 0, done.stderr
    assert "may not be written" in done.stdout
    assert "[] Begin" in done.stdout
    assert folder_as_bytes(jar.parent) == before


WITH_A_SMALL_DISK = """
import resource, signal, sys
from pathlib import Path
from core.errors import FileTrouble
from core.store.store import open_store
from tests.store_material import a_coin
path = Path(sys.argv[1])
store = open_store(path)
before = store.rows_hash()
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
room = path.stat().st_size + 20_000
resource.setrlimit(resource.RLIMIT_FSIZE, (room, room))
try:
    with store.operation("Add") as unit:
        unit.add_coins([a_coin(note="x" * 900) for n in range(2000)])
except FileTrouble as error:
    print(error)
assert store.rows_hash() == before and store.undo_label == "Begin" and store.check() == []
with store.operation("Add one") as unit:
    unit.add_coins([a_coin()])
store.close()
"""


@pytest.mark.skipif(sys.platform != "linux", reason="needs a limit on the size of files")
def test_a_disk_that_takes_no_more_is_told_and_nothing_is_lost(jar: Path):
    done = subprocess.run(
        [sys.executable, "-c", WITH_A_SMALL_DISK, str(jar)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert "is full" in done.stdout or "reported an error" in done.stdout
    store = open_store(jar)
    assert store.undo_label == "Add one"
    assert store.check() == []
    store.close()


# Copies


@dataclass
class Clock:
    """A clock that a test sets."""

    at: datetime

    def __call__(self) -> datetime:
        return self.at


def rename(store: Store, name: str) -> None:
    with store.operation("Rename") as unit:
        unit.set_name(name)


@pytest.fixture
def clock() -> Clock:
    return Clock(at_noon(date(2026, 3, 1)))


def name_in(path: Path) -> str:
    with closing(sqlite3.connect(path)) as copy:
        return str(copy.execute("SELECT name FROM collection").fetchone()[0])


def test_the_first_change_of_a_day_keeps_a_copy_of_what_was(jar: Path, clock: Clock):
    folder = copies_beside(jar)
    assert folder.name == "jar copies"
    for day in range(1, 11):
        store = open_store(jar, now=clock)
        assert not (folder / f"jar 2026-03-{day:02}.slotleaf").exists()
        rename(store, f"morning of {day}")
        rename(store, f"evening of {day}")
        store.close()
        store = open_store(jar, now=clock)  # opened once more on the same day
        rename(store, f"night of {day}")
        assert store.copy_trouble is None
        store.close()
        clock.at += timedelta(days=1)
    assert names(folder) == [f"jar 2026-03-{day:02}.slotleaf" for day in range(4, 11)]
    for day in range(4, 11):
        assert name_in(folder / f"jar 2026-03-{day:02}.slotleaf") == f"night of {day - 1}"
    kept = open_store(folder / "jar 2026-03-10.slotleaf", read_only=True)
    assert kept.check() == []
    assert kept.undo_label == "Rename"
    kept.close()


def test_an_undo_is_a_change_and_a_new_collection_has_nothing_to_lose(tmp_path: Path, clock: Clock):
    path = tmp_path / "new.slotleaf"
    store = a_store(path, now=clock)
    fill(store)
    assert not copies_beside(path).exists()
    clock.at += timedelta(days=1)
    store.undo()
    assert names(copies_beside(path)) == ["new 2026-03-02.slotleaf"]
    store.close()


def test_other_files_in_the_folder_of_copies_are_left_alone(jar: Path, clock: Clock):
    folder = copies_beside(jar)
    folder.mkdir()
    mine = [
        "jar 1999-01-01.slotleaf.bak",
        "jar before the fair.slotleaf",
        "other 1999-01-01.slotleaf",
    ]
    for name in mine:
        (folder / name).write_text("mine")
    (folder / ".jar 2026-02-27.slotleaf.99.new").write_text("left by a copy that was broken off")
    for _ in range(9):
        store = open_store(jar, now=clock)
        rename(store, clock.at.isoformat())
        store.close()
        clock.at += timedelta(days=1)
    assert len(names(folder)) == 7 + len(mine)
    assert set(mine) <= set(names(folder))


def test_where_no_folder_can_be_made_the_copy_lies_in_the_users_data(
    jar: Path, clock: Clock, user_folders: Path
):
    copies_beside(jar).write_text("a file where the folder would be")
    store = open_store(jar, now=clock)
    rename(store, "x")
    store.close()
    elsewhere = copies_elsewhere(jar)
    assert elsewhere.is_relative_to(user_folders)
    assert names(elsewhere) == ["jar 2026-03-01.slotleaf"]


def test_a_copy_that_cannot_be_made_is_told_but_does_not_hold_up_the_change(
    jar: Path, clock: Clock, user_folders: Path
):
    copies_beside(jar).write_text("a file where the folder would be")
    elsewhere = copies_elsewhere(jar)
    elsewhere.parent.mkdir(parents=True)
    elsewhere.write_text("and here")
    store = open_store(jar, now=clock)
    rename(store, "x")
    assert store.undo_label == "Rename"
    told = store.copy_trouble or ""
    assert f"neither beside it nor in “{elsewhere}”" in told
    assert told.endswith("Make room there, or allow writing.")
    store.close()


def test_a_copy_holds_the_same_and_opens(jar: Path, tmp_path: Path):
    store = open_store(jar)
    to = tmp_path / "copy.slotleaf"
    store.copy_to(to)
    copy = open_store(to)
    assert copy.rows_hash() == store.rows_hash()
    assert copy.undo_label == "Begin"
    assert not copy.is_read_only
    copy.close()
    with pytest.raises(Refused, match="there already"):
        store.copy_to(to)
    with pytest.raises(Refused, match="itself"):
        store.copy_to(jar, replace=True)
    with pytest.raises(Refused, match="a folder"):
        store.copy_to(tmp_path, replace=True)
    with pytest.raises(FileTrouble, match=r"no folder .*nowhere.*Make it first"):
        store.copy_to(tmp_path / "nowhere" / "copy.slotleaf")
    rename(store, "Renamed")
    store.copy_to(to, replace=True)
    assert name_in(to) == "Renamed"
    held = open_store(to)
    with pytest.raises(InUse):
        store.copy_to(to, replace=True)
    held.close()
    store.close()
    assert [name for name in names(tmp_path) if name.endswith(".new")] == []


def test_a_folder_that_may_not_be_written_is_named(jar: Path, monkeypatch: pytest.MonkeyPatch):
    store = open_store(jar)
    monkeypatch.setattr("core.store.copies.os.access", lambda _folder, _mode: False)
    for make in (lambda to: create(to, "x"), store.copy_to):
        with pytest.raises(FileTrouble, match=r"folder .*shelf.* may not be written. Choose"):
            make(jar.with_name("other.slotleaf"))
    store.close()
    assert "other.slotleaf" not in names(jar.parent)


def test_a_copy_without_history_keeps_nothing_deleted(jar: Path, tmp_path: Path):
    store = open_store(jar)
    secret = "a name nobody should read"
    with store.operation(f"Add {secret}") as unit:
        ids = unit.add_coins([a_coin(note=secret)])
    with store.operation("Delete") as unit:
        unit.delete_coins(ids)
    store.copy_to(tmp_path / "with.slotleaf")
    store.copy_to(tmp_path / "without.slotleaf", with_history=False)
    assert secret.encode() in (tmp_path / "with.slotleaf").read_bytes()
    assert secret.encode() not in (tmp_path / "without.slotleaf").read_bytes()
    copy = open_store(tmp_path / "without.slotleaf")
    assert copy.rows_hash() == store.rows_hash()
    assert copy.history(9) == []
    assert copy.undo() is None
    assert copy.check() == []
    with copy.operation("Add") as unit:
        assert min(unit.add_coins([a_coin()])) > max(ids)  # numbers are still not used again
    copy.close()
    store.close()


def test_a_collection_opens_after_being_moved_and_renamed(jar: Path, tmp_path: Path):
    moved = tmp_path / "elsewhere.db"
    jar.rename(moved)
    store = open_store(moved)
    with store.reading() as read:
        assert [row.code for row in read.series_texts()] == [TOKENS]
    store.close()


def test_a_program_of_its_own_waits_for_the_disk_at_every_commit(jar: Path):
    asked = "from sys import argv; from pathlib import Path; from core.store import engine as e\n"
    asked += (
        "for made in (e.writing_engine(Path(argv[1])), e.reading_engine(Path(argv[1]), True)):\n"
    )
    asked += "    print(made.connect().exec_driver_sql('PRAGMA synchronous').scalar())"
    program = [sys.executable, "-c", asked, str(jar)]
    said = subprocess.run(program, cwd=ROOT, capture_output=True, text=True, check=True).stdout
    assert said.split() == ["3", "3"]  # EXTRA
