"""What each kind of part has besides its name and price: its facts, how they read, what they bear.

The names are those of the seed files' columns; webapp/stages/catalogue.py keeps the values.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from webapp.sizing.colours import COLOURS
from webapp.sizing.conductors import FINISHES, INSULATIONS, KINDS
from webapp.stages.catalogue import CatalogPart

NUMBER, WHOLE, TEXT, YES = "number", "whole", "text", "yes"
BRIDGE_KINDS = (
    "joined", "contact", "fuse", "load", "coil", "source", "park", "diode", "resistor",
    "meter", "cut-out",
)  # fmt: skip
MOST_TAKES = 50
# What the bench measures on every crimp of a terminal, besides the first-offs of its set-up.
MEASURE_EACH = ("height", "pull", "height pull")


@dataclass(frozen=True)
class Fact:
    """One fact. `says` puts its value in words; empty where the value needs none."""

    name: str
    label: str
    sort: str
    unit: str = ""
    says: str = ""
    options: tuple[str, ...] = ()
    needed: bool = True
    least: float = 0.0
    hint: str = ""


def _mm(name: str, label: str, says: str = "", *, needed: bool = True) -> Fact:
    return Fact(name, label, NUMBER, "mm", says, needed=needed)


def _text(name: str, label: str, says: str = "{}", *, needed: bool = False, hint: str = "") -> Fact:
    return Fact(name, label, TEXT, says=says, needed=needed, hint=hint)


_LIMIT_C = Fact("limit_c", "Stands", WHOLE, "°C", "{} °C", least=40)
_CONDUCTOR = (
    Fact("conductor_kind", "Conductor", TEXT, options=KINDS),
    Fact("csa_mm2", "Section", NUMBER, "mm²", "{} mm²"),
    Fact("finish", "Copper", TEXT, options=FINISHES, says="{} copper"),
    Fact("insulation", "Insulation", TEXT, options=INSULATIONS, says="{}"),
)
_PASSES = _mm("passes_mm", "Lets through", "lets {} mm through")
_FITTING = (
    _text("what", "What it is", needed=True),
    _text(
        "ways",
        "Ways",
        needed=True,
        hint="Each way's label and contact, with semicolons between: feed:stud M6:2;1:tab 6.3. "
        "A third part says how many terminals it takes.",
        says="",
    ),
    _text(
        "bridges",
        "Joined inside",
        says="",
        hint=f"Pairs of ways and what joins them: 30-87:contact;86-85:coil. "
        f"Known: {', '.join(BRIDGE_KINDS)}.",
    ),
    Fact("max_a", "Carries at most", NUMBER, "A", "up to {} A"),
    _text("fuse_kind", "Fuse-link that it takes", "for {} fuse-links"),
    _text("suits", "Suits", "suits {}"),
    _text("plating", "Plating", "{} plated"),
    Fact("resistance_ohm", "Resistance inside", NUMBER, "Ω", "{} Ω", needed=False),
)
KIND_FACTS: dict[str, tuple[Fact, ...]] = {
    "cable": (*_CONDUCTOR, _mm("outside_mm", "Outside", "{} mm outside"), _LIMIT_C,
        _text("suits", "Suits", "suits {}",
              hint="battery: taken for starter cables and between battery, isolator and bars."),
    ),
    "cable of cores": (
        *_CONDUCTOR,
        Fact("cores", "Cores", WHOLE, says="{} cores", least=2),
        _text("core_colours", "Colours of the cores", needed=True,
              hint="By their names, with semicolons between: red;black."),
        _mm("core_outside_mm", "Outside of a core", "cores of {} mm"),
        Fact("screened", "Screened", YES, says="screened"),
        Fact("drain_mm2", "Section of the screen", NUMBER, "mm²", "screen as {} mm²", needed=False),
        _mm("outside_mm", "Outside", "{} mm outside"),
        _LIMIT_C,
    ),
    "terminal": (
        _text("contact", "Contact", needed=True),
        Fact("csa_min_mm2", "Conductor from", NUMBER, "mm²", "{}"),
        Fact("csa_max_mm2", "Conductor to", NUMBER, "mm²", "to {} mm²"),
        _mm("insulation_min_mm", "Insulation from"),
        _mm("insulation_max_mm", "Insulation to", "insulation to {} mm"),
        _mm("strip_mm", "Strip", "strip {} mm"),
        Fact("current_a", "Carries", NUMBER, "A", "{} A"),
        Fact("crimped", "Crimped", YES, says="crimped"),
        Fact("soldered", "Soldered", YES, says="soldered"),
        _mm("crimp_height_mm", "Crimp height", "crimp height {} mm", needed=False),
        _text("tool", "Tool"),
        Fact("measure_each", "Measured on each crimp", TEXT, says="{} measured on each",
             options=MEASURE_EACH, needed=False),
        _mm("shrink_mm", "Heat-shrink", "heat-shrink {} mm"),
        _text("plating", "Plating", "{} plated"),
        _mm("seal_min_mm", "Seal grips from", needed=False),
        _mm("seal_max_mm", "Seal grips to", "seal to {} mm", needed=False),
        _mm("passes_mm", "Widest across", "{} mm across", needed=False),
    ),
    "plug and socket": (
        Fact("plug_ways", "Ways", WHOLE, says="{} ways", least=1),
        _text("plug_contact", "Contact of the plug", "{}", needed=True),
        _text("socket_contact", "Contact of the socket", "{}", needed=True),
        Fact("max_a", "Each way carries", NUMBER, "A", "{} A each"),
        _text("sealed", "Sealed", "sealed: {}"),
        _text("plating", "Plating", "{} plated"),
        _mm("passes_mm", "Widest across a half", "{} mm across", needed=False),
    ),
    "fuse-link": (
        _text("fuse_kind", "Kind", needed=True),
        Fact("rating_a", "Rating", NUMBER, "A", "{} A"),
    ),
    **dict.fromkeys(
        ("fuse holder", "switchgear", "bar and stud", "splice", "load"), _FITTING
    ),
    "in-line part": (
        *_FITTING,
        Fact("resistance_ohm", "Resistance", NUMBER, "Ω", "{} Ω", needed=False),
    ),
    "heat-shrink": (
        _mm("expanded_mm", "Inside as supplied", "{} mm"),
        _mm("recovered_mm", "Inside when shrunk", "shrinks to {} mm"),
        Fact(
            "longitudinal_percent", "Change of length", NUMBER, "%", "length {} %", least=-50
        ),
    ),
    "covering": (
        _text("covering", "Covering", needed=True),
        _mm("inside_min_mm", "Bundle from", "bundle {}"),
        _mm("inside_max_mm", "Bundle to", "to {} mm"),
        _LIMIT_C,
        _mm("outside_mm", "Outside, where it keeps its shape", "{} mm outside", needed=False),
        _mm("wall_mm", "Wall, where it follows the bundle", "{} mm thick", needed=False),
    ),
    "grommet": (_mm("bore_mm", "Bore", "{} mm bore"), _PASSES, _LIMIT_C),
    "gland": (
        _mm("clamps_min_mm", "Clamps from", "clamps {}"),
        _mm("clamps_max_mm", "Clamps to", "to {} mm"),
        _PASSES,
        _LIMIT_C,
    ),
    "consumable": (_text("use", "Used to", needed=True), _text("per", "One for each", "a {}")),
}  # fmt: skip
# Facts of which the first may not be above the second.
IN_ORDER = (
    ("csa_min_mm2", "csa_max_mm2"),
    ("insulation_min_mm", "insulation_max_mm"),
    ("inside_min_mm", "inside_max_mm"),
    ("recovered_mm", "expanded_mm"),
    ("clamps_min_mm", "clamps_max_mm"),
)
ABOVE_NOTHING = frozenset(
    (
        "csa_mm2",
        "csa_max_mm2",
        "outside_mm",
        "rating_a",
        "max_a",
        "current_a",
        "expanded_mm",
        "bore_mm",
        "clamps_max_mm",
    )
)


def in_words(part: CatalogPart) -> str:
    """The facts of a part as one line."""
    said = []
    for fact in KIND_FACTS[part.kind]:
        value = part.facts.get(fact.name)
        if fact.says and value not in (None, "", 0):
            said.append(fact.says.format(value))
    if any(fact.name == "ways" for fact in KIND_FACTS[part.kind]):
        count = len(part.way_plans)
        said.insert(1, f"{count} connection{'' if count == 1 else 's'}")
    return " · ".join(said)


def problems(part: CatalogPart) -> Iterator[tuple[str, str]]:
    """What is wrong with the facts of a part: the fact, and a sentence."""
    facts = part.facts
    labels = {fact.name: fact.label for fact in KIND_FACTS[part.kind]}
    for name in sorted(ABOVE_NOTHING & facts.keys()):
        if facts[name] == 0:
            yield name, f"{labels[name]} must be more than 0."
    for low, high in IN_ORDER:
        if low in labels and _number(facts, low) > _number(facts, high):
            yield high, f"{labels[high]} cannot be less than {labels[low].lower()}."
    if "core_colours" in labels:
        yield from _core_problems(part)
    if "ways" in labels:
        yield from _way_problems(part)


def _number(facts: Mapping[str, Any], name: str) -> float:
    value = facts.get(name)
    return float(value) if isinstance(value, int | float) else 0.0


def _core_problems(part: CatalogPart) -> Iterator[tuple[str, str]]:
    """A core is told by its colour: each has one, and no two the same."""
    colours = part.core_colours
    if len(set(colours)) < len(colours):
        yield "core_colours", "Two cores have the same colour: they could not be told apart."
    elif len(colours) != _number(part.facts, "cores"):
        yield "core_colours", "Name as many colours as the cable has cores."
    elif unknown := [colour for colour in colours if colour not in COLOURS]:
        yield "core_colours", f"“{unknown[0]}” is none of: {', '.join(COLOURS)}."


def _way_problems(part: CatalogPart) -> Iterator[tuple[str, str]]:
    try:
        ways = part.way_plans
    except ValueError:
        yield "ways", "Write each way as label:contact, such as feed:stud M6:2;1:tab 6.3."
        return
    labels = [way.label.strip() for way in ways]
    if not ways or not all(labels) or not all(way.contact.strip() for way in ways):
        yield "ways", "Every way needs a label and a contact."
    elif len(set(labels)) < len(labels):
        yield "ways", "Two ways have the same label: give each its own."
    elif not all(1 <= way.takes <= MOST_TAKES for way in ways):
        yield "ways", f"A way takes 1 to {MOST_TAKES} terminals."
    try:
        bridges = part.bridge_plans
    except (ValueError, StopIteration, RuntimeError):
        yield "bridges", "Write each as way-way:kind with ways that are named above."
        return
    for a, b, kind in bridges:
        if a == b:
            yield "bridges", f"{a}-{b} joins a way to itself."
        elif kind not in BRIDGE_KINDS:
            yield "bridges", f"“{kind}” is none of: {', '.join(BRIDGE_KINDS)}."
