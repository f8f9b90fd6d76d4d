"""A float switch with a switch beside it that works the pump whatever the float does."""

from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.proposal.patterns.laying import Laying


def float_with_override(lay: Laying, group: Group) -> None:
    lay.begin(group)
    leader, circuit = group.leader, group.circuit_uid
    amps = lay.total_a(group)
    floating = lay.control(group, "float switch", amps)
    second_place = leader.second_place_uid
    if second_place is None:
        second_place = lay.supply.board_place_uid
        lay.b.say(
            f"{leader.name}: no place is given for the manual override; it stands at "
            f"{lay.b.place_name(second_place)}, beside the fuse board.",
            leader.uid,
        )
    override = lay.b.add_fitting(
        f"{leader.uid}/override",
        lay.b.smallest("switch", amps, "switch"),
        f"{leader.name} override",
        second_place,
    )
    lay.b.spread(
        f"{leader.uid}/to control",
        circuit,
        lay.fused_way(group),
        [floating.way("in"), override.way("in")],
    )
    joint = lay.b.add_fitting(
        f"{leader.uid}/joint", lay.b.part("splice-4-3"), "Splice", leader.place_uid
    )
    lay.b.add_link(f"{leader.uid}/automatic", circuit, floating.way("out"), joint.way("2"))
    lay.b.add_link(f"{leader.uid}/manual", circuit, override.way("out"), joint.way("3"))
    lay.b.spread(f"{leader.uid}/feed", circuit, joint.way("1"), lay.feeds(group))
    lay.backs(group)
