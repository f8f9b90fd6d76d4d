"""Where a loom leaves a real choice, and what each choice changes in its needs or its basis.

A choice is a change of inputs, proposed again: so it survives every later proposal.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from webapp.stages.design.controls import CONTROLS, control_of
from webapp.stages.design.currents import LoadFigures
from webapp.stages.design.figures import Figures
from webapp.stages.design.proposal.patterns.group import groups_of
from webapp.stages.design.rows import Design, Need

# From these on a choice is worth looking at: common practice.
DROP_SHARE = 0.6  # of the drop that is allowed
THICK_MM2 = 4.0
CONTROL_SHARE = 0.5  # of what the control carries
LONG_FEED_MM = 3000
RELAY_FROM_A = 3.0

WHOLE_LOOM = "loom"


@dataclass(frozen=True)
class Alternative:
    """One choice. `changes` are fields of the need, or of the basis for the whole loom."""

    id: str
    title: str
    changes: Mapping[str, Any]


@dataclass(frozen=True)
class Choice:
    """A need, or the whole loom, with more than one sensible way to do it, and why."""

    about: str
    name: str
    why: tuple[str, ...]
    alternatives: tuple[Alternative, ...]


def choices(design: Design, figures: Figures) -> list[Choice]:
    """Every real choice of a proposed design, the whole loom's first."""
    found = [] if len(design.need) < 2 else [_whole_loom(design)]
    for leader in _leaders(design):
        choice = _of_need(design, figures, leader)
        if choice is not None:
            found.append(choice)
    return found


def applied(design: Design, about: str, alternative: Alternative) -> Design:
    """The design with the inputs that an alternative changes."""
    if not alternative.changes:
        return design
    if about == WHOLE_LOOM:
        return replace(design, basis=_changed(design.basis, alternative.changes))
    needs = design.need | {about: _changed(design.need[about], alternative.changes)}
    if "control" in alternative.changes:
        # What works with it is controlled alike.
        group = next(each for each in groups_of(design.need) if each.uid == about)
        alike = {"control": alternative.changes["control"]}
        needs |= {need.uid: _changed(need, alike) for need in group.needs[1:]}
    return replace(design, need=needs)


def _changed(row: Any, changes: Mapping[str, Any]) -> Any:
    """As a person's edit changes a row: its version goes up."""
    return replace(row, **changes, version=row.version + 1)


def _whole_loom(design: Design) -> Choice:
    shared = design.basis.fuse_sharing != "own"
    other = "own" if shared else "by place"
    title = "A fuse-link for each circuit" if shared else "Fuse-links shared by place"
    why = (
        "Circuits that are controlled at one place can share a fuse-link: fewer wires, and one "
        "fault puts out more."
    )
    sharing = Alternative("sharing", title, {"fuse_sharing": other})
    return Choice(WHOLE_LOOM, "The whole loom", (why,), (sharing,))


def _leaders(design: Design) -> Iterator[Need]:
    """The need that each circuit is named by; sources of current leave no such choice."""
    for group in groups_of(design.need):
        leader = group.leader
        control = control_of(leader.control)
        if leader.kind != "source" and control is not None and control.pattern != "starter":
            yield leader


def _of_need(design: Design, figures: Figures, need: Need) -> Choice | None:
    loads = [load for load in figures.loads.values() if load.need and load.need.uid == need.uid]
    if not loads:
        return None
    why: list[str] = []
    found: list[Alternative] = []
    share = _worst_share(figures, loads)
    thickest = _thickest_mm2(design, loads)
    if share > DROP_SHARE:
        why.append(f"It loses {100 * share:.0f} % of the drop that it may.")
        found.append(_thicker(need))
    if thickest >= THICK_MM2 or (share > DROP_SHARE and len(loads) > 1):
        if thickest >= THICK_MM2:
            why.append(f"Its thickest wire is {thickest:g} mm².")
        found.append(
            Alternative("second feed", f"{need.feeds + 1} feeds", {"feeds": need.feeds + 1})
        )
    relay = _relay(design, figures, need, loads)
    if relay is not None:
        why.append(relay[0])
        found.append(relay[1])
    plain = _plain(need)
    if plain is not None:
        why.append("It is not laid out the plain way.")
        found.append(plain)
    return Choice(need.uid, need.name, tuple(why), tuple(found)) if found else None


def _worst_share(figures: Figures, loads: list[LoadFigures]) -> float:
    """The largest drop of these loads, as a share of what is allowed."""
    uids = {load.uid for load in loads}
    return max(
        (drop.drop_percent / drop.limit_percent for drop in figures.drops if drop.load.uid in uids),
        default=0.0,
    )


def _thickest_mm2(design: Design, loads: list[LoadFigures]) -> float:
    """The thickest wire that serves these loads alone."""
    circuits = {
        circuit.uid
        for circuit in design.circuit.values()
        if circuit.need_uid in {load.need.uid for load in loads if load.need}
    }
    return max(
        (
            link.csa_mm2 or 0.0
            for link in design.link.values()
            if link.circuit_uid in circuits and not link.own_lead
        ),
        default=0.0,
    )


def _thicker(need: Need) -> Alternative:
    return Alternative(
        "one size thicker", "One size thicker", {"extra_sizes": need.extra_sizes + 1}
    )


def _relay(
    design: Design, figures: Figures, need: Need, loads: list[LoadFigures]
) -> tuple[str, Alternative] | None:
    """A relay beside the load, where the control works it all itself up to now."""
    control = control_of(need.control)
    relayed = CONTROLS.get(f"{control.name} via relay") if control is not None else None
    if relayed is None or control is None or control.pattern == "permanent":
        return None
    amps = sum(load.heat_a for load in loads)
    carries = min(
        (
            way.max_a
            for load in loads
            for uid in load.path.feed or ()
            if uid in design.bridge and design.bridge[uid].kind == "contact"
            if design.fitting[design.bridge[uid].fitting_uid].kind == control.what
            for way in (design.way[design.bridge[uid].way_a_uid],)
            if way.max_a
        ),
        default=0.0,
    )
    feed_mm = max(_feed_mm(figures, load) for load in loads)
    words = []
    if carries and amps > carries * CONTROL_SHARE:
        words.append(f"The {control.what} carries {amps:.1f} A of the {carries:g} A that it may.")
    if amps >= RELAY_FROM_A and feed_mm > LONG_FEED_MM:
        words.append(f"{amps:.1f} A go {feed_mm / 1000:.1f} m by way of the {control.what}.")
    if not words:
        return None
    changes = {"control": relayed.name, "relay_place_uid": need.place_uid}
    return " ".join(words), Alternative("relay near the load", "A relay near the load", changes)


def _feed_mm(figures: Figures, load: LoadFigures) -> int:
    lengths = figures.circuitry.lengths_mm
    return sum(lengths.get(uid, 0) for uid in load.path.feed or ())


def _plain(need: Need) -> Alternative | None:
    """Back to the least sizes, one feed, and the relay beside the fuse board."""
    plain = {"extra_sizes": 0, "feeds": 1, "relay_place_uid": None}
    changes = {field: value for field, value in plain.items() if getattr(need, field) != value}
    return Alternative("plain", "The plain way", changes) if changes else None
