"""A network whose wires are as warm as their own currents make them."""

from collections.abc import Callable
from dataclasses import dataclass

from webapp.sizing.network.checking import check, check_wire_ohm
from webapp.sizing.network.model import Network, Solution
from webapp.sizing.network.naming import named
from webapp.sizing.network.solving import solved
from webapp.sizing.reasons import SizingError

ResistanceAt = Callable[[str, float], float]


@dataclass(frozen=True)
class WarmSolution:
    """A solution and the resistance of each wire that belongs to it. [Ω]"""

    solution: Solution
    resistance_ohm: dict[str, float]
    rounds: int


def solve_warm(
    network: Network,
    resistance_at: ResistanceAt,
    *,
    tolerance: float = 1e-7,
    most_rounds: int = 40,
) -> WarmSolution:
    """Currents and resistances that agree: each wire's resistance is that at its own current.

    Args:
        network: As for `solve`; its wires' resistances are where the rounds begin. [Ω]
        resistance_at: Gives the resistance [Ω] of the wire of that name at that current [A],
            which is never negative; as the heat balance has it.
        tolerance: Largest change of any resistance in the last round, as a share of it.
        most_rounds: Rounds before it is given up.

    Returns:
        The solution, each wire's resistance [Ω], and the rounds that it took.

    Raises:
        SizingError: as `solve`; whatever `resistance_at` raises; a wire that does not settle.

    Source: fixed-point iteration; no outside source.
    """
    places = check(network)
    names = [wire.name for wire in network.wires]
    wire_ohm = [wire.resistance_ohm for wire in network.wires]
    for done in range(1, most_rounds + 1):
        found = solved(network, places, wire_ohm)
        warmed = [*map(resistance_at, names, abs(found.wires_a).tolist())]
        check_wire_ohm(warmed)
        changes = [abs(new - old) / new for new, old in zip(warmed, wire_ohm, strict=True)]
        if max(changes, default=0.0) <= tolerance:
            return WarmSolution(
                named(network, found), dict(zip(names, wire_ohm, strict=True)), done
            )
        wire_ohm = warmed
    worst = changes.index(max(changes))
    raise SizingError(
        f"wires.{worst}",
        f"Wire {network.wires[worst].name} does not settle: its resistance still changes by "
        f"{changes[worst]:.1%} a round after {most_rounds} rounds, as in a wire that runs away "
        "with heat.",
    )
