"""Takes a list of wires in: what every line would do to a design, and what keeps it from it."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from webapp.stages.catalogue import Catalogue
from webapp.stages.design.editing.edit import Edit, Editing, next_position, put, take
from webapp.stages.design.editing.removals import without_wires
from webapp.stages.design.editing.settling import crossings_of
from webapp.stages.design.editing.wires import next_number
from webapp.stages.design.rows import Crossing, Design, Fitting, Link, Place, WireEnd
from webapp.stages.design.wire_list.chosen import finish
from webapp.stages.design.wire_list.known import KnownWires
from webapp.stages.design.wire_list.lines import WireLine, listed
from webapp.stages.design.wire_list.named import Named
from webapp.stages.design.wire_list.new import NewWires
from webapp.stages.design.wire_list.taker import TakenLink
from webapp.stages.design.wires import cut_index

PAST_PLUGS = (
    "The route does not pass the plugs that this wire's parts end in, in their order. Give each "
    "part its route."
)
WITH_ANOTHER = "Line {} has a part of the same wire and is refused."


@dataclass(frozen=True)
class TakenIn:
    """What taking a list in would make of a design."""

    after: Design
    lines: tuple[WireLine, ...]
    links: Mapping[int, str]  # a good line's number: the uid of its link
    fittings: tuple[Fitting, ...]
    missing: Mapping[str, str]  # fittings that are not there, and the place that the list says
    places: tuple[Place, ...]
    left_out: tuple[Link, ...]
    said: tuple[str, ...]


@dataclass
class _Group:
    """The lines of one link: of one that is there, or of a new one."""

    link: Link | None
    lines: list[WireLine] = field(default_factory=list)


def take_in(
    design: Design,
    catalogue: Catalogue,
    lines: Sequence[WireLine],
    *,
    make_fittings: bool = True,
    take_out: bool = False,
) -> TakenIn:
    """What the lines would do. Those that cannot stand are refused, and the rest weighed again."""
    groups = _groups(design, lines)
    missing: dict[str, str] = {}
    while True:
        refused = sum(1 for line in lines if not line.good)
        names = Named(design, make_fittings=make_fittings)
        taken = _taken(
            KnownWires(design, catalogue, names), NewWires(design, catalogue, names), groups
        )
        missing |= names.missing
        _refuse_doubles(design, taken)
        _refuse_together(groups)
        if refused < sum(1 for line in lines if not line.good):
            continue
        after, said = _put(design, catalogue, names, [one for _, one in taken])
        if not _refuse_past_plugs(after, taken):
            break
    left_out = _left_out(design, lines)
    if take_out:
        after = without_wires(after, [after.link[link.uid] for link in left_out])
    return TakenIn(
        after=after,
        lines=tuple(lines),
        links={line.at: one.link.uid for group, one in taken for line in group.lines},
        fittings=tuple(names.made(Fitting)),
        missing=missing,
        places=tuple(names.made(Place)),
        left_out=left_out,
        said=tuple(said),
    )


def editing(taken: TakenIn, sentence: str) -> Editing:
    """The edit that keeps what was taken in."""
    return lambda design, catalogue: Edit(taken.after, sentence, taken.said)


def _groups(design: Design, lines: Sequence[WireLine]) -> list[_Group]:
    there = {each.wire.uid for each in listed(design)}
    groups: dict[object, _Group] = {}
    first: dict[str, int] = {}
    for line in lines:
        if not line.good:
            continue
        if line.uid in first:
            line.refuse("uid", f"Line {first[line.uid]} of the list has this wire already.")
            continue
        if line.uid:
            first[line.uid] = line.at
        link = design.link.get(line.link_uid)
        if link is not None and line.uid not in there:
            line.refuse(
                "uid",
                f"Wire {link.number} is cut by other plugs now: take the list out again.",
            )
            continue
        number, letter = line.values.get("number") or (None, "")
        # Wires of one number and a letter each are parts of one, cut by plugs.
        name: object = line.link_uid or (number if letter else id(line))
        groups.setdefault(name, _Group(link)).lines.append(line)
    return list(groups.values())


def _taken(
    known: KnownWires, new: NewWires, groups: Iterable[_Group]
) -> list[tuple[_Group, TakenLink]]:
    found = []
    for group in groups:
        if all(line.good for line in group.lines):
            link = group.link
            one = known.take(link, group.lines) if link else new.take(group.lines)
            if one is not None:
                found.append((group, one))
    return found


def _refuse_together(groups: Iterable[_Group]) -> None:
    """A wire is taken in whole: when one of its lines is refused, the others are."""
    for group in groups:
        bad = [line for line in group.lines if not line.good]
        if bad:
            for line in group.lines:
                if line.good:
                    line.refuse("", WITH_ANOTHER.format(bad[0].at))


def _refuse_past_plugs(after: Design, taken: Sequence[tuple[_Group, TakenLink]]) -> bool:
    """A wire that changes or comes must pass the plugs that its lines name, in their order."""
    refused = False
    for group, one in taken:
        link = after.link[one.link.uid]
        if not (one.settle or one.is_new):
            continue
        cuts = [cut_index(after, link, each) for each in one.crossings]
        places = [(cut, each.uid) for cut, each in zip(cuts, one.crossings, strict=True)]
        if one.is_new and (None in cuts or places != sorted(places)):
            refused = True
            for line in group.lines:
                line.refuse("route", PAST_PLUGS)
    return refused


def _refuse_doubles(design: Design, taken: Sequence[tuple[_Group, TakenLink]]) -> None:
    """Numbers given twice, and ways of plugs that two wires would pass."""
    replaced = {one.link.uid for _, one in taken}
    numbers = Counter(link.number for uid, link in design.link.items() if uid not in replaced)
    numbers.update(one.link.number for _, one in taken if one.link.number)
    following = max((next_number(design), *(number + 1 for number in numbers)), default=1)
    ways = Counter(
        way
        for crossing in design.crossing.values()
        if crossing.link_uid not in replaced
        for way in (crossing.way_a_uid, crossing.way_b_uid)
    )
    ways.update(way for _, one in taken for each in one.crossings for way in _both(each))
    ending = {
        way
        for _, one in taken
        for way in (one.link.from_way_uid, one.link.to_way_uid)
        if way is not None
    }
    for group, one in taken:
        before = group.link.number if group.link else None
        number = one.link.number
        if number and number != before and numbers[number] > 1:
            group.lines[0].refuse(
                "number",
                f"There is a wire {number} already. The next free number is {following}.",
            )
        old = set(crossings_of(design, group.link.uid)) if group.link else set()
        for crossing in one.crossings:
            taken_way = any(ways[way] > 1 or way in ending for way in _both(crossing))
            if taken_way and crossing not in old:
                group.lines[0].refuse(
                    "to_way",
                    f"Another wire goes through {design.way_name(crossing.way_a_uid)} already.",
                )


def _both(crossing: Crossing) -> tuple[str, str]:
    return crossing.way_a_uid, crossing.way_b_uid


def _left_out(design: Design, lines: Sequence[WireLine]) -> tuple[Link, ...]:
    """Wires of the design that no line speaks of, in a list that has uids at all."""
    named = {line.link_uid for line in lines}
    if not named & design.link.keys():
        return ()
    return tuple(link for uid, link in design.link.items() if uid not in named)


def _put(
    design: Design, catalogue: Catalogue, names: Named, taken: Sequence[TakenLink]
) -> tuple[Design, list[str]]:
    after = names.put_into(design)
    uids = {one.link.uid for one in taken}
    gone = [uid for uid, each in design.crossing.items() if each.link_uid in uids]
    kept = {each.uid for one in taken for each in one.crossings}
    after = take(after, "crossing", [uid for uid in gone if uid not in kept])
    rows: list[Link] = []
    position = next_position(design.link.values())
    number = max((next_number(design), *(one.link.number + 1 for one in taken)), default=1)
    for one in taken:
        link = one.link
        if one.is_new:
            link = replace(link, position=position)
            position += 1
        if not link.number:
            link = replace(link, number=number)
            number += 1
        rows.append(link)
    crossings = [each for one in taken for each in one.crossings]
    ends = [_at_end(design, each) for one in taken for each in one.ends]
    after = put(after, *rows, *crossings, *ends)
    return finish(design, after, catalogue, taken)


def _at_end(design: Design, end: WireEnd) -> WireEnd:
    if end.uid in design.wire_end:
        return end
    return replace(end, position=next_position(design.wire_end.values()))
