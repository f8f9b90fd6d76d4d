"""Cases of the rules about returns and poles."""

from dataclasses import replace
from functools import cache

from tests.stages.design.findings.case import Case
from tests.stages.design.findings.samples import SOUND
from tests.stages.design.need_lists import CATALOGUE, design, lamp
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import Bridge, Design, Link


@cache
def radio_and_heater() -> Design:
    radio = lamp(
        "radio", name="Radio", kind="electronics", control="permanent", rating=2.0, rating_unit="A"
    )
    heater = lamp("heater", name="Heater", kind="resistive", rating=15.0, rating_unit="A")
    return propose(design([radio, heater], fuse_board_place_uid="battery box"), CATALOGUE).design


def way_of(after: Design, need_uid: str, label: str) -> str:
    bridge = next(
        each for each in after.bridge.values() if each.need_uid == need_uid and each.kind == "load"
    )
    return next(way.uid for way in after.ways_of[bridge.fitting_uid] if way.label == label)


def on(after: Design, way_uid: str) -> Link:
    return next(
        each for each in after.link.values() if way_uid in (each.from_way_uid, each.to_way_uid)
    )


def shared() -> Design:
    """The radio's return led to the heater's terminal."""
    before = radio_and_heater()
    minus = way_of(before, "radio", "−")
    link = on(before, minus)
    led = replace(link, from_way_uid=minus, to_way_uid=way_of(before, "heater", "−"), route=())
    rest = {uid: each for uid, each in before.crossing.items() if each.link_uid != link.uid}
    return replace(before, link=before.link | {link.uid: led}, crossing=rest)


def crossed() -> Design:
    """The radio's two wires exchanged."""
    before = radio_and_heater()
    plus, minus = way_of(before, "radio", "+"), way_of(before, "radio", "−")
    other = {plus: minus, minus: plus}
    rows = {
        each.uid: replace(
            each,
            from_way_uid=other.get(each.from_way_uid or "", each.from_way_uid),
            to_way_uid=other.get(each.to_way_uid or "", each.to_way_uid),
        )
        for each in (on(before, plus), on(before, minus))
    }
    return replace(before, link=before.link | rows)


def with_diode(anode: str, cathode: str) -> Design:
    """A diode across the relay's coil, which is fed at 86."""
    relay = next(each for each in SOUND.fitting.values() if each.kind == "relay")
    ways = {way.label: way.uid for way in SOUND.ways_of[relay.uid]}
    diode = Bridge(
        uid="diode",
        fitting_uid=relay.uid,
        way_a_uid=ways[anode],
        way_b_uid=ways[cathode],
        kind="diode",
    )
    return replace(SOUND, bridge=SOUND.bridge | {diode.uid: diode})


def switched_return() -> Design:
    """The bar's joint to one return made a contact."""
    bar = next(
        each
        for each in SOUND.bridge.values()
        if each.kind == "joined" and SOUND.fitting[each.fitting_uid].kind == "bar"
    )
    return replace(SOUND, bridge=SOUND.bridge | {bar.uid: replace(bar, kind="contact")})


def shorted(start: str) -> Design:
    """A wire from this way of the heater's switch to the heater's return."""
    before = radio_and_heater()
    switch = next(each for each in before.fitting.values() if each.kind == "switch")
    start_uid = next(way.uid for way in before.ways_of[switch.uid] if way.label == start)
    like = on(before, way_of(before, "heater", "−"))
    wire = replace(
        like, uid="short", origin="", number=99, from_way_uid=start_uid, to_way_uid=like.to_way_uid
    )
    return replace(before, link=before.link | {wire.uid: wire})


def turned_round() -> Design:
    """The heater turned round by contacts: its + to the return by a switch more."""
    before = radio_and_heater()
    switch = next(each for each in before.fitting.values() if each.kind == "switch")
    minus = on(before, way_of(before, "heater", "−"))
    ways = [
        replace(way, uid=f"more {way.label}", fitting_uid="more")
        for way in before.ways_of[switch.uid]
    ]
    more = replace(switch, uid="more", name="Other switch", origin="")
    contact = Bridge(
        uid="more contact", fitting_uid="more", way_a_uid="more in", way_b_uid="more out",
        kind="contact",
    )  # fmt: skip
    wires = [
        replace(minus, uid="one", origin="", number=98, from_way_uid=way_of(before, "heater", "+"),
                to_way_uid="more in"),
        replace(minus, uid="two", origin="", number=99, from_way_uid="more out"),
    ]  # fmt: skip
    return replace(
        before,
        fitting=before.fitting | {"more": more},
        way=before.way | {way.uid: way for way in ways},
        bridge=before.bridge | {contact.uid: contact},
        link=before.link | {wire.uid: wire for wire in wires},
    )


CASES = (
    Case("poles joined", lambda: shorted("out"), turned_round),
    Case("poles joined by contacts", turned_round, lambda: shorted("out")),
    Case("earth shared", shared, radio_and_heater),
    Case("wrong polarity", crossed, radio_and_heater, mended=True),
    Case("diode reversed", lambda: with_diode("86", "85"), lambda: with_diode("85", "86")),
    Case("switched return", switched_return),
)
