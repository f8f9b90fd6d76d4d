"""Which SQLite is used, and a plain connection to a database file.

SQLite 3.7.0 to 3.51.2 can, rarely, corrupt a database in write-ahead mode when a checkpoint meets
another connection's commit (https://sqlite.org/wal.html, "The WAL-Reset Bug"); 3.50.7 and 3.44.6
carry the fix too. Debian's own versions do not, so pysqlite3 is used wherever it has a wheel.
"""

import importlib
import sqlite3
from pathlib import Path
from typing import Any


def _driver() -> Any:
    try:
        return importlib.import_module("pysqlite3.dbapi2")
    except ImportError:  # no wheel for this machine
        return sqlite3


sqlite: Any = _driver()


def is_safe(version: tuple[int, ...]) -> bool:
    """True when this version of SQLite has the fix."""
    return (
        version >= (3, 51, 3) or (3, 50, 7) <= version < (3, 51) or (3, 44, 6) <= version < (3, 45)
    )


def warning() -> str | None:
    """What to tell a workshop whose SQLite lacks the fix."""
    if is_safe(sqlite.sqlite_version_info):
        return None
    return (
        f"This machine's SQLite {sqlite.sqlite_version} has a rare fault that can damage a "
        "database. Make backups often, and update to SQLite 3.51.3 or newer when you can."
    )


def connect(path: Path) -> Any:
    """A connection to a file that exists, outside any transaction."""
    return sqlite.connect(f"{path.absolute().as_uri()}?mode=rw", uri=True, isolation_level=None)
