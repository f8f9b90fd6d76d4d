"""The states that a wire end can be in, in the order in which the bench makes it."""

from enum import StrEnum


class EndState(StrEnum):
    """How far one end of a wire is made; the value is the word that a person reads."""

    PLANNED = "not cut yet"
    CUT = "cut"
    STRIPPED = "stripped"
    CRIMPED = "crimped"
    SOLDERED = "soldered"
    MADE = "made"
    PLUGGED = "in its plug"
    SPLICED = "spliced"
    LOOSE = "left loose"
