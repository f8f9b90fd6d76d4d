"""Conductors, routes, lengths and loose ends."""

import math
import re
from collections.abc import Iterator

from webapp.sizing.capacity import minimum_section
from webapp.sizing.reasons import SizingError
from webapp.stages.design.cables import SCREEN, is_sheathed
from webapp.stages.design.choices import cables
from webapp.stages.design.figures import WireFigures
from webapp.stages.design.findings.ends import ends_on_ways, ends_take
from webapp.stages.design.findings.finding import COMMON_PRACTICE, Mend, Rule, Said, View, change
from webapp.stages.design.findings.fuse_mends import fuse_mend
from webapp.stages.design.names import listed
from webapp.stages.design.rows import Link
from webapp.stages.design.wires import travelled

# What a bundle's temperature may be above the limit before it is said.
TOO_HOT_BY_K = 0.5


def conductor_given(view: View) -> Iterator[Said]:
    for link in view.design.link.values():
        if _needs_no_size(link):
            continue
        trouble = view.figures.wire(link.uid).trouble
        if trouble:
            yield Said("wire", link.uid, trouble)


def _needs_no_size(link: Link) -> bool:
    """The customer's own lead is as it is; a screen carries no current."""
    return link.own_lead or link.core == SCREEN


def conductor_carries(view: View) -> Iterator[Said]:
    """The wire against its current."""
    for link, figures, stands_a, place in _short_of(view):
        if figures.heat_a > stands_a:
            yield Said(
                "wire",
                link.uid,
                f"Carries {figures.heat_a:.3g} A and stands about {stands_a:.3g} A ({place}).",
                thicker(view, link),
                _capacity_source(figures),
            )


def conductor_suits_fuse(view: View) -> Iterator[Said]:
    """The wire against the fuse-link before it; parallel wires are said apart."""
    for link, figures, stands_a, place in _short_of(view):
        if figures.heat_a <= stands_a and link.uid not in view.parallel:
            yield Said(
                "wire",
                link.uid,
                f"Behind a fuse-link of {_rating(figures)} it must stand {figures.needed_a:.3g} A; "
                f"{link.csa_mm2:g} mm² stands about {stands_a:.3g} A ({place}).",
                None if _smaller_fuse_suits(view, link) else thicker(view, link),
                _capacity_source(figures),
            )


def parallel_stand_fuse(view: View) -> Iterator[Said]:
    """Where one of them parts, the other carries it all."""
    for link, figures, stands_a, place in _short_of(view):
        others = view.parallel.get(link.uid)
        if others and figures.heat_a <= stands_a:
            numbers = listed([str(view.design.link[uid].number) for uid in others])
            yield Said(
                "wire",
                link.uid,
                f"It lies parallel with wire {numbers} behind one fuse-link of {_rating(figures)}: "
                f"each must stand the whole of it, {figures.needed_a:.3g} A, and this one stands "
                f"about {stands_a:.3g} A ({place}).",
                None if _smaller_fuse_suits(view, link) else thicker(view, link),
                _capacity_source(figures),
            )


def _smaller_fuse_suits(view: View, link: Link) -> bool:
    """Whether a smaller fuse-link would put it right as well: then no one mend is right."""
    for load in view.figures.loads_through.get(link.uid, []):
        fuse = view.figures.fuse_of_load(load)
        if fuse is not None and fuse_mend(view, fuse) is not None:
            return True
    return False


def _short_of(view: View) -> Iterator[tuple[Link, WireFigures, float, str]]:
    """Wires that stand less than they must, with what they stand and where."""
    for link in view.design.link.values():
        figures = view.figures.wire(link.uid)
        stands = figures.capacity
        if _needs_no_size(link) or stands is None or stands.current_a >= figures.needed_a * 0.9999:
            continue
        where = figures.surroundings
        yield link, figures, stands.current_a, f"{where.where} at {where.ambient_c:g} °C"


def _capacity_source(figures: WireFigures) -> str:
    return figures.capacity.reasons[0].source if figures.capacity else ""


def _rating(figures: WireFigures) -> str:
    rating = figures.fuse_a
    return f"{rating:g} A" if rating is not None and math.isfinite(rating) else "the next ratings"


def thicker(view: View, link: Link, *, least_mm2: float = 0.0) -> Mend | None:
    """The least stocked size that would do, where terminals take it; a core is as its cable is."""
    if is_sheathed(view.design, link):
        return None
    needed = view.figures.needed_a(link)
    for csa, cable in cables(view.design, view.catalogue).items():
        wire = view.figures.conductor(link, csa)
        if wire is None or csa <= (link.csa_mm2 or 0.0) or csa < least_mm2:
            continue
        try:
            stands, _ = view.figures.worst_capacity(link, wire)
        except SizingError:
            continue
        if stands.current_a >= needed:
            if not ends_take(view, view.wires_of[link.uid], cable):
                return None
            return change(f"Use {csa:g} mm²", "link", link.uid, "csa_mm2", csa)
    return None


def conductor_cool_enough(view: View) -> Iterator[Said]:
    """What the wire really comes to beside its neighbours, where its capacity alone would do."""
    limit_c = view.design.basis.limit_c
    for link in view.design.link.values():
        figures = view.figures.wire(link.uid)
        stands, reached = figures.capacity, figures.temperature_c
        if link.own_lead or stands is None or reached is None:
            continue
        if reached > limit_c + TOO_HOT_BY_K and stands.current_a >= figures.heat_a:
            yield Said(
                "wire",
                link.uid,
                f"Beside the wires that it lies with it comes to about {reached:.0f} °C; its "
                f"insulation stands {limit_c:g} °C. Thicken the wires that carry most there, or "
                f"part them.",
            )


def section_allowed(view: View) -> Iterator[Said]:
    basis = view.design.basis
    least = minimum_section(basis.standard)
    wanted = max(least.mm2, basis.min_section_mm2)
    for link in view.design.link.values():
        if _needs_no_size(link) or link.csa_mm2 is None:
            continue
        if link.csa_mm2 < wanted - 1e-9:
            yield Said(
                "wire",
                link.uid,
                f"{link.csa_mm2:g} mm² is thinner than allowed: at least {wanted:.3g} mm².",
                _at_least(view, link, wanted),
                source=least.reasons[0].source,
            )


def _at_least(view: View, link: Link, csa_mm2: float) -> Mend | None:
    """The least stocked size that is allowed, where terminals take it and it carries enough."""
    allowed = [csa for csa in cables(view.design, view.catalogue) if csa >= csa_mm2 - 1e-9]
    return thicker(view, link, least_mm2=min(allowed)) if allowed else None


def routed(view: View) -> Iterator[Said]:
    for link in view.design.link.values():
        if link.route is None:
            yield Said(
                "wire",
                link.uid,
                "It has no route: no run leads from one end to the other. Add a run, or choose "
                "the runs by hand.",
            )


def route_leads_there(view: View) -> Iterator[Said]:
    for link in view.design.link.values():
        if link.route is not None and not _arrives(view, link):
            yield Said("wire", link.uid, "Its route does not lead from the one end to the other.")


def _arrives(view: View, link: Link) -> bool:
    if link.from_way_uid is None or link.to_way_uid is None:
        return True
    place = view.design.place_of_way(link.from_way_uid)
    for run_uid, _ in travelled(view.design, link):
        run = view.design.run.get(run_uid)
        if run is None or place not in (run.from_place_uid, run.to_place_uid):
            return False
        place = run.to_place_uid if place == run.from_place_uid else run.from_place_uid
    return place == view.design.place_of_way(link.to_way_uid)


def measured(view: View) -> Iterator[Said]:
    for wire in view.wires:
        if wire.route is not None and wire.length_mm is None:
            yield Said(
                "wire",
                wire.link.uid,
                f"Wire {wire.number} has no length: a run on its route is not measured yet.",
            )


def long_enough(view: View) -> Iterator[Said]:
    for wire in view.wires:
        by_hand = str(wire.segment) in wire.link.lengths_mm
        if by_hand and wire.length_mm is not None and wire.length_mm < (wire.route_mm or 0):
            yield Said(
                "wire",
                wire.link.uid,
                f"Wire {wire.number} is set to {wire.length_mm:,} mm and its route alone is "
                f"{wire.route_mm:,} mm.",
                Mend(
                    "Take the length as measured",
                    action="length as measured",
                    about=(wire.link.uid, wire.segment),
                ),
            )


def ends_go_somewhere(view: View) -> Iterator[Said]:
    for wire in view.wires:
        for side, end in zip(("left", "right"), wire.ends, strict=True):
            cut_back = wire.link.core == SCREEN and end.way_uid is None
            if end.way_uid is None and not end.made.loose_mm and not cut_back:
                yield Said(
                    "wire",
                    wire.link.uid,
                    f"The {side} end of wire {wire.number} goes nowhere: choose a way, or say that "
                    f"it is left loose and how long.",
                )


def loose_ends_tagged(view: View) -> Iterator[Said]:
    for wire in view.wires:
        for side, end in zip(("left", "right"), wire.ends, strict=True):
            if end.way_uid is None and end.made.loose_mm and not end.made.tag:
                yield Said(
                    "wire",
                    wire.link.uid,
                    f"The {side} end of wire {wire.number} is left loose without a tag.",
                )


def ends_tagged(view: View) -> Iterator[Said]:
    for wire, side, end, contact in ends_on_ways(view):
        if contact != "splice" and not end.made.tag:
            yield Said(
                "wire",
                wire.link.uid,
                f"The {side} end of wire {wire.number} has no tag.",
                change("Tag it with where it goes", "wire_end", end.uid, "tag", "chosen"),
            )


# Leads of ignition HT and of aerials; the feed of an amplifier for an aerial is none.
_KEPT_OUT = re.compile(
    r"\b(HT|high[- ]tension|spark plugs?|king|plug)\s+leads?\b|\bHT\b"
    r"|\b(aerial|antenna)(\s+(lead|cable|coax))?$",
    re.IGNORECASE,
)


def leads_kept_out(view: View) -> Iterator[Said]:
    """Known by the name of the circuit or of its need."""
    for link in view.design.link.values():
        circuit = view.design.circuit[link.circuit_uid]
        need = view.design.need.get(circuit.need_uid or "")
        names = [circuit.name, *([need.name] if need else [])]
        name = next((name for name in names if _KEPT_OUT.search(name.strip())), "")
        if link.route and name:
            yield Said(
                "wire",
                link.uid,
                f"By its name ({name}) it is an ignition HT or an aerial lead: such a lead "
                f"lies apart from the loom, which it disturbs or is disturbed by.",
            )


_CAPACITY = "the standard that the job names, or the heat balance where that is lower"

RULES = (
    Rule(
        "conductor",
        "error",
        "Every wire has a size in mm² that its cable is made in.",
        "ISO 6722-1 or IEC 60228 sizes, as the job's cable says",
        conductor_given,
    ),
    Rule(
        "conductor too small",
        "error",
        "The wire's current in A is at most what its section stands where it is worst off.",
        _CAPACITY,
        conductor_carries,
    ),
    Rule(
        "fuse too big for wire",
        "error",
        "The wire stands for ever, in A, what its fuse-link may carry without opening.",
        _CAPACITY,
        conductor_suits_fuse,
    ),
    Rule(
        "parallel wires",
        "error",
        "Each of 2 or more parallel wires behind 1 fuse-link stands for ever, in A, what the whole "
        "fuse-link may carry.",
        COMMON_PRACTICE,
        parallel_stand_fuse,
    ),
    Rule(
        "conductor too hot",
        "error",
        f"Beside its neighbours the conductor comes to at most its insulation's limit in °C, "
        f"{TOO_HOT_BY_K:g} K allowed.",
        "heat balance of the bundle",
        conductor_cool_enough,
    ),
    Rule(
        "minimum section",
        "error",
        "At least the standard's least section in mm², or the job's where that is more.",
        "the standard that the job names",
        section_allowed,
    ),
    Rule(
        "no route",
        "error",
        "At least 1 way through the runs leads from end to end.",
        COMMON_PRACTICE,
        routed,
    ),
    Rule(
        "route does not fit",
        "error",
        "The runs of a route join the 2 ends, one after the other.",
        COMMON_PRACTICE,
        route_leads_there,
    ),
    Rule(
        "no length",
        "error",
        "Every run on a wire's route has its length in mm.",
        COMMON_PRACTICE,
        measured,
    ),
    Rule(
        "short length",
        "warning",
        "A length set by hand is at least the route's in mm.",
        COMMON_PRACTICE,
        long_enough,
    ),
    Rule(
        "end goes nowhere",
        "error",
        "Each of a wire's 2 ends goes to a way, or is left loose for a length in mm.",
        COMMON_PRACTICE,
        ends_go_somewhere,
    ),
    Rule(
        "loose end untagged",
        "warning",
        "Every end left loose has 1 tag.",
        COMMON_PRACTICE,
        loose_ends_tagged,
    ),
    Rule(
        "missing tag",
        "warning",
        "Every end at a way, splices apart, has 1 tag.",
        COMMON_PRACTICE,
        ends_tagged,
    ),
    Rule(
        "lead kept out",
        "warning",
        "0 ignition HT and aerial leads lie in a run of the loom.",
        COMMON_PRACTICE,
        leads_kept_out,
    ),
)
