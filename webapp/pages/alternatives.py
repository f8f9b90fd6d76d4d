"""Alternatives side by side: what each costs, loses, weighs and how hot it runs; one is picked."""

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.loom_frame import loom_frame
from webapp.pages.render import error_page, redirect, render
from webapp.pages.undo import undo_state
from webapp.stages import choosing
from webapp.stages.refusals import Refused

router = APIRouter()


@router.get("/looms/{loom_id}/alternatives/{about}")
def show(request: Request, session: ReadSession, loom_id: int, about: str) -> Response:
    return render(
        request,
        "alternatives/show.html",
        frame=loom_frame(session, loom_id),
        undo=undo_state(session, loom_id),
        compared=choosing.compare(session, loom_id, about),
    )


@router.post("/looms/{loom_id}/alternatives/{about}")
def pick(
    request: Request,
    session: WriteSession,
    fields: FieldsDep,
    person: Person,
    loom_id: int,
    about: str,
) -> Response:
    here = f"/looms/{loom_id}/alternatives/{about}"
    try:
        last = int(fields.get("last_command", "-1"))
        sentence = choosing.pick(
            session, loom_id, about, fields.get("alternative", ""), last, person.id
        )
    except (Refused, ValueError) as problem:
        words = problem.sentence if isinstance(problem, Refused) else "Look at the page first."
        return error_page(
            request, 409, "Nothing changed", words, links=[("The alternatives", here)]
        )
    return redirect(f"/looms/{loom_id}/wires", notice=f"{sentence}. Undo takes it back whole.")
