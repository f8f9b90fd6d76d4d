"""What holds for every loom: Kirchhoff's sums, energy, scaling, and that longer wires drop more."""

import random
from collections import defaultdict
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from webapp.bench.looms import random_loom
from webapp.sizing.network import Load, Network, Solution, Supply, Wire, solve

looms = st.builds(random_loom, st.integers(10, 60), st.integers(0, 10_000))
A_FEW = settings(max_examples=40, deadline=None)


def largest_a(found: Solution) -> float:
    return max(abs(flow.current_a) for flow in found.wires.values())


@A_FEW
@given(looms)
def test_as_much_current_comes_to_each_node_as_leaves_it(network: Network) -> None:
    found = solve(network)
    comes: dict[str, float] = defaultdict(float)
    for wire in network.wires:
        comes[wire.from_node] -= found.wires[wire.name].current_a
        comes[wire.to_node] += found.wires[wire.name].current_a
    for load in network.loads:
        comes[load.from_node] -= found.loads[load.name].current_a
        comes[load.to_node] += found.loads[load.name].current_a
    for supply in network.supplies:
        comes[supply.positive] += found.supplies[supply.name].current_a
        comes[supply.negative] -= found.supplies[supply.name].current_a
    assert max(map(abs, comes.values())) < 1e-9 * largest_a(found)


@A_FEW
@given(looms)
def test_each_part_keeps_its_own_law(network: Network) -> None:
    found = solve(network)
    volts = found.nodes
    for wire in network.wires:
        flow = found.wires[wire.name]
        assert volts[wire.from_node] - volts[wire.to_node] == pytest.approx(flow.drop_v, abs=1e-10)
        assert flow.drop_v == pytest.approx(flow.current_a * wire.resistance_ohm, rel=1e-12)
    for load in network.loads:
        got = found.loads[load.name]
        if load.current_a is not None:
            assert got.current_a == load.current_a
        elif load.power_w is not None:
            assert got.voltage_v * got.current_a == pytest.approx(load.power_w, rel=1e-9)
        else:
            assert got.voltage_v == pytest.approx(got.current_a * load.resistance_ohm, rel=1e-12)


@A_FEW
@given(looms)
def test_what_the_supplies_give_is_taken_by_loads_and_wires(network: Network) -> None:
    found = solve(network)
    given_w = sum(flow.current_a * flow.terminal_v for flow in found.supplies.values())
    loads_w = sum(flow.current_a * flow.voltage_v for flow in found.loads.values())
    wires_w = sum(flow.loss_w for flow in found.wires.values())
    assert given_w == pytest.approx(loads_w + wires_w, rel=1e-10)


@A_FEW
@given(looms, st.floats(0.1, 3.0))
def test_twice_the_volts_and_twice_the_amps_are_the_same_loom(
    network: Network, factor: float
) -> None:
    """Volts and steady currents by a factor, powers by its square: all currents by the factor."""
    scaled = replace(
        network,
        supplies=tuple(
            replace(each, voltage_v=each.voltage_v * factor) for each in network.supplies
        ),
        loads=tuple(
            replace(
                each,
                current_a=None if each.current_a is None else each.current_a * factor,
                power_w=None if each.power_w is None else each.power_w * factor**2,
            )
            for each in network.loads
        ),
    )
    before, after = solve(network), solve(scaled)
    for name, flow in before.wires.items():
        assert after.wires[name].current_a == pytest.approx(
            flow.current_a * factor, rel=1e-9, abs=1e-9 * largest_a(after)
        )


@A_FEW
@given(looms, st.integers(0, 10_000))
def test_order_and_direction_change_nothing(network: Network, seed: int) -> None:
    rng = random.Random(seed)
    wires = [
        replace(each, from_node=each.to_node, to_node=each.from_node) for each in network.wires
    ]
    rng.shuffle(wires)
    loads = list(network.loads)
    rng.shuffle(loads)
    before, after = solve(network), solve(replace(network, wires=tuple(wires), loads=tuple(loads)))
    for name, flow in before.wires.items():
        assert after.wires[name].current_a == pytest.approx(
            -flow.current_a, rel=1e-9, abs=1e-10 * largest_a(before)
        )


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(["current_a", "power_w"]),
    st.floats(0.5, 60.0),
    st.floats(0.001, 0.02),
    st.floats(1.01, 5.0),
)
def test_a_longer_wire_drops_more(kind: str, takes: float, ohm: float, longer: float) -> None:
    def lamp_v(feed_ohm: float) -> float:
        network = Network(
            "0",
            (Supply("battery", "+", "0", 12.0, 0.01),),
            (Wire("feed", "+", "lamp", feed_ohm), Wire("other", "+", "horn", 0.02)),
            (Load("lamp", "lamp", "0", **{kind: takes}), Load("horn", "horn", "0", power_w=40.0)),
        )
        return solve(network).loads["lamp"].voltage_v

    assert lamp_v(ohm * longer) < lamp_v(ohm)


@A_FEW
@given(looms, st.floats(1.01, 1.5))
def test_more_power_leaves_less_voltage(network: Network, more: float) -> None:
    greedy = replace(
        network,
        loads=tuple(
            each if each.power_w is None else replace(each, power_w=each.power_w * more)
            for each in network.loads
        ),
    )
    before, after = solve(network), solve(greedy)
    for load in network.loads:
        assert after.loads[load.name].voltage_v <= before.loads[load.name].voltage_v + 1e-12


@A_FEW
@given(looms, st.integers(1, 50))
def test_followed_in_small_steps_it_is_the_same_solution(network: Network, steps: int) -> None:
    """No jump to another solution: the last of many small steps stays near the one before."""
    shares = [step / steps for step in range(steps + 1)]
    voltages = []
    for share in shares[-2:]:
        loads = [
            each if each.power_w is None else replace(each, power_w=each.power_w * share)
            for each in network.loads
        ]
        found = solve(replace(network, loads=tuple(loads)))
        voltages.append([flow.voltage_v for flow in found.loads.values()])
    sags = [before - after for before, after in zip(*voltages, strict=True)]
    assert all(-1e-12 <= sag <= 6.0 / steps for sag in sags)
