"""Shorts at the far end: whether the fuse-link opens in time, and whether only the nearest does."""

from collections.abc import Iterator
from itertools import pairwise

from webapp.sizing.conductors import resistance_mohm_per_m
from webapp.sizing.fuse_gates import FUSE_KIND_IDS, family, shortest_opening_s
from webapp.sizing.heat.circuit import warm_wire
from webapp.sizing.protection import fault_stood, let_through_s
from webapp.sizing.reasons import LARGEST_CURRENT_A
from webapp.sizing.selectivity import FuseLink, selectivity
from webapp.stages.design.currents import LoadFigures
from webapp.stages.design.findings.finding import Rule, Said, View
from webapp.stages.design.findings.fuse_mends import fuse_mend
from webapp.stages.design.prospective import RESTED_V_PER_CELL
from webapp.stages.design.rows import Bridge

# From here on gates speak of short circuits; families whose gates end below say nothing of them.
SHORT_TIME_PERCENT = 350


def _shorted(view: View) -> Iterator[tuple[LoadFigures, Bridge, float]]:
    """Each load with the fuse-link before it, and a dead short's current at its terminals. [A]"""
    for load in view.figures.loads.values():
        fuse = view.figures.fuse_of_load(load)
        if load.path.complete and fuse is not None and _known(fuse):
            yield load, fuse, far_fault_a(view, load)


def _clears(fuse: Bridge, fault_a: float) -> bool:
    return let_through_s(fuse.fuse_kind or "", fuse.fuse_a or 0.0, fault_a) is not None


def _judged(fuse: Bridge) -> bool:
    return family(fuse.fuse_kind or "").gates[-1].percent >= SHORT_TIME_PERCENT


def far_faults_clear(view: View) -> Iterator[Said]:
    """A dead short at a load, from an old, cold battery, through wires out and back at 20 °C."""
    for load, fuse, fault_a in _shorted(view):
        if not _clears(fuse, fault_a):
            yield Said(
                "fitting",
                load.bridge.fitting_uid,
                f"A short here draws about {fault_a:,.0f} A from an old, cold battery: the "
                f"{fuse.fuse_a:g} A fuse-link may never clear it. Thicken its wires, or feed it "
                f"from a smaller fuse-link.",
                source=family(fuse.fuse_kind or "").gates_source,
            )


def far_faults_judged(view: View) -> Iterator[Said]:
    unjudged = {
        family(fuse.fuse_kind or "").title
        for _, fuse, fault_a in _shorted(view)
        if not _judged(fuse) and _clears(fuse, fault_a)
    }
    for title in sorted(unjudged):
        yield Said(
            "basis",
            "basis",
            f"{title}: its published gates end before short circuits begin, so whether wires stand "
            f"one until it opens is not judged here. Its maker's curve says.",
        )


def wires_stand_faults(view: View) -> Iterator[Said]:
    """The wires between the fuse-link and the load while it clears; each said once, at its worst
    load."""
    said: set[str] = set()
    for load, fuse, fault_a in _shorted(view):
        if not (_judged(fuse) and _clears(fuse, fault_a)):
            continue
        for uid in _overheated(view, load, fuse, fault_a):
            if uid in said:
                continue
            said.add(uid)
            yield Said(
                "wire",
                uid,
                f"A short at its far end draws about {fault_a:,.0f} A; the {fuse.fuse_a:g} A "
                f"fuse-link may let that through for longer than "
                f"{view.design.link[uid].csa_mm2:g} mm² stands.",
            )


def _overheated(view: View, load: LoadFigures, fuse: Bridge, fault_a: float) -> Iterator[str]:
    feed = load.path.feed or ()
    behind = feed[: feed.index(fuse.uid)] if fuse.uid in feed else feed
    for uid in behind:
        link = view.design.link.get(uid)
        wire = view.figures.conductor(link) if link else None
        if link is None or wire is None or link.own_lead:
            continue
        stands = fault_stood(
            warm_wire(wire),
            fuse.fuse_kind or "",
            fuse.fuse_a or 0.0,
            fault_a,
            limit_c=view.design.basis.limit_c,
        )
        if stands is False:
            yield uid


def far_fault_a(view: View, load: LoadFigures) -> float:
    """Current into a dead short at a load's terminals. [A]"""
    mohm = view.design.basis.supply_mohm_old_cold
    for uid in load.path.edges:
        link = view.design.link.get(uid)
        wire = view.figures.conductor(link) if link else None
        if link is not None and wire is not None:
            length_mm = view.figures.circuitry.lengths_mm.get(uid, 0)
            mohm += resistance_mohm_per_m(wire, 20.0).value * length_mm / 1000
    volts = view.design.nominal_v / 2 * RESTED_V_PER_CELL
    return min(volts / max(mohm, 0.01) * 1000, LARGEST_CURRENT_A)


def inrush_passes(view: View) -> Iterator[Said]:
    for load in view.figures.loads.values():
        need, fuse = load.need, view.figures.fuse_of_load(load)
        if need is None or not need.inrush_a or not need.inrush_s:
            continue
        if fuse is None or not _known(fuse):
            continue
        others = view.figures.lasting_a(fuse.uid) - (load.heat_a if load.lasting else 0.0)
        rush_a = min(need.inrush_a + max(0.0, others), LARGEST_CURRENT_A)
        opens = shortest_opening_s(fuse.fuse_kind or "", fuse.fuse_a or 0.0, rush_a)
        if opens.time_s is not None and opens.time_s <= need.inrush_s:
            yield Said(
                "fitting",
                load.bridge.fitting_uid,
                f"It takes {rush_a:.3g} A for {need.inrush_s:g} s when it starts; the "
                f"{fuse.fuse_a:g} A fuse-link may open after {opens.time_s:g} s.",
                fuse_mend(view, fuse),
                source=family(fuse.fuse_kind or "").gates_source,
            )


def nearest_opens_first(view: View) -> Iterator[Said]:
    """One note for each pair of holders in series where the gates do not promise it."""
    faults = view.prospective_a
    said: dict[tuple[str, str], float] = {}
    for load in view.figures.loads.values():
        fuses = [view.design.bridge[uid] for uid in load.path.feed or () if _is_fuse(view, uid)]
        for near, far in pairwise(fuses):
            if not (_known(near) and _known(far)) or faults.get(near.uid, 0.0) <= 0:
                continue
            found = selectivity(
                FuseLink(far.fuse_kind or "", far.fuse_a or 0.0),
                FuseLink(near.fuse_kind or "", near.fuse_a or 0.0),
                min(faults[near.uid], LARGEST_CURRENT_A),
            )
            if found.up_to_a is not None:
                pair = (far.fitting_uid, near.fitting_uid)
                said[pair] = min(said.get(pair, found.up_to_a), found.up_to_a)
    for (far_uid, near_uid), up_to_a in said.items():
        yield Said(
            "fitting",
            near_uid,
            f"On a short of more than about {up_to_a:,.0f} A the fuse-link in "
            f"{view.name(far_uid)} may open as well as the one here.",
        )


def _is_fuse(view: View, uid: str) -> bool:
    return uid in view.design.bridge and view.design.bridge[uid].kind == "fuse"


def _known(fuse: Bridge) -> bool:
    return bool(fuse.fuse_a) and fuse.fuse_kind in FUSE_KIND_IDS


_GATES = "the fuse-link family's time-current gates"

RULES = (
    Rule(
        "fault never cleared",
        "error",
        "A dead short at the load draws, from an old, cold battery, at least the current in A at "
        "which the fuse-link's gates make it open.",
        _GATES,
        far_faults_clear,
    ),
    Rule(
        "fault heats wire",
        "error",
        "The heat in A²s that the fuse-link lets through on that short is at most what the "
        "conductor stands from its limit to 160 °C (PVC) or 250 °C (XLPE).",
        "BS 7671 regulation 434.5.2 and Table 43.1",
        wires_stand_faults,
    ),
    Rule(
        "fault not judged",
        "note",
        f"The fuse-link family's gates reach {SHORT_TIME_PERCENT} % of its rating, where short "
        "circuits begin.",
        _GATES,
        far_faults_judged,
    ),
    Rule(
        "inrush",
        "warning",
        "The load's inrush in A, with all that lasts beside it, ends in s before the fuse-link's "
        "shortest opening time.",
        _GATES,
        inrush_passes,
    ),
    Rule(
        "selectivity",
        "note",
        "Up to the prospective current in A only the fuse-link nearest a short opens.",
        "the time-current tables of both families",
        nearest_opens_first,
    ),
)
