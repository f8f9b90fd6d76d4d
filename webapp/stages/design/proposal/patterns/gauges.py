"""A gauge at the control's place and its sender where the need sits."""

from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.proposal.patterns.laying import Laying


def gauge(lay: Laying, group: Group, slot: str) -> None:
    """A gauge at the control's place, its sender where the need sits."""
    leader, circuit = group.leader, group.circuit_uid
    gauge = lay.b.add_fitting(
        f"{leader.uid}/gauge",
        lay.b.part("gauge"),
        f"{leader.name} gauge",
        leader.control_place_uid or leader.place_uid,
        supplied_by="customer",
    )
    lay.b.add_link(f"{leader.uid}/to gauge", circuit, slot, gauge.way("feed"))
    lay.b.spread(f"{leader.uid}/feed", circuit, gauge.way("sender"), lay.feeds(group))
    lay.supply.back(f"{leader.uid}/gauge back", circuit, gauge.way("−"))
    lay.backs(group)
