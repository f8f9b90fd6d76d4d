"""What is written of crimp set-ups: a new one, its samples, and why one holds without its last."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.bench import CrimpSetup, CrimpWaiver, Unit
from webapp.records.people import Person
from webapp.records.testing import Reading
from webapp.stages import catalogue, stage_line
from webapp.stages.building import units
from webapp.stages.building.crimp_groups import group_key, group_of_key
from webapp.stages.building.crimp_standing import Group, Used, groups
from webapp.stages.refusals import NotThere, Refused
from webapp.stages.testing import readings
from webapp.stages.testing.first_off import FIRST, LAST, crimp_items
from webapp.stages.testing.plan import TestPlan
from webapp.stages.testing.readings import Measured

LONGEST_NAME, LONGEST_NOTE, SHORTEST_KEY = 80, 500, 8
WHEN = (FIRST, LAST)


@dataclass(frozen=True)
class SetUpValues:
    """What a person enters; only the tool has to be there."""

    tool: str
    die: str = ""
    wire_lot: str = ""
    terminal_lot: str = ""
    note: str = ""


def group_of(session: Session, unit: Unit, key: str) -> Group:
    """How one group of a unit stands.

    Raises:
        NotThere: the unit crimps no such terminal on such a conductor.
    """
    found = next((group for group in groups(session, unit) if group.key == key), None)
    if found is None:
        raise NotThere
    return found


def begin(
    session: Session,
    unit_id: int,
    group: str,
    values: SetUpValues,
    *,
    key: str,
    person_id: int,
    without_last: str = "",
    seen: int | None = None,
) -> int:
    """A new set-up of a group, which holds from now on. Returns its id; the same key is the same.

    `without_last` says why the set-up before, which was used, is not measured at the last. `seen`
    is the set-up that held when the person began to type, 0 where there was none.

    Raises:
        NotThere: no such unit or group.
        Refused: no tool, words that are too long, somebody else set the tool up meanwhile, or the
            set-up before wants measuring.
    """
    unit = units.get(session, unit_id)
    _check_key(key)
    known = session.execute(select(CrimpSetup).where(CrimpSetup.key == key)).scalar_one_or_none()
    if known is not None:
        if (known.loom_id, group_key(known.terminal_uid, known.csa_mm2)) != (unit.loom_id, group):
            raise Refused("key", "Another set-up has the same key: open the page again.")
        return known.id
    before = group_of(session, unit, group).now
    _check(session, unit, person_id)
    _check_values(values)
    if before is not None and seen is not None and before.setup.id != seen:
        raise Refused(
            "tool",
            f"{before.setup.person} set up {before.setup.named} meanwhile. Look at that first; "
            "begin another only if something changed since.",
        )
    if before is not None and before.word == "open":
        _leave_last(session, before, without_last.strip(), key, person_id)
    terminal_uid, csa_mm2 = group_of_key(group)
    setup = CrimpSetup(
        key=key,
        loom_id=unit.loom_id,
        unit_id=unit.id,
        terminal_uid=terminal_uid,
        csa_mm2=csa_mm2,
        tool=values.tool.strip(),
        die=values.die.strip(),
        wire_lot=values.wire_lot.strip(),
        terminal_lot=values.terminal_lot.strip(),
        note=values.note.strip(),
        person_id=person_id,
    )
    session.add(setup)
    session.flush()
    return setup.id


def _check_key(key: str) -> None:
    if len(key) < SHORTEST_KEY:
        raise Refused("key", "This entry has no key of its own: open the page again.")


def _check(session: Session, unit: Unit, person_id: int) -> None:
    stage = stage_line.stage_of_unit(session, unit.id)
    if stage not in ("build", "test"):
        raise Refused("", f"Unit {unit.serial} is {stage}: send it back to test first.")
    if session.get(Person, person_id) is None:
        raise Refused("person", "Choose who sets the tool up.")


def _check_values(values: SetUpValues) -> None:
    if not values.tool.strip():
        raise Refused("tool", "Say which tool crimps.")
    for field in ("tool", "die", "wire_lot", "terminal_lot"):
        if len(getattr(values, field)) > LONGEST_NAME:
            raise Refused(field, f"This has more than {LONGEST_NAME} characters.")
    if len(values.note) > LONGEST_NOTE:
        raise Refused("note", f"The note has more than {LONGEST_NOTE} characters.")


def _leave_last(session: Session, before: Used, reason: str, key: str, person_id: int) -> None:
    if not reason:
        raise Refused(
            "without_last",
            f"{_crimps(before.count)} made with {before.setup.named}: measure its last crimps "
            "first, or say here why they cannot be measured.",
        )
    _waive(session, before, reason, f"{key}/last", person_id)


def _crimps(count: int) -> str:
    return "1 crimp was" if count == 1 else f"{count} crimps were"


def _waive(session: Session, used: Used, reason: str, key: str, person_id: int) -> None:
    if len(reason) > LONGEST_NOTE:
        raise Refused("reason", f"The reason has more than {LONGEST_NOTE} characters.")
    session.add(
        CrimpWaiver(key=key, crimp_setup_id=used.setup.id, reason=reason, person_id=person_id)
    )
    session.flush()


def waive(
    session: Session,
    unit_id: int,
    group: str,
    setup_id: int,
    reason: str,
    *,
    key: str,
    person_id: int,
) -> None:
    """States why the crimps of a set-up hold without its last measurements, or in spite of them.

    Raises:
        NotThere: no such unit, group or set-up.
        Refused: no reason, or nothing to waive.
    """
    unit = units.get(session, unit_id)
    _check_key(key)
    if session.scalar(select(CrimpWaiver.id).where(CrimpWaiver.key == key)):
        return
    used = _used(group_of(session, unit, group), setup_id)
    _check(session, unit, person_id)
    if used.word not in ("open", "failed"):
        raise Refused("", "Nothing is left to measure at the last of this set-up.")
    if not reason.strip():
        raise Refused("reason", "Say why the crimps made with it hold.")
    _waive(session, used, reason.strip(), key, person_id)


def _used(group: Group, setup_id: int) -> Used:
    found = next((used for used in group.used if used.setup.id == setup_id), None)
    if found is None:
        raise NotThere
    return found


@dataclass(frozen=True)
class Taken:
    """What became of readings: how many failed, and what to say of their instruments."""

    count: int
    failed: int
    warnings: tuple[str, ...]


def measure(
    session: Session,
    unit_id: int,
    group: str,
    setup_id: int,
    when: str,
    samples: Sequence[Measured],
    *,
    instruments: dict[str, int | None],
    key: str,
    person_id: int,
) -> Taken:
    """Takes readings of spare pieces, first or last ones; those outside their limits are kept too.

    `instruments` names one for each kind (height, pull). The same key again takes nothing anew.

    Raises:
        NotThere: no such unit, group or set-up.
        RefusedSample: a value, verdict or instrument is missing or cannot be.
        Refused: these cannot be taken now.
    """
    unit = units.get(session, unit_id)
    found = group_of(session, unit, group)
    used = _used(found, setup_id)
    again = _sent_before(session, key, samples)
    if not again:
        _check_now(found, used, when)
    parts = catalogue.some(session, (group_of_key(group)[0],))
    plan = TestPlan(tuple(crimp_items(parts, group, when)))
    warnings: dict[str, None] = {}
    for measured in samples:
        kind = measured.item_uid.rsplit(":", 2)[-2]
        try:
            if not again:
                _check_mended(used, when, measured)
            warning = readings.record(
                session,
                unit_id,
                measured,
                key=f"{key}/{measured.item_uid}",
                person_id=person_id,
                instrument_id=instruments.get(kind),
                plan=plan,
                crimp_setup_id=setup_id,
            )
        except Refused as refused:
            raise RefusedSample(measured.item_uid, refused) from refused
        warnings[warning] = None
    return Taken(len(samples), _failed(session, key, samples), tuple(filter(None, warnings)))


class RefusedSample(Refused):
    """A refusal that belongs to one sample."""

    def __init__(self, item_uid: str, refused: Refused) -> None:
        super().__init__(refused.field, refused.sentence)
        self.item_uid = item_uid


def _sent_before(session: Session, key: str, samples: Sequence[Measured]) -> bool:
    keys = [f"{key}/{one.item_uid}" for one in samples]
    return session.scalar(select(Reading.id).where(Reading.key.in_(keys)).limit(1)) is not None


def _failed(session: Session, key: str, samples: Sequence[Measured]) -> int:
    keys = [f"{key}/{one.item_uid}" for one in samples]
    results = session.scalars(select(Reading.result).where(Reading.key.in_(keys)))
    return sum(1 for result in results if result == "fail")


def _check_now(group: Group, used: Used, when: str) -> None:
    if when not in WHEN:
        raise NotThere
    if when == LAST and used.word == "unused":
        raise Refused("", "Nothing is crimped with this set-up yet: measure the last crimps then.")
    if when == FIRST and group.now is not used and used.word == "unused":
        raise Refused("", "A newer set-up holds: measure the first-offs of that one.")


def _check_mended(used: Used, when: str, measured: Measured) -> None:
    """A last crimp that failed passes only with what was put right in between."""
    before = used.setup.last.by_uid.get(measured.item_uid)
    if when == LAST and before is not None and not before.passed and not measured.note.strip():
        raise Refused("note", "A last crimp failed before: say what was put right since.")
