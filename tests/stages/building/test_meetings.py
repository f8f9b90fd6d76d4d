"""Two tablets at one step agree on one outcome, and both are told."""

from dataclasses import replace

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from tests.stages.building.at_bench import (
    JOINT,
    Tablet,
    begin,
    plan_of,
    second_person,
    states,
    ticks,
)
from webapp.records.bench import TickMeeting
from webapp.stages.building import bench_feed, bench_journal, units
from webapp.stages.clock import local_time


@pytest.fixture
def tablets(session: Session) -> tuple[Tablet, Tablet]:
    loom, unit_id = begin(session)
    return (
        Tablet(session, unit_id, second_person(session), "tablet 1"),
        Tablet(session, unit_id, loom.person_id, "tablet 2"),
    )


def meetings(session: Session) -> list[tuple[str, str]]:
    rows = session.scalars(select(TickMeeting).order_by(TickMeeting.id))
    return [(row.state, row.outcome) for row in rows]


def told(session: Session, tablet: Tablet, met: int = 0) -> list[str]:
    loom_id = units.get(session, tablet.unit_id).loom_id
    news = bench_feed.news(session, loom_id, 10**9, met)
    return [each.words for each in news.meetings] if news else []


def test_the_same_stated_twice_counts_once(
    session: Session, tablets: tuple[Tablet, Tablet]
) -> None:
    first, second = tablets
    assert first.say("l1.0:cut", seen=0).saved
    entry = second.entry("l1.0:cut", seen=0, height_mm=1.5)
    (answer,) = second.send(entry)
    assert answer.saved
    assert answer.told.startswith("Wire 1: Cut 100 mm: already done, by JS at ")
    assert answer.told.endswith(" (tablet 1). It counts once.")
    assert second.send(entry) == [answer]
    assert (ticks(session), meetings(session)) == (1, [("done", "same")])
    # What the second had measured is not lost with its entry.
    assert session.scalars(select(TickMeeting.note)).one() == "height 1.50 mm"
    (words,) = told(session, first)
    assert words.startswith("Wire 1: Cut 100 mm: done by JS at ")
    assert ", and by AM at " in words


@pytest.mark.parametrize(
    ("state", "unit_state"), [("held", "held"), ("rework", "rework"), ("scrapped", "scrapped")]
)
def test_that_work_is_not_fit_stands_over_anothers_done(
    session: Session, tablets: tuple[Tablet, Tablet], state: str, unit_state: str
) -> None:
    first, second = tablets
    first.done("l1.0:cut")
    entry = second.entry("l1.0:cut", state, "it is the wrong wire", seen=0)
    (answer,) = second.send(entry)
    assert answer.saved
    assert "JS at " in answer.told
    assert answer.told.endswith("had said meanwhile: done. What you say stands.")
    assert second.send(entry) == [answer]
    assert states(session, first.unit_id)["l1.0:cut"] == unit_state
    assert meetings(session) == []


@pytest.mark.parametrize("unseen", ["held", "rework", "scrapped", "undone", "waived"])
def test_done_waits_until_one_has_seen_what_the_other_said(
    session: Session, tablets: tuple[Tablet, Tablet], unseen: str
) -> None:
    first, second = tablets
    first.done("l1.0:cut")
    seen = first.last("l1.0:cut")
    assert first.say("l1.0:cut", unseen, "it is the wrong wire").saved
    entry = second.entry("l1.0:cut", seen=seen)
    (answer,) = second.send(entry)
    assert not answer.saved
    assert "not taken, because JS at " in answer.sentence
    assert "it is the wrong wire. Look at it, then say it again." in answer.sentence
    # The same key again, even after the step was done anew, gets the same answer.
    assert first.say("l1.0:cut", seen=first.last("l1.0:cut")).saved
    assert second.send(entry) == [answer]
    assert meetings(session) == [("done", "refused")]
    assert "It stays so; not taken: done, by AM at" in told(session, first)[0]
    # Whoever has looked may say it.
    assert second.say("l1.0:cut", seen=first.last("l1.0:cut")).saved


@pytest.mark.parametrize("state", ["undone", "waived"])
def test_nobody_takes_back_what_he_has_not_seen(
    session: Session, tablets: tuple[Tablet, Tablet], state: str
) -> None:
    first, second = tablets
    first.done("l1.0:cut")
    answer = second.say("l1.0:cut", state, "not needed", seen=0)
    assert not answer.saved
    assert states(session, first.unit_id) == {"l1.0:cut": "done"}
    assert meetings(session) == [(state, "refused")]


def test_what_a_device_says_offline_one_after_another_is_no_meeting(
    session: Session, tablets: tuple[Tablet, Tablet]
) -> None:
    first, _ = tablets
    answers = first.send(
        first.entry("l1.0:cut", seen=0),
        first.entry("l1.0:cut", "undone", seen=0),
        first.entry("l1.0:cut", seen=0),
    )
    assert [(answer.saved, answer.told) for answer in answers] == [(True, "")] * 3
    assert first.say("l1.0:cut", "scrapped", "too short", seen=0).saved
    assert first.say("l1.0:cut", seen=0).saved
    # What its own entry undid with it is its own, too.
    first.done(*JOINT)
    first.say("l4:from:crimp", "rework", "it moved", seen=0)
    assert first.say("l4:from:crimp", seen=0).saved
    assert first.say("l4:from:solder", seen=0).saved
    assert meetings(session) == []


def test_what_another_undid_with_a_joint_is_met(
    session: Session, tablets: tuple[Tablet, Tablet]
) -> None:
    first, second = tablets
    first.done(*JOINT[:-1])
    seen = first.last("l4:from:strip")
    first.say("l4:from:thread", "undone", "the tag was wrong")
    answer = second.say("l4:from:strip", "waived", "stripped by the customer", seen=seen)
    assert "undone: because “Thread on” was undone: the tag was wrong" in answer.sentence


def test_a_device_that_does_not_say_what_it_saw_meets_nobody(
    session: Session, tablets: tuple[Tablet, Tablet]
) -> None:
    first, second = tablets
    first.done("l1.0:cut")
    second.done("l1.0:cut")
    assert (ticks(session), meetings(session)) == (2, [])


def test_another_entry_cannot_take_the_key_of_one_that_met(
    session: Session, tablets: tuple[Tablet, Tablet]
) -> None:
    first, second = tablets
    first.done("l1.0:cut")
    entry = second.entry("l1.0:cut", seen=0)
    second.send(entry)
    (answer,) = second.send(replace(entry, step_uid="l2.0:cut"))
    assert answer.sentence == "Another entry has the same key."


def test_the_journal_lists_who_met_whom(session: Session, tablets: tuple[Tablet, Tablet]) -> None:
    first, second = tablets
    first.done("l1.0:cut")
    second.say("l1.0:cut", seen=0)
    second.say("l1.0:cut", "undone", "ticked by mistake", seen=0)
    first.done("l2.0:cut")
    unit = units.get(session, first.unit_id)
    lines = bench_journal.journal(session, unit, plan_of(session, first.unit_id))
    at = local_time(lines[-1].at)
    assert [(line.title, line.said, line.note, line.person) for line in lines] == [
        ("Cut 1,900 mm", "done", "", "Jo Stone"),
        ("Cut 100 mm", "not taken: undone", "ticked by mistake; JS at "
         f"{at} (tablet 1) had said: done", "Ada Marr"),
        ("Cut 100 mm", "also done", f"JS at {at} (tablet 1) had said it first", "Ada Marr"),
        ("Cut 100 mm", "done", "", "Jo Stone"),
    ]  # fmt: skip


def test_the_feed_tells_only_what_is_new(session: Session, tablets: tuple[Tablet, Tablet]) -> None:
    first, second = tablets
    loom_id = units.get(session, first.unit_id).loom_id
    assert bench_feed.news(session, loom_id, 0, 0) is None
    assert (bench_feed.last_tick(session, loom_id), bench_feed.last_meeting(session, loom_id)) == (
        0, 0,
    )  # fmt: skip
    first.done("l1.0:cut", "l2.0:cut")
    second.say("l1.0:cut", seen=0)
    news = bench_feed.news(session, loom_id, 0, 0)
    assert news is not None
    assert [(tick.step_uid, tick.state, tick.who) for tick in news.ticks] == [
        ("l1.0:cut", "done", "JS"), ("l2.0:cut", "done", "JS"),
    ]  # fmt: skip
    assert news.last == bench_feed.last_tick(session, loom_id)
    assert news.met == bench_feed.last_meeting(session, loom_id)
    assert bench_feed.news(session, loom_id, news.last, news.met) is None
    # A step that was ticked several times is told as it stands.
    first.say("l2.0:cut", "undone")
    first.done("l2.0:cut")
    again = bench_feed.news(session, loom_id, news.last, news.met)
    assert again is not None
    assert [(tick.step_uid, tick.state) for tick in again.ticks] == [("l2.0:cut", "done")]
    assert bench_feed.news(session, loom_id + 1, 0, 0) is None
