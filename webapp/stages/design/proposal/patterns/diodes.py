"""A lamp that is lit while either of two others is fed, through a diode from each."""

from webapp.stages.design.proposal.builder import CannotPropose, Target
from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.proposal.patterns.laying import Laying
from webapp.stages.design.proposal.patterns.returns import backs


def diode_fed(lay: Laying, group: Group) -> None:
    """The diodes keep either feed from lighting what belongs to the other."""
    others = _others(lay, group)
    lay.begin(group)
    leader, amps = group.leader, lay.total_a(group.needs)
    live, far = ("anode", "cathode") if lay.b.feed_is_positive else ("cathode", "anode")
    ends = []
    for number, origin in enumerate(others, start=1):
        diode = lay.b.add_fitting(
            f"{group.uid}/diode {number}",
            lay.b.smallest("diode", amps, "diode"),
            f"{leader.name} diode",
            leader.place_uid,
        )
        lay.b.join(origin, Target(diode.way(live), lay.b.spreads[origin].circuit_uid))
        ends.append(diode.way(far))
    lay.b.spread(f"{group.uid}/feed", group.circuit_uid, ends[0], [*ends[1:], *lay.feeds(group)])
    backs(lay, group)


def _others(lay: Laying, group: Group) -> list[str]:
    """What feeds the two needs that it is lit with."""
    leader, needs = group.leader, lay.b.inputs.need
    found = []
    for uid in (leader.switched_with_uid, leader.also_with_uid):
        other = needs.get(uid or "")
        if other is None:
            raise CannotPropose(
                f"{leader.name} is fed through diodes: say with which two needs it is lit."
            )
        if other.uid not in lay.b.fed:
            raise CannotPropose(
                f"{leader.name} is lit with {other.name}, which has no switched feed that a diode "
                f"could be joined to."
            )
        found.append(lay.b.fed[other.uid])
    if found[0] == found[1]:
        raise CannotPropose(
            f"{leader.name}: both needs that it is lit with have one feed; switch it with them."
        )
    return found
