"""Wire colours: letters, drawing colours, and which function takes which colour."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from webapp.sizing.reasons import COMMON_PRACTICE, Source, from_memory

# For drawing on paper and screen; the letters beside it carry the meaning.
RGB: dict[str, str] = {
    "black": "#1c1c1c",
    "blue": "#1f5fae",
    "brown": "#7a4a21",
    "dark blue": "#16367a",
    "dark grey": "#565b60",
    "green": "#1d8a4a",
    "grey": "#8e9499",
    "light blue": "#7fb6dc",
    "light green": "#8cc63f",
    "orange": "#ec7a1c",
    "pink": "#f0a3b5",
    "purple": "#6d3a8c",
    "red": "#c8252c",
    "slate": "#708090",
    "tan": "#c9a46c",
    "turquoise": "#2fb5ac",
    "violet": "#7c4199",
    "white": "#f7f5ef",
    "yellow": "#f2cf1d",
}

BS_AU_7 = Source("BS AU 7")
BS_AU_7_REMEMBERED = from_memory("BS AU 7a:1983")
IEC_60757 = Source("IEC 60757")
IEC_60757_REMEMBERED = from_memory("IEC 60757")
E_11 = Source("ABYC E-11 Tables XIV and XV")
ISO_10133_COLOURS = from_memory("ISO 10133:2012")
PRACTICE = Source(COMMON_PRACTICE)

BS_AU_7_LETTERS: dict[str, str] = {
    "black": "B",
    "blue": "U",
    "brown": "N",
    "green": "G",
    "light green": "LG",
    "orange": "O",
    "pink": "K",
    "purple": "P",
    "red": "R",
    "slate": "S",
    "white": "W",
    "yellow": "Y",
}
IEC_60757_LETTERS: dict[str, str] = {
    "black": "BK",
    "blue": "BU",
    "brown": "BN",
    "green": "GN",
    "grey": "GY",
    "orange": "OG",
    "pink": "PK",
    "red": "RD",
    "turquoise": "TQ",
    "violet": "VT",
    "white": "WH",
    "yellow": "YE",
}
# The code for craft names shades that IEC 60757 has no letters for.
SMALL_CRAFT_LETTERS: dict[str, str] = {
    "black": "BK",
    "brown": "BN",
    "dark blue": "BU",
    "dark grey": "GY",
    "green": "GN",
    "light blue": "LBU",
    "orange": "OG",
    "pink": "PK",
    "purple": "VT",
    "red": "RD",
    "tan": "TN",
    "white": "WH",
    "yellow": "YE",
}
# A workshop's own code names every colour of wire once; what IEC 60757 has no letters for is common
# practice.
WORKSHOP_LETTERS: dict[str, str] = {
    **IEC_60757_LETTERS,
    "dark blue": "DBU",
    "dark grey": "DGY",
    "light blue": "LBU",
    "light green": "LGN",
    "tan": "TN",
}
# The same wire under another code's name: IEC 60757 has violet and grey, BS AU 7 purple and slate.
SAME_WIRE: dict[str, str] = {"purple": "violet", "slate": "grey"}


@dataclass(frozen=True)
class FunctionColour:
    """Main colour of a function, with its own tracer where the code gives one."""

    main: str
    tracer: str | None
    source: Source


@dataclass(frozen=True)
class ColourCode:
    """A colour code: letters, what each function takes, and the order of what is left.

    `shared` functions take their one colour however often it is used. `kept_mains` are left to the
    functions that own them; `kept_pairs` are given to nobody else, in either order. `listed` pairs
    mean something to whoever knows the code: they are given last.
    """

    id: str
    title: str
    letters: Mapping[str, str]
    functions: Mapping[str, FunctionColour]
    mains: tuple[str, ...]
    tracers: tuple[str, ...]
    shared: frozenset[str] = frozenset({"negative", "bonding"})
    kept_mains: frozenset[str] = frozenset()
    kept_pairs: frozenset[frozenset[str]] = frozenset()
    listed: frozenset[tuple[str, str | None]] = frozenset()


def _practice(main: str, tracer: str | None = None) -> FunctionColour:
    return FunctionColour(main, tracer, PRACTICE)


def _e11(main: str, tracer: str | None = None) -> FunctionColour:
    return FunctionColour(main, tracer, E_11)


def _bs(main: str, tracer: str | None = None, *, remembered: bool = False) -> FunctionColour:
    return FunctionColour(main, tracer, BS_AU_7_REMEMBERED if remembered else BS_AU_7)


SMALL_CRAFT = ColourCode(
    id="small-craft",
    title="Small craft (ABYC E-11; ISO 10133 / ISO 13297)",
    letters=SMALL_CRAFT_LETTERS,
    functions={
        "negative": _e11("black"),
        "positive": _e11("red"),
        "bonding": _e11("green", "yellow"),
        "start": _e11("yellow", "red"),
        "charge": _e11("brown"),
        "navigation": _e11("dark grey"),
        "pump": _e11("brown"),
        "blower": _e11("brown", "yellow"),
        "accessory": _e11("orange"),
        "ignition": _e11("purple"),
        "instrument": _e11("purple"),
        "cabin lamps": _e11("dark blue"),
        "fuel sender": _e11("pink"),
        "temperature sender": _e11("tan"),
        "oil sender": _e11("light blue"),
        "horn": _practice("orange"),
        "wiper": _practice("orange"),
        "search lamp": _practice("dark blue"),
        "engine stop": _practice("purple"),
        "radio": _practice("orange"),
        "lamp": _practice("dark blue"),
        "head lamp main": _practice("dark blue"),
        "head lamp dip": _practice("dark blue"),
        "side lamp": _practice("dark blue"),
        "stop lamp": _practice("dark blue"),
        "indicator left": _practice("dark blue"),
        "indicator right": _practice("dark blue"),
        "other": _practice("orange"),
    },
    mains=(
        *("orange", "dark blue", "purple", "brown", "tan", "pink", "light blue", "white"),
        *("dark grey", "red"),
    ),
    tracers=(
        *("white", "black", "red", "yellow", "orange", "dark blue", "brown", "purple"),
        *("pink", "tan", "light blue", "dark grey", "green"),
    ),
    kept_mains=frozenset({"green", "black", "yellow"}),
    kept_pairs=frozenset({frozenset({"green", "yellow"}), frozenset({"black", "yellow"})}),
)

# BS AU 7, from memory in part: what the list gives to functions that have no name here.
_BS_AU_7_LISTED: dict[str, tuple[str | None, ...]] = {
    "brown": ("blue", "red", "purple", "green", "white", "black"),
    "blue": (None, "light green", "pink"),
    "green": ("brown", "light green"),
    "light green": (None, "brown", "purple", "black"),
    "white": ("black", "yellow", "blue", "slate"),
    "red": ("white", "green", "yellow", "brown", "black", "orange"),
    "purple": ("yellow", "red", "brown"),
    "slate": (None,),
    "orange": (None,),
    "yellow": (None,),
    "pink": (None,),
}

ROAD = ColourCode(
    id="bs-au-7",
    title="Road vehicles and tractors: BS AU 7",
    letters=BS_AU_7_LETTERS,
    functions={
        "negative": _bs("black"),
        "positive": _bs("brown"),
        "bonding": _bs("black"),
        "start": _bs("white", "red", remembered=True),
        "charge": _bs("brown", "yellow"),
        "navigation": _practice("red"),
        "pump": _bs("white", "purple", remembered=True),
        "blower": _bs("green", "yellow", remembered=True),
        "accessory": _bs("purple"),
        "ignition": _bs("white"),
        "instrument": _bs("green"),
        "cabin lamps": _bs("purple", "white", remembered=True),
        "fuel sender": _bs("green", "black", remembered=True),
        "temperature sender": _bs("green", "blue", remembered=True),
        "oil sender": _bs("white", "brown", remembered=True),
        "horn": _bs("purple", "black", remembered=True),
        "wiper": _bs("brown", "light green"),
        "search lamp": _bs("blue", "yellow"),
        "engine stop": _practice("white"),
        "radio": _practice("purple"),
        "lamp": _practice("red"),
        "head lamp main": _bs("blue", "white"),
        "head lamp dip": _bs("blue", "red"),
        "side lamp": _bs("red"),
        "stop lamp": _bs("green", "purple", remembered=True),
        "indicator left": _bs("green", "red"),
        "indicator right": _bs("green", "white"),
        "other": _practice("green"),
    },
    mains=(
        *("green", "purple", "white", "blue", "red", "yellow", "orange", "slate", "light green"),
        *("pink", "brown"),
    ),
    tracers=(
        *("orange", "slate", "pink", "white", "black", "red", "blue", "yellow", "brown", "purple"),
        *("light green", "green"),
    ),
    kept_mains=frozenset({"black"}),
    listed=frozenset(
        (main, tracer) for main, tracers in _BS_AU_7_LISTED.items() for tracer in tracers
    ),
)

_PLAIN_MAINS = (
    *("brown", "orange", "blue", "violet", "white", "yellow", "grey", "pink", "turquoise"),
    "red",
)
_IN_TURN = (
    *("start", "charge", "navigation", "pump", "blower", "accessory", "ignition", "instrument"),
    *("cabin lamps", "fuel sender", "temperature sender", "oil sender", "horn", "wiper"),
    *("search lamp", "engine stop", "radio", "lamp", "head lamp main", "head lamp dip"),
    *("side lamp", "stop lamp", "indicator left", "indicator right", "other"),
)
PLAIN = ColourCode(
    id="iec-60757",
    title="IEC 60757 letters, colours in turn",
    letters=IEC_60757_LETTERS,
    functions={
        "negative": _practice("black"),
        "positive": _practice("red"),
        "bonding": FunctionColour("green", "yellow", IEC_60757),
        **{
            function: _practice(_PLAIN_MAINS[place % (len(_PLAIN_MAINS) - 1)])
            for place, function in enumerate(_IN_TURN)
        },
    },
    mains=_PLAIN_MAINS,
    tracers=(
        *("white", "black", "red", "yellow", "blue", "brown", "orange", "violet", "grey", "pink"),
        "turquoise",
    ),
    kept_mains=frozenset({"green", "black"}),
    kept_pairs=frozenset({frozenset({"green", "yellow"})}),
)

# Before the workshop has set anything of its own: colours in turn, for it to change.
WORKSHOP = replace(
    PLAIN,
    id="workshop",
    title="The workshop's own code",
    letters=WORKSHOP_LETTERS,
    mains=(*_PLAIN_MAINS, "light green", "light blue", "tan", "dark blue", "dark grey"),
    tracers=(*PLAIN.tracers, "green", "light green", "light blue", "tan", "dark blue"),
)

COLOUR_CODES: dict[str, ColourCode] = {
    each.id: each for each in (SMALL_CRAFT, ROAD, PLAIN, WORKSHOP)
}
