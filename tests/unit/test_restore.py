"""A copy in a collection's place: nothing is lost, and nothing is changed where it fails."""

import sqlite3
import sys
from contextlib import closing
from datetime import date, datetime, time
from pathlib import Path

import pytest

from core.app.collection import Collection
from core.app.kept_copies import folder_of_copies, kept_copies
from core.app.restore import restore
from core.errors import CollectionError, FileTrouble, InUse, Refused
from core.store import copies
from core.store.copies import KEPT, copies_beside, daily_copies
from tests.cli_material import process
from tests.collection_material import a_collection, an_album, with_coins

NOON = datetime.combine(date(2026, 3, 4), time(12, 30, 5)).astimezone()


@pytest.fixture
def target(tmp_path: Path) -> Path:
    """A closed collection of one coin; beside it copy.slotleaf, from when it had none."""
    with a_collection(tmp_path) as jar:
        an_album(jar)
        jar.copy_to(tmp_path / "copy.slotleaf")
        with_coins(jar, "1941 vf20")
        return jar.path


def copy_of(target: Path) -> Path:
    return target.with_name("copy.slotleaf")


def hash_of(path: Path) -> str:
    with Collection.open(path, read_only=True) as collection:
        assert collection.check() == []
        return collection.rows_hash()


def everything(folder: Path) -> dict[str, bytes]:
    """Every file but the locks, which hold nothing."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not path.name.endswith(".lock")
    }


def test_the_copy_takes_the_place_and_the_present_is_kept(target: Path) -> None:
    before, wanted = hash_of(target), hash_of(copy_of(target))
    assert before != wanted
    kept = restore(copy_of(target), target, lambda: NOON)
    assert kept is not None
    assert hash_of(target) == wanted
    assert hash_of(kept) == before
    assert kept.parent == copies_beside(target)


def test_restoring_what_was_kept_brings_the_present_back(target: Path) -> None:
    before = hash_of(target)
    kept = restore(copy_of(target), target)
    assert kept is not None
    again = restore(kept, target)
    assert hash_of(target) == before
    assert again != kept
    with Collection.open(target) as collection:
        assert collection.undo_label == "add a coin"


def test_two_restores_in_one_second_keep_both(target: Path) -> None:
    first = restore(copy_of(target), target, lambda: NOON)
    second = restore(copy_of(target), target, lambda: NOON)
    assert first is not None
    assert second is not None
    assert second.name == f"{first.stem} 2.slotleaf"


def test_the_kept_file_is_no_daily_copy_and_outlives_them(target: Path) -> None:
    kept = restore(copy_of(target), target)
    assert kept is not None
    folder = copies_beside(target)
    assert kept not in daily_copies(target, folder)
    for day in range(1, KEPT + 4):
        copies.copy_of_the_day(target, date(2026, 5, day))
    assert kept.exists()
    assert len(daily_copies(target, folder)) == KEPT


def test_what_is_kept_is_listed_newest_first(target: Path) -> None:
    for day in (2, 4, 5):
        copies.copy_of_the_day(target, date(2026, 3, day))
    kept = restore(copy_of(target), target, lambda: NOON)
    (folder_of_copies(target) / "jar before schema 2.slotleaf").write_bytes(b"named otherwise")
    (folder_of_copies(target) / "other before 2026-03-04 10.00.00.slotleaf").write_bytes(b"")
    (folder_of_copies(target) / "jar 2026-02-30.slotleaf").write_bytes(b"no such day")
    told = [(one.day, one.is_daily) for one in kept_copies(target)]
    assert told == [
        (date(2026, 3, 5), True),
        (date(2026, 3, 4), False),
        (date(2026, 3, 4), True),
        (date(2026, 3, 2), True),
    ]
    assert kept_copies(target)[1].path == kept
    assert kept_copies(target.with_name("other name.slotleaf")) == []


def test_where_nothing_is_the_copy_is_simply_put_there(target: Path, tmp_path: Path) -> None:
    there = tmp_path / "new.slotleaf"
    assert restore(copy_of(target), there) is None
    assert hash_of(there) == hash_of(copy_of(target))
    assert not copies_beside(there).exists()


def test_the_copy_itself_stays_as_it_is(target: Path) -> None:
    before = copy_of(target).read_bytes()
    restore(copy_of(target), target)
    assert copy_of(target).read_bytes() == before


def damage(path: Path) -> None:
    with path.open("rb+") as file:
        file.seek(4096)
        file.write(b"\xff" * 8192)


def foreign(path: Path) -> None:
    path.write_bytes(b"a letter to the harbour master, not a collection at all" * 9)


def newer(path: Path) -> None:
    with closing(sqlite3.connect(path)) as file:
        file.execute("PRAGMA user_version=999")


def tampered(path: Path) -> None:
    with closing(sqlite3.connect(path)) as file:
        file.execute("DROP TRIGGER journal_coin_delete")


def missing(path: Path) -> None:
    path.unlink()


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (damage, "is damaged"),
        (foreign, "is not a Slotleaf collection"),
        (newer, "was written by a newer Slotleaf"),
        (tampered, "was changed by another program"),
        (missing, "There is no file"),
    ],
)
def test_a_copy_that_is_no_good_changes_nothing(target: Path, spoil, said: str) -> None:
    spoil(copy_of(target))
    before = everything(target.parent)
    with pytest.raises(FileTrouble, match=said):
        restore(copy_of(target), target)
    assert everything(target.parent) == before


@pytest.mark.parametrize("read_only", [False, True])
def test_an_open_collection_is_not_restored_over(target: Path, read_only: bool) -> None:
    before = hash_of(target)
    with Collection.open(target, read_only=read_only), pytest.raises(InUse, match="Close it"):
        restore(copy_of(target), target)
    assert hash_of(target) == before


def test_who_only_looks_sees_what_another_program_restored(target: Path) -> None:
    with Collection.open(target, read_only=True) as seen:
        assert len(seen.coin_rows()) == 1
        said = process("restore", copy_of(target), "-o", target)
        assert said.code == 0, said.err
        assert seen.keep_up()
        assert seen.coin_rows() == []
        assert not seen.keep_up()
        assert seen.rows_hash() == hash_of(copy_of(target))


FAULT = OSError(28, "No space left on device")


@pytest.mark.parametrize(
    ("step", "after"),
    [("checked_draft", 0), ("checked_draft", 1), ("_keep", 0), ("settle", 0), ("settle", 1)],
)
def test_whichever_step_fails_the_collection_is_as_it_was(
    target: Path, monkeypatch: pytest.MonkeyPatch, step: str, after: int
) -> None:
    before, calls = target.read_bytes(), list[int]()
    true = getattr(sys.modules["core.app.restore"], step)

    def failing(*words: object, **named: object) -> object:
        calls.append(1)
        if len(calls) > after:
            raise FAULT
        return true(*words, **named)

    monkeypatch.setattr(f"core.app.restore.{step}", failing)
    with pytest.raises(FileTrouble):
        restore(copy_of(target), target)
    assert len(calls) > after
    assert target.read_bytes() == before
    names = [path.name for path in target.parent.rglob("*")]
    assert not [name for name in names if name.endswith((".new", ".aside"))]


def test_a_copy_may_be_open_here_meanwhile(target: Path) -> None:
    with Collection.open(copy_of(target), read_only=True) as seen:
        restore(copy_of(target), target)
        assert seen.rows_hash() == hash_of(target)


def test_something_else_is_never_replaced(target: Path, tmp_path: Path) -> None:
    letter = tmp_path / "letter.txt"
    foreign(letter)
    before = everything(tmp_path)
    with pytest.raises(Refused, match="move it away first"):
        restore(copy_of(target), letter)
    with pytest.raises(Refused, match="is a folder"):
        restore(copy_of(target), tmp_path)
    with pytest.raises(Refused, match="is the collection itself"):
        restore(target, target)
    with pytest.raises(FileTrouble, match="There is no folder"):
        restore(copy_of(target), tmp_path / "nowhere" / "jar.slotleaf")
    assert everything(tmp_path) == before


def test_a_damaged_collection_is_kept_byte_for_byte(target: Path) -> None:
    damage(target)
    before = target.read_bytes()
    kept = restore(copy_of(target), target)
    assert kept is not None
    assert kept.read_bytes() == before
    assert hash_of(target) == hash_of(copy_of(target))


def crashed(path: Path) -> Path:
    """Let a writer crash half-way: changed pages in the file, the way back in its journal."""
    with closing(sqlite3.connect(path, isolation_level=None)) as file:
        file.execute("PRAGMA cache_spill=1")
        file.execute("PRAGMA cache_size=1")
        file.execute("BEGIN EXCLUSIVE")
        file.execute("UPDATE journal_now SET entry = 0")
        file.execute("UPDATE album SET note = hex(zeroblob(90000))")
        file.execute("UPDATE journal_now SET entry = NULL")
        whole, half = path.read_bytes(), path.with_name(path.name + "-journal").read_bytes()
        file.execute("ROLLBACK")
    path.write_bytes(whole)
    journal = path.with_name(path.name + "-journal")
    journal.write_bytes(half)
    return journal


def test_what_a_crashed_writer_left_is_taken_back_before_it_is_kept(target: Path) -> None:
    before = hash_of(target)
    journal = crashed(target)
    kept = restore(copy_of(target), target)
    assert kept is not None
    assert hash_of(kept) == before
    assert not journal.exists()
    assert hash_of(target) == hash_of(copy_of(target))


def test_a_damaged_files_half_done_work_goes_with_it(target: Path) -> None:
    damage(target)
    left = target.with_name(target.name + "-shm")
    left.write_bytes(b"half of something")
    kept = restore(copy_of(target), target)
    assert kept is not None
    assert kept.with_name(kept.name + "-shm").read_bytes() == b"half of something"
    assert not left.exists()
    assert hash_of(target) == hash_of(copy_of(target))


@pytest.fixture
def failing_settle(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """The last step, giving the file its name, fails."""
    asked: list[Path] = []
    true = copies.settle

    def settle(draft: Path, to: Path, replace: bool) -> None:
        if replace:
            asked.append(to)
            raise OSError(5, "Input/output error")
        true(draft, to, replace)

    monkeypatch.setattr("core.app.restore.settle", settle)
    return asked


def test_where_the_last_step_fails_the_collection_is_as_it_was(
    target: Path, failing_settle: list[Path]
) -> None:
    damage(target)
    left = target.with_name(target.name + "-shm")
    left.write_bytes(b"half of something")
    before = {target: target.read_bytes(), left: left.read_bytes()}
    with pytest.raises(FileTrouble, match="it is as it was"):
        restore(copy_of(target), target)
    assert failing_settle == [target]
    assert {path: path.read_bytes() for path in before} == before
    names = [p.name for p in target.parent.iterdir()]
    assert not [n for n in names if n.endswith((".new", ".aside"))]


def test_where_the_present_cannot_be_kept_nothing_is_changed(
    target: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = target.read_bytes()
    for place in ("copies_beside", "copies_elsewhere"):
        monkeypatch.setattr(f"core.app.restore.{place}", lambda path: path / "no folder")
    with pytest.raises(FileTrouble, match="could not be kept"):
        restore(copy_of(target), target)
    assert target.read_bytes() == before


def test_a_name_that_points_elsewhere_goes_on_pointing_there(target: Path, tmp_path: Path) -> None:
    folder = tmp_path / "desk"
    folder.mkdir()
    link = folder / "link.slotleaf"
    link.symlink_to(target)
    kept = restore(copy_of(target), link)
    assert link.is_symlink()
    assert kept is not None
    assert kept.parent == copies_beside(target)
    assert hash_of(target) == hash_of(copy_of(target))


def test_the_file_keeps_who_may_read_it(target: Path) -> None:
    target.chmod(0o600)
    restore(copy_of(target), target)
    assert target.stat().st_mode & 0o777 == 0o600


def test_every_error_is_fit_to_show(target: Path) -> None:
    with pytest.raises(CollectionError):
        restore(target.with_name("none"), target)
