"""One wire whole: what it is, its route, and how each of its ends is made."""

from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.cells import Taken
from webapp.pages.design_state import design_state
from webapp.pages.forms import field_as_typed
from webapp.pages.render import render
from webapp.pages.wire_table import (
    LinkRow,
    WireTable,
    colours_on_offer,
    letter_of,
    reason_formula,
)
from webapp.pages.wording import fine_mm, with_unit
from webapp.sizing.conductors import outside_diameter_mm
from webapp.sizing.reasons import SizingError
from webapp.sizing.terminations import terminal_fit
from webapp.stages.building.wire_steps import tag_text
from webapp.stages.catalogue import Catalogue
from webapp.stages.design.cables import insulation_mm
from webapp.stages.design.choices import terminal_facts
from webapp.stages.design.editing.edit import get
from webapp.stages.design.editing.routes import ends_at, route_mm, route_words, routes_between
from webapp.stages.design.halves import used_ways
from webapp.stages.design.rows import Design, Link
from webapp.stages.design.wires import End, Wire, wires

Options = list[tuple[str, str]]


@dataclass(frozen=True)
class EndRow:
    """One end with what its cells show."""

    uid: str
    wire: str
    words: str
    side: str
    way: str
    fitting_uid: str
    loose: bool
    terminal: str
    terminals: Options
    shrink: str
    shrinks: Options
    shrink_mm: str
    strip_mm: str
    solder: str
    solders: Options
    allowance_mm: str
    loose_mm: str
    tag: str
    tag_reads: str
    by_hand: tuple[str, ...]

    @property
    def id(self) -> str:
        return f"end-{self.uid}"


def detail(
    request: Request,
    session: Session,
    loom_id: int,
    table: WireTable,
    link_uid: str,
    taken: Taken | None = None,
) -> Response:
    """The page, or its two tables when a cell of it was sent."""
    design, catalogue = table.design, table.view.catalogue
    link: Link = get(design, "link", link_uid)
    mine = [wire for wire in wires(design) if wire.link.uid == link_uid]
    state = design_state(session, loom_id, f"/looms/{loom_id}/wires/{link_uid}")
    sent_from_end = taken is not None and "end_uid" in request.path_params
    return render(
        request,
        "wires/one.html",
        part="wires/_ends_answer.html" if sent_from_end else "wires/_facts_answer.html",
        status=taken.status if taken else 200,
        frame=state.frame,
        state=state,
        design=design,
        link=link,
        row=table.rows[link_uid],
        ends=[_end(table, wire, end) for wire in mine for end in wire.ends],
        ways=_ways(design, link),
        from_value=_goes_to(design, link, "from"),
        to_value=_goes_to(design, link, "to"),
        routes=_routes(design, link),
        route_value=_route_value(link),
        cables=_cables(catalogue, link),
        why=table.why(link),
        colours=colours_on_offer(design.basis.colour_code),
        letter_of=letter_of,
        reason_formula=reason_formula,
        refused=taken.refusal if taken else None,
        said=taken.said if taken else (),
        neighbours=_neighbours(table, link_uid),
    )


def _neighbours(table: WireTable, link_uid: str) -> tuple[LinkRow | None, LinkRow | None]:
    rows = list(table.rows.values())
    at = next(index for index, row in enumerate(rows) if row.uid == link_uid)
    before = rows[at - 1] if at else None
    return before, rows[at + 1] if at + 1 < len(rows) else None


# Where it goes


def _goes_to(design: Design, link: Link, side: str) -> str:
    way: str | None = getattr(link, f"{side}_way_uid")
    if way is not None:
        return way
    start, end = ends_at(design, link)
    return f"loose:{start if side == 'from' else end}"


def _ways(design: Design, link: Link) -> Options:
    """Free ways first, then those that carry something; then the places to leave an end loose."""
    used = used_ways(design)
    mine = {link.from_way_uid, link.to_way_uid}
    free, taken = [], []
    for fitting in design.fitting.values():
        for way in design.ways_of[fitting.uid]:
            name = f"{design.way_name(way.uid)}, {design.place[fitting.place_uid].name}"
            if way.uid in used and way.uid not in mine:
                takes = f"takes {way.takes}" if way.takes > 1 else "taken"
                taken.append((way.uid, f"{name} ({takes})"))
            else:
                free.append((way.uid, name))
    loose = [(f"loose:{uid}", f"left loose at {place.name}") for uid, place in design.place.items()]
    return [*free, *loose, *taken]


def _routes(design: Design, link: Link) -> Options:
    a, b = ends_at(design, link)
    if a is None or b is None:
        return [("", "no route: an end is left loose and nothing holds the other")]
    found = routes_between(design, a, b)
    if not found:
        return [("", f"no route: no run leads from {_place(design, a)} to {_place(design, b)}")]
    options = [("", f"the shortest way: {_route(design, a, found[0])}")]
    options += [(",".join(route) or "-", _route(design, a, route)) for route in found]
    chosen = _route_value(link)
    if chosen and chosen not in {value for value, _ in options}:
        options.append((chosen, _route(design, a, link.route or ())))
    return options


def _place(design: Design, uid: str) -> str:
    return design.place[uid].name


def _route(design: Design, start: str, route: tuple[str, ...]) -> str:
    if not route:
        return f"within {_place(design, start)}"
    return f"{route_words(design, start, route)}, {with_unit(route_mm(design, route))}"


def _route_value(link: Link) -> str:
    if "route" not in link.by_hand or link.route is None:
        return ""
    return ",".join(link.route) or "-"


def _cables(catalogue: Catalogue, link: Link) -> Options:
    chosen = catalogue.get(link.cable_part_uid)
    by_section = (
        chosen.name if chosen and "cable_part_uid" not in link.by_hand else "what the stores have"
    )
    options = [("", f"{by_section}, by its section")]
    parts = sorted(catalogue.kind("cable"), key=lambda part: part.number("csa_mm2"))
    return options + [(part.uid, part.name) for part in parts]


# How an end is made


def _end(table: WireTable, wire: Wire, end: End) -> EndRow:
    design, made = table.design, end.made
    way = design.way.get(end.way_uid or "")
    side = "" if ":" not in end.uid else end.uid.partition(":")[2]
    return EndRow(
        uid=end.uid,
        wire=wire.number,
        words=design.way_name(end.way_uid),
        side=side if side in ("from", "to") else "",
        way=way.contact if way else "",
        fitting_uid=way.fitting_uid if way else "",
        loose=end.loose,
        terminal=_chosen(made.terminal_part_uid, "terminal_part_uid", made.by_hand),
        terminals=_terminals(table, wire, end),
        shrink=_chosen(made.shrink_part_uid, "shrink_part_uid", made.by_hand),
        shrinks=_shrinks(table.view.catalogue, end),
        shrink_mm=field_as_typed("shrink_mm", made.shrink_mm),
        strip_mm="" if made.strip_mm is None else fine_mm(made.strip_mm),
        solder="" if "solder" not in made.by_hand else ("1" if made.solder else "0"),
        solders=[("", f"{'yes' if made.solder else 'no'}, as proposed"), ("1", "yes"), ("0", "no")],
        allowance_mm=field_as_typed("allowance_mm", made.allowance_mm),
        loose_mm=field_as_typed("loose_mm", made.loose_mm),
        tag=made.tag,
        tag_reads=tag_text(design, wire, end),
        by_hand=made.by_hand,
    )


def _chosen(uid: str | None, field: str, by_hand: tuple[str, ...]) -> str:
    return "" if field not in by_hand else uid or "none"


def _terminals(table: WireTable, wire: Wire, end: End) -> Options:
    """Those that fit first, the others after them with the reason."""
    catalogue = table.view.catalogue
    standing = catalogue.get(end.made.terminal_part_uid)
    proposed = standing.name if standing and "terminal_part_uid" not in end.made.by_hand else "none"
    way = table.design.way.get(end.way_uid or "")
    contact = way.contact if way else ""
    fitting: Options = []
    others: Options = []
    for part in catalogue.kind("terminal"):
        why = _why_not(table, wire, part.uid, contact)
        (others if why else fitting).append(
            (part.uid, f"{part.name} – {why}" if why else part.name)
        )
    return [("", f"{proposed}, as proposed"), ("none", "no terminal"), *fitting, *others]


def _why_not(table: WireTable, wire: Wire, part_uid: str, contact: str) -> str:
    part = table.view.catalogue.parts[part_uid]
    if contact and part.text("contact") != contact:
        return f"for {part.text('contact')}, not {contact}"
    csa, outside = wire.link.csa_mm2, _outside_mm(table, wire)
    if csa is None or outside <= 0:
        return ""
    amps = table.figures.heat_a(wire.link.uid)
    try:
        problems = terminal_fit(
            terminal_facts(part), csa_mm2=csa, outside_diameter_mm=outside, current_a=amps
        )
    except SizingError as error:
        return error.message
    return problems[0] if problems else ""


def _outside_mm(table: WireTable, wire: Wire) -> float:
    part = table.view.catalogue.get(wire.link.cable_part_uid)
    if part is not None:
        return insulation_mm(part)
    conductor = table.figures.conductor(wire.link)
    return outside_diameter_mm(conductor).value if conductor else 0.0


def _shrinks(catalogue: Catalogue, end: End) -> Options:
    standing = catalogue.get(end.made.shrink_part_uid)
    proposed = standing.name if standing and "shrink_part_uid" not in end.made.by_hand else "none"
    parts: Any = sorted(catalogue.kind("heat-shrink"), key=lambda part: part.number("expanded_mm"))
    return [
        ("", f"{proposed}, as proposed"),
        ("none", "no heat-shrink"),
        *((part.uid, part.name) for part in parts),
    ]
