"""Which colour the next wire takes, and how a colour is written."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace

from webapp.sizing.reasons import Reason, SizingError, Source, choice
from webapp.sizing.tables.colours import (
    COLOUR_CODES,
    PRACTICE,
    RGB,
    SAME_WIRE,
    SMALL_CRAFT,
    WORKSHOP,
    ColourCode,
    FunctionColour,
)

Pair = tuple[str, str | None]

COLOUR_CODE_IDS = tuple(COLOUR_CODES)
FUNCTIONS = tuple(SMALL_CRAFT.functions)
COLOURS = tuple(RGB)
OWN_CODE = Source("the workshop's own code")
BONDING: Pair = ("green", "yellow")


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


@dataclass(frozen=True)
class Palette:
    """What a workshop brings to a proposal: its own code, and the pairs that it has wire of.

    `stocked` is None where proposals need not keep to them.
    """

    workshop: ColourCode = WORKSHOP
    stocked: frozenset[Pair] | None = None

    def code(self, code: str) -> ColourCode:
        """The code of this id, the workshop's own as the workshop has it.

        Raises:
            SizingError: unknown code.
        """
        return self.workshop if code == self.workshop.id else _code(code)

    def lacks(self, pair: Pair) -> bool:
        """Whether proposals should keep to a stock that has no wire of this pair."""
        return self.stocked is not None and same_wire(pair) not in self.stocked


# A workshop that has said nothing about colours.
COMMON_PALETTE = Palette()


def workshop_code(own: Mapping[str, Pair]) -> ColourCode:
    """The workshop's own code; functions that `own` leaves out follow common practice.

    Args:
        own: Main and tracer by function, in the names of `colour_names("workshop")`.

    Returns:
        The code. Colours of the functions come first among its main colours, and what it gives
        to the negative is left to the negative.

    Raises:
        SizingError: an unknown function or colour; a tracer that is its main colour; green with
            yellow for anything but bonding, or a green negative; the negative's pair for something
            else. `field` is the function.

    Source: the workshop; IEC 60757 keeps green-and-yellow for bonding.
    """
    for function, pair in own.items():
        _refuse_pair(function, *pair)
    negative = own.get("negative", _pair(WORKSHOP.functions["negative"]))
    for function, pair in own.items():
        if function != "negative" and pair == negative:
            raise SizingError(function, "The negative has this colour: choose another for one.")
    mains = tuple(dict.fromkeys([*(main for main, _ in own.values()), *WORKSHOP.mains]))
    free = tuple(main for main in mains if main != negative[0])
    functions = {
        function: replace(each, main=free[0]) if _pair(each) == negative else each
        for function, each in WORKSHOP.functions.items()
    } | {"negative": WORKSHOP.functions["negative"]}
    functions |= {function: FunctionColour(*pair, OWN_CODE) for function, pair in own.items()}
    return replace(
        WORKSHOP,
        functions=functions,
        mains=mains,
        kept_mains=frozenset({"green", negative[0]}),
    )


def _refuse_pair(function: str, main: str, tracer: str | None) -> None:
    choice(function, "function", WORKSHOP.functions)
    choice(main, function, WORKSHOP.letters)
    if tracer is not None:
        choice(tracer, function, WORKSHOP.letters)
    if tracer == main:
        raise SizingError(function, "The tracer must differ from the main colour.")
    if function != "bonding" and {main, tracer} == {*BONDING}:
        raise SizingError(function, "Green with yellow is kept for bonding: choose another.")
    if function == "negative" and main == BONDING[0]:
        raise SizingError(function, "Green is kept for bonding: choose another.")


def same_wire(pair: Pair) -> Pair:
    """A pair in the names that stocks are kept in, whichever code named it: purple is violet.

    Source: IEC 60757 and BS AU 7 letters; that both mean one wire is common practice.
    """
    main, tracer = pair
    return SAME_WIRE.get(main, main), None if tracer is None else SAME_WIRE.get(tracer, tracer)


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


def colour_for(
    code: str | ColourCode,
    function: str,
    used: Collection[Pair] = (),
    *,
    barred: Collection[Pair] = (),
    stocked: Collection[Pair] | None = None,
) -> WireColour:
    """The next free colour for a function.

    The function's own colour comes first, then its main colour with each tracer in a fixed order,
    then the code's other main colours; pairs that the code lists for something else come last. A
    pair in `used`, another function's own pair, and what the
    code keeps for earth, negative and bonding are passed over; negative and bonding themselves
    share one colour wherever it is not barred.

    Args:
        code: One of `COLOUR_CODE_IDS`, or a code as `workshop_code` makes it.
        function: One of `FUNCTIONS`.
        used: Pairs taken already.
        barred: Pairs that stand in the same plug: not even negative and bonding take them.
        stocked: The pairs that there is wire of, as `same_wire` names them; None for all. Negative
            and bonding keep their own colour, stocked or not.

    Returns:
        Main and tracer; the tracer is never the main colour.

    Raises:
        NoColourLeft: nothing is left.
        SizingError: unknown code or function.

    Source: ABYC E-11 Tables XIV and XV; BS AU 7; IEC 60757; what they leave open is common
    practice.
    """
    rules = _code(code) if isinstance(code, str) else code
    taken = {*used, *barred} if function not in rules.shared else {*barred}
    for pair in colours_in_turn(rules, function, stocked):
        if pair not in taken:
            own = rules.functions[function]
            source = own.source if pair == _pair(own) else PRACTICE
            return _colour(rules, function, pair, source)
    raise NoColourLeft("function", f"{rules.title} has no colour left for {function}.")


def colours_in_turn(
    rules: ColourCode, function: str, stocked: Collection[Pair] | None = None
) -> Iterator[Pair]:
    """Every pair that a function may take, in the order in which `colour_for` takes them.

    Raises:
        SizingError: unknown function.

    Source: common practice.
    """
    own = rules.functions[choice(function, "function", rules.functions)]
    if stocked is None or function in rules.shared or same_wire(_pair(own)) in stocked:
        yield _pair(own)
    in_order = sorted(_in_order(rules, own.main), key=rules.listed.__contains__)
    owned = {_pair(each) for each in rules.functions.values()}
    for pair in in_order:
        if pair in owned or _kept(rules, pair, own.main):
            continue
        if stocked is None or same_wire(pair) in stocked:
            yield pair


def _code(code: str) -> ColourCode:
    return COLOUR_CODES[choice(code, "colour_code", COLOUR_CODES)]


def _pair(own: FunctionColour) -> Pair:
    return (own.main, own.tracer)


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
    return tracer is not None and frozenset((main, tracer)) in rules.kept_pairs


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
