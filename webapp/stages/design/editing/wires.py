"""Edits of one wire: its number, circuit, colours, section, length, route, note, what it is."""

from collections.abc import Mapping
from typing import Any

from webapp.sizing.colours import colour_letters, colour_names
from webapp.sizing.conductors import awg_label, awg_to_mm2, sizes_mm2
from webapp.sizing.reasons import SizingError
from webapp.stages.catalogue import Catalogue
from webapp.stages.design.cables import is_sheathed, laid_words
from webapp.stages.design.choices import cable_for
from webapp.stages.design.editing.edit import (
    NOT_SEEN,
    Edit,
    Editing,
    by_hand,
    check_seen,
    get,
    put,
    released,
    take,
)
from webapp.stages.design.editing.routes import ends_at, leads, route_words
from webapp.stages.design.editing.settling import crossings_of, remade, route_to, segments, settle
from webapp.stages.design.rows import Design, Link
from webapp.stages.refusals import NotThere, Refused

MOST_NUMBER = 99_999
MOST_MM = 1_000_000
FLAGS = {"starter_cable": "a starter cable", "own_lead": "the customer's own lead"}


def number(link_uid: str, wanted: int, seen: Any = NOT_SEEN) -> Editing:
    """Give a wire another number; one that is taken is refused."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        link: Link = get(design, "link", link_uid)
        check_seen("number", seen, link.number, wanted)
        if any(other.number == wanted for other in design.link.values() if other.uid != link_uid):
            following = next_number(design)
            raise Refused(
                "number", f"There is a wire {wanted} already. The next free number is {following}."
            )
        after = put(design, by_hand(link, number=wanted))
        after, _ = remade(design, after, catalogue, [link_uid])
        return Edit(after, f"Wire {link.number}: number {wanted}")

    return edit


def next_number(design: Design) -> int:
    """After the largest: the number of a removed wire may still be on a tag somewhere."""
    return max((link.number for link in design.link.values()), default=0) + 1


def note(link_uid: str, wanted: str, seen: Any = NOT_SEEN) -> Editing:
    """Write a note beside a wire."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        link: Link = get(design, "link", link_uid)
        check_seen("note", seen, link.note, wanted)
        return Edit(put(design, by_hand(link, note=wanted)), f"Wire {link.number}: note")

    return edit


def circuit(link_uid: str, wanted: str, seen: Any = NOT_SEEN) -> Editing:
    """Put a wire into another circuit."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        link: Link = get(design, "link", link_uid)
        if wanted not in design.circuit:
            raise Refused("circuit_uid", "This circuit is no longer there: choose another.")
        check_seen("circuit_uid", seen, link.circuit_uid, wanted)
        after = put(design, by_hand(link, circuit_uid=wanted))
        return Edit(after, f"Wire {link.number}: circuit {design.circuit[wanted].name}")

    return edit


# Colours


def read_colour(code: str, text: str) -> str:
    """A colour of the code by its name or its letters; "" for none.

    Raises:
        Refused: the code has no such colour.
    """
    wanted = " ".join(text.split()).casefold()
    if not wanted:
        return ""
    names = colour_names(code)
    for name in names:
        if wanted in (name.casefold(), colour_letters(code, name).casefold()):
            return name
    offered = ", ".join(colour_letters(code, name) for name in names)
    raise Refused("colour", f"No “{text[:20]}” in this colour code: {offered}, or their names.")


def check_colours(main: str, tracer: str, field: str = "tracer") -> None:
    """Raises Refused when a wire cannot have this main colour and tracer."""
    if tracer and tracer == main:
        raise Refused(field, "The tracer must differ from the main colour.")
    if tracer and not main:
        raise Refused(field, "A tracer needs a main colour: clear the tracer first.")


def colour(link_uid: str, field: str, wanted: str, seen: Any = NOT_SEEN) -> Editing:
    """Set `main` or `tracer` of a wire."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        link: Link = get(design, "link", link_uid)
        check_seen(field, seen, getattr(link, field), wanted)
        refuse_core(design, link, field)
        check_colours(**{"main": link.main, "tracer": link.tracer, field: wanted}, field=field)
        after = put(design, by_hand(link, **{field: wanted}))
        return Edit(after, f"Wire {link.number}: {field} {wanted or 'none'}")

    return edit


# Section


def read_section(design: Design, text: str) -> tuple[float | None, str]:
    """A section of the job's cable from `2.5`, `2.5 mm²` or `AWG 14`, and what was made of it.

    Raises:
        Refused: it is no size of this cable.
    """
    plain = " ".join(text.replace("²", "2").split()).casefold()
    if not plain:
        return None, ""
    listed = sizes_mm2(design.basis.cable_kind)
    if plain.startswith("awg"):
        return _from_gauge(plain.removeprefix("awg").strip(), listed)
    figures = plain.removesuffix("mm2").strip().replace(",", ".")
    try:
        wanted = float(figures)
    except ValueError:
        wanted = -1.0
    for size in listed:
        if abs(size - wanted) < 1e-9:
            return size, ""
    offered = ", ".join(f"{size:g}" for size in listed)
    raise Refused(
        "csa_mm2", f"“{text[:20]}” is not a size of this cable: {offered} mm² are; AWG 14 may be "
        "typed as well.",
    )  # fmt: skip


def _from_gauge(text: str, listed: list[float]) -> tuple[float, str]:
    whole, slash, rest = text.partition("/")
    try:
        gauge = 1 - int(whole) if slash and rest == "0" else int(text)
        exact_mm2 = awg_to_mm2(gauge)
    except (ValueError, SizingError):
        raise Refused("csa_mm2", "A gauge is typed as AWG 14, or AWG 2/0.") from None
    nearest = min(listed, key=lambda size: abs(size - exact_mm2))
    return nearest, (
        f"AWG {awg_label(gauge)} is {exact_mm2:.3g} mm²; {nearest:g} mm² is the nearest size of "
        f"this cable."
    )


def section(link_uid: str, wanted: float | None, seen: Any = NOT_SEEN, said: str = "") -> Editing:
    """Set a wire's section, and with it the cable and what its ends are made with.

    Without a section the wire is not sized, and the next proposal sizes it.
    """

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        link: Link = get(design, "link", link_uid)
        check_seen("csa_mm2", seen, link.csa_mm2, wanted)
        after, words = with_section(design, catalogue, link, wanted)
        after, more = remade(design, after, catalogue, [link_uid])
        size = "no section" if wanted is None else f"{wanted:g} mm²"
        words = [said, *words] if said else words
        return Edit(after, f"Wire {link.number}: {size}", (*words, *(more if wanted else ())))

    return edit


def with_section(
    design: Design, catalogue: Catalogue, link: Link, wanted: float | None
) -> tuple[Design, list[str]]:
    """A wire in another section and cable, its ends as they were; and what is to be said of it.

    Raises:
        Refused: the wire is a core, which is as its cable is.
    """
    refuse_core(design, link, "csa_mm2")
    if wanted is None:
        return put(design, released(link, csa_mm2=None, cable_part_uid=None)), []
    part = cable_for(design, catalogue, link, wanted)
    words = []
    if part is None:
        words.append(
            f"The stores hold no {design.basis.cable_finish} cable of {wanted:g} mm² of the "
            f"kind that the job names, for {design.basis.limit_c:g} °C."
        )
    new = by_hand(link, csa_mm2=wanted, cable_part_uid=part.uid if part else None)
    return put(design, new), words


def cable(link_uid: str, wanted: str | None, seen: Any = NOT_SEEN) -> Editing:
    """Take a certain cable of the stores; without one the wire's section decides."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        link: Link = get(design, "link", link_uid)
        chosen = link.cable_part_uid if "cable_part_uid" in link.by_hand else None
        check_seen("cable_part_uid", seen, chosen, wanted)
        refuse_core(design, link, "cable_part_uid")
        if wanted is None:
            found = cable_for(design, catalogue, link, link.csa_mm2 or 0.0)
            new = released(link, cable_part_uid=found.uid if found else None)
            name = "by its section"
        else:
            part = catalogue.get(wanted)
            if part is None or part.kind != "cable":
                raise Refused("cable_part_uid", "This cable is no longer in the stores.")
            new = by_hand(link, cable_part_uid=wanted, csa_mm2=part.number("csa_mm2"))
            name = part.name
        after, said = remade(design, put(design, new), catalogue, [link_uid])
        return Edit(after, f"Wire {link.number}: cable {name}", tuple(said))

    return edit


# Length


def length(link_uid: str, segment: int, wanted: int | None, seen: Any = NOT_SEEN) -> Editing:
    """Set the length of one wire by hand; without one it is computed again."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        link: Link = get(design, "link", link_uid)
        wire = next((each for each in segments(design, link) if each.segment == segment), None)
        if wire is None:
            raise NotThere
        if link.lengths_mm.get(str(segment)) != wanted:
            check_seen("length_mm", seen, wire.length_mm, wanted)
        lengths: Mapping[str, int] = {
            key: mm for key, mm in link.lengths_mm.items() if key != str(segment)
        }
        if wanted is None:
            new = (
                by_hand(link, lengths_mm=dict(lengths)) if lengths
                else released(link, lengths_mm={})
            )  # fmt: skip
            return Edit(put(design, new), f"Wire {wire.number}: length as measured")
        new = by_hand(link, lengths_mm={**lengths, str(segment): wanted})
        return Edit(put(design, new), f"Wire {wire.number}: {wanted:,} mm")

    return edit


# Route and kind


def route(link_uid: str, wanted: tuple[str, ...] | None, seen: Any = NOT_SEEN) -> Editing:
    """Choose the runs that a wire follows; None takes the shortest way."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        link: Link = get(design, "link", link_uid)
        check_seen("route", seen, link.route if "route" in link.by_hand else None, wanted)
        a, b = ends_at(design, link)
        if a is None or b is None:
            raise Refused("route", "One end must go to a fitting before the wire has a route.")
        said: list[str] = []
        if wanted is None:
            new = released(link, route=route_to(design, a, b, link.number, said))
            words = "the shortest way"
        else:
            if not leads(design, wanted, a, b):
                raise Refused("route", "These runs do not lead from one end to the other.")
            new = by_hand(link, route=wanted)
            words = route_words(design, a, wanted)
        after, more = settle(design, put(design, new), catalogue, [link_uid])
        return Edit(after, f"Wire {link.number}: {words}", (*said, *more))

    return edit


def flag(link_uid: str, field: str, wanted: bool, seen: Any = NOT_SEEN) -> Editing:
    """Say whether a wire is a starter cable or the customer's own lead."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        link: Link = get(design, "link", link_uid)
        check_seen(field, seen, getattr(link, field), wanted)
        if wanted and link.cable_uid in design.cable:
            name = design.cable[link.cable_uid or ""].name
            raise Refused(field, f"It lies in {name}: take it out of it under Cables and pairs.")
        after = put(design, by_hand(link, **{field: wanted}))
        if wanted:
            # It is never cut: it passes the plugs in its path beside them.
            after = take(after, "crossing", [each.uid for each in crossings_of(design, link_uid)])
        after, said = settle(design, after, catalogue, [link_uid])
        sentence = f"Wire {link.number}: {'' if wanted else 'not '}{FLAGS[field]}"
        return Edit(after, sentence, tuple(said))

    return edit


def refuse_core(design: Design, link: Link, field: str) -> None:
    """Raises Refused for what a core has from its cable."""
    if is_sheathed(design, link):
        name = design.cable[link.cable_uid or ""].name
        raise Refused(
            field,
            f"This is the {laid_words(design, link)} and is as that cable is: change {name} under "
            f"Cables and pairs, or take the wire out of it there.",
        )
