"""Supply, protection, loads and their returns."""

from collections import Counter
from collections.abc import Iterator

from webapp.sizing.fuse_gates import FUSE_KIND_IDS, family
from webapp.stages.design.findings.finding import COMMON_PRACTICE, Finding, View
from webapp.stages.design.prospective import prospective_a
from webapp.stages.design.rows import Bridge

# 33 CFR 183.455 has 7 inches from the source; the trade rounds it. Elsewhere common practice.
CRAFT_WITHIN_MM = 200
OTHER_WITHIN_MM = 300
LASTING_SHARE = 0.75


def supply_given(view: View) -> Iterator[Finding]:
    if view.figures.circuitry.supply is None:
        yield Finding(
            "supply",
            "error",
            "basis",
            "basis",
            "There is no supply: add a battery or other source under Fittings.",
        )


def source_protected(view: View) -> Iterator[Finding]:
    craft = view.design.setting == "craft"
    within = CRAFT_WITHIN_MM if craft else OTHER_WITHIN_MM
    source = "33 CFR 183.455 (7 in)" if craft else COMMON_PRACTICE
    for uid, length_mm in view.figures.circuitry.unprotected_mm.items():
        link = view.design.link[uid]
        if link.starter_cable or length_mm <= within:
            continue
        yield Finding(
            "source unprotected",
            "error",
            "wire",
            uid,
            f"Nothing protects it: it leaves the supply without a fuse-link and ends after "
            f"{length_mm:,.0f} mm; a fuse-link must stand within {within} mm.",
            source,
        )


def starter_cable_serves_starter(view: View) -> Iterator[Finding]:
    for link in view.design.link.values():
        if not link.starter_cable:
            continue
        served = [load.need for load in view.figures.loads_through.get(link.uid, [])]
        if not any(need and need.control.strip().lower() == "start solenoid" for need in served):
            yield Finding(
                "starter cable",
                "error",
                "wire",
                link.uid,
                "It is marked as a starter cable, which alone may go without a fuse-link, but it "
                "feeds no starter motor.",
            )


def fuse_rated(view: View) -> Iterator[Finding]:
    for bridge in _fuses(view):
        if bridge.fuse_a is None and _used(view, bridge):
            yield Finding(
                "fuse rating",
                "error",
                "fitting",
                bridge.fitting_uid,
                f"{_fuse_name(view, bridge)} has no fuse-link rating yet.",
            )


def fuse_carries_load(view: View) -> Iterator[Finding]:
    for bridge in _fuses(view):
        if not bridge.fuse_a:
            continue
        amps = view.figures.heat_a(bridge.uid)
        lasting = view.figures.lasting_a(bridge.uid)
        if amps > bridge.fuse_a * 1.005:
            yield Finding(
                "fuse too small",
                "error",
                "fitting",
                bridge.fitting_uid,
                f"{_fuse_name(view, bridge)}: the fuse-link of {bridge.fuse_a:g} A carries "
                f"{amps:.3g} A and would open.",
            )
        elif lasting > bridge.fuse_a * LASTING_SHARE * 1.005:
            yield Finding(
                "fuse near its rating",
                "warning",
                "fitting",
                bridge.fitting_uid,
                f"{_fuse_name(view, bridge)}: {lasting:.3g} A lasting is "
                f"{100 * lasting / bridge.fuse_a:.0f} % of the {bridge.fuse_a:g} A fuse-link; "
                f"75 % is usual.",
            )


def fuse_breaks_fault(view: View) -> Iterator[Finding]:
    for uid, fault_a in prospective_a(view.design).items():
        bridge = view.design.bridge[uid]
        if bridge.fuse_kind not in FUSE_KIND_IDS or not bridge.fuse_a:
            continue
        kind = family(bridge.fuse_kind or "")
        if fault_a > kind.breaking_capacity_a:
            yield Finding(
                "breaking capacity",
                "error",
                "fitting",
                bridge.fitting_uid,
                f"{_fuse_name(view, bridge)}: a short can draw about {fault_a:,.0f} A from a new "
                f"battery; this fuse-link breaks {kind.breaking_capacity_a:,.0f} A.",
                kind.limits_source.text,
            )
        if view.design.basis.heat_at_v > kind.rated_voltage_v:
            yield Finding(
                "fuse voltage",
                "error",
                "fitting",
                bridge.fitting_uid,
                f"{_fuse_name(view, bridge)}: the fuse-link is rated "
                f"{kind.rated_voltage_v:g} V and the system reaches "
                f"{view.design.basis.heat_at_v:g} V.",
                kind.limits_source.text,
            )


def fuse_suits_load(view: View) -> Iterator[Finding]:
    for load in view.figures.loads.values():
        most = load.bridge.max_fuse_a
        fuse = view.figures.fuse_of_load(load)
        if most is not None and fuse is not None and (fuse.fuse_a or 0.0) > most:
            yield Finding(
                "fuse too big for load",
                "error",
                "fitting",
                load.bridge.fitting_uid,
                f"Its own leads and switch allow a fuse-link of {most:g} A at most; "
                f"{_fuse_name(view, fuse)} has {fuse.fuse_a:g} A.",
                "as its maker or the customer says",
            )


def loads_fed_and_returned(view: View) -> Iterator[Finding]:
    back = "negative return" if view.design.setting == "craft" else "return path"
    for load in view.figures.loads.values():
        words = "coil" if load.bridge.kind == "coil" else "load"
        if load.path.feed is None:
            yield Finding(
                "no feed",
                "error",
                "fitting",
                load.bridge.fitting_uid,
                f"No wire leads from the supply to this {words}.",
            )
        if load.path.back is None:
            yield Finding(
                "no return",
                "error",
                "fitting",
                load.bridge.fitting_uid,
                f"It has no {back}: no wire leads from this {words} back to the supply.",
            )


def loads_known(view: View) -> Iterator[Finding]:
    for bridge in view.design.bridge.values():
        if bridge.kind == "load" and bridge.need_uid is None and bridge.load_a is None:
            yield Finding(
                "load unknown",
                "error",
                "fitting",
                bridge.fitting_uid,
                "No need says what it takes: enter its current, propose the loom again, or remove "
                "it.",
            )


def drops_allowed(view: View) -> Iterator[Finding]:
    for drop in view.figures.drops:
        if drop.drop_percent <= drop.limit_percent * 1.001:
            continue
        feeds = [uid for uid in drop.load.path.edges if uid in view.design.link]
        if not feeds:
            continue
        name = drop.load.need.name if drop.load.need else view.name(drop.load.bridge.fitting_uid)
        yield Finding(
            "drop",
            "error",
            "wire",
            feeds[0],
            f"{name} loses {drop.drop_v:.2f} V on the way out and back, "
            f"{drop.drop_percent:.1f} % of {view.design.basis.drop_at_v:g} V; "
            f"{drop.limit_percent:g} % is allowed. Thicken the wires that carry it.",
            "the need's own limit",
        )


def needs_met(view: View) -> Iterator[Finding]:
    served = Counter(
        bridge.need_uid
        for bridge in view.design.bridge.values()
        if bridge.kind in ("load", "source") and bridge.need_uid
    )
    for need in view.design.need.values():
        if served[need.uid] < need.quantity:
            missing = need.quantity - served[need.uid]
            words = (
                "nothing in the design serves it yet"
                if missing == need.quantity
                else (f"{missing} of {need.quantity} are not in the design yet")
            )
            yield Finding("need unmet", "error", "need", need.uid, f"{need.name}: {words}.")


def insulated_return_poles(view: View) -> Iterator[Finding]:
    if view.design.polarity == "insulated return" and view.design.link:
        yield Finding(
            "poles protected",
            "note",
            "basis",
            "basis",
            "Insulated return: the fuse-links stand in the positive feed. Where your code asks for "
            "protection or switching in both poles, add it by hand.",
        )


def figures_confirmed(view: View) -> Iterator[Finding]:
    remembered = {
        reason.source
        for link in view.design.link.values()
        if (stands := view.figures.wire(link.uid).capacity) is not None
        for reason in stands.table.reasons
        if not reason.confirmed
    }
    if remembered:
        yield Finding(
            "unconfirmed",
            "note",
            "basis",
            "basis",
            f"Some figures rest on remembered values ({'; '.join(sorted(remembered))}). They count "
            f"as unconfirmed until the workshop has seen the document.",
        )


def _fuses(view: View) -> Iterator[Bridge]:
    return (bridge for bridge in view.design.bridge.values() if bridge.kind == "fuse")


def _used(view: View, bridge: Bridge) -> bool:
    return bool(view.on_way.get(bridge.way_b_uid))


def _fuse_name(view: View, bridge: Bridge) -> str:
    ways = view.design.ways_of[bridge.fitting_uid]
    name = view.name(bridge.fitting_uid)
    return name if len(ways) <= 2 else f"{name}, way {view.design.way[bridge.way_b_uid].label}"


RULES = (
    supply_given,
    source_protected,
    starter_cable_serves_starter,
    fuse_rated,
    fuse_carries_load,
    fuse_breaks_fault,
    fuse_suits_load,
    loads_fed_and_returned,
    loads_known,
    drops_allowed,
    needs_met,
    insulated_return_poles,
    figures_confirmed,
)
