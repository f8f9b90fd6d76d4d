"""A durable tick: against a bare insert with the same settings on the same disk, turn by turn.

By the stage it is written and committed in this process; over HTTP by a server in its own process,
as it is started for the workshop.
"""

import json
import secrets
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from http.client import HTTPConnection
from itertools import cycle
from pathlib import Path
from statistics import fmean, quantiles
from typing import Any

from sqlalchemy import Engine, select

from webapp.backups import backup
from webapp.bench import big_loom
from webapp.bench.page_speed import big_workshop
from webapp.bench.stopwatch import shown
from webapp.database import make_engine, reading, writing
from webapp.records.base import now
from webapp.records.bench import Unit
from webapp.records.people import Person
from webapp.settings import Settings
from webapp.stages.building import taking, units
from webapp.stages.building.bench import Entry

TITLE = "A durable tick, as many times a bare insert with the same settings on the same disk"
NEEDS = big_loom.NEEDS
TURNS = 400
CLIENTS = 8
TICKS_A_CLIENT = 100
START_S = 60
INSERT = """INSERT INTO tick
  (key, unit_id, revision_id, step_uid, state, note, person_id, device, at)
  VALUES (?, ?, ?, 'wire:cut', 'done', '', ?, '', ?)"""


def lines() -> Iterator[str]:
    """A bare insert, a tick by the stage, one over HTTP; then eight clients at once."""
    with big_workshop(NEEDS) as (settings, engine, loom_id):
        with writing(engine) as session:
            big_loom.put_to_the_bench(session, loom_id)
        steps, person_id = _steps(engine), _person(engine)
        yield f"{len(steps)} steps wait for nothing, in a unit of {NEEDS} needs"
        with (
            _bare(settings, steps[0][0], person_id) as bare_insert,
            _served(settings) as port,
            closing(_connection(port)) as http,
        ):
            bare_s, stage_s, http_s = _turn_by_turn(
                bare_insert,
                _by_stage(engine, steps[:1], person_id),
                _over_http(http, steps[1:2], person_id),
            )
            yield f"bare insert:      p50 {shown(_p(bare_s, 50))}, p99 {shown(_p(bare_s, 99))}"
            yield _against(bare_s, "by the stage:", stage_s)
            yield _against(bare_s, "over HTTP:", http_s)
            rate = _rate_of_many(port, steps, person_id)
        yield (
            f"{CLIENTS} clients at once: {rate:.0f} ticks/s, "
            f"{rate * fmean(bare_s):.3f} of the bare inserts that one writer makes"
        )


def _turn_by_turn(*things: Callable[[], object]) -> tuple[list[float], ...]:
    """Whatever else the machine does slows all alike. The first turns warm up."""
    times: tuple[list[float], ...] = tuple([] for _thing in things)
    for turn in range(TURNS + TURNS // 10):
        for thing, taken in zip(things, times, strict=True):
            begun = time.perf_counter()
            thing()
            if turn >= TURNS // 10:
                taken.append(time.perf_counter() - begun)
    return times


def _against(bare_s: list[float], name: str, taken_s: list[float]) -> str:
    """One line: p50 and p99, each with its ratio to the bare insert's."""
    parts = (
        f"p{percent} {shown(_p(taken_s, percent))}, "
        f"{_p(taken_s, percent) / _p(bare_s, percent):.1f} times"
        for percent in (50, 99)
    )
    return f"{name:17} {'; '.join(parts)}"


def _p(times_s: list[float], percent: int) -> float:
    return quantiles(times_s, n=100, method="inclusive")[percent - 1]


# --- what is timed ----------------------------------------------------------------------------


@contextmanager
def _bare(settings: Settings, unit_id: int, person_id: int) -> Iterator[Callable[[], object]]:
    """A row into the same table of a copy, by the driver itself, with the engine's settings."""
    path = settings.data_dir / "bare.db"
    backup(settings.database_path, path)
    engine = make_engine(path)
    with reading(engine) as session:
        revision_id = session.get_one(Unit, unit_id).revision_id
    with closing(engine.raw_connection()) as connection:
        driver: Any = connection.driver_connection
        driver.execute("PRAGMA query_only = 0")

        def write() -> None:
            row = (secrets.token_hex(16), unit_id, revision_id, person_id, now().isoformat())
            driver.execute("BEGIN IMMEDIATE")
            driver.execute(INSERT, row)
            driver.execute("COMMIT")

        yield write
    engine.dispose()


def _by_stage(engine: Engine, steps: list[tuple[int, str]], person_id: int) -> Callable[[], object]:
    states = cycle(("done", "undone"))
    ((unit_id, uid),) = steps

    def tick() -> None:
        with writing(engine) as session:
            entry = Entry(secrets.token_hex(16), uid, next(states), person_id)
            (answer,) = taking.append(session, unit_id, [entry])
            assert answer.saved, answer.sentence

    return tick


def _over_http(
    http: HTTPConnection, steps: list[tuple[int, str]], person_id: int
) -> Callable[[], object]:
    states = cycle(("done", "undone"))
    ((unit_id, uid),) = steps

    def tick() -> None:
        entry = {
            "key": secrets.token_hex(16), "step_uid": uid, "state": next(states),
            "person_id": person_id,
        }  # fmt: skip
        http.request(
            "POST", f"/units/{unit_id}/ticks", json.dumps({"ticks": [entry]}),
            {"Content-Type": "application/json", "Accept": "application/json"},
        )  # fmt: skip
        answer = json.loads(http.getresponse().read())
        assert answer["saved"] == [entry["key"]], answer

    return tick


def _rate_of_many(port: int, steps: list[tuple[int, str]], person_id: int) -> float:
    """Ticks per second of several clients, each with a step and a connection of its own."""

    def work(number: int) -> None:
        own = steps[number % len(steps)]
        with closing(_connection(port)) as http:
            tick = _over_http(http, [own], person_id)
            for _tick in range(TICKS_A_CLIENT):
                tick()

    threads = [threading.Thread(target=work, args=(2 + number,)) for number in range(CLIENTS)]
    begun = time.perf_counter()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return CLIENTS * TICKS_A_CLIENT / (time.perf_counter() - begun)


# --- what it is done with ---------------------------------------------------------------------


def _steps(engine: Engine) -> list[tuple[int, str]]:
    """Unit and uid of the steps that wait for nothing."""
    with reading(engine) as session:
        unit = session.scalars(select(Unit).order_by(Unit.id)).first()
        assert unit is not None
        plan = units.plan_of(session, unit)
        return [(unit.id, step.uid) for step in plan if not step.after]


def _person(engine: Engine) -> int:
    with reading(engine) as session:
        return session.scalars(select(Person.id)).first() or 0


@contextmanager
def _served(settings: Settings) -> Iterator[int]:
    """The server in a process of its own; yields its port."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
    command = "import sys; from webapp.launcher.command_line import main; sys.exit(main())"
    process = subprocess.Popen(
        [sys.executable, "-c", command, "serve", "--data", str(settings.data_dir),
         "--port", str(port)],
        cwd=Path(__file__).parents[2], stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    with process:
        try:
            assert process.stdout is not None
            process.stdout.readline()  # says its address once it answers
            yield port
        finally:
            process.terminate()


def _connection(port: int) -> HTTPConnection:
    return HTTPConnection("127.0.0.1", port, timeout=START_S)
