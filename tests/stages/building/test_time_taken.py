"""What work took, beside the workshop's own times; what was cut and made again; the last time."""

from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy.orm import Session

from tests.stages import launch
from tests.stages.launch import Launch
from webapp.records.bench import Tick
from webapp.stages import jobs, looms, people, priced_time, stage_line
from webapp.stages.building import at_work, how_far, scrap, time_taken, units
from webapp.stages.building.time_taken import Taken

START = datetime(2026, 11, 24, 8, 0, tzinfo=UTC)


class Bench:
    """Writes ticks at chosen times, which the app itself never does."""

    def __init__(self, session: Session, made: Launch) -> None:
        self.session, self.made = session, made
        self.written = 0

    def tick(
        self, unit_id: int, step_uid: str, at_s: float, state: str = "done", **more: object
    ) -> None:
        self.written += 1
        row = {
            "key": f"tick-{self.written:08d}",
            "unit_id": unit_id,
            "revision_id": self.made.revision_id,
            "step_uid": step_uid,
            "state": state,
            "person_id": self.made.person_id,
            "at": START + timedelta(seconds=at_s),
        }
        self.session.add(Tick(**(row | more)))
        self.session.flush()


@pytest.fixture
def made(session: Session) -> Launch:
    return launch.signed_off(session)


@pytest.fixture
def unit(session: Session, made: Launch) -> int:
    return units.start(session, made.loom_id, made.person_id, "full")[0]


@pytest.fixture
def bench(session: Session, made: Launch) -> Bench:
    return Bench(session, made)


def row(taken: Taken, operation: str) -> time_taken.OperationTaken:
    return next(one for one in taken.operations if one.operation == operation)


def test_time_by_operation_beside_the_workshops_own(
    session: Session, unit: int, bench: Bench
) -> None:
    bench.tick(unit, "l1.0:cut", 0)
    bench.tick(unit, "l4.0:cut", 40)
    bench.tick(unit, "l5.0:cut", 60)
    bench.tick(unit, "l1:from:thread", 100)
    bench.tick(unit, "l1:from:strip", 2000)
    taken = time_taken.of_unit(session, unit)
    cut = row(taken, "cut")
    assert (cut.done, cut.timed, cut.taken_s, cut.each_s) == (3, 2, 60.0, 30.0)
    # Of the first times of a workshop: cut 25 s, tag 20 s and thread on 15 s in one tick.
    assert (cut.own_s, cut.own_each_s) == (50.0, 25.0)
    assert row(taken, "thread").own_each_s == 35.0
    # The strip came after a pause: done, but nothing is known of its time.
    strip = row(taken, "strip")
    assert (strip.done, strip.timed, strip.each_s, strip.own_each_s) == (1, 0, None, None)
    assert (taken.taken_s, taken.untimed, taken.gap_s) == (100.0, 2, 600)
    assert (taken.own_s, taken.compared_s) == (85.0, 100.0)


def test_a_run_is_compared_by_the_metre(session: Session, unit: int, bench: Bench) -> None:
    """r1 is 1.8 m long: bound at 240 s/m, common practice."""
    bench.tick(unit, "r3:bind", 0)
    bench.tick(unit, "r1:bind", 360)
    bind = row(time_taken.of_unit(session, unit), "bind")
    assert bind.own_each_s == pytest.approx(432.0)
    said = time_taken.said_of_times(time_taken.of_workshop(session))
    assert said["bind_per_m"].seconds == pytest.approx(200.0)
    assert said["bind_per_m"].ticks == 1


def test_each_person_and_what_is_undone_count_too(
    session: Session, made: Launch, unit: int, bench: Bench
) -> None:
    bo = people.add(session, name="Bo Finch", initials="BF", role="bench")
    bench.tick(unit, "l1.0:cut", 0)
    bench.tick(unit, "l4.0:cut", 10, person_id=bo)
    bench.tick(unit, "l1.0:cut", 20, "undone")
    bench.tick(unit, "l1.0:cut", 50)
    bench.tick(unit, "l5.0:cut", 70, person_id=bo)
    taken = time_taken.of_unit(session, unit)
    assert {one.person: one.taken_s for one in taken.people} == {"Ada Marr": 50.0, "Bo Finch": 60.0}
    assert taken.taken_s == 110.0
    assert time_taken.by_unit(session, (made.loom_id,)) == {unit: 110.0}


def test_a_step_made_again_counts_twice_and_is_listed(
    session: Session, made: Launch, unit: int, bench: Bench
) -> None:
    bench.tick(unit, "l1.0:cut", 0)
    bench.tick(unit, "l1.0:cut", 30, "scrapped", note="cut 40 mm short")
    bench.tick(unit, "l1.0:cut", 60)
    bench.tick(unit, "l2.0:cut", 80, "scrapped", note="nicked")
    bench.tick(unit, "l4:from:crimp", 90, "rework", note="came off at the tug")
    assert row(time_taken.of_unit(session, unit), "cut").done == 2
    found = scrap.of_loom(session, made.loom_id).of_unit(unit)
    again, short = found.cut
    assert (short.where, short.cause, short.person, short.open) == (
        "Wire 1", "cut 40 mm short", "Ada Marr", False,
    )  # fmt: skip
    assert (again.where, again.open) == ("Wire 2A", True)
    plan = units.plan_of(session, units.get(session, unit))
    length_mm = next(work.wire.length_mm for work in plan.wires if work.uid == "l1.0")
    assert short.length_mm == length_mm
    assert found.of_cables[short.cable] >= (length_mm or 0)
    (crimp,) = found.made
    assert (crimp.where, crimp.step, crimp.cause, crimp.open) == (
        "Wire 4, left end", "Crimp", "came off at the tug", True,
    )  # fmt: skip
    assert not scrap.of_loom(session, made.loom_id).of_unit(unit + 1)


def test_a_repeat_is_told_what_the_last_one_took(
    session: Session, made: Launch, unit: int, bench: Bench
) -> None:
    project_id = jobs.start_again(session, made.project_id, made.person_id)
    (loom,) = looms.of_jobs(session, (project_id,))[project_id]
    assert priced_time.last_time(session, loom.id) is None
    for number, uid in enumerate(("l1.0:cut", "l4.0:cut", "l5.0:cut")):
        bench.tick(unit, uid, 28 * number)
    last = priced_time.last_time(session, loom.id)
    assert last is not None
    assert (last.project_id, last.finished, last.each_unit_s) == (made.project_id, False, 56.0)
    assert (last.said["cut"].seconds, last.said["cut"].ticks) == (28.0, 2)
    stage_line.move(session, made.loom_id, unit, "test", made.person_id)
    last = priced_time.last_time(session, loom.id)
    assert last is not None
    assert last.finished


def test_who_ticked_last_and_how_far_it_is(
    session: Session, made: Launch, unit: int, bench: Bench
) -> None:
    now = datetime.now(UTC)
    bo = people.add(session, name="Bo Finch", initials="BF", role="bench")
    bench.tick(unit, "l1.0:cut", 0, at=now - timedelta(minutes=3))
    bench.tick(unit, "l4.0:cut", 0, at=now - timedelta(minutes=11), person_id=bo)
    (last,) = at_work.last_ticks(session)
    assert (last.person, last.unit_id, last.step_uid) == ("Ada Marr", unit, "l1.0:cut")
    total = len(units.plan_of(session, units.get(session, unit)).by_uid)
    first, second = how_far.of_loom(session, made.loom_id)
    assert (first.done, first.total, second.done) == (2, total, 0)
    assert how_far.being_built(session, (made.loom_id,)) == {made.loom_id: 200 // (2 * total)}
