"""Supply, protection, loads and their returns."""

from collections import Counter
from collections.abc import Iterator

from webapp.sizing.fuse_gates import FUSE_KIND_IDS, family
from webapp.stages.design.currents import LoadFigures
from webapp.stages.design.findings.finding import COMMON_PRACTICE, Rule, Said, View, change
from webapp.stages.design.findings.fuse_mends import LASTING_SHARE, fuse_mend
from webapp.stages.design.fit_out import CARRIES_NEED
from webapp.stages.design.rows import Bridge

# 33 CFR 183.455 has 7 inches from the source; the trade rounds it. Elsewhere common practice.
CRAFT_WITHIN_MM = 200
OTHER_WITHIN_MM = 300


def supply_given(view: View) -> Iterator[Said]:
    if view.figures.circuitry.supply is None:
        yield Said(
            "basis",
            "basis",
            "There is no supply: add a battery or other source under Fittings.",
        )


def source_protected(view: View) -> Iterator[Said]:
    craft = view.design.setting == "craft"
    within = CRAFT_WITHIN_MM if craft else OTHER_WITHIN_MM
    source = "33 CFR 183.455 (7 in)" if craft else COMMON_PRACTICE
    for uid, length_mm in view.figures.circuitry.unprotected_mm.items():
        link = view.design.link[uid]
        if link.starter_cable or length_mm <= within:
            continue
        yield Said(
            "wire",
            uid,
            f"Nothing protects it: it leaves the supply without a fuse-link and ends after "
            f"{length_mm:,.0f} mm; a fuse-link must stand within {within} mm.",
            source=source,
        )


def starter_cable_serves_starter(view: View) -> Iterator[Said]:
    for link in view.design.link.values():
        if not link.starter_cable:
            continue
        served = [load.need for load in view.figures.loads_through.get(link.uid, [])]
        if not any(need and need.control.strip().lower() == "start solenoid" for need in served):
            yield Said(
                "wire",
                link.uid,
                "It is marked as a starter cable, which alone may go without a fuse-link, but it "
                "feeds no starter motor.",
                change("It is no starter cable", "link", link.uid, "starter_cable", False),
            )


def fuse_rated(view: View) -> Iterator[Said]:
    for bridge in _fuses(view):
        if bridge.fuse_a is None and _used(view, bridge):
            yield Said(
                "fitting",
                bridge.fitting_uid,
                f"{_fuse_name(view, bridge)} has no fuse-link rating yet.",
                fuse_mend(view, bridge),
            )


def fuse_carries_load(view: View) -> Iterator[Said]:
    for bridge in _fuses(view):
        amps = view.figures.heat_a(bridge.uid)
        if bridge.fuse_a and amps > bridge.fuse_a * 1.005:
            yield Said(
                "fitting",
                bridge.fitting_uid,
                f"{_fuse_name(view, bridge)}: the fuse-link of {bridge.fuse_a:g} A carries "
                f"{amps:.3g} A and would open.",
                fuse_mend(view, bridge),
            )


def fuse_has_reserve(view: View) -> Iterator[Said]:
    for bridge in _fuses(view):
        if not bridge.fuse_a or view.figures.heat_a(bridge.uid) > bridge.fuse_a * 1.005:
            continue
        lasting = view.figures.lasting_a(bridge.uid)
        if lasting > bridge.fuse_a * LASTING_SHARE * 1.005:
            yield Said(
                "fitting",
                bridge.fitting_uid,
                f"{_fuse_name(view, bridge)}: {lasting:.3g} A lasting is "
                f"{100 * lasting / bridge.fuse_a:.0f} % of the {bridge.fuse_a:g} A fuse-link; "
                f"75 % is usual.",
                fuse_mend(view, bridge),
            )


def fuse_family_known(view: View) -> Iterator[Said]:
    for bridge in _fuses(view):
        if _used(view, bridge) and bridge.fuse_kind not in FUSE_KIND_IDS:
            kind = f"“{bridge.fuse_kind}”" if bridge.fuse_kind else "its family of fuse-links"
            yield Said(
                "fitting",
                bridge.fitting_uid,
                f"{_fuse_name(view, bridge)}: {kind} is not known here, so what it breaks, its "
                f"voltage and whether it clears a short in time are not judged. Its maker says.",
            )


def fuse_breaks_fault(view: View) -> Iterator[Said]:
    for uid, fault_a in view.prospective_a.items():
        bridge = view.design.bridge[uid]
        if bridge.fuse_kind not in FUSE_KIND_IDS or not bridge.fuse_a:
            continue
        kind = family(bridge.fuse_kind or "")
        if fault_a > kind.breaking_capacity_a:
            yield Said(
                "fitting",
                bridge.fitting_uid,
                f"{_fuse_name(view, bridge)}: a short can draw about {fault_a:,.0f} A from a new "
                f"battery; this fuse-link breaks {kind.breaking_capacity_a:,.0f} A.",
                source=kind.limits_source.text,
            )


def fuse_stands_voltage(view: View) -> Iterator[Said]:
    volts = view.design.basis.heat_at_v
    for uid in view.prospective_a:
        bridge = view.design.bridge[uid]
        if bridge.fuse_kind not in FUSE_KIND_IDS or not bridge.fuse_a:
            continue
        kind = family(bridge.fuse_kind or "")
        if volts > kind.rated_voltage_v:
            yield Said(
                "fitting",
                bridge.fitting_uid,
                f"{_fuse_name(view, bridge)}: the fuse-link is rated {kind.rated_voltage_v:g} V "
                f"and the system reaches {volts:g} V.",
                source=kind.limits_source.text,
            )


def fuse_suits_load(view: View) -> Iterator[Said]:
    for load in view.figures.loads.values():
        most = load.bridge.max_fuse_a
        fuse = view.figures.fuse_of_load(load)
        if most is not None and fuse is not None and (fuse.fuse_a or 0.0) > most:
            yield Said(
                "fitting",
                load.bridge.fitting_uid,
                f"Its own leads and switch allow a fuse-link of {most:g} A at most; "
                f"{_fuse_name(view, fuse)} has {fuse.fuse_a:g} A.",
                fuse_mend(view, fuse),
            )


def loads_fed(view: View) -> Iterator[Said]:
    for load in view.figures.loads.values():
        if load.path.feed is None:
            yield Said(
                "fitting",
                load.bridge.fitting_uid,
                f"No wire leads from the supply to this {_what(load)}.",
            )


def loads_returned(view: View) -> Iterator[Said]:
    back = "negative return" if view.design.setting == "craft" else "return path"
    for load in view.figures.loads.values():
        if load.path.back is None:
            yield Said(
                "fitting",
                load.bridge.fitting_uid,
                f"It has no {back}: no wire leads from this {_what(load)} back to the supply.",
            )


def _what(load: LoadFigures) -> str:
    return "coil" if load.bridge.kind == "coil" else "load"


def loads_known(view: View) -> Iterator[Said]:
    for bridge in view.design.bridge.values():
        if bridge.kind == "load" and bridge.need_uid is None and bridge.load_a is None:
            yield Said(
                "fitting",
                bridge.fitting_uid,
                "No need says what it takes: enter its current, propose the loom again, or remove "
                "it.",
            )


def drops_allowed(view: View) -> Iterator[Said]:
    for drop in view.figures.drops:
        if drop.drop_percent <= drop.limit_percent * 1.001:
            continue
        feeds = [uid for uid in drop.load.path.edges if uid in view.design.link]
        if not feeds:
            continue
        name = drop.load.need.name if drop.load.need else view.name(drop.load.bridge.fitting_uid)
        yield Said(
            "wire",
            feeds[0],
            f"{name} loses {drop.drop_v:.2f} V on the way out and back, "
            f"{drop.drop_percent:.1f} % of {view.design.basis.drop_at_v:g} V; "
            f"{drop.limit_percent:g} % is allowed. Thicken the wires that carry it.",
        )


def needs_met(view: View) -> Iterator[Said]:
    served = Counter(
        bridge.need_uid
        for bridge in view.design.bridge.values()
        if bridge.kind in CARRIES_NEED and bridge.need_uid
    )
    for need in view.design.need.values():
        if served[need.uid] < need.quantity:
            missing = need.quantity - served[need.uid]
            words = (
                "nothing in the design serves it yet"
                if missing == need.quantity
                else (f"{missing} of {need.quantity} are not in the design yet")
            )
            yield Said("need", need.uid, f"{need.name}: {words}.")


def insulated_return_poles(view: View) -> Iterator[Said]:
    if view.design.polarity == "insulated return" and view.design.link:
        yield Said(
            "basis",
            "basis",
            "Insulated return: the fuse-links stand in the positive feed. Where your code asks for "
            "protection or switching in both poles, add it by hand.",
        )


def figures_confirmed(view: View) -> Iterator[Said]:
    remembered = {
        reason.source
        for link in view.design.link.values()
        if (stands := view.figures.wire(link.uid).capacity) is not None
        for reason in stands.table.reasons
        if not reason.confirmed
    }
    if remembered:
        yield Said(
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
    Rule(
        "supply",
        "error",
        "At least 1 battery or other supply.",
        COMMON_PRACTICE,
        supply_given,
    ),
    Rule(
        "source unprotected",
        "error",
        f"A fuse-link within {CRAFT_WITHIN_MM} mm of wire from the supply on craft, "
        f"{OTHER_WITHIN_MM} mm elsewhere; starter cables may go without.",
        f"33 CFR 183.455 (7 in) on craft; elsewhere {COMMON_PRACTICE}",
        source_protected,
    ),
    Rule(
        "starter cable",
        "error",
        "A cable marked as a starter cable feeds at least 1 starter motor.",
        "33 CFR 183.455 lets the conductors of cranking motors go without, from memory",
        starter_cable_serves_starter,
    ),
    Rule(
        "fuse rating",
        "error",
        "Every fuse-link that a wire leaves has a rating in A.",
        COMMON_PRACTICE,
        fuse_rated,
    ),
    Rule(
        "fuse too small",
        "error",
        "A fuse-link carries at most 100 % of its rating: all that lasts, and the largest load "
        "with a duty on top.",
        COMMON_PRACTICE,
        fuse_carries_load,
    ),
    Rule(
        "fuse near its rating",
        "warning",
        f"A lasting load is at most {100 * LASTING_SHARE:.0f} % of the fuse-link's rating.",
        COMMON_PRACTICE,
        fuse_has_reserve,
    ),
    Rule(
        "fuse family unknown",
        "warning",
        "Every fuse-link that a wire leaves is of 1 family whose gates and limits are known here.",
        COMMON_PRACTICE,
        fuse_family_known,
    ),
    Rule(
        "breaking capacity",
        "error",
        "A fuse-link breaks the current in A that a new battery drives into a short just behind "
        "it.",
        "the fuse-link family's standard",
        fuse_breaks_fault,
    ),
    Rule(
        "fuse voltage",
        "error",
        "A fuse-link is rated for the charging voltage in V.",
        "the fuse-link family's standard",
        fuse_stands_voltage,
    ),
    Rule(
        "fuse too big for load",
        "error",
        "A load's fuse-link is at most the rating in A that the load's own leads allow.",
        "as its maker or the customer says",
        fuse_suits_load,
    ),
    Rule(
        "no feed",
        "error",
        "Every load and coil has 1 path from the supply.",
        COMMON_PRACTICE,
        loads_fed,
    ),
    Rule(
        "no return",
        "error",
        "Every load and coil has 1 path back to the supply: no earth is a fault.",
        COMMON_PRACTICE,
        loads_returned,
    ),
    Rule(
        "load unknown",
        "error",
        "Every load takes its current in A from a need or from what was typed.",
        COMMON_PRACTICE,
        loads_known,
    ),
    Rule(
        "drop",
        "error",
        "The drop out and back at the discharged voltage is at most the need's limit in %.",
        "the need's own limit",
        drops_allowed,
    ),
    Rule(
        "need unmet",
        "error",
        "As many loads or sources in the design as the need's quantity says.",
        COMMON_PRACTICE,
        needs_met,
    ),
    Rule(
        "poles protected",
        "note",
        "On insulated return 1 pole, the positive, has the fuse-links.",
        COMMON_PRACTICE,
        insulated_return_poles,
    ),
    Rule(
        "unconfirmed",
        "note",
        "No wire rests on a table value in A that is only remembered.",
        "the standard that the job names",
        figures_confirmed,
    ),
)
