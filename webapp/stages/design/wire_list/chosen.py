"""What a list leaves open is chosen as for a wire that is typed: route, colour, section, ends."""

from collections.abc import Sequence
from dataclasses import replace

from webapp.stages.catalogue import Catalogue
from webapp.stages.design.choices import cables
from webapp.stages.design.editing.adding import least_section, next_colour
from webapp.stages.design.editing.edit import by_hand, put
from webapp.stages.design.editing.settling import Said, remade, route_to, settle
from webapp.stages.design.figures import Figures
from webapp.stages.design.rows import Design
from webapp.stages.design.wire_list.taker import TakenLink


def finish(
    before: Design, after: Design, catalogue: Catalogue, taken: Sequence[TakenLink]
) -> tuple[Design, Said]:
    """The design with everything chosen that the lines left open, and what is said about it."""
    said: Said = []
    after = _routed(after, taken, said)
    after = _coloured(after, taken)
    after = _sized(after, catalogue, taken, said)
    for new in (True, False):
        uids = [one.link.uid for one in taken if one.settle and one.is_new is new]
        if uids:
            # A new wire has not been anywhere before: it is settled against itself.
            after, more = settle(after if new else before, after, catalogue, uids)
            said += more
    rest = [one.link.uid for one in taken if one.remake and not one.settle]
    if rest:
        after, more = remade(before, after, catalogue, rest)
        said += more
    return after, list(dict.fromkeys(said))


def _routed(design: Design, taken: Sequence[TakenLink], said: Said) -> Design:
    rows = []
    for one in taken:
        a, b = one.places
        if one.choose_route and a is not None and b is not None:
            link = design.link[one.link.uid]
            rows.append(replace(link, route=route_to(design, a, b, link.number, said)))
    return put(design, *rows)


def _coloured(design: Design, taken: Sequence[TakenLink]) -> Design:
    for one in taken:
        if one.choose_colour:
            link = design.link[one.link.uid]
            main, tracer = next_colour(design, link, design.circuit[link.circuit_uid])
            design = put(design, by_hand(link, main=main, tracer=tracer))
    return design


def _sized(design: Design, catalogue: Catalogue, taken: Sequence[TakenLink], said: Said) -> Design:
    wanted = [one.link.uid for one in taken if one.choose_section]
    if not wanted:
        return design
    figures, offered = Figures(design), cables(design, catalogue)
    rows = []
    for uid in wanted:
        link = design.link[uid]
        csa = least_section(design, catalogue, link, figures)
        if csa is None:
            said.append(
                f"Wire {link.number}: no size of this cable stands its current here: choose one by "
                "hand."
            )
            continue
        part = offered.get(csa)
        rows.append(by_hand(link, csa_mm2=csa, cable_part_uid=part.uid if part else None))
    return put(design, *rows)
