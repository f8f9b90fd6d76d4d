"""The ammeter, which the supply lays in the main feed."""

from webapp.stages.design.proposal.builder import CannotPropose
from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.proposal.patterns.laying import Laying


def ammeter(lay: Laying, group: Group) -> None:
    """All but the starter, and what comes before the isolator, passes the one ammeter."""
    need = group.leader
    if need is not lay.supply.meter_need:
        raise CannotPropose(f"{need.name}: the proposal lays one ammeter in the main feed.")
    if lay.supply.meter is None:
        lay.b.smallest("ammeter", need.rating, "ammeter")  # says why none stands there
    lay.b.say(
        f"{need.name}: all current but the starter's passes it, so its cables are as thick as the "
        f"main feed. Its full scale must be no less than all that is on together.",
        need.uid,
    )
