"""What each paper is made from: frozen values, filled in by the caller."""

from .bench import BenchBranch, BenchSheet, BenchStep, BenchWire
from .common import (
    Head,
    PaperCircuit,
    PaperEnd,
    PaperFitting,
    PaperWay,
    PaperWire,
    Plan,
    Workshop,
)
from .design import (
    CableCuts,
    CablePiece,
    Cut,
    CutCore,
    CutGroup,
    CutList,
    DesignSheet,
    JobTicket,
    KitGroup,
    KitList,
    KitRow,
)
from .handover import HandOver
from .proof import (
    Certificate,
    CertificateGroup,
    CertificateRow,
    Instrument,
    TestGroup,
    TestRow,
    TestSheet,
)
from .quote import Currency, Quote, QuoteLine

__all__ = [
    "BenchBranch",
    "BenchSheet",
    "BenchStep",
    "BenchWire",
    "CableCuts",
    "CablePiece",
    "Certificate",
    "CertificateGroup",
    "CertificateRow",
    "Currency",
    "Cut",
    "CutCore",
    "CutGroup",
    "CutList",
    "DesignSheet",
    "HandOver",
    "Head",
    "Instrument",
    "JobTicket",
    "KitGroup",
    "KitList",
    "KitRow",
    "PaperCircuit",
    "PaperEnd",
    "PaperFitting",
    "PaperWay",
    "PaperWire",
    "Plan",
    "Quote",
    "QuoteLine",
    "TestGroup",
    "TestRow",
    "TestSheet",
    "Workshop",
]
