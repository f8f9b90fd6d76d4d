"""How a wire warms and cools with time, from what its copper stores."""

import math
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from webapp.sizing.conductors import COPPER_OFFSET_C
from webapp.sizing.heat.circuit import WarmWire
from webapp.sizing.heat.steady import COPPER_MELTS_C, Path, TooHot, at_limit
from webapp.sizing.reasons import Reason
from webapp.sizing.tables.heat import COPPER_HEAT, COPPER_HEAT_J_PER_M3K

FINEST_RISE_K = 0.05
NODES = 160


@dataclass(frozen=True)
class Warming:
    """A wire on its way: the heat that leaves follows the copper's temperature as if steady.

    Between nodes of temperature the heat that leaves is taken as straight, so each stretch has
    its time in closed form: short times come out adiabatic, long ones as the heat balance.
    """

    path: Path
    r20_ohm_per_m: float
    stored_j_per_mk: float

    @cached_property
    def _nodes(self) -> tuple[tuple[float, float], ...]:
        """Copper temperature in °C and heat leaving in W/m, from the surroundings up."""
        top_k = COPPER_MELTS_C - self.path.ambient_c
        ratio = (top_k / FINEST_RISE_K) ** (1 / (NODES - 1))
        nodes = [(self.path.ambient_c, 0.0)]
        surface_share = 0.8
        for index in range(NODES):
            copper_k = FINEST_RISE_K * ratio**index
            copper_c = self.path.ambient_c + copper_k
            balance = at_limit(self.path, copper_c, surface_share)
            # The next node starts from here.
            surface_share = (balance.surface_c - self.path.ambient_c) / copper_k
            nodes.append((copper_c, balance.heat_w_per_m))
        return tuple(nodes)

    def leaving_w_per_m(self, copper_c: float) -> float:
        """Heat that leaves when the copper is at `copper_c`, in W/m."""
        nodes = self._nodes
        index = min(max(1, bisect_left(nodes, (copper_c,))), len(nodes) - 1)
        (low_c, low_w), (high_c, high_w) = nodes[index - 1], nodes[index]
        return low_w + (high_w - low_w) * (copper_c - low_c) / (high_c - low_c)

    def time_s(self, current_a: float, from_c: float, to_c: float) -> float:
        """Time from one copper temperature to another at a current; infinite if never."""
        total_s = 0.0
        for start_c, start_w, end_c, end_w in self._stretches(current_a, from_c, to_c):
            if start_w * (end_c - start_c) <= 0 or end_w * (end_c - start_c) <= 0:
                return math.inf
            total_s += self.stored_j_per_mk * (end_c - start_c) / _log_mean(start_w, end_w)
        return total_s

    def after_c(self, current_a: float, from_c: float, time_s: float) -> float:
        """Copper temperature after a time at a current.

        Raises:
            TooHot: the copper would melt first.
        """
        left_s = time_s
        to_c = self.path.ambient_c
        if self._surplus_w_per_m(current_a, from_c) > 0:
            to_c = COPPER_MELTS_C
        for start_c, start_w, end_c, end_w in self._stretches(current_a, from_c, to_c):
            # Towards a balance inside the stretch, or through to its end.
            growth_per_s = (end_w - start_w) / (end_c - start_c) / self.stored_j_per_mk
            arrives = start_w * end_w > 0
            if arrives:
                needed_s = self.stored_j_per_mk * (end_c - start_c) / _log_mean(start_w, end_w)
                if needed_s < left_s:
                    left_s -= needed_s
                    continue
            return start_c + start_w / self.stored_j_per_mk * _grown_s(growth_per_s, left_s)
        if to_c == COPPER_MELTS_C:
            raise TooHot
        return to_c

    def _surplus_w_per_m(self, current_a: float, copper_c: float) -> float:
        """Heat made less heat leaving."""
        per_k = current_a**2 * self.r20_ohm_per_m / (COPPER_OFFSET_C + 20)
        return per_k * (COPPER_OFFSET_C + copper_c) - self.leaving_w_per_m(copper_c)

    def _stretches(
        self, current_a: float, from_c: float, to_c: float
    ) -> Iterator[tuple[float, float, float, float]]:
        """Start and end of each stretch: temperature and surplus of heat."""
        low_c, high_c = sorted((from_c, to_c))
        inner = [node for node in self._nodes if low_c < node[0] < high_c]
        ends = (low_c, self.leaving_w_per_m(low_c)), (high_c, self.leaving_w_per_m(high_c))
        points = [ends[0], *inner, ends[1]]
        if to_c < from_c:
            points.reverse()
        per_k = current_a**2 * self.r20_ohm_per_m / (COPPER_OFFSET_C + 20)
        surplus = [(c, per_k * (COPPER_OFFSET_C + c) - leaving) for c, leaving in points]
        for (start_c, start_w), (end_c, end_w) in pairwise(surplus):
            if start_c != end_c:
                yield start_c, start_w, end_c, end_w


def warming(wire: WarmWire, path: Path) -> Warming:
    """How the wire warms on that path. Only its own copper is counted on to store heat."""
    return Warming(path, wire.r20_ohm_per_m, stored_j_per_mk(wire))


def stored_j_per_mk(wire: WarmWire) -> float:
    """Heat that a metre of the wire stores for each kelvin, in J/(m K)."""
    return stored_reason(wire).value


def stored_reason(wire: WarmWire) -> Reason:
    """Why the wire stores that much heat."""
    return Reason(
        text="Copper stores heat; that its insulation stores some too is not counted on.",
        name="stored_j_per_mk",
        value=wire.conductor.csa_mm2 * COPPER_HEAT_J_PER_M3K / 1000000,
        unit="J/(m K)",
        formula="csa_mm2 * copper_j_per_m3k / 1000000",
        inputs={
            "csa_mm2": wire.conductor.csa_mm2,
            "copper_j_per_m3k": COPPER_HEAT_J_PER_M3K,
        },
        source=COPPER_HEAT.text,
    )


def _log_mean(one: float, other: float) -> float:
    """Mean of two heats of one sign over which a temperature runs exponentially."""
    if abs(other - one) <= 1e-9 * abs(one):
        return (one + other) / 2
    return (other - one) / math.log(other / one)


def _grown_s(growth_per_s: float, time_s: float) -> float:
    """The integral of exp(growth × t) over the time."""
    if abs(growth_per_s * time_s) < 1e-12:
        return time_s
    return math.expm1(growth_per_s * time_s) / growth_per_s
