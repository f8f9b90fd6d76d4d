"""The test plan of one unit, from its design."""

from dataclasses import dataclass
from functools import cached_property

from webapp.sizing.acceptance import isolation_limit, resistance_limit_mohm
from webapp.sizing.conductors import SOLID_AWG, STRANDED_AWG, Conductor, conductor, nearest_awg
from webapp.sizing.reasons import Result, SizingError
from webapp.stages.building.parts import Parts, part
from webapp.stages.design.cables import SCREEN, laid_words
from webapp.stages.design.rows import Bridge, Circuit, Design, Need
from webapp.stages.design.wires import Wire, wires
from webapp.stages.testing.first_off import first_off_items
from webapp.stages.testing.items import KINDS, Item
from webapp.stages.testing.nets import Net, nets

AWG_KINDS = (STRANDED_AWG, SOLID_AWG)
# Enough to read the drop of a good joint, and cool in the thinnest wire: common practice.
TEST_CURRENT_A = 5.0
MOST_NAMED = 6


@dataclass(frozen=True)
class TestPlan:
    """All items, in the order in which they are made."""

    __test__ = False

    items: tuple[Item, ...]

    @cached_property
    def by_uid(self) -> dict[str, Item]:
        return {item.uid: item for item in self.items}

    def groups(self) -> dict[str, dict[str, list[Item]]]:
        """By kind, then by group: a circuit, or a terminal on a conductor."""
        found: dict[str, dict[str, list[Item]]] = {kind: {} for kind in KINDS}
        for item in self.items:
            found[item.kind].setdefault(item.group, []).append(item)
        return {kind: groups for kind, groups in found.items() if groups}


def test_plan(design: Design, parts: Parts) -> TestPlan:
    """What a unit of this design has to be tested for."""
    found = wires(design)
    return TestPlan(
        (
            *first_off_items(design, parts),
            *(_continuity(design, wire) for wire in found),
            *_isolation(design, parts),
            *_screens(design, found),
            *(_resistance(design, parts, wire) for wire in found if not _as_it_is(wire)),
            *_polarity(design, found),
            *(_function(design, need) for need in design.need.values()),
        )
    )


test_plan.__test__ = False  # type: ignore[attr-defined]


def circuit_name(circuit: Circuit) -> str:
    return f"Circuit {circuit.number}, {circuit.name}"


def _between(design: Design, wire: Wire) -> str:
    return f"{design.way_name(wire.left.way_uid)} – {design.way_name(wire.right.way_uid)}"


def _continuity(design: Design, wire: Wire) -> Item:
    return Item(
        uid=f"{wire.uid}:continuity",
        kind="continuity",
        group=circuit_name(design.circuit[wire.link.circuit_uid]),
        what=_continuity_of(design, wire),
        between=_between(design, wire),
        limit_note="continuous, and to no other way",
        wires=(wire.uid,),
    )


def _continuity_of(design: Design, wire: Wire) -> str:
    if wire.link.core == SCREEN:
        words = laid_words(design, wire.link)
        return f"Wire {wire.number}, {words}, from its cut-back end to earth"
    return f"Wire {wire.number} end to end"


def _as_it_is(wire: Wire) -> bool:
    """Has no limit of resistance: the customer's own lead, or a screen."""
    return wire.link.own_lead or wire.link.core == SCREEN


def _screens(design: Design, found: list[Wire]) -> list[Item]:
    """A screen that is joined at one end hangs on nothing at the other: with its joint lifted it is
    clear of its own cores and of whatever it passes."""
    limit = isolation_limit()
    return [
        Item(
            uid=f"{wire.uid}:isolation",
            kind="isolation",
            group="Each screen against its cores and whatever it lies on, its joint lifted",
            what=f"Wire {wire.number}, {laid_words(design, wire.link)}, cut back at its far end",
            between=f"lifted from {_joined_at(design, wire)}",
            unit="MΩ",
            low=limit.least_megohm,
            limit_note=f"at {limit.test_voltage_v:g} V d.c.",
            confirmed=all(reason.confirmed for reason in limit.reasons),
            wires=(wire.uid,),
        )
        for wire in found
        if wire.link.core == SCREEN and any(end.loose for end in wire.ends)
    ]


def _joined_at(design: Design, wire: Wire) -> str:
    return next(
        (design.way_name(end.way_uid) for end in wire.ends if not end.loose), "no way: not joined"
    )


def _isolation(design: Design, parts: Parts) -> list[Item]:
    """Each net against all others tied together, the return among them."""
    found = nets(design, parts)
    if len(found) < 2:
        return []
    limit = isolation_limit()
    return [
        Item(
            uid=f"{net.uid}:isolation",
            kind="isolation",
            group="Each against all the others and the return, tied together",
            what=f"{_net_name(design, net)}, {_some_wires(net)}",
            between=_all_wires(net),
            unit="MΩ",
            low=limit.least_megohm,
            limit_note=f"at {limit.test_voltage_v:g} V d.c.",
            confirmed=all(reason.confirmed for reason in limit.reasons),
        )
        for net in found
    ]


def _net_name(design: Design, net: Net) -> str:
    names = [circuit_name(design.circuit[uid]) for uid in net.circuits]
    return names[0] if len(names) == 1 else f"{names[0]} and {len(names) - 1} more, joined"


def _all_wires(net: Net) -> str:
    """Every number, where the name of the test has no room for them."""
    numbers = [wire.number for wire in net.wires]
    return f"wires {', '.join(numbers)}" if len(numbers) > MOST_NAMED else ""


def _some_wires(net: Net) -> str:
    numbers = [wire.number for wire in net.wires]
    more = f" and {len(numbers) - MOST_NAMED} more" if len(numbers) > MOST_NAMED else ""
    return f"wire{'' if len(numbers) == 1 else 's'} {', '.join(numbers[:MOST_NAMED])}{more}"


def wire_conductor(design: Design, parts: Parts, wire: Wire) -> Conductor:
    """The conductor of a wire by its cable, else by the design's basis.

    Raises:
        SizingError: no section, or one that the tables do not hold.
    """
    cable = part(parts, wire.link.cable_part_uid)
    facts = cable.facts if cable else {}
    kind = str(facts.get("conductor_kind") or design.basis.cable_kind)
    finish = str(facts.get("finish") or design.basis.cable_finish)
    csa_mm2 = wire.link.csa_mm2
    if csa_mm2 and kind in AWG_KINDS:
        return conductor(kind, awg=nearest_awg(csa_mm2), finish=finish)
    return conductor(kind, csa_mm2=csa_mm2, finish=finish)


def _resistance(design: Design, parts: Parts, wire: Wire) -> Item:
    limit, why_not = _resistance_limit(design, parts, wire)
    return Item(
        uid=f"{wire.uid}:resistance",
        kind="resistance",
        group=circuit_name(design.circuit[wire.link.circuit_uid]),
        what=f"Wire {wire.number}, {wire.link.csa_mm2 or 0:g} mm², {wire.length_mm or 0:,} mm",
        between=_between(design, wire),
        unit="mΩ",
        high=None if limit is None else limit.value,
        limit_note=why_not or "at 20 °C",
        test_current_a=TEST_CURRENT_A,
        confirmed=limit is not None and limit.confirmed,
        wires=(wire.uid,),
    )


def _resistance_limit(design: Design, parts: Parts, wire: Wire) -> tuple[Result | None, str]:
    if wire.length_mm is None:
        return None, "no limit: the wire has no length"
    made = sum(1 for end in wire.ends if not end.loose)
    try:
        found = wire_conductor(design, parts, wire)
        return resistance_limit_mohm(found, length_m=wire.length_mm / 1000, crimps=made), ""
    except SizingError as error:
        return None, f"no limit: {error}"


def _polarity(design: Design, found: list[Wire]) -> list[Item]:
    wired = {end.way_uid for wire in found for end in wire.ends}
    loads = [bridge for bridge in design.bridge.values() if bridge.kind == "load"]
    return [
        _polarity_item(design, load)
        for load in loads
        if load.way_a_uid in wired and load.way_b_uid in wired
    ]


def _polarity_item(design: Design, load: Bridge) -> Item:
    fitting = design.fitting[load.fitting_uid]
    feed, back = design.way[load.way_a_uid].label, design.way[load.way_b_uid].label
    return Item(
        uid=f"{load.uid}:polarity",
        kind="polarity",
        group="At each load, loads unplugged",
        what=f"{fitting.name}, {design.place[fitting.place_uid].name}",
        between=f"way {feed} against way {back}",
        limit_note=_polarity_words(design, feed, back),
    )


def _polarity_words(design: Design, feed: str, back: str) -> str:
    if design.polarity == "positive earth":
        return f"{back} is the earth, positive; {feed} is negative"
    return f"{feed} is positive, {back} is the return"


def _function(design: Design, need: Need) -> Item:
    where = design.place[need.place_uid].name
    many = f"{need.quantity} × " if need.quantity > 1 else ""
    control = "without a switch" if need.control == "permanent" else f"by {need.control}"
    if need.control_place_uid:
        control += f" at {design.place[need.control_place_uid].name}"
    return Item(
        uid=f"{need.uid}:function",
        kind="function",
        group="With dummy loads, through fuse-links of the final rating",
        what=f"{need.name}, {where}",
        between=f"dummy load {many}{need.rating:g} {need.rating_unit}",
        limit_note=f"works {control}, and nothing else works with it",
    )
