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
class CutCore:
    """One core of a piece of cable, or its screen: what it is, and how its ends are stripped."""

    wire_number: str
    core: str
    main_hex: str
    left: str
    right: str
    strip_left_mm: float | None = None
    strip_right_mm: float | None = None


@dataclass(frozen=True)
class CablePiece:
    """One length of a cable of several cores, how its sheath comes off, and its cores."""

    name: str
    length_mm: int
    count: int
    left_place: str
    right_place: str
    sheath_left_mm: int
    sheath_right_mm: int
    cores: tuple[CutCore, ...]


@dataclass(frozen=True)
class CableCuts:
    """All that is cut from one cable of several cores."""

    cable: str
    pieces: tuple[CablePiece, ...]
    source: str = ""

    @property
    def total_mm(self) -> int:
        return sum(piece.length_mm * piece.count for piece in self.pieces)

    @property
    def count(self) -> int:
        return sum(piece.count for piece in self.pieces)


@dataclass(frozen=True)
class CutList:
    """For the cutting bench. scope says which units ("units 1 to 6")."""

    head: Head
    scope: str
    groups: tuple[CutGroup, ...]
    notes: tuple[str, ...] = ()
    cables: tuple[CableCuts, ...] = ()


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
