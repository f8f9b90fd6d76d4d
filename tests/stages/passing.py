"""Takes units through build and test by their stages, for what comes after."""

import secrets
from dataclasses import replace

from sqlalchemy.orm import Session

from tests.stages.launch import Launch
from webapp.stages import catalogue, instruments
from webapp.stages.building import (
    bench,
    crimp_records,
    crimp_setups,
    crimp_standing,
    gate,
    taking,
    units,
)
from webapp.stages.building.crimp_records import SetUpValues
from webapp.stages.instruments import InstrumentValues
from webapp.stages.testing import gate as test_gate
from webapp.stages.testing import readings, standing
from webapp.stages.testing.first_off import FIRST, LAST, crimp_items
from webapp.stages.testing.items import Item
from webapp.stages.testing.readings import Measured


def gauge(session: Session) -> int:
    """The instrument that crimps are measured with here."""
    for row in instruments.everything(session):
        if row.values.name == "Crimp gauge":
            return row.id
    return instruments.add(session, InstrumentValues("Crimp gauge", "G1"))


def set_up_crimps(session: Session, launch: Launch, unit_id: int) -> None:
    """A tool for each group that is not ready, with first-offs that pass."""
    unit = units.get(session, unit_id)
    for group in crimp_standing.groups(session, unit):
        if not group.ready:
            crimp_records.begin(
                session, unit_id, group.key, SetUpValues("tool 3", "die B", "W-12", "T-7"),
                key=secrets.token_hex(16), person_id=launch.person_id, without_last="worn die",
            )  # fmt: skip
            measure_crimps(session, launch, unit_id, group.key, FIRST)


def measure_last(session: Session, launch: Launch, unit_id: int) -> None:
    """Three heights and pulls after the last crimps, that pass."""
    unit = units.get(session, unit_id)
    for group in crimp_standing.groups(session, unit):
        if group.now is not None and group.now.word == "open":
            measure_crimps(session, launch, unit_id, group.key, LAST)


def measure_crimps(
    session: Session, launch: Launch, unit_id: int, group: str, when: str, **values: float
) -> crimp_records.Taken:
    """All six samples with the set-up that holds; `height_2=1.7` is another value than a good
    one."""
    setup = crimp_setups.of_loom(session, launch.loom_id)[group]
    items = crimp_items(catalogue.some(session, [setup.terminal_uid]), group, when)
    samples = [
        replace(good(item), value=values.get("_".join(item.uid.split(":")[-2:]), good(item).value))
        for item in items
    ]
    meter = gauge(session)
    return crimp_records.measure(
        session, unit_id, group, setup.id, when, samples,
        instruments={"height": meter, "pull": meter},
        key=secrets.token_hex(16), person_id=launch.person_id,
    )  # fmt: skip


def tick_everything(session: Session, launch: Launch, unit_id: int) -> None:
    set_up_crimps(session, launch, unit_id)
    plan = units.plan_of(session, units.get(session, unit_id))
    entries = [
        bench.Entry(secrets.token_hex(16), step.uid, "done", launch.person_id) for step in plan
    ]
    assert all(answer.saved for answer in taking.append(session, unit_id, entries))


def build(session: Session, launch: Launch, unit_id: int) -> None:
    tick_everything(session, launch, unit_id)
    measure_last(session, launch, unit_id)
    gate.pass_to_test(session, unit_id, launch.person_id)


def good(item: Item) -> Measured:
    """A reading that passes."""
    method = item.methods[0] if item.methods else ""
    if not item.measured or not item.judged:
        value = 1.0 if item.measured else None
        return Measured(item.uid, value=value, verdict="pass", method=method)
    return Measured(item.uid, value=item.high if item.low is None else item.low, method=method)


def read_everything(session: Session, launch: Launch, unit_id: int, meter: int) -> None:
    """All that is tested on the unit itself; crimp samples came with their set-ups."""
    plan = standing.plan_of(session, units.get(session, unit_id))
    for item in plan.items:
        if item.setup:
            continue
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
