"""The one key switch of the loom, and what is live while it stands at ignition."""

from webapp.stages.design.controls import control_of
from webapp.stages.design.proposal.builder import Placed
from webapp.stages.design.proposal.patterns.gauges import gauge
from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.proposal.patterns.laying import Laying
from webapp.stages.design.rows import Need


def key_switch(lay: Laying) -> Placed:
    """The one key switch of the loom, where the first need that asks for it says."""
    return lay.b.placed("key") or _place_key(lay)


def _place_key(lay: Laying) -> Placed:
    asking = [need for need in lay.b.inputs.need.values() if _asks(need)]
    place_uid = asking[0].control_place_uid or asking[0].place_uid
    circuit = lay.b.add_circuit("key/circuit", "Key switch", "ignition", None)
    key = lay.b.add_fitting("key", lay.b.part("key-switch"), "Key switch", place_uid)
    slot = lay.supply.board_way("key", circuit)
    lay.b.add_link("key/feed", circuit, slot, key.way("30"))
    for need in asking:
        if need.control_place_uid not in (None, place_uid):
            lay.b.say(
                f"{need.name} names another place for the key switch: there is one key "
                f"switch, at {lay.b.place_name(place_uid)}.",
                need.uid,
            )
    return key


def _asks(need: Need) -> bool:
    control = control_of(need.control)
    return control is not None and control.what == "key switch"


def ignition(lay: Laying, group: Group) -> None:
    key = key_switch(lay)
    lay.begin(group)
    leader, circuit = group.leader, group.circuit_uid
    slot = lay.supply.key_way(leader.uid, circuit, key, "15")
    if leader.kind == "sender":
        gauge(lay, group, slot)
        return
    lay.b.spread(f"{leader.uid}/feed", circuit, slot, lay.feeds(group))
    lay.backs(group)
