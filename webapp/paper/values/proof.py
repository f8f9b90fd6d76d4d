"""Test sheet and certificate."""

from dataclasses import dataclass
from datetime import date

from .common import Head


@dataclass(frozen=True)
class TestRow:
    """One test to make. limit is in words with its unit ("at most 21 mΩ", "at least 1 MΩ")."""

    __test__ = False

    number: str
    what: str
    limit: str
    between: str = ""


@dataclass(frozen=True)
class TestGroup:
    """Tests of one kind; how says what to do, once, above the rows."""

    __test__ = False

    title: str
    rows: tuple[TestRow, ...]
    how: str = ""


@dataclass(frozen=True)
class CrimpSetUp:
    """A tool as it was set up for one terminal on one conductor; empty where it is not yet.

    heights and pulls are the first-offs, in words; last says how the crimps measured at the last
    came out, and stays empty while nobody asks for them. limits stands on sheets that are worked
    by, never on a certificate.
    """

    what: str
    tool: str = ""
    lots: str = ""
    who: str = ""
    crimps: int = 0
    heights: str = ""
    pulls: str = ""
    last: str = ""
    limits: str = ""


@dataclass(frozen=True)
class TestSheet:
    """The test plan with blanks, for one unit."""

    __test__ = False

    head: Head
    unit: str
    serial: str
    groups: tuple[TestGroup, ...]
    notes: tuple[str, ...] = ()
    setups: tuple[CrimpSetUp, ...] = ()


@dataclass(frozen=True)
class Instrument:
    """An instrument used, with the date of its last calibration (None: not calibrated)."""

    name: str
    serial: str = ""
    calibrated_on: date | None = None


@dataclass(frozen=True)
class CertificateRow:
    """One reading that counts. Only confirmed limits belong here."""

    number: str
    what: str
    limit: str
    reading: str
    passed: bool
    instrument: str = ""
    person: str = ""
    at: str = ""
    retests: int = 0


@dataclass(frozen=True)
class CertificateGroup:
    title: str
    rows: tuple[CertificateRow, ...]


@dataclass(frozen=True)
class Certificate:
    """The record of one unit's test.

    left_out names the tests whose limits rest on unconfirmed figures; they are named, their
    figures are not shown.
    Raises ValueError when it says "passed" over a failed reading.
    """

    head: Head
    number: str
    serial: str
    unit: str
    equipment: str
    supply: str
    passed: bool
    tested_by: str
    tested_on: date
    groups: tuple[CertificateGroup, ...]
    instruments: tuple[Instrument, ...] = ()
    waived: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    statement: str = ""
    setups: tuple[CrimpSetUp, ...] = ()

    def __post_init__(self) -> None:
        readings = [row for group in self.groups for row in group.rows]
        if self.passed and not all(row.passed for row in readings):
            raise ValueError("A certificate cannot say passed while one of its readings failed.")
        if self.passed and not readings:
            raise ValueError("A certificate cannot say passed without a single reading.")
