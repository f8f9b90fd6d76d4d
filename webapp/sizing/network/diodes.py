"""Which diodes of a network conduct: found by solving, turning those that are wrong, and again."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from webapp.sizing.network.model import Network

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from webapp.sizing.network.equations import Equations

    Vector = NDArray[np.float64]

# What an open diode lets through is lost in a loom's currents.
OPEN_OHM = 1e7
# Current that still counts as none [A], and volts that still drive none [V].
NO_CURRENT_A = 1e-5
NO_VOLTS_V = 1e-6


class Diodes:
    """The diodes of a network, at first all conducting.

    Source: ideal diodes with a loss that does not depend on current; no outside source.
    """

    def __init__(self, network: Network) -> None:
        self._forward_v = {
            place: wire.forward_v for place, wire in enumerate(network.wires) if wire.forward_v > 0
        }
        self._open: set[int] = set()
        # Each round but the last turns one of them at least; a ring of rounds is given up.
        self.most_rounds = 4 * len(self._forward_v) + 1

    def wire_ohm(self, wire_ohm: Sequence[float]) -> Sequence[float]:
        """The resistances of the wires, those of open diodes as good as infinite. [Ω]"""
        if not self._open:
            return wire_ohm
        return [OPEN_OHM if at in self._open else ohm for at, ohm in enumerate(wire_ohm)]

    @property
    def wire_v(self) -> dict[int, float]:
        """What the conducting ones lose, by the places of their wires. [V]"""
        return {at: volts for at, volts in self._forward_v.items() if at not in self._open}

    def turn(self, equations: Equations, state: Vector) -> bool:
        """Open the ones that carry current backwards, close those driven forwards; whether any."""
        if not self._forward_v:
            return False
        wires_a = equations.branch_currents(state)[equations.wires]
        backwards = {
            at for at in self._forward_v if at not in self._open and wires_a[at] < -NO_CURRENT_A
        }
        driven = {
            at
            for at in self._open
            if equations.wire_v(state, at) > self._forward_v[at] + NO_VOLTS_V
        }
        self._open = (self._open | backwards) - driven
        return bool(backwards or driven)
