"""Two halves of a plug and socket against each other, way by way."""

from collections.abc import Mapping
from dataclasses import dataclass

NO_WAY, EMPTY, CIRCUIT, COLOUR = "no such way", "empty", "circuit", "colour"


@dataclass(frozen=True)
class InWay:
    """What stands in one way: the circuit, and the wire's main colour and tracer, if known."""

    circuit: str
    main: str = ""
    tracer: str = ""


@dataclass(frozen=True)
class Unlike:
    """A way in which two halves differ: one of `NO_WAY`, `EMPTY`, `CIRCUIT`, `COLOUR`."""

    label: str
    what: str


def unlike_ways(
    here: Mapping[str, InWay | None], there: Mapping[str, InWay | None]
) -> list[Unlike]:
    """The ways in which two halves that are put together differ, in the order of `here`.

    Args:
        here: What stands in each way of one half by its label; None for an empty way.
        there: The same of its mate.

    Returns:
        One entry a way: a way that the other half has not, or that is empty there; else another
        circuit; else another colour, where both are known. Nothing for ways that are empty in
        both, whether the other half has them or not.

    Raises:
        Nothing.

    Source: common practice; held against the way-and-colour tables of ISO 1724, ISO 11446 and
    SAE J560.
    """
    found = []
    for label in dict.fromkeys([*here, *there]):
        what = _unlike(label, here, there)
        if what:
            found.append(Unlike(label, what))
    return found


def _unlike(label: str, here: Mapping[str, InWay | None], there: Mapping[str, InWay | None]) -> str:
    one, other = here.get(label), there.get(label)
    if one is None or other is None:
        if one is other:
            return ""
        return EMPTY if label in here and label in there else NO_WAY
    if one.circuit != other.circuit:
        return CIRCUIT
    known = one.main and other.main
    return COLOUR if known and (one.main, one.tracer) != (other.main, other.tracer) else ""
