"""The calculators' pages."""

from fastapi import APIRouter, HTTPException
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import ReadSession
from webapp.pages.forms import Form
from webapp.pages.render import render
from webapp.pages.workings import NAME, plain_name
from webapp.sizing.reasons import Reason, SizingError

from . import bundle, capacity, cut_plan, fuse_link, heat_shrink, voltage_drop, wire_size
from .answer import Answer, Calculator, about

router = APIRouter()
CALCULATORS = {
    each.slug: each
    for each in (
        wire_size.CALCULATOR,
        capacity.CALCULATOR,
        voltage_drop.CALCULATOR,
        fuse_link.CALCULATOR,
        bundle.CALCULATOR,
        heat_shrink.CALCULATOR,
        cut_plan.CALCULATOR,
    )
}
SIGNS = (("**", "^"), ("*", "×"), ("/", "÷"))


@router.get("/calculators")
def index(request: Request) -> Response:
    return render(request, "calculators/index.html", calculators=CALCULATORS.values())


@router.get("/calculators/{slug}")
def show(request: Request, session: ReadSession, slug: str) -> Response:
    calculator = CALCULATORS.get(slug)
    if calculator is None:
        raise HTTPException(404)
    # What the address leaves out is as it stands when the page is opened.
    form = Form({**calculator.defaults, **request.query_params})
    answer = _answer(calculator, form, session)
    return render(
        request,
        "calculators/show.html",
        status=200 if answer else 422,
        calculator=calculator,
        calculators=CALCULATORS.values(),
        form=form,
        answer=answer,
        formula=formula,
        inputs=inputs,
        about=about,
    )


def _answer(calculator: Calculator, form: Form, session: Session) -> Answer | None:
    """The answer; None when the form has errors. What the sizing refuses stands by its field."""
    try:
        return calculator.work(form, session)
    except SizingError as refused:
        field = refused.field.partition(".")[0]
        form.refuse(calculator.refused.get(field, field), refused.message)
        return None


def formula(reason: Reason) -> str:
    """The formula with plain names and the signs that people write."""
    written = NAME.sub(lambda name: _plain(name.group()), reason.formula)
    for sign, mark in SIGNS:
        written = written.replace(sign, mark)
    return written


def inputs(reason: Reason) -> list[tuple[str, str]]:
    """What stands in it, by plain names."""
    return [(_plain(name), about(value, 5)) for name, value in reason.inputs.items()]


def _plain(name: str) -> str:
    return plain_name(name).replace("mm2", "mm²").replace("ohm", "Ω")
