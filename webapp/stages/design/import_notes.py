"""What the words of a customer's list say: the service that a name speaks of, the facts in a note.

Nothing of it is taken in silently: the import shows what was understood, to be changed there.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

LAMP_KINDS = ("lamp", "led")

# The first that fits the name gives the service.
SERVICE_WORDS = (
    (r"\bhorn", "horn"),
    (r"\b(?:wiper|washer)", "wiper"),
    (r"\bstop\s+(?:lamp|light)", "stop lamp"),
    (r"\b(?:bilge|pump)", "pump"),
    (r"\bblower", "blower"),
    (
        r"\b(?:bow|stern|all[\s-]?round|masthead|navigation|anchor|steaming)\b.*\b(?:lamp|light)",
        "navigation",
    ),
    (r"\bcabin\b.*\b(?:lamp|light)", "cabin lamps"),
    (r"\binstrument\b.*\b(?:lamp|light)", "instrument"),
    (r"\bsearch\s*(?:lamp|light)", "search lamp"),
    (r"\b(?:head|main)\b.*\bmain\b.*\b(?:lamp|beam)|\bmain beam", "head lamp main"),
    (r"\bdip", "head lamp dip"),
    (r"\b(?:side|position)\s*(?:lamp|light)", "side lamp"),
    (r"\bindicator\b.*\bleft|\bleft\b.*\bindicator", "indicator left"),
    (r"\bindicator\b.*\bright|\bright\b.*\bindicator", "indicator right"),
    (r"\b(?:vhf|radio)", "radio"),
    (r"\bstart", "start"),
    (r"\bstop", "engine stop"),
    (r"\b(?:charg|alternator|dynamo)", "charge"),
    (r"\bfuel\b.*\b(?:sender|level|gauge)", "fuel sender"),
    (r"\b(?:temperature|coolant)\b.*\b(?:sender|gauge)", "temperature sender"),
    (r"\boil\b.*\b(?:sender|pressure|gauge)", "oil sender"),
    (r"\bignition", "ignition"),
    (r"\bsocket", "accessory"),
)

SAME_SWITCH = re.compile(r"\bsame switch as (?:the )?([^;,.()]+)", re.I)
ON_WITH = re.compile(r"\bon with (?:the )?([^;,.()]+)", re.I)
OVERRIDE = re.compile(r"\boverride (?:switch )?(?:is )?(?:at|in|on) (?:the )?([^;,.()]+)", re.I)
FLAG_PHRASES = {
    "only_in_neutral": re.compile(r"(?<!not )\bonly in neutral\b", re.I),
    "before_isolator": re.compile(r"(?<!not )\bbefore the isolator\b", re.I),
    "own_lead": re.compile(r"(?<!not )\bits own lead\b", re.I),
    "to_field_terminal": re.compile(r"\bfield terminal\b", re.I),
}
LED = re.compile(r"\bLEDs?\b", re.I)
# Words that many needs share say nothing about which one is meant.
COMMON_WORDS = frozenset({"the", "and", "lamp", "lamps", "light", "lights", "switch", "of", "a"})


def service_of(name: str, kind: str) -> str:
    """The service that a need's name speaks of: it gives the wires their colour."""
    for words, service in SERVICE_WORDS:
        if re.search(words, name, re.I):
            return service
    return "lamp" if kind in LAMP_KINDS else "other"


@dataclass(frozen=True)
class Understood:
    """What a note says: values by field, and what it could not decide."""

    values: Mapping[str, Any] = field(default_factory=dict)
    unclear: tuple[str, ...] = ()


@dataclass(frozen=True)
class NamedNote:
    """A need of the list, or one that the loom has already."""

    name: str
    kind: str = ""
    note: str = ""
    switched_with: str = ""


def understand(listed: Sequence[NamedNote], others: Iterable[NamedNote] = ()) -> list[Understood]:
    """What the notes of a list say, each in the light of all the names.

    `others` are needs that the loom has already and that the list does not name.
    """
    everyone = [*listed, *others]
    first = {each.name: _meant(each, everyone) for each in everyone}
    return [_one(each, everyone, first) for each in listed]


def _one(
    each: NamedNote, everyone: Sequence[NamedNote], first: Mapping[str, list[str]]
) -> Understood:
    values: dict[str, Any] = {
        flag: True for flag, phrase in FLAG_PHRASES.items() if phrase.search(each.note)
    }
    if override := OVERRIDE.search(each.note):
        values["second_place"] = override.group(1).strip()
    if each.kind == "lamp" and LED.search(each.note):
        values["kind"] = "led"
    unclear = []
    if _asks_for_switch(each.note):
        # Several names are one answer when they hang on one switch themselves.
        meant = {_root(name, first) for name in first[each.name]}
        if len(meant) == 1:
            values["switched_with"] = meant.pop()
        else:
            names = " or ".join(f"“{name}”" for name in sorted(meant))
            which = f"it could mean {names}" if meant else "no need of this loom is called so"
            unclear.append(f"“{each.note}”: {which}. Say which need it is switched with.")
    return Understood(values, tuple(unclear))


def _asks_for_switch(note: str) -> re.Match[str] | None:
    return SAME_SWITCH.search(note) or ON_WITH.search(note)


def _meant(each: NamedNote, everyone: Sequence[NamedNote]) -> list[str]:
    """The other needs whose names hold a telling word of the phrase."""
    if each.switched_with:
        return [each.switched_with]
    phrase = _asks_for_switch(each.note)
    if phrase is None:
        return []
    told = _telling(phrase.group(1))
    return [
        other.name for other in everyone if other.name != each.name and told & _telling(other.name)
    ]


def _telling(words: str) -> set[str]:
    found = re.findall(r"\w+", words.casefold())
    return {_singular(word) for word in found} - COMMON_WORDS


def _singular(word: str) -> str:
    return word[:-1] if len(word) > 3 and word.endswith("s") else word


def _root(name: str, first: Mapping[str, list[str]]) -> str:
    """The need whose switch this one hangs on in the end."""
    passed = {name}
    while len(nexts := first.get(name, [])) == 1 and nexts[0] not in passed:
        name = nexts[0]
        passed.add(name)
    return name
