"""Conductors against IEC 60228, ISO 6722-1, AC 43.13-1B and ASTM B258."""

import math

import pytest

from tests.published.published import gauge, rows
from webapp.sizing.conductors import (
    awg_to_mm2,
    conductor,
    nearest_awg,
    outside_diameter_mm,
    resistance_mohm_per_m,
)
from webapp.sizing.voltage_drop import voltage_drop

FOOT_M = 0.3048


@pytest.mark.parametrize("row", rows("resistance_iec60228", conductor_class="5"))
def test_class_5_resistance_at_20_c(row: dict[str, str]) -> None:
    wire = conductor("iec60228-class5", csa_mm2=float(row["csa_mm2"]), finish=row["finish"])
    result = resistance_mohm_per_m(wire)
    assert result.value == pytest.approx(float(row["r20_max_mohm_per_m"]), rel=1e-9)
    assert result.confirmed


def test_class_5_size_not_seen_in_print_is_unconfirmed() -> None:
    printed = {row["csa_mm2"] for row in rows("resistance_iec60228", finish="tinned")}
    assert "4" not in printed
    wire = conductor("iec60228-class5", csa_mm2=4, finish="tinned")
    assert not resistance_mohm_per_m(wire).confirmed


@pytest.mark.parametrize("row", rows("resistance_iso6722"))
@pytest.mark.parametrize("finish", ["plain", "tinned"])
def test_vehicle_cable_resistance_at_20_c(row: dict[str, str], finish: str) -> None:
    wire = conductor("iso6722", csa_mm2=float(row["csa_mm2"]), finish=finish)
    result = resistance_mohm_per_m(wire)
    assert result.value == pytest.approx(float(row[f"r20_max_{finish}_mohm_per_m"]), rel=1e-9)
    assert result.confirmed == (row["how"] == "read")


@pytest.mark.parametrize("row", rows("resistance_iso6722"))
@pytest.mark.parametrize(("wall", "insulation"), [("thin", "pvc-thin"), ("thick", "pvc")])
def test_vehicle_cable_diameter(row: dict[str, str], wall: str, insulation: str) -> None:
    printed = row[f"od_max_{wall}_wall_mm"]
    wire = conductor("iso6722", csa_mm2=float(row["csa_mm2"]), insulation=insulation)
    result = outside_diameter_mm(wire)
    if printed:
        assert result.value == pytest.approx(float(printed))
    else:
        assert len(result.reasons) == 2, "built up from bare diameter and wall"
    assert not result.confirmed


@pytest.mark.parametrize("row", rows("ac4313_table11_9"))
def test_stranded_awg_against_table_11_9(row: dict[str, str]) -> None:
    wire = conductor("awg-stranded-tinned", awg=gauge(row["awg"]))
    printed = float(row["r20_max_ohm_per_1000ft"])
    assert resistance_mohm_per_m(wire).value * FOOT_M == pytest.approx(printed, abs=0.005)
    assert wire.csa_mm2 == pytest.approx(float(row["area_mm2"]), rel=1e-3)


@pytest.mark.parametrize(
    "row",
    [row for row in rows("awg_geometry") if row["awg"] != "formula"],
    ids=lambda row: row["awg"],
)
def test_solid_awg_against_printed_table(row: dict[str, str]) -> None:
    awg = gauge(row["awg"])
    wire = conductor("awg-solid", awg=awg)
    assert wire.csa_mm2 == pytest.approx(float(row["area_mm2"]), rel=1e-3)
    assert resistance_mohm_per_m(wire).value == pytest.approx(
        float(row["r20_mohm_per_m"]), rel=1e-3
    )
    diameter_mm = math.sqrt(4 * awg_to_mm2(awg) / math.pi)
    assert diameter_mm == pytest.approx(float(row["diameter_mm"]), rel=1e-3)
    assert nearest_awg(float(row["area_mm2"])) == awg


def test_gauge_missing_from_the_printed_table_lies_between_its_neighbours() -> None:
    thicker, missing, thinner = (
        resistance_mohm_per_m(conductor("awg-solid", awg=awg)).value for awg in (12, 13, 14)
    )
    assert missing == pytest.approx(math.sqrt(thicker * thinner), rel=2e-3)


@pytest.mark.parametrize(
    "row", rows("copper_temperature", quantity="kt_to_20C"), ids=lambda row: row["condition"]
)
def test_temperature_correction_against_iec60228_factors(row: dict[str, str]) -> None:
    """The annex uses 250 / (230 + t), which is up to 0.5 % off 254.5 / (234.5 + t)."""
    measured_c = float(row["condition"].removeprefix("measured at ").removesuffix(" C"))
    wire = conductor("iec60228-class5", csa_mm2=1.5)
    ratio = resistance_mohm_per_m(wire).value / resistance_mohm_per_m(wire, measured_c).value
    assert ratio == pytest.approx(float(row["value"]), abs=0.0055)


def test_temperature_correction_uses_the_printed_constant() -> None:
    printed = rows("copper_temperature", quantity="rho_at_t_formula_copper")[0]
    offset_c = float(printed["value"])
    wire = conductor("awg-stranded-tinned", awg=16)
    ratio = resistance_mohm_per_m(wire, 105).value / resistance_mohm_per_m(wire).value
    assert ratio == pytest.approx((offset_c + 105) / (offset_c + 20), rel=1e-12)


@pytest.mark.parametrize(
    "row", rows("ac4313_voltage_drop_examples"), ids=lambda row: row["example"]
)
def test_voltage_drop_against_worked_examples(row: dict[str, str]) -> None:
    """Against the exact product: two of the circular's printed drops are slips, see the notes."""
    drop = voltage_drop(
        conductor("awg-stranded-tinned", awg=int(row["awg"])),
        current_a=float(row["current_a"]),
        length_m=float(row["length_ft"]) * FOOT_M,
        system_voltage_v=28,
    )
    assert drop.drop_v == pytest.approx(float(row["drop_exact_v"]), abs=5e-5)
    if row["drop_printed_v"] and not row["note"]:
        assert drop.drop_v == pytest.approx(float(row["drop_printed_v"]), abs=0.005)
    assert drop.drop_v <= float(row["allowed_drop_v"]) * 1.01
