"""Charging sources: what feeds the battery, and the fuse-link at the battery's end of its cable.

An alternator or any other source has its own cable; a dynamo comes through its control box; a
second battery is joined to the first by a relay while the engine charges.
"""

from dataclasses import replace

from webapp.stages.catalogue import CatalogPart
from webapp.stages.design.controls import control_of
from webapp.stages.design.proposal.builder import CannotPropose, Placed, Tap, uid_of
from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.proposal.patterns.key_switch import asks_for_key, key_switch
from webapp.stages.design.proposal.patterns.laying import Laying
from webapp.stages.design.proposal.patterns.loads import COIL_A, warn_polarised
from webapp.stages.design.proposal.supply import BOARD_MOST_A
from webapp.stages.design.rows import Need
from webapp.stages.design.together import starts

# The terminal that stands at the feed's voltage only while the machine charges.
FIELD = uid_of("alternator/field")
# A lasting load is 75 % of its fuse-link at most: common practice.
LASTING_SHARE = 0.75


def source(lay: Laying, group: Group) -> None:
    """What charges the battery, or a battery that is charged beside it."""
    need = group.leader
    pattern = group.pattern
    _check(lay, group)
    _say_alone(lay, need)
    group.circuit_uid = lay.b.add_circuit(
        f"{need.uid}/circuit", need.name, need.service or "charge", need.uid
    )
    if pattern == "split charge":
        _second_battery(lay, group, need)
    elif pattern == "dynamo":
        _dynamo(lay, group, need)
    else:
        warn_polarised(lay.b, [need])
        alternator = _is_alternator(lay, need)
        for number in range(1, need.quantity + 1):
            _one_source(lay, group, need, number, alternator=alternator)


def _say_alone(lay: Laying, need: Need) -> None:
    for other in lay.b.inputs.need.values():
        if need.uid == other.switched_with_uid or other.uid == need.switched_with_uid:
            lay.b.say(
                f"{need.name} charges the battery and is switched with nothing: {other.name} has a "
                f"control of its own.",
                need.uid,
            )


def _check(lay: Laying, group: Group) -> None:
    need = group.leader
    if group.pattern not in ("split charge", "dynamo"):
        return
    if need.quantity > 1:
        raise CannotPropose(f"{need.name}: the proposal lays one of these, not several.")
    if group.pattern == "split charge" and lay.supply.second is not None:
        raise CannotPropose(f"{need.name}: the proposal lays one second battery, not several.")
    if group.pattern == "dynamo" and FIELD in lay.b.way:
        raise CannotPropose(
            f"{need.name}: another machine charges this battery already, and a control box "
            f"regulates one dynamo alone."
        )


def _is_alternator(lay: Laying, need: Need) -> bool:
    """Called so, or the only machine that a charge warning lamp can go to."""
    if "alternator" in need.name.lower():
        return True
    needs = lay.b.inputs.need.values()
    others = [
        other
        for other in needs
        if other.kind == "source"
        and other is not need
        and ("alternator" in other.name.lower() or _pattern(other) == "dynamo")
    ]
    return not others and any(other.to_field_terminal for other in needs)


def _pattern(need: Need) -> str:
    control = control_of(need.control)
    return control.pattern if control else ""


def _one_source(lay: Laying, group: Group, need: Need, number: int, *, alternator: bool) -> None:
    """A cable from the machine to a fuse-link at the battery's end, and one back."""
    feed, back = ("+", "−") if lay.b.feed_is_positive else ("−", "+")
    name = need.name if need.quantity == 1 else f"{need.name} {number}"
    part = "load-source"
    if alternator:
        part = "load-alternator" if lay.b.feed_is_positive else "load-alternator-positive-earth"
    field = {f"D{feed}": FIELD} if alternator and FIELD not in lay.b.way else None
    placed = lay.b.add_fitting(
        f"{need.uid}/source/{number}",
        lay.b.part(part),
        name,
        need.place_uid,
        need_uid=need.uid,
        supplied_by="customer",
        ways=field,
    )
    if alternator and not lay.b.feed_is_positive:
        lay.b.say(
            f"{need.name}: on this positive-earth loom it must be a machine made for positive "
            f"earth. One made for negative earth would short the battery through its mounting.",
            need.uid,
        )
    origin = f"{need.uid}/charge/{number}"
    fused = _charge_fuse(lay, group, origin, f"{need.uid}/charge fuse/{number}", name, need)
    cable_to = placed.way(f"B{feed}" if alternator else feed)
    lay.b.add_link(f"{origin}/cable", group.circuit_uid, fused, cable_to)
    lay.supply.heavy_back(f"{origin}/back", group.circuit_uid, placed.way(back), starter=False)


def _charge_fuse(
    lay: Laying, group: Group, origin: str, holder_origin: str, name: str, need: Need
) -> str:
    """The fuse-link at the battery's end, behind the ammeter where there is one."""
    tap = lay.supply.feed_pole if lay.supply.meter is None else lay.supply.fed
    holder = lay.b.add_fitting(
        holder_origin,
        lay.supply.holder(lay.amps(need) / LASTING_SHARE),
        f"{name} fuse",
        lay.supply.place_uid if tap is lay.supply.feed_pole else tap.place_uid,
    )
    tap.add(f"{origin}/battery", group.circuit_uid, holder.way("in"))
    return holder.way("out")


# Dynamo


def _dynamo(lay: Laying, group: Group, need: Need) -> None:
    """D and F to the control box; A to the battery, through the ammeter; the boards hang on A1.

    A dynamo charges whichever way round it was polarised, so this holds for either earth.
    """
    box_place = need.control_place_uid or lay.supply.board_place_uid
    box_part, carries_boards = _control_box(lay, need)
    box = lay.b.add_fitting(
        f"{need.uid}/control box",
        box_part,
        f"{need.name} control box",
        box_place,
        ways={"D": FIELD},
    )
    dynamo = lay.b.add_fitting(
        f"{need.uid}/source/1",
        lay.b.part("load-dynamo"),
        need.name,
        need.place_uid,
        need_uid=need.uid,
        supplied_by="customer",
    )
    if not lay.b.feed_is_positive:
        _turn_source(lay, dynamo)
        lay.b.say(
            f"{need.name}: polarise it for positive earth before it is run, as its maker says.",
            need.uid,
        )
    circuit, origin = group.circuit_uid, f"{need.uid}/dynamo"
    lay.b.add_link(f"{origin}/D", circuit, box.way("D"), dynamo.way("D"))
    lay.b.add_link(f"{origin}/F", circuit, box.way("F"), dynamo.way("F"))
    lay.supply.back(f"{origin}/box earth", circuit, box.way("E"))
    lay.supply.heavy_back(f"{origin}/back", circuit, dynamo.way("E"), starter=False)
    lay.supply.feed_through(lay.supply.fed, f"{origin}/A", box.way("A"))
    if carries_boards:
        lay.supply.boards_from = Tap(box.way("A1"), box_place, "control box")


def _control_box(lay: Laying, need: Need) -> tuple[CatalogPart, bool]:
    """The smallest that carries the dynamo's current and the boards', and whether it does both."""
    on_boards = [
        (other, lay.amps(other) * other.quantity)
        for other in lay.b.inputs.need.values()
        if other.kind != "source" and _pattern(other) not in ("ammeter", "starter")
    ]
    on_boards = [(other, amps) for other, amps in on_boards if amps <= BOARD_MOST_A]
    boards_a = sum(amps for _, amps in on_boards)
    amps = lay.amps(need)
    # While it charges no engine is started, but a horn may sound.
    short_a = max(
        (each for other, each in on_boards if not other.continuous and not starts(other)),
        default=0.0,
    )
    try:
        most_a = max(amps + short_a, boards_a)
        return lay.b.smallest("control box", most_a, "control box"), True
    except CannotPropose:
        part = lay.b.smallest("control box", amps, "control box")
    lay.b.say(
        f"{need.name}: what the fuse boards feed may take {boards_a:.3g} A, more than a control "
        f"box carries; they are fed beside it, not from its terminal A1.",
        need.uid,
    )
    return part, False


def _turn_source(lay: Laying, machine: Placed) -> None:
    for uid, bridge in lay.b.bridge.items():
        if bridge.fitting_uid == machine.uid and bridge.kind == "source":
            lay.b.bridge[uid] = replace(
                bridge, way_a_uid=bridge.way_b_uid, way_b_uid=bridge.way_a_uid
            )


# Second battery


def _second_battery(lay: Laying, group: Group, need: Need) -> None:
    """Joined to the first by a relay, with a fuse-link at each battery's end of the link."""
    supply, circuit = lay.supply, group.circuit_uid
    feed, back = ("+", "−") if lay.b.feed_is_positive else ("−", "+")
    amps = lay.amps(need)
    relay_part = lay.b.smallest("split-charge relay", amps, "split-charge relay")
    battery = lay.b.add_fitting(
        f"{need.uid}/source/1",
        lay.b.part("supply-second"),
        need.name,
        need.place_uid,
        need_uid=need.uid,
        supplied_by="customer",
    )
    relay = lay.b.add_fitting(
        f"{need.uid}/relay",
        relay_part,
        f"{need.name} relay",
        need.relay_place_uid or supply.place_uid,
    )
    poles = (
        Tap(battery.way(feed), need.place_uid, "second battery feed"),
        Tap(battery.way(back), need.place_uid, "second battery return"),
    )
    holder_part = supply.holder(amps / LASTING_SHARE)
    ends = (
        (supply.feed_pole, supply.place_uid, "first end", relay.way("30")),
        (poles[0], need.place_uid, "second end", relay.way("87")),
    )
    for tap, place_uid, end, relay_way in ends:
        origin = f"{need.uid}/charge/{end}"
        holder = lay.b.add_fitting(
            f"{origin} fuse", holder_part, f"{need.name} fuse, {end}", place_uid
        )
        tap.add(f"{origin}/battery", circuit, holder.way("in"))
        lay.b.add_link(f"{origin}/cable", circuit, holder.way("out"), relay_way)
    _work_relay(lay, group, need, relay)
    supply.heavy_back(f"{need.uid}/charge/back", circuit, poles[1].way_uid, starter=False)
    supply.add_second(*poles)


def _work_relay(lay: Laying, group: Group, need: Need, relay: Placed) -> None:
    """Its coil is live while the machine charges; without one, so that no starter draws through
    the link, with the key at ignition only where nothing is cranked, else by a switch."""
    circuit, origin = group.circuit_uid, f"{need.uid}/relay"
    coil, coil_back = relay.way("86"), relay.way("85")
    lay.supply.back(f"{origin}/coil back", circuit, coil_back)
    keyed = any(asks_for_key(other) for other in lay.b.inputs.need.values())
    if _field_is_live(lay):
        lay.b.add_link(f"{origin}/coil", circuit, FIELD, coil)
    elif keyed and not lay.supply.has_starter:
        key = key_switch(lay.b, lay.supply)
        slot = lay.supply.key_way(f"{need.uid} coil", circuit, key, "15")
        lay.b.add_link(f"{origin}/coil", circuit, slot, coil)
    else:
        switch = lay.control(group, "switch", COIL_A, words="switch")
        slot = lay.supply.board_way(f"{need.uid} coil", circuit)
        lay.b.add_link(f"{origin}/to switch", circuit, slot, switch.way("in"))
        lay.b.add_link(f"{origin}/coil", circuit, switch.way("out"), coil)
        lay.b.say(
            f"{need.name}: no machine here says by a terminal that it charges, so a switch works "
            f"its relay; leave it off while cranking.",
            need.uid,
        )


def _field_is_live(lay: Laying) -> bool:
    """Whether a machine stands here whose terminal comes alive while it charges."""
    return any(
        bridge.kind == "cut-out" and FIELD in (bridge.way_a_uid, bridge.way_b_uid)
        for bridge in lay.b.bridge.values()
    )
