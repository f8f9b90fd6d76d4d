"""Choosing the operating state and the voltage at which figures are looked at."""

from collections.abc import Iterable
from dataclasses import dataclass

from webapp.stages.design.currents import LoadFigures
from webapp.stages.design.figures import Figures
from webapp.stages.design.following import AT_DROP, AT_HEAT, VOLTAGES
from webapp.stages.design.together import CRANKING


@dataclass(frozen=True)
class OperatingChoice:
    """What is chosen, and what is on offer: value and words."""

    state: str
    at: str
    states: tuple[tuple[str, str], ...]
    voltages: tuple[tuple[str, str], ...]

    @property
    def asked(self) -> dict[str, str]:
        """For an address that keeps the choice."""
        return {"state": self.state, "at": self.at}


def operating_choice(
    figures: Figures, state: str, at: str, loads: Iterable[LoadFigures]
) -> OperatingChoice:
    """The state asked for; without one the first in which some of these loads are on."""
    states = figures.operating.states
    own = {load.uid for load in loads}
    live = {each.name for each in states if own & {load.uid for load in each.on}}
    names = [each.name for each in states]
    if state not in names:
        state = next((name for name in names if name in live), next(iter(names), ""))
    at = at if at in VOLTAGES else AT_DROP
    basis = figures.design.basis
    low = "an old, cold battery" if state == CRANKING else "a discharged battery"
    return OperatingChoice(
        state,
        at,
        tuple((name, name if name in live else f"{name} (off then)") for name in names),
        (
            (AT_DROP, f"{low}, {basis.drop_at_v:g} V"),
            (AT_HEAT, f"charging, {basis.heat_at_v:g} V"),
        ),
    )
