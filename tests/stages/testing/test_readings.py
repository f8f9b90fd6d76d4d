"""Readings are judged by the server, kept for good, and count only while they fit the unit."""

import secrets
import sqlite3
from datetime import date, timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from tests.stages import launch
from tests.stages.launch import Launch
from tests.stages.passing import build, measure_crimps, read_everything, set_up_crimps
from webapp.records.testing import Reading
from webapp.stages import instruments, stage_line
from webapp.stages.building import bench, taking, units
from webapp.stages.clock import today
from webapp.stages.instruments import InstrumentValues
from webapp.stages.refusals import NotThere, Refused
from webapp.stages.testing import gate, readings, standing
from webapp.stages.testing.first_off import FIRST
from webapp.stages.testing.readings import Measured


@pytest.fixture
def loom(session: Session) -> Launch:
    return launch.signed_off(session)


@pytest.fixture
def meter(session: Session, loom: Launch) -> int:
    values = InstrumentValues("Micro-ohmmeter", "M1", date(2026, 1, 5), today() + timedelta(90))
    return instruments.add(session, values)


@pytest.fixture
def unit_id(session: Session, loom: Launch) -> int:
    """Built, and at test."""
    unit_id = units.start(session, loom.loom_id, loom.person_id, "full")[0]
    build(session, loom, unit_id)
    return unit_id


def kept(session: Session) -> list[Reading]:
    """The readings taken on the unit itself, in order; its crimp samples were there before."""
    own = select(Reading).where(Reading.crimp_setup_id.is_(None)).order_by(Reading.id)
    return list(session.scalars(own))


def word(session: Session, unit_id: int, item_uid: str) -> str:
    unit = units.get(session, unit_id)
    return standing.one_state(session, unit, standing.plan_of(session, unit), item_uid).word


def take(
    session: Session,
    loom: Launch,
    unit_id: int,
    measured: Measured,
    meter: int | None = None,
    key: str | None = None,
) -> str:
    key = key or secrets.token_hex(16)
    return readings.record(
        session, unit_id, measured, key=key, person_id=loom.person_id, instrument_id=meter
    )


def test_the_server_judges(session: Session, loom: Launch, unit_id: int, meter: int) -> None:
    uid = "l4.0:resistance"
    take(session, loom, unit_id, Measured(uid, value=40.0, method="four-wire"), meter)
    assert word(session, unit_id, uid) == "failed"
    # The failed one stays; the retest counts.
    take(session, loom, unit_id, Measured(uid, value=30.0, method="four-wire"), meter)
    assert word(session, unit_id, uid) == "passed"
    found = kept(session)
    assert [(one.result, one.value) for one in found] == [("fail", 40.0), ("pass", 30.0)]
    assert found[0].limit_text == "at most 36.25 mΩ, at 20 °C"
    assert found[0].instrument_text == "Micro-ohmmeter, M1, calibrated 2026-01-05"


def test_a_person_cannot_pass_what_the_limit_fails(
    session: Session, loom: Launch, unit_id: int, meter: int
) -> None:
    measured = Measured("l4.0:resistance", value=400.0, method="four-wire", verdict="pass")
    take(session, loom, unit_id, measured, meter)
    assert word(session, unit_id, "l4.0:resistance") == "failed"


def test_a_loaded_drop_keeps_its_current(
    session: Session, loom: Launch, unit_id: int, meter: int
) -> None:
    measured = Measured("l4.0:resistance", value=300.0, method="loaded drop", current_a=10.0)
    take(session, loom, unit_id, measured, meter)
    (one,) = kept(session)
    assert (one.result, one.value_unit, one.method) == ("pass", "mV", "loaded drop at 10 A")
    assert one.limit_text == "at most 362.5 mV at 10 A"


@pytest.mark.parametrize(
    ("measured", "field"),
    [
        (Measured("l4.0:resistance", method="four-wire"), "value"),
        (Measured("l4.0:resistance", value=-1.0, method="four-wire"), "value"),
        (Measured("l4.0:resistance", value=float("nan"), method="four-wire"), "value"),
        (Measured("l4.0:resistance", value=float("inf"), method="four-wire"), "value"),
        (Measured("l4.0:resistance", value=1.0, method="by eye"), "method"),
        (Measured("l4.0:resistance", value=1.0, method="loaded drop", current_a=900), "current_a"),
        (Measured("l4.0:continuity"), "verdict"),
        (Measured("l4.0:continuity", verdict="maybe"), "verdict"),
        (Measured("nothing"), "item"),
        (Measured("l4.0:continuity", verdict="pass", note="x" * 501), "note"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field(
    session: Session, loom: Launch, unit_id: int, meter: int, measured: Measured, field: str
) -> None:
    with pytest.raises(Refused) as refused:
        take(session, loom, unit_id, measured, meter)
    assert refused.value.field == field
    assert kept(session) == []


def test_the_same_key_is_one_reading(
    session: Session, loom: Launch, unit_id: int, meter: int
) -> None:
    measured = Measured("l4.0:continuity", verdict="fail")
    for _ in range(2):
        take(session, loom, unit_id, measured, meter, key="r" * 32)
    assert len(kept(session)) == 1
    with pytest.raises(Refused, match="same key"):
        take(session, loom, unit_id, Measured("l1.0:continuity", verdict="pass"), meter, "r" * 32)


def test_an_instrument_is_needed_where_something_is_read(
    session: Session, loom: Launch, unit_id: int
) -> None:
    with pytest.raises(Refused) as refused:
        take(session, loom, unit_id, Measured("l4.0:continuity", verdict="pass"))
    assert refused.value.field == "instrument"
    with pytest.raises(Refused):
        take(session, loom, unit_id, Measured("l4.0:continuity", verdict="pass"), 999)
    take(session, loom, unit_id, Measured("n-lamp:function", verdict="pass"))
    assert word(session, unit_id, "n-lamp:function") == "passed"


def test_an_instrument_out_of_calibration_warns_and_the_reading_says_so(
    session: Session, loom: Launch, unit_id: int
) -> None:
    late = InstrumentValues("Old meter", "", date(2020, 1, 5), date(2021, 1, 5))
    meter = instruments.add(session, late)
    warning = take(session, loom, unit_id, Measured("l4.0:continuity", verdict="pass"), meter)
    assert warning.startswith("The calibration of Old meter ran out on 5 Jan 2021.")
    (one,) = kept(session)
    assert one.instrument_text.endswith("calibration ran out 2021-01-05")


def test_a_circuit_is_passed_for_continuity_as_a_deliberate_act(
    session: Session, loom: Launch, unit_id: int, meter: int
) -> None:
    take(session, loom, unit_id, Measured("l2.0:continuity", verdict="fail"), meter)
    for _ in range(2):  # sent twice
        readings.pass_circuit(
            session, unit_id, "Circuit 1, bilge pump", key="p" * 32,
            person_id=loom.person_id, instrument_id=meter,
        )  # fmt: skip
    # One failed before: it wants a retest of its own.
    assert word(session, unit_id, "l2.0:continuity") == "failed"
    assert word(session, unit_id, "l1.0:continuity") == "passed"
    assert word(session, unit_id, "l4.0:continuity") == "open"
    assert len(kept(session)) == 6
    with pytest.raises(Refused):
        readings.pass_circuit(
            session, unit_id, "Circuit 9", key="q" * 32,
            person_id=loom.person_id, instrument_id=meter,
        )  # fmt: skip


def test_the_gate_opens_when_every_last_reading_passes(
    session: Session, loom: Launch, unit_id: int, meter: int
) -> None:
    unit = units.get(session, unit_id)
    plan = standing.plan_of(session, unit)
    with pytest.raises(Refused, match="tests are open"):
        gate.pass_to_done(session, unit_id, loom.person_id)
    read_everything(session, loom, unit_id, meter)
    assert gate.gaps(standing.states(session, unit, plan)) == []
    take(session, loom, unit_id, Measured("n-lamp:function", verdict="fail"))
    (gap,) = gate.gaps(standing.states(session, unit, plan))
    assert gap.sentence == "Bow lamp, bow: failed: mend it and test again."
    take(session, loom, unit_id, Measured("n-lamp:function", verdict="pass"))
    gate.pass_to_done(session, unit_id, loom.person_id)
    assert stage_line.stage_of_unit(session, unit_id) == "done"
    with pytest.raises(Refused, match="is done"):
        take(session, loom, unit_id, Measured("n-lamp:function", verdict="fail"))


def test_work_after_a_reading_asks_for_the_test_again(
    session: Session, loom: Launch, unit_id: int, meter: int
) -> None:
    for uid in ("l4.0:continuity", "l1.0:continuity", "n-lamp:function"):
        take(session, loom, unit_id, Measured(uid, verdict="pass"), meter)
    units.send_back(session, unit_id, "build", "the lamp's crimp is loose", loom.person_id)
    remade = bench.Entry("z" * 32, "l4:from:crimp", "undone", loom.person_id, "remade")
    assert taking.append(session, unit_id, [remade])[0].saved
    assert word(session, unit_id, "l4.0:continuity") == "again"
    assert word(session, unit_id, "n-lamp:function") == "again"
    assert word(session, unit_id, "l1.0:continuity") == "passed"


def test_only_crimp_samples_are_taken_while_building(
    session: Session, loom: Launch, meter: int
) -> None:
    first, second = units.start(session, loom.loom_id, loom.person_id, "full")
    uid = "first-off:t-tab:2.5:height:1"
    with pytest.raises(Refused, match="still being built"):
        take(session, loom, first, Measured("l1.0:continuity", verdict="pass"), meter)
    with pytest.raises(Refused, match="entered with their set-up"):
        take(session, loom, first, Measured(uid, value=1.55), meter)
    set_up_crimps(session, loom, first)
    assert word(session, first, uid) == word(session, second, uid) == "passed"
    measure_crimps(session, loom, second, "t-tab|2.5", FIRST, height_1=1.70)
    assert word(session, first, uid) == "failed"


def test_the_database_itself_keeps_every_reading(
    session: Session, loom: Launch, unit_id: int, meter: int
) -> None:
    take(session, loom, unit_id, Measured("l4.0:continuity", verdict="fail"), meter)
    for statement in ("DELETE FROM reading", "UPDATE reading SET result = 'pass'"):
        with pytest.raises((DBAPIError, sqlite3.Error)), session.begin_nested():
            session.connection().exec_driver_sql(statement)


def test_unknown_units_and_items_are_not_there(
    session: Session, loom: Launch, unit_id: int
) -> None:
    with pytest.raises(NotThere):
        take(session, loom, 999, Measured("l4.0:continuity", verdict="pass"))
    with pytest.raises(NotThere):
        word(session, unit_id, "nothing")
