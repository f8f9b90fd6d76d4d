"""A float switch with a switch beside it that works the pump whatever the float does."""

from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.proposal.patterns.laying import Laying
from webapp.stages.design.proposal.patterns.returns import backs


def float_with_override(lay: Laying, group: Group) -> None:
    lay.begin(group)
    leader, circuit = group.leader, group.circuit_uid
    amps = lay.total_a(group.needs)
    floating = lay.control(group, "float switch", amps)
    override = lay.b.add_fitting(
        f"{leader.uid}/override",
        lay.switchgear(group, "switch", amps),
        f"{leader.name} override",
        leader.second_place_uid or _beside_board(lay, group),
    )
    lay.fused(group, [floating.way("in"), override.way("in")], amps=amps)
    joint = lay.b.add_fitting(
        f"{leader.uid}/joint", lay.b.part("splice-4-3"), "Splice", leader.place_uid
    )
    lay.b.add_link(f"{leader.uid}/automatic", circuit, floating.way("out"), joint.way("2"))
    lay.b.add_link(f"{leader.uid}/manual", circuit, override.way("out"), joint.way("3"))
    lay.feed_loads(group, joint.way("1"))
    backs(lay, group)


def _beside_board(lay: Laying, group: Group) -> str:
    place_uid = lay.supply.board_place_uid
    lay.b.say(
        f"{group.leader.name}: no place is given for the manual override; it stands at "
        f"{lay.b.place_name(place_uid)}, beside the fuse board.",
        group.leader.uid,
    )
    return place_uid
