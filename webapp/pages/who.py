"""Who is working at this device. There is no log-in: the name is a courtesy and a record."""

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


@router.post("/who", name="choose_person")
def choose_person(request: Request, fields: FieldsDep) -> Response:
    person = request.state.person
    if person is None or str(person.id) != fields.get(PERSON_FIELD):
        return render(request, "who.html", status=422, sent=[])
    # know_people has read the choice, and the answer carries it back to be kept.
    return redirect(local_path(fields.get("next", "/")), notice=f"Working as {person.name}.")
