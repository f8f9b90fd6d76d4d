"""Crimp set-ups at the bench: what a unit crimps, and how the tool for each group is set up."""

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages import crimp_forms
from webapp.pages.crimp_forms import NEW, WAIVE, address_of, key_of_address, typed_of
from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.editing import attempt
from webapp.pages.forms import Form
from webapp.pages.instruments import in_use
from webapp.pages.render import redirect, render
from webapp.pages.unit_frame import unit_frame
from webapp.pages.wording import plural
from webapp.stages import catalogue
from webapp.stages.building import crimp_records, crimp_standing, units
from webapp.stages.building.crimp_groups import group_of_key
from webapp.stages.building.crimp_records import Taken
from webapp.stages.building.crimp_standing import Group, Used
from webapp.stages.refusals import NotThere, Refused
from webapp.stages.testing.first_off import FIRST, LAST, crimp_items, crimp_limits

router = APIRouter()
ACTS = ("begin", FIRST, LAST, "waive")


@router.get("/units/{unit_id}/crimp-setups")
def show(request: Request, session: ReadSession, unit_id: int) -> Response:
    at = unit_frame(session, unit_id)
    return render(
        request,
        "crimp/groups.html",
        at=at,
        unit=at.unit,
        groups=crimp_standing.groups(session, at.unit),
        address_of=address_of,
        failed_words=crimp_standing.failed_words,
    )


@router.get("/units/{unit_id}/crimp-setups/{group}")
def show_group(
    request: Request, session: ReadSession, unit_id: int, group: str, setup: int = 0
) -> Response:
    return group_page(request, session, unit_id, group, Form(), setup)


def group_page(
    request: Request, session: Session, unit_id: int, address: str, form: Form, setup_id: int = 0
) -> Response:
    """The set-up that holds, or the earlier one that is asked for."""
    at = unit_frame(session, unit_id)
    key = key_of_address(address)
    group = crimp_records.group_of(session, units.get(session, unit_id), key)
    shown = _shown(group, setup_id)
    parts = catalogue.some(session, [group_of_key(key)[0]])
    terminal = parts[group_of_key(key)[0]]
    filled = crimp_forms.filled(form, group, terminal)
    return render(
        request,
        "crimp/group.html",
        status=422 if form.errors else 200,
        at=at,
        unit=at.unit,
        group=group,
        address=address_of(key),
        shown=shown,
        terminal=terminal,
        limits=crimp_limits(terminal, group_of_key(key)[1]),
        form=filled,
        sub=lambda prefix: Form(filled.fields, prefix=prefix, errors=filled.errors),
        items={when: crimp_items(parts, key, when) for when in (FIRST, LAST)},
        field_of=crimp_forms.field_of,
        instruments=in_use(session),
        takes=at.unit.stage in ("build", "test"),
    )


def _shown(group: Group, setup_id: int) -> Used | None:
    if not setup_id:
        return group.now
    found = next((used for used in group.used if used.setup.id == setup_id), None)
    if found is None:
        raise NotThere
    return found


@router.post("/units/{unit_id}/crimp-setups/{group}")
def act(
    request: Request,
    session: WriteSession,
    fields: FieldsDep,
    person: Person,
    unit_id: int,
    group: str,
    setup: int = 0,
) -> Response:
    """A new set-up, readings of its samples, or why it holds without them; all or nothing."""
    form = Form(fields)
    form.choice("act", "What to do", ACTS)
    crimp_records.group_of(session, units.get(session, unit_id), key_of_address(group))
    notice = ""
    if not form.errors:
        notice = _do(session, form, unit_id, key_of_address(group), setup, person.id)
    if form.errors:
        return group_page(request, session, unit_id, group, form, setup)
    earlier = f"?setup={setup}" if setup and form.values["act"] != "begin" else ""
    return redirect(
        f"/units/{unit_id}/crimp-setups/{address_of(key_of_address(group))}{earlier}",
        notice=notice,
    )


def _do(session: Session, form: Form, unit_id: int, key: str, setup_id: int, person_id: int) -> str:
    if form.values["act"] == "waive":
        return _waive(session, form, unit_id, key, setup_id, person_id)
    when = FIRST if form.values["act"] == "begin" else form.values["act"]
    own = typed_of(form, NEW if form.values["act"] == "begin" else f"{when}-")
    parts = catalogue.some(session, [group_of_key(key)[0]])
    samples = crimp_forms.read_samples(own, crimp_items(parts, key, when), dict(in_use(session)))
    if form.values["act"] == "begin":
        crimp_forms.read_set_up(own)
    elif not samples and not form.errors:
        own.refuse("height_1", "Nothing was entered: type at least one value.")
    if form.errors:
        return ""
    taken = Taken(0, 0, ())
    once = form.typed("once")
    with attempt(session, own):
        if form.values["act"] == "begin":
            setup_id = crimp_records.begin(
                session,
                unit_id,
                key,
                crimp_forms.set_up_values(own),
                key=once,
                person_id=person_id,
                without_last=own.values["without_last"],
                seen=own.values.get("seen"),
            )
        if samples:
            taken = _measure(session, own, unit_id, key, setup_id, when, samples, person_id, once)
    begun = "The tool is set up. " if form.values["act"] == "begin" else ""
    return begun + _said(taken)


def _measure(
    session: Session,
    own: Form,
    unit_id: int,
    key: str,
    setup_id: int,
    when: str,
    samples: crimp_forms.Samples,
    person_id: int,
    once: str,
) -> Taken:
    try:
        return crimp_records.measure(
            session,
            unit_id,
            key,
            setup_id,
            when,
            samples,
            instruments=crimp_forms.instruments_of(own),
            key=once,
            person_id=person_id,
        )
    except crimp_records.RefusedSample as refused:
        raise Refused(crimp_forms.field_of_refusal(refused), refused.sentence) from refused


def _waive(
    session: Session, form: Form, unit_id: int, key: str, setup_id: int, person_id: int
) -> str:
    own = typed_of(form, WAIVE)
    own.text("reason", "The reason", most=crimp_records.LONGEST_NOTE)
    if not form.errors:
        with attempt(session, own):
            crimp_records.waive(
                session,
                unit_id,
                key,
                setup_id,
                own.values["reason"],
                key=form.typed("once"),
                person_id=person_id,
            )
    return "It stands with your name and the reason."


def _said(taken: Taken) -> str:
    words = []
    if taken.count:
        words.append(f"{plural(taken.count, 'reading')} taken.")
    if taken.failed:
        words.append(f"{plural(taken.failed, 'reading')} outside the limits: kept as failed.")
    return " ".join((*words, *taken.warnings))
