"""Following the current of one load: each wire and joint from the supply to it and back."""

from collections.abc import Mapping
from dataclasses import dataclass

from fastapi import APIRouter
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import ReadSession
from webapp.pages.design_state import design_state
from webapp.pages.operating_choice import operating_choice
from webapp.pages.planned_wire import planned_wire
from webapp.pages.render import redirect, render
from webapp.pages.wire_table import Why, reason_formula
from webapp.pages.wording import number
from webapp.stages.building.wire_colours import letters
from webapp.stages.design import entry
from webapp.stages.design.currents import LoadFigures
from webapp.stages.design.editing.edit import get
from webapp.stages.design.figures import Figures
from webapp.stages.design.following import (
    BACK,
    LOAD,
    OUT,
    SUPPLY,
    WIRE,
    Branch,
    Followed,
    Step,
    follow,
)
from webapp.stages.design.rows import Circuit, Design
from webapp.stages.refusals import NotThere

router = APIRouter()
DRAWING_PX = 250
LEAST_A = 0.001  # less is what a blocking diode lets through
LEGS = {OUT: "Out to the load", LOAD: "The load", BACK: "Back to the supply"}


@dataclass(frozen=True)
class BranchLine:
    words: str
    amps: str
    comes_in: bool


@dataclass(frozen=True)
class StepRow:
    """One step in words; `link_uid` and `svg` of a wire, `fitting_uid` of anything else."""

    kind: str
    leg: str
    words: str
    from_words: str
    to_words: str
    svg: Markup
    colours: str
    csa_mm2: float | None
    link_uid: str
    fitting_uid: str
    amps: str
    lost: str
    volts: str
    temperature: str
    branches: tuple[BranchLine, ...]
    why: Why | None


def circuit_loads(design: Design, figures: Figures, circuit_uid: str) -> list[LoadFigures]:
    """The loads that a circuit's own wires go to."""
    ways = {
        uid
        for link in design.link.values()
        if link.circuit_uid == circuit_uid
        for uid in (link.from_way_uid, link.to_way_uid)
    }
    return [
        load
        for load in figures.loads.values()
        if {load.bridge.way_a_uid, load.bridge.way_b_uid} & ways
    ]


@router.get("/looms/{loom_id}/circuits/{circuit_uid}/current")
def show(
    request: Request,
    session: ReadSession,
    loom_id: int,
    circuit_uid: str,
    load: str = "",
    state: str = "",
    at: str = "",
) -> Response:
    design = entry.latest(session, loom_id)
    circuit: Circuit = get(design, "circuit", circuit_uid)
    figures = Figures(design)
    loads = circuit_loads(design, figures, circuit_uid)
    chosen = _load(loads, load)
    choice = operating_choice(figures, state, at, [chosen] if chosen else loads)
    followed = follow(figures, chosen.uid, choice.state, choice.at) if chosen else Followed()
    here = f"/looms/{loom_id}/circuits/{circuit_uid}/current"
    known = design_state(session, loom_id, here, design)
    return render(
        request,
        "circuits/current.html",
        frame=known.frame,
        state=known,
        circuit=circuit,
        loads=loads,
        load=chosen,
        choice=choice,
        followed=followed,
        limit=figures.load_drop(chosen) if chosen and chosen.path.complete else None,
        legs=legs(design, followed),
        downwards=design.polarity == "positive earth",
        reason_formula=reason_formula,
    )


@router.get("/looms/{loom_id}/current/{load_uid}")
def of_load(session: ReadSession, loom_id: int, load_uid: str) -> Response:
    """From a fitting: the page under the circuit whose wire feeds the load."""
    design = entry.latest(session, loom_id)
    figures = Figures(design)
    for circuit in sorted(design.circuit.values(), key=lambda each: each.number):
        if any(load.uid == load_uid for load in circuit_loads(design, figures, circuit.uid)):
            return redirect(f"/looms/{loom_id}/circuits/{circuit.uid}/current?load={load_uid}")
    raise NotThere


def _load(loads: list[LoadFigures], uid: str) -> LoadFigures | None:
    if not uid:
        return next(iter(loads), None)
    for load in loads:
        if load.uid == uid:
            return load
    raise NotThere


def legs(design: Design, followed: Followed) -> Mapping[str, list[StepRow]]:
    """The steps in words, by the part of the way that they belong to."""
    found: dict[str, list[StepRow]] = {title: [] for title in LEGS.values()}
    for step in followed.steps:
        found[LEGS[step.leg]].append(_row(design, step))
    return {title: rows for title, rows in found.items() if rows}


def _row(design: Design, step: Step) -> StepRow:
    wire = step.wire
    return StepRow(
        kind=step.kind,
        leg=step.leg,
        words=step.words,
        from_words=design.way_name(wire.left.way_uid) if wire else "",
        to_words=step.end_words,
        svg=planned_wire(design, wire, DRAWING_PX) if wire else Markup(),
        colours=letters(design, wire.link) if wire else "",
        csa_mm2=wire.link.csa_mm2 if wire else None,
        link_uid=wire.link.uid if wire else "",
        fitting_uid=step.fitting_uid,
        amps=number(step.amps, 2),
        lost="" if step.kind == SUPPLY else number(step.lost_v, 3),
        volts=number(step.volts, 3),
        temperature="" if step.temperature_c is None else number(step.temperature_c, 0),
        branches=tuple(_branch(each) for each in step.forks if abs(each.amps) >= LEAST_A),
        why=_why(step),
    )


def _branch(branch: Branch) -> BranchLine:
    return BranchLine(branch.words, number(abs(branch.amps), 2), branch.amps < 0)


def _why(step: Step) -> Why | None:
    if not step.reasons:
        return None
    title = f"{number(step.volts, 3)} V after {step.words}"
    warm = "" if step.temperature_c is None else f", at about {step.temperature_c:.0f} °C"
    words = f"{number(step.amps, 2)} A pass it and take {number(step.lost_v, 3)} V{warm}."
    if step.kind == WIRE and step.wire is not None and step.wire.link.csa_mm2:
        words = f"{step.wire.link.csa_mm2:g} mm². {words}"
    return Why(title, words, step.reasons)
