"""The edit that a mend stands for: done as a person would do it, so that everything settles."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from webapp.stages.catalogue import Catalogue
from webapp.stages.design.commands import new_uid
from webapp.stages.design.editing import ends, fittings, wires
from webapp.stages.design.editing.edit import Edit, Editing, by_hand, get, put, take
from webapp.stages.design.editing.settling import on_ways, remade
from webapp.stages.design.findings.finding import Change, Mend
from webapp.stages.design.proposal.plugs import plug_ways
from webapp.stages.design.rows import Design, Fitting, Link
from webapp.stages.refusals import Refused

# Fields whose change brings more with it; the rest are set as they are.
_FIELDS: dict[tuple[str, str], Callable[[str, Any], Editing]] = {
    ("link", "csa_mm2"): wires.section,
    ("link", "circuit_uid"): wires.circuit,
    ("link", "cable_part_uid"): wires.cable,
    ("link", "starter_cable"): lambda uid, wanted: wires.flag(uid, "starter_cable", wanted),
    ("bridge", "fuse_a"): fittings.fuse,
    ("fitting", "part_uid"): fittings.other_part,
}


def _exchange(one_way_uid: str, other_way_uid: str) -> Editing:
    """The wires on two ways change places."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        moves = [
            (link.uid, side, there)
            for here, there in ((one_way_uid, other_way_uid), (other_way_uid, one_way_uid))
            for link in design.link.values()
            for side in ends.SIDES
            if getattr(link, f"{side}_way_uid") == here
        ]
        said: list[str] = []
        for link_uid, side, way_uid in moves:
            done = ends.to_way(link_uid, side, way_uid)(design, catalogue)
            design = done.design
            said += done.said
        name = design.fitting[design.way[one_way_uid].fitting_uid].name
        return Edit(design, f"{name}: exchange its two wires", tuple(said))

    return edit


def _part_of_mate(fitting_uid: str) -> Editing:
    """A plug half takes the part of its mate, with that part's contacts."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        half: Fitting = get(design, "fitting", fitting_uid)
        mate: Fitting = get(design, "fitting", half.mate_uid or "")
        part = catalogue.get(mate.part_uid)
        if part is None:
            raise Refused("part_uid", "This part is no longer in the stores: choose another.")
        planned = {way.label: way for way in plug_ways(part, half.uid, half.kind, "")}
        there = {way.label: way for way in design.ways_of[half.uid]}
        kept = [
            replace(there[label], contact=way.contact, max_a=way.max_a)
            if label in there
            else replace(way, uid=new_uid())
            for label, way in planned.items()
        ]
        gone = [way.uid for label, way in there.items() if label not in planned]
        after = put(take(design, "way", gone), by_hand(half, part_uid=part.uid), *kept)
        links = on_ways(after, (way.uid for way in after.ways_of[half.uid]))
        after, said = remade(design, after, catalogue, links)
        return Edit(after, f"{half.name}: {part.name}", tuple(said))

    return edit


def _colours(link_uid: str, main: str, tracer: str) -> Editing:
    """Both colours of a wire at once: in between they might be alike."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        link: Link = get(design, "link", link_uid)
        words = f"{main} and {tracer}" if tracer else main
        new = by_hand(link, main=main, tracer=tracer)
        return Edit(put(design, new), f"Wire {link.number}: {words}")

    return edit


def _measured_length(link_uid: str, segment: int) -> Editing:
    return wires.length(link_uid, segment, None)


ACTIONS: dict[str, Callable[..., Editing]] = {
    "to way": ends.to_way,
    "exchange ways": _exchange,
    "part of mate": _part_of_mate,
    "way of plug": ends.plug_way,
    "colours": _colours,
    "length as measured": _measured_length,
}


def editing(mend: Mend) -> Editing:
    """All that a mend changes, as one edit."""
    steps = [_edit_of(each) for each in mend.changes]
    if mend.action:
        steps.append(ACTIONS[mend.action](*mend.about))

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        said: list[str] = []
        sentences = []
        for step in steps:
            done = step(design, catalogue)
            design = done.design
            sentences.append(done.sentence)
            said.extend(done.said)
        sentence = sentences[0] if len(sentences) == 1 else mend.words
        return Edit(design, sentence, tuple(dict.fromkeys(said)))

    return edit


def _edit_of(change: Change) -> Editing:
    if (change.table, change.field) in _FIELDS:
        return _FIELDS[change.table, change.field](change.uid, change.value)
    if change.table == "wire_end":
        return ends.field(change.uid, change.field, change.value)
    return _set(change)


def _set(change: Change) -> Editing:
    def edit(design: Design, catalogue: Catalogue) -> Edit:
        row = get(design, change.table, change.uid)
        new = by_hand(replace(row), **{change.field: change.value})
        return Edit(put(design, new), f"Set {change.field.replace('_', ' ')}")

    return edit
