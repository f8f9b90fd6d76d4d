"""A job's facts as a list says them: what goes into the basis, what is only compared.

The voltage, the polarity, the equipment and how many there are belong to the job: a list that
says otherwise is told so, and changes nothing there.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from webapp.stages.design import basis
from webapp.stages.design.imports import Line
from webapp.stages.design.names import key

# The spellings of the basis's own fields.
BASIS_FACTS = {
    "supply_place": "supply_place",
    "supply": "supply_place",
    "isolator": "isolator_place",
    "isolator_place": "isolator_place",
    "fuse_board": "fuse_board_place",
    "fuse_board_place": "fuse_board_place",
    "plug_and_socket_at": "plug_places",
    "plugs_and_sockets_at": "plug_places",
    "plug_places": "plug_places",
    "battery": "battery",
    "supply_mohm_new": "supply_mohm_new",
    "supply_mohm_old_cold": "supply_mohm_old_cold",
    "heat_at_v": "heat_at_v",
    "drop_at_v": "drop_at_v",
    "ambient_c": "ambient_c",
    "standard": "standard",
    "colour_code": "colour_code",
    "cable_kind": "cable_kind",
    "cable_finish": "cable_finish",
    "insulation": "insulation",
    "limit_c": "limit_c",
    "min_section_mm2": "min_section_mm2",
    "terminal_finish": "terminal_finish",
}
CHOICES = {
    "standard": basis.STANDARDS,
    "colour_code": basis.COLOUR_CODES,
    "cable_kind": basis.CABLE_KINDS,
    "cable_finish": basis.CABLE_FINISHES,
    "insulation": basis.CABLE_INSULATIONS,
    "terminal_finish": tuple((each, each) for each in basis.TERMINAL_FINISHES),
}
JOB_FACTS = {
    "equipment": "equipment",
    "nominal_v": "nominal voltage",
    "polarity": "polarity",
    "units": "number of units",
    "quantity": "number of units",
}
FINISH = re.compile(r"\b(tinned|plain)\b", re.I)
LIMIT = re.compile(r"([0-9]{2,3}(?:\.[0-9]+)?)\s*°?\s*C\b")


@dataclass(frozen=True)
class JobAsItIs:
    """What the job's card and the loom say."""

    equipment: str
    nominal_v: int
    polarity: str
    quantity: int


@dataclass(frozen=True)
class Fact:
    """One line: the basis's fields that it fills as text, or what is said about it instead."""

    line: Line
    name: str
    value: str
    cells: Mapping[str, str] = field(default_factory=dict)
    said: str = ""
    problem: str = ""
    # Differs from the job's card: to be put right there, by a person.
    differs: bool = False


def read_facts(lines: Iterable[Line], job: JobAsItIs) -> list[Fact]:
    """What each line means."""
    found: list[Fact] = []
    filled: dict[str, int] = {}
    for line in lines:
        fact = _fact(line, job)
        for name in fact.cells:
            if name in filled:
                problem = f"Line {filled[name]} says this already."
                fact = Fact(line, fact.name, fact.value, problem=problem)
                break
            filled[name] = line.number
        found.append(fact)
    return found


def _fact(line: Line, job: JobAsItIs) -> Fact:
    name, value = line.cells.get("field", ""), line.cells.get("value", "")
    if line.problem or not name:
        why = line.problem or "The field is not named."
        return Fact(line, name, value, problem=why)
    spelled = re.sub(r"[\s_-]+", "_", name.casefold()).strip("_")
    if spelled in JOB_FACTS:
        return _compared(line, name, value, spelled, job)
    if spelled == "cable":
        return _cable(line, name, value)
    if spelled not in BASIS_FACTS:
        return Fact(line, name, value, said="Not used: no fact of this name is known here.")
    into = BASIS_FACTS[spelled]
    if into not in CHOICES:
        return Fact(line, name, value, {into: value})
    option = choose(value, CHOICES[into])
    if option is None:
        offered = "; ".join(title for _, title in CHOICES[into])
        return Fact(line, name, value, problem=f"“{value}” is none of: {offered}.")
    return Fact(line, name, value, {into: option})


def _compared(line: Line, name: str, value: str, spelled: str, job: JobAsItIs) -> Fact:
    attribute = "quantity" if spelled in ("units", "quantity") else spelled
    stands = str(getattr(job, attribute))
    words = JOB_FACTS[spelled]
    if _same(value, stands):
        return Fact(line, name, value, said=f"As on the job's card: {words} {stands}.")
    return Fact(
        line,
        name,
        value,
        said=f"The job's card has {words} {stands or 'empty'}. It is not changed from here: "
        "if the list is right, change it there.",
        differs=True,
    )


def _same(value: str, stands: str) -> bool:
    try:
        return float(value.removesuffix("V").strip()) == float(stands)
    except ValueError:
        return key(value) == key(stands)


def _cable(line: Line, name: str, value: str) -> Fact:
    """Words such as `tinned copper; limit printed on the cable 105 C`."""
    cells = {}
    if finish := FINISH.search(value):
        cells["cable_finish"] = finish.group(1).lower()
    if limit := LIMIT.search(value):
        cells["limit_c"] = limit.group(1)
    if not cells:
        return Fact(line, name, value, said="Not used: it names neither finish nor limit in °C.")
    return Fact(line, name, value, cells)


def choose(text: str, options: Iterable[tuple[str, str]]) -> str | None:
    """The one option that the text means: its id, its title, or words that only its title has."""
    known = tuple(options)
    for option, title in known:
        if key(text) in (key(option), key(title)):
            return option
    wanted = set(re.findall(r"\w+", text.casefold()))
    fitting = [
        option
        for option, title in known
        if wanted and wanted <= set(re.findall(r"\w+", f"{option} {title}".casefold()))
    ]
    return fitting[0] if len(fitting) == 1 else None
