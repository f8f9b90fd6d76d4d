"""Pages of a big loom: the server's time for each, against the bare SQL that it needs."""

import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path

from sqlalchemy import Engine

from webapp.app import create_app
from webapp.bench import big_loom
from webapp.bench.asking import Asking
from webapp.bench.loom_pages import addresses, places
from webapp.bench.statements import bare_s, recorded
from webapp.bench.stopwatch import best_s, shown
from webapp.database import make_engine, reading, upgrade, writing
from webapp.pages.render import templates
from webapp.settings import Settings
from webapp.stages.design import commands, entry, revisions
from webapp.stages.design.wires import wires

TITLE = "Pages of a big loom: asked for again, and after an edit, against their bare SQL"
NEEDS = big_loom.NEEDS
TURNS = 5
# A page that proposes a loom anew takes its time: once is enough.
LONG_S = 1.0


@contextmanager
def big_workshop(needs: int) -> Iterator[tuple[Settings, Engine, int]]:
    """A data folder that is thrown away, with one big loom in it: settings, engine, loom's id."""
    with tempfile.TemporaryDirectory() as folder:
        settings = Settings(data_dir=Path(folder))
        upgrade(settings.database_path)
        engine = make_engine(settings.database_path)
        try:
            with writing(engine) as session:
                loom_id = big_loom.enter(session, needs)
            yield settings, engine, loom_id
        finally:
            engine.dispose()


def lines() -> Iterator[str]:
    """A line for each page of the loom while it is a draft, then for those of its units."""
    with big_workshop(NEEDS) as (settings, engine, loom_id):
        with reading(engine) as session:
            design = entry.latest(session, loom_id)
            known = places(session, loom_id)
        yield f"{len(wires(design))} wires, {len(design.need)} needs"
        _compile_templates()
        with Asking(create_app(settings, engine)) as asking:
            edits = count()
            for name, address in addresses("/looms/{loom_id}/", known):
                _edit(engine, loom_id, next(edits))
                yield _measured(engine, asking, name, address)
            with writing(engine) as session:
                big_loom.put_to_the_bench(session, loom_id)
            with reading(engine) as session:
                known = places(session, loom_id)
            for name, address in addresses("/units/{unit_id}/", known):
                yield _measured(engine, asking, f"unit: {name}", address)


def _measured(engine: Engine, asking: Asking, name: str, address: str) -> str:
    """First as it comes, so that nothing of it is remembered; then as often as is sensible."""
    begun = time.perf_counter()
    with recorded(engine) as statements:
        status = asking.status(address)
    first_s = time.perf_counter() - begun
    if status != 200:
        return f"{name:32} answers {status}"
    # Turn by turn, so that whatever else the machine does slows both alike.
    turns = [
        (best_s(lambda: asking.status(address), tries=1), bare_s(engine, statements))
        for _turn in range(1 if first_s > LONG_S else TURNS)
    ]
    again_s, sql_s = (min(times) for times in zip(*turns, strict=True))
    return (
        f"{name:32} {shown(again_s):>10}, {again_s / sql_s:6.1f} times its SQL; "
        f"first {shown(first_s):>10}; SQL {shown(sql_s):>8}, "
        f"{len(statements.needed)} statements and {statements.again} again"
    )


def _compile_templates() -> None:
    """As they are after the day's first look at each page; paper has its own environment."""
    for name in templates.list_templates(filter_func=lambda name: not name.startswith("paper/")):
        templates.get_template(name)


def _edit(engine: Engine, loom_id: int, turn: int) -> None:
    """What somebody else may have done: nothing that was worked out before holds after it."""
    with writing(engine) as session:
        revision = revisions.latest(session, loom_id)
        need = next(iter(entry.latest(session, loom_id).need.values()))
        change = commands.changed(need, note=f"asked for the {turn}. time")
        commands.write(session, revision.id, "Note", [change], None)
