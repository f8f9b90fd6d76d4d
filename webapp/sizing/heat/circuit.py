"""The way of a wire's heat from its copper to the surroundings, and why it is what it is."""

import math
from dataclasses import dataclass
from functools import lru_cache

from webapp.sizing.conductors import (
    Conductor,
    bare_diameter_mm,
    outside_diameter_mm,
    resistance_mohm_per_m,
)
from webapp.sizing.heat.air import pressure_pa
from webapp.sizing.heat.place import Place
from webapp.sizing.heat.steady import Path
from webapp.sizing.reasons import Reason, SizingError, number
from webapp.sizing.tables.heat import (
    BUNDLE_FILL,
    BUNDLE_FILL_SOURCE,
    BUNDLE_W_PER_MK,
    COVERING,
    COVERINGS,
    FITTED_BUNDLE,
    GAP_W_PER_MK,
    RESISTIVITY_K_M_PER_W,
)

THICKEST_MM = 200.0


@dataclass(frozen=True)
class WarmWire:
    """What of a wire matters to heat."""

    conductor: Conductor
    outside_mm: float
    r20_ohm_per_m: float
    insulation_k_m_per_w: float
    reasons: tuple[Reason, ...]

    def path(self, where: Place, bundle_w_per_mk: float = BUNDLE_W_PER_MK) -> Path:
        """The way of its heat among `where.loaded_wires` equal ones."""
        sources = where.loaded_wires
        bundle_mm = bundle_diameter_mm(self.outside_mm, sources)
        shared = bundle_k_m_per_w(self.outside_mm, bundle_mm, bundle_w_per_mk)
        shared += covering_k_m_per_w(bundle_mm, where.covering)
        return Path(
            diameter_mm=bundle_mm,
            sources=sources,
            to_surface_k_m_per_w=self.insulation_k_m_per_w + sources * shared,
            ambient_c=where.ambient_c,
            air_pressure_pa=pressure_pa(where.altitude_m),
        )


def warm_wire(wire: Conductor, given_outside_mm: float | None = None) -> WarmWire:
    """The wire as heat sees it.

    Args:
        wire: The conductor.
        given_outside_mm: Outside diameter, where the cable's own is known. [mm]

    Raises:
        SizingError: an outside diameter that does not hold the conductor.

    Source: IEC 60287-2-1 for insulation; the tables of `conductors`.
    """
    outside_mm = None
    if given_outside_mm is not None:
        outside_mm = number(given_outside_mm, "outside_diameter_mm", high=THICKEST_MM, unit="mm")
    return _warm_wire(wire, outside_mm)


@lru_cache(maxsize=1024)
def _warm_wire(wire: Conductor, outside_mm: float | None) -> WarmWire:
    bare = bare_diameter_mm(wire)
    outside = _outside(wire, outside_mm, bare.value)
    r20 = resistance_mohm_per_m(wire)
    resistivity, source = RESISTIVITY_K_M_PER_W[wire.insulation]
    insulation = Reason(
        text=f"The {wire.insulation} around the copper lets heat out through its wall.",
        name="insulation_k_m_per_w",
        value=resistivity / (2 * math.pi) * math.log(outside[-1].value / bare.value),
        unit="K m/W",
        formula="resistivity_k_m_per_w / (2 * pi) * ln(outside_diameter_mm / bare_mm)",
        inputs={
            "resistivity_k_m_per_w": resistivity,
            "outside_diameter_mm": outside[-1].value,
            "bare_mm": bare.value,
        },
        source=source.text,
        confirmed=source.confirmed,
    )
    known = {reason.name for reason in outside}
    bare_reasons = () if "bare_mm" in known else bare.reasons
    return WarmWire(
        wire,
        outside[-1].value,
        r20.value / 1000,
        insulation.value,
        (*r20.reasons, *bare_reasons, *outside, insulation),
    )


def bundle_diameter_mm(outside_mm: float, sources: float) -> float:
    """Diameter of the cylinder that stands for `sources` equal warm wires."""
    return outside_mm * math.sqrt(1 + (sources - 1) / BUNDLE_FILL)


def bundle_k_m_per_w(
    outside_mm: float, bundle_mm: float, bundle_w_per_mk: float = BUNDLE_W_PER_MK
) -> float:
    """Rise of the wire at the middle over the bundle's surface, per W/m of the whole bundle.

    Heat made evenly over a cylinder, from its surface in to the skin of the middle wire.
    """
    return max(0.0, 1 - (outside_mm / bundle_mm) ** 2) / (4 * math.pi * bundle_w_per_mk)


def covering_k_m_per_w(bundle_mm: float, covering: str) -> float:
    """Rise over a covering, per W/m of the whole bundle.

    The covering's larger girth would cool a thin wire; it is not counted on.
    """
    layers = COVERINGS[covering]
    inside_mm = bundle_mm + 2 * layers.gap_mm
    gap = math.log(inside_mm / bundle_mm) / (2 * math.pi * GAP_W_PER_MK)
    wall_ratio = (inside_mm + 2 * layers.wall_mm) / inside_mm
    return gap + layers.wall_k_m_per_w / (2 * math.pi) * math.log(wall_ratio)


def place_reasons(wire: WarmWire, where: Place) -> list[Reason]:
    """Why bundle and covering hold the heat as they do; empty for a bare wire alone."""
    reasons = []
    bundle_mm = wire.path(where).diameter_mm
    if where.bundle_wires > 1:
        reasons += _bundle_reasons(wire, where, bundle_mm)
    if where.covering != "none":
        reasons.append(_covering_reason(bundle_mm, where.covering))
    return reasons


def _outside(wire: Conductor, given_mm: float | None, bare_mm: float) -> tuple[Reason, ...]:
    if given_mm is None:
        return outside_diameter_mm(wire).reasons
    if given_mm <= bare_mm:
        raise SizingError(
            "outside_diameter_mm",
            f"{wire.label} is about {bare_mm:.3g} mm across without insulation; "
            "the outside must be more.",
        )
    reason = Reason(
        text="Outside diameter as given.",
        name="outside_diameter_mm",
        value=given_mm,
        unit="mm",
        source="given",
    )
    return (reason,)


def _bundle_reasons(wire: WarmWire, where: Place, bundle_mm: float) -> list[Reason]:
    loaded = Reason(
        text="This wire and its share of the others carry the current; the rest are not "
        "counted on to cool them.",
        name="loaded_wires",
        value=where.loaded_wires,
        unit="",
        formula="1 + bundle_loaded_percent / 100 * (bundle_wires - 1)",
        inputs={
            "bundle_loaded_percent": where.bundle_loaded_percent,
            "bundle_wires": where.bundle_wires,
        },
        source="rule of this method",
    )
    across = Reason(
        text="The warm wires as one cylinder.",
        name="bundle_mm",
        value=bundle_mm,
        unit="mm",
        formula="outside_diameter_mm * sqrt(1 + (loaded_wires - 1) / fill)",
        inputs={
            "outside_diameter_mm": wire.outside_mm,
            "loaded_wires": where.loaded_wires,
            "fill": BUNDLE_FILL,
        },
        source=f"circles by area; the fill is {BUNDLE_FILL_SOURCE.text}",
    )
    inside = Reason(
        text="The middle wire is warmer than the bundle's surface.",
        name="bundle_k_m_per_w",
        value=bundle_k_m_per_w(wire.outside_mm, bundle_mm),
        unit="K m/W",
        formula="max(0, 1 - (outside_diameter_mm / bundle_mm) ** 2) / (4 * pi * bundle_w_per_mk)",
        inputs={
            "outside_diameter_mm": wire.outside_mm,
            "bundle_mm": bundle_mm,
            "bundle_w_per_mk": BUNDLE_W_PER_MK,
        },
        source=f"conduction in a cylinder; conductivity {FITTED_BUNDLE.text}",
    )
    return [loaded, across, inside]


def _covering_reason(bundle_mm: float, covering: str) -> Reason:
    layers = COVERINGS[covering]
    return Reason(
        text=f"Covering: {covering.replace('-', ' ')}, as still air and a wall.",
        name="covering_k_m_per_w",
        value=covering_k_m_per_w(bundle_mm, covering),
        unit="K m/W",
        formula="ln((bundle_mm + 2 * gap_mm) / bundle_mm) / (2 * pi * gap_w_per_mk)"
        " + wall_k_m_per_w / (2 * pi)"
        " * ln((bundle_mm + 2 * gap_mm + 2 * wall_mm) / (bundle_mm + 2 * gap_mm))",
        inputs={
            "bundle_mm": bundle_mm,
            "gap_mm": layers.gap_mm,
            "wall_mm": layers.wall_mm,
            "gap_w_per_mk": GAP_W_PER_MK,
            "wall_k_m_per_w": layers.wall_k_m_per_w,
        },
        source=f"conduction through cylinders; the layers are {COVERING.text}",
    )
