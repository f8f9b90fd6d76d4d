"""Meets each group of needs by the pattern of its control, or names why it cannot."""

from collections.abc import Callable

from webapp.stages.design.proposal import charging
from webapp.stages.design.proposal.builder import Builder, CannotPropose
from webapp.stages.design.proposal.patterns.ammeter import ammeter
from webapp.stages.design.proposal.patterns.change_over import change_over, flasher, two_way
from webapp.stages.design.proposal.patterns.checks import checked
from webapp.stages.design.proposal.patterns.diodes import diode_fed
from webapp.stages.design.proposal.patterns.floats import float_with_override
from webapp.stages.design.proposal.patterns.gauges import gauge
from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.proposal.patterns.laying import Laying
from webapp.stages.design.proposal.patterns.relays import by_relay
from webapp.stages.design.proposal.patterns.simple import contact, door_switches, permanent
from webapp.stages.design.proposal.patterns.starting import start, starter
from webapp.stages.design.proposal.patterns.wipers import self_parking
from webapp.stages.design.proposal.sharing import Sharing
from webapp.stages.design.proposal.supply import Supply

PATTERNS: dict[str, Callable[[Laying, Group], None]] = {
    "permanent": permanent,
    "contact": contact,
    "relay": by_relay,
    "float with override": float_with_override,
    "door switches": door_switches,
    "two-way": two_way,
    "change-over": change_over,
    "flasher": flasher,
    "diode fed": diode_fed,
    "gauge": gauge,
    "start": start,
    "starter": starter,
    "ammeter": ammeter,
    "self-parking": self_parking,
}


class Meeting:
    """Lays out group after group."""

    def __init__(self, builder: Builder, supply: Supply, groups: list[Group]) -> None:
        self.b = builder
        self.supply = supply
        self.lay = Laying(builder, supply, Sharing(builder, supply, groups))

    def meet_or_leave(self, group: Group) -> None:
        """Everything for one group of needs, or nothing of it, with the reason named."""
        standing, asked = self.b.checkpoint(), self.supply.checkpoint()
        try:
            control = checked(self.b, group)
            if group.leader.kind == "source":
                charging.source(self.lay, group)
            else:
                PATTERNS[control.pattern](self.lay, group)
        except CannotPropose as reason:
            self.b.go_back(standing)
            self.supply.go_back(asked)
            self._refuse(group, str(reason))

    def _refuse(self, group: Group, reason: str) -> None:
        """Every need of the group is named, whatever the reason spoke of."""
        leader = group.leader
        named = leader.name in reason
        self.b.refuse(reason if named else f"{leader.name}: {reason}", leader.uid)
        for need in group.needs[1:]:
            self.b.refuse(
                f"{need.name} works with {leader.name}, so it is not laid out either.", need.uid
            )
