"""Laying wires together by hand: as a twisted pair, in a cable of cores, in a screened cable."""

from collections.abc import Collection
from dataclasses import replace

from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design.cables import CABLE_KINDS, SCREEN, SCREENED, TWISTED, is_sheathed
from webapp.stages.design.choices import cable_for, cable_of_cores
from webapp.stages.design.commands import new_uid
from webapp.stages.design.editing.edit import (
    NOT_SEEN,
    Edit,
    Editing,
    by_hand,
    check_seen,
    get,
    mark_removed,
    next_position,
    put,
    released,
    take,
)
from webapp.stages.design.editing.settling import remade, settle
from webapp.stages.design.proposal.cables import as_cores, next_name, screen_of
from webapp.stages.design.rows import Cable, Design, Link
from webapp.stages.refusals import Refused

MOST_NAME = 40


def lay(link_uids: Collection[str], kind: str, part_uid: str | None = None) -> Editing:
    """Lay wires as one. Without a part the least of the stores that takes them is chosen.

    The edit raises Refused: too few or too many wires, wires that part, no such cable.
    """

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        links: list[Link] = [get(design, "link", uid) for uid in dict.fromkeys(link_uids)]
        if kind not in CABLE_KINDS:
            raise Refused("kind", "Choose how they are laid.")
        _check_wires(design, links, kind)
        cable = Cable(
            uid=new_uid(),
            position=next_position(design.cable.values()),
            name=next_name(kind, {row.name for row in design.cable.values()}),
            kind=kind,
        )
        if kind == TWISTED:
            rows = [by_hand(link, cable_uid=cable.uid, core="") for link in links]
            return _laid(design, put(design, cable, *rows), catalogue, cable, rows, ())
        part = _part(design, catalogue, links, kind, part_uid)
        cable = replace(cable, part_uid=part.uid, by_hand=("part_uid",) if part_uid else ())
        cores = as_cores(design, part, [_unheld(link) for link in links])
        rows = [by_hand(link, cable_uid=cable.uid, core=link.core) for link in cores]
        after = put(design, cable, *rows)
        screens: tuple[Link, ...] = ()
        if kind == SCREENED:
            screen = screen_of(after, catalogue, cable, rows, new_uid())
            if screen is None:
                raise Refused(
                    "wires", "Nothing is free to join the screen to where their return ends."
                )
            screens = (screen,)
            after = put(after, screen)
        return _laid(design, after, catalogue, cable, rows, screens)

    return edit


def _laid(
    before: Design,
    after: Design,
    catalogue: Catalogue,
    cable: Cable,
    rows: list[Link],
    screens: tuple[Link, ...],
) -> Edit:
    design, said = remade(before, after, catalogue, [link.uid for link in rows])
    design, more = settle(before, design, catalogue, [link.uid for link in screens])
    numbers = ", ".join(str(link.number) for link in rows)
    return Edit(design, f"{cable.name}: wires {numbers} as a {cable.kind}", (*said, *more))


def _unheld(link: Link) -> Link:
    """A core has its section and colours from its cable."""
    return released(link, csa_mm2=link.csa_mm2, cable_part_uid=None, main="", tracer="")


def _check_wires(design: Design, links: list[Link], kind: str) -> None:
    if kind == TWISTED and len(links) != 2:
        raise Refused("wires", "A twisted pair has two wires.")
    if len(links) < 2:
        raise Refused("wires", "Name two wires or more, such as 5, 6.")
    for link in links:
        if link.cable_uid in design.cable:
            name = design.cable[link.cable_uid or ""].name
            raise Refused("wires", f"Wire {link.number} lies in {name}: take it out of it first.")
        if link.own_lead or link.starter_cable:
            what = "the customer's own lead" if link.own_lead else "a starter cable"
            raise Refused("wires", f"Wire {link.number} is {what}: it is laid single.")
        if not link.route:
            raise Refused("wires", f"Wire {link.number} lies in no run: there is nothing to lay.")
    first = links[0]
    for link in links[1:]:
        if first.route not in (link.route, (link.route or ())[::-1]):
            raise Refused(
                "wires",
                f"Wires {first.number} and {link.number} take different runs: route them alike "
                f"first.",
            )


def _part(
    design: Design,
    catalogue: Catalogue,
    links: Collection[Link],
    kind: str,
    part_uid: str | None,
) -> CatalogPart:
    screened = kind == SCREENED
    if part_uid is None:
        csa = max(link.csa_mm2 or 0.0 for link in links)
        part = cable_of_cores(design, catalogue, cores=len(links), csa_mm2=csa, screened=screened)
        if part is None:
            raise Refused(
                "part_uid",
                f"The stores have no {kind} with {len(links)} cores of {csa:g} mm² or more for "
                f"this job's conductor and limit.",
            )
        return part
    found = catalogue.get(part_uid)
    if found is None or found.kind != "cable of cores":
        raise Refused("part_uid", "This cable is no longer in the stores.")
    if bool(found.facts.get("screened")) != screened:
        has = "a screen" if found.facts.get("screened") else "no screen"
        raise Refused("part_uid", f"{found.name} has {has}.")
    if len(found.core_colours) < len(links):
        raise Refused(
            "part_uid", f"{found.name} has {len(found.core_colours)} cores, not {len(links)}."
        )
    if (found.text("conductor_kind"), found.text("finish")) != (
        design.basis.cable_kind,
        design.basis.cable_finish,
    ):
        raise Refused(
            "part_uid",
            f"{found.name} is not of the conductor and finish that the job names: its figures "
            f"would not hold. Change the job's cable under Job, or choose another.",
        )
    return found


def change_part(cable_uid: str, part_uid: str | None, seen: object = NOT_SEEN) -> Editing:
    """Take another cable of the stores; without one the least that takes its wires."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        cable: Cable = get(design, "cable", cable_uid)
        chosen = cable.part_uid if "part_uid" in cable.by_hand else None
        check_seen("part_uid", seen, chosen, part_uid)
        if cable.kind == TWISTED:
            raise Refused("part_uid", "A twisted pair is of single wires: change their cables.")
        mine = _in_cable(design, cable_uid)
        cores = [link for link in mine if link.core != SCREEN]
        part = _part(design, catalogue, cores, cable.kind, part_uid)
        row = by_hand(cable, part_uid=part.uid) if part_uid else released(cable, part_uid=part.uid)
        after = put(design, row, *as_cores(design, part, mine))
        after, said = remade(design, after, catalogue, [link.uid for link in mine])
        return Edit(after, f"{cable.name}: {part.name}", tuple(said))

    return edit


def rename(cable_uid: str, name: str, seen: object = NOT_SEEN) -> Editing:
    """Give a cable another name."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        cable: Cable = get(design, "cable", cable_uid)
        check_seen("name", seen, cable.name, name)
        if any(row.name == name for uid, row in design.cable.items() if uid != cable_uid):
            raise Refused("name", f"Another cable is called {name} already.")
        return Edit(put(design, by_hand(cable, name=name)), f"{cable.name}: called {name}")

    return edit


def take_out(link_uid: str) -> Editing:
    """Lay a wire single again. A cable that is left with one core goes with it."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        link: Link = get(design, "link", link_uid)
        cable: Cable = get(design, "cable", link.cable_uid or "")
        if link.core == SCREEN:
            raise Refused("wires", "A screen is part of its cable: lay the cable's wires single.")
        stay = [
            each
            for each in _in_cable(design, cable.uid)
            if each.core != SCREEN and each.uid != link_uid
        ]
        if len(stay) < 2:
            return _dissolved(design, catalogue, cable)
        after = put(design, _single(design, catalogue, link))
        after, said = remade(design, after, catalogue, [link_uid])
        return Edit(after, f"Wire {link.number}: taken out of {cable.name}", tuple(said))

    return edit


def dissolve(cable_uid: str) -> Editing:
    """Lay all the wires of a cable or pair single again."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        return _dissolved(design, catalogue, get(design, "cable", cable_uid))

    return edit


def _dissolved(design: Design, catalogue: Catalogue, cable: Cable) -> Edit:
    mine = _in_cable(design, cable.uid)
    screens = [link.uid for link in mine if link.core == SCREEN]
    rows = [_single(design, catalogue, link) for link in mine if link.core != SCREEN]
    after = put(design, *rows)
    for table in ("wire_end", "crossing"):
        gone = [uid for uid, row in after.table(table).items() if row.link_uid in screens]
        after = take(after, table, gone)
    after = take(take(after, "link", screens), "cable", [cable.uid])
    after = mark_removed(after, [(cable, f"{cable.name}, {cable.kind}")])
    after, said = remade(design, after, catalogue, [link.uid for link in rows])
    numbers = ", ".join(str(link.number) for link in rows)
    return Edit(after, f"{cable.name} is no more: wires {numbers} are laid single", tuple(said))


def _single(design: Design, catalogue: Catalogue, link: Link) -> Link:
    """A wire of its own, of the section and colours that it had."""
    row = by_hand(link, cable_uid=None, core="")
    if not is_sheathed(design, link):
        return row
    part = cable_for(design, catalogue, link, link.csa_mm2 or 0.0)
    return replace(row, cable_part_uid=part.uid if part else None)


def _in_cable(design: Design, cable_uid: str) -> list[Link]:
    mine = [link for link in design.link.values() if link.cable_uid == cable_uid]
    return sorted(mine, key=lambda link: link.number)


def without_empty(design: Design) -> Design:
    """The design without cables in which nothing lies but a screen."""
    full = {link.cable_uid for link in design.link.values() if link.core != SCREEN}
    empty = [uid for uid in design.cable if uid not in full]
    screens = [link.uid for link in design.link.values() if link.cable_uid in empty]
    for table in ("wire_end", "crossing"):
        gone = [uid for uid, row in design.table(table).items() if row.link_uid in screens]
        design = take(design, table, gone)
    return take(take(design, "link", screens), "cable", empty)
