"""How current divides, against sums done by hand from Ohm's and Kirchhoff's laws."""

import math
from dataclasses import replace

import pytest

from tests.sizing.evaluation import assert_reasons_hold
from webapp.sizing.network import Load, Network, Supply, Wire, solve, solve_warm, wire_reasons
from webapp.sizing.reasons import SizingError

BATTERY = Supply("battery", "+", "0", 12.0, 0.0)
FEED = Wire("feed", "+", "lamp+", 0.1)
EARTH = Wire("earth", "lamp-", "0", 0.1)


def loom(*parts: Supply | Wire | Load) -> Network:
    return Network(
        "0",
        tuple(part for part in parts if isinstance(part, Supply)),
        tuple(part for part in parts if isinstance(part, Wire)),
        tuple(part for part in parts if isinstance(part, Load)),
    )


def one_load(**figure: float) -> Network:
    return loom(BATTERY, FEED, EARTH, Load("lamp", "lamp+", "lamp-", **figure))


def refusal(network: Network) -> SizingError:
    with pytest.raises(SizingError) as refused:
        solve(network)
    return refused.value


# --- by hand ----------------------------------------------------------------------------------


def test_a_resistance_in_series() -> None:
    # 12 V / (0.1 + 5.8 + 0.1) ohm = 2 A.
    found = solve(one_load(resistance_ohm=5.8))
    assert found.wires["feed"] == pytest.approx((2.0, 0.2, 0.4))
    assert found.loads["lamp"] == pytest.approx((11.6, 2.0))
    assert found.supplies["battery"] == pytest.approx((2.0, 12.0))
    assert found.nodes == pytest.approx({"+": 12.0, "lamp+": 11.8, "lamp-": 0.2, "0": 0.0})


def test_a_steady_current() -> None:
    found = solve(one_load(current_a=10.0))
    assert found.loads["lamp"] == pytest.approx((10.0, 10.0))
    assert found.wires["earth"] == pytest.approx((10.0, 1.0, 10.0))


def test_a_steady_power_takes_the_higher_of_its_two_voltages() -> None:
    # v * (12 - v) / 0.2 = 100 W: v = 6 + sqrt(36 - 20) = 10 V, and not 2 V.
    found = solve(one_load(power_w=100.0))
    assert found.loads["lamp"] == pytest.approx((10.0, 10.0), rel=1e-12)


def test_a_battery_sags_and_a_charger_carries_the_load() -> None:
    # Between them: (14 - 12) / (0.1 + 0.1) ohm = 10 A into the battery with no load.
    found = solve(
        loom(
            Supply("battery", "+", "0", 12.0, 0.1),
            Supply("charger", "+", "0", 14.0, 0.1),
            Load("fridge", "+", "0", current_a=4.0),
        )
    )
    assert found.supplies["battery"] == pytest.approx((-8.0, 12.8))
    assert found.supplies["charger"] == pytest.approx((12.0, 12.8))


def test_a_bridge_of_five_wires() -> None:
    # At a: (10 - a) / 1 = (a - b) / 5 + a / 2, so 17 a - 2 b = 100.
    # At b: (10 - b) / 3 = (b - a) / 5 + b / 4, so 47 b - 12 a = 200.
    # Together a = 5100 / 775 V and b = 4600 / 775 V.
    found = solve(
        loom(
            Supply("bench", "top", "0", 10.0, 0.0),
            Wire("one", "top", "a", 1.0),
            Wire("two", "a", "0", 2.0),
            Wire("three", "top", "b", 3.0),
            Wire("four", "b", "0", 4.0),
            Wire("across", "a", "b", 5.0),
        )
    )
    a_v, b_v = 5100 / 775, 4600 / 775
    assert found.nodes["a"] == pytest.approx(a_v, rel=1e-12)
    assert found.nodes["b"] == pytest.approx(b_v, rel=1e-12)
    assert found.wires["across"].current_a == pytest.approx((a_v - b_v) / 5, rel=1e-12)
    assert found.supplies["bench"].current_a == pytest.approx(a_v / 2 + b_v / 4, rel=1e-12)


def test_parallel_feeds_share_by_their_resistance() -> None:
    second = Wire("second feed", "+", "lamp+", 0.3)
    found = solve(loom(BATTERY, FEED, second, EARTH, Load("lamp", "lamp+", "lamp-", current_a=8.0)))
    assert found.wires["feed"].current_a == pytest.approx(6.0)
    assert found.wires["second feed"].current_a == pytest.approx(2.0)


def test_a_shared_earth_lifts_both_loads() -> None:
    found = solve(
        loom(
            BATTERY,
            Wire("shared", "earth", "0", 0.05),
            Load("horn", "+", "earth", current_a=4.0),
            Load("lamp", "+", "earth", current_a=2.0),
        )
    )
    assert found.nodes["earth"] == pytest.approx(0.3)
    assert found.loads["lamp"].voltage_v == pytest.approx(11.7)


def test_a_wire_turned_round_carries_the_opposite() -> None:
    turned = replace(FEED, from_node=FEED.to_node, to_node=FEED.from_node)
    found = solve(loom(BATTERY, turned, EARTH, Load("lamp", "lamp+", "lamp-", current_a=3.0)))
    assert found.wires["feed"] == pytest.approx((-3.0, -0.3, 0.9))


def test_positive_earth_counts_below_the_return() -> None:
    found = solve(
        Network(
            "body",
            (Supply("battery", "body", "-", 12.0, 0.0),),
            (Wire("feed", "lamp", "-", 0.1),),
            (Load("lamp", "body", "lamp", current_a=5.0),),
        )
    )
    assert found.nodes["lamp"] == pytest.approx(-11.5)
    assert found.loads["lamp"] == pytest.approx((11.5, 5.0))


def test_two_batteries_in_series() -> None:
    found = solve(
        loom(
            Supply("lower", "middle", "0", 12.0, 0.01),
            Supply("upper", "+", "middle", 12.0, 0.01),
            Load("winch", "+", "0", current_a=50.0),
        )
    )
    assert found.loads["winch"].voltage_v == pytest.approx(23.0)


def test_a_joint_of_a_nano_ohm_costs_no_accuracy() -> None:
    joint = Wire("joint", "lamp+", "lamp", 1e-9)
    found = solve(loom(BATTERY, FEED, joint, EARTH, Load("lamp", "lamp", "lamp-", current_a=7.0)))
    assert found.wires["joint"].current_a == pytest.approx(7.0, rel=1e-12)


def test_a_load_of_hardly_any_resistance_costs_no_accuracy() -> None:
    shunt = Load("shunt", "lamp+", "shunt-", resistance_ohm=1e-9)
    found = solve(loom(BATTERY, FEED, EARTH, shunt, Load("lamp", "shunt-", "lamp-", current_a=7.0)))
    assert list(found.loads) == ["shunt", "lamp"]
    assert found.loads["shunt"] == pytest.approx((7e-9, 7.0), rel=1e-12)


def test_a_loose_wire_and_a_load_that_is_off_carry_nothing() -> None:
    spare = Wire("spare", "lamp+", "taped back", 0.2)
    found = solve(loom(BATTERY, FEED, EARTH, spare, Load("lamp", "lamp+", "lamp-", power_w=0)))
    assert found.wires["spare"].current_a == 0
    assert found.loads["lamp"].current_a == 0
    assert found.nodes["taped back"] == pytest.approx(12.0)


def test_reasons_hold() -> None:
    network = one_load(power_w=100.0)
    found = solve(network)
    assert_reasons_hold(found.reasons)
    assert_reasons_hold(wire_reasons(FEED.resistance_ohm, found.wires["feed"]))
    assert abs(found.reasons[-1].value) < 1e-9


# --- refused ----------------------------------------------------------------------------------


def test_more_power_than_the_wires_can_bring() -> None:
    # At most 12 V squared / (4 * 0.2 ohm) = 180 W.
    assert solve(one_load(power_w=179.999)).loads["lamp"].voltage_v == pytest.approx(6, abs=0.05)
    refused = refusal(one_load(power_w=190.0))
    assert refused.field == "loads.0.power_w"
    # 180 / 190 = 95 %.
    assert refused.message == (
        "Load lamp cannot be met: its voltage collapses once the loads get 95% of what they ask "
        "for."
    )


def test_the_load_that_collapses_is_named_among_others() -> None:
    network = loom(
        BATTERY,
        FEED,
        EARTH,
        Wire("thin", "+", "far", 3.0),
        Load("lamp", "lamp+", "lamp-", power_w=30.0),
        Load("pump", "far", "0", power_w=15.0),
    )
    assert refusal(network).field == "loads.1.power_w"
    assert "pump" in refusal(network).message


def test_more_current_than_the_wires_can_bring() -> None:
    # 12 V / 0.2 ohm = 60 A.
    assert solve(one_load(current_a=59.0)).loads["lamp"].voltage_v == pytest.approx(0.2)
    refused = refusal(one_load(current_a=61.0))
    assert refused.field == "loads.0.current_a"
    assert "lamp" in refused.message


def test_a_steady_current_the_wrong_way_round() -> None:
    refused = refusal(loom(BATTERY, FEED, EARTH, Load("fan", "lamp-", "lamp+", current_a=1.0)))
    assert refused.field == "loads.0.current_a"
    assert "fan" in refused.message
    assert "Swap" in refused.message


def test_a_load_that_no_voltage_comes_to() -> None:
    refused = refusal(loom(BATTERY, FEED, EARTH, Load("fan", "0", "lamp-", power_w=1.0)))
    assert refused.field == "loads.0.power_w"
    assert "no voltage" in refused.message


def test_a_node_that_hangs_in_the_air() -> None:
    refused = refusal(loom(BATTERY, FEED, Load("lamp", "lamp+", "lamp-", power_w=5.0)))
    assert refused.field == "loads.0.to"
    assert refused.message.startswith("Nothing joins lamp- to the return 0")


def test_an_island_names_its_nodes() -> None:
    island = [Wire(f"w{at}", f"n{at}", f"n{at + 1}", 0.1) for at in range(8)]
    refused = refusal(loom(BATTERY, FEED, *island))
    assert refused.field == "wires.1.from"
    assert "n0" in refused.message
    assert "and 4 more" in refused.message


@pytest.mark.parametrize(
    ("battery_ohm", "wire_ohm"), [(0.0, 0.0001), (0.01, 0.001), (0.05, 0.0499), (1e-6, 1e-6)]
)
def test_a_dead_short(battery_ohm: float, wire_ohm: float) -> None:
    shorted = loom(
        Supply("battery", "+", "0", 12.0, battery_ohm),
        Wire("cable", "+", "stud", wire_ohm / 2),
        Wire("strap", "stud", "0", wire_ohm / 2),
        Load("lamp", "stud", "0", power_w=5.0),
    )
    refused = refusal(shorted)
    assert refused.field == "supplies.0"
    assert "battery is shorted" in refused.message


def test_both_poles_at_one_node() -> None:
    refused = refusal(loom(Supply("battery", "0", "0", 12.0, 0.01), FEED))
    assert refused.field == "supplies.0.negative"
    assert "battery is shorted" in refused.message


def test_ideal_supplies_pole_to_pole() -> None:
    refused = refusal(loom(BATTERY, Supply("second", "+", "0", 12.0, 0.0)))
    assert refused.field == "supplies.1.resistance_ohm"
    assert "second" in refused.message


def test_supplies_that_add_up_to_more_than_extra_low_voltage() -> None:
    refused = refusal(
        loom(
            Supply("lower", "middle", "0", 36.0, 0.01),
            Supply("upper", "+", "middle", 36.0, 0.01),
        )
    )
    assert refused.field == "supplies"
    assert "72 V" in refused.message


NAN, INFINITY = math.nan, math.inf


@pytest.mark.parametrize(
    ("part", "field"),
    [
        (Supply("s", "+", "0", -12.0, 0.1), "supplies.0.voltage_v"),
        (Supply("s", "+", "0", 61.0, 0.1), "supplies.0.voltage_v"),
        (Supply("s", "+", "0", NAN, 0.1), "supplies.0.voltage_v"),
        (Supply("s", "+", "0", 12.0, -0.1), "supplies.0.resistance_ohm"),
        (Supply("s", "+", "0", 12.0, INFINITY), "supplies.0.resistance_ohm"),
        (Supply("s", "", "0", 12.0, 0.1), "supplies.0.positive"),
        (Supply("", "+", "0", 12.0, 0.1), "supplies.0.name"),
        (Wire("w", "+", "0", 0.0), "wires.0.resistance_ohm"),
        (Wire("w", "+", "0", -1.0), "wires.0.resistance_ohm"),
        (Wire("w", "+", "0", NAN), "wires.0.resistance_ohm"),
        (Wire("w", "+", "0", 1e12), "wires.0.resistance_ohm"),
        (Wire("w", "+", "0", True), "wires.0.resistance_ohm"),
        (Wire("w", "+", "0", "1"), "wires.0.resistance_ohm"),  # type: ignore[arg-type]
        (Wire("w", "+", "", 1.0), "wires.0.to"),
        (Wire("w", ["+"], "0", 1.0), "wires.0.from"),  # type: ignore[arg-type]
        (Wire(7, "+", "0", 1.0), "wires.0.name"),  # type: ignore[arg-type]
        (Load("l", "+", "0"), "loads.0"),
        (Load("l", "+", "0", current_a=1.0, power_w=1.0), "loads.0"),
        (Load("l", "+", "0", current_a=-1.0), "loads.0.current_a"),
        (Load("l", "+", "0", current_a=1e5), "loads.0.current_a"),
        (Load("l", "+", "0", power_w=NAN), "loads.0.power_w"),
        (Load("l", "+", "0", power_w=1e6), "loads.0.power_w"),
        (Load("l", "+", "0", resistance_ohm=0.0), "loads.0.resistance_ohm"),
        (Load("l", "+", "0", resistance_ohm="2"), "loads.0.resistance_ohm"),  # type: ignore[arg-type]
        (Load("l", "+", None, resistance_ohm=2.0), "loads.0.to"),  # type: ignore[arg-type]
    ],
    ids=repr,
)
def test_nonsense_is_refused_beside_its_field(part: Supply | Wire | Load, field: str) -> None:
    parts = [part] if isinstance(part, Supply) else [BATTERY, part]
    assert refusal(loom(*parts)).field == field


def test_names_are_used_once() -> None:
    assert refusal(loom(BATTERY, FEED, EARTH, FEED)).field == "wires.2.name"
    assert "feed" in refusal(loom(BATTERY, FEED, FEED)).message


def test_the_return_is_in_the_network() -> None:
    network = loom(BATTERY, FEED)
    assert refusal(replace(network, return_node="bilge")).field == "return"
    assert refusal(replace(network, return_node="")).field == "return"


def test_a_return_that_no_resistance_leads_to() -> None:
    refused = refusal(replace(one_load(power_w=5.0), wires=(FEED,), return_node="lamp-"))
    assert refused.field.startswith("supplies.0.")
    assert refused.message.startswith("Nothing joins ")
    assert "to the return lamp-" in refused.message


def test_no_supply_and_too_many_wires() -> None:
    assert refusal(loom(FEED, EARTH)).field == "supplies"
    many = [Wire(f"w{at}", "+", "0", 100.0) for at in range(2001)]
    assert refusal(loom(BATTERY, *many)).field == "wires"


# --- warm -------------------------------------------------------------------------------------


def test_resistance_and_current_agree() -> None:
    def warm(_name: str, current_a: float) -> float:
        return 0.1 * (1 + 0.01 * current_a)

    found = solve_warm(one_load(power_w=60.0), warm)
    for name in ("feed", "earth"):
        current_a = found.solution.wires[name].current_a
        assert found.resistance_ohm[name] == pytest.approx(warm(name, current_a), rel=1e-6)
    # v (12 - v) = 60 R with R = 0.2 (1 + 0.6 / v): solved by bisection on paper's equation.
    low, high = 6.0, 12.0
    for _halved in range(60):
        v = (low + high) / 2
        low, high = (v, high) if v * (12 - v) > 12 * (1 + 0.6 / v) else (low, v)
    assert found.solution.loads["lamp"].voltage_v == pytest.approx(low, rel=1e-6)


def test_resistance_that_does_not_settle_names_its_wire() -> None:
    def flips(name: str, current_a: float) -> float:
        return 0.1 if name == "earth" or current_a < 5 else 2.0

    with pytest.raises(SizingError) as refused:
        solve_warm(one_load(resistance_ohm=2.0), flips)
    assert refused.value.field == "wires.0"
    assert "feed does not settle" in refused.value.message


def test_resistance_out_of_range_is_refused() -> None:
    with pytest.raises(SizingError) as refused:
        solve_warm(one_load(power_w=5.0), lambda _name, _current_a: math.nan)
    assert refused.value.field == "wires.0.resistance_ohm"
