"""Several wires changed in one go, as one command: one field of all of them, or taking them out.

All of it is done or nothing: what stands in the way is named wire by wire.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from webapp.stages.catalogue import Catalogue
from webapp.stages.design.commands import Clash
from webapp.stages.design.editing import circuits, wires
from webapp.stages.design.editing.edit import NOT_SEEN, Edit, Editing, check_seen, get
from webapp.stages.design.editing.removals import without_wires
from webapp.stages.design.editing.settling import remade, segments
from webapp.stages.design.names import listed
from webapp.stages.design.rows import Design, Link
from webapp.stages.refusals import NotThere, Refused

# What one can set on several wires, in the words of the form and of the journal.
FIELDS = {
    "circuit_uid": "circuit",
    "main": "main colour",
    "tracer": "tracer",
    "csa_mm2": "section",
    "length_mm": "length",
    "note": "note",
}
MOST_NAMED = 6


@dataclass(frozen=True)
class Target:
    """A wire, and what was seen in it. `segment` says which of a link's wires a length is for."""

    link_uid: str
    segment: int | None = None
    seen: Any = NOT_SEEN


@dataclass(frozen=True)
class InTheWay:
    """Why one wire cannot be changed; `theirs` is what it holds now after a clash."""

    link_uid: str
    number: str
    sentence: str = ""
    clash: bool = False
    theirs: Any = None


class SomeRefused(Exception):
    """Nothing was changed; `rows` names every wire that stands in the way."""

    def __init__(self, rows: Sequence[InTheWay]) -> None:
        super().__init__("; ".join(f"wire {row.number}: {row.sentence}" for row in rows))
        self.rows = tuple(rows)

    @property
    def clash(self) -> bool:
        return any(row.clash for row in self.rows)


def change(field: str, wanted: Any, targets: Sequence[Target], shown: str = "") -> Editing:
    """Set one field of several wires to one value; `shown` is that value in words.

    The edit raises SomeRefused.
    """

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        after, said, refused = design, list[str](), list[InTheWay]()
        for target in targets:
            try:
                after, more = _one(after, catalogue, field, wanted, target)
                said += more
            except (Refused, Clash, NotThere) as why:
                refused.append(_in_the_way(design, target, why))
        if refused:
            raise SomeRefused(refused)
        uids = list(dict.fromkeys(target.link_uid for target in targets))
        if field == "csa_mm2":
            after, more = remade(design, after, catalogue, uids)
            said += more
        words = f"{FIELDS[field]} {shown}" if shown else f"no {FIELDS[field]}"
        return Edit(after, f"{_wires_words(design, uids)}: {words}", tuple(dict.fromkeys(said)))

    return edit


def _one(
    design: Design, catalogue: Catalogue, field: str, wanted: Any, target: Target
) -> tuple[Design, list[str]]:
    """The design with one wire changed; the ends of all are made anew afterwards, at once."""
    uid, seen = target.link_uid, target.seen
    link: Link = get(design, "link", uid)
    if field == "csa_mm2":
        check_seen(field, seen, link.csa_mm2, wanted)
        return wires.with_section(design, catalogue, link, wanted)
    edits: dict[str, Callable[[], Editing]] = {
        "circuit_uid": lambda: wires.circuit(uid, wanted, seen),
        "main": lambda: wires.colour(uid, "main", wanted, seen),
        "tracer": lambda: wires.colour(uid, "tracer", wanted, seen),
        "length_mm": lambda: wires.length(uid, _segment(design, link, target), wanted, seen),
        "note": lambda: wires.note(uid, wanted, seen),
    }
    done = edits[field]()(design, catalogue)
    return done.design, list(done.said)


def _segment(design: Design, link: Link, target: Target) -> int:
    if target.segment is not None:
        return target.segment
    pieces = segments(design, link)
    if len(pieces) > 1:
        names = listed([piece.number for piece in pieces])
        raise Refused("length_mm", f"Plugs cut it into {names}: each has a length of its own.")
    return 0


def _in_the_way(design: Design, target: Target, why: Exception) -> InTheWay:
    link = design.link.get(target.link_uid)
    number = str(link.number) if link else "?"
    if isinstance(why, Clash):
        return InTheWay(target.link_uid, number, clash=True, theirs=why.current)
    if isinstance(why, Refused):
        return InTheWay(target.link_uid, number, why.sentence)
    return InTheWay(target.link_uid, number, "It is no longer there.")


def _wires_words(design: Design, uids: Sequence[str]) -> str:
    """Wires 2, 3 and 5; of many the first few."""
    numbers = sorted(design.link[uid].number for uid in uids)
    if len(numbers) == 1:
        return f"Wire {numbers[0]}"
    if len(numbers) <= MOST_NAMED:
        return f"Wires {listed([str(number) for number in numbers])}"
    some = ", ".join(str(number) for number in numbers[: MOST_NAMED - 1])
    return f"{len(numbers)} wires ({some} …)"


def new_circuit(name: str, service: str, link_uids: Sequence[str]) -> Editing:
    """Add a circuit, and put these wires into it.

    The edit raises Refused (the name) or SomeRefused.
    """

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        added = circuits.add(name, service)(design, catalogue)
        if not link_uids:
            return added
        (made,) = added.design.circuit.keys() - design.circuit.keys()
        targets = [Target(uid) for uid in link_uids]
        moved = change("circuit_uid", made, targets)(added.design, catalogue)
        words = _wires_words(design, link_uids)
        return Edit(moved.design, f"{added.sentence}, with {words[:1].lower()}{words[1:]}")

    return edit


def remove(link_uids: Sequence[str]) -> Editing:
    """Take out several wires. The edit raises SomeRefused: one is no longer there."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        gone = [uid for uid in link_uids if uid not in design.link]
        if gone:
            missing = NotThere()
            raise SomeRefused([_in_the_way(design, Target(uid), missing) for uid in gone])
        links = [design.link[uid] for uid in link_uids]
        words = _wires_words(design, link_uids)
        sentence = f"Take out {words[:1].lower()}{words[1:]}"
        return Edit(without_wires(design, links), sentence)

    return edit
