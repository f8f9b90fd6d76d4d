"""A permanent feed, and one contact in the feed: switch, button, or what works by itself."""

from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.proposal.patterns.laying import Laying


def permanent(lay: Laying, group: Group) -> None:
    lay.begin(group)
    lead = any(need.own_lead for need in group.needs)
    feeds = lay.feeds(group)
    lay.b.spread(
        f"{group.leader.uid}/feed",
        group.circuit_uid,
        lay.fused_way(group),
        feeds,
        own_lead=lead and len(feeds) == 1,
    )
    lay.backs(group)


def contact(lay: Laying, group: Group) -> None:
    lay.begin(group)
    leader = group.leader
    control = lay.control(group, group.what, lay.total_a(group))
    lay.b.add_link(
        f"{leader.uid}/to control", group.circuit_uid, lay.fused_way(group), control.way("in")
    )
    lay.b.spread(f"{leader.uid}/feed", group.circuit_uid, control.way("out"), lay.feeds(group))
    lay.backs(group)
