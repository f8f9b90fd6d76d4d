"""Values that more than one paper carries."""

from dataclasses import dataclass
from datetime import date

from webapp.drawings.plan_values import PlanPlace, PlanRun


@dataclass(frozen=True)
class Workshop:
    """The letterhead."""

    name: str
    address: tuple[str, ...] = ()
    phone: str = ""
    email: str = ""
    vat_number: str = ""


@dataclass(frozen=True)
class Head:
    """What stands at the head and foot of every paper.

    short_code is what a person keys into the search box; qr_text is the permanent address behind
    the QR code.
    revision is empty on papers that do not belong to a revision.
    """

    workshop: Workshop
    job_code: str
    job: str
    customer: str = ""
    short_code: str = ""
    qr_text: str | None = None
    revision: str = ""
    printed_on: date | None = None


@dataclass(frozen=True)
class PaperEnd:
    """One end of a wire in words: where it goes and what goes on it."""

    place: str
    fitting: str
    way: str = ""
    terminal: str = ""
    strip_mm: float | None = None
    note: str = ""

    @property
    def words(self) -> str:
        return f"{self.fitting} · {self.way}" if self.way else self.fitting


@dataclass(frozen=True)
class PaperWire:
    """One wire.

    `size` is how the workshop says it ("2.5 mm²", "14 AWG"); csa_mm2 sets its drawn thickness.
    """

    number: str
    main_hex: str
    tracer_hex: str | None
    letters: str
    size: str
    csa_mm2: float
    length_mm: int
    left: PaperEnd
    right: PaperEnd
    cable: str = ""
    circuit: str = ""
    note: str = ""


@dataclass(frozen=True)
class PaperWay:
    """One way of a fitting; wire_number is empty for a spare way."""

    number: str
    wire_number: str = ""
    letters: str = ""
    main_hex: str | None = None
    tracer_hex: str | None = None
    function: str = ""


@dataclass(frozen=True)
class PaperFitting:
    """A fitting with its ways. face_columns > 0 draws the plug face in that many columns.

    Faces are drawn from the wire side, as the bench sees them: a socket's mirrors its plug's.
    """

    name: str
    kind: str
    place: str
    ways: tuple[PaperWay, ...] = ()
    part: str = ""
    face_columns: int = 0
    socket: bool = False


@dataclass(frozen=True)
class PaperCircuit:
    """One circuit and its protection. purpose is the plain sentence for a stranger."""

    number: str
    name: str
    fuse: str = ""
    fuse_at: str = ""
    wires: str = ""
    purpose: str = ""
    note: str = ""


@dataclass(frozen=True)
class Plan:
    """The loom as it lies."""

    places: tuple[PlanPlace, ...] = ()
    runs: tuple[PlanRun, ...] = ()


NO_PLAN = Plan()
