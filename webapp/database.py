"""The database: how it is opened, who may write, and how it is brought up to date.

One process serves the workshop. Its writers take turns at one lock, each in a transaction that
began `IMMEDIATE`; readers cannot write at all. A commit is on the disk before it is acknowledged.
"""

import os
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

from alembic import command
from alembic.config import Config
from alembic.script import ScriptDirectory
from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.orm import Session

from webapp import backups
from webapp.folders import folder
from webapp.problems import Problem
from webapp.sqlite import connect, sqlite

BUSY_TIMEOUT_MS = 5000
# At least as many as there are threads that serve pages (anyio's 40), and the writer: one that
# waits for another's connection keeps its thread, and fails after half a minute.
MOST_CONNECTIONS = 48
KEPT_OPEN = 5

# Requests wait for it too, in webapp/pages/deps.py.
write_lock = threading.Lock()


class DatabaseRefused(Problem):
    """The database cannot be opened by this version."""


class DatabaseTooNew(DatabaseRefused):
    """A newer Loomwright has already changed the database."""


def make_engine(path: Path, *, foreign_keys: bool = True) -> Engine:
    """An engine on the database file at `path`.

    Its transactions only read, unless the execution option `begin` is "IMMEDIATE".
    """
    engine = create_engine(
        URL.create("sqlite", database=str(path)),
        module=sqlite,
        pool_size=KEPT_OPEN,
        max_overflow=MOST_CONNECTIONS - KEPT_OPEN,
    )

    @event.listens_for(engine, "connect")
    def configure(connection: Any, _record: object) -> None:
        connection.isolation_level = None  # the begin hook below owns BEGIN
        _set(connection, "busy_timeout", BUSY_TIMEOUT_MS)
        _set(connection, "journal_mode", "wal")
        _set(connection, "synchronous", 2)  # FULL
        _set(connection, "foreign_keys", int(foreign_keys))

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        mode = connection.get_execution_options().get("begin", "DEFERRED")
        connection.exec_driver_sql(f"PRAGMA query_only = {int(mode == 'DEFERRED')}")
        connection.exec_driver_sql(f"BEGIN {mode}")

    return engine


def _set(connection: Any, pragma: str, value: int | str) -> None:
    """Set a pragma and read it back: SQLite ignores what it cannot do without a word."""
    connection.execute(f"PRAGMA {pragma} = {value}").close()
    (found,) = connection.execute(f"PRAGMA {pragma}").fetchone()
    if found != value:
        raise RuntimeError(f"SQLite kept {pragma} = {found}, wanted {value}")


@contextmanager
def reading(engine: Engine) -> Iterator[Session]:
    """A session that sees one moment of the database and cannot change it."""
    with Session(engine) as session:
        yield session


@contextmanager
def writing(engine: Engine) -> Iterator[Session]:
    """A session in its turn to write, committed at the end of the block."""
    with write_lock, Session(_immediate(engine)) as session, session.begin():
        yield session


def _immediate(engine: Engine) -> Engine:
    return engine.execution_options(begin="IMMEDIATE")


def alembic_config(path: Path) -> Config:
    """Alembic's configuration, built here because pyproject.toml is not installed."""
    config = Config(attributes={"database_path": path})
    config.set_main_option("script_location", str(folder("migrations")).replace("%", "%%"))
    return config


def upgrade(path: Path, backups_dir: Path | None = None) -> Path | None:
    """Bring the database at `path` to the newest revision, making it if there is none.

    Returns:
        The verified backup that was made first, or None when there was nothing to change.

    Raises:
        DatabaseTooNew: a newer Loomwright has changed it.
        DatabaseRefused: it is damaged, or not a Loomwright database.
    """
    config = alembic_config(path)
    scripts = ScriptDirectory.from_config(config)
    current, newest = _revision(path), scripts.get_current_head()
    if current == newest:
        _write_ahead(path)
        return None
    if current and all(script.revision != current for script in scripts.walk_revisions()):
        raise DatabaseTooNew(
            f"The database {path} belongs to a newer version of Loomwright: "
            f"start that version, or restore a backup from before it."
        )
    made = None
    if current:
        stamp = datetime.now().astimezone().strftime("%Y-%m-%d-%H%M%S-%f")
        made = (backups_dir or path.parent / "backups") / f"before-{newest}-{stamp}.db"
        backups.backup(path, made)
    command.upgrade(config, "head")
    return made


def _write_ahead(path: Path) -> None:
    """Have a restored file keep a write-ahead log from now on.

    Of several connections that find it without and turn it on at once, all but one would fail.
    """
    if path.exists():
        with closing(connect(path)) as connection:
            _set(connection, "journal_mode", "wal")


def _revision(path: Path) -> str | None:
    """The revision that the file is at; None for a file that is not there or holds nothing."""
    if not path.exists():
        return None
    if not os.access(path, os.W_OK):
        raise DatabaseRefused(f"The database {path} cannot be written to.")
    try:
        with closing(connect(path)) as connection:
            tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_master")}
            if not tables:
                return None
            if "alembic_version" not in tables:
                raise DatabaseRefused(f"{path} is not a Loomwright database.")
            row = connection.execute("SELECT version_num FROM alembic_version").fetchone()
            return str(row[0]) if row else None
    except sqlite.DatabaseError as exc:
        raise DatabaseRefused(f"The database {path} cannot be read ({exc}).") from exc
