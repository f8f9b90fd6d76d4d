"""What the customer handed in with a job."""

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import FieldsDep, Person, WriteSession
from webapp.pages.editing import attempt
from webapp.pages.forms import Form
from webapp.pages.jobs import job_page
from webapp.pages.render import redirect
from webapp.stages import received

router = APIRouter()


@router.post("/jobs/{project_id}/received")
def add(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, project_id: int
) -> Response:
    form = Form(fields, prefix="part-")
    form.text("what", "What came in", most=200)
    form.whole("quantity", "How many", least=1, most=9999)
    form.text("from_whom", "From whom", most=80, needed=False)
    form.date("received_on", "Date")
    form.text("condition", "Condition", most=400, needed=False)
    if form.errors:
        return job_page(request, session, project_id, part_form=form)
    with attempt(session, form):
        once = fields.get("once", "")
        code = received.add(session, project_id, person_id=person.id, once=once, **form.values)
    if form.errors:
        return job_page(request, session, project_id, part_form=form)
    notice = f"Written down under {code}: put the code on its tag."
    return redirect(f"/jobs/{project_id}#received", notice=notice)
