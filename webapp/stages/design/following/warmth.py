"""How warm wires get in one operating state, with the currents of its solution."""

from functools import cached_property
from typing import TYPE_CHECKING

from webapp.sizing.heat.mixed_bundle import BundledTemperature, BundledWire, bundle_temperatures
from webapp.sizing.reasons import SizingError
from webapp.stages.design.figures import Figures
from webapp.stages.design.operating import OperatingState
from webapp.stages.design.rows import Link
from webapp.stages.design.warmth import Surroundings

if TYPE_CHECKING:
    from webapp.sizing.network import Solution


class StateWarmth:
    """The temperatures of one state, worked out run by run as they are asked for."""

    def __init__(self, figures: Figures, state: OperatingState, solution: "Solution") -> None:
        self._figures = figures
        self._state = state
        self._solution = solution
        self._of_run: dict[str, dict[str, BundledTemperature]] = {}

    def hottest(self, link: Link) -> BundledTemperature | None:
        """What its copper comes to where it lies hottest; None where that is not known."""
        found = []
        for run_uid, around in self._figures.along(link):
            here = self._in_run(run_uid, around) if run_uid else self._of([link], around)
            if link.uid not in here:
                return None
            found.append(here[link.uid])
        return max(found, key=lambda each: each.temperature_c, default=None)

    def _in_run(self, run_uid: str, around: Surroundings) -> dict[str, BundledTemperature]:
        if run_uid not in self._of_run:
            links = self._figures.wires_in_run.get(run_uid, [])
            self._of_run[run_uid] = self._of(links, around)
        return self._of_run[run_uid]

    def _of(self, links: list[Link], around: Surroundings) -> dict[str, BundledTemperature]:
        sized = [(link, wire) for link in links if (wire := self._figures.conductor(link))]
        if not sized:
            return {}
        wires = [BundledWire(wire, self._amps.get(link.uid, 0.0)) for link, wire in sized]
        try:
            found = bundle_temperatures(wires, ambient_c=around.ambient_c, covering=around.covering)
        except SizingError:  # a current that would melt one of them
            return {}
        return {link.uid: one for (link, _), one in zip(sized, found, strict=True)}

    @cached_property
    def _amps(self) -> dict[str, float]:
        share = self._figures.operating.share
        return {
            uid: abs(flow.current_a) * share(uid, self._state)
            for uid, flow in self._solution.wires.items()
        }
