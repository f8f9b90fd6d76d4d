"""Crimp forces, heat-shrink, ring holes, bundles of circles and isolation."""

import pytest

from tests.published.published import gauge, rows
from webapp.sizing.acceptance import isolation_limit
from webapp.sizing.crimp import pull_force_n
from webapp.sizing.heat_shrink import heat_shrink_cut_mm, standard_heat_shrink
from webapp.sizing.packing import pack
from webapp.sizing.terminations import ring_hole_mm

LBF_N = 4.4482216  # NIST SP 811, from memory


@pytest.mark.parametrize("row", rows("crimp_pull_forces", standard="UL 486A"))
def test_ul_486a_forces(row: dict[str, str]) -> None:
    force = pull_force_n("UL 486A", awg=gauge(row["awg"]))
    assert force.value == pytest.approx(float(row["force_min_lbf"]) * LBF_N, rel=1e-6)
    assert force.value == pytest.approx(float(row["force_min_n"]), rel=5e-3)  # sheet takes 4.45
    assert force.confirmed == (row["how"] == "read")


@pytest.mark.parametrize("row", rows("crimp_pull_forces", standard="MIL-T-7928 / SAE AS7928"))
def test_as7928_forces(row: dict[str, str]) -> None:
    force = pull_force_n("AS7928", awg=gauge(row["awg"]))
    assert force.value == pytest.approx(float(row["force_min_lbf"]) * LBF_N, rel=1e-6)
    assert force.confirmed == (row["how"] == "read")


@pytest.mark.parametrize("row", rows("crimp_pull_forces", standard="IEC 60352-2:2006"))
def test_iec_60352_2_forces(row: dict[str, str]) -> None:
    force = pull_force_n("IEC 60352-2", csa_mm2=float(row["csa_mm2"]))
    assert force.value == float(row["force_min_n"])
    assert force.confirmed == (row["how"] == "read")


@pytest.mark.parametrize("row", rows("heatshrink_23053_5_class1"), ids=lambda r: r["nominal_in"])
def test_heat_shrink_sizes(row: dict[str, str]) -> None:
    sizes = {each.uid: each for each in standard_heat_shrink()}
    size = sizes[f"{row['nominal_in']} in"]
    assert size.expanded_mm == pytest.approx(float(row["id_expanded_min_mm"]), abs=0.006)
    assert size.recovered_mm == pytest.approx(float(row["id_recovered_max_mm"]), abs=0.006)
    assert size.confirmed == (row["how"] == "read")


def test_heat_shrink_gets_shorter_by_the_published_share() -> None:
    row = rows("heatshrink_rules", quantity="longitudinal change")[0]
    most_percent = float(row["value"].split(" to ")[1])
    cut_mm = heat_shrink_cut_mm(1000).value
    assert cut_mm * (1 + most_percent / 100) >= 1000
    assert (cut_mm - 1) * (1 + most_percent / 100) < 1000


@pytest.mark.parametrize("row", rows("terminals", item="ring terminal hole"))
def test_ring_holes(row: dict[str, str]) -> None:
    assert ring_hole_mm(row["condition"].removeprefix("stud ")).value == float(row["value"])


@pytest.mark.parametrize("row", rows("circles_in_circle"), ids=lambda row: row["n"])
def test_equal_circles(row: dict[str, str]) -> None:
    packing = pack([1.0] * int(row["n"]))
    best_known = float(row["ratio_6dp_recomputed"])
    assert best_known * (1 - 1e-6) <= packing.diameter_mm <= best_known * 1.0025


def test_count_missing_from_the_published_circles_lies_between_its_neighbours() -> None:
    known = {int(row["n"]): float(row["ratio_6dp_recomputed"]) for row in rows("circles_in_circle")}
    assert 31 not in known
    assert known[30] < pack([1.0] * 31).diameter_mm < known[32]


def test_isolation_limit_of_assembled_wiring() -> None:
    least = rows("workmanship_tests_nasa_mil", topic="insulation resistance, min", how="read")[0]
    volts = rows(
        "workmanship_tests_nasa_mil", topic="insulation resistance test voltage", unit="V dc"
    )
    limit = isolation_limit("assembled-wiring")
    assert limit.least_megohm == float(least["value"])
    lowest, highest = (float(v) for v in volts[0]["value"].split(" to "))
    assert lowest <= limit.test_voltage_v <= highest


def test_workshop_isolation_voltage_is_a_published_condition() -> None:
    row = rows("workmanship_tests_nasa_mil", condition="condition A, +/-10 %")[0]
    assert isolation_limit("workshop").test_voltage_v == float(row["value"])
