"""The ways of a fitting and what joins them inside, as its part in the catalogue has them."""

from collections.abc import Callable, Mapping

from webapp.stages.catalogue import CatalogPart
from webapp.stages.design.rows import Bridge, Need, Way

# What carries the need that the fitting is there for.
CARRIES_NEED = ("load", "source", "meter")


def ways_of_part(
    part: CatalogPart,
    fitting_uid: str,
    *,
    origin: str,
    uid_of: Callable[[str], str],
    known: Mapping[str, str] | None = None,
) -> list[Way]:
    """`known` has the uids of ways that exist or were promised already, by label."""
    found = []
    for position, plan in enumerate(part.way_plans, start=1):
        way_origin = f"{origin}/way {plan.label}"
        found.append(
            Way(
                uid=(known or {}).get(plan.label) or uid_of(way_origin),
                position=position,
                origin=way_origin if origin else "",
                fitting_uid=fitting_uid,
                label=plan.label,
                contact=plan.contact,
                takes=plan.takes,
                max_a=part.number("max_a"),
            )
        )
    return found


def bridges_of_part(
    part: CatalogPart,
    fitting_uid: str,
    labels: Mapping[str, str],
    *,
    origin: str,
    uid_of: Callable[[str], str],
    need: Need | None = None,
) -> list[Bridge]:
    """`labels` has the uids of the fitting's ways."""
    found = []
    for position, (a, b, kind) in enumerate(part.bridge_plans, start=1):
        inside = f"{origin}/inside {a} {b}"
        # A fuse's row is named after the way that it protects: slots keep theirs as boards grow.
        uid = uid_of(f"{labels[b]}/fuse") if kind == "fuse" else uid_of(inside)
        carried = need if kind in CARRIES_NEED else None
        found.append(
            Bridge(
                uid=uid,
                position=position,
                origin=inside if origin else "",
                fitting_uid=fitting_uid,
                way_a_uid=labels[a],
                way_b_uid=labels[b],
                kind=kind,
                need_uid=carried.uid if carried else None,
                max_fuse_a=carried.max_fuse_a if carried else None,
                fuse_kind=part.text("fuse_kind") if kind == "fuse" else None,
                resistance_ohm=part.maybe("resistance_ohm") if kind == "resistor" else None,
            )
        )
    return found
