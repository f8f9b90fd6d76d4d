"""Another control for a circuit, or another circuit like it: looked at first, then taken whole."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from webapp.sizing.colours import Palette
from webapp.stages.catalogue import Catalogue
from webapp.stages.design.circuit_needs import (
    PLACE_FIELDS,
    is_proposed,
    served,
    twin_plan,
    with_control,
)
from webapp.stages.design.editing.circuit_copies import copy, own_fittings
from webapp.stages.design.editing.edit import get
from webapp.stages.design.entry import RowProblem, RowsRefused
from webapp.stages.design.names import key, place_name
from webapp.stages.design.rows import Circuit, Design
from webapp.stages.design.twin_names import like_it, twin_name
from webapp.stages.refusals import NotThere
from webapp.stages.what_changes import Made, Making, proposed

# What a way of control may ask for, by the names of the needs page.
CONTROL_FIELDS = (
    "control", "control_place", "second_place", "relay_place", "switched_with", "also_with",
)  # fmt: skip


def other_control(circuit_uid: str, typed: Mapping[str, Any]) -> Making:
    """The needs of a circuit controlled as typed, and the loom proposed for it.

    Making it raises NotThere without such a circuit or need, RowsRefused where something is to be
    mended first.
    """

    def make(design: Design, parts: Catalogue, palette: Palette) -> Made:
        circuit: Circuit = get(design, "circuit", circuit_uid)
        if not served(design, circuit):
            raise NotThere
        plan = with_control(design, circuit, typed)
        name = served(design, circuit)[0].name
        return proposed(plan, f"{name}: controlled by {typed['control']}", parts, palette)

    return make


@dataclass(frozen=True)
class TwinAsk:
    """What is asked before a circuit is copied: its name, and where its places go."""

    name: str
    places: tuple[tuple[str, str], ...]
    by_hand: bool


def twin_ask(design: Design, circuit: Circuit) -> TwinAsk:
    """What suits: the other side where names say one."""
    if is_proposed(design, circuit):
        needs = served(design, circuit)
        names = [need.name for need in design.need.values()]
        first = needs[0].name
        uids = [getattr(need, f"{field}_uid") for field in PLACE_FIELDS for need in needs]
    else:
        names = [each.name for each in design.circuit.values()]
        first = circuit.name
        uids = [fitting.place_uid for fitting in own_fittings(design, circuit.uid)]
    here = dict.fromkeys(place_name(design, uid) for uid in uids if uid)
    known = {key(place.name): place.name for place in design.place.values()}
    pairs = ((name, known.get(key(twin_name(name) or ""), name)) for name in here)
    name = like_it(first, {key(each) for each in names})
    return TwinAsk(name, tuple(pairs), not is_proposed(design, circuit))


def twin(circuit_uid: str, name: str, places: Mapping[str, str]) -> Making:
    """Another circuit like this one.

    Args:
        places: The new place's name by the old one's.

    Making it raises NotThere without such a circuit; RowsRefused or Refused where something is to
    be mended first.
    """

    def make(design: Design, parts: Catalogue, palette: Palette) -> Made:
        circuit: Circuit = get(design, "circuit", circuit_uid)
        if not is_proposed(design, circuit):
            return _by_hand(design, circuit, parts, palette)
        plan, _ = twin_plan(design, circuit, name, places)
        return proposed(plan, f"Another like {served(design, circuit)[0].name}: {name}",
                        parts, palette)  # fmt: skip

    def _by_hand(design: Design, circuit: Circuit, parts: Catalogue, palette: Palette) -> Made:
        uids = {key(place.name): uid for uid, place in design.place.items()}
        unknown = [place for place in places.values() if key(place) not in uids]
        if unknown:
            sentence = f"No place is called {unknown[0]}: choose one, or add it under Needs."
            problem = RowProblem("need", 0, "place", sentence)
            raise RowsRefused((problem,), {})
        moved = {
            uids[key(old)]: uids[key(new)] for old, new in places.items() if key(old) != key(new)
        }
        made = copy(circuit.uid, name, moved, palette)(design, parts)
        return Made(made.design, made.sentence, assumed=made.said)

    return make
