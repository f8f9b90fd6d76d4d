"""Need lists for proposals: the day launch, and smaller invented ones."""

import random
from dataclasses import replace
from itertools import pairwise
from typing import Any

from webapp.stages.catalogue import Catalogue, seed_parts
from webapp.stages.design.controls import CONTROLS, LIVE_WHEN
from webapp.stages.design.defaults import first_basis
from webapp.stages.design.rows import Design, Need, Place, Run

CATALOGUE = Catalogue({part.uid: part for part in seed_parts()})


def design(
    needs: list[Need],
    *,
    volts: int = 12,
    polarity: str = "insulated return",
    setting: str = "craft",
    places: tuple[str, ...] = ("battery box", "helm", "bow"),
    run_mm: int = 2000,
    **basis: Any,
) -> Design:
    """Places in a row, each joined to the one before by a run."""
    rows = {name: Place(uid=name, position=n, name=name) for n, name in enumerate(places)}
    runs = {
        f"r{n}": Run(
            uid=f"r{n}",
            position=n,
            from_place_uid=a,
            to_place_uid=b,
            length_mm=run_mm,
            covering="PVC sleeve",
            surround_c=35.0,
        )
        for n, (a, b) in enumerate(pairwise(places))
    }
    values = {"supply_place_uid": places[0], **basis}
    return Design(
        volts,
        polarity,
        setting,
        replace(first_basis(volts, setting), **values),
        place=rows,
        run=runs,
        need={need.uid: need for need in needs},
    )


def lamp(uid: str = "lamp", **values: Any) -> Need:
    given: dict[str, Any] = {
        "name": "Cabin lamp",
        "place_uid": "bow",
        "kind": "lamp",
        "rating": 10.0,
        "rating_unit": "W",
        "rated_at_v": 12.0,
        "control": "switch",
        "control_place_uid": "helm",
        "service": "cabin lamps",
    }
    return Need(uid=uid, **(given | values))


def with_control(control: str, **values: Any) -> list[Need]:
    """A need that is controlled so, with the needs and the place that this control asks for."""
    facts = CONTROLS[control]
    given: dict[str, Any] = {"name": "First lamp", "control": control, "rating": 5.0}
    if facts.pattern == "starter":
        given |= {"kind": "motor", "rating": 100.0, "rating_unit": "A", "on_s": 10.0, "off_s": 60.0}
    if facts.pattern == "gauge":
        given |= {"kind": "sender", "rating": 0.1, "rating_unit": "A"}
    if facts.pattern in ("dynamo", "split charge"):
        given |= {"kind": "source", "rating": 20.0, "rating_unit": "A", "service": "charge"}
    if facts.pattern == "ammeter":
        given |= {"kind": "sender", "rating": 30.0, "rating_unit": "A"}
    if facts.second:
        given["second_place_uid"] = "battery box"
    needs = []
    if facts.companion:
        given["service"] = "head lamp main"
        needs = [
            lamp("other", name="Other lamp", rating=5.0, control=control, service="head lamp dip",
                 switched_with_uid="lamp")
        ]  # fmt: skip
    if facts.pattern in ("dynamo", "split charge", "ammeter"):
        needs = [lamp("load", name="What it is there for")]
    if facts.pattern == "diode fed":
        given |= {"switched_with_uid": "one", "also_with_uid": "two"}
        needs = [lamp("one", name="One"), lamp("two", name="Two", control="switch via relay")]
    return [lamp(**(given | values)), *(replace(need, **_volts(values)) for need in needs)]


def _volts(values: dict[str, Any]) -> dict[str, Any]:
    return {"rated_at_v": values["rated_at_v"]} if "rated_at_v" in values else {}


def any_list(seed: int, count: int, volts: int, polarity: str, setting: str) -> Design:
    """An arbitrary need list: of small loads, or of any, some of it beyond what can be met."""
    pick = random.Random(seed)
    small = pick.random() < 0.5
    ratings = [0.1, 0.5, 1, 2] if small else [0.1, 0.5, 1, 2, 4, 6, 10, 15, 25, 40]
    places = tuple(f"place {n}" for n in range(pick.randint(2, 8)))
    needs: list[Need] = []
    for n in range(count):
        control = pick.choice(list(CONTROLS))
        starter = control == "start solenoid"
        companion = bool(needs) and CONTROLS[needs[-1].control].companion and pick.random() < 0.8
        if companion:
            control = needs[-1].control
        fed = [need.uid for need in needs]
        unit = "A" if starter else pick.choice("AW")
        rating = pick.choice([80.0, 180.0] if starter else ratings)
        short = pick.random() < 0.3
        needs.append(
            Need(
                uid=f"n{n}",
                position=n,
                name=f"Need {n}",
                quantity=1 if starter else pick.choice([1, 1, 2] if small else [1, 1, 1, 2, 4, 7]),
                place_uid=pick.choice(places),
                kind="motor"
                if starter
                else "sender"
                if control == "gauge"
                else pick.choice(["lamp", "led", "motor", "resistive", "electronics", "source"]),
                rating=rating * volts if unit == "W" else rating,
                rating_unit=unit,
                rated_at_v=float(volts),
                control=control,
                control_place_uid=pick.choice([None, *places]),
                second_place_uid=pick.choice([None, *places]),
                relay_place_uid=pick.choice([None, None, *places]),
                switched_with_uid=fed[-1]
                if companion
                else pick.choice(fed)
                if fed and (n % 7 == 3 or control == "diode fed")
                else None,
                also_with_uid=pick.choice(fed) if fed and control == "diode fed" else None,
                apart_from_uid=pick.choice(fed) if fed and pick.random() < 0.1 else None,
                live_when=pick.choice([*LIVE_WHEN, *["always"] * 8]),
                feeds=pick.choice([1, 1, 1, 1, 2]),
                extra_sizes=pick.choice([0, 0, 0, 1, 2]),
                service=pick.choice(["lamp", "horn", "navigation", "other"]),
                on_s=10.0 if short else None,
                off_s=60.0 if short else None,
                max_drop_percent=pick.choice([3.0, 5.0, 10.0]),
                max_fuse_a=pick.choice([None, None, 5.0, 15.0]),
                before_isolator=pick.random() < 0.1,
                own_lead=pick.random() < 0.1,
                only_in_neutral=pick.random() < 0.1,
            )
        )
    return design(
        needs,
        volts=volts,
        polarity=polarity,
        setting=setting,
        places=places,
        run_mm=pick.randint(200, 3000),
        isolator_place_uid=pick.choice([None, places[0]]),
        plug_place_uids=tuple(pick.sample(places, pick.randint(0, 2))),
        # In a thick bundle a shared fuse-link asks wires too thick for small contacts.
        fuse_sharing=pick.choice(["own", "by place"]) if count <= 12 else "own",
        supply_mohm_new=pick.choice([3.0, 6.0, 15.0]),
    )


# What any loom can be asked for, one after the other; those with a partner come in pairs.
SENSIBLE = (
    "permanent",
    "switch",
    "switch in the earth",
    "switch via relay",
    "push button",
    "push button in the earth",
    "push button via relay",
    "float switch",
    "float switch with manual override",
    "pressure switch",
    "temperature switch in the earth",
    "thermostat",
    "thermostat via relay",
    "brake lamp switch",
    "reverse lamp switch",
    "door switches",
    "two-way switches",
    "change-over switch",
    "switch and change-over switch",
    "flasher unit with left-right switch",
    "key switch accessory",
    "key switch ignition",
    "key switch ignition via relay",
    "self-parking switch",
)
PAIRED = ("change-over switch", "switch and change-over switch",
          "flasher unit with left-right switch")  # fmt: skip


def sensible_list(seed: int, count: int, volts: int, polarity: str, setting: str) -> Design:
    """Small loads over short runs: nothing that a loom could not do."""
    pick = random.Random(seed)
    places = tuple(f"place {n}" for n in range(pick.randint(2, 6)))
    needs: list[Need] = []
    while len(needs) < count:
        control = pick.choice(SENSIBLE)
        kind = "motor" if control == "self-parking switch" else pick.choice(["lamp", "led"])
        first = Need(
            uid=f"n{len(needs)}",
            position=len(needs),
            name=f"Need {len(needs)}",
            quantity=1 if control == "self-parking switch" else pick.choice([1, 1, 2, 4]),
            place_uid=pick.choice(places),
            kind=kind,
            rating=pick.choice([1.0, 3.0, 5.0]),
            rating_unit="W",
            rated_at_v=float(volts),
            control=control,
            control_place_uid=pick.choice(places),
            second_place_uid=pick.choice(places),
            service=pick.choice(["lamp", "accessory", "other"]),
        )
        needs.append(first)
        if control in PAIRED:
            needs.append(
                replace(
                    first,
                    uid=f"n{len(needs)}",
                    position=len(needs),
                    name=f"Need {len(needs)}",
                    switched_with_uid=first.uid,
                )
            )
    return design(
        needs,
        volts=volts,
        polarity=polarity,
        setting=setting,
        places=places,
        run_mm=pick.randint(200, 800),
        isolator_place_uid=pick.choice([None, places[0]]),
        plug_place_uids=tuple(pick.sample(places[1:], 1)),
        # In a thick bundle a shared fuse-link asks wires too thick for small contacts.
        fuse_sharing=pick.choice(["own", "by place"]) if count <= 12 else "own",
    )
