"""Capacity against 33 CFR 183.425, ISO 10133, AC 43.13-1B and the vehicle-cable lists."""

import math

import pytest

from tests.published.published import gauge, rows
from webapp.sizing.bundle_factor import bundle_factor
from webapp.sizing.capacity import capacity, minimum_section
from webapp.sizing.conductors import awg_label, conductor

CFR_ROWS = rows("small_craft_ampacity", location="outside engine space, 30 C")
ENGINE_ROWS = rows("small_craft_ampacity", location="engine space, 50 C (factor 0.85)")
ISO_ROWS = rows("small_craft_ampacity", location="single conductor, 30 C")
POINTS = rows("ampacity_points")


@pytest.mark.parametrize("row", CFR_ROWS)
def test_33_cfr_table_5(row: dict[str, str]) -> None:
    found = capacity(
        conductor("awg-solid", awg=gauge(row["awg"])),
        standard="small-craft-33cfr183",
        limit_c=float(row["insulation_temp_c"]),
        ambient_c=30,
    )
    assert found.current_a == float(row["i_max_a"])
    assert found.confirmed


@pytest.mark.parametrize("row", ENGINE_ROWS)
def test_33_cfr_engine_space_column(row: dict[str, str]) -> None:
    """Printed as whole amperes, some rounded down."""
    found = capacity(
        conductor("awg-solid", awg=gauge(row["awg"])),
        standard="small-craft-33cfr183",
        limit_c=float(row["insulation_temp_c"]),
        ambient_c=30,
        engine_space=True,
    )
    assert found.current_a == pytest.approx(float(row["i_max_a"]), abs=0.76)


@pytest.mark.parametrize(
    "row", [row for row in rows("small_craft_rules") if row["quantity"].startswith("engine-space")]
)
def test_ambient_rule_gives_the_printed_engine_space_factors(row: dict[str, str]) -> None:
    limit_c = float(row["condition"].removeprefix("insulation ").removesuffix(" C"))
    wire = conductor("awg-solid", awg=10)
    by_rule = capacity(wire, standard="small-craft-33cfr183", limit_c=limit_c, ambient_c=50)
    if limit_c < 200:  # the note does not reduce 200 °C insulation at all; the rule does
        assert by_rule.ambient_factor == pytest.approx(float(row["value"]), abs=0.0065)
    assert by_rule.ambient_factor <= float(row["value"]) + 0.0065
    printed = capacity(
        wire, standard="small-craft-33cfr183", limit_c=limit_c, ambient_c=50, engine_space=True
    )
    assert printed.ambient_factor <= float(row["value"])


@pytest.mark.parametrize("row", ISO_ROWS)
def test_iso_10133_annex_a(row: dict[str, str]) -> None:
    wire = (
        conductor("iso6722", csa_mm2=float(row["csa_mm2"]))
        if float(row["csa_mm2"]) < 120
        else conductor("iec60228-class5", csa_mm2=float(row["csa_mm2"]))
    )
    limit_c = float(row["insulation_temp_c"].split(" ")[0])
    found = capacity(wire, standard="small-craft-iso10133", limit_c=limit_c, ambient_c=30)
    assert found.current_a == float(row["i_max_a"])
    assert found.confirmed == (row["how"] == "read")


@pytest.mark.parametrize("row", rows("ac4313_table11_9"))
@pytest.mark.parametrize("limit_c", [105, 150, 200])
def test_ac4313_table_11_9(row: dict[str, str], limit_c: int) -> None:
    """The table's own harness: 33 wires to AWG 10, nine from AWG 8, 20 % loaded, 70 °C."""
    awg = gauge(row["awg"])
    found = capacity(
        conductor("awg-stranded-tinned", awg=awg),
        standard="harness-ac4313",
        limit_c=limit_c,
        ambient_c=70,
        bundle_wires=9,
        bundle_loaded_percent=20,
    )
    assert found.current_a == float(row[f"i_{limit_c}c_a"])


# Where the list has a metric row of about the section, the code takes that and not the gauge.
AT_50_105 = [
    row
    for row in POINTS
    if row["source"].startswith("IEC based")
    or (row["source"].startswith("MIL-W-5088B;") and row["awg"] in ("22", "20", "6"))
]


@pytest.mark.parametrize("row", AT_50_105)
def test_currents_at_50_c_surroundings(row: dict[str, str]) -> None:
    if row["awg"]:
        wire = conductor("awg-solid", awg=int(row["awg"]))
    else:
        wire = conductor("iec60228-class5", csa_mm2=float(row["csa_mm2"]))
    found = capacity(wire, standard="vehicle-50c", limit_c=105, ambient_c=50)
    assert found.current_a == float(row["current_a"])


def test_large_vehicle_sizes_are_the_small_craft_currents_at_50_c() -> None:
    for row in ENGINE_ROWS:
        awg = gauge(row["awg"])
        if awg <= 4:
            wire = conductor("awg-solid", awg=awg)
            found = capacity(wire, standard="vehicle-50c", limit_c=105, ambient_c=50)
            assert found.current_a == float(row["i_max_a"]), awg_label(awg)


DIN_50 = [
    row
    for row in POINTS
    if row["source"].startswith("vehicle-cable current list")
    or (row["source"].startswith("DIN 72551") and row["ambient_c"] == "50")
]
DIN_30 = [r for r in POINTS if r["source"].startswith("DIN 72551") and r["ambient_c"] == "30"]


@pytest.mark.parametrize("row", DIN_50)
def test_vehicle_cable_list_at_50_c(row: dict[str, str]) -> None:
    wire = conductor("iso6722", csa_mm2=float(row["csa_mm2"]))
    found = capacity(wire, standard="vehicle-din72551", limit_c=70, ambient_c=50)
    assert found.current_a == float(row["current_a"])
    assert not found.confirmed, "the temperatures of the list are remembered"


@pytest.mark.parametrize("row", DIN_30)
def test_square_root_rule_links_the_two_columns_of_the_vehicle_list(row: dict[str, str]) -> None:
    """30 → 70 °C and 50 → 70 °C stand as the root of 40 to 20, to 2 %."""
    wire = conductor("iso6722", csa_mm2=float(row["csa_mm2"]))
    at_50 = capacity(wire, standard="vehicle-din72551", limit_c=70, ambient_c=50)
    assert at_50.current_a * math.sqrt(2) == pytest.approx(float(row["current_a"]), rel=0.02)
    assert at_50.current_a <= float(row["current_a"])


@pytest.mark.parametrize("row", rows("bundle_derating_points", how="read"))
def test_bundle_factor_against_the_published_curves(row: dict[str, str]) -> None:
    """The points were read off a figure to ±0.02."""
    factor = bundle_factor(int(row["wires"]), float(row["loading_pct"]))
    assert factor.value == pytest.approx(float(row["factor"]), abs=0.02)


@pytest.mark.parametrize("row", rows("bundle_derating_points", how="memory"))
def test_bundle_factor_beyond_the_read_points_credits_nothing(row: dict[str, str]) -> None:
    factor = bundle_factor(int(row["wires"]), float(row["loading_pct"]))
    assert factor.value <= float(row["factor"]) + 1e-9
    assert factor.value >= 0.85 * float(row["factor"])


def test_thinnest_sections() -> None:
    metric = rows(
        "small_craft_rules", quantity="min conductor, separate, longer than 200 mm", unit="mm2"
    )[0]
    american = rows("small_craft_rules", quantity="min conductor, separate", unit="AWG")[0]
    assert minimum_section("small-craft-iso10133").mm2 == float(metric["value"])
    assert minimum_section("small-craft-33cfr183").awg == int(american["value"])
