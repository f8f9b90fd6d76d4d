"""The design sheet, the job ticket, and what is cut and kitted from them."""

from dataclasses import dataclass
from datetime import date

from .common import NO_PLAN, Head, PaperCircuit, PaperFitting, PaperWire, Plan


@dataclass(frozen=True)
class JobTicket:
    """Travels with the job. serials has one entry a unit; stages become columns to sign."""

    head: Head
    equipment: str
    supply: str
    quantity: int
    due_on: date | None = None
    serials: tuple[str, ...] = ()
    stages: tuple[str, ...] = ("Cut", "Kitted", "Built", "Tested", "Handed over")
    customer_parts: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class DesignSheet:
    """The whole design.

    `signed_off` is a sentence ("9 November 2026, A. Marr"); empty means a draft.
    """

    head: Head
    supply: str
    wires: tuple[PaperWire, ...]
    circuits: tuple[PaperCircuit, ...] = ()
    fittings: tuple[PaperFitting, ...] = ()
    plan: Plan = NO_PLAN
    signed_off: str = ""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Cut:
    """One length to cut; count is over all units of the list."""

    wire_number: str
    length_mm: int
    count: int
    left: str = ""
    right: str = ""
    strip_left_mm: float | None = None
    strip_right_mm: float | None = None


@dataclass(frozen=True)
class CutGroup:
    """All that is cut from one cable."""

    cable: str
    letters: str
    size: str
    csa_mm2: float
    main_hex: str
    tracer_hex: str | None
    cuts: tuple[Cut, ...]
    source: str = ""

    @property
    def total_mm(self) -> int:
        return sum(cut.length_mm * cut.count for cut in self.cuts)

    @property
    def pieces(self) -> int:
        return sum(cut.count for cut in self.cuts)


@dataclass(frozen=True)
class CutList:
    """For the cutting bench. scope says which units ("units 1 to 6")."""

    head: Head
    scope: str
    groups: tuple[CutGroup, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class KitRow:
    """One part to collect. quantity carries its unit ("12", "3.4 m")."""

    part: str
    quantity: str
    used_for: str = ""
    bin: str = ""
    from_customer: bool = False


@dataclass(frozen=True)
class KitGroup:
    title: str
    rows: tuple[KitRow, ...]


@dataclass(frozen=True)
class KitList:
    """Parts to collect for the units in scope."""

    head: Head
    scope: str
    groups: tuple[KitGroup, ...]
    notes: tuple[str, ...] = ()
