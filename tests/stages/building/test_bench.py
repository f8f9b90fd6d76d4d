"""The bench journal: nothing is lost, nothing counts twice, the order of work holds."""

import secrets
import sqlite3
from collections.abc import Callable

import pytest
from sqlalchemy import select
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from tests.stages import launch, passing
from tests.stages.launch import Launch
from webapp.records.bench import Tick
from webapp.records.design import WireEnd
from webapp.stages import stage_line
from webapp.stages.building import bench, bench_journal, gate, taking, units
from webapp.stages.building.bench import Entry
from webapp.stages.design import revisions
from webapp.stages.design.commands import Change, added, changed, removed, write
from webapp.stages.design.rows import Design, load
from webapp.stages.refusals import NotThere, Refused

State = Callable[..., bench.Answer]


@pytest.fixture
def loom(session: Session) -> Launch:
    return launch.signed_off(session)


@pytest.fixture
def unit_id(session: Session, loom: Launch) -> int:
    return units.start(session, loom.loom_id, loom.person_id, "full")[0]


@pytest.fixture
def say(session: Session, loom: Launch, unit_id: int) -> State:
    def stated(
        step_uid: str, state: str = "done", note: str = "", key: str | None = None
    ) -> bench.Answer:
        key = key or secrets.token_hex(16)
        entry = Entry(key, step_uid, state, loom.person_id, note)
        (answer,) = taking.append(session, unit_id, [entry], "tablet 1")
        return answer

    return stated


def states(session: Session, unit_id: int) -> dict[str, str]:
    return {uid: step.state for uid, step in bench.state(session, unit_id).items()}


def test_units_are_numbered_coded_and_at_build(session: Session, loom: Launch) -> None:
    ids = units.start(session, loom.loom_id, loom.person_id, "short")
    found = units.of_loom(session, loom.loom_id)
    assert [unit.id for unit in found] == ids
    assert [unit.serial for unit in found] == ["26-001-01", "26-001-02"]
    assert len({unit.code for unit in found}) == 2
    assert {(unit.stage, unit.revision, unit.depth) for unit in found} == {("build", "A", "short")}
    with pytest.raises(Refused, match="All units of this loom"):
        units.start(session, loom.loom_id, loom.person_id, "short")


def test_units_wait_for_the_sign_off(session: Session) -> None:
    draft = launch.begin(session)
    with pytest.raises(Refused, match="Sign the design off"):
        units.start(session, draft.loom_id, draft.person_id, "full")
    with pytest.raises(Refused) as refused:
        units.start(session, draft.loom_id, draft.person_id, "deep")
    assert refused.value.field == "depth"
    with pytest.raises(NotThere):
        units.start(session, 999, draft.person_id, "full")


def test_the_same_key_twice_is_one_entry(session: Session, unit_id: int, say: State) -> None:
    assert say("l1.0:cut", key="k" * 32).saved
    assert say("l1.0:cut", key="k" * 32).saved
    assert len(session.scalars(select(Tick)).all()) == 1
    again = say("l2.0:cut", key="k" * 32)
    assert not again.saved
    assert "same key" in again.sentence
    assert states(session, unit_id) == {"l1.0:cut": "done"}


def test_the_same_key_in_one_batch_is_one_entry(
    session: Session, loom: Launch, unit_id: int
) -> None:
    entry = Entry("k" * 32, "l1.0:cut", "done", loom.person_id)
    assert [a.saved for a in taking.append(session, unit_id, [entry, entry])] == [True, True]
    assert len(session.scalars(select(Tick)).all()) == 1


def test_no_crimp_before_the_strip_unless_a_reason_is_given(
    session: Session, unit_id: int, say: State
) -> None:
    assert say("l1.0:cut").saved
    early = say("l1:from:crimp")
    assert early.sentence == (
        "Wire 1, left end: “Crimp” comes after “Strip 8.0 mm” (Wire 1, left end). "
        "Tick that first, or say why."
    )
    assert "l1:from:crimp" not in states(session, unit_id)
    assert say("l1:from:crimp", note="stripped last week, ticked on paper").saved
    assert states(session, unit_id)["l1:from:crimp"] == "done"


def test_one_refused_entry_does_not_hold_up_the_others(
    session: Session, loom: Launch, unit_id: int
) -> None:
    entries = [
        Entry("a" * 32, "l1.0:cut", "done", loom.person_id),
        Entry("b" * 32, "no such step", "done", loom.person_id),
        Entry("c" * 32, "l2.0:cut", "done", loom.person_id),
        Entry("d" * 32, "l3.0:cut", "done", 999),
        Entry("e" * 32, "l3.0:cut", "toggled", loom.person_id),
        Entry("f" * 32, "l3.0:cut", "held", loom.person_id),
        Entry("short", "l3.0:cut", "done", loom.person_id),
        Entry("g" * 32, "l3.0:cut", "done", loom.person_id, note="x" * 501),
        Entry("h" * 32, "l3.0:cut", "done", loom.person_id, revision_id=999),
    ]
    answers = taking.append(session, unit_id, entries)
    assert [answer.saved for answer in answers] == [True, False, True, *[False] * 6]
    assert all(answer.sentence for answer in answers if not answer.saved)
    assert states(session, unit_id) == {"l1.0:cut": "done", "l2.0:cut": "done"}


def test_held_and_waived_want_a_reason(session: Session, unit_id: int, say: State) -> None:
    assert say("l1.0:cut", "held").sentence == "Say why it is held."
    assert say("l1.0:cut", "waived").sentence == "Say why it may be left out."
    assert say("l1.0:cut", "held", "reel is empty").saved
    now = bench.state(session, unit_id)["l1.0:cut"]
    assert (now.state, now.note, now.person) == ("held", "reel is empty", "AM")


def test_a_soldered_joint_taken_apart_and_remade_stays_in_the_journal(
    session: Session, loom: Launch, unit_id: int, say: State
) -> None:
    passing.set_up_crimps(session, loom, unit_id)
    for step in ("l4.0:cut", *(f"l4:from:{x}" for x in ("thread", "strip", "crimp", "solder"))):
        assert say(step).saved
    refused = say("l4:from:crimp", "undone")
    assert "“Solder” is done and rests on “Crimp”" in refused.sentence
    assert say("l4:from:crimp", "undone", "taken apart and remade").saved
    now = states(session, unit_id)
    assert (now["l4:from:crimp"], now["l4:from:solder"]) == ("undone", "undone")
    assert now["l4:from:strip"] == "done"
    assert say("l4:from:crimp").saved
    assert say("l4:from:solder").saved
    unit = units.get(session, unit_id)
    told = [
        (line.title, line.state, line.note)
        for line in bench_journal.journal(session, unit, units.plan_of(session, unit))
    ]
    assert told[:4] == [
        ("Solder", "done", ""),
        ("Crimp", "done", ""),
        ("Crimp", "undone", "taken apart and remade"),
        ("Solder", "undone", "because “Crimp” was undone: taken apart and remade"),
    ]


def test_undo_offers_the_last_step_that_still_stands(
    session: Session, loom: Launch, unit_id: int, say: State
) -> None:
    say("l1.0:cut")
    say("l2.0:cut")
    assert bench.last_standing(session, unit_id, loom.person_id) == "l2.0:cut"
    say("l2.0:cut", "undone")
    assert bench.last_standing(session, unit_id, loom.person_id) == "l1.0:cut"
    assert bench.last_standing(session, unit_id, 999) is None


def test_the_state_is_what_the_journal_says(session: Session, unit_id: int, say: State) -> None:
    """Rebuilt here from the bare rows, in another way than the app does it."""
    say("l1.0:cut")
    say("l1:from:thread")
    say("l1:from:thread", "undone")
    say("l2.0:cut", "held", "no brown left")
    say("l2.0:cut")
    say("l3.0:cut", "waived", "the old wire stays")
    rows = session.connection().exec_driver_sql("SELECT step_uid, state FROM tick ORDER BY id DESC")
    rebuilt: dict[str, str] = {}
    for step_uid, state in rows:
        rebuilt.setdefault(step_uid, state)
    assert rebuilt == states(session, unit_id)
    assert rebuilt["l1:from:thread"] == "undone"


def test_the_database_itself_keeps_every_entry(session: Session, say: State) -> None:
    say("l1.0:cut")
    for statement in ("DELETE FROM tick", "UPDATE tick SET state = 'undone'"):
        with pytest.raises((DBAPIError, sqlite3.Error)), session.begin_nested():
            session.connection().exec_driver_sql(statement)


def finish(session: Session, loom: Launch, unit_id: int, *, but: str = "") -> None:
    passing.set_up_crimps(session, loom, unit_id)
    plan = units.plan_of(session, units.get(session, unit_id))
    entries = [
        Entry(secrets.token_hex(16), step.uid, "done", loom.person_id)
        for step in plan
        if step.uid != but
    ]
    assert all(answer.saved for answer in taking.append(session, unit_id, entries))


def test_the_gate_names_what_is_missing_and_opens_when_nothing_is(
    session: Session, loom: Launch, unit_id: int, say: State
) -> None:
    with pytest.raises(Refused, match="places have work left"):
        gate.pass_to_test(session, unit_id, loom.person_id)
    finish(session, loom, unit_id, but="r1:cover")
    plan = units.plan_of(session, units.get(session, unit_id))
    (gap,) = gate.gaps(plan, bench.state(session, unit_id))
    assert gap.sentence == "battery box – helm, covering: not done: Cover: split conduit."
    say("r1:cover", "held", "conduit on order")
    (gap,) = gate.gaps(plan, bench.state(session, unit_id))
    assert "is on hold (conduit on order)" in gap.sentence
    say("r1:cover", "waived", "customer covers it")
    assert gate.gaps(plan, bench.state(session, unit_id)) == []
    assert gate.waived(plan, bench.state(session, unit_id)) == [
        "battery box – helm, covering: Cover: split conduit left out: customer covers it (AM)"
    ]
    gate.pass_to_test(session, unit_id, loom.person_id)
    assert stage_line.stage_of_unit(session, unit_id) == "test"
    assert "send it back to build" in say("l1.0:cut", "undone", "wrong").sentence
    with pytest.raises(Refused):
        units.send_back(session, unit_id, "build", "", loom.person_id)
    units.send_back(session, unit_id, "build", "wire 1 is too short", loom.person_id)
    assert say("l1.0:cut", "undone", "too short").saved


def test_a_newer_revision_asks_again_for_what_it_changed(
    session: Session, loom: Launch, unit_id: int, say: State
) -> None:
    finish(session, loom, unit_id)
    newer = revisions.open_for_edit(session, loom.loom_id)
    row = load(session, newer).wire_end["l1:to"]
    write(session, newer, "Ring", [changed(row, terminal_part_uid="t-ring")], loom.person_id)
    lamp = load(session, newer).link["l4"]
    write(session, newer, "Longer", [changed(lamp, lengths_mm={"0": 2700})], loom.person_id)
    with pytest.raises(Refused, match="signed-off revision"):
        units.move_to_revision(session, unit_id, newer, "new terminal", loom.person_id)
    revisions.freeze(session, newer, loom.person_id, None)
    with pytest.raises(Refused, match="Say why"):
        units.move_to_revision(session, unit_id, newer, " ", loom.person_id)
    undone = units.move_to_revision(session, unit_id, newer, "new terminal", loom.person_id)
    again = {uid for uid, state in states(session, unit_id).items() if state == "superseded"}
    assert len(again) == undone
    assert {"l1:to:strip", "l1:to:crimp", "l1:to:shrink", "l1:to:tug", "l1:to:insert"} <= again
    assert {"l4.0:cut", "l4:from:solder", "l4:to:insert"} <= again
    assert not {uid for uid in again if uid.startswith(("l2", "l3", "r1", "r2"))}
    # A wire that is cut anew is laid anew: its run is bound again.
    assert "r3:bind" in again
    assert units.row(session, unit_id).revision == "B"
    # What was made to the old revision is still told, and so is why it no longer counts.
    ticks = session.scalars(select(Tick).where(Tick.step_uid == "l4.0:cut").order_by(Tick.id))
    told = [(tick.state, tick.note) for tick in ticks]
    assert told == [("done", ""), ("superseded", "revision B changed this")]
    assert bench.last_standing(session, unit_id, loom.person_id) not in again


def next_revision(session: Session, loom: Launch, *changes: Change) -> int:
    newer = revisions.open_for_edit(session, loom.loom_id)
    write(session, newer, "Change", changes, loom.person_id)
    revisions.freeze(session, newer, loom.person_id, None)
    return newer


def design_of(session: Session, loom: Launch) -> Design:
    return load(session, revisions.latest(session, loom.loom_id).id)


def test_a_splice_and_a_plug_are_made_anew_with_the_wire_that_goes_into_them(
    session: Session, loom: Launch, unit_id: int
) -> None:
    finish(session, loom, unit_id)
    link = design_of(session, loom).link["l3"]
    newer = next_revision(session, loom, changed(link, csa_mm2=4.0))
    units.move_to_revision(session, unit_id, newer, "thicker return", loom.person_id)
    again = {
        uid: step.note
        for uid, step in bench.state(session, unit_id).items()
        if step.state == "superseded"
    }
    assert again["l3.0:cut"] == "revision B changed this"
    for uid in ("splice:join", "splice:tug", "plug:assemble", "sock:assemble", "l3:from:strip"):
        assert again[uid] == "revision B changed what this rests on"
    # It is laid anew: its run is opened and covered again. Every other wire can stay.
    assert {"r2:pass", "r2:bind", "r2:cover"} <= again.keys()
    assert not {uid for uid in again if uid.startswith(("r1", "r3", "l2", "l5", "l6"))}


def test_ticks_of_a_wire_that_is_taken_out_do_not_come_back_with_it(
    session: Session, loom: Launch, unit_id: int
) -> None:
    finish(session, loom, unit_id)
    design = design_of(session, loom)
    rows = [design.wire_end["l8:from"], design.wire_end["l8:to"]] if "l8:from" in (
        design.wire_end) else []  # fmt: skip
    rows.append(design.link["l8"])
    without = next_revision(session, loom, *map(removed, rows))
    units.move_to_revision(session, unit_id, without, "no radio", loom.person_id)
    standing = bench.state(session, unit_id)["l8.0:lay"]
    assert (standing.state, standing.note) == ("superseded", "revision B took this out")
    unit = units.get(session, unit_id)
    plan = units.plan_of(session, unit)
    places = {line.where for line in bench_journal.superseded(session, unit, plan)}
    assert "Wire 8 (revision A)" in places
    assert not {line.where for line in bench_journal.journal(session, unit, plan)} & {
        "no longer in the design"
    }
    back = next_revision(session, loom, *map(added, reversed(rows)))
    units.move_to_revision(session, unit_id, back, "radio after all", loom.person_id)
    gaps = gate.gaps(units.plan_of(session, unit), bench.state(session, unit_id))
    assert any(gap.sentence.startswith("Wire 8: not done: Lay in") for gap in gaps)


def test_superseded_is_for_the_app_to_say(say: State) -> None:
    assert say("l1.0:cut").saved
    assert not say("l1.0:cut", "superseded", "by revision Z").saved


def test_a_signed_off_revision_does_not_change_under_the_bench(
    session: Session, loom: Launch
) -> None:
    with pytest.raises((DBAPIError, sqlite3.Error)), session.begin_nested():
        session.query(WireEnd).filter_by(revision_id=loom.revision_id).update({"strip_mm": 1.0})
