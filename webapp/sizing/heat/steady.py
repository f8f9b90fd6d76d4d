"""Steady temperature and current of one thermal path, as plain numbers."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from webapp.sizing.conductors import COPPER_OFFSET_C
from webapp.sizing.heat.air import heat_given_off_w_per_m

COPPER_MELTS_C = 1085.0
CLOSE_ENOUGH = 1e-11
MOST_STEPS = 60
# Below this there is nothing to balance.
LEAST_HEAT_W_PER_M = 1e-30


@dataclass(frozen=True)
class Path:
    """The way of a wire's heat to the surroundings.

    diameter_mm: of the surface that gives it off.
    sources: how many such wires give off heat through that surface; fractions count.
    to_surface_k_m_per_w: rise of the copper over the surface for each W/m of the wire's own heat.
    ambient_c, air_pressure_pa: of the surroundings.
    """

    diameter_mm: float
    sources: float
    to_surface_k_m_per_w: float
    ambient_c: float
    air_pressure_pa: float

    def own_heat_w_per_m(self, rise_k: float) -> float:
        """Heat of one of the wires when the surface is `rise_k` above the surroundings."""
        given_off = heat_given_off_w_per_m(
            self.diameter_mm, rise_k, self.ambient_c, self.air_pressure_pa
        )
        return given_off / self.sources


@dataclass(frozen=True)
class Balance:
    """A state in which as much heat leaves as is made, per wire."""

    copper_c: float
    surface_c: float
    heat_w_per_m: float


class TooHot(ValueError):
    """No balance below the melting of copper."""


def heat_made_w_per_m(current_a: float, r20_ohm_per_m: float, copper_c: float) -> float:
    """Joule heat of a wire whose copper is at `copper_c`, in W/m."""
    at_temperature = (COPPER_OFFSET_C + copper_c) / (COPPER_OFFSET_C + 20)
    return current_a**2 * r20_ohm_per_m * at_temperature


def at_limit(path: Path, limit_c: float, surface_share: float = 0.8) -> Balance:
    """The balance in which the copper is at `limit_c`, above the surroundings.

    `surface_share` is a guess at the surface's share of the copper's rise.
    """
    span_k = limit_c - path.ambient_c

    def copper_rise_k(rise_k: float) -> float:
        return rise_k + path.own_heat_w_per_m(rise_k) * path.to_surface_k_m_per_w

    rise_k = solve_rising(copper_rise_k, span_k, surface_share * span_k)
    return Balance(limit_c, path.ambient_c + rise_k, path.own_heat_w_per_m(rise_k))


def at_current(path: Path, r20_ohm_per_m: float, current_a: float) -> Balance:
    """The balance at a current, the copper's resistance taken at its own temperature.

    Raises:
        TooHot: the copper would melt first.
    """
    # Heat made is per_k × (234.5 + t), so it follows from the surface without trying.
    per_k = current_a**2 * r20_ohm_per_m / (COPPER_OFFSET_C + 20)
    still_rises = 1 - per_k * path.to_surface_k_m_per_w
    if still_rises <= 0:
        raise TooHot
    if per_k < LEAST_HEAT_W_PER_M:
        return Balance(path.ambient_c, path.ambient_c, 0.0)
    base_k = COPPER_OFFSET_C + path.ambient_c

    def needed_per_k(rise_k: float) -> float:
        return path.own_heat_w_per_m(rise_k) * still_rises / (base_k + rise_k)

    guess_k = guess_rise_k(path.diameter_mm, path.sources * per_k * base_k)
    rise_k = solve_rising(needed_per_k, per_k, guess_k)
    heat = per_k * (base_k + rise_k) / still_rises
    copper_c = path.ambient_c + rise_k + heat * path.to_surface_k_m_per_w
    if copper_c > COPPER_MELTS_C:
        raise TooHot
    return Balance(copper_c, path.ambient_c + rise_k, heat)


def rise_for_heat_k(
    diameter_mm: float,
    heat_w_per_m: float,
    ambient_c: float,
    air_pressure_pa: float,
    guess_k: float = 0.0,
) -> float:
    """How much warmer than the surroundings a surface is that gives off that heat, in K."""
    if heat_w_per_m < LEAST_HEAT_W_PER_M:
        return 0.0

    def given_off(rise_k: float) -> float:
        return heat_given_off_w_per_m(diameter_mm, rise_k, ambient_c, air_pressure_pa)

    guess = guess_k or guess_rise_k(diameter_mm, heat_w_per_m)
    return solve_rising(given_off, heat_w_per_m, guess)


def current_at(path: Path, r20_ohm_per_m: float, limit_c: float) -> float:
    """Current that brings the copper to `limit_c`, in A."""
    return current_for_heat(at_limit(path, limit_c).heat_w_per_m, r20_ohm_per_m, limit_c)


def current_for_heat(heat_w_per_m: float, r20_ohm_per_m: float, copper_c: float) -> float:
    """Current that makes that much heat in copper at `copper_c`, in A."""
    return math.sqrt(heat_w_per_m / heat_made_w_per_m(1, r20_ohm_per_m, copper_c))


def solve_rising(function: Callable[[float], float], target: float, guess: float) -> float:
    """Where a positive, rising function of a positive number reaches `target`.

    Heat against temperature rise is nearly a power law: in logarithms it is nearly straight, and a
    secant finds the place in four or five steps from any start.
    """
    wanted = math.log(target)
    here = math.log(guess)
    off = math.log(function(guess)) - wanted
    slope = 1.2
    for _ in range(MOST_STEPS):
        step = max(-2.0, min(2.0, -off / slope))
        if abs(step) < CLOSE_ENOUGH:
            break
        here += step
        off_before, off = off, math.log(function(math.exp(here))) - wanted
        slope = min(10.0, max(0.05, (off - off_before) / step))
    return math.exp(here)


def guess_rise_k(diameter_mm: float, heat_w_per_m: float) -> float:
    """A start for the rise of a surface over the surroundings: about 15 W/(m² K)."""
    return heat_w_per_m / (15 * math.pi * diameter_mm / 1000)
