"""A joint that is made again, a wire that is cut again: what is undone with them, what is said."""

import pytest
from sqlalchemy.orm import Session

from tests.stages.building.at_bench import JOINT, Tablet, begin, plan_of, states
from webapp.stages.building import bench, bench_journal, gate, units
from webapp.stages.building.end_state import end_states
from webapp.stages.building.tick_states import WORDS, mark


@pytest.fixture
def tablet(session: Session) -> Tablet:
    loom, unit_id = begin(session)
    return Tablet(session, unit_id, loom.person_id)


def opened(tablet: Tablet) -> dict[str, str]:
    found = bench.state(tablet.session, tablet.unit_id).items()
    return {uid: now.note for uid, now in found if now.state not in ("done", "waived")}


def everything(tablet: Tablet) -> None:
    tablet.done(*(step.uid for step in plan_of(tablet.session, tablet.unit_id)))


def test_a_joint_to_be_made_again_opens_what_rests_on_it(tablet: Tablet) -> None:
    tablet.done(*JOINT)
    assert tablet.say("l4:from:crimp", "rework", "the tug pulled it off").saved
    because = "because “Crimp” is made again: the tug pulled it off"
    assert opened(tablet) == {
        "l4:from:crimp": "the tug pulled it off",
        "l4:from:solder": because,
    }
    now = states(tablet.session, tablet.unit_id)
    assert (now["l4:from:crimp"], now["l4:from:solder"]) == ("rework", "undone")
    assert now["l4:from:strip"] == "done"
    tablet.done("l4:from:crimp", "l4:from:solder")
    assert opened(tablet) == {}


def test_a_scrapped_wire_takes_both_ends_and_what_they_go_into(tablet: Tablet) -> None:
    everything(tablet)
    assert tablet.say("l3.0:cut", "scrapped", "cut 100 mm short").saved
    found = opened(tablet)
    assert found.pop("l3.0:cut") == "cut 100 mm short"
    assert set(found.values()) == {"because Wire 3A was scrapped: cut 100 mm short"}
    plan = plan_of(tablet.session, tablet.unit_id)
    own = {uid for uid, work in plan.work_of.items() if work == "l3.0"}
    assert own - {"l3.0:cut"} <= found.keys()
    # The splice at one end and the plug at the other; their other wires keep their own ends.
    assert found.keys() - own == {
        "splice:join", "splice:shrink", "splice:tug", "plug:assemble",
    }  # fmt: skip


def test_a_scrapped_wire_is_laid_anew(tablet: Tablet) -> None:
    everything(tablet)
    assert tablet.say("l3.1:cut", "scrapped", "nicked in the grommet").saved
    others = {uid for uid in opened(tablet) if not uid.startswith("l3")}
    assert others == {"sock:assemble", "r2:pass", "r2:bind", "r2:cover"}


def test_short_depth_opens_ends_and_plugs_too(session: Session) -> None:
    loom, unit_id = begin(session, "short")
    tablet = Tablet(session, unit_id, loom.person_id)
    everything(tablet)
    assert tablet.say("l2.0:cut", "scrapped", "nicked").saved
    assert {"l2:from:made", "l2:xl2.a:made", "l2.0:inserted", "plug:assemble"} <= opened(
        tablet
    ).keys()
    assert "l2.1:cut" not in opened(tablet)


def test_both_want_a_reason_and_something_that_is_done(tablet: Tablet) -> None:
    assert tablet.say("l1.0:cut", "scrapped").sentence == "Say why it is scrapped."
    assert tablet.say("l1.0:cut", "rework").sentence == "Say why it has to be made again."
    assert tablet.say("l1.0:cut", "scrapped", "short").sentence == (
        "Wire 1: “Cut 100 mm” is not done, so there is nothing to scrap."
    )
    tablet.done("l1.0:cut", "l1:from:thread")
    assert tablet.say("l1:from:thread", "scrapped", "short").sentence == (
        "Wire 1, left end: only what is cut is scrapped and cut again, not “Thread on”."
    )
    assert tablet.say("l1:from:strip", "rework", "nicked").sentence == (
        "Wire 1, left end: “Strip 8.0 mm” is not done, so there is nothing to make again."
    )
    assert tablet.say("l2.0:cut", "waived", "the old wire stays").saved
    assert not tablet.say("l2.0:cut", "scrapped", "short").saved


def test_the_gate_and_the_journal_say_it(tablet: Tablet) -> None:
    everything(tablet)
    tablet.say("l1:to:tug", "rework", "it moved")
    tablet.say("l8.0:lay", "held", "the lead is with the customer")
    plan = plan_of(tablet.session, tablet.unit_id)
    said = [gap.sentence for gap in gate.gaps(plan, bench.state(tablet.session, tablet.unit_id))]
    assert any("Tug, Insert. Tug is to be made again (it moved)." in each for each in said)
    tablet.done("l1:to:tug", "l1:to:insert")
    tablet.say("l1.0:cut", "scrapped", "wrong colour")
    said = [gap.sentence for gap in gate.gaps(plan, bench.state(tablet.session, tablet.unit_id))]
    assert any("Cut 100 mm is scrapped, to be cut again (wrong colour)." in each for each in said)
    unit = units.get(tablet.session, tablet.unit_id)
    line = bench_journal.journal(tablet.session, unit, plan)[0]
    assert (line.where, line.said, line.note) == (
        "Wire 1", "scrapped, to be cut again", "wrong colour",
    )  # fmt: skip


def test_every_state_has_its_words() -> None:
    assert set(WORDS) == {
        "done", "undone", "held", "waived", "superseded", "rework", "scrapped",
    }  # fmt: skip
    assert mark("rework", "it moved") == "make again: it moved"
    assert mark("scrapped", "short") == "cut again: short"
    assert mark("done", "") == ""


def test_what_is_to_be_made_again_is_no_undo(tablet: Tablet) -> None:
    tablet.done("l1.0:cut", "l2.0:cut")
    tablet.say("l2.0:cut", "scrapped", "short")
    assert bench.last_standing(tablet.session, tablet.unit_id, tablet.person_id) == "l1.0:cut"


def test_the_drawing_shows_what_is_open_again(tablet: Tablet) -> None:
    def drawn() -> tuple[str, str]:
        (work,) = (w for w in plan_of(tablet.session, tablet.unit_id).wires if w.uid == "l4.0")
        return end_states(work, states(tablet.session, tablet.unit_id))

    tablet.done(*JOINT)
    assert drawn() == ("soldered", "cut")
    tablet.say("l4:from:crimp", "rework", "it moved")
    assert drawn() == ("stripped", "cut")
    tablet.say("l4.0:cut", "scrapped", "too short")
    assert drawn() == ("not cut yet", "not cut yet")
