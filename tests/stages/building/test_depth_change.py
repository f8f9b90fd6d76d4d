"""From short to full steps and back: what is ticked stays ticked, what is open stays open."""

import time

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from tests.stages.building.at_bench import Tablet, begin, plan_of, states
from webapp.records.jobs import JournalEntry
from webapp.stages.building import (
    bench,
    bench_journal,
    crimp_records,
    crimped_with,
    depth_change,
    gate,
    units,
)
from webapp.stages.building.crimp_records import SetUpValues
from webapp.stages.refusals import NotThere, Refused

MADE = tuple(f"l1:from:{each}" for each in ("thread", "strip", "crimp", "shrink", "tug"))


@pytest.fixture
def full(session: Session) -> Tablet:
    return _tablet(session, "full")


@pytest.fixture
def short(session: Session) -> Tablet:
    return _tablet(session, "short")


def _tablet(session: Session, depth: str) -> Tablet:
    loom, unit_id = begin(session, depth)
    return Tablet(session, unit_id, loom.person_id)


def go(tablet: Tablet, depth: str) -> tuple[list[tuple[str, str]], tuple[str, ...]]:
    carried = depth_change.change(
        tablet.session, tablet.unit_id, depth, "the apprentice takes over", tablet.person_id
    )
    return [(each.step.uid, each.state) for each in carried.entries], carried.left_open


def now(tablet: Tablet) -> dict[str, str]:
    found = states(tablet.session, tablet.unit_id)
    return {
        uid: found[uid] for uid in found if uid in plan_of(tablet.session, tablet.unit_id).by_uid
    }


def test_a_made_end_stands_for_its_full_steps(short: Tablet) -> None:
    short.done("l1.0:cut", "l1:from:made")
    assert go(short, "full") == ([(uid, "done") for uid in MADE], ())
    assert now(short) == dict.fromkeys(("l1.0:cut", *MADE), "done")
    assert short.say("l1:from:insert").saved


def test_an_end_is_made_when_all_its_steps_are_done(full: Tablet) -> None:
    full.done("l1.0:cut", *MADE, "l1:to:thread", "l1:to:strip")
    entries, left_open = go(full, "short")
    assert entries == [("l1:from:made", "done")]
    assert left_open == ("Wire 1, right end: Make right end: Crimp, Shrink, Tug to do",)
    assert now(full) == {"l1.0:cut": "done", "l1:from:made": "done"}


def test_a_whole_unit_goes_both_ways_and_stays_finished(full: Tablet) -> None:
    full.done(*(step.uid for step in plan_of(full.session, full.unit_id)))
    for depth in ("short", "full", "short"):
        _, left_open = go(full, depth)
        assert left_open == ()
        found = bench.state(full.session, full.unit_id)
        assert gate.gaps(plan_of(full.session, full.unit_id), found) == []


def test_a_splice_that_is_not_tugged_is_not_joined(full: Tablet) -> None:
    everything = [step.uid for step in plan_of(full.session, full.unit_id)]
    full.done(*(uid for uid in everything if uid != "splice:tug"))
    entries, left_open = go(full, "short")
    assert ("splice:join", "undone") in entries
    assert left_open == ("Return splice: Join: Tug to do",)
    assert now(full)["splice:join"] == "undone"


def test_what_was_left_out_is_still_said_to_be(full: Tablet) -> None:
    full.done("l1.0:cut", *MADE[:3])
    full.say("l1:from:shrink", "waived", "the stud is bare")
    full.done("l1:from:tug")
    assert ("l1:from:made", "waived") in go(full, "short")[0]
    plan = plan_of(full.session, full.unit_id)
    (said,) = gate.waived(plan, bench.state(full.session, full.unit_id))
    assert "Shrink left out: the stud is bare" in said


@pytest.mark.parametrize("state", ["held", "rework"])
def test_what_is_said_of_an_open_step_goes_along(full: Tablet, state: str) -> None:
    full.done("l1.0:cut", *MADE)
    full.say("l1:from:crimp", state, "height is off")
    assert ("l1:from:made", state) in go(full, "short")[0]
    found = bench.state(full.session, full.unit_id)["l1:from:made"]
    assert found.note == (
        "Crimp: height is off; carried over to short steps: the apprentice takes over"
    )


def test_what_is_taken_back_in_one_depth_does_not_come_back_with_the_other(full: Tablet) -> None:
    full.done("l1.0:cut", *MADE, "l1:to:thread", "l1:to:strip")
    go(full, "short")
    full.say("l1:from:made", "rework", "the tug pulled it off")
    go(full, "full")
    assert {uid: now(full)[uid] for uid in MADE} == {
        "l1:from:thread": "rework", **dict.fromkeys(MADE[1:], "undone"),
    }  # fmt: skip
    full.done(*MADE)
    go(full, "short")
    assert now(full)["l1:from:made"] == "done"
    # The wire is cut again: neither its made end nor its half-made one is left.
    full.say("l1.0:cut", "scrapped", "too short")
    full.done("l1.0:cut")
    go(full, "full")
    assert {uid for uid, state in now(full).items() if state == "done"} == {"l1.0:cut"}


def test_an_undone_end_is_open_in_full_steps_too(short: Tablet) -> None:
    short.done("l1.0:cut", "l1:from:made")
    go(short, "full")
    go(short, "short")
    short.say("l1:from:made", "undone", "wrong terminal")
    go(short, "full")
    assert set(now(short).values()) == {"done", "undone"}
    assert [uid for uid in MADE if now(short)[uid] == "done"] == []


def test_a_crimp_keeps_the_tool_that_it_was_made_with(full: Tablet) -> None:
    loom_id = units.get(full.session, full.unit_id).loom_id
    full.done("l1.0:cut", *MADE)

    def made_with() -> dict[int, list[str]]:
        own = crimped_with.of_unit(full.session, units.get(full.session, full.unit_id))
        found = crimped_with.used_by(own, crimped_with.begun(full.session, loom_id))
        return {setup_id: [crimp.where for crimp in crimps] for setup_id, crimps in found.items()}

    before = made_with()
    assert list(before.values()) == [["Wire 1, left end"]]
    time.sleep(0.002)
    group = plan_of(full.session, full.unit_id).by_uid["l1:from:crimp"].setup
    crimp_records.begin(
        full.session, full.unit_id, group, SetUpValues("tool 4"), key="k" * 32,
        person_id=full.person_id, without_last="worn die",
    )  # fmt: skip
    go(full, "short")
    assert made_with() == before
    go(full, "full")
    assert made_with() == before


def test_it_is_said_in_both_journals(short: Tablet) -> None:
    short.done("l1.0:cut", "l1:from:made")
    go(short, "full")
    unit = units.get(short.session, short.unit_id)
    lines = bench_journal.journal(short.session, unit, plan_of(short.session, unit.id))
    line = lines[0]
    # What was ticked in the other depth is still named.
    assert "Make left end" in [each.title for each in lines]
    assert {each.where for each in lines} == {"Wire 1", "Wire 1, left end"}
    assert (line.title, line.said, line.note) == (
        "Tug", "done", "carried over to full steps: the apprentice takes over",
    )  # fmt: skip
    sentences = short.session.scalars(select(JournalEntry.sentence)).all()
    assert any("is ticked in full steps from now on: the apprentice" in each for each in sentences)


def test_it_is_refused_without_a_reason_or_at_another_stage(session: Session, full: Tablet) -> None:
    def refused(depth: str, reason: str) -> str:
        with pytest.raises(Refused) as caught:
            depth_change.change(session, full.unit_id, depth, reason, full.person_id)
        return caught.value.field

    assert refused("deep", "why") == "depth"
    assert refused("full", "why") == "depth"
    assert refused("short", " ") == "reason"
    with pytest.raises(NotThere):
        depth_change.change(session, 99, "short", "why", full.person_id)
    assert units.get(session, full.unit_id).depth == "full"


def test_the_preview_writes_nothing(full: Tablet) -> None:
    full.done("l1.0:cut", *MADE)
    carried = depth_change.preview(full.session, full.unit_id)
    assert [each.step.uid for each in carried.entries] == ["l1:from:made"]
    assert states(full.session, full.unit_id).keys() == {"l1.0:cut", *MADE}
