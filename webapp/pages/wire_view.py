"""Which columns of the wire table are shown: chosen once, kept for the person."""

from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData
from starlette.responses import Response

from webapp.pages.deps import Person, WriteSession, form_data
from webapp.pages.render import redirect
from webapp.pages.who import local_path
from webapp.pages.wire_columns import BY_KEY, TABLE, lay_out
from webapp.stages import looms, table_views

router = APIRouter()


@router.post("/looms/{loom_id}/wires/columns")
def choose(
    session: WriteSession,
    form: Annotated[FormData, Depends(form_data)],
    person: Person,
    loom_id: int,
) -> Response:
    """The ticked columns; `usual` goes back to those that everybody begins with."""
    looms.get(session, loom_id)
    ticked = [str(key) for key in form.getlist("column") if key in BY_KEY]
    usual = "usual" in form
    table_views.choose(session, person.id, TABLE, None if usual else ticked)
    back = local_path(str(form.get("next", f"/looms/{loom_id}/wires")))
    return redirect(back, _said(None if usual else ticked))


def _said(ticked: list[str] | None) -> str:
    second = lay_out(ticked).second
    if not second:
        return "Columns kept for you."
    names = ", ".join(column.head for column in second)
    return f"Columns kept for you. On a second line, as the first is full: {names}."
