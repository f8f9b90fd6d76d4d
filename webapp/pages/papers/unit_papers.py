"""Papers of one unit: bench sheet, test sheet, certificate, hand-over papers."""

from sqlalchemy.orm import Session

from webapp.drawings.ends import EndState
from webapp.pages.papers import crimp_values
from webapp.pages.papers.heads import Subject
from webapp.pages.wording import clock, day, day_and_clock
from webapp.paper.values import (
    BenchBranch,
    BenchSheet,
    BenchStep,
    BenchWire,
    Certificate,
    CertificateGroup,
    CertificateRow,
    HandOver,
    Instrument,
    TestGroup,
    TestRow,
    TestSheet,
)
from webapp.stages import done
from webapp.stages.building import bench, units
from webapp.stages.building.bench import StepState
from webapp.stages.building.end_state import end_states
from webapp.stages.building.steps import Step, WireWork
from webapp.stages.building.tick_states import mark
from webapp.stages.building.units import UnitRow
from webapp.stages.clock import local_day
from webapp.stages.testing import standing
from webapp.stages.testing.items import FIRST_OFF, KINDS, LOADED_DROP

CARE = (
    "Keep the loom clear of hot, sharp and moving parts; support it so that no joint carries "
    "its weight.",
    "Look at plugs, studs and earths once a year: clean, tight, no green or black copper.",
)
REPAIR = (
    "Take a wire of the same size, colour and insulation; crimp with the tool that suits the "
    "terminal. A repair splice is sleeved and supported.",
    "Give the number on the tag and the serial of the loom when you ask for a part.",
)


def _unit(about: Subject) -> UnitRow:
    if about.unit is None:
        raise ValueError("This paper is about one unit")
    return about.unit


def bench_sheet(session: Session, about: Subject) -> BenchSheet:
    unit = _unit(about)
    plan = units.plan_of(session, unit)
    states = bench.state(session, unit.id)
    return BenchSheet(
        head=about.head,
        unit=about.unit_words,
        serial=unit.serial,
        wires=tuple(_bench_wire(about, work, states) for work in plan.wires),
        cables=tuple(
            BenchBranch(cable.name, _bench_steps(cable.steps, states)) for cable in plan.cables
        ),
        branches=tuple(
            BenchBranch(other.name, _bench_steps(other.steps, states)) for other in plan.others
        ),
        plan=about.values.plan(),
    )


def _bench_wire(about: Subject, work: WireWork, states: dict[str, StepState]) -> BenchWire:
    left, right = end_states(work, {uid: now.state for uid, now in states.items()})
    return BenchWire(
        wire=about.values.by_uid[work.uid],
        whole=_bench_steps(work.whole, states),
        left=_bench_steps(work.left.steps, states),
        right=_bench_steps((*work.right.steps, *work.last), states),
        left_state=EndState(left),
        right_state=EndState(right),
    )


def _bench_steps(steps: tuple[Step, ...], states: dict[str, StepState]) -> tuple[BenchStep, ...]:
    return tuple(
        BenchStep(step.title, step.detail, _done_words(states.get(step.uid))) for step in steps
    )


def _done_words(now: StepState | None) -> str:
    if now is None:
        return ""
    if now.state == "done":
        return f"{now.person} {clock(now.at)}"
    return f"left out: {now.note}" if now.state == "waived" else mark(now.state, now.note)


def test_sheet(session: Session, about: Subject) -> TestSheet:
    unit = _unit(about)
    plan = standing.plan_of(session, unit)
    number = 0
    found = []
    for kind, groups in plan.groups().items():
        if kind in FIRST_OFF:
            continue  # They are entered with their set-ups, which the sheet lists.
        rows = []
        for items in groups.values():
            for item in items:
                number += 1
                limit = item.limit_text()
                if item.methods:
                    limit += f"; as a drop {item.limit_text(LOADED_DROP)}"
                if not item.confirmed:
                    limit += " (unconfirmed)"
                rows.append(TestRow(str(number), item.what, limit, item.between))
        how = " / ".join(groups) if kind in ("isolation", "polarity", "function") else ""
        found.append(TestGroup(KINDS[kind], tuple(rows), how))
    return TestSheet(
        head=about.head,
        unit=about.unit_words,
        serial=unit.serial,
        groups=tuple(found),
        notes=(
            "Battery disconnected. Electronics unplugged before the insulation test. Never probe "
            "restraint (airbag) circuits; traction voltages are for licensed people.",
        ),
        setups=crimp_values.of_test_sheet(session, unit),
    )


def certificate(session: Session, about: Subject) -> Certificate:
    """
    Raises:
        Refused: the unit is not done.
    """
    unit = _unit(about)
    record = done.test_record(session, unit.id)
    numbers = iter(range(1, 100_000))
    return Certificate(
        head=about.head,
        number=record.number,
        serial=unit.serial,
        unit=about.unit_words,
        equipment=about.job.values.equipment,
        supply=about.values.supply,
        passed=True,
        tested_by=record.signed_by,
        tested_on=local_day(record.signed_at),
        groups=tuple(
            CertificateGroup(title, tuple(_row(str(next(numbers)), one) for one in group))
            for title, group in record.groups
        ),
        instruments=tuple(
            Instrument(one.name, calibrated_on=one.calibrated_on) for one in record.instruments
        ),
        waived=record.waived,
        left_out=record.left_out,
        setups=crimp_values.of_certificate(session, unit),
    )


def _row(number: str, one: done.Counted) -> CertificateRow:
    line = one.line
    return CertificateRow(
        number=number,
        what=line.what,
        limit=line.limit_text,
        reading=line.reading if line.limit_text or line.passed else "fails",
        passed=line.passed,
        instrument=done.used_instrument(line.instrument).name,
        person=line.person,
        at=day_and_clock(line.at),
        retests=one.earlier,
    )


def hand_over(session: Session, about: Subject) -> HandOver:
    unit = _unit(about)
    signed = None
    certified = ""
    if unit.stage == "done":
        record = done.test_record(session, unit.id)
        signed = local_day(record.signed_at)
        certified = f"{record.number}, {day(record.signed_at)}"
    fuses = sorted(
        {
            (bridge.fuse_a, bridge.fuse_kind or "")
            for bridge in about.values.design.bridge.values()
            if bridge.kind == "fuse" and bridge.fuse_a
        }
    )
    return HandOver(
        head=about.head,
        equipment=about.job.values.equipment,
        supply=about.values.supply,
        what=_what(about),
        wires=about.values.wires,
        serial=unit.serial,
        built_on=signed,
        circuits=about.values.circuits(),
        fittings=about.values.fittings(),
        plan=about.values.plan(),
        care=CARE,
        repair=REPAIR,
        spares=tuple(f"Fuse-link {fuse_a:g} A {kind}".strip() for fuse_a, kind in fuses),
        certificate=certified,
    )


def _what(about: Subject) -> str:
    needs = ", ".join(dict.fromkeys(need.name for need in about.values.design.need.values()))
    words = f"This loom has {len(about.values.wires)} wires"
    return f"{words}. It serves: {needs}." if needs else f"{words}."
