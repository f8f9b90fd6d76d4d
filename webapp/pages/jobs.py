"""Jobs: the open ones, a new one, one job with its looms and journal, one begun from another."""

from collections.abc import Mapping
from dataclasses import asdict

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.access import Access
from webapp.pages.at_work import at_work
from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.editing import Edit, as_text, attempt, both_values
from webapp.pages.forms import Form, as_typed, filled
from webapp.pages.render import redirect, render
from webapp.records.jobs import NOMINAL_VOLTAGES, POLARITIES, SETTINGS
from webapp.stages import customers, jobs, journal, looms, priced_time, progress, received
from webapp.stages.building import how_far, time_taken
from webapp.stages.clock import today
from webapp.stages.jobs import JobValues
from webapp.stages.refusals import ChangedMeanwhile

router = APIRouter()

LABELS = {
    "customer_id": "Customer",
    "title": "Title",
    "equipment": "Equipment",
    "setting": "Where it works",
    "nominal_v": "Nominal voltage",
    "polarity": "Polarity",
    "due_on": "Due",
    "notes": "Notes",
}
POLARITY_WORDS = {
    "negative earth": "negative earth: the body is the return, on battery negative",
    "positive earth": "positive earth: the body is the return, on battery positive",
    "insulated return": "insulated return: a return wire to every load, the body is not used",
}
CHOICES = {
    "setting": [(setting, setting) for setting in SETTINGS],
    "nominal_v": [(volts, f"{volts} V") for volts in NOMINAL_VOLTAGES],
    "polarity": [(polarity, POLARITY_WORDS[polarity]) for polarity in POLARITIES],
}


@router.get("/")
def first_page() -> Response:
    return redirect("/jobs")


@router.get("/jobs")
def show_open(request: Request, session: ReadSession) -> Response:
    found = jobs.open_jobs(session)
    return render(
        request,
        "jobs/list.html",
        jobs=found,
        today=today(),
        mark=progress.of_all(session).mark,
        built=how_far.being_built(session, (loom.id for job in found for loom in job.looms)),
        at_work=at_work(request, session),
    )


# --- the card ---------------------------------------------------------------------------------


def read_card(form: Form) -> None:
    form.whole("customer_id", LABELS["customer_id"])
    form.text("title", LABELS["title"], most=80)
    form.text("equipment", LABELS["equipment"], most=200, needed=False)
    form.choice("setting", LABELS["setting"], SETTINGS)
    form.choice("nominal_v", LABELS["nominal_v"], map(str, NOMINAL_VOLTAGES))
    form.choice("polarity", LABELS["polarity"], POLARITIES)
    form.date("due_on", LABELS["due_on"], needed=False)
    form.text("notes", LABELS["notes"], most=4000, needed=False, lines=True)
    if form.values.get("nominal_v"):
        form.values["nominal_v"] = int(form.values["nominal_v"])


def read_new(form: Form) -> None:
    form.text("new_customer", "New customer", most=80, needed=False)
    read_card(form)
    if form.values["new_customer"]:
        form.values["customer_id"] = 0
        form.errors.pop("customer_id", None)
        if form.typed("customer_id"):
            form.refuse(
                "new_customer", "Choose a customer or enter a new one, not both: empty one of them."
            )
    elif form.values.get("customer_id") is None:
        form.errors.pop("customer_id", None)
        form.refuse("customer_id", "Choose a customer, or enter a new one.")
    form.text("loom_name", "First loom", most=80)
    form.whole("loom_quantity", "How many", least=1, most=looms.MOST_UNITS)


def new_page(request: Request, session: Session, form: Form) -> Response:
    return render(
        request,
        "jobs/new.html",
        status=422 if form.errors else 200,
        form=form,
        choices=CHOICES,
        customers=customer_choices(session),
    )


def customer_choices(session: Session) -> list[tuple[int, str]]:
    return [(row.id, row.values.name) for row in customers.everybody(session)]


@router.get("/jobs/new")
def show_new(request: Request, session: ReadSession, customer: str = "") -> Response:
    start = {
        "customer_id": customer,
        "setting": "other",
        "loom_name": "main loom",
        "loom_quantity": "1",
    }
    return new_page(request, session, Form(start))


@router.post("/jobs/new")
def add(request: Request, session: WriteSession, fields: FieldsDep, person: Person) -> Response:
    form = Form(fields)
    read_new(form)
    if form.errors:
        return new_page(request, session, form)
    values = dict(form.values)
    beside = {name: values.pop(name) for name in ("new_customer", "loom_name", "loom_quantity")}
    with attempt(session, form):
        project_id = jobs.new(
            session,
            JobValues(**values),
            person_id=person.id,
            once=fields.get("once", ""),
            **beside,
        )
    if form.errors:
        return new_page(request, session, form)
    number = jobs.get(session, project_id).number
    return redirect(f"/jobs/{project_id}", notice=f"Job {number} is begun.")


@router.get("/jobs/{project_id}/edit")
def show_edit(request: Request, session: ReadSession, project_id: int) -> Response:
    values = asdict(jobs.get(session, project_id).values)
    return edit_page(request, session, project_id, filled(values), as_text(values))


def edit_page(
    request: Request, session: Session, project_id: int, form: Form, was: Mapping[str, str]
) -> Response:
    return render(
        request,
        "jobs/edit.html",
        status=422 if form.errors else 200,
        form=form,
        was=was,
        job=jobs.get(session, project_id),
        choices=CHOICES,
        customers=customer_choices(session),
    )


@router.post("/jobs/{project_id}/edit")
def edit(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, project_id: int
) -> Response:
    sent = Edit(fields, read_card)
    if sent.form.errors:
        return edit_page(request, session, project_id, sent.form, sent.was)
    here = f"/jobs/{project_id}"
    try:
        with attempt(session, sent.form):
            jobs.edit(session, project_id, sent.opened, sent.typed, person.id)
    except ChangedMeanwhile as change:
        names = {str(id_): name for id_, name in customer_choices(session)}
        return both_values(
            request,
            change,
            action=f"{here}/edit",
            back=here,
            labels=LABELS,
            shown=lambda field, text: names.get(text, text) if field == "customer_id" else text,
        )
    if sent.form.errors:
        return edit_page(request, session, project_id, sent.form, sent.was)
    return redirect(here, notice="Saved.")


# --- one job ----------------------------------------------------------------------------------


def job_page(
    request: Request,
    session: Session,
    project_id: int,
    *,
    loom_form: Form | None = None,
    part_form: Form | None = None,
    note_form: Form | None = None,
) -> Response:
    """The whole job; a form with errors is shown again where it stands."""
    access: Access = request.state.access
    forms = (loom_form, part_form, note_form)
    wrong = next((form for form in forms if form and form.errors), None)
    job = jobs.get(session, project_id)
    return render(
        request,
        "jobs/one.html",
        status=422 if wrong else 200,
        job=job,
        received=received.of_job(session, project_id),
        journal=journal.lines(session, project_id, with_quotes=access.money),
        today=today(),
        mark=progress.of_all(session).mark,
        built=how_far.being_built(session, (loom.id for loom in job.looms)),
        taken_s=time_taken.by_unit(session, (loom.id for loom in job.looms)),
        priced={loom.id: priced_time.of_loom(session, loom.id) for loom in job.looms},
        at_work=at_work(request, session),
        wrong=wrong or Form(),
        loom_form=loom_form or Form({"loom-quantity": "1"}, prefix="loom-"),
        part_form=part_form or new_part_form(),
        note_form=note_form or Form(),
    )


def new_part_form() -> Form:
    start = {"part-quantity": "1", "part-received_on": as_typed(today())}
    return Form(start, prefix="part-")


@router.get("/jobs/{project_id}")
def show(request: Request, session: ReadSession, project_id: int) -> Response:
    return job_page(request, session, project_id)


@router.post("/jobs/{project_id}/journal")
def note(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, project_id: int
) -> Response:
    form = Form(fields)
    form.text("sentence", "What happened", most=400)
    if form.errors:
        return job_page(request, session, project_id, note_form=form)
    jobs.get(session, project_id)
    once = fields.get("once", "")
    if not journal.known(session, once):
        journal.write(session, project_id, form.values["sentence"], person.id, once=once)
    return redirect(f"/jobs/{project_id}#journal", notice="Written in the journal.")


@router.post("/jobs/{project_id}/again")
def start_again(
    session: WriteSession, fields: FieldsDep, person: Person, project_id: int
) -> Response:
    new_id = jobs.start_again(session, project_id, person.id, fields.get("once", ""))
    number = jobs.get(session, new_id).number
    return redirect(
        f"/jobs/{new_id}/edit", notice=f"Job {number} is begun from this one. Check its card."
    )
