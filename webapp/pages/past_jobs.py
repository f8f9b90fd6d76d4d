"""Every job there ever was, to be found again and repeated."""

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import ReadSession
from webapp.pages.forms import Form
from webapp.pages.jobs import customer_choices
from webapp.pages.render import render
from webapp.stages import jobs, progress
from webapp.stages.clock import today

router = APIRouter()
MOST = 200


@router.get("/past")
def show(request: Request, session: ReadSession) -> Response:
    form = Form(dict(request.query_params))
    form.text("text", "Words", most=200, needed=False)
    form.whole("year", "Year", least=1990, most=2199, needed=False)
    form.whole("customer", "Customer", needed=False)
    years = jobs.years(session)
    found = () if form.errors else jobs.matching(session, **form.values, limit=MOST + 1)
    return render(
        request,
        "jobs/past.html",
        part="jobs/_found.html",
        status=422 if form.errors else 200,
        form=form,
        jobs=found[:MOST],
        more=len(found) > MOST,
        years=[(year, str(year)) for year in years],
        customers=customer_choices(session),
        today=today(),
        mark=progress.of_all(session).mark,
    )
