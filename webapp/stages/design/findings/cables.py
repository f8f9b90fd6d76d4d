"""Rules about cables of several cores, twisted pairs and screens."""

from collections import Counter
from collections.abc import Iterator

from webapp.sizing.reasons import COMMON_PRACTICE
from webapp.stages.catalogue import CatalogPart
from webapp.stages.design.cables import SCREEN, SCREENED, TWISTED, laid_words, pieces
from webapp.stages.design.findings.finding import Rule, Said, View
from webapp.stages.design.nets import return_ways
from webapp.stages.design.rows import Cable, Link


def _links(view: View) -> Iterator[tuple[Cable, list[Link]]]:
    """Each cable with what lies in it, by the wires' numbers."""
    for uid, cable in view.design.cable.items():
        mine = [link for link in view.design.link.values() if link.cable_uid == uid]
        yield cable, sorted(mine, key=lambda link: link.number)


def _sheathed(view: View) -> Iterator[tuple[Cable, CatalogPart, list[Link]]]:
    for cable, mine in _links(view):
        part = view.catalogue.get(cable.part_uid)
        if cable.kind != TWISTED and part is not None:
            yield cable, part, mine


def lie_together(view: View) -> Iterator[Said]:
    """A core that leaves the others somewhere along the way is no core of one cable."""
    count = {cable.uid: len(mine) for cable, mine in _links(view)}
    said = set()
    for piece in pieces(view.design, view.wires):
        uid = piece.cable.uid
        if piece.route and len(piece.wires) < count[uid] and uid not in said:
            said.add(uid)
            numbers = ", ".join(wire.number for wire in piece.wires)
            yield Said(
                "wire",
                piece.wires[0].link.uid,
                f"Of {piece.cable.name} only wire {numbers} lies along this stretch: the others "
                f"take other runs, or pass other plugs. Lay it single, or route them alike.",
            )


def part_chosen(view: View) -> Iterator[Said]:
    for cable, mine in _links(view):
        if cable.kind != TWISTED and mine and view.catalogue.get(cable.part_uid) is None:
            yield Said("wire", mine[0].uid, f"{cable.name} is not chosen from the stores yet.")


def cores_told_apart(view: View) -> Iterator[Said]:
    """Each wire in a core of its own, and no more wires than cores."""
    for cable, part, mine in _sheathed(view):
        used = Counter(link.core for link in mine)
        for link in mine:
            known = link.core in part.core_colours or link.core == SCREEN
            if not known or used[link.core] > 1:
                colours = ", ".join(part.core_colours)
                yield Said(
                    "wire",
                    link.uid,
                    f"It has no core of its own in {cable.name}, whose cores are {colours}.",
                )


def core_as_cable(view: View) -> Iterator[Said]:
    for cable, part, mine in _sheathed(view):
        csa = part.number("csa_mm2")
        for link in mine:
            if link.core != SCREEN and link.csa_mm2 is not None and link.csa_mm2 != csa:
                yield Said(
                    "wire",
                    link.uid,
                    f"It is entered with {link.csa_mm2:g} mm², and the cores of {cable.name} have "
                    f"{csa:g} mm².",
                )


def screen_joined_once(view: View) -> Iterator[Said]:
    """Joined at both ends it carries stray current; at none it screens nothing."""
    for cable, mine in _links(view):
        if cable.kind != SCREENED or not mine:
            continue
        screen = next((link for link in mine if link.core == SCREEN), None)
        ends = 0 if screen is None else sum(
            uid is not None for uid in (screen.from_way_uid, screen.to_way_uid)
        )  # fmt: skip
        if ends != 1:
            where = "at neither end" if ends == 0 else "at both ends"
            yield Said(
                "wire",
                (screen or mine[0]).uid,
                f"The screen of {cable.name} is joined to earth {where}: join it at one end alone, "
                f"on the supply's side, and cut it back at the other.",
            )


def screen_on_earth(view: View) -> Iterator[Said]:
    """A screen that is joined to a feed is a bare live wire along the whole cable."""
    returns = return_ways(view.design) if view.design.cable else set()
    for cable, mine in _links(view):
        for link in mine:
            ends = (link.from_way_uid, link.to_way_uid) if link.core == SCREEN else ()
            for uid in ends:
                if uid is not None and uid not in returns:
                    yield Said(
                        "wire",
                        link.uid,
                        f"The screen of {cable.name} is joined to {view.design.way_name(uid)}, "
                        f"which is no return: lead it to a bar or an earth stud.",
                    )


def pair_is_two(view: View) -> Iterator[Said]:
    for cable, mine in _links(view):
        if cable.kind == TWISTED and mine and len(mine) != 2:
            yield Said(
                "wire",
                mine[0].uid,
                f"{cable.name} has {len(mine)} wires ({laid_words(view.design, mine[0])}): a pair "
                f"has two.",
            )


RULES = (
    Rule(
        "cores part",
        "error",
        "All cores of 1 cable, and both wires of a pair, take the same runs and the same plugs.",
        COMMON_PRACTICE,
        lie_together,
    ),
    Rule(
        "cable not chosen",
        "error",
        "A cable of cores is 1 part of the stores.",
        COMMON_PRACTICE,
        part_chosen,
    ),
    Rule(
        "core taken twice",
        "error",
        "1 wire to each core, told by its colour.",
        COMMON_PRACTICE,
        cores_told_apart,
    ),
    Rule(
        "core section",
        "error",
        "A core has the section in mm² that its cable has.",
        COMMON_PRACTICE,
        core_as_cable,
    ),
    Rule(
        "screen earthed once",
        "warning",
        "A screen is joined to earth at 1 end of its cable.",
        COMMON_PRACTICE,
        screen_joined_once,
    ),
    Rule(
        "screen on a feed",
        "error",
        "A screen is joined to 0 ways but those of returns.",
        COMMON_PRACTICE,
        screen_on_earth,
    ),
    Rule("pair not two", "error", "2 wires in a twisted pair.", COMMON_PRACTICE, pair_is_two),
)
