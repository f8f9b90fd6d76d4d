from dataclasses import asdict
from datetime import date

import pytest
from sqlalchemy import delete, select, update
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from tests.stages.office import CARD, begin_job, somebody
from webapp.records.customers import Customer
from webapp.records.design import Basis, Place
from webapp.records.jobs import JournalEntry, StageMove
from webapp.records.quotes import Quote, QuoteEvent
from webapp.stages import jobs, journal, looms, received
from webapp.stages.clock import today
from webapp.stages.design import commands, revisions, rows
from webapp.stages.refusals import ChangedMeanwhile, NotThere, Refused


def sign_off(session: Session, loom_id: int, person_id: int) -> None:
    revisions.freeze(session, revisions.latest(session, loom_id).id, person_id, {})


def decline(session: Session, loom_id: int, person_id: int, revision: int = 1) -> None:
    quote = Quote(
        loom_id=loom_id,
        revision=revision,
        number=f"26-001-{loom_id}-{revision}",
        code=f"Q{loom_id}{revision}",
        issued_on=today(),
        valid_until=today(),
        total_minor=100,
        snapshot={},
        person_id=person_id,
    )
    session.add(quote)
    session.flush()
    session.add(QuoteEvent(quote_id=quote.id, what="declined", person_id=person_id))
    session.flush()


def test_a_new_job_has_customer_loom_revision_and_journal(session: Session) -> None:
    project_id, loom_id, _ = begin_job(session, due_on=date(2026, 12, 12))
    job = jobs.get(session, project_id)
    assert job.number == f"{today().year % 100:02d}-001"
    assert job.customer == "Dunlin Day Boats"
    assert job.values.due_on == date(2026, 12, 12)
    assert [(loom.name, loom.quantity, loom.line.at.stage) for loom in job.looms] == [
        ("main loom", 6, "quote")
    ]
    assert job.open
    assert revisions.latest(session, loom_id).number == 1
    assert session.scalars(select(StageMove.to_stage)).all() == ["quote"]
    lines = journal.lines(session, project_id)
    assert [line.sentence for line in lines] == [
        "Main loom is begun.",
        f"Job {job.number} begun.",
    ]
    assert {line.who for line in lines} == {"Ada Quill"}


@pytest.mark.parametrize(
    ("card", "beside", "field"),
    [
        ({}, {"new_customer": ""}, "customer_id"),
        ({}, {"new_customer": "dunlin day boats"}, "new_customer"),
        ({"title": " "}, {}, "title"),
        ({"nominal_v": 13}, {}, "nominal_v"),
        ({"polarity": "any"}, {}, "polarity"),
        ({"setting": "aircraft"}, {}, "setting"),
        ({}, {"loom_name": ""}, "loom_name"),
        ({}, {"loom_quantity": 0}, "loom_quantity"),
    ],
)
def test_a_new_job_is_refused_beside_the_field(
    session: Session, card: dict[str, object], beside: dict[str, object], field: str
) -> None:
    begin_job(session)
    start = {"new_customer": "Other", "loom_name": "main loom", "loom_quantity": 1}
    values = jobs.JobValues(**(asdict(CARD) | card))  # type: ignore[arg-type]
    with pytest.raises(Refused) as caught:
        jobs.new(session, values, person_id=somebody(session), **(start | beside))  # type: ignore[arg-type]
    assert caught.value.field == field


def test_open_jobs_come_by_date_and_declined_ones_leave(session: Session) -> None:
    late, *_ = begin_job(session, "A", due_on=date(2027, 3, 1))
    no_date, loom_id, person_id = begin_job(session, "B")
    soon, *_ = begin_job(session, "C", due_on=date(2026, 1, 1))
    assert [job.id for job in jobs.open_jobs(session)] == [soon, late, no_date]
    assert jobs.get(session, soon).overdue(date(2026, 1, 2))
    assert not jobs.get(session, soon).overdue(date(2026, 1, 1))
    decline(session, loom_id, person_id)
    assert [job.id for job in jobs.open_jobs(session)] == [soon, late]
    assert jobs.get(session, no_date).declined
    assert not jobs.get(session, no_date).overdue(date(2999, 1, 1))


def test_only_the_last_word_on_the_last_quote_counts(session: Session) -> None:
    project_id, loom_id, person_id = begin_job(session)
    decline(session, loom_id, person_id)
    second = Quote(
        loom_id=loom_id,
        revision=2,
        number="x-2",
        code="QX2",
        issued_on=today(),
        valid_until=today(),
        total_minor=1,
        snapshot={},
        person_id=person_id,
    )
    session.add(second)
    session.flush()
    assert jobs.get(session, project_id).open


def test_an_edit_is_journalled_and_a_clash_shown(session: Session) -> None:
    project_id, _, person_id = begin_job(session)
    opened = asdict(jobs.get(session, project_id).values)
    jobs.edit(session, project_id, opened, opened | {"title": "Launch", "notes": "x"}, person_id)
    assert jobs.get(session, project_id).values.title == "Launch"
    assert (
        journal.lines(session, project_id)[0].sentence == "Changed on the job's card: title, notes."
    )
    with pytest.raises(ChangedMeanwhile):
        jobs.edit(session, project_id, opened, opened | {"title": "Boat"}, person_id)
    before = len(journal.lines(session, project_id))
    jobs.edit(session, project_id, opened, opened, person_id)
    assert len(journal.lines(session, project_id)) == before
    with pytest.raises(NotThere):
        jobs.edit(session, 99, {}, {}, person_id)


def test_the_voltage_takes_untouched_supply_voltages_along(session: Session) -> None:
    project_id, loom_id, person_id = begin_job(session)
    revision_id = revisions.latest(session, loom_id).id
    basis = rows.load(session, revision_id).basis
    change = commands.changed(basis, drop_at_v=10.5)
    commands.write(session, revision_id, "by hand", [change], person_id)
    jobs.edit(session, project_id, {}, {"nominal_v": 24}, person_id)
    kept = session.scalars(select(Basis).where(Basis.revision_id == revision_id)).one()
    assert (kept.heat_at_v, kept.drop_at_v) == (28.8, 10.5)


@pytest.mark.parametrize(
    "change", [{"nominal_v": 24}, {"polarity": "negative earth"}, {"setting": "plant"}]
)
def test_sign_off_fixes_what_the_sizes_rest_on(session: Session, change: dict[str, object]) -> None:
    project_id, loom_id, person_id = begin_job(session)
    sign_off(session, loom_id, person_id)
    assert jobs.get(session, project_id).signed_off
    with pytest.raises(Refused, match="signed off") as caught:
        jobs.edit(session, project_id, {}, change, person_id)
    assert caught.value.field == next(iter(change))
    jobs.edit(session, project_id, {}, {"title": "Still free"}, person_id)


def test_a_job_begun_again_starts_from_the_latest_designs(session: Session) -> None:
    project_id, loom_id, person_id = begin_job(session, due_on=date(2026, 12, 1), notes="keep")
    revision_id = revisions.latest(session, loom_id).id
    place = rows.Place(uid="p1", name="battery box")
    commands.write(session, revision_id, "place", [commands.added(place)], person_id)
    sign_off(session, loom_id, person_id)
    received.add(
        session,
        project_id,
        what="lead",
        quantity=1,
        from_whom="",
        received_on=today(),
        condition="",
        person_id=person_id,
    )
    new_id = jobs.start_again(session, project_id, person_id)
    old, new = jobs.get(session, project_id), jobs.get(session, new_id)
    assert new.number != old.number
    assert new.code != old.code
    assert new.values == jobs.JobValues(**(asdict(old.values) | {"due_on": None}))
    assert new.started_from == (project_id, old.number)
    assert [loom.name for loom in new.looms] == ["main loom"]
    copy = revisions.latest(session, new.looms[0].id)
    assert (copy.number, copy.signed_off) == (1, False)
    places = session.scalars(select(Place.name).where(Place.revision_id == copy.id)).all()
    assert places == ["battery box"]
    assert received.of_job(session, new_id) == ()
    assert any(new.number in line.sentence for line in journal.lines(session, project_id))


def test_matching_finds_every_word_and_takes_signs_as_they_are(session: Session) -> None:
    project_id, *_ = begin_job(session, notes="50% deposit paid")
    year = today().year
    assert [job.id for job in jobs.matching(session, text="dunlin LAUNCH")] == [project_id]
    assert [job.id for job in jobs.matching(session, text="50%", year=year)] == [project_id]
    assert jobs.matching(session, text="d%n") == ()
    assert jobs.matching(session, text="launch tractor") == ()
    assert jobs.matching(session, year=year - 1) == ()
    customer_id = session.scalars(select(Customer.id)).one()
    assert len(jobs.matching(session, customer=customer_id)) == 1
    assert jobs.matching(session, customer=customer_id + 1) == ()
    assert jobs.years(session) == (year,)
    newer, *_ = begin_job(session, "Other")
    assert [job.id for job in jobs.matching(session, text="launch", limit=1)] == [newer]


def test_looms_are_added_renamed_and_counted(session: Session) -> None:
    project_id, loom_id, person_id = begin_job(session)
    roof = looms.add(session, project_id, name="roof", quantity=2, person_id=person_id)
    looms.edit(session, roof, {"name": "roof"}, {"name": "roof loom", "quantity": 3}, person_id)
    row = looms.get(session, roof)
    assert (row.name, row.quantity) == ("roof loom", 3)
    for values, field in (
        ({"name": "MAIN loom"}, "name"),
        ({"name": " "}, "name"),
        ({"quantity": 0}, "quantity"),
        ({"quantity": 1000}, "quantity"),
    ):
        with pytest.raises(Refused) as caught:
            looms.edit(session, roof, {}, values, person_id)
        assert caught.value.field == field
    assert [loom.id for loom in jobs.get(session, project_id).looms] == [loom_id, roof]
    with pytest.raises(NotThere):
        looms.add(session, 99, name="x", quantity=1, person_id=person_id)


def test_received_parts_get_a_code_and_a_line(session: Session) -> None:
    project_id, _, person_id = begin_job(session)
    code = received.add(
        session,
        project_id,
        what="VHF lead",
        quantity=2,
        from_whom="Mr Dunlin",
        received_on=today(),
        condition="new",
        person_id=person_id,
    )
    (row,) = received.of_job(session, project_id)
    assert (row.code, row.what, row.quantity, row.condition) == (code, "VHF lead", 2, "new")
    assert journal.lines(session, project_id)[0].sentence == "Came in from Mr Dunlin: 2 × VHF lead."


def test_journal_entries_cannot_be_changed_or_removed(session: Session) -> None:
    begin_job(session)
    for statement in (update(JournalEntry).values(sentence="Nothing."), delete(JournalEntry)):
        with pytest.raises(IntegrityError), session.begin_nested():
            session.execute(statement)
