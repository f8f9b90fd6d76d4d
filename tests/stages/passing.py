"""Takes units through build and test by their stages, for what comes after."""

import secrets

from sqlalchemy.orm import Session

from tests.stages.launch import Launch
from webapp.stages import instruments
from webapp.stages.building import bench, gate, taking, units
from webapp.stages.instruments import InstrumentValues
from webapp.stages.testing import gate as test_gate
from webapp.stages.testing import readings, standing
from webapp.stages.testing.items import Item
from webapp.stages.testing.readings import Measured


def tick_everything(session: Session, launch: Launch, unit_id: int) -> None:
    plan = units.plan_of(session, units.get(session, unit_id))
    entries = [
        bench.Entry(secrets.token_hex(16), step.uid, "done", launch.person_id) for step in plan
    ]
    assert all(answer.saved for answer in taking.append(session, unit_id, entries))


def build(session: Session, launch: Launch, unit_id: int) -> None:
    tick_everything(session, launch, unit_id)
    gate.pass_to_test(session, unit_id, launch.person_id)


def good(item: Item) -> Measured:
    """A reading that passes."""
    method = item.methods[0] if item.methods else ""
    if not item.measured or not item.judged:
        value = 1.0 if item.measured else None
        return Measured(item.uid, value=value, verdict="pass", method=method)
    return Measured(item.uid, value=item.high if item.low is None else item.low, method=method)


def read_everything(session: Session, launch: Launch, unit_id: int, meter: int) -> None:
    plan = standing.plan_of(session, units.get(session, unit_id))
    for item in plan.items:
        readings.record(
            session, unit_id, good(item), key=secrets.token_hex(16),
            person_id=launch.person_id, instrument_id=meter, plan=plan,
        )  # fmt: skip


def finish(session: Session, launch: Launch, unit_id: int) -> None:
    """From build to done."""
    build(session, launch, unit_id)
    meter = instruments.add(session, InstrumentValues("Micro-ohmmeter", "M1"))
    read_everything(session, launch, unit_id, meter)
    test_gate.pass_to_done(session, unit_id, launch.person_id)
