"""Each call against a value from outside, its defaults, and its reasons."""

import math
from typing import Any

import pytest

from tests.pages.sizing_api.calls import DEFAULTS, GAUGE, GOOD
from tests.pages.sizing_api.conftest import Call
from tests.published.published import rows

FOOT_M = 0.3048
LBF_N = 4.4482216  # NIST SP 811, from memory


def answer(call: Call, name: str, **fields: Any) -> Any:
    given = call(name, **fields)
    assert given.status_code == 200, given.text
    return given.json()


@pytest.mark.parametrize("name", GOOD)
def test_every_answer_holds_reasons_of_five_parts(call: Call, name: str) -> None:
    reasons = answer(call, name, **GOOD[name])["reasons"]
    assert reasons
    for reason in reasons:
        assert set(reason) == {"text", "formula", "inputs", "source", "confirmed"}
        assert reason["text"]
        assert reason["source"]
        assert isinstance(reason["confirmed"], bool)


@pytest.mark.parametrize("name", DEFAULTS)
def test_what_is_left_out_is_the_default(call: Call, name: str) -> None:
    assert answer(call, name, **GOOD[name]) == answer(call, name, **GOOD[name], **DEFAULTS[name])


# AC 43.13-1B Chg 1 Table 11-9, and IEC 60228:2004 class 5 as copied beside the other figures.
@pytest.mark.parametrize("row", rows("ac4313_table11_9"), ids=lambda row: row["awg"])
def test_resistance_of_a_gauge(call: Call, row: dict[str, str]) -> None:
    gauge = 1 - int(row["awg"][0]) if "/" in row["awg"] else _gauge(row["awg"])
    got = answer(call, "resistance", conductor="awg-stranded-tinned", awg=gauge, length_m=100)
    printed = float(row["r20_max_ohm_per_1000ft"]) / FOOT_M / 1000 * 100
    assert got["resistance_ohm"] == pytest.approx(printed, rel=1e-6)


def _gauge(written: str) -> int:
    return 1 - len(written) if set(written) == {"0"} else int(written)


@pytest.mark.parametrize(
    "row",
    rows("resistance_iec60228", conductor_class="5", finish="tinned"),
    ids=lambda row: row["csa_mm2"],
)
def test_resistance_of_a_section_at_temperature(call: Call, row: dict[str, str]) -> None:
    got = answer(
        call,
        "resistance",
        conductor="iec60228-class5",
        finish="tinned",
        csa_mm2=float(row["csa_mm2"]),
        length_m=1,
        temperature_c=70,
    )
    # AC 43.13-1B Chg 1 par 11-66.
    expected = float(row["r20_max_mohm_per_m"]) * (234.5 + 70) / 254.5
    assert got["resistance_mohm_per_m"] == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize(
    "row", rows("ac4313_voltage_drop_examples")[:7], ids=lambda row: row["example"]
)
def test_voltage_drop_examples(call: Call, row: dict[str, str]) -> None:
    # AC 43.13-1B Chg 1 Tables 11-7 and 11-8 take the ohms per foot of Table 11-9, rounded.
    got = answer(
        call,
        "voltage-drop",
        conductor="awg-stranded-tinned",
        awg=int(row["awg"]),
        current_a=float(row["current_a"]),
        length_m=float(row["length_ft"]) * FOOT_M,
        system_voltage_v=28,
    )
    assert got["drop_v"] == pytest.approx(float(row["drop_exact_v"]), rel=0.02)
    assert got["drop_percent"] == pytest.approx(100 * got["drop_v"] / 28)


def test_return_of_the_same_size_doubles_the_drop(call: Call) -> None:
    out = answer(call, "voltage-drop", **GOOD["voltage-drop"])
    there_and_back = answer(call, "voltage-drop", **GOOD["voltage-drop"], return_length_m=5)
    assert there_and_back["drop_v"] == pytest.approx(2 * out["drop_v"])


def test_chart_point_of_a_wire_in_free_air(call: Call) -> None:
    # AC 43.13-1B Chg 1 figure 11-4a as read in par 11-68e: AWG 14, 47 A, 50 °C, 200 °C.
    (row,) = rows("ampacity_points", awg="14", current_a="47")
    stands = answer(call, "ampacity", **GAUGE, ambient_c=50, limit_c=200)
    assert stands["current_a"] == pytest.approx(float(row["current_a"]), rel=0.05)
    warm = answer(
        call, "conductor-temperature", **GAUGE, ambient_c=50, current_a=stands["current_a"]
    )
    assert warm["temperature_c"] == pytest.approx(200, abs=1e-6)
    assert 50 < warm["surface_c"] < 200


def test_capacity_is_the_product_of_its_factors(call: Call) -> None:
    got = answer(
        call,
        "ampacity",
        **GAUGE,
        ambient_c=40,
        limit_c=150,
        altitude_m=3000,
        bundle_wires=7,
        bundle_loaded_percent=40,
        covering="braid",
        on_s=20,
        off_s=60,
    )
    factors = [got[f"{name}_factor"] for name in ("bundle", "covering", "altitude", "duty")]
    assert got["current_a"] == pytest.approx(got["free_air_current_a"] * math.prod(factors))
    assert all(factor < 1 for factor in factors[:3])
    assert factors[3] > 1


def test_fuse_link_by_hand(call: Call) -> None:
    got = answer(call, "fuse", **GOOD["fuse"])
    # 7 A / 0.75 = 9.33 A; 12 V / (10 + 12 × 13.3) mΩ; gate of 350 %: 0.5 s, of 600 %: 0.1 s.
    assert got["rating_a"] == 10
    assert got["fault_current_a"] == pytest.approx(12_000 / (10 + 12 * 13.3))
    assert got["clearing_time_s"] == 0.1
    assert got["wire_protected"] is True
    # 12 V behind 10 mΩ: 1,200 A, more than the 1,000 A of ISO 8820-3.
    assert got["breaking_ok"] is False
    assert any("1200 A" in finding for finding in got["findings"])


def test_a_long_thin_run_may_never_clear(call: Call) -> None:
    got = answer(call, "fuse", **GOOD["fuse"] | {"run_m": 70, "supply_mohm": 20})
    assert got["clearing_time_s"] is None
    assert any("may never clear" in finding for finding in got["findings"])


def test_network_by_hand(call: Call) -> None:
    got = answer(call, "network", **GOOD["network"])
    # 12 V / 2.4 Ω.
    assert got["loads"]["lamp"] == pytest.approx({"voltage_v": 11, "current_a": 5})
    assert got["wires"]["feed"] == pytest.approx({"current_a": 5, "drop_v": 0.5, "loss_w": 2.5})
    assert got["supplies"]["battery"] == pytest.approx({"current_a": 5, "terminal_v": 11.5})
    assert got["nodes"]["post"] == pytest.approx(11.5)


def test_of_two_solutions_for_a_power_load_the_higher_is_taken(call: Call) -> None:
    load = {"name": "radio", "from": "lamp", "to": "bar", "power_w": 27.5}
    got = answer(call, "network", **GOOD["network"] | {"loads": [load]})
    # v (12 - v) / 0.2 = 27.5.
    assert got["loads"]["radio"]["voltage_v"] == pytest.approx(6 + math.sqrt(36 - 0.2 * 27.5))


@pytest.mark.parametrize("row", rows("circles_in_circle")[:12], ids=lambda row: row["n"])
def test_bundle_of_equal_wires(call: Call, row: dict[str, str]) -> None:
    got = answer(call, "bundle", diameters_mm=[2] * int(row["n"]))
    ratio = float(row["ratio_6dp_recomputed"])
    assert ratio * (1 - 1e-6) <= got["diameter_mm"] / 2 <= ratio * 1.01
    assert len(got["centres_mm"]) == int(row["n"])


def test_centres_come_in_the_order_given(call: Call) -> None:
    got = answer(call, "bundle", diameters_mm=[1, 5, 2])
    assert got["diameter_mm"] == pytest.approx(7)
    small, large, middle = got["centres_mm"]
    assert math.dist(large, middle) == pytest.approx(3.5)
    assert math.dist(small, large) >= 3 - 1e-9


def test_heat_shrink_of_the_standard(call: Call) -> None:
    # AMS-DTL-23053/5 class 1, nominal 1/4 inch: 0.250 and 0.125 inch; +1 to -5 %.
    (row,) = rows("heatshrink_23053_5_class1", nominal_in="1/4")
    got = answer(call, "heat-shrink", **GOOD["heat-shrink"])
    assert got["expanded_mm"] == pytest.approx(float(row["id_expanded_min_in"]) * 25.4)
    assert got["recovered_mm"] == pytest.approx(float(row["id_recovered_max_in"]) * 25.4)
    assert got["cut_length_mm"] == 22  # 20 / 0.95, rounded up


@pytest.mark.parametrize(
    ("fields", "force_n"),
    [
        ({"standard": "UL 486A", "awg": 16}, 30 * LBF_N),
        ({"standard": "AS7928", "awg": 16}, 50 * LBF_N),
        ({"standard": "AS7928", "awg": -3}, 875 * LBF_N),
        # IEC 60352-2:2006 Table 1, from memory.
        ({"standard": "IEC 60352-2", "csa_mm2": 1.5}, 150),
        ({"standard": "IEC 60352-2", "awg": 20}, 60),
    ],
)
def test_crimp_forces(call: Call, fields: dict[str, Any], force_n: float) -> None:
    assert answer(call, "crimp-pull", **fields)["force_n"] == pytest.approx(force_n)


def test_cut_plan_of_a_textbook(call: Call) -> None:
    # Chvátal, Linear Programming (1983) ch. 13: raws of 100, 453 of them (from memory).
    cuts = {45: 97, 36: 610, 31: 395, 14: 211}
    got = answer(
        call,
        "cut-plan",
        stock=[{"length_mm": 100, "count": None}],
        cuts=[{"length_mm": each, "count": count} for each, count in cuts.items()],
    )
    assert (got["stock_used"], got["stock_used_mm"]) == (453, 45_300)
    assert got["proven_optimal"] is True
    assert got["gap"] == 0
    held = [cut for piece in got["pieces"] for cut in piece["cuts_mm"]]
    assert {each: held.count(each) for each in cuts} == cuts
    for piece in got["pieces"]:
        assert sum(piece["cuts_mm"]) + piece["left_mm"] == piece["stock_length_mm"]


def test_metric_and_gauge_are_both_taken(call: Call) -> None:
    for wire in (
        {"conductor": "iso6722", "csa_mm2": 0.5, "insulation": "xlpe-thin"},
        {"conductor": "awg-solid", "awg": 0},
        {"conductor": "awg-stranded-tinned", "awg": 14.0},
    ):
        assert answer(call, "resistance", **wire, length_m=1)["resistance_ohm"] > 0


def test_reasons_name_the_outside_diameter(call: Call) -> None:
    by_table = answer(call, "ampacity", **GOOD["ampacity"])
    given = answer(call, "ampacity", **GOOD["ampacity"], outside_diameter_mm=4)
    named = [r for r in by_table["reasons"] if "bare_mm" in r["inputs"] and "wall" in r["formula"]]
    assert named
    assert any(r["inputs"].get("outside_diameter_mm") == 4 for r in given["reasons"])
    assert given["current_a"] != by_table["current_a"]
