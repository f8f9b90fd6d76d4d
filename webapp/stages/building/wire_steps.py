"""The work steps of wires and their ends, in both depths."""

import math
from dataclasses import replace

from webapp.convention import now
from webapp.stages.building.asks import asks_of
from webapp.stages.building.cable_steps import Laid, screen_steps
from webapp.stages.building.crimp_groups import crimp_group
from webapp.stages.building.parts import Parts, has_seal, number, part, says_yes
from webapp.stages.building.steps import EndWork, Step, WireWork
from webapp.stages.building.wire_colours import letters
from webapp.stages.catalogue import CatalogPart
from webapp.stages.design.cables import SCREEN
from webapp.stages.design.rows import Design, Fitting
from webapp.stages.design.wires import End, Wire

PLUG_KINDS = ("plug", "socket")


def fitting_of(design: Design, end: End) -> Fitting | None:
    return None if end.way_uid is None else design.fitting[design.way[end.way_uid].fitting_uid]


def is_plug(fitting: Fitting | None) -> bool:
    """True for a plug or socket half."""
    return fitting is not None and (fitting.mate_uid is not None or fitting.kind in PLUG_KINDS)


def is_splice(fitting: Fitting | None) -> bool:
    return fitting is not None and fitting.kind.startswith("splice")


def destination(design: Design, wire: Wire, end: End) -> str:
    """Where this end goes; of a loose one, where its wire comes from."""
    if end.made.tag:
        return end.made.tag
    if end.way_uid is not None:
        return design.way_name(end.way_uid)
    far = wire.right if end is wire.left else wire.left
    return f"from {design.way_name(far.way_uid)}"


def tag_text(design: Design, wire: Wire, end: End) -> str:
    """What the tag at this end says: number, destination, letters."""
    words = (wire.number, destination(design, wire, end), letters(design, wire.link))
    return " ".join(filter(None, words))


def wire_work(
    design: Design, parts: Parts, wire: Wire, depth: str, laid: Laid | None = None
) -> WireWork:
    """The steps of one wire; one that lies in a cable or a pair is cut with it."""
    first = _first_step(design, wire)
    before = (laid.left, laid.right) if laid else (first, first)
    left = _end_work(design, parts, wire, wire.left, "left", before[0], depth)
    right = _end_work(design, parts, wire, wire.right, "right", before[1], depth)
    return WireWork(
        wire,
        () if laid else (first,),
        left,
        right,
        _last_steps(wire, (left, right), depth),
        tuple(step.uid for step in laid.cut) if laid else (),
    )


def _first_step(design: Design, wire: Wire) -> Step:
    if wire.link.own_lead:
        title = "Lay in the customer's own lead"
        return Step(f"{wire.uid}:lay", "lay", title, "uncut; coil and tie what is left over")
    length = "to length" if wire.length_mm is None else now().tape_words(wire.length_mm)
    return Step(f"{wire.uid}:cut", "cut", f"Cut {length}", _cable(design, wire))


def _cable(design: Design, wire: Wire) -> str:
    csa_mm2 = wire.link.csa_mm2
    size = "" if csa_mm2 is None else f"{csa_mm2:g} mm²"
    return " ".join(filter(None, (letters(design, wire.link), size)))


def _last_steps(wire: Wire, ends: tuple[EndWork, EndWork], depth: str) -> tuple[Step, ...]:
    going_in = [end.to for end in ends if not end.loose and end.joined_by is None]
    if depth == "full" or not going_in:
        return ()
    after = tuple(step.uid for end in ends for step in end.steps)
    return (Step(f"{wire.uid}:inserted", "insert", "Insert", " and ".join(going_in), after),)


def _end_work(
    design: Design, parts: Parts, wire: Wire, end: End, side: str, first: Step, depth: str
) -> EndWork:
    fitting = fitting_of(design, end)
    maker = _short_steps if depth == "short" else _full_steps
    return EndWork(
        uid=end.uid,
        side=side,
        to=design.way_name(end.way_uid),
        place=design.place[end.place_uid].name if end.place_uid else "",
        tag=tag_text(design, wire, end),
        loose=end.loose,
        in_plug=is_plug(fitting),
        steps=tuple(maker(design, parts, wire, end, side, first)),
        joined_by=f"{fitting.uid}:join" if fitting and is_splice(fitting) else None,
    )


def _loose_step(design: Design, wire: Wire, end: End, first: Step) -> Step:
    tail = f" {now().words(end.made.loose_mm)}" if end.made.loose_mm else ""
    detail = f"tag “{tag_text(design, wire, end)}”; cap the end"
    return Step(f"{end.uid}:loose", "tag", f"Leave loose{tail}, tag", detail, (first.uid,))


def _short_steps(
    design: Design, parts: Parts, wire: Wire, end: End, side: str, first: Step
) -> list[Step]:
    if wire.link.core == SCREEN and end.loose:
        return _chain(end.uid, screen_steps(wire, end, "") or [], first)
    if _comes_made(wire, end):
        tag = f"tag “{tag_text(design, wire, end)}”"
        return [Step(f"{end.uid}:made", "make", f"Tag {side} end", tag, (first.uid,))]
    if end.loose:
        return [_loose_step(design, wire, end, first)]
    terminal = part(parts, end.made.terminal_part_uid)
    detail = " · ".join(
        filter(
            None, (terminal.name if terminal else "", _strip_words(parts, end), "tag and sleeve")
        )
    )
    title = f"Make {side} end"
    group = crimp_group(design, parts, wire, end)
    made = Step(f"{end.uid}:made", "make", title, detail, (first.uid,))
    return [replace(made, setup=group, asks=asks_of(parts, group))]


def _comes_made(wire: Wire, end: End) -> bool:
    """An end of the customer's own lead, which is laid in as it is, unless a person gave it a
    terminal."""
    return wire.link.own_lead and not end.loose and end.made.terminal_part_uid is None


def _strip_words(parts: Parts, end: End) -> str:
    strip_mm = strip_length_mm(parts, end)
    return "" if strip_mm is None else f"strip {now().fine(strip_mm)} {now().unit}"


def strip_length_mm(parts: Parts, end: End) -> float | None:
    """What the design says, else what the terminal asks for."""
    if end.made.strip_mm is not None:
        return end.made.strip_mm
    terminal = part(parts, end.made.terminal_part_uid)
    return number(terminal, "strip_mm")


def is_crimped(terminal: CatalogPart | None) -> bool:
    return says_yes(terminal, "crimped")


def is_soldered(end: End, terminal: CatalogPart | None) -> bool:
    return end.made.solder or says_yes(terminal, "soldered")


def _full_steps(
    design: Design, parts: Parts, wire: Wire, end: End, side: str, first: Step
) -> list[Step]:
    parted = screen_steps(wire, end, tag_text(design, wire, end))
    if parted and end.loose:
        return _chain(end.uid, parted, first)
    if _comes_made(wire, end):
        tag = ("thread", "Thread on", f"tag “{tag_text(design, wire, end)}”")
        joined = is_splice(fitting_of(design, end))
        return _chain(end.uid, [tag] if joined else [tag, _insert_words(design, end)], first)
    if end.loose:
        return [_loose_step(design, wire, end, first)]
    terminal = part(parts, end.made.terminal_part_uid)
    shrink = part(parts, end.made.shrink_part_uid)
    spliced = is_splice(fitting_of(design, end))
    wanted = [
        *(parted or ()),
        ("thread", "Thread on", _thread_words(design, wire, end, terminal, shrink)),
    ]
    strip_mm = strip_length_mm(parts, end)
    if strip_mm is not None or terminal is not None or spliced:
        title = "Strip" if strip_mm is None else f"Strip {strip_mm:.1f} mm"
        wanted.append(("strip", title, "no strand nicked or cut"))
    if not spliced:
        wanted += _joint_steps(end, terminal, shrink)
        wanted.append(_insert_words(design, end))
    group = crimp_group(design, parts, wire, end)
    asks = asks_of(parts, group)
    return [
        replace(step, setup=group, asks=asks) if step.operation == "crimp" else step
        for step in _chain(end.uid, wanted, first)
    ]


def _joint_steps(
    end: End, terminal: CatalogPart | None, shrink: CatalogPart | None
) -> list[tuple[str, str, str]]:
    wanted = []
    if terminal and is_crimped(terminal):
        wanted.append(("crimp", "Crimp", _crimp_words(terminal)))
    if is_soldered(end, terminal):
        crimped = is_crimped(terminal)
        detail = "barrel only, no wicking past the grip" if crimped else "fill the cup, no icicles"
        wanted.append(("solder", "Solder", detail))
    if shrink:
        wanted.append(("shrink", "Shrink", "over the barrel, centred; no scorching"))
    if terminal:
        wanted.append(("tug", "Tug", "firmly by hand; nothing moves"))
    return wanted


def _chain(end_uid: str, wanted: list[tuple[str, str, str]], first: Step) -> list[Step]:
    """Steps in a row: each waits for the one before."""
    steps: list[Step] = []
    for operation, title, detail in wanted:
        before = steps[-1].uid if steps else first.uid
        steps.append(Step(f"{end_uid}:{operation}", operation, title, detail, (before,)))
    return steps


def _thread_words(
    design: Design, wire: Wire, end: End, terminal: CatalogPart | None, shrink: CatalogPart | None
) -> str:
    """What goes on before the terminal, in the order in which it goes on."""
    threaded = [f"tag “{tag_text(design, wire, end)}”"]
    if shrink:
        threaded.append(shrink_words(shrink, end.made.shrink_mm))
    if says_yes(terminal, "boot"):
        threaded.append("boot")
    # The seal goes on last: it is crimped with the terminal.
    if has_seal(terminal):
        threaded.append("seal")
    return ", then ".join(threaded)


def shrink_words(shrink: CatalogPart, finished_mm: int | None) -> str:
    """shrink 6.4 → 3.2, cut 27 mm."""
    expanded, recovered = number(shrink, "expanded_mm"), number(shrink, "recovered_mm")
    size = f" {expanded:g} → {recovered:g}" if expanded and recovered else f" {shrink.name}"
    cut_mm = shrink_cut_mm(shrink, finished_mm)
    return f"shrink{size}" + ("" if cut_mm is None else f", cut {cut_mm} mm")


def shrink_cut_mm(shrink: CatalogPart, finished_mm: int | None) -> int | None:
    """The length to cut so that the wanted one is left after the change in length."""
    if finished_mm is None:
        return None
    share = abs(number(shrink, "longitudinal_percent") or 0.0) / 100
    return math.ceil(finished_mm / (1 - min(share, 0.5)))


def _crimp_words(terminal: CatalogPart) -> str:
    height_mm = number(terminal, "crimp_height_mm")
    tool = terminal.text("tool")
    height = "" if height_mm is None else f"height {height_mm:.2f} mm"
    return " · ".join(filter(None, (terminal.name, height, tool)))


def _insert_words(design: Design, end: End) -> tuple[str, str, str]:
    fitting = fitting_of(design, end)
    assert fitting is not None
    assert end.way_uid is not None
    if is_plug(fitting):
        way = design.way[end.way_uid].label
        return ("insert", "Insert", f"{fitting.name}, way {way}; click, then pull back")
    return (
        "insert",
        "Insert",
        f"{design.way_name(end.way_uid)}; lay out if it is not at the bench",
    )
