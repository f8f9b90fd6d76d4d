"""Conductors, routes and lengths."""

import math
from collections.abc import Iterator

from webapp.sizing.capacity import minimum_section
from webapp.sizing.reasons import SizingError
from webapp.stages.design.choices import cables
from webapp.stages.design.figures import WireFigures
from webapp.stages.design.findings.finding import Finding, Mend, View
from webapp.stages.design.rows import Link
from webapp.stages.design.wires import travelled


def conductor_given(view: View) -> Iterator[Finding]:
    for link in view.design.link.values():
        if link.own_lead:
            continue
        trouble = view.figures.wire(link.uid).trouble
        if trouble:
            yield Finding("conductor", "error", "wire", link.uid, trouble)


def conductor_carries(view: View) -> Iterator[Finding]:
    """The wire against its current and against the fuse-link before it."""
    for link in view.design.link.values():
        figures = view.figures.wire(link.uid)
        stands = figures.capacity
        if link.own_lead or stands is None or stands.current_a >= figures.needed_a * 0.9999:
            continue
        where = figures.surroundings
        place = f"{where.where} at {where.ambient_c:g} °C"
        if figures.heat_a > stands.current_a:
            sentence = (
                f"Carries {figures.heat_a:.3g} A and stands about {stands.current_a:.3g} A "
                f"({place})."
            )
            rule = "conductor too small"
        else:
            sentence = (
                f"Behind a fuse-link of {_rating(figures)} it must stand {figures.needed_a:.3g} A; "
                f"{link.csa_mm2:g} mm² stands about {stands.current_a:.3g} A ({place})."
            )
            rule = "fuse too big for wire"
        yield Finding(
            rule,
            "error",
            "wire",
            link.uid,
            sentence,
            stands.reasons[0].source,
            _thicker(view, link),
        )


def conductor_cool_enough(view: View) -> Iterator[Finding]:
    """What the wire really comes to beside its neighbours, where its capacity alone would do."""
    limit_c = view.design.basis.limit_c
    for link in view.design.link.values():
        figures = view.figures.wire(link.uid)
        stands, reached = figures.capacity, figures.temperature_c
        if link.own_lead or stands is None or reached is None:
            continue
        if reached > limit_c + 0.5 and stands.current_a >= figures.heat_a:
            yield Finding(
                "conductor too hot",
                "error",
                "wire",
                link.uid,
                f"Beside the wires that it lies with it comes to about {reached:.0f} °C; its "
                f"insulation stands {limit_c:g} °C. Thicken the wires that carry most there, or "
                f"part them.",
                "heat balance of the bundle",
            )


def _rating(figures: WireFigures) -> str:
    rating = figures.fuse_a
    return f"{rating:g} A" if rating is not None and math.isfinite(rating) else "the next ratings"


def _thicker(view: View, link: Link) -> Mend | None:
    """The least stocked size that would do."""
    needed = view.figures.needed_a(link)
    for csa in cables(view.design, view.catalogue):
        wire = view.figures.conductor(link, csa)
        if wire is None or csa <= (link.csa_mm2 or 0.0):
            continue
        try:
            stands, _ = view.figures.worst_capacity(link, wire)
        except SizingError:
            continue
        if stands.current_a >= needed:
            return Mend(f"Use {csa:g} mm²", "link", link.uid, "csa_mm2", csa)
    return None


def section_allowed(view: View) -> Iterator[Finding]:
    basis = view.design.basis
    least = minimum_section(basis.standard)
    for link in view.design.link.values():
        if link.own_lead or link.csa_mm2 is None:
            continue
        if link.csa_mm2 < max(least.mm2, basis.min_section_mm2) - 1e-9:
            yield Finding(
                "minimum section",
                "error",
                "wire",
                link.uid,
                f"{link.csa_mm2:g} mm² is thinner than allowed: at least "
                f"{max(least.mm2, basis.min_section_mm2):.3g} mm².",
                least.reasons[0].source,
            )


def routed(view: View) -> Iterator[Finding]:
    for link in view.design.link.values():
        if link.route is None:
            yield Finding(
                "no route",
                "error",
                "wire",
                link.uid,
                "It has no route: no run leads from one end to the other. Add a run, or choose "
                "the runs by hand.",
            )
        elif not _arrives(view, link):
            yield Finding(
                "route does not fit",
                "error",
                "wire",
                link.uid,
                "Its route does not lead from the one end to the other.",
            )


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


def measured(view: View) -> Iterator[Finding]:
    for wire in view.wires:
        if wire.route is not None and wire.length_mm is None:
            yield Finding(
                "no length",
                "error",
                "wire",
                wire.link.uid,
                f"Wire {wire.number} has no length: a run on its route is not measured yet.",
            )
        elif wire.length_mm is not None and wire.length_mm < (wire.route_mm or 0):
            yield Finding(
                "short length",
                "warning",
                "wire",
                wire.link.uid,
                f"Wire {wire.number} is set to {wire.length_mm:,} mm and its route alone is "
                f"{wire.route_mm:,} mm.",
            )


def coloured(view: View) -> Iterator[Finding]:
    for link in view.design.link.values():
        if not link.main and not link.own_lead:
            yield Finding("no colour", "error", "wire", link.uid, "It has no colour yet.")


def ends_go_somewhere(view: View) -> Iterator[Finding]:
    for wire in view.wires:
        for side, end in zip(("left", "right"), wire.ends, strict=True):
            if end.way_uid is None and not end.made.loose_mm:
                yield Finding(
                    "end goes nowhere",
                    "error",
                    "wire",
                    wire.link.uid,
                    f"The {side} end of wire {wire.number} goes nowhere: choose a way, or say that "
                    f"it is left loose and how long.",
                )
            elif end.way_uid is None and not end.made.tag:
                yield Finding(
                    "loose end untagged",
                    "warning",
                    "wire",
                    wire.link.uid,
                    f"The {side} end of wire {wire.number} is left loose without a tag.",
                )


RULES = (
    conductor_given,
    conductor_carries,
    conductor_cool_enough,
    section_allowed,
    routed,
    measured,
    coloured,
    ends_go_somewhere,
)
