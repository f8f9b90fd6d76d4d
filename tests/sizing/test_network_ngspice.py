"""The network's solution against ngspice (general circuit simulator, Debian package ngspice).

`python3 -m webapp test` installs it; without it these tests are skipped, which CI does not allow.
"""

from pathlib import Path

import pytest

from webapp.bench import ngspice
from webapp.bench.looms import random_loom
from webapp.sizing.network import Load, Network, Supply, Wire, solve

pytestmark = pytest.mark.skipif(not ngspice.available(), reason="ngspice is not on this machine")


def assert_alike(network: Network, folder: Path) -> None:
    """Wire currents and node voltages agree to 1e-6 of the largest."""
    outside, ours = ngspice.run(network, folder), solve(network)
    largest_a = max(abs(current_a) for current_a in outside.wires.values())
    largest_v = max(abs(volts) for volts in outside.nodes.values())
    assert largest_a > 1
    for name, current_a in outside.wires.items():
        assert ours.wires[name].current_a == pytest.approx(current_a, abs=1e-6 * largest_a), name
    for node, volts in outside.nodes.items():
        assert ours.nodes[node] == pytest.approx(volts, abs=1e-6 * largest_v), node


@pytest.mark.parametrize("wires", [50, 75, 100, 150, 200, 300, 400, 500])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_random_looms(wires: int, seed: int, tmp_path: Path) -> None:
    network = random_loom(wires, seed)
    assert len(network.wires) == wires
    assert_alike(network, tmp_path)


def test_a_loom_with_ideal_supplies_and_hardly_any_resistance(tmp_path: Path) -> None:
    network = Network(
        "0",
        (Supply("battery", "+", "0", 24.0, 0.0),),
        (
            Wire("busbar", "+", "bar", 2e-6),
            Wire("feed", "bar", "pump+", 0.05),
            Wire("second feed", "bar", "lamp+", 0.2),
            Wire("earth", "pump-", "0", 0.01),
        ),
        (
            Load("pump", "pump+", "pump-", power_w=400.0),
            Load("lamp", "lamp+", "pump-", resistance_ohm=8.0),
        ),
    )
    assert_alike(network, tmp_path)


def test_a_network_that_ngspice_cannot_solve_is_noticed(tmp_path: Path) -> None:
    """Its exit status is 0 even then."""
    collapsing = Network(
        "0",
        (Supply("battery", "+", "0", 12.0, 0.0),),
        (Wire("feed", "+", "lamp", 0.2),),
        (Load("lamp", "lamp", "0", power_w=5000.0),),
    )
    with pytest.raises(ngspice.NoAnswer):
        ngspice.run(collapsing, tmp_path)
