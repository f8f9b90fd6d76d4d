"""A fresh data folder: who the workshop is, before anything else."""

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from webapp.pages.deps import FieldsDep, ReadSession, WriteSession
from webapp.pages.editing import attempt
from webapp.pages.forms import Form
from webapp.pages.render import redirect, render
from webapp.stages import workshop
from webapp.stages.workshop import WorkshopValues

PATH = "/first-run"
router = APIRouter()


class NotSetUp(Exception):
    """A page was asked for before the workshop was set up."""


def set_up_first(request: Request) -> None:
    """Stands before every page. A workshop that is set up always has an active owner."""
    if not request.state.people and request.url.path != PATH:
        raise NotSetUp


async def to_first_run(request: Request, error: Exception) -> Response:
    """Sends the browser to the first-run page."""
    return RedirectResponse(PATH, 303)


def read_workshop(form: Form) -> None:
    """The letterhead's fields, as on this page and under Settings."""
    form.text("name", "The workshop's name", most=80)
    form.text("address", "Address", most=400, needed=False, lines=True)
    form.text("phone", "Telephone", most=40, needed=False)
    form.text("email", "E-mail", most=120, needed=False)
    form.text("vat_number", "VAT number", most=40, needed=False)
    form.text("currency", "Currency sign", most=4)


@router.get(PATH)
def show(request: Request, session: ReadSession) -> Response:
    if workshop.is_set_up(session):
        return redirect("/jobs")
    return render(request, "first_run.html", form=Form({"currency": "£"}))


@router.post(PATH)
def save(request: Request, session: WriteSession, fields: FieldsDep) -> Response:
    form = Form(fields)
    read_workshop(form)
    form.text("person_name", "Your name", most=80)
    form.text("initials", "Your initials", most=4)
    if form.errors:
        return render(request, "first_run.html", status=422, form=form)
    values = dict(form.values)
    person_name, initials = values.pop("person_name"), values.pop("initials")
    with attempt(session, form):
        person_id = workshop.set_up(
            session,
            WorkshopValues(**values, address_url=own_address(request)),
            person_name=person_name,
            initials=initials,
            demo=request.app.state.settings.demo,
        )
    if form.errors:
        return render(request, "first_run.html", status=422, form=form)
    request.state.remember_person = str(person_id)
    return redirect("/jobs", notice=f"{values['name']} is set up.")


def own_address(request: Request) -> str:
    """Where the app is served, until somebody gives the address that the others use."""
    settings = request.app.state.settings
    return f"http://{settings.host}:{settings.port}"
