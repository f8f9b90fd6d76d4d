"""What is said of a group of needs before anything of it is placed: why it cannot be met."""

from webapp.stages.design.controls import ALWAYS, Control, control_of
from webapp.stages.design.proposal.builder import Builder, CannotPropose
from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.rows import Need

# What some needs ask for, and the patterns that can give it.
IN_NEUTRAL = frozenset({"permanent", "contact", "relay", "two-way", "start"})
SEVERAL_FEEDS = IN_NEUTRAL | {"float with override"}
MOST_FEEDS = 4
# What charging.py lays out.
CHARGING = frozenset({"dynamo", "split charge"})


def can_meet(builder: Builder, group: Group) -> bool:
    try:
        checked(builder, group)
    except CannotPropose:
        return False
    return True


def checked(builder: Builder, group: Group) -> Control:
    """Its control, or CannotPropose with the reason before anything of it is placed."""
    leader, control = group.leader, group.control
    if control is None:
        raise CannotPropose(
            f"The proposal does not know the control “{leader.control}”: "
            f"enter {leader.name} by hand under Wires."
        )
    if control.pattern in CHARGING and leader.kind != "source":
        raise CannotPropose(
            f"{leader.name}: “{control.name}” is for what charges a battery, and its kind is not "
            f"source."
        )
    for need in group.needs[1:]:
        if control_of(need.control) != control:
            raise CannotPropose(
                f"{need.name} says it works with {leader.name} but is controlled by "
                f"“{need.control}”, not “{leader.control}”."
            )
    _check_voltage(builder, group)
    _check_wishes(builder, group)
    if control.pattern == "starter" and (len(group.needs) > 1 or leader.quantity > 1):
        raise CannotPropose(f"{leader.name}: the proposal lays one starter cable, not several.")
    if control.pattern == "ammeter":
        _check_ammeter(group)
    return control


def _check_ammeter(group: Group) -> None:
    need = group.leader
    if need.kind == "source" or len(group.needs) > 1 or need.quantity > 1:
        raise CannotPropose(
            f"{need.name}: one ammeter stands in the main feed, switched with nothing else, and it "
            f"is no source."
        )
    if need.rating_unit != "A":
        raise CannotPropose(f"{need.name}: give the ammeter's full scale in A.")


def _check_voltage(builder: Builder, group: Group) -> None:
    nominal = builder.inputs.nominal_v
    for need in group.needs:
        if not 0.7 * nominal <= need.rated_at_v <= 1.35 * nominal:
            raise CannotPropose(
                f"{need.name} is rated at {need.rated_at_v:g} V and the loom is "
                f"{nominal} V: it needs a converter, which the proposal does not choose."
            )


def _check_wishes(builder: Builder, group: Group) -> None:
    """What the needs ask for besides and the pattern cannot give is said, not passed over."""
    leader, pattern = group.leader, group.pattern
    if leader.kind == "source":
        return
    for need in group.needs:
        _check_live_when(group, need)
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
        if need.feeds > leader.feeds:
            raise CannotPropose(
                f"{need.name} is to have {need.feeds} feeds and works with {leader.name}, whose "
                f"feeds serve it: ask for them there."
            )
        if need.to_field_terminal and group.in_earth:
            raise CannotPropose(
                f"{need.name} returns through the field terminal and so cannot be switched in "
                f"the earth."
            )
        if need.apart_from_uid in {other.uid for other in group.needs} - {need.uid}:
            raise CannotPropose(
                f"{need.name} must not fail together with "
                f"{builder.inputs.need[need.apart_from_uid or ''].name}, and both are switched "
                f"together behind one fuse-link: give one of them a control of its own."
            )
        _say_lead(builder, group, need)


def _check_live_when(group: Group, need: Need) -> None:
    """One feed is live for all that it serves at once."""
    if group.control is None or group.control.key_position:
        return
    if group.pattern == "diode fed" and need.live_when != ALWAYS:
        raise CannotPropose(
            f"{need.name} is to be live at {need.live_when}, and it is live whenever one of the "
            f"needs is that it is lit with: say so of those."
        )
    if need.live_when != group.live_when:
        raise CannotPropose(
            f"{need.name} is to be live at {need.live_when} and works with {group.leader.name}, "
            f"which is live at {group.live_when}: give one of them a control of its own."
        )


def _say_lead(builder: Builder, group: Group, need: Need) -> None:
    fed_by_lead = group.pattern == "permanent" and len(group.needs) == need.quantity == 1
    if need.own_lead and not fed_by_lead:
        builder.say(
            f"{need.name}: its own lead cannot be laid in, as its feed is switched or shared; "
            f"wires are laid to it.",
            need.uid,
        )
