"""Colours of wires: by the code, and never alike where that could be taken for another wire."""

from collections.abc import Iterator
from itertools import takewhile

from webapp.sizing.colours import BONDING, Pair, colour_for, colours_in_turn
from webapp.sizing.reasons import SizingError
from webapp.sizing.tables.colours import ColourCode
from webapp.stages.design.cables import SCREEN
from webapp.stages.design.findings.finding import COMMON_PRACTICE, Mend, Rule, Said, View
from webapp.stages.design.names import listed
from webapp.stages.design.rows import Link
from webapp.stages.design.wires import Wire


def coloured(view: View) -> Iterator[Said]:
    for link in view.design.link.values():
        if not link.main and not link.own_lead and link.core != SCREEN:
            yield Said("wire", link.uid, "It has no colour yet.", _by_code(view, link))


def colours_by_code(view: View) -> Iterator[Said]:
    """Cores and customers' leads come in their maker's colours."""
    for link in view.design.link.values():
        if link.main and not link.own_lead and not link.core:
            why = _off_code(view, link)
            if why:
                yield Said("wire", link.uid, why, _by_code(view, link))


def _off_code(view: View, link: Link) -> str:
    code = view.palette.code(view.design.basis.colour_code)
    unknown = [each for each in (link.main, link.tracer) if each and each not in code.letters]
    if unknown:
        return f"{code.title} has no {listed(unknown)}."
    negative = code.functions["negative"]
    kept, pair = (negative.main, negative.tracer), _pair(link)
    function = view.function_of[link.uid]
    if function == "negative" and pair != kept:
        return f"It is a return in {_words(pair)}; by {code.title} returns are {_words(kept)}."
    if function != "negative" and pair == kept:
        return f"It leads a feed and is {_words(kept)}, which {code.title} keeps for returns."
    if function != "bonding" and {*pair} == {*BONDING}:
        return f"It is {_words(pair)}, which is kept for bonding."
    return _not_its_functions(view, code, link, function)


def _not_its_functions(view: View, code: ColourCode, link: Link, function: str) -> str:
    """A main colour that no function of what it is joined to has, while none of theirs are used
    up: all that is joined has one pair."""
    own = code.functions[function]
    joined_to = {function, *view.functions_of_net[view.net_of[link.uid]]}
    if link.main in {code.functions[each].main for each in joined_to}:
        return ""
    if any(_used_up(view, code, each) for each in joined_to):
        return ""
    return (
        f"It is {_words(_pair(link))}; by {code.title} {function} is "
        f"{_words((own.main, own.tracer))}, and pairs of that are free."
    )


def _used_up(view: View, code: ColourCode, function: str) -> bool:
    """Whether every pair of this function's main colour is taken."""
    main = code.functions[function].main
    turn = colours_in_turn(code, function, view.palette.stocked)
    return all(pair in view.pairs for pair in takewhile(lambda pair: pair[0] == main, turn))


def _by_code(view: View, link: Link) -> Mend | None:
    """What the wires have that it is joined to, where that is by the code; else the next free
    pair."""
    for uid in view.nets[view.net_of[link.uid]]:
        other = view.design.link[uid]
        new = other.main and not other.core and _pair(other) != _pair(link)
        if new and not _off_code(view, other):
            return _mend(link, _pair(other))
    net = view.net_of[link.uid]
    used = {_pair(each) for each in view.design.link.values() if view.net_of[each.uid] != net}
    try:
        wanted = colour_for(
            view.palette.code(view.design.basis.colour_code),
            view.function_of[link.uid],
            used,
            stocked=view.palette.stocked,
        ).pair
    except SizingError:
        return None
    return _mend(link, wanted)


def _mend(link: Link, pair: Pair) -> Mend:
    main, tracer = pair
    return Mend(f"Make it {_words(pair)}", action="colours", about=(link.uid, main, tracer or ""))


def plug_colours_unlike(view: View) -> Iterator[Said]:
    """Either wire might be the one to change, so there is no one mend."""
    for fitting in view.design.fitting.values():
        if fitting.kind not in ("plug", "socket"):
            continue
        first: dict[Pair, Wire] = {}
        for way in view.design.ways_of[fitting.uid]:
            for wire in view.on_way.get(way.uid, ()):
                if not wire.link.main or wire.link.core:
                    continue
                other = first.setdefault(_pair(wire.link), wire)
                if view.net_of[other.link.uid] != view.net_of[wire.link.uid]:
                    yield Said(
                        "wire",
                        wire.link.uid,
                        f"Wires {other.number} and {wire.number} in {fitting.name} are both "
                        f"{_words(_pair(wire.link))} and not joined: they can be taken for one "
                        f"another.",
                    )


def _pair(link: Link) -> Pair:
    return link.main, link.tracer or None


def _words(pair: Pair) -> str:
    main, tracer = pair
    return main if tracer is None else f"{main} with a {tracer} tracer"


RULES = (
    Rule(
        "no colour",
        "error",
        "Every wire has at least 1 colour.",
        COMMON_PRACTICE,
        coloured,
    ),
    Rule(
        "colour off the code",
        "warning",
        "The main colour is the function's by the code while 1 of its pairs is free; the pair for "
        "returns, and green with yellow, are kept for returns and for bonding.",
        "the colour code that the job names; IEC 60757 for green with yellow",
        colours_by_code,
    ),
    Rule(
        "colours alike",
        "warning",
        "In 1 plug or socket no 2 wires that are not joined have the same main colour and tracer.",
        COMMON_PRACTICE,
        plug_colours_unlike,
    ),
)
