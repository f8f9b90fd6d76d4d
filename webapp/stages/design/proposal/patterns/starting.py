"""The start circuit of the key switch, and the starter's own cable."""

from webapp.stages.design.proposal.builder import CannotPropose
from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.proposal.patterns.key_switch import key_switch
from webapp.stages.design.proposal.patterns.laying import Laying


def start(lay: Laying, group: Group) -> None:
    key = key_switch(lay)
    leader = group.leader
    if key.way("50") in {link.from_way_uid for link in lay.b.link.values()}:
        raise CannotPropose(
            f"{leader.name}: the key's start position works something else already; say that "
            f"they work together, or choose another control."
        )
    lay.begin(group)
    circuit = group.circuit_uid
    live = key.way("50")
    if any(need.only_in_neutral for need in group.needs):
        neutral = lay.b.add_fitting(
            f"{leader.uid}/neutral",
            lay.b.smallest("neutral switch", lay.total_a(group), "neutral switch"),
            "Gearbox neutral switch",
            leader.place_uid,
        )
        lay.b.add_link(f"{leader.uid}/to neutral", circuit, live, neutral.way("in"))
        live = neutral.way("out")
    lay.b.spread(f"{leader.uid}/feed", circuit, live, lay.feeds(group))
    lay.backs(group)


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
