"""What a conductor is, its resistance and its outside diameter."""

import math
from dataclasses import dataclass
from functools import cache

from webapp.sizing.reasons import Reason, Result, SizingError, Source, choice, number, temperature
from webapp.sizing.tables import conductors as table

CLASS_5 = "iec60228-class5"
VEHICLE = "iso6722"
STRANDED_AWG = "awg-stranded-tinned"
SOLID_AWG = "awg-solid"
KINDS = (CLASS_5, VEHICLE, STRANDED_AWG, SOLID_AWG)
FINISHES = ("plain", "tinned")
INSULATIONS = tuple(table.WALL_OF_INSULATION)
DEFAULT_INSULATION = {
    CLASS_5: "pvc",
    VEHICLE: "pvc-thin",
    STRANDED_AWG: "etfe",
    SOLID_AWG: "etfe",
}

FOOT_M = 0.3048
CIRCULAR_MIL_MM2 = math.pi / 4 * 0.0254**2
COPPER_OFFSET_C = 234.5
THINNEST_AWG = 40
THICKEST_AWG = -3


@dataclass(frozen=True)
class Conductor:
    """One size of one kind of wire. Make it with `conductor()`, which checks the size."""

    kind: str
    csa_mm2: float
    awg: int | None
    finish: str
    insulation: str

    @property
    def label(self) -> str:
        """The size as the trade writes it: `1.5 mm²`, or `AWG 16 (1.23 mm²)`."""
        if self.awg is None:
            return f"{self.csa_mm2:g} mm²"
        return f"AWG {awg_label(self.awg)} ({self.csa_mm2:.3g} mm²)"


def awg_label(awg: int) -> str:
    """The gauge as it is written: 16, or 2/0 for -1."""
    return str(awg) if awg > 0 else f"{1 - awg}/0"


def awg_to_mm2(awg: int) -> float:
    """Nominal section of a solid round conductor of that gauge.

    Args:
        awg: Gauge number; 1/0 to 4/0 are 0 to -3. [-]

    Returns:
        Section. [mm²]

    Raises:
        SizingError: the gauge is not a whole number from -3 to 40.

    Source: ASTM B258, d = 0.127 × 92^((36 - n) / 39) mm.
    """
    if isinstance(awg, bool) or not isinstance(awg, int):
        raise SizingError("awg", "Give the gauge as a whole number; 1/0 to 4/0 are 0 to -3.")
    if not THICKEST_AWG <= awg <= THINNEST_AWG:
        raise SizingError("awg", f"AWG {awg} is outside 4/0 (-3) to 40.")
    diameter_mm = 0.127 * math.pow(92, (36 - awg) / 39)
    return math.pi / 4 * diameter_mm**2


def nearest_awg(csa_mm2: float) -> int:
    """The gauge whose section is nearest by ratio.

    Args:
        csa_mm2: Section. [mm²]

    Returns:
        Gauge number; 1/0 to 4/0 are 0 to -3. [-]

    Raises:
        SizingError: the section is not a positive number.

    Source: ASTM B258.
    """
    return _nearest_awg(number(csa_mm2, "csa_mm2", above_low=True, unit="mm²"))


@cache
def _nearest_awg(wanted: float) -> int:
    """Pages ask for the same few sections hundreds of times."""
    gauges = range(THICKEST_AWG, THINNEST_AWG + 1)
    return min(gauges, key=lambda awg: abs(math.log(awg_to_mm2(awg) / wanted)))


def conductor(
    kind: str,
    *,
    csa_mm2: float | None = None,
    awg: int | None = None,
    finish: str = "plain",
    insulation: str | None = None,
) -> Conductor:
    """A conductor of a size that the tables hold.

    Args:
        kind: One of `KINDS`.
        csa_mm2: Section, for the metric kinds. [mm²]
        awg: Gauge, for the AWG kinds; 1/0 to 4/0 are 0 to -3. [-]
        finish: `plain` or `tinned`; the AWG kinds have a finish of their own.
        insulation: One of `INSULATIONS`; None takes the usual one for the kind.

    Returns:
        The conductor.

    Raises:
        SizingError: unknown kind, finish or insulation; both sizes or none; a size not in the
            table.

    Source: sizes of IEC 60228 class 5, ISO 6722-1, AC 43.13-1B Table 11-9, ASTM B258.
    """
    choice(kind, "kind", KINDS)
    choice(finish, "finish", FINISHES)
    skin = choice(insulation or DEFAULT_INSULATION[kind], "insulation", INSULATIONS)
    if kind in (CLASS_5, VEHICLE):
        if awg is not None:
            raise SizingError("awg", "Give this kind of cable by its section in mm².")
        return Conductor(kind, _metric_size(kind, csa_mm2), None, finish, skin)
    if csa_mm2 is not None:
        raise SizingError("csa_mm2", "Give this kind of wire by its AWG number.")
    gauge, area_mm2 = _gauge(kind, awg)
    return Conductor(kind, area_mm2, gauge, "tinned" if kind == STRANDED_AWG else "plain", skin)


def sizes(kind: str, *, finish: str = "plain", insulation: str | None = None) -> list[Conductor]:
    """Every conductor of that kind, thinnest first.

    Args:
        kind: One of `KINDS`.
        finish, insulation: as for `conductor`.

    Raises:
        SizingError: unknown kind, finish or insulation.
    """
    choice(kind, "kind", KINDS)
    if kind in (CLASS_5, VEHICLE):
        return [
            conductor(kind, csa_mm2=csa_mm2, finish=finish, insulation=insulation)
            for csa_mm2 in sorted(_metric_table(kind))
        ]
    gauges = table.AC4313_STRANDED if kind == STRANDED_AWG else table.AWG_SOLID_OHM_PER_KFT
    return [
        conductor(kind, awg=awg, finish=finish, insulation=insulation)
        for awg in sorted(gauges, reverse=True)
    ]


def sizes_mm2(kind: str) -> list[float]:
    """The sections of that kind in mm², thinnest first; SizingError if the kind is unknown."""
    return [each.csa_mm2 for each in sizes(kind)]


def resistance_mohm_per_m(wire: Conductor, temperature_c: float = 20.0) -> Result:
    """Greatest resistance of the conductor at a temperature.

    Args:
        wire: The conductor.
        temperature_c: Temperature of the copper. [°C]

    Returns:
        Resistance per metre. [mΩ/m]

    Raises:
        SizingError: a temperature that is no number or outside -60 to 300 °C.

    Source: maximum at 20 °C from the table of the kind; R = R20 × (234.5 + t) / 254.5, AC 43.13-1B
    Chg 1 par 11-66.
    """
    copper_c = temperature(temperature_c)
    r20, source = _r20_mohm_per_m(wire)
    look_up = Reason(
        text=f"A {wire.label} conductor has at most {r20:.4g} mΩ/m at 20 °C.",
        name="r20_mohm_per_m",
        value=r20,
        unit="mΩ/m",
        source=source.text,
        inputs={"csa_mm2": wire.csa_mm2} if wire.awg is None else {"awg": wire.awg},
        confirmed=source.confirmed,
    )
    if copper_c == 20.0:
        return Result(r20, (look_up,))
    at_temperature = r20 * (COPPER_OFFSET_C + copper_c) / (COPPER_OFFSET_C + 20)
    warmed = Reason(
        text=f"Copper at {copper_c:g} °C instead of 20 °C.",
        name="resistance_mohm_per_m",
        value=at_temperature,
        unit="mΩ/m",
        formula="r20_mohm_per_m * (234.5 + temperature_c) / 254.5",
        inputs={"r20_mohm_per_m": r20, "temperature_c": copper_c},
        source="FAA AC 43.13-1B Chg 1, par 11-66",
        confirmed=source.confirmed,
    )
    return Result(at_temperature, (look_up, warmed))


def outside_diameter_mm(wire: Conductor, insulation: str | None = None) -> Result:
    """Outside diameter over the insulation. The cable's own figure, where known, outranks it.

    Args:
        wire: The conductor.
        insulation: One of `INSULATIONS`; None takes the conductor's own.

    Returns:
        Diameter. [mm]

    Raises:
        SizingError: unknown insulation.

    Source: ISO 6722-1 for vehicle cable, SAE AS22759 for stranded AWG wire in a fluoropolymer,
    otherwise bare diameter and usual wall; all from memory.
    """
    skin = choice(insulation or wire.insulation, "insulation", INSULATIONS)
    wall_kind = table.WALL_OF_INSULATION[skin]
    if wire.kind == STRANDED_AWG and wall_kind == "fluoropolymer":
        finished_mm = table.AS22759_OUTSIDE_MM.get(wire.awg or 0)
        if finished_mm is not None:
            return Result(finished_mm, (_finished_diameter(wire, finished_mm),))
    if wire.kind == VEHICLE and wall_kind != "fluoropolymer":
        thin_mm, thick_mm = table.ISO6722_OUTSIDE_MM[wire.csa_mm2]
        printed_mm = thin_mm if wall_kind == "thin" else thick_mm
        if printed_mm is not None:
            return Result(printed_mm, (_printed_diameter(wire, wall_kind, printed_mm),))
    return _built_up_diameter(wire, wall_kind)


def bare_diameter_mm(wire: Conductor) -> Result:
    """Diameter of the conductor without its insulation.

    Args:
        wire: The conductor.

    Returns:
        Diameter. [mm]

    Source: IEC 60228 annex for class 5, from memory; otherwise the section and the share of the
    circle that is copper.
    """
    reason = _bare_diameter(wire)
    return Result(reason.value, (reason,))


def _metric_table(kind: str) -> dict[float, tuple[float, float]]:
    return table.CLASS_5_MOHM_PER_M if kind == CLASS_5 else table.ISO6722_MOHM_PER_M


def _metric_size(kind: str, csa_mm2: float | None) -> float:
    if csa_mm2 is None:
        raise SizingError("csa_mm2", "Give the section in mm².")
    wanted = number(csa_mm2, "csa_mm2", above_low=True, unit="mm²")
    if wanted not in _metric_table(kind):
        listed = ", ".join(f"{size:g}" for size in sorted(_metric_table(kind)))
        raise SizingError("csa_mm2", f"The table for this cable holds {listed} mm².")
    return wanted


def _gauge(kind: str, awg: int | None) -> tuple[int, float]:
    if awg is None:
        raise SizingError("awg", "Give the AWG number.")
    area_mm2 = awg_to_mm2(awg)
    gauges = table.AC4313_STRANDED if kind == STRANDED_AWG else table.AWG_SOLID_OHM_PER_KFT
    if awg not in gauges:
        listed = ", ".join(awg_label(size) for size in sorted(gauges, reverse=True))
        raise SizingError("awg", f"The table for this wire holds AWG {listed}.")
    if kind == STRANDED_AWG:
        area_mm2 = table.AC4313_STRANDED[awg][1] * CIRCULAR_MIL_MM2
    return awg, area_mm2


def _r20_mohm_per_m(wire: Conductor) -> tuple[float, Source]:
    if wire.awg is not None:
        if wire.kind == STRANDED_AWG:
            return table.AC4313_STRANDED[wire.awg][0] / FOOT_M, table.AC4313
        computed = wire.awg in table.AWG_SOLID_COMPUTED_GAUGES
        source = table.AWG_SOLID_COMPUTED if computed else table.AWG_SOLID
        return table.AWG_SOLID_OHM_PER_KFT[wire.awg] / FOOT_M, source
    plain, tinned = _metric_table(wire.kind)[wire.csa_mm2]
    r20 = plain if wire.finish == "plain" else tinned
    if wire.kind == VEHICLE:
        return r20, table.ISO6722
    remembered = (wire.csa_mm2, wire.finish) in table.CLASS_5_REMEMBERED
    return r20, table.IEC60228_REMEMBERED if remembered else table.IEC60228


def _printed_diameter(wire: Conductor, wall_kind: str, printed_mm: float) -> Reason:
    wall = "thin-wall" if wall_kind == "thin" else "thick-wall"
    return Reason(
        text=f"A {wire.label} {wall} vehicle cable is at most {printed_mm:g} mm outside.",
        name="outside_diameter_mm",
        value=printed_mm,
        unit="mm",
        source=table.ISO6722_OUTSIDE.text,
        inputs={"csa_mm2": wire.csa_mm2},
        confirmed=table.ISO6722_OUTSIDE.confirmed,
    )


def _bare_diameter(wire: Conductor) -> Reason:
    if wire.kind == CLASS_5:
        bare_mm = table.CLASS_5_BARE_MM[wire.csa_mm2]
        return Reason(
            text=f"A {wire.label} class 5 conductor is at most {bare_mm:g} mm across.",
            name="bare_mm",
            value=bare_mm,
            unit="mm",
            source=table.CLASS_5_BARE.text,
            inputs={"csa_mm2": wire.csa_mm2},
            confirmed=table.CLASS_5_BARE.confirmed,
        )
    fill = 1.0
    if wire.kind != SOLID_AWG:
        rope = wire.csa_mm2 > table.ROPE_LAY_FROM_MM2
        fill = table.ROPE_LAY_FILL if rope else table.CONCENTRIC_FILL
    return Reason(
        text="Bare diameter from the section and the share of the circle that is copper.",
        name="bare_mm",
        value=math.sqrt(4 * wire.csa_mm2 / (math.pi * fill)),
        unit="mm",
        formula="sqrt(4 * csa_mm2 / (pi * fill))",
        inputs={"csa_mm2": wire.csa_mm2, "fill": fill},
        source="circle geometry; the share is common practice",
    )


def _finished_diameter(wire: Conductor, finished_mm: float) -> Reason:
    return Reason(
        text=f"Finished {wire.label} wire is about {finished_mm:g} mm outside.",
        name="outside_diameter_mm",
        value=finished_mm,
        unit="mm",
        source=table.AS22759_OUTSIDE.text,
        inputs={} if wire.awg is None else {"awg": wire.awg},
        confirmed=table.AS22759_OUTSIDE.confirmed,
    )


def _built_up_diameter(wire: Conductor, wall_kind: str) -> Result:
    bare = _bare_diameter(wire)
    wall_mm = next(wall for up_to, wall in table.WALLS_MM[wall_kind] if wire.csa_mm2 <= up_to)
    outside = Reason(
        text="The bare conductor with a wall of insulation on either side.",
        name="outside_diameter_mm",
        value=bare.value + 2 * wall_mm,
        unit="mm",
        formula="bare_mm + 2 * wall_mm",
        inputs={"bare_mm": bare.value, "wall_mm": wall_mm},
        source=table.WALL_SOURCES[wall_kind].text,
        confirmed=table.WALL_SOURCES[wall_kind].confirmed,
    )
    return Result(outside.value, (bare, outside))
