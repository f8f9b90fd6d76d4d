"""The devices that are let in over the network, under Settings: paired, listed, revoked."""

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.drawings.qr import qr_svg
from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.editing import attempt
from webapp.pages.forms import Form
from webapp.pages.render import redirect, render
from webapp.settings import Settings
from webapp.stages import people
from webapp.stages.access import devices, pairing

router = APIRouter()
PATH = "/devices"
QR_PX = 260


def list_page(request: Request, session: Session, form: Form) -> Response:
    return render(
        request,
        "settings/devices.html",
        status=422 if form.errors else 200,
        form=form,
        devices=devices.let_in(session),
        lan=request.app.state.lan,
        this_one=request.state.device,
    )


@router.get(PATH)
def show(request: Request, session: ReadSession) -> Response:
    return list_page(request, session, Form())


@router.post(PATH)
def make_code(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person
) -> Response:
    """Answers with the code itself: it is kept nowhere, so no other page could show it."""
    form = Form(fields)
    form.text("name", "The name of the tablet", most=pairing.MOST_NAME_CHARACTERS)
    if not request.app.state.lan:
        form.refuse("name", "Start Loomwright with `serve --lan` first: no tablet reaches it now.")
    if form.errors:
        return list_page(request, session, form)
    with attempt(session, form):
        made = pairing.make(session, form.values["name"], person.id)
    if form.errors:
        return list_page(request, session, form)
    address = f"{network_address(request)}/pair"
    return render(
        request,
        "settings/pairing_code.html",
        made=made,
        address=address,
        qr=qr_svg(f"{address}#{made.code}", QR_PX, f"Code that pairs {made.name}"),
        standing=pairing.standing(session, made.id),
        code_id=made.id,
    )


def network_address(request: Request) -> str:
    """Where the workshop's other devices reach the app; "" when they do not."""
    settings: Settings = request.app.state.settings
    return f"http://{settings.lan}:{settings.port}" if settings.lan else ""


@router.get("/devices/codes/{code_id}")
def code_standing(request: Request, session: ReadSession, code_id: int) -> Response:
    """How a code stands; the page that shows it asks every few seconds."""
    standing = pairing.standing(session, code_id)
    return render(request, "settings/_code_standing.html", standing=standing, code_id=code_id)


@router.post("/devices/{device_id}/revoke")
def revoke(session: WriteSession, device_id: int) -> Response:
    name = devices.revoke(session, device_id)
    return redirect(PATH, notice=f"{name[:1].upper()}{name[1:]} is let in no more.")


@router.post("/people/{person_id}/log-out")
def log_out_everywhere(session: WriteSession, person_id: int) -> Response:
    name = people.get(session, person_id).name
    count = devices.log_out_everywhere(session, person_id)
    ended = f"{count} log-in{'' if count == 1 else 's'} ended"
    return redirect(PATH, notice=f"{name}: {ended if count else 'no log-in was open'}.")
