"""Which colour the next wire takes, and how a colour is written."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from webapp.sizing.reasons import Reason, SizingError, Source, choice
from webapp.sizing.tables.colours import (
    COLOUR_CODES,
    PRACTICE,
    RGB,
    SMALL_CRAFT,
    ColourCode,
)

Pair = tuple[str, str | None]

COLOUR_CODE_IDS = tuple(COLOUR_CODES)
FUNCTIONS = tuple(SMALL_CRAFT.functions)
COLOURS = tuple(RGB)


class NoColourLeft(SizingError):
    """Every pair that the code allows is used."""


@dataclass(frozen=True)
class WireColour:
    """Main colour and tracer by name, their letters, and why."""

    main: str
    tracer: str | None
    letters: str
    reasons: tuple[Reason, ...]

    @property
    def pair(self) -> Pair:
        """Main and tracer, as `used` takes them."""
        return (self.main, self.tracer)


def colour_codes() -> tuple[tuple[str, str], ...]:
    """Id and title of each colour code."""
    return tuple((each.id, each.title) for each in COLOUR_CODES.values())


def colour_names(code: str) -> tuple[str, ...]:
    """The colours that a code has letters for; SizingError if the code is unknown."""
    return tuple(_code(code).letters)


def colour_letters(code: str, main: str, tracer: str | None = None) -> str:
    """Main and tracer in the letters of a code, as `NY`, or `BN/YE` where letters come in pairs.

    Raises:
        SizingError: unknown code, or a colour that it has no letters for.

    Source: BS AU 7; IEC 60757.
    """
    letters = _code(code).letters
    first = letters[choice(main, "main", letters)]
    if tracer is None:
        return first
    joint = "" if code == "bs-au-7" else "/"
    return f"{first}{joint}{letters[choice(tracer, 'tracer', letters)]}"


def drawing_rgb(colour: str) -> str:
    """`#rrggbb` to draw a colour with; SizingError if the colour is unknown."""
    return RGB[choice(colour, "colour", RGB)]


def colour_for(code: str, function: str, used: Collection[Pair] = ()) -> WireColour:
    """The next free colour for a function.

    The function's own colour comes first, then its main colour with each tracer in a fixed order,
    then the code's other main colours. A pair in `used`, another function's own pair, and what the
    code keeps for earth, negative and bonding are passed over; negative and bonding themselves
    share one colour.

    Args:
        code: One of `COLOUR_CODE_IDS`.
        function: One of `FUNCTIONS`.
        used: Pairs taken already.

    Returns:
        Main and tracer; the tracer is never the main colour.

    Raises:
        NoColourLeft: nothing is left.
        SizingError: unknown code or function.

    Source: ABYC E-11 Tables XIV and XV; BS AU 7; IEC 60757; what they leave open is common
    practice.
    """
    rules = _code(code)
    own = rules.functions[choice(function, "function", rules.functions)]
    taken = set(used)
    if (own.main, own.tracer) not in taken or function in rules.shared:
        return _colour(rules, function, (own.main, own.tracer), own.source)
    for pair in _in_order(rules, own.main):
        if pair not in taken and not _kept(rules, pair, own.main):
            return _colour(rules, function, pair, PRACTICE)
    raise NoColourLeft("function", f"{rules.title} has no colour left for {function}.")


def _code(code: str) -> ColourCode:
    return COLOUR_CODES[choice(code, "colour_code", COLOUR_CODES)]


def _in_order(rules: ColourCode, own_main: str) -> Iterator[Pair]:
    mains = [own_main, *(each for each in rules.mains if each != own_main)]
    for main in mains:
        if main != own_main:
            yield (main, None)
        for tracer in rules.tracers:
            if tracer != main:
                yield (main, tracer)


def _kept(rules: ColourCode, pair: Pair, own_main: str) -> bool:
    main, tracer = pair
    if main in rules.kept_mains and main != own_main:
        return True
    if tracer is not None and frozenset((main, tracer)) in rules.kept_pairs:
        return True
    return any((each.main, each.tracer) == pair for each in rules.functions.values())


def _colour(rules: ColourCode, function: str, pair: Pair, source: Source) -> WireColour:
    main, tracer = pair
    letters = colour_letters(rules.id, main, tracer)
    name = main if tracer is None else f"{main} with a {tracer} tracer"
    reason = Reason(
        text=f"{function.capitalize()}: {name} ({letters}), by {rules.title}.",
        name="",
        value=0.0,
        unit="",
        source=source.text,
        confirmed=source.confirmed,
    )
    return WireColour(main, tracer, letters, (reason,))
