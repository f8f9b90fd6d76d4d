"""Needs: what the loom has to do, as the customer says it, and what is refused from the start."""

import re
from collections import Counter
from collections.abc import Collection, Iterator
from dataclasses import replace
from typing import Any

from webapp.sizing.colours import FUNCTIONS
from webapp.sizing.load_current import LOAD_KINDS, RATING_UNITS, load_current_a
from webapp.sizing.reasons import EXTRA_LOW_VOLTAGE_LIMIT_V, SizingError
from webapp.stages.design.controls import (
    ALWAYS,
    CONTROLS,
    LIVE_WHEN,
    PERMANENT,
    WITHOUT_PLACE,
    control_of,
)
from webapp.stages.design.duty import duty_text, read_duty
from webapp.stages.design.import_notes import service_of
from webapp.stages.design.names import Names, key, need_name, place_name
from webapp.stages.design.rows import Design, Need

__all__ = ["LIVE_WHEN", "LOAD_KINDS", "RATING_UNITS"]

SERVICES = tuple(each for each in FUNCTIONS if each not in ("negative", "positive", "bonding"))
FLAGS = ("before_isolator", "only_in_neutral", "own_lead", "to_field_terminal")
SINGLE_WIRES = "single wires"
LAID_AS = (SINGLE_WIRES, "twisted pair", "cable of cores", "screened cable")
# Other needs that a need names, and places besides its own.
OTHER_NEEDS = ("switched_with", "also_with", "apart_from")
OTHER_PLACES = ("control_place", "second_place", "relay_place")
MOST_QUANTITY = 100
MOST_FEEDS, MOST_EXTRA_SIZES = 4, 5
LEAST_DROP_PERCENT, MOST_DROP_PERCENT = 0.1, 50.0
DROP_PERCENT = 10.0
# ABYC E-11 (from memory): these may lose 3 % on craft.
CRAFT_DROP_PERCENT = 3.0
CRAFT_DROP_SERVICES = frozenset({"navigation", "blower", "pump"})

RESTRAINT = re.compile(
    r"\b(?:air[\s-]?bags?|(?:belt\s+)?pre-?tensioners?|srs|restraints?|pyrotechnics?|squibs?)\b",
    re.I,
)
MAINS = re.compile(r"\bmains\b", re.I)
TRACTION = re.compile(r"\btraction\s+(?:battery|batteries|pack|motor|supply)\b", re.I)
VOLTS = re.compile(r"(\d+(?:[.,]\d+)?)\s*(k?)v(?:olts?|\s*a\.?c\.?|\s*d\.?c\.?)?\b", re.I)
TOO_HIGH = (
    f"Looms are designed here up to {EXTRA_LOW_VOLTAGE_LIMIT_V:g} V DC. Above that, and on the "
    "mains, other rules hold and the work is for licensed people."
)
TRACTION_REFUSED = (
    "High-voltage traction is refused here: it is work for people licensed for it, by other rules."
)
RESTRAINT_REFUSED = (
    "Restraint circuits (airbags, belt pretensioners) are refused here: they can fire when probed "
    "or soldered, and only the vehicle maker's own instructions and agents may touch them."
)

# The row's uid, the field, and a sentence.
Problem = tuple[str, str, str]


def values(design: Design, need: Need) -> dict[str, Any]:
    """A need as it is typed: places and the other need by name, duty in words."""
    return {
        "name": need.name,
        "quantity": need.quantity,
        "place": place_name(design, need.place_uid),
        "kind": need.kind,
        "rating": need.rating,
        "rating_unit": need.rating_unit,
        "rated_at_v": need.rated_at_v,
        "control": need.control,
        "duty": duty_text(need.on_s, need.off_s),
        "max_drop_percent": need.max_drop_percent,
        "inrush_a": need.inrush_a,
        "inrush_s": need.inrush_s,
        "max_fuse_a": need.max_fuse_a,
        "note": need.note,
        "service": need.service,
        "live_when": need.live_when,
        "laid_as": need.laid_as,
        "feeds": need.feeds,
        "extra_sizes": need.extra_sizes,
        **{place: place_name(design, getattr(need, f"{place}_uid")) for place in OTHER_PLACES},
        **{other: need_name(design, getattr(need, f"{other}_uid")) for other in OTHER_NEEDS},
        **{flag: getattr(need, flag) for flag in FLAGS},
    }


def columns(changed: dict[str, Any], whole: dict[str, Any], names: Names) -> dict[str, Any]:
    """What the table keeps of what was typed.

    Left empty: one, at the nominal voltage, permanent, the service that the name speaks of, and
    the drop that the service allows.

    Raises:
        Refused: it names a need that is not there.
    """
    kept = dict(changed)
    if "place" in kept:
        kept["place_uid"] = names.place(kept.pop("place"))
    for place in OTHER_PLACES:
        if place in kept:
            kept[f"{place}_uid"] = names.place_if_any(kept.pop(place))
    for other in OTHER_NEEDS:
        if other in kept:
            kept[f"{other}_uid"] = names.need(other, kept.pop(other))
    if "duty" in kept:
        kept["on_s"], kept["off_s"] = read_duty(kept.pop("duty"))
    if "control" in kept:
        kept["control"] = known_control(kept["control"]) or PERMANENT
    return _fill(kept, whole, names.design)


def _fill(kept: dict[str, Any], whole: dict[str, Any], design: Design) -> dict[str, Any]:
    service = whole.get("service") or service_of(whole["name"], whole["kind"])
    for field, value in (
        ("quantity", 1),
        ("live_when", ALWAYS),
        ("laid_as", SINGLE_WIRES),
        ("feeds", 1),
        ("extra_sizes", 0),
        ("rated_at_v", float(design.nominal_v)),
        ("service", service),
        ("max_drop_percent", drop_percent(design.setting, service)),
    ):
        if whole.get(field) in (None, ""):
            kept[field] = value
    return kept


def known_control(text: str) -> str:
    """A control as it is kept: by its name where it is known, else in small letters."""
    control = control_of(text)
    return control.name if control else key(text)


def drop_percent(setting: str, service: str) -> float:
    """The drop that a need may have unless somebody says otherwise.

    Source: ABYC E-11 for craft (from memory); elsewhere common practice.
    """
    strict = setting == "craft" and service in CRAFT_DROP_SERVICES
    return CRAFT_DROP_PERCENT if strict else DROP_PERCENT


def problems(design: Design, uids: Collection[str]) -> Iterator[Problem]:
    """What is wrong with these needs in the design as it would be."""
    named = Counter(key(need.name) for need in design.need.values())
    for uid in uids:
        need = design.need[uid]
        if named[key(need.name)] > 1:
            yield (
                uid,
                "name",
                f"There is a need called {need.name} already: give each its own name.",
            )
        for field, sentence in (*_problems(need), *_control_problems(need)):
            yield uid, field, sentence


def _problems(need: Need) -> Iterator[tuple[str, str]]:
    if why := refused_name(need.name):
        yield "name", why
    if need.rated_at_v > EXTRA_LOW_VOLTAGE_LIMIT_V:
        yield "rated_at_v", f"{need.rated_at_v:g} V is refused. {TOO_HIGH}"
    else:
        yield from _rating_problems(need)
    if (need.inrush_a is None) != (need.inrush_s is None):
        missing = "inrush_s" if need.inrush_s is None else "inrush_a"
        yield missing, "Inrush needs both: how many A, and for how many s."
    for other in OTHER_NEEDS:
        if getattr(need, f"{other}_uid") == need.uid:
            yield other, "This is the need itself: name the other one."


def _control_problems(need: Need) -> Iterator[tuple[str, str]]:
    """What its control asks for and is not said, or what it has no use for."""
    control = control_of(need.control)
    if need.control not in WITHOUT_PLACE and need.control_place_uid is None:
        yield "control_place", f"Say where the {need.control} sits."
    if need.apart_from_uid is not None and need.apart_from_uid == need.switched_with_uid:
        yield "apart_from", "It is switched with this need, so both fail together."
    if control is None:
        return
    if control.second_needed and need.second_place_uid is None:
        yield "second_place", f"Say where the {control.second} sits."
    if control.key_position and need.live_when != ALWAYS:
        yield (
            "live_when",
            "The key's position is said by the control already: leave this at always.",
        )
    by_diodes = control.pattern == "diode fed"
    if by_diodes and need.switched_with_uid is None:
        yield "switched_with", "Say with which need it is lit."
    if by_diodes and need.also_with_uid is None:
        yield "also_with", "Say with which other need it is lit too."
    if by_diodes and need.also_with_uid and need.also_with_uid == need.switched_with_uid:
        yield "also_with", "This is the same need: name another one."
    if not by_diodes and need.also_with_uid is not None:
        yield "also_with", "Two needs light it only where it is controlled by “diode fed”."


def _rating_problems(need: Need) -> Iterator[tuple[str, str]]:
    try:
        load_current_a(
            need.kind,
            rating=need.rating,
            rating_unit=need.rating_unit,
            rated_at_v=need.rated_at_v,
            voltage_v=need.rated_at_v,
        )
    except SizingError as error:
        field = error.field if error.field in ("kind", "rating_unit", "rated_at_v") else "rating"
        yield field, error.message


def refused_name(name: str) -> str:
    """Why a need of this name is refused from the start; "" when it is not."""
    if RESTRAINT.search(name):
        return RESTRAINT_REFUSED
    if TRACTION.search(name):
        return TRACTION_REFUSED
    for figures, kilo in VOLTS.findall(name):
        volts = float(figures.replace(",", ".")) * (1000 if kilo else 1)
        if volts > EXTRA_LOW_VOLTAGE_LIMIT_V:
            return f"{volts:g} V is refused. {TOO_HIGH}"
    return TOO_HIGH if MAINS.search(name) else ""


def to_look_at(need: Need) -> list[str]:
    """What is taken in as it stands, but will be asked about later."""
    control = CONTROLS.get(need.control)
    if control is None:
        return [f"The proposal does not know the control “{need.control}” yet."]
    if control.pattern == "float with override" and need.second_place_uid is None:
        return ["Where the manual override sits is not said yet."]
    return []


_NAMED_AS = {
    "switched_with": "which is switched with it",
    "also_with": "which is lit with it",
    "apart_from": "which must not fail together with it",
}


def uses(design: Design, uid: str) -> list[str]:
    """What would be left without its need. What a proposal made for it lets go (see `let_go`)."""
    found = [
        f"the need {other.name}, {words}"
        for other in design.need.values()
        for field, words in _NAMED_AS.items()
        if getattr(other, f"{field}_uid") == uid
    ]
    found += [
        f"circuit {item.number}"
        for item in design.circuit.values()
        if item.need_uid == uid and not item.origin
    ]
    fittings = {
        bridge.fitting_uid
        for bridge in design.bridge.values()
        if bridge.need_uid == uid and not bridge.origin
    }
    found += [f"the fitting {design.fitting[fitting].name}" for fitting in sorted(fittings)]
    return found


def let_go(design: Design, gone: Collection[str]) -> Design:
    """Proposed circuits and loads without the needs that are taken out.

    Their wires stay until the loom is proposed anew: then nothing asks for them any more.
    """
    return replace(
        design,
        circuit={uid: _without(row, gone) for uid, row in design.circuit.items()},
        bridge={uid: _without(row, gone) for uid, row in design.bridge.items()},
    )


def _without(row: Any, gone: Collection[str]) -> Any:
    if row.need_uid not in gone or not row.origin:
        return row
    return replace(row, need_uid=None, version=row.version + 1)
