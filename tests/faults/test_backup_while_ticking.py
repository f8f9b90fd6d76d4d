"""Backing up, by the command line, while another process ticks as fast as it can."""

import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from sqlalchemy import Engine

from tests.faults.at_work import put_to_the_bench, wire_steps
from tests.faults.server import CHECKOUT
from webapp.database import upgrade
from webapp.launcher.command_line import main
from webapp.settings import Settings
from webapp.sqlite import connect

UNIT = 1
COPIES = 5


@dataclass
class Ticker:
    """What the ticking process has said so far."""

    acknowledged: int = 0


@contextmanager
def ticking(settings: Settings, person_id: int, steps: list[str]) -> Iterator[Ticker]:
    ticker, more = Ticker(), threading.Condition()
    given = [str(settings.database_path), str(UNIT), str(person_id), *steps]
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.faults.ticker", *given],
        cwd=CHECKOUT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip

    def read() -> None:
        assert process.stdout is not None
        for line in process.stdout:
            with more:
                ticker.acknowledged = int(line)
                more.notify()

    reader = threading.Thread(target=read)
    reader.start()
    try:
        with more:
            assert more.wait_for(lambda: ticker.acknowledged, 60), "nothing was ticked"
        yield ticker
    finally:
        assert process.stdin is not None
        process.stdin.close()
        assert process.wait(60) == 0
        reader.join()
        assert process.stdout is not None
        process.stdout.close()


def counts(path: Path) -> dict[str, int]:
    with closing(connect(path)) as database:
        assert database.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert database.execute("PRAGMA foreign_key_check").fetchall() == []
        tables = database.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
        return {
            name: database.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0]
            for (name,) in tables
        }


def test_copies_are_of_one_moment_and_are_restored_whole(
    settings: Settings, engine: Engine, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    made = put_to_the_bench(engine)
    steps = [step.uid for step in wire_steps(engine, UNIT)][:2]
    engine.dispose()
    copies = [tmp_path / f"{number}.db" for number in range(COPIES)]
    told = []
    with ticking(settings, made.person_id, steps) as ticker:
        for copy in copies:
            before = ticker.acknowledged
            assert main(["backup", str(copy), "--data", str(settings.data_dir)]) == 0
            told.append((before, ticker.acknowledged))
    for copy, (before, after) in zip(copies, told, strict=True):
        ticks = counts(copy)["tick"]
        # One transaction may be committed and not yet told.
        assert before <= ticks <= after + len(steps)
        assert ticks % len(steps) == 0  # no half of a transaction
        with closing(connect(copy)) as database:
            ids = [row[0] for row in database.execute("SELECT id FROM tick ORDER BY id")]
        assert ids == list(range(1, ticks + 1))
    assert told[-1][1] > told[0][0]  # they went on meanwhile

    new = tmp_path / "new folder"
    assert main(["restore", str(copies[-1]), "--data", str(new)]) == 0
    assert f"{new} holds what {copies[-1]} holds." in capsys.readouterr().out
    restored = new / "loomwright.db"
    assert counts(restored) == counts(copies[-1])
    assert upgrade(restored) is None
    assert counts(settings.database_path)["tick"] == ticker.acknowledged
