"""Sets each splice back into a run: out of breakouts and bends, staggered with the others."""

from dataclasses import replace

from webapp.stages.design.rows import Design
from webapp.stages.design.splices import (
    along,
    breakouts,
    free_place,
    is_splice,
    runs_of,
)
from webapp.stages.design.wires import Wire, wires

SET_BY_HAND = {"along_run_uid", "along_mm"}


def place_splices(design: Design) -> Design:
    """Each splice towards its trunk wire, or into another of its runs where that has no room.

    One that no run has room for stays at its place, and the findings say so.
    """
    splices = [
        fitting
        for fitting in design.fitting.values()
        if is_splice(fitting) and not SET_BY_HAND & set(fitting.by_hand)
    ]
    fittings = dict(design.fitting)
    for fitting in splices:
        fittings[fitting.uid] = replace(fitting, along_run_uid=None, along_mm=None)
    bare = replace(design, fitting=fittings)
    lying, breaking, at_way = along(bare), breakouts(bare), _at_way(bare)
    for fitting in splices:
        place = free_place(bare, fitting, runs_of(bare, fitting, at_way), lying, breaking)
        if place is None:
            continue
        run_uid, back_mm = place
        fittings[fitting.uid] = replace(fitting, along_run_uid=run_uid, along_mm=back_mm)
        run = design.run[run_uid]
        forward = run.from_place_uid == fitting.place_uid
        at_mm = back_mm if forward else (run.length_mm or 0) - back_mm
        lying.setdefault(run_uid, []).append((fitting.uid, at_mm))
    return replace(design, fitting=fittings)


def _at_way(design: Design) -> dict[str, list[Wire]]:
    found: dict[str, list[Wire]] = {}
    for wire in wires(design):
        for end in wire.ends:
            if end.way_uid is not None:
                found.setdefault(end.way_uid, []).append(wire)
    return found
