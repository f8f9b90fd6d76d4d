"""A wiper motor that runs on to its place of rest: 53 running, 53a live all the time."""

from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.proposal.patterns.laying import Laying


def self_parking(lay: Laying, group: Group) -> None:
    lay.begin(group)
    leader, circuit = group.leader, group.circuit_uid
    part = lay.b.smallest("wiper switch", lay.total_a(group), "wiper switch")
    place_uid = leader.control_place_uid or leader.place_uid
    control = lay.b.add_fitting(f"{leader.uid}/switch", part, f"{leader.name} switch", place_uid)
    parks = [placed.way("53a") for _, placed in group.loads]
    lay.b.spread(
        f"{leader.uid}/to control", circuit, lay.fused_way(group), [control.way("in"), *parks]
    )
    runs = [placed.way("53") for _, placed in group.loads]
    lay.b.spread(f"{leader.uid}/feed", circuit, control.way("run"), runs)
    lay.backs(group)
