"""Taking test readings: each is judged by its item's limit and kept for good."""

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.bench import Unit
from webapp.records.people import Person
from webapp.records.testing import Reading
from webapp.records.workshop import Instrument
from webapp.stages import stage_line
from webapp.stages.building import units
from webapp.stages.clock import today
from webapp.stages.refusals import Refused
from webapp.stages.testing.items import LOADED_DROP, Item
from webapp.stages.testing.plan import TestPlan
from webapp.stages.testing.standing import plan_of, states

# Polarity and function need no scale; a lamp or a dummy load shows them.
WITHOUT_INSTRUMENT = ("polarity", "function")
VERDICTS = ("pass", "fail")
MOST = {"mΩ": 1e7, "MΩ": 1e6, "mm": 50.0, "N": 1e5, "mV": 1e6}
# Kept with the reading, so that its figure never reaches a certificate, whatever comes later.
UNCONFIRMED = ", unconfirmed"
LEAST_A, MOST_A = 0.05, 200.0
CALIBRATED, NOT_CALIBRATED = "calibrated ", "not calibrated"
LONGEST_NOTE = 500


@dataclass(frozen=True)
class Measured:
    """What a person enters for one item. `verdict` is pass or fail where the eye judges."""

    item_uid: str
    value: float | None = None
    verdict: str = ""
    method: str = ""
    current_a: float | None = None
    note: str = ""


def record(
    session: Session,
    unit_id: int,
    measured: Measured,
    *,
    key: str,
    person_id: int,
    instrument_id: int | None = None,
    plan: TestPlan | None = None,
    crimp_setup_id: int | None = None,
) -> str:
    """Takes one reading and judges it. Returns a warning to show, or nothing.

    The same key again is the same reading. Crimp samples belong to a set-up, which they name.

    Raises:
        NotThere: no such unit.
        Refused: the value, instrument or verdict is missing or cannot be.
    """
    unit = units.get(session, unit_id)
    if len(key) < 8:
        raise Refused("key", "This reading has no key of its own: open the page again.")
    known = session.scalars(select(Reading).where(Reading.key == key)).first()
    if known is not None:
        if (known.unit_id, known.item_uid) != (unit_id, measured.item_uid):
            raise Refused("key", "Another reading has the same key: open the page again.")
        return ""
    item = (plan or plan_of(session, unit)).by_uid.get(measured.item_uid)
    if item is None:
        raise Refused("item", "This test is not part of the unit's plan.")
    if item.setup and crimp_setup_id is None:
        raise Refused("item", "Crimp samples are entered with their set-up: tool, die and lots.")
    _check_stage(session, unit, item)
    if session.get(Person, person_id) is None:
        raise Refused("person", "Choose who is testing.")
    if len(measured.note) > LONGEST_NOTE:
        raise Refused("note", f"The note has more than {LONGEST_NOTE} characters.")
    instrument = _instrument(session, item, instrument_id)
    passed = _judge(item, measured)
    reading = _reading(unit, item, measured, instrument, passed, person_id, key)
    reading.crimp_setup_id = crimp_setup_id
    session.add(reading)
    session.flush()
    return _warning(instrument)


def _check_stage(session: Session, unit: Unit, item: Item) -> None:
    stage = stage_line.stage_of_unit(session, unit.id)
    if stage == "test" or (stage == "build" and item.setup):
        return
    if stage == "build":
        raise Refused("", f"Unit {unit.serial} is still being built: it is tested after that.")
    raise Refused("", f"Unit {unit.serial} is done: send it back to test first, with a reason.")


def _instrument(session: Session, item: Item, instrument_id: int | None) -> Instrument | None:
    if instrument_id is None:
        if item.kind in WITHOUT_INSTRUMENT:
            return None
        raise Refused("instrument", "Choose the instrument that it was read with.")
    instrument = session.get(Instrument, instrument_id)
    if instrument is None or not instrument.active:
        raise Refused("instrument", "This instrument is not in use: choose another.")
    return instrument


def _judge(item: Item, measured: Measured) -> bool:
    """Whether it passes.

    Raises:
        Refused: value or verdict missing, or a value that no instrument shows.
    """
    if item.measured and measured.value is None:
        raise Refused("value", f"Enter the value in {value_unit(item, measured.method)}.")
    if item.methods and measured.method not in item.methods:
        raise Refused("method", "Choose four-wire or loaded drop.")
    if measured.value is not None:
        most = MOST.get(value_unit(item, measured.method), 1e7)
        if not 0 <= measured.value <= most:
            raise Refused("value", f"A reading lies between 0 and {most:g}.")
    current_a = measured.current_a or item.test_current_a or 0.0
    if measured.method == LOADED_DROP and not LEAST_A <= current_a <= MOST_A:
        raise Refused("current_a", f"The test current lies between {LEAST_A} and {MOST_A:g} A.")
    if item.measured and item.judged and measured.value is not None:
        return item.passes(measured.value, measured.method, measured.current_a)
    if measured.verdict not in VERDICTS:
        raise Refused("verdict", "Say whether it passes or fails.")
    return measured.verdict == "pass"


def value_unit(item: Item, method: str) -> str:
    return "mV" if method == LOADED_DROP else item.unit


def _reading(
    unit: Unit,
    item: Item,
    measured: Measured,
    instrument: Instrument | None,
    passed: bool,
    person_id: int,
    key: str,
) -> Reading:
    current_a = measured.current_a or item.test_current_a
    drop = measured.method == LOADED_DROP
    return Reading(
        key=key,
        unit_id=unit.id,
        revision_id=unit.revision_id,
        item_uid=item.uid,
        kind=item.kind,
        what=item.what,
        limit_text=_limit_words(item, measured.method, current_a),
        value=measured.value if item.measured else None,
        value_unit=value_unit(item, measured.method) if item.measured else "",
        method=f"{measured.method} at {current_a:g} A" if drop else measured.method,
        result="pass" if passed else "fail",
        instrument_id=instrument.id if instrument else None,
        instrument_text=instrument_words(instrument),
        note=measured.note.strip(),
        person_id=person_id,
    )


def _limit_words(item: Item, method: str, current_a: float | None) -> str:
    words = item.limit_text(method, current_a)
    return words if item.confirmed else f"{words}{UNCONFIRMED}"


def instrument_words(instrument: Instrument | None) -> str:
    """Name, serial and calibration as they stand now."""
    if instrument is None:
        return ""
    due, done = instrument.calibration_due_on, instrument.calibrated_on
    words = [instrument.name]
    if instrument.serial:
        words.append(instrument.serial)
    words.append(f"{CALIBRATED}{done.isoformat()}" if done else NOT_CALIBRATED)
    if due is not None and due < today():
        words.append(f"calibration ran out {due.isoformat()}")
    return ", ".join(words)


def _warning(instrument: Instrument | None) -> str:
    due = instrument.calibration_due_on if instrument else None
    if instrument is None or due is None or due >= today():
        return ""
    return (
        f"The calibration of {instrument.name} ran out on {due.day} {due:%b %Y}. "
        "The reading is kept, and says so."
    )


def pass_circuit(
    session: Session,
    unit_id: int,
    group: str,
    *,
    key: str,
    person_id: int,
    instrument_id: int | None,
) -> int:
    """Continuity of every wire of a circuit that is still open, read one after the other.

    Items that failed are left: each wants a retest of its own. Returns how many were taken.

    Raises:
        NotThere: no such unit.
        Refused: as `record`, or no such circuit.
    """
    unit = units.get(session, unit_id)
    plan = plan_of(session, unit)
    if session.scalars(select(Reading.id).where(Reading.key == f"{key}/0")).first():
        return 0
    open_items = [
        one.item
        for one in states(session, unit, plan)
        if one.item.kind == "continuity" and one.item.group == group
        and one.word in ("open", "again")
    ]  # fmt: skip
    if not open_items:
        raise Refused("", f"{group}: no wire is open for continuity.")
    for number, item in enumerate(open_items):
        record(
            session,
            unit_id,
            Measured(item.uid, verdict="pass"),
            key=f"{key}/{number}",
            person_id=person_id,
            instrument_id=instrument_id,
            plan=plan,
        )
    return len(open_items)
