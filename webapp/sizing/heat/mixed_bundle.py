"""Temperature of each wire in a real bundle of mixed sizes and currents."""

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from webapp.sizing.conductors import Conductor
from webapp.sizing.heat.air import pressure_pa
from webapp.sizing.heat.circuit import (
    WarmWire,
    bundle_k_m_per_w,
    covering_k_m_per_w,
    warm_wire,
)
from webapp.sizing.heat.place import MOST_WIRES, Place, place
from webapp.sizing.heat.steady import COPPER_MELTS_C, heat_made_w_per_m, rise_for_heat_k
from webapp.sizing.heat.temperature import too_hot
from webapp.sizing.reasons import Reason, SizingError, current
from webapp.sizing.tables.heat import BUNDLE_FILL, FITTED_BUNDLE

CLOSE_ENOUGH_K = 1e-3
MOST_ROUNDS = 400


@dataclass(frozen=True)
class BundledWire:
    """A wire of a bundle, its current in A and, where known, its outside diameter in mm."""

    conductor: Conductor
    current_a: float
    outside_diameter_mm: float | None = None


@dataclass(frozen=True)
class BundledTemperature:
    """What one wire of a bundle comes to.

    temperature_c: of its copper. surface_c: of the bundle, as it bears on this wire.
    heat_w_per_m: what the wire itself makes.
    """

    temperature_c: float
    surface_c: float
    heat_w_per_m: float
    reasons: tuple[Reason, ...]


@dataclass
class _Kind:
    """The wires of one make, diameter and current: they share one balance."""

    warm: WarmWire
    current_a: float
    count: int
    copper_c: float
    heat_w_per_m: float = 0.0
    neighbours_mm2: float = 0.0
    bundle_mm: float = 0.0
    rise_k: float = 0.0


def bundle_temperatures(
    wires: Sequence[BundledWire],
    *,
    ambient_c: float,
    altitude_m: float = 0.0,
    covering: str = "none",
) -> tuple[BundledTemperature, ...]:
    """Temperature of every wire of a bundle in still air, each taken as if at its middle.

    A neighbour takes part with as much of its section as would make its heat if it were loaded like
    the most heavily loaded wire of the bundle. So one that carries nothing neither warms the others
    nor is counted on to cool them, and equal wires of one current come out as in
    `conductor_temperature`.

    Args:
        wires: Each wire with its current.
        ambient_c: Air and walls around. [°C]
        altitude_m: Above the sea, -500 to 20,000. [m]
        covering: One of `place.COVERING_NAMES`.

    Returns:
        The temperatures, in the order of the wires.

    Raises:
        SizingError: no wires, too many, a value out of range, or a current that would melt one;
            `wires.3.current_a` names the fourth.

    Source: as for `conductor_temperature`; the share of neighbours carries the loading rule of the
    published bundle factors over to mixed wires (rule of this method).
    """
    where = place(ambient_c=ambient_c, altitude_m=altitude_m, covering=covering)
    _check(wires)
    kinds = _kinds(wires, where)
    for _ in range(MOST_ROUNDS):
        moved_k = _round(list(kinds.values()), where)
        _refuse_melting(wires, kinds)
        if moved_k < CLOSE_ENOUGH_K:
            break
    total_w_per_m = _total(kinds.values())
    found = {
        each: BundledTemperature(
            kind.copper_c,
            where.ambient_c + kind.rise_k,
            kind.heat_w_per_m,
            _reasons(kind, total_w_per_m, where),
        )
        for each, kind in kinds.items()
    }
    return tuple(found[each] for each in wires)


def _kinds(wires: Sequence[BundledWire], where: Place) -> dict[BundledWire, _Kind]:
    return {
        each: _Kind(
            warm_wire(each.conductor, each.outside_diameter_mm),
            each.current_a,
            count,
            where.ambient_c,
        )
        for each, count in Counter(wires).items()
    }


def _check(wires: Sequence[BundledWire]) -> None:
    if not wires:
        raise SizingError("wires", "Give at least one wire.")
    if len(wires) > MOST_WIRES:
        raise SizingError("wires", f"More than {MOST_WIRES} wires cannot be reckoned.")
    for index, each in enumerate(wires):
        current(each.current_a, f"wires.{index}.current_a")


def _round(kinds: list[_Kind], where: Place) -> float:
    """Carry the balance one step on; how far the copper moved at most, in K."""
    for kind in kinds:
        kind.heat_w_per_m = heat_made_w_per_m(
            kind.current_a, kind.warm.r20_ohm_per_m, kind.copper_c
        )
    total_w_per_m = _total(kinds)
    most_dense = _most_dense_w_per_m_mm2(kinds)
    air_pressure_pa = pressure_pa(where.altitude_m)
    moved_k = 0.0
    for kind in kinds:
        outside_mm = kind.warm.outside_mm
        if most_dense > 0:
            kind.neighbours_mm2 = (total_w_per_m - kind.heat_w_per_m) / most_dense
        kind.bundle_mm = math.sqrt(outside_mm**2 + kind.neighbours_mm2 / BUNDLE_FILL)
        kind.rise_k = rise_for_heat_k(
            kind.bundle_mm, total_w_per_m, where.ambient_c, air_pressure_pa, kind.rise_k
        )
        shared = bundle_k_m_per_w(outside_mm, kind.bundle_mm)
        shared += covering_k_m_per_w(kind.bundle_mm, where.covering)
        before_c = kind.copper_c
        kind.copper_c = where.ambient_c + kind.rise_k + total_w_per_m * shared
        kind.copper_c += kind.heat_w_per_m * kind.warm.insulation_k_m_per_w
        moved_k = max(moved_k, abs(kind.copper_c - before_c))
    return moved_k


def _total(kinds: Iterable[_Kind]) -> float:
    return sum(each.count * each.heat_w_per_m for each in kinds)


def _most_dense_w_per_m_mm2(kinds: Iterable[_Kind]) -> float:
    """Heat of the wire that makes most for its size, per square of its diameter."""
    return max(each.heat_w_per_m / each.warm.outside_mm**2 for each in kinds)


def _refuse_melting(wires: Sequence[BundledWire], kinds: Mapping[BundledWire, _Kind]) -> None:
    if max(kind.copper_c for kind in kinds.values()) <= COPPER_MELTS_C:
        return
    hottest = max(range(len(wires)), key=lambda index: kinds[wires[index]].copper_c)
    wire = wires[hottest]
    raise too_hot(wire.conductor, wire.current_a, f"wires.{hottest}.current_a")


def _reasons(kind: _Kind, total_w_per_m: float, where: Place) -> tuple[Reason, ...]:
    warm = kind.warm
    across = Reason(
        text="This wire and its neighbours, each only as far as it is loaded, as one cylinder.",
        name="bundle_mm",
        value=kind.bundle_mm,
        unit="mm",
        formula="sqrt(outside_diameter_mm ** 2 + neighbours_mm2 / fill)",
        inputs={
            "outside_diameter_mm": warm.outside_mm,
            "neighbours_mm2": kind.neighbours_mm2,
            "fill": BUNDLE_FILL,
        },
        source="rule of this method; the fill is common practice",
    )
    inputs = {
        "surface_c": where.ambient_c + kind.rise_k,
        "heat_w_per_m": kind.heat_w_per_m,
        "insulation_k_m_per_w": warm.insulation_k_m_per_w,
        "total_w_per_m": total_w_per_m,
        "bundle_k_m_per_w": bundle_k_m_per_w(warm.outside_mm, kind.bundle_mm),
        "covering_k_m_per_w": covering_k_m_per_w(kind.bundle_mm, where.covering),
    }
    shared = inputs["bundle_k_m_per_w"] + inputs["covering_k_m_per_w"]
    own_k = inputs["heat_w_per_m"] * inputs["insulation_k_m_per_w"]
    copper = Reason(
        text=f"The copper is at about {kind.copper_c:.0f} °C; the bundle makes "
        f"{total_w_per_m:.3g} W/m, this wire {kind.heat_w_per_m:.3g} W/m of it.",
        name="temperature_c",
        value=inputs["surface_c"] + own_k + total_w_per_m * shared,
        unit="°C",
        formula="surface_c + heat_w_per_m * insulation_k_m_per_w"
        " + total_w_per_m * (bundle_k_m_per_w + covering_k_m_per_w)",
        inputs=inputs,
        source=f"heat balance; conductivity of the bundle {FITTED_BUNDLE.text}",
        confirmed=False,
    )
    return (*warm.reasons, across, copper)
