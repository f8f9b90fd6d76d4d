"""The start position of the key switch, and the starter's own cable."""

from webapp.stages.design.proposal.builder import CannotPropose
from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.proposal.patterns.key_switch import START_TERMINAL, key_switch
from webapp.stages.design.proposal.patterns.laying import Laying
from webapp.stages.design.proposal.patterns.returns import backs


def start_terminal(lay: Laying, group: Group) -> str:
    """The key's start terminal, which feeds one circuit."""
    way = key_switch(lay.b, lay.supply).way(START_TERMINAL)
    if lay.b.leaves_from(way):
        raise CannotPropose(
            f"{group.leader.name}: the key's start position works something else already; say that "
            f"they work together, or choose another control."
        )
    return way


def start(lay: Laying, group: Group) -> None:
    live = start_terminal(lay, group)
    lay.begin(group)
    lay.feed_loads(group, lay.neutral_after(group, live))
    backs(lay, group)


def starter(lay: Laying, group: Group) -> None:
    """The starter cable has no fuse-link: the only wire for which that holds."""
    lay.begin(group)
    for number, (need, placed) in enumerate(group.loads, start=1):
        origin = f"{need.uid}/starter/{number}"
        lay.supply.switched.add(f"{origin}/feed", group.circuit_uid, placed.way("30"), starter=True)
        lay.supply.heavy_back(f"{origin}/back", group.circuit_uid, placed.way("31"), starter=True)
    lay.b.say(
        f"{group.leader.name}: its cable has no fuse-link, the only wire for which that is "
        f"allowed. Keep it short, clear of edges and in a covering of its own.",
        group.leader.uid,
    )
