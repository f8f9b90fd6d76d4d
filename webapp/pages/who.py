"""Who is working at this device. At a tablet, and on this computer alone, the name is a courtesy
and a record; whoever logged in with a password is that person until they log out.
"""

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import PERSON_FIELD, FieldsDep
from webapp.pages.render import redirect, render

router = APIRouter()


def local_path(text: str) -> str:
    """`text` when it is a path of this app, else the first page."""
    safe = text.startswith("/") and not text.startswith(("//", "/\\")) and text.isprintable()
    return text if safe else "/"


@router.get("/who", name="ask_person")
def ask(request: Request, next: str = "/") -> Response:
    logged_in = request.state.device and request.state.device.person_id
    if logged_in or len(request.state.people) == 1:
        return redirect(local_path(next))
    return render(request, "who.html", sent=[("next", local_path(next))])


@router.post("/who", name="choose_person")
def choose_person(request: Request, fields: FieldsDep) -> Response:
    person = request.state.person
    if request.state.device and request.state.device.person_id:
        return redirect("/", notice=f"{person.name} is logged in here: log out first.")
    if person is None or str(person.id) != fields.get(PERSON_FIELD):
        sent = [("next", local_path(fields.get("next", "/")))]
        return render(request, "who.html", status=422, sent=sent)
    # know_people has read the choice, and the answer carries it back to be kept.
    return redirect(local_path(fields.get("next", "/")), notice=f"Working as {person.name}.")
