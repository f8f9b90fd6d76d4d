"""Edits of circuits: number, name, service; new ones, and empty ones taken out."""

from typing import Any

from webapp.sizing.colours import FUNCTIONS
from webapp.stages.catalogue import Catalogue
from webapp.stages.design.commands import new_uid
from webapp.stages.design.editing.edit import (
    NOT_SEEN,
    Edit,
    Editing,
    by_hand,
    check_seen,
    get,
    mark_removed,
    next_position,
    put,
    take,
)
from webapp.stages.design.names import key, listed
from webapp.stages.design.rows import Circuit, Design
from webapp.stages.refusals import Refused

SERVICES = FUNCTIONS


def next_circuit_number(design: Design) -> int:
    return max((circuit.number for circuit in design.circuit.values()), default=0) + 1


def same_name(design: Design, name: str) -> Circuit | None:
    """The circuit of this name."""
    return next((each for each in design.circuit.values() if key(each.name) == key(name)), None)


def _refuse_name(design: Design, name: str, uid: str = "") -> None:
    known = same_name(design, name)
    if known is not None and known.uid != uid:
        raise Refused("name", f"Circuit {known.number} is called {known.name} already.")


def add(name: str, service: str) -> Editing:
    """Add a circuit, with the next free number."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        _refuse_name(design, name)
        made = Circuit(
            uid=new_uid(),
            position=next_position(design.circuit.values()),
            number=next_circuit_number(design),
            name=name,
            service=service,
        )
        return Edit(put(design, made), f"Add circuit {made.number}, {name}")

    return edit


def field(circuit_uid: str, name: str, wanted: Any, seen: Any = NOT_SEEN) -> Editing:
    """Set a circuit's number, name or service."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        circuit: Circuit = get(design, "circuit", circuit_uid)
        check_seen(name, seen, getattr(circuit, name), wanted)
        if name == "name":
            _refuse_name(design, wanted, circuit_uid)
        if name == "service" and wanted not in SERVICES:
            raise Refused(name, "Choose a service from the list.")
        if name == "number" and _taken(design, wanted, circuit_uid):
            following = next_circuit_number(design)
            raise Refused(
                name, f"There is a circuit {wanted} already. The next free number is {following}."
            )
        after = put(design, by_hand(circuit, **{name: wanted}))
        return Edit(after, f"Circuit {circuit.number}: {name} {wanted}")

    return edit


def _taken(design: Design, number: int, uid: str) -> bool:
    return any(each.number == number for each in design.circuit.values() if each.uid != uid)


def remove(circuit_uid: str) -> Editing:
    """Take out a circuit that has no wires."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        circuit: Circuit = get(design, "circuit", circuit_uid)
        names = [
            f"wire {link.number}"
            for link in design.link.values()
            if link.circuit_uid == circuit_uid
        ]
        if names:
            verb = "belongs" if len(names) == 1 else "belong"
            raise Refused(
                "remove",
                f"Circuit {circuit.number} cannot be taken out: {listed(names)} {verb} to it.",
            )
        what = f"Circuit {circuit.name}"
        after = mark_removed(take(design, "circuit", [circuit_uid]), [(circuit, what)])
        return Edit(after, f"Take out circuit {circuit.number}, {circuit.name}")

    return edit
