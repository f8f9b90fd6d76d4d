"""The loom's network: against the ngspice process on the same netlist, turn by turn."""

import tempfile
from collections.abc import Iterator
from pathlib import Path

from webapp import debian
from webapp.bench import ngspice
from webapp.bench.looms import random_loom
from webapp.bench.stopwatch import best_s, shown
from webapp.sizing.network import Network, solve

TITLE = "Currents of a random loom"
WIRES = (50, 100, 200, 500, 2000)
TURNS = 5


def lines() -> Iterator[str]:
    """A line for each size of loom."""
    if not ngspice.available():
        yield f"not compared: ngspice is missing ({debian.command_for([ngspice.PROGRAM])})"
    for wires in WIRES:
        network = random_loom(wires, seed=wires)
        yield f"{wires:5} wires: {_compared(network) if ngspice.available() else _alone(network)}"


def _alone(network: Network) -> str:
    return shown(best_s(lambda: solve(network), tries=TURNS))


def _compared(network: Network) -> str:
    """Times and their ratio, and how far the currents are apart."""
    with tempfile.TemporaryDirectory() as folder:
        outside = ngspice.run(network, Path(folder))
        source, _output = ngspice.write(network, Path(folder))
        ours = solve(network)
        # Turn by turn, so that whatever else the machine does slows both alike.
        turns = [
            (best_s(lambda: solve(network)), best_s(lambda: ngspice.launch(source), tries=1))
            for _turn in range(TURNS)
        ]
    solved_s, outside_s = (min(times) for times in zip(*turns, strict=True))
    largest_a = max(abs(current_a) for current_a in outside.wires.values())
    apart_a = max(
        abs(ours.wires[name].current_a - current_a) for name, current_a in outside.wires.items()
    )
    return (
        f"{shown(solved_s)}, ngspice {shown(outside_s)}: {outside_s / solved_s:.1f} times faster; "
        f"currents {apart_a / largest_a:.0e} of the largest apart"
    )
