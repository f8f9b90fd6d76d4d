"""Meets each group of needs by the pattern of its control, or names why it cannot."""

from collections.abc import Callable

from webapp.stages.design.controls import Control, control_of
from webapp.stages.design.proposal import charging
from webapp.stages.design.proposal.builder import Builder, CannotPropose
from webapp.stages.design.proposal.patterns.floats import float_with_override
from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.proposal.patterns.key_switch import ignition
from webapp.stages.design.proposal.patterns.laying import Laying
from webapp.stages.design.proposal.patterns.relays import by_relay
from webapp.stages.design.proposal.patterns.simple import contact, permanent
from webapp.stages.design.proposal.patterns.starting import start, starter
from webapp.stages.design.proposal.patterns.wipers import self_parking
from webapp.stages.design.proposal.supply import Supply

PATTERNS: dict[str, Callable[[Laying, Group], None]] = {
    "permanent": permanent,
    "contact": contact,
    "relay": by_relay,
    "float with override": float_with_override,
    "ignition": ignition,
    "start": start,
    "starter": starter,
    "self-parking": self_parking,
}


class Meeting:
    """Lays out group after group."""

    def __init__(self, builder: Builder, supply: Supply) -> None:
        self.b = builder
        self.supply = supply
        self.lay = Laying(builder, supply)

    def meet_or_leave(self, group: Group) -> None:
        """Everything for one group of needs, or nothing of it, with the reason named."""
        standing, asked = self.b.checkpoint(), self.supply.checkpoint()
        try:
            control = self._checked(group)
            if group.leader.kind == "source":
                charging.source(self.lay, group)
            else:
                PATTERNS[control.pattern](self.lay, group)
        except CannotPropose as reason:
            self.b.go_back(standing)
            self.supply.go_back(asked)
            self.b.refuse(str(reason), group.leader.uid)

    def _checked(self, group: Group) -> Control:
        """Its control, or CannotPropose with the reason before anything of it is placed."""
        leader, control = group.leader, group.control
        if control is None:
            raise CannotPropose(
                f"The proposal does not know the control “{leader.control}”: "
                f"enter {leader.name} by hand under Wires."
            )
        for need in group.needs[1:]:
            if control_of(need.control) != control:
                raise CannotPropose(
                    f"{need.name} says it works with {leader.name} but is controlled by "
                    f"“{need.control}”, not “{leader.control}”."
                )
        self._check_voltage(group)
        if control.pattern == "starter" and (len(group.needs) > 1 or leader.quantity > 1):
            raise CannotPropose(f"{leader.name}: the proposal lays one starter cable, not several.")
        return control

    def _check_voltage(self, group: Group) -> None:
        nominal = self.b.inputs.nominal_v
        for need in group.needs:
            if not 0.7 * nominal <= need.rated_at_v <= 1.35 * nominal:
                raise CannotPropose(
                    f"{need.name} is rated at {need.rated_at_v:g} V and the loom is "
                    f"{nominal} V: it needs a converter, which the proposal does not choose."
                )
