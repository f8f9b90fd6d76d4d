"""Currents of single wires: published lists against the heat balance."""

from dataclasses import dataclass

from webapp.sizing.conductors import (
    CLASS_5,
    SOLID_AWG,
    STRANDED_AWG,
    VEHICLE,
    Conductor,
    conductor,
    sizes,
    sizes_mm2,
)
from webapp.sizing.heat.compare import current_against
from webapp.sizing.heat.place import HIGHEST_M
from webapp.sizing.heat.temperature import conductor_temperature
from webapp.stages.method.published import Row, gauge, rows
from webapp.stages.method.subject import Held, Subject, held

ALLOWS_MORE = "the heat balance allows more than the list"
UNSTATED_AMBIENT_C = 30.0
VACUUM = (
    "A vacuum takes heat by radiation alone, and thin air still convects; the list also holds back "
    "a reserve. Do not use the model in a vacuum."
)
# The rule beside the list, factor (29 - N) / 28, ends at 15 wires.
VACUUM_BUNDLE_WIRES = 15


@dataclass(frozen=True)
class Reached:
    """A current published without temperatures, and how hot the model says that it makes it."""

    what: str
    current_a: float
    reached_c: float
    source: str
    read: bool


def single_wires() -> list[Subject]:
    """The lists that the surface's constants were fitted to."""
    return [_chart(), _vehicle()]


def other_lists() -> list[Subject]:
    """Lists that nothing was fitted to, most with a margin or surroundings of their own."""
    return [_vehicle_at_50(), _lamp_cable(), _at_105(), *_vacuum()]


def unstated() -> list[Reached]:
    """The list that names no temperature."""
    found = []
    for row in rows("ampacity_points"):
        if row["installation"].startswith("single wire, basis not stated"):
            wire = conductor(SOLID_AWG, awg=gauge(row["awg"]))
            amps = float(row["current_a"])
            warm = conductor_temperature(wire, current_a=amps, ambient_c=UNSTATED_AMBIENT_C)
            found.append(
                Reached(wire.label, amps, warm.temperature_c, row["source"], row["how"] == "read")
            )
    return found


def _chart() -> Subject:
    return Subject(
        slug="free-air",
        title="Single wires in free air: AC 43.13-1B figure 11-4a",
        unit="A",
        model="tinned stranded wire in ETFE, alone in still air at sea level",
        plus=ALLOWS_MORE,
        within=5,
        rows=[_as_stated(row) for row in _installed("single wire in free air")],
        basis="The values are read off a logarithmic chart, to two or three figures.",
    )


def _vehicle() -> Subject:
    return Subject(
        slug="vehicle-30",
        title="Vehicle cable from 30 to 70 °C: DIN 72551",
        unit="A",
        model="thin-wall PVC vehicle cable alone in still air",
        plus=ALLOWS_MORE,
        within=15,
        rows=[_as_stated(row) for row in _vehicle_rows("30")],
        basis="The list gives thin cable more and thick cable less than free air does: it grows as "
        "the section to the power 0.61, ours as to 0.65. How the cable of the list lies is not "
        "stated.",
    )


def _vehicle_at_50() -> Subject:
    printed = _installed("vehicle cable, continuous, no temperature given")
    listed = [_at(row, 50, 70, "temperatures from memory") for row in printed]
    return Subject(
        slug="vehicle-50",
        title="Vehicle cable from 50 to 70 °C: DIN 72551",
        unit="A",
        model="thin-wall PVC vehicle cable alone in still air",
        plus=ALLOWS_MORE,
        within=15,
        rows=[*listed, *(_as_stated(row) for row in _vehicle_rows("50"))],
        basis="It leans as the 30 °C column does, of which it is the root of a half, to 2 %: the "
        "list takes heat as in proportion to the rise; still air takes less than in proportion of "
        "a small one.",
    )


def _lamp_cable() -> Subject:
    return Subject(
        slug="lamp-cable",
        title="PVC lamp and trailer cable to 82 °C: SAE J560",
        unit="A",
        model="stranded wire of the gauge, alone in still air",
        plus=ALLOWS_MORE,
        within=15,
        rows=[_as_stated(row) for row in _installed("PVC lamp and trailer cable")],
        basis="Ours allows less in every row: the list lets the copper pass 82 °C in free air, or "
        "reckons with loads that do not last. It comes from a maker's page, not from the standard "
        "itself.",
    )


def _at_105() -> Subject:
    return Subject(
        slug="single-105",
        title="Single wires from 50 to 105 °C: MIL-W-5088B and metric",
        unit="A",
        model="stranded wire of the gauge, or vehicle cable of the section, alone in still air",
        plus=ALLOWS_MORE,
        within=15,
        rows=[_as_stated(row) for row in rows("ampacity_points", installation="single")],
        basis="The metric list is as of wires side by side in an enclosure: ours allows as much "
        "in a small bundle. The gauges from AWG 14 agree; AWG 22 to 18 are held down in the list, "
        "likely for strength.",
    )


def _vacuum() -> list[Subject]:
    alone = [_in_thin_air(row, 1) for row in _installed("single wire, vacuum")]
    bundled = [_in_thin_air(row, VACUUM_BUNDLE_WIRES) for row in _installed("in bundle, vacuum")]
    thin_air = f"wire in ETFE at {HIGHEST_M:,.0f} m, the thinnest air that the model knows"
    return [
        Subject(
            slug="vacuum",
            title="Single wires in a vacuum: EEE-INST-002",
            unit="A",
            model=thin_air,
            plus=ALLOWS_MORE,
            within=15,
            rows=alone,
            basis=VACUUM,
        ),
        Subject(
            slug="vacuum-bundle",
            title="Bundled wires in a vacuum: EEE-INST-002",
            unit="A",
            model=f"{thin_air}; {VACUUM_BUNDLE_WIRES} wires, all loaded, as the list does not say "
            "how many",
            plus=ALLOWS_MORE,
            within=15,
            rows=bundled,
            basis=VACUUM,
        ),
    ]


def _installed(begin: str) -> list[Row]:
    return [row for row in rows("ampacity_points") if row["installation"].startswith(begin)]


def _vehicle_rows(ambient_c: str) -> list[Row]:
    return rows("ampacity_points", installation="vehicle cable, continuous", ambient_c=ambient_c)


def _as_stated(row: Row) -> Held:
    return _at(row, float(row["ambient_c"]), float(row["conductor_c"]))


def _at(row: Row, ambient_c: float, limit_c: float, note: str = "") -> Held:
    wire = listed_wire(row)
    values = current_against(wire, float(row["current_a"]), ambient_c=ambient_c, limit_c=limit_c)
    return held(f"{wire.label}, {ambient_c:g} to {limit_c:g} °C", row, values, note)


def _in_thin_air(row: Row, bundle_wires: int) -> Held:
    wire = listed_wire(row)
    values = current_against(
        wire,
        float(row["current_a"]),
        ambient_c=float(row["ambient_c"] or 70),
        limit_c=float(row["conductor_c"] or 200),
        altitude_m=HIGHEST_M,
        bundle_wires=bundle_wires,
    )
    return held(f"{wire.label}, 70 to 200 °C", row, values)


def listed_wire(row: Row) -> Conductor:
    """The conductor that stands for the one of a list."""
    if row["awg"]:
        awg = gauge(row["awg"])
        stranded = awg in [each.awg for each in sizes(STRANDED_AWG)]
        return conductor(STRANDED_AWG if stranded else SOLID_AWG, awg=awg)
    csa_mm2 = float(row["csa_mm2"])
    metric = VEHICLE if csa_mm2 in sizes_mm2(VEHICLE) else CLASS_5
    return conductor(metric, csa_mm2=csa_mm2)
