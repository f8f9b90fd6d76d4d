"""A small current works a relay; its contact carries the load. Two circuits, two fuse-links."""

from webapp.stages.catalogue import CatalogPart
from webapp.stages.design.proposal.builder import CannotPropose, Placed
from webapp.stages.design.proposal.patterns.group import Group
from webapp.stages.design.proposal.patterns.laying import Laying
from webapp.stages.design.proposal.patterns.loads import COIL_A
from webapp.stages.design.proposal.patterns.returns import backs
from webapp.stages.design.proposal.patterns.starting import start_terminal


def by_relay(lay: Laying, group: Group) -> None:
    lay.begin(group)
    coil_circuit = lay.b.add_circuit(
        f"{group.uid}/coil circuit",
        f"{group.leader.name}, relay coil",
        group.leader.service,
        group.leader.uid,
    )
    relays = _contacts(lay, group)
    _coils(lay, group, coil_circuit, relays)
    backs(lay, group)


def _contacts(lay: Laying, group: Group) -> list[Placed]:
    """A relay for each feed, its contact between a fuse-link and its share of the loads."""
    shares = lay.shares(group)
    place_uid = group.leader.relay_place_uid or lay.supply.board_place_uid
    relays = []
    for number, share in enumerate(shares, start=1):
        side = "" if number == 1 else f"feed {number}"
        amps = lay.total_a(group.needs) * len(share) / len(group.loads)
        relay = lay.b.add_fitting(
            f"{group.uid}/relay{side and f' {side}'}",
            _relay_part(lay, group, amps),
            f"{group.leader.name} relay",
            place_uid,
        )
        relays.append(relay)
        lay.fused(
            group,
            [relay.way("30")],
            origin=f"to relay{side and f' {side}'}",
            amps=amps,
            side=side,
            live_when="always",
        )
        ways = share
        if group.leader.feeds > 1 and len(shares) == 1:
            ways = [lay.side_by_side(group, f"{group.uid}/feed", share[0])]
        lay.b.spread(
            f"{group.uid}/feed{side and f' {side}'}", group.circuit_uid, relay.way("87"), ways
        )
    lay.note_fed(group, f"{group.uid}/feed")
    return relays


def _coils(lay: Laying, group: Group, circuit_uid: str, relays: list[Placed]) -> None:
    """86 lies towards plus, whichever pole is earthed: the diode across the coil stands so."""
    live, far = ("86", "85") if lay.b.feed_is_positive else ("85", "86")
    ins, outs = [relay.way(live) for relay in relays], [relay.way(far) for relay in relays]
    if group.in_earth:
        _earthed(lay, group, circuit_uid, ins, outs)
        return
    _fed(lay, group, circuit_uid, ins)
    for number, way in enumerate(outs, start=1):
        word = "coil back" if number == 1 else f"coil back {number}"
        lay.supply.back(f"{group.uid}/{word}", circuit_uid, way)


def _earthed(lay: Laying, group: Group, circuit_uid: str, ins: list[str], outs: list[str]) -> None:
    amps = COIL_A * len(ins)
    control = lay.control(group, group.what, amps)
    lay.fused(group, ins, origin="coil", side="coil", amps=amps, circuit_uid=circuit_uid)
    lay.b.spread(f"{group.uid}/switched", circuit_uid, control.way("in"), outs)
    way = lay.neutral_after(group, control.way("out"), circuit_uid)
    lay.supply.back(f"{group.uid}/control back", circuit_uid, way)


def _fed(lay: Laying, group: Group, circuit_uid: str, ins: list[str]) -> None:
    """The coil's feed: straight from the key, or through what is worked."""
    control = group.control
    amps = COIL_A * len(ins)
    if control and control.key_position == "start":
        live = lay.neutral_after(group, start_terminal(lay, group), circuit_uid)
        lay.b.spread(f"{group.uid}/coil", circuit_uid, live, ins, wire=f"{group.uid}/coil")
        return
    if control and control.key_position:
        if group.only_in_neutral:
            switch = lay.neutral_switch(group)
            lay.b.spread(f"{group.uid}/coil", circuit_uid, switch.way("out"), ins)
            ins = [switch.way("in")]
        lay.fused(group, ins, side="coil", amps=amps, circuit_uid=circuit_uid)
        return
    worked = lay.control(group, group.what, amps)
    lay.fused(group, [worked.way("in")], side="coil", amps=amps, circuit_uid=circuit_uid)
    live = lay.neutral_after(group, worked.way("out"), circuit_uid)
    lay.b.spread(f"{group.uid}/coil", circuit_uid, live, ins, wire=f"{group.uid}/coil")


def _relay_part(lay: Laying, group: Group, amps: float) -> CatalogPart:
    """The smallest relay that is rated for what it switches, or at least carries the current; one
    with a diode across its coil first."""
    able = [part for part in lay.b.catalogue.what("relay") if part.number("max_a") >= amps]
    if not able:
        raise CannotPropose(f"No relay in the catalogue carries {amps:.3g} A.")
    wanted = amps * lay.load_rating_share(group)
    able = [part for part in able if part.number("max_a") >= wanted] or able
    return next((part for part in able if _has_diode(part)), able[0])


def _has_diode(part: CatalogPart) -> bool:
    return any(kind == "diode" for _, _, kind in part.bridge_plans)
