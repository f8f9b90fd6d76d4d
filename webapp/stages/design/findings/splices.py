"""Where splices lie: apart from each other, out of breakouts and out of bends."""

from collections.abc import Iterator
from functools import cached_property

from webapp.sizing.splices import CLEAR_MM, CLEAR_SOURCE, to_bend_mm, to_breakout_mm, too_near
from webapp.stages.design import runs
from webapp.stages.design.findings.finding import COMMON_PRACTICE, Change, Mend, Rule, Said, View
from webapp.stages.design.rows import Fitting, Run
from webapp.stages.design.splices import (
    along,
    breakouts,
    free_place,
    is_splice,
    runs_of,
    set_back,
    stretch,
)


class _Lying:
    """The splices of a design, and where they lie."""

    def __init__(self, view: View) -> None:
        self.view = view
        self.design = view.design
        self.in_runs = along(view.design)
        self.breaking = breakouts(view.design)

    @cached_property
    def at_places(self) -> dict[str, list[Fitting]]:
        """Splices that are not set back, though their wires leave by a run; by place."""
        found: dict[str, list[Fitting]] = {}
        for fitting in self.design.fitting.values():
            bare = is_splice(fitting) and set_back(self.design, fitting) is None
            if bare and runs_of(self.design, fitting, self.view.on_way):
                found.setdefault(fitting.place_uid, []).append(fitting)
        return found

    def each(self) -> Iterator[tuple[Fitting, Run, float]]:
        """Each splice that lies in a run, with how far from the run's start. [mm]"""
        for run_uid, lying in self.in_runs.items():
            for uid, at_mm in lying:
                yield self.design.fitting[uid], self.design.run[run_uid], at_mm

    def said(self, fitting: Fitting, sentence: str) -> Said:
        return Said("fitting", fitting.uid, sentence, self._mend(fitting))

    def _mend(self, fitting: Fitting) -> Mend | None:
        """The first place in its runs that is clear of all else."""
        run_uids = runs_of(self.design, fitting, self.view.on_way)
        place = free_place(self.design, fitting, run_uids, self.in_runs, self.breaking)
        if place is None:
            return None
        run_uid, back_mm = place
        return Mend(
            f"Set it {back_mm} mm into {runs.name(self.design, self.design.run[run_uid])}",
            (
                Change("fitting", fitting.uid, "along_run_uid", run_uid),
                Change("fitting", fitting.uid, "along_mm", back_mm),
            ),
        )


def splices_apart(view: View) -> Iterator[Said]:
    lying = _Lying(view)
    for places in lying.in_runs.values():
        for uid, other, apart_mm in too_near(places):
            yield lying.said(
                view.design.fitting[uid],
                f"It lies {apart_mm:g} mm from {view.name(other)} in the same run: stagger them.",
            )
    for place_uid, together in lying.at_places.items():
        for fitting in together[1:]:
            yield lying.said(
                fitting,
                f"It lies beside {together[0].name} at {view.design.place[place_uid].name}: set "
                f"one of them back into a run.",
            )


def splices_clear_of_breakouts(view: View) -> Iterator[Said]:
    lying = _Lying(view)
    for fitting, run, at_mm in lying.each():
        away_mm = to_breakout_mm(stretch(run, lying.breaking), at_mm)
        if away_mm < CLEAR_MM:
            yield lying.said(
                fitting,
                f"It lies {away_mm:g} mm from where {runs.name(view.design, run)} breaks out.",
            )
    for place_uid, together in lying.at_places.items():
        if place_uid in lying.breaking:
            name = view.design.place[place_uid].name
            for fitting in together:
                yield lying.said(fitting, f"It lies in the breakout at {name}.")


def splices_clear_of_bends(view: View) -> Iterator[Said]:
    lying = _Lying(view)
    for fitting, run, at_mm in lying.each():
        away_mm = to_bend_mm(stretch(run, lying.breaking), at_mm)
        if away_mm < CLEAR_MM:
            where = "in" if away_mm <= 0 else f"{away_mm:.0f} mm from"
            yield lying.said(fitting, f"It lies {where} the bend of {runs.name(view.design, run)}.")


RULES = (
    Rule(
        "splice near another",
        "warning",
        f"Splices in one run lie {CLEAR_MM:g} mm apart or more.",
        CLEAR_SOURCE,
        splices_apart,
    ),
    Rule(
        "splice in a breakout",
        "warning",
        f"A splice lies {CLEAR_MM:g} mm or more from where three runs meet.",
        COMMON_PRACTICE,
        splices_clear_of_breakouts,
    ),
    Rule(
        "splice in a bend",
        "warning",
        f"A splice lies {CLEAR_MM:g} mm or more from the end of a bend.",
        COMMON_PRACTICE,
        splices_clear_of_bends,
    ),
)
