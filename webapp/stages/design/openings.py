"""What a run's grommet or gland lets through, and so what is fitted only after threading."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from webapp.stages.catalogue import CatalogPart
from webapp.stages.design.rows import Design, Fitting, Run
from webapp.stages.design.wires import End, Wire, travelled

Parts = Mapping[str, CatalogPart]


@dataclass(frozen=True)
class LateEnd:
    """An end whose terminal will not pass."""

    wire: Wire
    end: End
    terminal: CatalogPart


@dataclass(frozen=True)
class Threading:
    """One run's opening and what is fitted after the run is threaded through it."""

    run: Run
    opening: CatalogPart
    ends: tuple[LateEnd, ...]
    halves: tuple[Fitting, ...]


def threadings(design: Design, parts: Parts, found: Sequence[Wire]) -> list[Threading]:
    """Each run that passes a known opening, with what will not pass it.

    The run is threaded from the side where less has to wait.
    """
    through: dict[str, list[Wire]] = {}
    passing = {uid for uid, run in design.run.items() if run.through_part_uid in parts}
    for wire in found:
        for run_uid in passing & set(wire.route or ()):
            through.setdefault(run_uid, []).append(wire)
    ways: dict[tuple[str, str], bool] = {}
    for uid in {wire.link.uid for wires in through.values() for wire in wires}:
        for run_uid, far in travelled(design, design.link[uid]):
            ways[uid, run_uid] = design.run[run_uid].to_place_uid == far
    return [
        _threading(design, parts, design.run[run_uid], wires, ways)
        for run_uid, wires in through.items()
    ]


def _threading(
    design: Design,
    parts: Parts,
    run: Run,
    wires: Sequence[Wire],
    forward: Mapping[tuple[str, str], bool],
) -> Threading:
    opening = parts[run.through_part_uid or ""]
    lets_mm = opening.maybe("passes_mm") or 0.0
    starts, stops = [], []
    for wire in wires:
        left, right = (wire, wire.left), (wire, wire.right)
        along = forward[wire.link.uid, run.uid]
        starts.append(left if along else right)
        stops.append(right if along else left)
    sides = [_blocked(design, parts, side, lets_mm) for side in (stops, starts)]
    ends, halves = min(sides, key=lambda side: len(side[0]) + len(side[1]))
    return Threading(run, opening, tuple(ends), tuple(halves))


def _blocked(
    design: Design, parts: Parts, side: Sequence[tuple[Wire, End]], lets_mm: float
) -> tuple[list[LateEnd], list[Fitting]]:
    ends, halves = [], {}
    for wire, end in side:
        terminal = parts.get(end.made.terminal_part_uid or "")
        if terminal is not None and (terminal.maybe("passes_mm") or 0.0) > lets_mm:
            ends.append(LateEnd(wire, end, terminal))
        fitting = _half(design, end)
        half = parts.get(fitting.part_uid or "") if fitting else None
        if fitting and half is not None and (half.maybe("passes_mm") or 0.0) > lets_mm:
            halves[fitting.uid] = fitting
    return ends, list(halves.values())


def _half(design: Design, end: End) -> Fitting | None:
    if end.way_uid is None:
        return None
    fitting = design.fitting[design.way[end.way_uid].fitting_uid]
    return fitting if fitting.kind in ("plug", "socket") else None
