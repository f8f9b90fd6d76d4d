"""One switch with two outputs: dip and main beam, either of two places, left and right."""

from webapp.stages.design.proposal.builder import CannotPropose
from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.proposal.patterns.laying import Laying
from webapp.stages.design.proposal.patterns.returns import backs


def change_over(lay: Laying, group: Group) -> None:
    """The leader's side on one output, the need switched with it on the other."""
    _check_sides(group)
    lay.begin(group)
    amps = lay.fed_a(group)
    first = group.control is not None and group.control.second == "change-over switch"
    place_uid = group.leader.second_place_uid if first else None
    changer = lay.control(group, "change-over switch", amps, place_uid=place_uid or "")
    if first:
        lighting = lay.control(group, "switch", amps)
        lay.fused(group, [lighting.way("in")], amps=amps)
        lay.b.add_link(
            f"{group.uid}/to change-over",
            group.circuit_uid,
            lighting.way("out"),
            changer.way("in"),
        )
    else:
        lay.fused(group, [changer.way("in")], amps=amps)
    for needs, way in zip(group.sides, ("a", "b"), strict=True):
        lay.feed_loads(group, changer.way(way), needs=needs, side=way)
    backs(lay, group)


def two_way(lay: Laying, group: Group) -> None:
    """Worked from two places: two change-over switches, and two wires between them."""
    second = group.leader.second_place_uid
    if second is None:
        raise CannotPropose(
            f"{group.leader.name}: two-way switches sit at two places, and the second is not given."
        )
    lay.begin(group)
    amps = lay.total_a(group.needs)
    near = lay.control(group, "change-over switch", amps)
    far = lay.control(
        group, "change-over switch", amps, words="second change-over switch", place_uid=second
    )
    lay.fused(group, [near.way("in")], amps=amps)
    for way in "ab":
        lay.b.add_link(f"{group.uid}/pair {way}", group.circuit_uid, near.way(way), far.way(way))
    lay.feed_loads(group, lay.neutral_after(group, far.way("in")))
    backs(lay, group)


def flasher(lay: Laying, group: Group) -> None:
    """The flasher unit (49, 49a) before a left-off-right switch."""
    _check_sides(group)
    lay.begin(group)
    leader, circuit, amps = group.leader, group.circuit_uid, lay.fed_a(group)
    unit = lay.b.add_fitting(
        f"{group.uid}/flasher",
        lay.b.smallest("flasher unit", amps, "flasher unit"),
        f"{leader.name} flasher unit",
        leader.relay_place_uid or lay.supply.board_place_uid,
    )
    switch = lay.control(group, group.what, amps)
    lay.fused(group, [unit.way("49")], amps=amps, origin="to flasher")
    lay.b.add_link(f"{group.uid}/flashing", circuit, unit.way("49a"), switch.way("in"))
    lay.supply.back(f"{group.uid}/flasher back", circuit, unit.way("31"))
    ways = ("right", "left") if leader.service == "indicator right" else ("left", "right")
    for needs, way in zip(group.sides, ways, strict=True):
        lay.feed_loads(group, switch.way(way), needs=needs, side=way)
    if not lay.b.feed_is_positive:
        lay.b.say(
            f"{unit_name(group)} stands in the negative feed of this positive-earth loom: take one "
            f"that is made for it.",
            leader.uid,
        )
    backs(lay, group)


def unit_name(group: Group) -> str:
    return f"{group.leader.name} flasher unit"


def _check_sides(group: Group) -> None:
    if not group.sides[1]:
        raise CannotPropose(
            f"{group.leader.name}: its switch has two sides, and no need is switched with it to "
            f"stand on the other."
        )
