"""What is measured on a joint itself: asked for, judged, kept, and in the journal."""

import pytest
from sqlalchemy.orm import Session

from tests.stages import launch
from tests.stages.building.at_bench import Tablet, begin, measure_each, plan_of
from webapp.stages.building import bench, bench_journal, units
from webapp.stages.building.steps import Ask

# The launch's terminal has a height of 1.55 mm; 0.05 mm to either side is common practice.
HEIGHT = Ask("height", 1.5, 1.6, "mm", confirmed=True)


@pytest.fixture
def tablet(session: Session) -> Tablet:
    loom, unit_id = begin(session)
    measure_each(session, "t-tab", "height pull")
    found = Tablet(session, unit_id, loom.person_id)
    found.done("l1.0:cut", "l1:to:thread", "l1:to:strip")
    return found


def test_the_terminal_says_what_each_crimp_asks(session: Session, tablet: Tablet) -> None:
    height, pull = plan_of(session, tablet.unit_id).by_uid["l1:to:crimp"].asks
    assert height == HEIGHT
    # UL 486A pull-out table, AWG 14: 50 lbf = 222.4 N.
    assert (pull.kind, pull.unit, pull.high) == ("pull", "N", None)
    assert pull.low == pytest.approx(222.4, abs=0.05)
    assert plan_of(session, tablet.unit_id).by_uid["l1:from:crimp"].asks == ()


def test_in_the_short_depth_the_made_end_asks(session: Session) -> None:
    _, unit_id = begin(session, "short")
    measure_each(session, "t-tab", "height")
    assert plan_of(session, unit_id).by_uid["l1:to:made"].asks == (HEIGHT,)


def test_a_missing_value_and_one_outside_the_limit_are_refused_in_words(tablet: Tablet) -> None:
    assert tablet.say("l1:to:crimp").sentence == (
        "Wire 1, right end: measure the crimp height (1.50 to 1.60 mm), or say why not."
    )
    assert tablet.say("l1:to:crimp", height_mm=1.7, pull_n=300).sentence == (
        "Wire 1, right end: a crimp height of 1.70 mm is outside the limit (1.50 to 1.60 mm). "
        "Make it again, or say why it may stay."
    )
    assert tablet.say("l1:to:crimp", height_mm=1.6).sentence == (
        "Wire 1, right end: measure the pull force (at least 222.4 N), or say why not."
    )
    for wrong in (0.0, -1.0, float("nan"), float("inf")):
        answer = tablet.say("l1:to:crimp", height_mm=wrong, pull_n=300)
        assert answer.sentence == "The crimp height must be a number above 0."
    assert tablet.say("l1:to:crimp", height_mm=1.5, pull_n=230).saved


def test_a_reason_overrides_the_limit_and_stays(session: Session, tablet: Tablet) -> None:
    assert tablet.say("l1:to:crimp", note="customer's old terminal", height_mm=1.72).saved
    now = bench.state(session, tablet.unit_id)["l1:to:crimp"]
    assert (now.height_mm, now.pull_n, now.note) == (1.72, None, "customer's old terminal")
    unit = units.get(session, tablet.unit_id)
    line = bench_journal.journal(session, unit, plan_of(session, tablet.unit_id))[0]
    assert (line.height_mm, line.pull_n) == (1.72, None)


def test_a_value_may_be_given_where_none_is_asked(session: Session, tablet: Tablet) -> None:
    tablet.done("l1:from:thread", "l1:from:strip")
    assert tablet.say("l1:from:crimp", pull_n=80).saved
    assert bench.state(session, tablet.unit_id)["l1:from:crimp"].pull_n == 80


def test_no_crimp_before_its_tool_is_set_up(session: Session) -> None:
    loom = launch.signed_off(session)
    unit_id = units.start(session, loom.loom_id, loom.person_id, "full")[0]
    tablet = Tablet(session, unit_id, loom.person_id)
    tablet.done("l1.0:cut", "l1:to:thread", "l1:to:strip")
    assert tablet.say("l1:to:crimp").sentence == (
        "First a crimp set-up for Tab receptacle 6.3 on 2.5 mm²: tool, die, lots and three "
        "first-offs."
    )
    assert tablet.say("l1:to:crimp", note="made at the fair, without the press").saved
