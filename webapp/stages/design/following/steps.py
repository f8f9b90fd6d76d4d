"""What is met on the way of the current: the supply, wires, joints, the load."""

from dataclasses import dataclass, field

from webapp.sizing.reasons import Reason
from webapp.stages.design.wires import Wire

# Heat is looked at while the battery is charged, drop while it is discharged.
AT_HEAT, AT_DROP = "heat", "drop"
VOLTAGES = (AT_DROP, AT_HEAT)

SUPPLY, WIRE, JOINT, LOAD = "supply", "wire", "joint", "load"
OUT, BACK = "out", "back"


@dataclass(frozen=True)
class Branch:
    """What leaves (or, below nought, comes in) beside the current that is followed."""

    uid: str
    words: str
    amps: float


@dataclass(frozen=True)
class Step:
    """One thing that the current passes, and the point `end_uid` where it leaves it.

    amps: what passes it, whatever it serves. [A]
    lost_v: what it takes of the voltage. [V]
    volts: of the point at its end against the return. [V]
    forks: what else meets there.
    wire: as it is passed, left end first.
    """

    kind: str
    leg: str
    uid: str
    words: str
    end_uid: str
    end_words: str
    amps: float
    lost_v: float
    volts: float
    temperature_c: float | None = None
    reasons: tuple[Reason, ...] = ()
    forks: tuple[Branch, ...] = ()
    wire: Wire | None = None
    fitting_uid: str = ""


@dataclass(frozen=True)
class Followed:
    """A load's whole way in one operating state; without steps `trouble` says why.

    supply_v: between the supply's poles. load_v: what is left at the load. [V]
    lost_wires_v, lost_joints_v: what the wires, and the rest, take on the way out and back. [V]
    """

    steps: tuple[Step, ...] = ()
    supply_v: float = 0.0
    load_v: float = 0.0
    load_a: float = 0.0
    lost_wires_v: float = 0.0
    lost_joints_v: float = 0.0
    reasons: tuple[Reason, ...] = field(default=())
    trouble: str = ""
