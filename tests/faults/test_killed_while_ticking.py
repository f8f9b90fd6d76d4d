"""The server is killed at random moments while four tablets tick: nothing acknowledged is lost."""

import json
import random
import re
import secrets
import threading
import time
from collections import Counter
from contextlib import closing
from html import unescape
from http.client import HTTPConnection
from typing import Any

from sqlalchemy import Engine

from tests.browser.conftest import free_port
from tests.faults.at_work import UNITS, put_to_the_bench, share_of
from tests.faults.server import Server
from tests.faults.tablet import Tablet
from webapp.settings import Settings
from webapp.sqlite import connect

TICKS, TABLETS, KILLS = 2000, 4, 50
STALLED_S = 60


def test_every_acknowledged_tick_is_there_once_and_in_order(
    settings: Settings, engine: Engine
) -> None:
    seed = secrets.randbits(32)
    print(f"seed {seed}")  # shown when the test fails
    rng = random.Random(seed)
    made = put_to_the_bench(engine)
    port = free_port()
    tablets = [
        Tablet(port, made.person_id, share_of(engine, number, TICKS // TABLETS),
               random.Random(rng.random()))
        for number in range(TABLETS)
    ]  # fmt: skip
    engine.dispose()
    with Server(settings, port) as server:
        _tick_and_kill(server, tablets, rng)
        pages = _pages(port)
    assert [tablet.refused for tablet in tablets] == [[]] * TABLETS
    for tablet in tablets:
        assert Counter(tablet.acknowledged) == Counter(tablet.to_make)
    assert sum(tablet.unanswered for tablet in tablets) >= KILLS
    _look_into(settings, tablets, pages)


def _tick_and_kill(server: Server, tablets: list[Tablet], rng: random.Random) -> None:
    """Each kill comes when so many ticks are acknowledged, and a moment later."""
    threads = [threading.Thread(target=tablet.work) for tablet in tablets]
    server.start()
    for thread in threads:
        thread.start()
    try:
        for kill_at in sorted(rng.sample(range(TICKS - 2 * TABLETS), KILLS)):
            _wait_for(tablets, kill_at)
            time.sleep(rng.uniform(0, 0.03))
            server.kill()
            server.start()
        server.wait_until_up()
        _wait_for(tablets, TICKS)
    finally:
        for tablet in tablets:
            tablet.given_up.set()
        for thread in threads:
            thread.join()


def _wait_for(tablets: list[Tablet], acknowledged: int) -> None:
    until = time.monotonic() + STALLED_S
    while sum(len(tablet.acknowledged) for tablet in tablets) < acknowledged:
        assert not any(tablet.refused for tablet in tablets)
        assert time.monotonic() < until, "the tablets get no further"
        time.sleep(0.003)


def _pages(port: int) -> dict[int, dict[str, Any]]:
    """How each step stands, as the bench page of each unit tells its tablet."""
    found = {}
    for unit_id in range(1, UNITS + 1):
        connection = HTTPConnection("127.0.0.1", port, timeout=STALLED_S)
        connection.request("GET", f"/units/{unit_id}/bench", headers={"Cookie": "person=1"})
        page = connection.getresponse().read().decode()
        connection.close()
        states = re.search(r"data-states='([^']*)'", page)
        assert states is not None
        found[unit_id] = json.loads(unescape(states[1]))[str(unit_id)]
    return found


def _look_into(settings: Settings, tablets: list[Tablet], pages: dict[int, dict[str, Any]]) -> None:
    with closing(connect(settings.database_path)) as database:
        assert database.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert database.execute("PRAGMA foreign_key_check").fetchall() == []
        journal = database.execute(
            "SELECT id, key, unit_id, step_uid, state, at FROM tick ORDER BY id"
        ).fetchall()
    id_of = {key: tick_id for tick_id, key, *_ in journal}
    # Nothing is lost, nothing doubled: one entry of each key, and none that nobody made.
    assert len(journal) == TICKS
    stated = Counter(
        (one.unit_id, one.step_uid, one.state) for tablet in tablets for one in tablet.to_make
    )
    assert Counter(tuple(line[2:5]) for line in journal) == stated
    # In the order in which each tablet was told, and by the server's own clock.
    for tablet in tablets:
        ids = [id_of[one.key] for one in tablet.acknowledged]
        assert ids == sorted(ids)
    moments = [line[5] for line in journal]
    assert moments == sorted(moments)
    # What the pages say is what the journal says, read from its beginning.
    rebuilt: dict[int, dict[str, tuple[str, int]]] = {unit: {} for unit in pages}
    for tick_id, _key, unit_id, step_uid, state, _at in journal:
        rebuilt[unit_id][step_uid] = (state, tick_id)
    shown = {
        unit_id: {uid: (state, tick_id) for uid, (state, tick_id, *_) in steps.items()}
        for unit_id, steps in pages.items()
    }
    assert shown == rebuilt
