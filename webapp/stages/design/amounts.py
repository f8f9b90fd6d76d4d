"""What the wires of a design amount to."""

from collections.abc import Iterable
from dataclasses import dataclass

from webapp.stages.design.wires import Wire

COPPER_G_PER_CM3 = 8.89
MM_IN_CM, MM2_IN_CM2 = 10, 100


@dataclass(frozen=True)
class Amounts:
    wires: int
    cable_m: float
    copper_g: float


def amounts(cut: Iterable[Wire]) -> Amounts:
    """How many wires, their length together, and about how much copper is in them."""
    listed = list(cut)
    copper_cm3 = sum(
        (wire.length_mm or 0) / MM_IN_CM * (wire.link.csa_mm2 or 0) / MM2_IN_CM2 for wire in listed
    )
    return Amounts(
        wires=len(listed),
        cable_m=sum(wire.length_mm or 0 for wire in listed) / 1000,
        copper_g=copper_cm3 * COPPER_G_PER_CM3,
    )
