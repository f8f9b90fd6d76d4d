"""What SQL a thing needs, and how long that takes bare: the same statements, replayed."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Engine, event

from webapp.bench.stopwatch import best_s


@dataclass
class Statements:
    """The statements that were run, in order, with their parameters."""

    run: list[tuple[str, Any]] = field(default_factory=list)

    @property
    def needed(self) -> list[tuple[str, Any]]:
        """Each once: what is asked for again is not needed."""
        return list({repr(each): each for each in self.run}.values())

    @property
    def again(self) -> int:
        return len(self.run) - len(self.needed)


@contextmanager
def recorded(engine: Engine) -> Iterator[Statements]:
    """Notes what the engine runs, but for what opens a transaction."""
    statements = Statements()

    def note(_connection: Any, _cursor: Any, sql: str, given: Any, *_rest: Any) -> None:
        if not sql.startswith(("BEGIN", "PRAGMA")):
            statements.run.append((sql, given))

    event.listen(engine, "before_cursor_execute", note)
    try:
        yield statements
    finally:
        event.remove(engine, "before_cursor_execute", note)


def bare_s(engine: Engine, statements: Statements) -> float:
    """Shortest time of three to run what is needed and fetch every row. [s]"""
    connection = engine.raw_connection()
    try:
        return best_s(_replay(connection.cursor(), statements.needed), tries=3)
    finally:
        connection.close()


def _replay(cursor: Any, needed: list[tuple[str, Any]]) -> Callable[[], None]:
    def replay() -> None:
        cursor.execute("BEGIN")
        for sql, given in needed:
            cursor.execute(sql, given).fetchall()
        cursor.execute("ROLLBACK")

    return replay
