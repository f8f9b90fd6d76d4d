"""A small current works a relay; its contact carries the load."""

from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.proposal.patterns.laying import Laying

COIL_A = 0.35  # most that a small relay's coil takes at 6 V: common practice


def by_relay(lay: Laying, group: Group) -> None:
    """Coil and contact side share the fuse-link; the relay stands beside the fuse board."""
    lay.begin(group)
    leader, circuit = group.leader, group.circuit_uid
    control = lay.control(group, group.what, COIL_A)
    part = lay.b.smallest("relay", lay.total_a(group), "relay")
    relay = lay.b.add_fitting(
        f"{leader.uid}/relay", part, f"{leader.name} relay", lay.supply.board_place_uid
    )
    lay.b.spread(
        f"{leader.uid}/to control",
        circuit,
        lay.fused_way(group, COIL_A),
        [relay.way("30"), control.way("in")],
    )
    lay.b.add_link(f"{leader.uid}/coil", circuit, control.way("out"), relay.way("86"))
    lay.supply.back(f"{leader.uid}/coil back", circuit, relay.way("85"))
    lay.b.spread(f"{leader.uid}/feed", circuit, relay.way("87"), lay.feeds(group))
    lay.backs(group)
