"""A wiper motor that runs on to its place of rest: 53 running, 53a live all the time."""

from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.proposal.patterns.laying import Laying
from webapp.stages.design.proposal.patterns.returns import backs


def self_parking(lay: Laying, group: Group) -> None:
    lay.begin(group)
    amps = lay.total_a(group.needs)
    control = lay.b.add_fitting(
        f"{group.uid}/switch",
        lay.switchgear(group, "wiper switch", amps),
        f"{group.leader.name} switch",
        group.place_uid,
    )
    parks = [placed.way("53a") for _, placed in group.loads]
    lay.fused(group, [control.way("in"), *parks], amps=amps)
    runs = [placed.way("53") for _, placed in group.loads]
    lay.b.spread(f"{group.uid}/feed", group.circuit_uid, control.way("run"), runs)
    backs(lay, group)
