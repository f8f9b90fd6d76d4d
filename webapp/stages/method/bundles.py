"""Bundles, altitude and whole harnesses: published curves against the heat balance."""

from collections.abc import Iterable
from dataclasses import dataclass

from webapp.sizing.conductors import STRANDED_AWG, conductor
from webapp.sizing.heat.compare import (
    CURVE_AMBIENT_C,
    CURVE_LIMIT_C,
    altitude_factor_against,
    bundle_factor_against,
    current_against,
    share_within,
    spread,
)
from webapp.sizing.heat.fit import GAUGES
from webapp.stages.method.published import Row, gauge, rows
from webapp.stages.method.subject import Held, Subject, held

CURVE_AWG = 16
CURVE_WITHIN = 0.04
CURVE_WIRES = (*range(1, 21), 25, 30, 35)
MODEL = (
    f"tinned stranded wire in ETFE, from {CURVE_AMBIENT_C:g} to {CURVE_LIMIT_C:g} °C; the bundle "
    "as one warm cylinder, whose conductivity is the one constant fitted to these curves"
)
KEEPS_MORE = "the heat balance leaves a wire more current than the curve"
# The harness of AC 43.13-1B Table 11-9, note 1.
TABLE_11_9_WIRES, TABLE_11_9_THICK_WIRES = 33, 9
THICK_AWG = 8
HIGH_M = 18_288.0


@dataclass(frozen=True)
class Curve:
    """Factors by the number of wires, one share of them loaded: ours for one gauge, and theirs."""

    loaded_percent: float
    computed: tuple[tuple[int, float], ...]
    published: tuple[tuple[int, float], ...]


def bundles() -> list[Subject]:
    return [_bundle_factors(), _altitude_factors(), _table_11_9(), _examples()]


def bundle_curves() -> list[Curve]:
    """The model's factors over the number of wires, for each loading that is published."""
    loadings = sorted({float(row["loading_pct"]) for row in rows("bundle_derating_points")})
    return [_curve(loaded) for loaded in loadings]


def _curve(loaded_percent: float) -> Curve:
    wire = conductor(STRANDED_AWG, awg=CURVE_AWG)
    computed = [
        bundle_factor_against(wire, 1, bundle_wires=n, bundle_loaded_percent=loaded_percent)
        for n in CURVE_WIRES
    ]
    published = [
        (int(row["wires"]), float(row["factor"]))
        for row in rows("bundle_derating_points")
        if float(row["loading_pct"]) == loaded_percent
    ]
    factors = (each.computed for each in computed)
    return Curve(loaded_percent, tuple(zip(CURVE_WIRES, factors, strict=True)), tuple(published))


def _bundle_factors() -> Subject:
    points = [row for row in rows("bundle_derating_points") if row["wires"] != "1"]
    each = [[_bundle_point(row, awg) for awg in GAUGES] for row in points]
    every = [one.values.difference for gauges in each for one in gauges]
    farthest = [max(gauges, key=lambda one: abs(one.values.difference)) for gauges in each]
    return Subject(
        slug="bundle",
        title="Bundle factor: MIL-W-5088L curves",
        unit="",
        model=f"{MODEL}; of AWG {GAUGES[0]} to {GAUGES[-1]} the gauge that lies farthest off",
        plus=KEEPS_MORE,
        within=CURVE_WITHIN,
        by_percent=False,
        rows=farthest,
        also=_over_all(every),
        basis="With few of the wires loaded ours keeps less than the curves, with all of many "
        "loaded more: one cylinder spreads its heat evenly. The curves name no temperature and no "
        "gauge, and were read off a figure to 0.02.",
        left_out="Points of one wire alone, which are 1 by definition.",
    )


def _over_all(differences: list[float]) -> str:
    found = spread(differences)
    worst = f"{found.worst:+.3f}".replace("-", "−")
    share = 100 * share_within(differences, CURVE_WITHIN)
    return (
        f"Over all {len(GAUGES)} gauges ({len(differences)} comparisons): "
        f"root mean square {found.rms:.3f}, worst {worst}, "
        f"{share:.0f}\u00a0% within {CURVE_WITHIN:g}."
    )


def _bundle_point(row: Row, awg: int) -> Held:
    wires, loaded = int(row["wires"]), float(row["loading_pct"])
    wire = conductor(STRANDED_AWG, awg=awg)
    values = bundle_factor_against(
        wire, float(row["factor"]), bundle_wires=wires, bundle_loaded_percent=loaded
    )
    return held(f"{wires} wires, {loaded:g} % loaded, AWG {awg}", row, values)


def _altitude_factors() -> Subject:
    return Subject(
        slug="altitude",
        title="Altitude factor: AC 43.13-1B",
        unit="",
        model=f"one tinned stranded wire in ETFE, from {CURVE_AMBIENT_C:g} to "
        f"{CURVE_LIMIT_C:g} °C; air of the standard atmosphere",
        plus=KEEPS_MORE,
        within=0.06,
        by_percent=False,
        rows=[
            _altitude_point(row, awg)
            for row in rows("altitude_derating_points")
            if row["altitude_ft"] != "0"
            for awg in GAUGES
        ],
        basis="One curve serves every gauge. Thick wire gives off a larger share by radiation, "
        "which thin air does not lessen, so ours keeps more of its current.",
        left_out="The point at sea level, which is 1 by definition.",
    )


def _altitude_point(row: Row, awg: int) -> Held:
    altitude_m = float(row["altitude_m"])
    values = altitude_factor_against(
        conductor(STRANDED_AWG, awg=awg), float(row["factor"]), altitude_m=altitude_m
    )
    return held(f"{altitude_m:,.0f} m, AWG {awg}", row, values)


def _table_11_9() -> Subject:
    return Subject(
        slug="harness-table",
        title="Wires in an aircraft harness: AC 43.13-1B Table 11-9",
        unit="A",
        model="tinned stranded wire in ETFE, 70 °C, 18,288 m, 20 % loaded, 33 wires to AWG 10 and "
        "nine from AWG 8",
        plus="the heat balance allows more than the table",
        within=16,
        rows=list(_table_11_9_rows()),
        basis="Printed as whole amperes, which is coarse for thin wire.",
    )


def _table_11_9_rows() -> Iterable[Held]:
    for row in rows("ac4313_table11_9"):
        awg = gauge(row["awg"])
        wire = conductor(STRANDED_AWG, awg=awg)
        for limit_c in (105, 150, 200):
            thick = awg <= THICK_AWG
            values = current_against(
                wire,
                float(row[f"i_{limit_c}c_a"]),
                ambient_c=70,
                limit_c=limit_c,
                altitude_m=HIGH_M,
                bundle_wires=TABLE_11_9_THICK_WIRES if thick else TABLE_11_9_WIRES,
                bundle_loaded_percent=20,
            )
            yield held(f"{wire.label} to {limit_c} °C", row | {"note": ""}, values)


def _examples() -> Subject:
    """The worked examples that carry all factors through to a current."""
    rating = {row["quantity"]: row for row in rows("ac4313_harness_examples")}
    listed = [
        (14, rating["Imax"], 50.0, 6096.0, 8, 60.0),
        *((awg, rating[f"AWG {awg} rating"], 60.0, HIGH_M, 35, 20.0) for awg in (22, 20)),
    ]
    found = []
    for awg, row, ambient_c, altitude_m, wires, loaded in listed:
        values = current_against(
            conductor(STRANDED_AWG, awg=awg),
            float(row["expected"]),
            ambient_c=ambient_c,
            limit_c=200,
            altitude_m=altitude_m,
            bundle_wires=wires,
            bundle_loaded_percent=loaded,
        )
        what = f"AWG {awg}, {ambient_c:g} to 200 °C, {altitude_m:,.0f} m, {wires} wires"
        found.append(held(f"{what}, {loaded:g} % loaded", row, values))
    return Subject(
        slug="harness-examples",
        title="Worked harness examples: AC 43.13-1B",
        unit="A",
        model="tinned stranded wire in ETFE, at the example's own conditions",
        plus="the heat balance allows more than the example",
        within=15,
        rows=found,
        basis="Each example multiplies figures read off three charts.",
    )
