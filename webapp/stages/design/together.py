"""Which loads are on at once: what lasts, what a duty adds, and what a change-over keeps apart."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp.stages.design.controls import control_of
from webapp.stages.design.rows import Need

if TYPE_CHECKING:
    from webapp.stages.design.currents import LoadFigures

ALL_LASTING = "all that lasts"
CRANKING = "cranking"
START_PATTERNS = frozenset({"starter", "start"})


@dataclass(frozen=True, eq=False)
class Moment:
    """Loads with a duty that are on at once, besides what lasts.

    off: uids of loads that last and are off in that moment.
    charging: whether the battery may be charged meanwhile.
    """

    name: str
    on: tuple["LoadFigures", ...] = ()
    off: frozenset[str] = frozenset()
    charging: bool = True


def moments(loads: Iterable["LoadFigures"]) -> list[Moment]:
    """What may be on besides what lasts: the starter with its solenoid, or one other duty.

    While the engine is cranked the key is at start: what it feeds at ignition stays live, what it
    feeds at accessory goes off (DIN 72552 terminals 15, 50 and 75, from memory). Nothing charges.
    """
    known = list(loads)
    duties = [load for load in known if not load.lasting]
    cranking = tuple(load for load in duties if load.need is not None and starts(load.need))
    found = []
    if cranking:
        off = {load.uid for load in known if load.accessory or load.path.charging}
        found.append(Moment(CRANKING, cranking, frozenset(off), charging=False))
    found += [Moment(f"{load.name} besides", (load,)) for load in duties if load not in cranking]
    return found


def starts(need: Need) -> bool:
    """Whether a need is on while the engine is cranked, and only then."""
    control = control_of(need.control)
    by_control = control is not None and (
        control.pattern in START_PATTERNS or control.key_position == "start"
    )
    return by_control or need.service == "start"


def apart(one: "LoadFigures", other: "LoadFigures") -> bool:
    """Whether two loads hang on different positions of one change-over."""
    if not one.positions or not other.positions:
        return False
    return any(other.positions.get(by, at) != at for by, at in one.positions.items())


def most_at_once(
    loads: Iterable["LoadFigures"], amps: Callable[["LoadFigures"], float]
) -> list["LoadFigures"]:
    """Of these loads those that take most together, every change-over in one position."""
    rest = list(loads)
    positions: dict[str, set[str]] = {}
    for load in rest:
        for by, at in load.positions.items():
            positions.setdefault(by, set()).add(at)
    contested = {by for by, found in positions.items() if len(found) > 1}
    if not contested:
        return rest
    chosen = [load for load in rest if not contested & load.positions.keys()]
    rest = [load for load in rest if contested & load.positions.keys()]
    while rest:
        company = _company(rest, contested)
        rest = [load for load in rest if load not in company]
        by = min(contested & company[0].positions.keys())
        tried = [
            most_at_once([load for load in company if load.positions.get(by, at) == at], amps)
            for at in sorted(positions[by])
        ]
        chosen += max(tried, key=lambda found: sum(map(amps, found)))
    return chosen


def _company(loads: list["LoadFigures"], contested: set[str]) -> list["LoadFigures"]:
    """The first load and all that it meets at change-overs, one after another."""
    found, met = [loads[0]], contested & loads[0].positions.keys()
    for _ in loads:
        more = [load for load in loads if load not in found and met & load.positions.keys()]
        if not more:
            break
        found += more
        for load in more:
            met |= contested & load.positions.keys()
    return found
