"""What is typed fast while an old loom is copied: colours as `NR`, ends as `headlamp switch 3`."""

import re
from collections.abc import Iterator

from webapp.sizing.colours import COLOUR_CODE_IDS, colour_codes, colour_letters, colour_names
from webapp.stages.design.names import key
from webapp.stages.design.rows import Design, Fitting

# A way as makers mark it: 3, 87a, B+, L, −. Two letters may be a side (LH), so they are none.
WAY = re.compile(r"[0-9]{1,3}[A-Za-z]{0,2}|[A-Za-z]{1,2}[0-9+−-]{1,2}|[A-Za-z]|[+−-]")
BETWEEN_COLOURS = re.compile(r"\s*[/,]\s*|\s+with\s+(?:an?\s+)?", re.IGNORECASE)
TRACER = re.compile(r"\s+tracer$", re.IGNORECASE)
FIRST_WAY = "1"


# Colours


def read_colours(code: str, text: str) -> tuple[str, str, str]:
    """Main colour, tracer, and what is to be said about them.

    Letters and names of the job's code become its names; else those of another code, where it has
    both; anything else stays as the customer has it.
    """
    plain = TRACER.sub("", " ".join(text.split()))
    for each in (code, *(other for other in COLOUR_CODE_IDS if other != code)):
        known = _known(each)
        pair = [key(colour) for colour in _parted(plain, known)]
        if all(colour in known for colour in pair if colour):
            main, tracer = (known[colour] if colour else "" for colour in pair)
            return main, tracer, "" if each == code else f"“{plain}” read by {_title(each)}."
    main, tracer = _parted(plain, _known(code))
    return main, tracer, f"“{plain}” is outside this job's colour code: taken as it is."


def _title(code: str) -> str:
    return dict(colour_codes())[code]


def _known(code: str) -> dict[str, str]:
    """Letters and names of a code."""
    names = colour_names(code)
    return {key(colour_letters(code, name)): name for name in names} | {key(n): n for n in names}


def _parted(plain: str, known: dict[str, str]) -> tuple[str, str]:
    if key(plain) in known:
        return plain, ""
    parts = BETWEEN_COLOURS.split(plain, maxsplit=1)
    if len(parts) == 2:
        return parts[0], parts[1]
    for at in range(1, len(plain)):
        main, tracer = plain[:at].rstrip(), plain[at:].lstrip()
        if key(main) in known and key(tracer) in known:
            return main, tracer
    return plain, ""


# Ends


def read_end(design: Design, text: str) -> tuple[str, str]:
    """The fitting's name and the way's label; an empty label where none is said.

    Fittings that are there come first, the longest name before the others.
    """
    plain = " ".join(text.split())
    name, dot, label = plain.rpartition(" · ")
    if dot:
        return name, label
    for fitting, rest in _beginning(design, plain):
        if rest and (_has_way(design, fitting, rest) or _can_grow(fitting, rest)):
            return fitting.name, rest
    for fitting, rest in _beginning(design, plain):
        if not rest:
            return fitting.name, ""
    name, comma, label = plain.rpartition(", ")
    if comma:
        return name, label
    name, blank, label = plain.rpartition(" ")
    return (name, label) if blank and WAY.fullmatch(label) else (plain, "")


def _beginning(design: Design, plain: str) -> Iterator[tuple[Fitting, str]]:
    """The fittings with whose names the text begins, and the words that follow."""
    words = plain.split()
    folded = [word.casefold() for word in words]
    known = sorted(design.fitting.values(), key=lambda each: -len(each.name.split()))
    for fitting in known:
        name = fitting.name.casefold().split()
        if folded[: len(name)] == name:
            yield fitting, " ".join(words[len(name) :])


def _has_way(design: Design, fitting: Fitting, label: str) -> bool:
    return any(key(way.label) == key(label) for way in design.ways_of[fitting.uid])


def _can_grow(fitting: Fitting, label: str) -> bool:
    return fitting.part_uid is None and bool(WAY.fullmatch(label))
