"""A gauge at the control's place and its sender where the need sits."""

from webapp.stages.design.proposal.builder import CannotPropose
from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.proposal.patterns.laying import Laying
from webapp.stages.design.proposal.patterns.returns import backs


def gauge(lay: Laying, group: Group) -> None:
    leader = group.leader
    if leader.kind != "sender":
        raise CannotPropose(
            f"{leader.name}: a gauge reads a sender, and its kind is {leader.kind}."
        )
    lay.begin(group)
    circuit = group.circuit_uid
    placed = lay.b.add_fitting(
        f"{group.uid}/gauge",
        lay.b.part("gauge"),
        f"{leader.name} gauge",
        group.place_uid,
        supplied_by="customer",
    )
    lay.fused(group, [placed.way("feed")], amps=lay.total_a(group.needs), wire="to gauge")
    lay.b.spread(f"{group.uid}/feed", circuit, placed.way("sender"), lay.feeds(group))
    lay.supply.back(f"{group.uid}/gauge back", circuit, placed.way("−"))
    backs(lay, group)
