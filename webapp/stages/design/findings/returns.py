"""The way back: which loads share it, and whether each has its poles the right way round."""

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from webapp.sizing.conductors import resistance_mohm_per_m
from webapp.sizing.paths import CONDUCTING, FIELD, POSITIVE, Edge, Graph
from webapp.stages.design.currents import LoadFigures
from webapp.stages.design.findings.finding import COMMON_PRACTICE, Mend, Rule, Said, View
from webapp.stages.design.rows import Bridge

SENSITIVE = frozenset({"electronics", "sender"})
HEAVY_A = 5.0
MOST_SHIFT_V = 0.1
# What works one way round only.
POLARISED = frozenset({"electronics", "led", "motor"})
# What joins two ways and takes no current of its own.
_TAKES_NOTHING = CONDUCTING - {"diode", "resistor", FIELD}
_BY_CONTACT = 1e9


def earths_apart(view: View) -> Iterator[Said]:
    """What heavy loads lose along the part of a return that a sensitive one shares with them.

    A starter motor is left out: instruments are not read while it turns.
    """
    shifts = _shifts_v(view)
    for load in view.figures.loads.values():
        if not _sensitive(view, load):
            continue
        shared = {uid: shifts[uid] for uid in load.path.back or () if uid in shifts}
        total_v = sum(shifts_v for shifts_v, _ in shared.values())
        if total_v <= MOST_SHIFT_V:
            continue
        worst, (_, amps) = max(shared.items(), key=lambda each: each[1][0])
        yield Said(
            "wire",
            worst,
            f"It is the return of {_short_name(view, load)} and of loads "
            f"of {amps:.3g} A as well, which shift it by {total_v:.2g} V: give "
            f"{_short_name(view, load)} a return of its own, or thicken this one.",
        )


def _shifts_v(view: View) -> dict[str, tuple[float, float]]:
    """For each return wire, what heavy loads lose along it, and their current. [V], [A]"""
    heavy: dict[str, float] = {}
    for load in view.figures.loads.values():
        if load.heat_a >= HEAVY_A and not _sensitive(view, load) and not _starter(load):
            for uid in load.path.back or ():
                if uid in view.design.link:
                    heavy[uid] = heavy.get(uid, 0.0) + load.heat_a
    found = {}
    for uid, amps in heavy.items():
        wire = view.figures.conductor(view.design.link[uid])
        length_mm = view.figures.circuitry.lengths_mm.get(uid)
        if wire is not None and length_mm is not None:
            mohm = resistance_mohm_per_m(wire, 20.0).value * length_mm / 1000
            found[uid] = (amps * mohm / 1000, amps)
    return found


def _sensitive(view: View, load: LoadFigures) -> bool:
    if load.bridge.kind == "coil":
        return view.design.fitting[load.bridge.fitting_uid].kind == "gauge"
    return load.need is not None and load.need.kind in SENSITIVE


def _starter(load: LoadFigures) -> bool:
    return load.need is not None and load.need.control.strip().lower() == "start solenoid"


def _short_name(view: View, load: LoadFigures) -> str:
    return view.name(load.bridge.fitting_uid)


# Poles


def poles_right(view: View) -> Iterator[Said]:
    """Loads whose ways are marked + and −, and that mind which is which."""
    for load in view.figures.loads.values():
        if load.need is None or load.need.kind not in POLARISED or not load.path.complete:
            continue
        plus, minus = (view.design.way[uid] for uid in _ends(load))
        if (plus.label, minus.label) == ("+", "−") and load.path.reversed:
            yield Said(
                "fitting",
                load.bridge.fitting_uid,
                f"Its + leads to the supply's − and its − to the supply's +, and "
                f"{load.need.name} minds which is which.",
                _exchange(view, load),
            )


def _ends(load: LoadFigures) -> tuple[str, str]:
    return load.bridge.way_a_uid, load.bridge.way_b_uid


def _exchange(view: View, load: LoadFigures) -> Mend | None:
    """The wires of both ways change places, where one wire goes to each."""
    here, there = (view.on_way.get(uid, []) for uid in _ends(load))
    if len(here) != 1 or len(there) != 1 or here[0].link.uid == there[0].link.uid:
        return None
    return Mend("Exchange its two wires", action="exchange ways", about=_ends(load))


def poles_apart(by_chance: bool, view: View) -> Iterator[Said]:
    """Poles joined at once or by one contact, or (`by_chance`) only while several are closed.

    A motor that is turned round by contacts of its own is so by chance: they are never all closed.
    """
    for supply in view.figures.circuitry.supplies:
        path, contacts = _short(view, supply)
        if not path or (contacts > 1) is not by_chance:
            continue
        when = (
            "at once",
            "as soon as a contact closes",
            f"while {contacts} contacts are closed together",
        )[min(contacts, 2)]
        yield Said(
            "wire",
            _doubtful(view, path),
            f"By it the + and − of {view.name(supply.fitting_uid)} are joined with no load "
            f"between, {when}: a dead short. See where its two ends go.",
        )


def _short(view: View, supply: Bridge) -> tuple[list[str], int]:
    """Wires that lead from pole to pole past no load, and how many contacts must be closed."""
    graph = view.figures.circuitry.graph
    if supply.way_b_uid not in graph.reach(supply.way_a_uid, POSITIVE, _TAKES_NOTHING):
        return [], 0
    weighed = Graph.of(replace(each, weight=_weight(view, each)) for each in graph.edges.values())
    reach = weighed.reach(supply.way_a_uid, POSITIVE, _TAKES_NOTHING)
    links = [uid for uid in graph.path(reach, supply.way_b_uid) if uid in view.design.link]
    return links, int(reach[supply.way_b_uid][0] // _BY_CONTACT)


def _weight(view: View, edge: Edge) -> float:
    """So much for a contact that the path with the fewest is found; those that everything passes
    do not count."""
    bridge = view.design.bridge.get(edge.uid)
    if edge.kind != "contact" or bridge is None:
        return 0.0
    kind = view.design.fitting[bridge.fitting_uid].kind
    return 0.0 if kind in ("isolator", "key switch") else _BY_CONTACT


def _doubtful(view: View, path: list[str]) -> str:
    """Of the wires that join the poles that without which the most loads still work."""
    circuitry = view.figures.circuitry

    def fed_without(uid: str) -> int:
        paths = circuitry.paths_in(circuitry.graph.without([uid]))
        return sum(each.complete for each in paths)

    return max(path, key=fed_without)


def diodes_right(view: View) -> Iterator[Said]:
    if any(_short(view, supply)[0] for supply in view.figures.circuitry.supplies):
        return  # Every diode then lies between both poles.
    for uid in view.figures.circuitry.shorting_diodes:
        bridge = view.design.bridge[uid]
        anode, cathode = (view.design.way[each] for each in (bridge.way_a_uid, bridge.way_b_uid))
        yield Said(
            "fitting",
            bridge.fitting_uid,
            f"Its diode is the wrong way round: its anode ({anode.label}) leads to the supply's + "
            f"and its cathode ({cathode.label}) to −, which is a short as soon as it is switched "
            f"on. The cathode goes to the + side.",
        )


def feeds_switched(view: View) -> Iterator[Said]:
    if view.design.setting != "craft":
        return
    said: set[str] = set()
    for load in view.figures.loads.values():
        for uid in load.path.back or ():
            bridge = view.design.bridge.get(uid)
            if bridge is None or bridge.kind != "contact" or bridge.fitting_uid in said:
                continue
            if view.design.fitting[bridge.fitting_uid].kind == "isolator":
                continue
            said.add(bridge.fitting_uid)
            yield Said(
                "fitting",
                bridge.fitting_uid,
                f"It switches the return of {view.name(load.bridge.fitting_uid)}, which stays live "
                f"while it is off: on craft the feed is switched.",
            )


RULES = (
    Rule(
        "poles joined",
        "error",
        "0 ways lead from a battery's + to its − past no load, at once or by 1 contact.",
        COMMON_PRACTICE,
        partial(poles_apart, False),
    ),
    Rule(
        "poles joined by contacts",
        "warning",
        "0 ways lead from a battery's + to its − past no load while 2 or more contacts are closed.",
        COMMON_PRACTICE,
        partial(poles_apart, True),
    ),
    Rule(
        "earth shared",
        "warning",
        f"Loads of {HEAVY_A:g} A and more shift the return of a gauge, a sender or electronics by "
        f"at most {MOST_SHIFT_V:g} V; cranking is not counted.",
        COMMON_PRACTICE,
        earths_apart,
    ),
    Rule(
        "wrong polarity",
        "error",
        "The way marked + of electronics, an LED lamp or a motor leads to the supply's +, "
        "whichever of the 2 poles is earthed.",
        COMMON_PRACTICE,
        poles_right,
    ),
    Rule(
        "diode reversed",
        "error",
        "0 diodes lead from the supply's + straight to its −: the cathode of a coil's suppression "
        "diode goes to the + side.",
        COMMON_PRACTICE,
        diodes_right,
    ),
    Rule(
        "switched return",
        "note",
        "On craft 0 contacts lie in the return of a load; battery isolators may.",
        "ABYC E-11, from memory",
        feeds_switched,
    ),
)
