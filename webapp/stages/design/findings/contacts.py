"""Contacts of switches and relays, and splices: what they carry against what they are made for."""

from collections.abc import Iterator

from webapp.sizing.contacts import CONTACT_LOADS, contact_rating_a
from webapp.sizing.tables.contacts import DERATING_SOURCE
from webapp.stages.catalogue import CatalogPart
from webapp.stages.design.currents import LoadFigures
from webapp.stages.design.findings.ends import end_takes
from webapp.stages.design.findings.finding import Mend, Rule, Said, View, change
from webapp.stages.design.rows import Bridge, Fitting

# Isolators are not switched under load, and flasher units are rated for lamps: common practice.
RATED_AS_THEY_ARE = frozenset({"isolator", "flasher unit"})


def contacts_rated(view: View) -> Iterator[Said]:
    """The load's kind counts: a cold lamp and a standing motor take far more than they last."""
    for bridge in view.design.bridge.values():
        fitting = view.design.fitting[bridge.fitting_uid]
        rated = view.design.way[bridge.way_a_uid].max_a
        if bridge.kind != "contact" or fitting.kind in RATED_AS_THEY_ARE or rated is None:
            continue
        amps = view.figures.heat_a(bridge.uid)
        wanted = _wanted_a(view, bridge)
        # More than it carries at all is said as a contact overloaded.
        if amps <= rated * 1.005 < wanted:
            yield Said(
                "fitting",
                fitting.uid,
                f"It switches {amps:.3g} A of {_kinds(view, bridge)}: a contact for that is rated "
                f"{wanted:.3g} A for resistive loads, this one {rated:g} A.",
                larger(view, fitting, wanted),
            )


def _wanted_a(view: View, bridge: Bridge) -> float:
    """What lasts at once, each load by its kind; of loads with a duty the one that asks most."""
    lasting, duty = 0.0, 0.0
    for load in view.figures.loads_through.get(bridge.uid, []):
        asked = contact_rating_a(
            _kind(load), load_a=load.heat_a, system_voltage_v=float(view.design.nominal_v)
        ).value
        if load.lasting:
            lasting += asked
        else:
            duty = max(duty, asked)
    return lasting + duty


def _kind(load: LoadFigures) -> str:
    if load.bridge.kind == "coil":
        return "coil"
    kind = load.need.kind if load.need else "resistive"
    return kind if kind in CONTACT_LOADS else "resistive"


def _kinds(view: View, bridge: Bridge) -> str:
    words = {"lamp": "lamps", "motor": "motors", "coil": "coils", "led": "LED lamps"}
    kinds = dict.fromkeys(_kind(load) for load in view.figures.loads_through.get(bridge.uid, []))
    return ", ".join(words.get(kind, f"{kind} loads") for kind in kinds)


def larger(view: View, fitting: Fitting, wanted_a: float) -> Mend | None:
    """The least part of the same sort and ways that will do, and that its wires can go to."""
    now = view.catalogue.get(fitting.part_uid)
    if now is None or not now.text("what") or fitting.supplied_by != "workshop":
        return None
    for part in view.catalogue.what(now.text("what")):
        if part.stocked and part.number("max_a") >= wanted_a and _alike(now, part):
            return _taking(view, fitting, part)
    return None


def _alike(one: CatalogPart, other: CatalogPart) -> bool:
    labels = [[way.label for way in part.way_plans] for part in (one, other)]
    return labels[0] == labels[1] and one.bridge_plans == other.bridge_plans


def _taking(view: View, fitting: Fitting, part: CatalogPart) -> Mend | None:
    contacts = {plan.label: plan.contact for plan in part.way_plans}
    for way in view.design.ways_of[fitting.uid]:
        for wire in view.on_way.get(way.uid, ()):
            if not end_takes(view, wire, way.uid, contacts[way.label]):
                return None
    return change(f"Use {part.name}", "fitting", fitting.uid, "part_uid", part.uid)


# Splices


def splices_carry(view: View) -> Iterator[Said]:
    for fitting, csa_mm2, amps in _splices(view):
        part = view.catalogue.get(fitting.part_uid)
        if part is not None and amps > part.number("max_a") * 1.005:
            yield Said(
                "fitting",
                fitting.uid,
                f"{amps:.3g} A pass through it and it carries {part.number('max_a'):g} A.",
                _other_splice(view, fitting, csa_mm2, amps),
            )


def splices_hold(view: View) -> Iterator[Said]:
    for fitting, csa_mm2, amps in _splices(view):
        part = view.catalogue.get(fitting.part_uid)
        if part is not None and csa_mm2 > float(part.text("suits")) + 1e-9:
            yield Said(
                "fitting",
                fitting.uid,
                f"Its wires have {csa_mm2:g} mm² in all and it takes {part.text('suits')} mm².",
                _other_splice(view, fitting, csa_mm2, amps),
            )


def _splices(view: View) -> Iterator[tuple[Fitting, float, float]]:
    """Each crimp splice with the section of all its wires, and the most that passes it. [A]"""
    for fitting in view.design.fitting.values():
        if fitting.kind != "splice":
            continue
        there = [
            wire
            for way in view.design.ways_of[fitting.uid]
            for wire in view.on_way.get(way.uid, ())
        ]
        csa = sum(wire.link.csa_mm2 or 0.0 for wire in there)
        amps = max((view.figures.heat_a(wire.link.uid) for wire in there), default=0.0)
        yield fitting, csa, amps


def _other_splice(view: View, fitting: Fitting, csa_mm2: float, amps: float) -> Mend | None:
    """The least splice of as many ways that takes both."""
    count = len(view.design.ways_of[fitting.uid])
    for part in sorted(view.catalogue.kind("splice"), key=lambda part: float(part.text("suits"))):
        enough = float(part.text("suits")) >= csa_mm2 and part.number("max_a") >= amps
        if len(part.way_plans) == count and enough:
            return change(f"Use {part.name}", "fitting", fitting.uid, "part_uid", part.uid)
    return None


RULES = (
    Rule(
        "contact rating",
        "warning",
        "A contact's rating in A is at least the lasting current times 5 for lamps and 2 for "
        "motors and coils, up to 14 V; times 4, 1.5 and 2 above. Isolators and flasher units are "
        "taken as rated.",
        f"{DERATING_SOURCE.text}, against its resistive row",
        contacts_rated,
    ),
    Rule(
        "splice overloaded",
        "error",
        "The largest current at a splice in A is at most what it carries.",
        "the splice's own figures",
        splices_carry,
    ),
    Rule(
        "splice too full",
        "error",
        "The sections of a splice's wires come to at most what it takes in mm².",
        "the splice's own figures; sections are added as in NASA-STD-8739.4 par 19.11",
        splices_hold,
    ),
)
