"""The ammeter, which the supply lays in the main feed."""

from webapp.stages.design.controls import PERMANENT, SECOND_BATTERY
from webapp.stages.design.names import listed
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
    _say_beside(lay, group)


def _say_beside(lay: Laying, group: Group) -> None:
    """What does not pass it, and what parts from the battery with it."""
    needs = lay.b.inputs.need.values()
    beside = [
        each.name
        for each in needs
        if each.kind != "source" and (each.before_isolator or each.live_when == SECOND_BATTERY)
    ]
    if beside:
        lay.b.say(
            f"{group.leader.name}: it does not show what {listed(beside)} takes, which is fed "
            f"beside it.",
            group.leader.uid,
        )
    charging = [each.name for each in needs if each.kind == "source" and each.control == PERMANENT]
    if charging and lay.supply.switched is not lay.supply.feed_pole:
        lay.b.say(
            f"{listed(charging)} charges through the ammeter and so through the battery isolator: "
            f"never open the isolator while it charges, as a machine without its battery can "
            f"destroy itself and what it feeds.",
            group.leader.uid,
        )
