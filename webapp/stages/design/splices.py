"""Where the splices of a design lie: set back from their places into a run."""

from collections import Counter

from webapp.sizing.splices import Stretch, free_place_mm
from webapp.stages.design.rows import Design, Fitting, Run
from webapp.stages.design.wires import Wire

BREAKOUT_RUNS = 3

# Splices of each run, with how far they lie from the run's from-place. [mm]
Lying = dict[str, list[tuple[str, float]]]


def is_splice(fitting: Fitting) -> bool:
    return fitting.kind.startswith("splice")


def breakouts(design: Design) -> frozenset[str]:
    """The places where three runs or more meet."""
    meeting = Counter(
        uid for run in design.run.values() for uid in (run.from_place_uid, run.to_place_uid)
    )
    return frozenset(uid for uid, count in meeting.items() if count >= BREAKOUT_RUNS)


def stretch(run: Run, breaking_out: frozenset[str]) -> Stretch:
    """A run as sizing knows it."""
    return Stretch(
        length_mm=run.length_mm,
        breakout_at_start=run.from_place_uid in breaking_out,
        breakout_at_end=run.to_place_uid in breaking_out,
        bend_at_mm=run.bend_at_mm,
        bend_radius_mm=run.bend_radius_mm or 0.0,
    )


def set_back(design: Design, fitting: Fitting) -> Run | None:
    """The run that a splice lies in; None where it lies at its place."""
    run = design.run.get(fitting.along_run_uid or "")
    if run is None or fitting.along_mm is None:
        return None
    return run if fitting.place_uid in (run.from_place_uid, run.to_place_uid) else None


def along(design: Design) -> Lying:
    """The splices that lie in runs."""
    found: Lying = {}
    for fitting in design.fitting.values():
        run = set_back(design, fitting) if is_splice(fitting) else None
        if run is not None:
            found.setdefault(run.uid, []).append((fitting.uid, _from_start_mm(run, fitting)))
    return found


def splices_mm(design: Design) -> dict[str, tuple[float, ...]]:
    """How far along each run splices lie, from its from-place. [mm]"""
    return {uid: tuple(at for _, at in lying) for uid, lying in along(design).items()}


def _from_start_mm(run: Run, fitting: Fitting) -> float:
    back_mm = float(fitting.along_mm or 0)
    if fitting.place_uid == run.from_place_uid:
        return back_mm
    # Without a length the far end is out of reach of what is near this one.
    return (run.length_mm or 1_000_000) - back_mm


def runs_of(design: Design, fitting: Fitting, at_way: dict[str, list[Wire]]) -> list[str]:
    """The runs by which a splice's wires leave its place, its trunk wire's first."""
    found: list[str] = []
    for way in design.ways_of[fitting.uid]:
        for wire in at_way.get(way.uid, ()):
            if wire.route:
                found.append(wire.route[0 if wire.left.way_uid == way.uid else -1])
    return list(dict.fromkeys(found))


def free_place(
    design: Design, fitting: Fitting, run_uids: list[str], lying: Lying, breaking: frozenset[str]
) -> tuple[str, int] | None:
    """The first of these runs that has room for a splice, and how far from its place."""
    for run_uid in run_uids:
        run = design.run[run_uid]
        taken = [at for uid, at in lying.get(run_uid, ()) if uid != fitting.uid]
        from_end = run.to_place_uid == fitting.place_uid
        back_mm = free_place_mm(stretch(run, breaking), taken, from_end=from_end)
        if back_mm is not None:
            return run_uid, back_mm
    return None


def lies_in_words(design: Design, fitting: Fitting) -> str:
    """60 mm into helm to bow; empty where it lies at its place."""
    run = set_back(design, fitting)
    if run is None:
        return ""
    ends = (run.from_place_uid, run.to_place_uid)
    far = ends[1] if fitting.place_uid == ends[0] else ends[0]
    here, there = design.place[fitting.place_uid].name, design.place[far].name
    return f"{fitting.along_mm} mm into {here} to {there}"
