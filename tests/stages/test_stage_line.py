import pytest
from sqlalchemy.orm import Session

from tests.stages.office import begin_job
from webapp.records.bench import Unit
from webapp.records.quotes import Quote, QuoteEvent
from webapp.stages import jobs, journal, stage_line
from webapp.stages.clock import today
from webapp.stages.design import revisions
from webapp.stages.refusals import NotThere, Refused


def add_unit(session: Session, loom_id: int, person_id: int, number: int) -> int:
    revision_id = revisions.latest(session, loom_id).id
    unit = Unit(
        loom_id=loom_id,
        revision_id=revision_id,
        number=number,
        serial=f"S{loom_id}-{number}",
        code=f"U{loom_id}{number}",
        depth="full",
    )
    session.add(unit)
    session.flush()
    stage_line.move(session, loom_id, unit.id, "build", person_id)
    return unit.id


def marks(line: stage_line.StageLine) -> list[tuple[str, str]]:
    return [(mark.state, mark.text) for mark in line.marks]


def test_a_loom_goes_from_quote_to_design_and_back_with_a_reason(session: Session) -> None:
    project_id, loom_id, person_id = begin_job(session)
    assert stage_line.stage_of_loom(session, loom_id) == "quote"
    stage_line.move(session, loom_id, None, "design", person_id)
    assert stage_line.stage_of_loom(session, loom_id) == "design"
    with pytest.raises(Refused, match="why") as caught:
        stage_line.move(session, loom_id, None, "quote", person_id, "  ")
    assert caught.value.field == "reason"
    stage_line.move(session, loom_id, None, "quote", person_id, "two more lamps")
    assert [line.sentence for line in journal.lines(session, project_id)][:2] == [
        "Main loom went back to quote: two more lamps",
        "Main loom goes on to design.",
    ]


@pytest.mark.parametrize("stage", ["quote", "build", "done", "sold"])
def test_a_loom_cannot_move_there(session: Session, stage: str) -> None:
    _, loom_id, person_id = begin_job(session)
    with pytest.raises(Refused):
        stage_line.move(session, loom_id, None, stage, person_id)


def test_a_unit_cannot_leave_a_stage_out(session: Session) -> None:
    _, loom_id, person_id = begin_job(session)
    unit_id = add_unit(session, loom_id, person_id, 1)
    with pytest.raises(Refused, match="test first"):
        stage_line.move(session, loom_id, unit_id, "done", person_id)
    _, other_loom, _ = begin_job(session, "Other")
    with pytest.raises(NotThere):
        stage_line.move(session, other_loom, unit_id, "test", person_id)


def test_the_line_of_a_loom_tells_what_became_of_quote_and_design(session: Session) -> None:
    _, loom_id, person_id = begin_job(session)
    assert marks(stage_line.of_loom(session, loom_id)) == [("now", "")] + [("todo", "")] * 4
    quote = Quote(
        loom_id=loom_id,
        revision=1,
        number="26-001-A",
        code="QAAAAA",
        issued_on=today(),
        valid_until=today(),
        total_minor=1,
        snapshot={},
        person_id=person_id,
    )
    session.add(quote)
    session.flush()
    assert marks(stage_line.of_loom(session, loom_id))[0] == ("now", "26-001-A issued")
    session.add(QuoteEvent(quote_id=quote.id, what="accepted", person_id=person_id))
    stage_line.move(session, loom_id, None, "design", person_id)
    day = f"{today().day} {today():%b}"
    line = stage_line.of_loom(session, loom_id)
    assert marks(line)[:3] == [("done", f"accepted {day}"), ("now", "revision A"), ("todo", "")]
    assert line.at.stage == "design"
    revisions.freeze(session, revisions.latest(session, loom_id).id, person_id, {})
    line = stage_line.of_loom(session, loom_id)
    assert marks(line)[1] == ("done", f"revision A, {day}")
    assert line.at.stage == "build"


def test_the_line_counts_units_until_all_are_done(session: Session) -> None:
    project_id, loom_id, person_id = begin_job(session)
    stage_line.move(session, loom_id, None, "design", person_id)
    revisions.freeze(session, revisions.latest(session, loom_id).id, person_id, {})
    units = [add_unit(session, loom_id, person_id, number) for number in range(1, 7)]
    for unit_id in units[:2]:
        stage_line.move(session, loom_id, unit_id, "test", person_id)
    stage_line.move(session, loom_id, units[0], "done", person_id)
    assert marks(stage_line.of_loom(session, loom_id))[2:] == [
        ("now", "2 of 6"),
        ("now", "1 of 6"),
        ("todo", "1 of 6"),
    ]
    for unit_id in units[2:]:
        stage_line.move(session, loom_id, unit_id, "test", person_id)
    for unit_id in units[1:]:
        stage_line.move(session, loom_id, unit_id, "done", person_id)
    line = stage_line.of_loom(session, loom_id)
    assert marks(line)[2:] == [("done", "6 of 6")] * 3
    assert line.finished
    assert not jobs.get(session, project_id).open
    stage_line.move(session, loom_id, units[3], "test", person_id, "came back wet")
    assert jobs.get(session, project_id).open


def test_the_line_of_a_unit(session: Session) -> None:
    _, loom_id, person_id = begin_job(session)
    stage_line.move(session, loom_id, None, "design", person_id)
    revisions.freeze(session, revisions.latest(session, loom_id).id, person_id, {})
    unit_id = add_unit(session, loom_id, person_id, 1)
    day = f"{today().day} {today():%b}"
    assert marks(stage_line.of_unit(session, unit_id))[1:] == [
        ("done", "revision A"),
        ("now", ""),
        ("todo", ""),
        ("todo", ""),
    ]
    stage_line.move(session, loom_id, unit_id, "test", person_id)
    assert marks(stage_line.of_unit(session, unit_id))[2:4] == [
        ("done", f"built {day}"),
        ("now", ""),
    ]
    stage_line.move(session, loom_id, unit_id, "done", person_id)
    line = stage_line.of_unit(session, unit_id)
    assert marks(line)[2:] == [
        ("done", f"built {day}"),
        ("done", f"passed {day}"),
        ("done", f"handed over {day}"),
    ]
    assert line.finished
