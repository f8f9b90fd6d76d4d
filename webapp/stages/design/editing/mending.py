"""The edit that a mend stands for: done as a person would do it, so that everything settles."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from webapp.stages.catalogue import Catalogue
from webapp.stages.design.editing import ends, fittings, wires
from webapp.stages.design.editing.edit import Edit, Editing, by_hand, get, put
from webapp.stages.design.findings.finding import Change, Mend
from webapp.stages.design.rows import Design, Link

# Fields whose change brings more with it; the rest are set as they are.
_FIELDS: dict[tuple[str, str], Callable[[str, Any], Editing]] = {
    ("link", "csa_mm2"): wires.section,
    ("link", "circuit_uid"): wires.circuit,
    ("link", "cable_part_uid"): wires.cable,
    ("link", "main"): lambda uid, wanted: wires.colour(uid, "main", wanted),
    ("link", "tracer"): lambda uid, wanted: wires.colour(uid, "tracer", wanted),
    ("bridge", "fuse_a"): fittings.fuse,
    ("fitting", "part_uid"): fittings.other_part,
}


def _lead_to(link_uid: str, side: str, way_uid: str) -> Editing:
    return ends.to_way(link_uid, side, way_uid)


def _colours(link_uid: str, main: str, tracer: str) -> Editing:
    """Both colours of a wire at once: in between they might be alike."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        link: Link = get(design, "link", link_uid)
        words = f"{main}/{tracer}" if tracer else main
        return Edit(put(design, by_hand(link, main=main, tracer=tracer)), words)

    return edit


def _measured_length(link_uid: str, segment: int) -> Editing:
    return wires.length(link_uid, segment, None)


ACTIONS: dict[str, Callable[..., Editing]] = {
    "lead to way": _lead_to,
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
