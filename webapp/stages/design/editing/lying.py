"""Edits of where a splice lies, and of the empty cavities of a sealed half."""

from typing import Any

from webapp.stages.catalogue import Catalogue
from webapp.stages.design import runs
from webapp.stages.design.cavities import is_sealed
from webapp.stages.design.editing.edit import NOT_SEEN, Edit, Editing, by_hand, check_seen, get, put
from webapp.stages.design.rows import Design, Fitting, Run
from webapp.stages.design.splices import is_splice
from webapp.stages.refusals import Refused

# Where a splice that is set into a run for the first time lies, until a distance is typed. [mm]
FIRST_MM = 60


def runs_at(design: Design, fitting: Fitting) -> list[Run]:
    """The runs that meet at a fitting's place."""
    return [
        run
        for run in design.run.values()
        if fitting.place_uid in (run.from_place_uid, run.to_place_uid)
    ]


def into_run(fitting_uid: str, run_uid: str, seen: Any = NOT_SEEN) -> Editing:
    """Set a splice back into a run from its place; without a run it lies at its place."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        fitting = _splice(design, fitting_uid, "along_run_uid")
        check_seen("along_run_uid", seen, fitting.along_run_uid or "", run_uid)
        if not run_uid:
            new = by_hand(fitting, along_run_uid=None, along_mm=None)
            return Edit(put(design, new), f"{fitting.name} lies at its place")
        run = design.run.get(run_uid)
        if run is None or run not in runs_at(design, fitting):
            raise Refused("along_run_uid", "This run does not come to the splice's place.")
        back_mm = min(fitting.along_mm or FIRST_MM, run.length_mm or FIRST_MM)
        new = by_hand(fitting, along_run_uid=run_uid, along_mm=back_mm)
        sentence = f"{fitting.name}: {back_mm} mm into {runs.name(design, run)}"
        return Edit(put(design, new), sentence)

    return edit


def set_back(fitting_uid: str, back_mm: int | None, seen: Any = NOT_SEEN) -> Editing:
    """How far into its run a splice lies."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        fitting = _splice(design, fitting_uid, "along_mm")
        check_seen("along_mm", seen, fitting.along_mm, back_mm)
        run = design.run.get(fitting.along_run_uid or "")
        if run is None:
            raise Refused("along_mm", "Choose first which run it is set back into.")
        if back_mm is None:
            raise Refused("along_mm", "Type how far it is set back, in mm.")
        if run.length_mm is not None and back_mm > run.length_mm:
            raise Refused("along_mm", f"The run is only {run.length_mm:,} mm long.")
        new = by_hand(fitting, along_mm=back_mm)
        return Edit(put(design, new), f"{fitting.name}: {back_mm} mm into {runs.name(design, run)}")

    return edit


def blanked(fitting_uid: str, wanted: bool, seen: Any = NOT_SEEN) -> Editing:
    """Whether the empty cavities of a sealed half get blanking plugs."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        fitting: Fitting = get(design, "fitting", fitting_uid)
        if not is_sealed(catalogue.parts, fitting):
            raise Refused("blanked", "Only a sealed half has cavities to blank.")
        check_seen("blanked", seen, fitting.blanked, wanted)
        words = "empty cavities blanked" if wanted else "empty cavities left open"
        return Edit(put(design, by_hand(fitting, blanked=wanted)), f"{fitting.name}: {words}")

    return edit


def _splice(design: Design, fitting_uid: str, field: str) -> Fitting:
    fitting: Fitting = get(design, "fitting", fitting_uid)
    if not is_splice(fitting):
        raise Refused(field, "Only a splice lies in a run.")
    return fitting
