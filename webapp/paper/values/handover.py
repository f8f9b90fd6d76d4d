"""Hand-over papers: what a stranger needs to take the loom apart and mend it."""

from dataclasses import dataclass
from datetime import date

from .common import NO_PLAN, Head, PaperCircuit, PaperFitting, PaperWire, Plan


@dataclass(frozen=True)
class HandOver:
    """For one unit, or for all units of a batch when serial is empty."""

    head: Head
    equipment: str
    supply: str
    what: str
    wires: tuple[PaperWire, ...]
    serial: str = ""
    built_on: date | None = None
    circuits: tuple[PaperCircuit, ...] = ()
    fittings: tuple[PaperFitting, ...] = ()
    plan: Plan = NO_PLAN
    care: tuple[str, ...] = ()
    repair: tuple[str, ...] = ()
    spares: tuple[str, ...] = ()
    certificate: str = ""
