"""Places: the named spots where something sits, or where the loom divides or passes a panel."""

from collections import Counter
from collections.abc import Collection, Iterator
from typing import Any

from webapp.stages.design.names import Names, key
from webapp.stages.design.rows import Design, Need, Place

# The row's uid, the field, and a sentence.
Problem = tuple[str, str, str]


def values(design: Design, place: Place) -> dict[str, Any]:
    """A place as it is typed."""
    return {"name": place.name, "note": place.note}


def columns(changed: dict[str, Any], whole: dict[str, Any], names: Names) -> dict[str, Any]:
    """What the table keeps of what was typed."""
    return changed


def problems(design: Design, uids: Collection[str]) -> Iterator[Problem]:
    """What is wrong with these places in the design as it would be."""
    named = Counter(key(place.name) for place in design.place.values())
    for uid in uids:
        name = design.place[uid].name
        if named[key(name)] > 1:
            yield uid, "name", f"There is a place called {name} already."


def uses(design: Design, uid: str) -> list[str]:
    """What would be left without its place."""
    found = [
        f"the run {design.place[run.from_place_uid].name} to {design.place[run.to_place_uid].name}"
        for run in design.run.values()
        if uid in (run.from_place_uid, run.to_place_uid)
    ]
    found += [f"the need {need.name}" for need in design.need.values() if uid in _places_of(need)]
    basis = design.basis
    found += [
        words
        for words, there in (
            ("the supply", basis.supply_place_uid == uid),
            ("the isolator", basis.isolator_place_uid == uid),
            ("the fuse board", basis.fuse_board_place_uid == uid),
            ("a plug and socket", uid in basis.plug_place_uids),
        )
        if there
    ]
    found += [
        f"the fitting {item.name}" for item in design.fitting.values() if item.place_uid == uid
    ]
    return found


def _places_of(need: Need) -> tuple[str | None, ...]:
    return (
        need.place_uid,
        need.control_place_uid,
        need.second_place_uid,
        need.relay_place_uid,
    )
