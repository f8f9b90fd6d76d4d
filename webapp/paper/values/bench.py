"""The bench sheet: one unit, wire by wire."""

from dataclasses import dataclass

from webapp.drawings.ends import EndState

from .common import NO_PLAN, Head, PaperWire, Plan


@dataclass(frozen=True)
class BenchStep:
    """One operation.

    `done` is a short sentence ("10:14 AM") when it is ticked already, else empty.
    """

    text: str
    detail: str = ""
    done: str = ""


@dataclass(frozen=True)
class BenchWire:
    """A wire with its steps: first those for the whole wire (cut), then those at each end."""

    wire: PaperWire
    whole: tuple[BenchStep, ...] = ()
    left: tuple[BenchStep, ...] = ()
    right: tuple[BenchStep, ...] = ()
    left_state: EndState = EndState.MADE
    right_state: EndState = EndState.MADE


@dataclass(frozen=True)
class BenchBranch:
    """Work on a run or a place rather than on a wire (bind, sleeve, lock)."""

    name: str
    steps: tuple[BenchStep, ...]


@dataclass(frozen=True)
class BenchSheet:
    """unit says which one ("unit 2 of 6"), serial is the unit's own."""

    head: Head
    unit: str
    serial: str
    wires: tuple[BenchWire, ...]
    branches: tuple[BenchBranch, ...] = ()
    plan: Plan = NO_PLAN
    notes: tuple[str, ...] = ()
    cables: tuple[BenchBranch, ...] = ()
