"""A permanent feed, and one contact: switch, button, or what works by itself."""

from webapp.stages.design.proposal.patterns.gauges import gauge
from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.proposal.patterns.laying import Laying
from webapp.stages.design.proposal.patterns.loads import load_ways
from webapp.stages.design.proposal.patterns.returns import backs, one_back


def permanent(lay: Laying, group: Group) -> None:
    """Live all the time, or while the key stands where the control or the need says."""
    if group.leader.kind == "sender" and group.what == "key switch":
        gauge(lay, group)
        return
    lay.begin(group)
    if group.only_in_neutral:
        _through_neutral(lay, group)
    elif group.leader.feeds > 1 and len(group.loads) > 1:
        _divided(lay, group)
    else:
        _straight(lay, group)
    lay.note_fed(group, f"{group.uid}/feed")
    backs(lay, group)


def _straight(lay: Laying, group: Group) -> None:
    feeds = lay.feeds(group)
    lead = any(need.own_lead for need in group.needs)
    if group.leader.feeds > 1:
        feeds = [lay.side_by_side(group, f"{group.uid}/feed", feeds[0])]
        lead = False
    lay.fused(
        group,
        feeds,
        origin="feed",
        amps=lay.total_a(group.needs),
        own_lead=lead and len(feeds) == 1,
    )


def _divided(lay: Laying, group: Group) -> None:
    """Each share of the loads behind a fuse-link of its own."""
    shares = lay.shares(group)
    for number, share in enumerate(shares, start=1):
        first = number == 1
        lay.fused(
            group,
            share,
            origin="feed" if first else f"feed {number}",
            side="" if first else f"feed {number}",
            amps=lay.total_a(group.needs) * len(share) / len(group.loads),
        )


def _through_neutral(lay: Laying, group: Group) -> None:
    switch = lay.neutral_switch(group)
    lay.fused(group, [switch.way("in")], amps=lay.total_a(group.needs))
    lay.feed_loads(group, switch.way("out"))


def contact(lay: Laying, group: Group) -> None:
    if group.in_earth:
        _in_earth(lay, group)
        return
    lay.begin(group)
    amps = lay.total_a(group.needs)
    control = lay.control(group, group.what, amps)
    lay.fused(group, [control.way("in")], amps=amps, wire="to control")
    lay.feed_loads(group, lay.neutral_after(group, control.way("out")))
    backs(lay, group)


def _in_earth(lay: Laying, group: Group) -> None:
    """The feed stays live; the contact lets the current back to earth."""
    lay.begin(group)
    amps = lay.total_a(group.needs)
    control = lay.control(group, group.what, amps)
    lay.fused(group, lay.feeds(group), origin="feed", amps=amps)
    ends = [load_ways(lay.b, placed)[1] for _, placed in group.loads]
    lay.b.spread(f"{group.uid}/switched", group.circuit_uid, control.way("in"), ends)
    way = lay.neutral_after(group, control.way("out"))
    one_back(lay, f"{group.uid}/control back", group.circuit_uid, way, amps)


def door_switches(lay: Laying, group: Group) -> None:
    """A courtesy lamp: fed all the time, earthed by the switch of any door."""
    lay.begin(group)
    amps = lay.total_a(group.needs)
    lay.fused(group, lay.feeds(group), origin="feed", amps=amps)
    switches = [lay.control(group, group.what, amps)]
    if group.leader.second_place_uid:
        switches.append(
            lay.control(
                group,
                group.what,
                amps,
                words="second door switch",
                place_uid=group.leader.second_place_uid,
            )
        )
    ends = [load_ways(lay.b, placed)[1] for _, placed in group.loads]
    first, *others = [switch.way("in") for switch in switches]
    lay.b.spread(f"{group.uid}/switched", group.circuit_uid, first, [*ends, *others])
    for number, switch in enumerate(switches, start=1):
        lay.supply.back(f"{group.uid}/door {number} back", group.circuit_uid, switch.way("out"))
