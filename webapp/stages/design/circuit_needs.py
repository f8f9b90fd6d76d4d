"""The needs that a circuit serves: another control for them, or others like them."""

from collections.abc import Mapping
from typing import Any

from webapp.stages.design import entry, needs
from webapp.stages.design.entry import Plan, TypedRow, TypedTable
from webapp.stages.design.names import key
from webapp.stages.design.proposal.patterns.group import groups_of
from webapp.stages.design.rows import Circuit, Design, Need
from webapp.stages.design.twin_names import like_it

PLACE_FIELDS = ("place", *needs.OTHER_PLACES)


def served(design: Design, circuit: Circuit) -> list[Need]:
    """The needs that work from the circuit's control, the one that it is named by first; those of
    its loads where it was typed by hand."""
    if circuit.need_uid in design.need:
        group = next(
            group
            for group in groups_of(design.need)
            if any(need.uid == circuit.need_uid for need in group.needs)
        )
        return group.needs
    ways = {
        uid
        for link in design.link.values()
        if link.circuit_uid == circuit.uid
        for uid in (link.from_way_uid, link.to_way_uid)
    }
    uids = dict.fromkeys(
        bridge.need_uid
        for bridge in design.bridge.values()
        if bridge.need_uid in design.need and {bridge.way_a_uid, bridge.way_b_uid} & ways
    )
    return [design.need[uid] for uid in uids if uid is not None]


def circuits_of_needs(design: Design) -> dict[str, Circuit]:
    """By need the circuit that serves it: of several, as with a relay, the one numbered first."""
    first: dict[str, Circuit] = {}
    for circuit in sorted(design.circuit.values(), key=lambda each: each.number):
        if circuit.need_uid is not None:
            first.setdefault(circuit.need_uid, circuit)
    found: dict[str, Circuit] = {}
    for group in groups_of(design.need):
        circuits = [first[need.uid] for need in group.needs if need.uid in first]
        found |= {need.uid: first.get(need.uid, circuits[0]) for need in group.needs if circuits}
    return found


def is_proposed(design: Design, circuit: Circuit) -> bool:
    """Whether a proposal lays the circuit for a need: then the need says what it is."""
    return bool(circuit.origin) and circuit.need_uid in design.need


def with_control(design: Design, circuit: Circuit, typed: Mapping[str, Any]) -> Plan:
    """The needs of a circuit controlled as typed: all of them alike.

    Args:
        typed: Fields of the first of them, by their names on the needs page. The control and its
            place hold for the others too.
    """
    first, *others = served(design, circuit)
    alike = {name: typed[name] for name in ("control", "control_place") if name in typed}
    rows = [TypedRow(first.uid, typed), *(TypedRow(each.uid, alike) for each in others)]
    opened = {
        need.uid: {name: needs.values(design, need)[name] for name in row.values}
        for need, row in zip((first, *others), rows, strict=True)
    }
    return entry.plan(design, {"need": TypedTable(tuple(rows), opened)})


def twin_plan(
    design: Design, circuit: Circuit, name: str, places: Mapping[str, str]
) -> tuple[Plan, Mapping[str, str]]:
    """Needs like those of a circuit, and the new names by the old ones.

    Args:
        name: Of the first of them; the others are called as its twins are.
        places: The new place's name by the old one's; places not named stay.
    """
    group = served(design, circuit)
    known = {key(need.name) for need in design.need.values()}
    new_names = {group[0].name: name}
    for need in group[1:]:
        known.add(key(name))
        new_names[need.name] = like_it(need.name, known)
        known.add(key(new_names[need.name]))
    rows = tuple(TypedRow(None, _twin_values(design, need, new_names, places)) for need in group)
    return entry.plan(design, {"need": TypedTable(rows)}), new_names


def _twin_values(
    design: Design, need: Need, new_names: Mapping[str, str], places: Mapping[str, str]
) -> dict[str, Any]:
    values = needs.values(design, need)
    for field in PLACE_FIELDS:
        values[field] = places.get(values[field], values[field])
    for field in needs.OTHER_NEEDS:
        values[field] = new_names.get(values[field], values[field])
    return values | {"name": new_names[need.name]}
