"""Jobs: a customer's project, begun, changed, started again."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from webapp.records.customers import Customer
from webapp.records.design import Revision
from webapp.records.jobs import NOMINAL_VOLTAGES, POLARITIES, SETTINGS, Loom, Project
from webapp.records.quotes import Quote, QuoteEvent
from webapp.stages import codes, customers, journal, looms
from webapp.stages.clock import local_day, today
from webapp.stages.customers import CustomerValues
from webapp.stages.editing import merged
from webapp.stages.looms import LoomRow
from webapp.stages.refusals import NotThere, Refused
from webapp.stages.values import required

# Sizes, fuse-links and frozen papers rest on these.
FIXED_BY_SIGN_OFF = {
    "nominal_v": "The nominal voltage",
    "polarity": "The polarity",
    "setting": "Where it works",
}


@dataclass(frozen=True)
class JobValues:
    """What is written on the job's card."""

    customer_id: int
    title: str
    equipment: str
    setting: str
    nominal_v: int
    polarity: str
    due_on: date | None
    notes: str


@dataclass(frozen=True)
class Job:
    id: int
    number: str
    code: str
    values: JobValues
    customer: str
    created_at: datetime
    looms: tuple[LoomRow, ...]
    signed_off: bool
    declined: bool
    started_from: tuple[int, str] | None

    @property
    def open(self) -> bool:
        """Something is still to do: not declined, and not every unit handed over."""
        return not self.declined and not all(loom.line.finished for loom in self.looms)

    def overdue(self, day: date) -> bool:
        """Open, and due before `day`."""
        return self.open and self.values.due_on is not None and self.values.due_on < day


def open_jobs(session: Session) -> tuple[Job, ...]:
    """Jobs with something to do: the first due first, those without a date after them."""
    jobs = [job for job in all_jobs(session) if job.open]
    return tuple(sorted(jobs, key=lambda job: (job.values.due_on or date.max, job.number)))


def all_jobs(session: Session, customer_id: int | None = None) -> tuple[Job, ...]:
    """Every job, or every job of one customer, the newest first."""
    query = select(Project).order_by(Project.id.desc())
    if customer_id is not None:
        query = query.where(Project.customer_id == customer_id)
    return _jobs(session, session.scalars(query).all())


def years(session: Session) -> tuple[int, ...]:
    """The years in which jobs were begun, the latest first."""
    moments = session.scalars(select(Project.created_at))
    return tuple(sorted({local_day(moment).year for moment in moments}, reverse=True))


def matching(
    session: Session,
    *,
    text: str = "",
    year: int | None = None,
    customer: int | None = None,
    limit: int | None = None,
) -> tuple[Job, ...]:
    """Jobs, finished ones too, that hold every word of `text`; the newest first."""
    query = select(Project).join(Customer).order_by(Project.id.desc())
    for word in text.split():
        query = query.where(
            or_(
                *(
                    column.contains(word, autoescape=True)
                    for column in (
                        Project.number,
                        Project.title,
                        Project.equipment,
                        Project.notes,
                        Customer.name,
                    )
                )
            )
        )
    if customer is not None:
        query = query.where(Project.customer_id == customer)
    if year is not None:
        begins, ends = (datetime(y, 1, 1).astimezone() for y in (year, year + 1))
        query = query.where(Project.created_at >= begins, Project.created_at < ends)
    return _jobs(session, session.scalars(query.limit(limit)).all())


def get(session: Session, project_id: int) -> Job:
    """One job.

    Raises:
        NotThere: no such job.
    """
    (job,) = _jobs(session, [_project(session, project_id)])
    return job


def id_by_number(session: Session, number: str) -> int | None:
    """The job with this number, e.g. 26-041."""
    return session.scalar(select(Project.id).where(Project.number == number))


def new(
    session: Session,
    values: JobValues,
    *,
    new_customer: str,
    loom_name: str,
    loom_quantity: int,
    person_id: int,
    once: str = "",
) -> int:
    """Begins a job with its first loom; a new customer's name makes the customer too.

    Returns:
        The job's id; the same one again for the same `once`.

    Raises:
        Refused: something is missing or taken; fields are those of JobValues, and
            new_customer, loom_name, loom_quantity.
    """
    if before := journal.known(session, once):
        return before[0]
    customer_id = values.customer_id
    if new_customer.strip():
        customer_id = customers.add(
            session, CustomerValues(new_customer), name_field="new_customer"
        )
    project = Project(
        number=codes.next_job_number(session, today()), code=codes.new_code(session, codes.JOB)
    )
    _set(session, project, JobValues(**{**asdict(values), "customer_id": customer_id}))
    session.add(project)
    session.flush()
    journal.write(session, project.id, f"Job {project.number} begun.", person_id, once=once)
    try:
        looms.add(session, project.id, name=loom_name, quantity=loom_quantity, person_id=person_id)
    except Refused as refusal:
        raise Refused(f"loom_{refusal.field}", refusal.sentence) from refusal
    return project.id


def edit(
    session: Session,
    project_id: int,
    opened: Mapping[str, Any],
    typed: Mapping[str, Any],
    person_id: int,
) -> None:
    """Changes what is written on the job's card; values are those of JobValues.

    Raises:
        NotThere: no such job.
        ChangedMeanwhile: somebody else changed the same values since the form was opened.
        Refused: something is missing, or fixed because a design is signed off.
    """
    project = _project(session, project_id)
    before = _values(project)
    result = merged(now=asdict(before), opened=opened, typed=typed)
    changed = [name for name, value in asdict(before).items() if result[name] != value]
    if not changed:
        return
    if _is_signed_off(session, project_id):
        for field in changed:
            if field in FIXED_BY_SIGN_OFF:
                raise Refused(
                    field,
                    f"{FIXED_BY_SIGN_OFF[field]} is fixed: a design of this job is signed off for "
                    "the bench. Start a new job from this one instead.",
                )
    _set(session, project, JobValues(**result))
    project.version += 1
    session.flush()
    if project.nominal_v != before.nominal_v:
        for loom_id in session.scalars(select(Loom.id).where(Loom.project_id == project_id)):
            looms.follow_voltage(session, loom_id, before.nominal_v, project.nominal_v, person_id)
    what = ", ".join(_WORDS[name] for name in changed)
    journal.write(session, project_id, f"Changed on the job's card: {what}.", person_id)
    session.flush()


_WORDS = {
    "customer_id": "customer",
    "title": "title",
    "equipment": "equipment",
    "setting": "where it works",
    "nominal_v": "nominal voltage",
    "polarity": "polarity",
    "due_on": "due date",
    "notes": "notes",
}


def start_again(session: Session, project_id: int, person_id: int, once: str = "") -> int:
    """A new job like an old one: its card without the date, and each loom's latest design.

    Returns:
        The new job's id; the same one again for the same `once`.
    """
    if before := journal.known(session, once):
        return before[0]
    old = _project(session, project_id)
    project = Project(
        number=codes.next_job_number(session, today()),
        code=codes.new_code(session, codes.JOB),
        customer_id=old.customer_id,
        title=old.title,
        equipment=old.equipment,
        setting=old.setting,
        nominal_v=old.nominal_v,
        polarity=old.polarity,
        notes=old.notes,
        started_from_id=old.id,
    )
    session.add(project)
    session.flush()
    sentence = f"Job {project.number} begun from job {old.number}."
    journal.write(session, project.id, sentence, person_id, once=once)
    journal.write(session, old.id, f"Job {project.number} was begun from this one.", person_id)
    for loom_id in session.scalars(
        select(Loom.id).where(Loom.project_id == old.id).order_by(Loom.id)
    ).all():
        looms.add_copy(session, project.id, loom_id, person_id)
    return project.id


def _project(session: Session, project_id: int) -> Project:
    project = session.get(Project, project_id)
    if project is None:
        raise NotThere
    return project


def _values(row: Project) -> JobValues:
    return JobValues(
        row.customer_id,
        row.title,
        row.equipment,
        row.setting,
        row.nominal_v,
        row.polarity,
        row.due_on,
        row.notes,
    )


def _set(session: Session, project: Project, values: JobValues) -> None:
    if session.get(Customer, values.customer_id) is None:
        raise Refused("customer_id", "Choose a customer, or enter a new one.")
    for field, value, allowed in (
        ("setting", values.setting, SETTINGS),
        ("nominal_v", values.nominal_v, NOMINAL_VOLTAGES),
        ("polarity", values.polarity, POLARITIES),
    ):
        if value not in allowed:
            raise Refused(field, "Choose one from the list.")
    required("title", values.title, "a title, such as what is to be wired")
    for name, value in asdict(values).items():
        setattr(project, name, value)


def _jobs(session: Session, projects: Sequence[Project]) -> tuple[Job, ...]:
    ids = tuple(project.id for project in projects)
    loom_rows = looms.of_jobs(session, ids)
    customer_names = _names(session, {project.customer_id for project in projects})
    signed_off = _signed_off_projects(session, ids)
    declined = _declined_looms(session, ids)
    numbers = _numbers(session, {p.started_from_id for p in projects if p.started_from_id})
    return tuple(
        Job(
            id=project.id,
            number=project.number,
            code=project.code,
            values=_values(project),
            customer=customer_names[project.customer_id],
            created_at=project.created_at,
            looms=loom_rows[project.id],
            signed_off=project.id in signed_off,
            declined=bool(loom_rows[project.id])
            and all(loom.id in declined for loom in loom_rows[project.id]),
            started_from=(project.started_from_id, numbers[project.started_from_id])
            if project.started_from_id
            else None,
        )
        for project in projects
    )


def _names(session: Session, customer_ids: set[int]) -> dict[int, str]:
    rows = session.execute(
        select(Customer.id, Customer.name).where(Customer.id.in_(customer_ids))
    ).all()
    return dict(rows)


def _numbers(session: Session, project_ids: set[int]) -> dict[int, str]:
    rows = session.execute(
        select(Project.id, Project.number).where(Project.id.in_(project_ids))
    ).all()
    return dict(rows)


def _is_signed_off(session: Session, project_id: int) -> bool:
    return project_id in _signed_off_projects(session, (project_id,))


def _signed_off_projects(session: Session, project_ids: tuple[int, ...]) -> set[int]:
    return set(
        session.scalars(
            select(Loom.project_id)
            .join(Revision, Revision.loom_id == Loom.id)
            .where(Loom.project_id.in_(project_ids), Revision.signed_off_at.is_not(None))
        )
    )


def _declined_looms(session: Session, project_ids: tuple[int, ...]) -> set[int]:
    """Looms whose latest own quote, not one of a change, was declined last."""
    rows = session.execute(
        select(Loom.id, QuoteEvent.what)
        .join(Quote, Quote.loom_id == Loom.id)
        .outerjoin(QuoteEvent, QuoteEvent.quote_id == Quote.id)
        .where(Loom.project_id.in_(project_ids), Quote.change_from_id.is_(None))
        .order_by(Quote.revision, QuoteEvent.id)
    )
    last = dict(rows.all())
    return {loom_id for loom_id, what in last.items() if what == "declined"}
