"""Following the current of one load: from the supply through every joint to it and back."""

from webapp.stages.design.following.steps import (
    AT_DROP,
    AT_HEAT,
    BACK,
    JOINT,
    LOAD,
    OUT,
    SUPPLY,
    VOLTAGES,
    WIRE,
    Branch,
    Followed,
    Step,
)
from webapp.stages.design.following.walking import follow

__all__ = [
    "AT_DROP",
    "AT_HEAT",
    "BACK",
    "JOINT",
    "LOAD",
    "OUT",
    "SUPPLY",
    "VOLTAGES",
    "WIRE",
    "Branch",
    "Followed",
    "Step",
    "follow",
]
