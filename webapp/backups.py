"""Copies of the database that have been read back before they are called backups."""

import os
import shutil
from collections.abc import Callable
from contextlib import closing
from datetime import datetime
from pathlib import Path
from typing import Any

from webapp.problems import Problem
from webapp.sqlite import connect, sqlite

# So much is copied at a time, and given to the disk before the next: whoever commits meanwhile
# never waits for more than that to be written.
PAGES_AT_A_TIME = 256
UNFINISHED = ".unfinished"
# Left free beside a backup, so that there is room for what is entered meanwhile.
ROOM_TO_LEAVE_BYTES = 64_000_000


class BackupFailed(Problem):
    """No backup was made, or none was restored."""


def backup(path: Path, to: Path, between: Callable[[], None] = lambda: None) -> None:
    """Copy the database at `path`, in use or not, into the new file `to`, and check the copy.

    Nobody waits for it: the copy is of the moment at which it began, and writers go on. `between`
    is called after each part; what it raises ends the backup.

    Raises:
        BackupFailed: nothing was left at `to`.
    """
    if not path.is_file():
        raise BackupFailed(f"There is no database at {path}.")
    if to.exists():
        raise BackupFailed(f"{to} exists already and was left as it is.")
    unfinished = to.with_name(to.name + UNFINISHED)
    try:
        to.parent.mkdir(parents=True, exist_ok=True)
        unfinished.unlink(missing_ok=True)
        _find_room(path, to.parent)
        rows = _copy(path, unfinished, between)
        _sync(unfinished)
        _check(unfinished, rows)
        unfinished.rename(to)
        _sync(to.parent)
    except (OSError, sqlite.DatabaseError) as exc:
        raise BackupFailed(f"The backup {to} could not be made ({exc}).") from exc
    finally:
        unfinished.unlink(missing_ok=True)


def restore(source: Path, to_folder: Path) -> Path | None:
    """Put the backup `source` in the place of the database in `to_folder`.

    Nothing may be using that database. It is kept, moved aside.

    Returns:
        Where the database that was there before is now, if there was one.

    Raises:
        BackupFailed: the folder is as it was.
    """
    place = to_folder / "loomwright.db"
    restored = to_folder / "restored.db"
    restored.unlink(missing_ok=True)
    backup(source, restored)
    with closing(connect(restored)) as connection:
        known = "alembic_version" in _rows(connection)
    if not known:
        restored.unlink()
        raise BackupFailed(f"{source} is not a backup of a Loomwright database.")
    aside = _move_aside(place, to_folder / "backups") if place.exists() else None
    restored.rename(place)
    _sync(to_folder)
    return aside


def _find_room(path: Path, folder: Path) -> None:
    """A full disk would keep the workshop from saving anything at all."""
    log = path.with_name(path.name + "-wal")
    needed = path.stat().st_size + (log.stat().st_size if log.exists() else 0)
    free = shutil.disk_usage(folder).free
    if free < needed + ROOM_TO_LEAVE_BYTES:
        raise BackupFailed(
            f"There is no room for a backup: it takes {needed / 1e6:,.0f} MB, "
            f"{ROOM_TO_LEAVE_BYTES / 1e6:,.0f} MB are to stay free beside it, and the disk of "
            f"{folder} has {free / 1e6:,.0f} MB free."
        )


def _copy(path: Path, to: Path, between: Callable[[], None]) -> dict[str, int]:
    """Copy, and count the rows, in one reading transaction: both see the same moment."""
    with closing(connect(path)) as source, closing(sqlite.connect(to)) as target:

        def part_done(_status: int, _left: int, _all: int) -> None:
            _sync(to)
            between()

        source.execute("BEGIN")
        rows = _rows(source)
        source.backup(target, pages=PAGES_AT_A_TIME, progress=part_done)
        # One file by itself, without a log beside it.
        target.execute("PRAGMA journal_mode = DELETE")
        return rows


def _rows(connection: Any) -> dict[str, int]:
    tables = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
    return {
        name: connection.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0]
        for (name,) in tables
    }


def _check(copy: Path, rows: dict[str, int]) -> None:
    with closing(connect(copy)) as connection:
        faults = connection.execute("PRAGMA integrity_check").fetchall()
        if faults != [("ok",)]:
            raise BackupFailed(f"The database is damaged: {faults[0][0]}.")
        orphans = connection.execute("PRAGMA foreign_key_check").fetchall()
        if orphans:
            raise BackupFailed(
                f"The database is damaged: {len(orphans)} rows of {orphans[0][0]} and others "
                "belong to rows that are not there."
            )
        if _rows(connection) != rows:
            raise BackupFailed("The copy does not hold the same number of rows as the database.")


def _move_aside(place: Path, backups_dir: Path) -> Path:
    """Move a database with its write-ahead log: without it the last commits would be lost."""
    backups_dir.mkdir(exist_ok=True)
    stamp = datetime.now().astimezone().strftime("%Y-%m-%d-%H%M%S-%f")
    aside = backups_dir / f"before-restore-{stamp}.db"
    for ending in ("-wal", "-shm", ""):
        part = place.with_name(place.name + ending)
        if part.exists():
            part.rename(aside.with_name(aside.name + ending))
    return aside


def _sync(path: Path) -> None:
    """Have the disk keep a file, or a folder's list of names."""
    descriptor = os.open(path, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
