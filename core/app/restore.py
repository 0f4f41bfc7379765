"""Put a copy in the place of a collection; the collection that was there is kept.

Nothing is lost: what is restored over lies in the folder of copies, under a name that the daily
copies never take and never remove. Restoring that one brings it back.
"""

import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from pathlib import Path

from core.errors import CollectionError, FileTrouble, InUse, Refused
from core.store.copies import (
    ENDING,
    checked_draft,
    copies_beside,
    copies_elsewhere,
    plain_name,
    require_folder,
    require_sound,
    settle,
)
from core.store.engine import BUSY_MS, connect
from core.store.lock import WriterLock
from core.store.store import is_open_here, open_store, require_collection
from core.store.tables import SCHEMA_NO
from core.store.trouble import damaged, plain_words

# What SQLite keeps beside a file for as long as something is half done.
_BESIDE = ("-journal", "-wal", "-shm")


def local_now() -> datetime:
    """The clock, as it stands on the wall."""
    return datetime.now().astimezone()


def restore(copy: Path, target: Path, now: Callable[[], datetime] = local_now) -> Path | None:
    """Put a verified copy where the collection is; returns where the present file is kept.

    None where there was no file: the copy is simply put there. Raises FileTrouble for a copy that
    is damaged, not ours or from a newer program, InUse where somebody has the collection open,
    Refused where something else than a collection lies there. Then nothing was changed.
    """
    copy, target = Path(copy), Path(target).absolute()
    if target.is_dir():
        raise Refused(f"“{target}” is a folder. Choose a file to restore to.")
    if target.exists() and copy.exists() and copy.samefile(target):
        raise Refused(f"“{copy}” is the collection itself. Choose one of its copies.")
    _require_sound_copy(copy)
    target = target.resolve()  # a name that points elsewhere goes on pointing there
    require_folder(target)
    with _alone(target):
        is_there = target.exists()
        if is_there:
            _require_ours(target)
        draft = target.with_name(f".{target.name}.{os.getpid()}.new")
        try:
            with plain_words(target):
                checked_draft(copy, draft)
            if is_there:
                shutil.copymode(target, draft)
            kept = _keep(target, now()) if is_there else None
            with _half_done_aside(target):
                settle(draft, target, replace=True)
        except OSError as error:
            raise FileTrouble(
                f"“{target}” could not be restored ({error.strerror}); it is as it was. "
                "Make room there, or allow writing."
            ) from error
        finally:
            draft.unlink(missing_ok=True)
    return kept


def _require_sound_copy(copy: Path) -> None:
    """Raise FileTrouble for a copy that is not ours, newer, damaged, or tampered with."""
    if not is_open_here(copy) and require_collection(copy) < SCHEMA_NO:
        with plain_words(copy):  # an older one, which is renewed when it is opened
            require_sound(copy)
        return
    store = open_store(copy, read_only=True, verify=False)
    try:
        trouble = store.verify()
    finally:
        store.close()
    if trouble:
        raise FileTrouble(f"“{copy}” was not restored. {trouble}")


@contextmanager
def _alone(target: Path) -> Iterator[None]:
    """Hold the collection as its only writer; raises InUse, FileTrouble."""
    if is_open_here(target):
        raise InUse(f"“{target}” is open here. Close it, then restore.")
    lock = WriterLock(target)
    if not lock.take():
        raise FileTrouble(f"“{target}” or its folder may not be written. Allow that, then restore.")
    try:
        yield
    finally:
        lock.free()


def _require_ours(target: Path) -> None:
    """Refuse to put a collection in the place of anything else, or of a newer one."""
    try:
        require_collection(target)
    except FileTrouble as error:
        raise Refused(
            f"{error} It was left as it is. To restore here all the same, move it away first."
        ) from error


def _keep(target: Path, at: datetime) -> Path:
    """Keep the present file: as a checked copy, or byte for byte where it is damaged."""
    trouble: OSError | None = None
    for folder in (copies_beside(target), copies_elsewhere(target)):
        try:
            folder.mkdir(parents=True, exist_ok=True)
            return _keep_in(folder, target, at)
        except OSError as error:
            trouble = error
    raise FileTrouble(
        f"“{target}” was not restored: the present file could not be kept "
        f"({trouble.strerror if trouble else 'no folder'}). Make room beside it."
    ) from trouble


def _keep_in(folder: Path, target: Path, at: datetime) -> Path:
    told = f"{plain_name(target)} before {at.astimezone():%Y-%m-%d %H.%M.%S}"
    kept = next(
        path
        for number in range(1, 10_000)
        if not (path := folder / f"{told}{f' {number}' if number > 1 else ''}{ENDING}").exists()
    )
    draft = kept.with_name(f".{kept.name}.{os.getpid()}.new")
    try:
        try:
            with plain_words(target):
                _take_back_what_is_half_done(target)
                checked_draft(target, draft)
        except CollectionError:
            _keep_bytes(target, draft, kept)
        settle(draft, kept, replace=False)
    finally:
        draft.unlink(missing_ok=True)
    return kept


def _beside(target: Path) -> list[Path]:
    found = (target.with_name(target.name + end) for end in _BESIDE)
    return [path for path in found if path.exists()]


def _take_back_what_is_half_done(target: Path) -> None:
    """Let SQLite undo what a crashed writer left; raises where something is left all the same."""
    with closing(connect(target, "rw")) as file:
        file.execute(f"PRAGMA busy_timeout={BUSY_MS}")
        file.execute("PRAGMA trusted_schema=OFF")
        file.execute("SELECT count(*) FROM sqlite_master").fetchall()
    if _beside(target):
        raise FileTrouble(damaged(target))


def _keep_bytes(target: Path, draft: Path, kept: Path) -> None:
    """Keep a file that cannot be read through as it is, with what lies half done beside it."""
    shutil.copyfile(target, draft)
    for half_done in _beside(target):
        end = half_done.name.removeprefix(target.name)
        shutil.copyfile(half_done, kept.with_name(kept.name + end))


@contextmanager
def _half_done_aside(target: Path) -> Iterator[None]:
    """Keep what was half done in the old file from ever being taken for the new one's."""
    moved = [
        (path, path.with_name(f".{path.name}.{os.getpid()}.aside")) for path in _beside(target)
    ]
    for path, aside in moved:
        path.replace(aside)
    try:
        yield
    except BaseException:
        for path, aside in moved:
            aside.replace(path)
        raise
    for _, aside in moved:
        aside.unlink()
