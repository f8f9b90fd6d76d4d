"""What a label says, whatever its size."""

from dataclasses import dataclass
from enum import StrEnum


class LabelKind(StrEnum):
    """The kinds of label; the value is the heading printed on it."""

    JOB_TICKET = "Job ticket"
    CUSTOMER_PART = "Customer's part"
    WIRE_TAG = "Wire"
    PLUG_TAG = "Plug"
    SOCKET_TAG = "Socket"
    BRANCH_TAG = "Branch"
    CABLE_TAG = "Cable"
    CUT_BUNDLE = "Cut bundle"
    KIT_BAG = "Kit bag"
    PART_BIN = "Part bin"
    TRAVELLER = "Traveller"
    PASSED = "PASSED"
    FAILED = "FAILED"
    FUSE_CHART = "Fuse chart"
    HAND_OVER = "Hand-over"


@dataclass(frozen=True)
class Label:
    """One label.

    title is printed large (a wire's number, a plug's name); lines follow in order of importance:
    on a small label
    the last are left out first. code is the short code for the search box. qr_text is printed only
    where 15 mm is free.
    stripe is (main colour, tracer or None) as hex, letters the colour letters beside it.
    """

    kind: LabelKind
    title: str
    lines: tuple[str, ...] = ()
    code: str = ""
    qr_text: str | None = None
    stripe: tuple[str, str | None] | None = None
    letters: str = ""
