"""Meets each group of needs by the pattern of its control, or names why it cannot."""

from collections.abc import Callable

from webapp.stages.design.controls import Control, control_of
from webapp.stages.design.proposal import charging
from webapp.stages.design.proposal.builder import Builder, CannotPropose
from webapp.stages.design.proposal.patterns.ammeter import ammeter
from webapp.stages.design.proposal.patterns.change_over import change_over, flasher, two_way
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
from webapp.stages.design.rows import Need

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
# What some needs ask for, and the patterns that can give it.
IN_NEUTRAL = frozenset({"permanent", "contact", "relay", "two-way", "start"})
SEVERAL_FEEDS = IN_NEUTRAL | {"float with override"}
MOST_FEEDS = 4


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
        self._check_wishes(group)
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

    def _check_wishes(self, group: Group) -> None:
        """What the needs ask for besides and the pattern cannot give is said, not passed over."""
        leader, pattern = group.leader, group.pattern
        if leader.kind == "source":
            return
        for need in group.needs:
            if need.only_in_neutral and pattern not in IN_NEUTRAL:
                raise CannotPropose(
                    f"{need.name} is to work only in neutral, and by “{leader.control}” it cannot: "
                    f"say so of the circuit that starts the engine."
                )
            if (need.feeds > 1 and pattern not in SEVERAL_FEEDS) or need.feeds > MOST_FEEDS:
                raise CannotPropose(
                    f"{need.name} is to have {need.feeds} feeds; by “{leader.control}” the "
                    f"proposal lays {MOST_FEEDS if pattern in SEVERAL_FEEDS else 1} at most."
                )
            if need.to_field_terminal and group.in_earth:
                raise CannotPropose(
                    f"{need.name} returns through the field terminal and so cannot be switched in "
                    f"the earth."
                )
            if need.apart_from_uid in {other.uid for other in group.needs} - {need.uid}:
                raise CannotPropose(
                    f"{need.name} must not fail together with "
                    f"{self.b.inputs.need[need.apart_from_uid or ''].name}, and both are switched "
                    f"together behind one fuse-link: give one of them a control of its own."
                )
            self._say_lead(group, need)

    def _say_lead(self, group: Group, need: Need) -> None:
        fed_by_lead = group.pattern == "permanent" and len(group.needs) == need.quantity == 1
        if need.own_lead and not fed_by_lead:
            self.b.say(
                f"{need.name}: its own lead cannot be laid in, as its feed is switched or shared; "
                f"wires are laid to it.",
                need.uid,
            )
