"""What is looked up or follows by a formula: here a difference would be a slip."""

from webapp.sizing.conductors import (
    CLASS_5,
    FOOT_M,
    SOLID_AWG,
    STRANDED_AWG,
    VEHICLE,
    Conductor,
    conductor,
    resistance_mohm_per_m,
)
from webapp.sizing.crimp import AS7928, IEC60352_2, UL486A, pull_force_n
from webapp.sizing.damage import adiabatic_k
from webapp.sizing.heat.compare import Comparison
from webapp.sizing.voltage_drop import voltage_drop
from webapp.stages.method.published import Row, gauge, rows
from webapp.stages.method.subject import Held, Subject, held

MORE_RESISTANCE = "ours has more resistance, so it finds more drop and more heat"
IN_THE_APP = {"UL 486A": UL486A, "MIL-T-7928 / SAE AS7928": AS7928, "IEC 60352-2:2006": IEC60352_2}


def conductors() -> list[Subject]:
    return [_metric(), _stranded(), _solid(), _vehicle(), _at_temperature(), _drops()]


def joints() -> list[Subject]:
    return [_adiabatic(), _crimps()]


def _metric() -> Subject:
    return Subject(
        slug="resistance",
        title="Flexible conductors at 20 °C: IEC 60228",
        unit="mΩ/m",
        model="the table that wires of IEC 60228 class 5 are reckoned with",
        plus=MORE_RESISTANCE,
        within=0.1,
        rows=[
            _resistance(
                conductor(CLASS_5, csa_mm2=float(row["csa_mm2"]), finish=row["finish"]),
                row,
                float(row["r20_max_mohm_per_m"]),
            )
            for row in rows("resistance_iec60228", conductor_class="5")
        ],
        left_out="Class 2, the stiff stranding of fixed wiring: it is not offered here.",
    )


def _vehicle() -> Subject:
    return Subject(
        slug="resistance-vehicle",
        title="Vehicle cable at 20 °C: ISO 6722-1",
        unit="mΩ/m",
        model="the table that wires of ISO 6722-1 are reckoned with",
        plus=MORE_RESISTANCE,
        within=0.1,
        rows=[
            _resistance(
                conductor(VEHICLE, csa_mm2=float(row["csa_mm2"]), finish=finish),
                row,
                float(row[f"r20_max_{finish}_mohm_per_m"]),
            )
            for finish in ("plain", "tinned")
            for row in rows("resistance_iso6722")
        ],
    )


def _stranded() -> Subject:
    return Subject(
        slug="resistance-stranded",
        title="Stranded gauges at 20 °C: AC 43.13-1B Table 11-9",
        unit="mΩ/m",
        model="the table that stranded tinned gauges are reckoned with",
        plus=MORE_RESISTANCE,
        within=0.1,
        rows=[
            _resistance(
                conductor(STRANDED_AWG, awg=gauge(row["awg"])),
                row,
                float(row["r20_max_ohm_per_1000ft"]) / FOOT_M,
            )
            for row in rows("ac4313_table11_9")
        ],
    )


def _solid() -> Subject:
    return Subject(
        slug="resistance-solid",
        title="Solid gauges at 20 °C: ASTM B258 sizes",
        unit="mΩ/m",
        model="the table that solid gauges are reckoned with",
        plus=MORE_RESISTANCE,
        within=0.1,
        rows=[
            _resistance(
                conductor(SOLID_AWG, awg=gauge(row["awg"])), row, float(row["r20_mohm_per_m"])
            )
            for row in rows("awg_geometry")
            if row["awg"] != "formula"
        ],
    )


def _resistance(wire: Conductor, row: Row, published: float) -> Held:
    what = f"{wire.label}, {wire.finish}"
    return held(what, row, Comparison(published, resistance_mohm_per_m(wire).value))


def _at_temperature() -> Subject:
    wire = conductor(CLASS_5, csa_mm2=1.5)
    at_20 = resistance_mohm_per_m(wire).value
    found = []
    for row in rows("copper_temperature", quantity="kt_to_20C"):
        measured_c = float(row["condition"].removeprefix("measured at ").removesuffix(" C"))
        ratio = at_20 / resistance_mohm_per_m(wire, measured_c).value
        found.append(held(f"{measured_c:g} °C", row, Comparison(float(row["value"]), ratio)))
    return Subject(
        slug="resistance-temperature",
        title="Resistance against temperature: IEC 60228",
        unit="",
        model="254.5 / (234.5 + t)",
        plus="ours has less resistance at that temperature",
        within=0.5,
        rows=found,
        basis="The standard's annex divides 250 by 230 + t, a rounder figure for the same copper.",
    )


def _drops() -> Subject:
    found = []
    for row in rows("ac4313_voltage_drop_examples"):
        drop = voltage_drop(
            conductor(STRANDED_AWG, awg=int(row["awg"])),
            current_a=float(row["current_a"]),
            length_m=float(row["length_ft"]) * FOOT_M,
            system_voltage_v=28,
        )
        published = float(row["drop_printed_v"] or row["drop_exact_v"])
        what = f"{row['example']}: AWG {row['awg']}, {row['length_ft']} ft, {row['current_a']} A"
        found.append(held(what, row, Comparison(published, drop.drop_v)))
    return Subject(
        slug="drop",
        title="Voltage drop, worked examples: AC 43.13-1B",
        unit="V",
        model="current × resistance at 20 °C, one way",
        plus="ours loses more",
        within=1,
        rows=found,
        basis="Two printed drops are slips of the circular, as their notes say: length × current × "
        "its own resistance gives ours.",
    )


def _adiabatic() -> Subject:
    return Subject(
        slug="adiabatic",
        title="k of copper in a short circuit: BS 7671, IEC 60364",
        unit="A√s/mm²",
        model="the formula of IEC 60364-5-54 annex A, all heat kept",
        plus="ours lets a short circuit last longer",
        within=0.5,
        rows=[
            held(
                f"{row['insulation']}, {row['t_initial_c']} to {row['t_final_c']} °C",
                row,
                Comparison(
                    float(row["k_a_sqrt_s_per_mm2"]),
                    adiabatic_k(float(row["t_initial_c"]), float(row["t_final_c"])).value,
                ),
                row["use"],
            )
            for row in rows("adiabatic_k", conductor="copper")
            if row["insulation"] != "formula constants"
        ],
        basis="Printed to the whole number.",
        left_out="Aluminium, which is not offered here, and the formula's own constants.",
    )


def _crimps() -> Subject:
    return Subject(
        slug="crimps",
        title="Least pull-out force of crimps",
        unit="N",
        model="the tables that a pull test is judged by",
        plus="ours asks for more force",
        within=0.5,
        rows=[_pull(row) for row in rows("crimp_pull_forces") if row["standard"] in IN_THE_APP],
        basis="Where the sheet's newtons are pounds times 4.45, ours are pounds times 4.4482.",
        left_out="Machined contacts and terminal blocks: their forces are for comparison only.",
    )


def _pull(row: Row) -> Held:
    standard = IN_THE_APP[row["standard"]]
    if standard == IEC60352_2:
        size = f"{float(row['csa_mm2']):g} mm²"
        force = pull_force_n(standard, csa_mm2=float(row["csa_mm2"]))
    else:
        size = f"AWG {row['awg']}"
        force = pull_force_n(standard, awg=gauge(row["awg"]))
    return held(f"{standard}, {size}", row, Comparison(float(row["force_min_n"]), force.value))
