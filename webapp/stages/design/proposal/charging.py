"""Charging sources: what feeds the battery, and the fuse-link at the battery's end of its cable."""

from webapp.stages.design.proposal.builder import CannotPropose, uid_of
from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.proposal.patterns.laying import Laying
from webapp.stages.design.rows import Need


def source(lay: Laying, group: Group) -> None:
    """A charging source feeds the battery through a fuse-link at the battery's end."""
    need = group.leader
    if not lay.b.feed_is_positive:
        raise CannotPropose(
            f"{need.name}: a charging source on a positive-earth loom is not proposed; "
            f"enter it by hand once its maker's diagram is at hand."
        )
    wants_field = any(other.to_field_terminal for other in lay.b.inputs.need.values())
    alternator = wants_field or "alternator" in need.name.lower()
    group.circuit_uid = lay.b.add_circuit(
        f"{need.uid}/circuit", need.name, need.service or "charge", need.uid
    )
    for number in range(1, need.quantity + 1):
        _one_source(lay, group, need, number, alternator=alternator)


def _one_source(lay: Laying, group: Group, need: Need, number: int, *, alternator: bool) -> None:
    ways = {"D+": uid_of("alternator/field")} if alternator and number == 1 else None
    name = need.name if need.quantity == 1 else f"{need.name} {number}"
    placed = lay.b.add_fitting(
        f"{need.uid}/source/{number}",
        lay.b.part("load-alternator" if alternator else "load-source"),
        name,
        need.place_uid,
        need_uid=need.uid,
        supplied_by="customer",
        ways=ways,
    )
    amps = lay.amps(need) / 0.75
    holder = lay.b.add_fitting(
        f"{need.uid}/charge fuse/{number}",
        lay.supply.holder(amps),
        f"{name} fuse",
        lay.supply.place_uid,
    )
    origin = f"{need.uid}/charge/{number}"
    lay.supply.feed_pole.add(f"{origin}/battery", group.circuit_uid, holder.way("in"))
    plus = placed.way("B+" if alternator else "+")
    lay.b.add_link(f"{origin}/cable", group.circuit_uid, holder.way("out"), plus)
    lay.supply.heavy_back(f"{origin}/back", group.circuit_uid, placed.way("−"), starter=False)
