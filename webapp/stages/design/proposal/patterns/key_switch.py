"""The one key switch of the loom: off, accessory, ignition, start (terminals by DIN 72552)."""

from webapp.stages.design.controls import ACCESSORY, IGNITION, control_of
from webapp.stages.design.proposal.builder import Builder, Placed
from webapp.stages.design.proposal.supply import Supply
from webapp.stages.design.rows import Need

TERMINALS = {ACCESSORY: "75", IGNITION: "15"}
START_TERMINAL = "50"


def key_switch(builder: Builder, supply: Supply) -> Placed:
    """The key switch, where the first need that is controlled by it says."""
    return builder.placed("key") or _place(builder, supply)


def asks_for_key(need: Need) -> bool:
    """Whether this need is worked by the key, or live only while it stands somewhere."""
    return _worked_by_key(need) or need.live_when in TERMINALS


def _worked_by_key(need: Need) -> bool:
    control = control_of(need.control)
    return control is not None and control.key_position != ""


def _place(builder: Builder, supply: Supply) -> Placed:
    needs = list(builder.inputs.need.values())
    worked = [need for need in needs if _worked_by_key(need)]
    first = (worked or [need for need in needs if asks_for_key(need)])[0]
    place_uid = first.control_place_uid or first.place_uid
    accessory = any(_asks_accessory(need) for need in needs)
    part = builder.part("key-switch-accessory" if accessory else "key-switch")
    circuit = builder.add_circuit("key/circuit", "Key switch", "ignition", None)
    key = builder.add_fitting("key", part, "Key switch", place_uid)
    slot = supply.board_way("key", circuit)
    builder.add_link("key/feed", circuit, slot, key.way("30"))
    if not worked:
        builder.say(
            f"The key switch stands at {builder.place_name(place_uid)}, where {first.name} is "
            f"controlled: no need that the key works says otherwise."
        )
    for need in worked:
        if need.control_place_uid not in (None, place_uid):
            builder.say(
                f"{need.name} names another place for the key switch: there is one key "
                f"switch, at {builder.place_name(place_uid)}.",
                need.uid,
            )
    return key


def _asks_accessory(need: Need) -> bool:
    control = control_of(need.control)
    return ACCESSORY in (need.live_when, control.key_position if control else "")
