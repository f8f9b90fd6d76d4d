"""Wires numbered anew by a rule: shown first, old beside new, then done as one step."""

from typing import Annotated

from fastapi import APIRouter, Query
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import FormDep, Person, ReadSession, WriteSession
from webapp.pages.design_state import design_state
from webapp.pages.forms import Form
from webapp.pages.render import redirect, render
from webapp.stages.design import entry
from webapp.stages.design.commands import Clash
from webapp.stages.design.editing.edit import save
from webapp.stages.design.editing.removals import wire_words
from webapp.stages.design.editing.renumbering import ORDERS, Rule, planned, renumber
from webapp.stages.design.editing.wires import MOST_NUMBER
from webapp.stages.design.rows import Design
from webapp.stages.refusals import Refused

router = APIRouter()


@router.get("/looms/{loom_id}/wires/renumber")
def show(
    request: Request,
    session: ReadSession,
    loom_id: int,
    order: str = "circuit",
    start: str = "1",
    by_hand: str = "",
    rows: Annotated[list[str], Query(max_length=2_000)] = [],  # noqa: B006 - never changed
) -> Response:
    form = Form({"order": order, "start": start, "by_hand": by_hand})
    return _page(request, session, loom_id, form, rows, 200)


def _page(
    request: Request,
    session: Session,
    loom_id: int,
    form: Form,
    rows: list[str],
    status: int,
    meanwhile: bool = False,
) -> Response:
    """The rule and what it would do; `meanwhile` when the wires have changed since it was shown."""
    design = entry.latest(session, loom_id)
    rule = read(form, rows)
    numbers: dict[str, int] = {}
    if rule is not None:
        try:
            numbers = planned(design, rule)
        except Refused as refused:
            form.refuse(refused.field, refused.sentence)
    state = design_state(session, loom_id, f"/looms/{loom_id}/wires", design)
    moved = [
        (uid, design.link[uid].number, to, wire_words(design, design.link[uid]))
        for uid, to in numbers.items()
    ]
    return render(
        request,
        "wires/renumber.html",
        status=422 if form.errors and status == 200 else status,
        frame=state.frame,
        state=state,
        form=form,
        orders=list(ORDERS.items()),
        rows=[uid for uid in dict.fromkeys(rows) if uid in design.link],
        moved=moved,
        changes=sum(old != new for _, old, new, _ in moved),
        kept=_kept(design, rule),
        meanwhile=meanwhile,
    )


def read(form: Form, rows: list[str]) -> Rule | None:
    """The rule as it was typed; None where something is to be mended."""
    form.choice("order", "The order", ORDERS)
    form.whole("start", "The first number", least=1, most=MOST_NUMBER)
    form.yes("by_hand")
    if form.errors:
        return None
    values = form.values
    return Rule(values["order"], values["start"], not values["by_hand"], frozenset(rows))


def _kept(design: Design, rule: Rule | None) -> list[int]:
    """Numbers set by hand that the rule leaves alone."""
    if rule is None or not rule.keep_by_hand:
        return []
    links = [link for uid, link in design.link.items() if not rule.only or uid in rule.only]
    return sorted(link.number for link in links if "number" in link.by_hand)


@router.post("/looms/{loom_id}/wires/renumber")
def apply(
    request: Request, session: WriteSession, fields: FormDep, person: Person, loom_id: int
) -> Response:
    """Does what was shown: `shown` has `uid=number` of each wire of it."""
    entry.latest(session, loom_id)
    form = Form({name: str(value) for name, value in fields.items() if isinstance(value, str)})
    rows = [str(each) for each in fields.getlist("rows")]
    rule = read(form, rows)
    if rule is None:
        return _page(request, session, loom_id, form, rows, 422)
    try:
        edit = save(session, loom_id, renumber(rule, _shown(form.typed("shown"))), person.id)
    except Refused as refused:
        form.refuse(refused.field, refused.sentence)
        return _page(request, session, loom_id, form, rows, 422)
    except Clash:
        return _page(request, session, loom_id, form, rows, 409, meanwhile=True)
    return redirect(f"/looms/{loom_id}/wires", f"{edit.sentence}. Undo takes it back.")


def _shown(text: str) -> dict[str, int]:
    pairs = (item.rpartition("=") for item in text.split())
    return {uid: int(number) for uid, _, number in pairs if number.isdigit() and len(number) < 9}
