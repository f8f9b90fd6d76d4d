"""Ticks as fast as it can, two entries in each transaction, until its standard input ends.

Prints how many ticks are acknowledged, after each transaction.

    python -m tests.faults.ticker DATABASE UNIT_ID PERSON_ID STEP_UID STEP_UID
"""

import secrets
import sys
import threading
from itertools import cycle
from pathlib import Path

from webapp.database import make_engine, writing
from webapp.stages.building.bench import Entry
from webapp.stages.building.taking import append


def main() -> None:
    path, unit_id, person_id, *steps = sys.argv[1:]
    engine = make_engine(Path(path))
    ended = threading.Event()
    threading.Thread(target=lambda: (sys.stdin.read(), ended.set()), daemon=True).start()
    acknowledged = 0
    for state in cycle(("done", "undone")):
        entries = [
            Entry(secrets.token_hex(16), uid, state, int(person_id))
            for uid in (steps if state == "done" else reversed(steps))
        ]
        with writing(engine) as session:
            answers = append(session, int(unit_id), entries)
            assert all(answer.saved for answer in answers), answers
        acknowledged += len(entries)
        print(acknowledged, flush=True)
        if ended.is_set():
            return


if __name__ == "__main__":
    main()
