"""Another control for a circuit, and another circuit like it: what would change, and taking it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.comparison import WireRow, wire_row
from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.design_state import design_state
from webapp.pages.entry_forms import LABELS, MOST_NAME
from webapp.pages.forms import Form
from webapp.pages.needs import suggestions
from webapp.pages.render import error_page, redirect, render
from webapp.stages import what_changes
from webapp.stages.circuit_changes import CONTROL_FIELDS, TwinAsk, other_control, twin, twin_ask
from webapp.stages.design import entry, needs
from webapp.stages.design.circuit_needs import is_proposed, served
from webapp.stages.design.comparing import CHANGED, Section, WireDifference
from webapp.stages.design.controls import CONTROLS
from webapp.stages.design.editing.circuit_copies import links_of
from webapp.stages.design.editing.edit import get
from webapp.stages.design.entry import RowsRefused
from webapp.stages.design.rows import Circuit, Design
from webapp.stages.refusals import NotThere, Refused
from webapp.stages.what_changes import Making, WhatChanges

router = APIRouter()
# What may differ of a wire that stays as it is made: what it, its circuit and its ends are called.
ONLY_NAMES = frozenset(
    {
        "number", "circuit", "left end, to", "right end, to", "left end, tag", "right end, tag",
    }
)  # fmt: skip


# The same of other rows; what else a section has is told.
ONLY_PLACED = {"Circuits": frozenset({"number"}), "Fuse-links": frozenset({"way", "other way"})}
SECTIONS = ("Fittings", "Fuse-links", "Circuits", "Needs", "Places", "Cables")


@dataclass(frozen=True)
class ChangeView:
    """What would change, as the page shows it."""

    changes: WhatChanges
    wires: tuple[WireRow, ...]
    renamed: tuple[str, ...]
    sections: tuple[Section, ...]


def _view(changes: WhatChanges) -> ChangeView:
    found, renamed = [], []
    for wire in changes.comparison.wires:
        row = wire_row(wire, ("now", changes.before), ("then", changes.made.design))
        if not _only_renamed(wire):
            found.append(row)
        elif wire.before is not None and wire.before.number != wire.number:
            renamed.append(f"{wire.before.number} → {wire.number}")
        else:
            renamed.append(wire.number)
    return ChangeView(changes, tuple(found), tuple(renamed), _sections(changes))


def _sections(changes: WhatChanges) -> tuple[Section, ...]:
    found = []
    for section in changes.comparison.sections:
        only = ONLY_PLACED.get(section.title, frozenset())
        rows = tuple(
            row
            for row in section.rows
            if row.what != CHANGED or not {value.label for value in row.values} <= only
        )
        if rows and section.title in SECTIONS:
            found.append(Section(section.title, rows))
    return tuple(found)


def _only_renamed(wire: WireDifference) -> bool:
    before, after = wire.before, wire.after
    if before is None or after is None:
        return False
    ends = [(end.way_uid for end in each.ends) for each in (before, after)]
    same_ends = all(was == now for was, now in zip(*ends, strict=True))
    same_circuit = before.link.circuit_uid == after.link.circuit_uid
    return same_ends and same_circuit and {value.label for value in wire.values} <= ONLY_NAMES


def _looked(
    session: Session, loom_id: int, form: Form, making: Making, fields: Mapping[str, str]
) -> ChangeView | None:
    """What would change; None where the form has something to mend, put beside its fields."""
    try:
        return _view(what_changes.look(session, loom_id, making))
    except RowsRefused as refused:
        for problem in refused.problems:
            form.refuse(fields.get(problem.field, problem.field), problem.sentence)
    except Refused as refused:
        form.refuse(refused.field or next(iter(fields.values())), refused.sentence)
    return None


def _take(
    request: Request,
    session: Session,
    loom_id: int,
    making: Making | None,
    typed: Mapping[str, str],
    person_id: int,
    here: str,
) -> Response:
    """Takes what was looked at. Without `making` the form was not one that had been looked at."""
    try:
        last = int(typed.get("last_command", ""))
        if making is None:
            raise Refused("", "Look at what changes first.")
        sentence = what_changes.take(session, loom_id, making, last, person_id)
    except (Refused, RowsRefused, ValueError) as problem:
        words = problem.sentence if isinstance(problem, Refused) else "Look at what changes first."
        return error_page(request, 409, "Nothing changed", words, links=[("Look again", here)])
    return redirect(here.rpartition("/")[0], f"{sentence}. Undo takes it back whole.")


# Another control


@router.get("/looms/{loom_id}/circuits/{circuit_uid}/control")
def ask_control(request: Request, session: ReadSession, loom_id: int, circuit_uid: str) -> Response:
    design = entry.latest(session, loom_id)
    circuit = _needed(design, circuit_uid)
    now = needs.values(design, served(design, circuit)[0])
    asked = dict(request.query_params)
    form = Form({name: asked.get(name, str(now[name] or "")) for name in CONTROL_FIELDS})
    typed = _read_control(form)
    view = None
    if not form.errors and ("look" in asked or "control" in asked):
        making = other_control(circuit_uid, typed)
        fields = {name: name for name in CONTROL_FIELDS}
        view = _looked(session, loom_id, form, making, fields)
    return _page(
        request, session, loom_id, design, circuit, "circuits/control.html", form, view,
        controls=[(each, each) for each in _offered(now["control"])],
        labels=LABELS["need"],
        names=[need.name for need in served(design, circuit)],
        suggestions=suggestions(session, design),
    )  # fmt: skip


def _needed(design: Design, circuit_uid: str) -> Circuit:
    """A circuit that a proposal lays for its needs.

    Raises:
        NotThere: no such circuit, or one typed by hand.
    """
    circuit: Circuit = get(design, "circuit", circuit_uid)
    if not is_proposed(design, circuit):
        raise NotThere
    return circuit


def _offered(now: str) -> list[str]:
    return list(dict.fromkeys((*CONTROLS, now)))


def _read_control(form: Form) -> dict[str, Any]:
    labels = LABELS["need"]
    for name in CONTROL_FIELDS:
        form.text(name, labels[name], most=MOST_NAME, needed=name == "control")
        form.values[name] = " ".join(str(form.values.get(name) or "").split())
    form.values["control"] = needs.known_control(form.values["control"])
    return {name: form.values[name] for name in CONTROL_FIELDS}


@router.post("/looms/{loom_id}/circuits/{circuit_uid}/control")
def take_control(
    request: Request,
    session: WriteSession,
    fields: FieldsDep,
    person: Person,
    loom_id: int,
    circuit_uid: str,
) -> Response:
    _needed(entry.latest(session, loom_id), circuit_uid)
    form = Form(fields)
    typed = _read_control(form)
    making = None if form.errors else other_control(circuit_uid, typed)
    here = f"/looms/{loom_id}/circuits/{circuit_uid}/control"
    return _take(request, session, loom_id, making, fields, person.id, here)


# Another circuit like it


@router.get("/looms/{loom_id}/circuits/{circuit_uid}/twin")
def ask_twin(request: Request, session: ReadSession, loom_id: int, circuit_uid: str) -> Response:
    design = entry.latest(session, loom_id)
    circuit: Circuit = get(design, "circuit", circuit_uid)
    if not is_proposed(design, circuit) and not links_of(design, circuit_uid):
        raise NotThere
    ask = twin_ask(design, circuit)
    asked = dict(request.query_params)
    suggested = {"name": ask.name} | {
        f"place-{number}": new for number, (_, new) in enumerate(ask.places)
    }
    form = Form({name: asked.get(name, value) for name, value in suggested.items()})
    making = _read_twin(form, ask, circuit_uid)
    view = None
    if making is not None and "name" in asked:
        view = _looked(session, loom_id, form, making, _twin_fields(form, ask))
    return _page(
        request, session, loom_id, design, circuit, "circuits/twin.html", form, view,
        ask=ask, suggestions=suggestions(session, design),
    )  # fmt: skip


def _read_twin(form: Form, ask: TwinAsk, circuit_uid: str) -> Making | None:
    form.text("name", "The name", most=MOST_NAME)
    places = {}
    for number, (old, _) in enumerate(ask.places):
        field = f"place-{number}"
        form.text(field, f"The place for {old}", most=MOST_NAME)
        places[old] = " ".join(str(form.values.get(field) or "").split())
    if form.errors:
        return None
    return twin(circuit_uid, " ".join(form.values["name"].split()), places)


def _twin_fields(form: Form, ask: TwinAsk) -> dict[str, str]:
    """Where on this form a problem of a need stands."""
    first = "place-0" if ask.places else "name"
    return {"name": "name", "place": first}


@router.post("/looms/{loom_id}/circuits/{circuit_uid}/twin")
def take_twin(
    request: Request,
    session: WriteSession,
    fields: FieldsDep,
    person: Person,
    loom_id: int,
    circuit_uid: str,
) -> Response:
    design = entry.latest(session, loom_id)
    circuit: Circuit = get(design, "circuit", circuit_uid)
    here = f"/looms/{loom_id}/circuits/{circuit_uid}/twin"
    making = _read_twin(Form(fields), twin_ask(design, circuit), circuit_uid)
    return _take(request, session, loom_id, making, fields, person.id, here)


def _page(
    request: Request,
    session: Session,
    loom_id: int,
    design: Design,
    circuit: Circuit,
    template: str,
    form: Form,
    view: ChangeView | None,
    **more: Any,
) -> Response:
    here = f"/looms/{loom_id}/circuits/{circuit.uid}"
    state = design_state(session, loom_id, here, design)
    return render(
        request,
        template,
        status=422 if form.errors else 200,
        frame=state.frame,
        state=state,
        circuit=circuit,
        form=form,
        view=view,
        **more,
    )
