"""What goes on each run: its covering, and the grommet or gland that it passes."""

from dataclasses import replace

from webapp.sizing.bundle import choose_sleeve
from webapp.sizing.glands import choose_opening
from webapp.sizing.reasons import SizingError
from webapp.stages.catalogue import Catalogue
from webapp.stages.design import runs as run_words
from webapp.stages.design.bundles import (
    opening_kind,
    openings,
    over_covering_mm,
    run_diameters,
    sleeves,
)
from webapp.stages.design.proposal.builder import Named
from webapp.stages.design.rows import Design, Run
from webapp.stages.design.warmth import COVERINGS


def cover_runs(design: Design, catalogue: Catalogue) -> tuple[Design, list[Named]]:
    """A covering for each run that has wires, of the sort that the run asks for, and what holds
    it where it passes a panel."""
    return _Covering(design, catalogue).cover()


class _Covering:
    def __init__(self, design: Design, catalogue: Catalogue) -> None:
        self.design = design
        self.catalogue = catalogue
        self.diameters = run_diameters(design, catalogue)
        self.said: list[Named] = []

    def cover(self) -> tuple[Design, list[Named]]:
        runs = {uid: self._passed(self._covered(run)) for uid, run in self.design.run.items()}
        return replace(self.design, run=runs), self.said

    def _covered(self, run: Run) -> Run:
        if "covering_part_uid" in run.by_hand and run.covering_part_uid is not None:
            return run
        bundle_mm = self.diameters.get(run.uid)
        if bundle_mm is None or COVERINGS.get(run.covering.lower()) in (None, "none"):
            return replace(run, covering_part_uid=None)
        offered = sleeves(self.catalogue, run.covering, at_c=run.surround_c)
        try:
            chosen = choose_sleeve(offered, bundle_mm).sleeve.uid
        except SizingError as error:
            self._say(run, f"{run.covering}: {error}")
            chosen = None
        return replace(run, covering_part_uid=chosen)

    def _passed(self, run: Run) -> Run:
        if "through_part_uid" in run.by_hand and run.through_part_uid is not None:
            return run
        bundle_mm, kind = self.diameters.get(run.uid), opening_kind(run)
        if bundle_mm is None or not kind:
            return replace(run, through_part_uid=None)
        over_mm = over_covering_mm(run, bundle_mm, self.catalogue)
        offered = openings(self.catalogue, kind, at_c=run.surround_c)
        try:
            chosen = choose_opening(offered, over_mm).opening.uid
        except SizingError as error:
            self._say(run, f"{kind}: {error}")
            chosen = None
        return replace(run, through_part_uid=chosen)

    def _say(self, run: Run, sentence: str) -> None:
        at = f" at {run.surround_c:g} °C" if run.surround_c > self.design.basis.ambient_c else ""
        self.said.append(Named(f"Run {run_words.name(self.design, run)}{at}, {sentence}"))
