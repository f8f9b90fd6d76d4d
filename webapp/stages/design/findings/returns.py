"""The way back: which loads share it, and whether each has its poles the right way round."""

from collections.abc import Iterator

from webapp.sizing.conductors import resistance_mohm_per_m
from webapp.stages.design.currents import LoadFigures
from webapp.stages.design.findings.finding import COMMON_PRACTICE, Mend, Rule, Said, View

SENSITIVE = frozenset({"electronics", "sender"})
HEAVY_A = 5.0
MOST_SHIFT_V = 0.1
# What works one way round only.
POLARISED = frozenset({"electronics", "led", "motor"})


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


def diodes_right(view: View) -> Iterator[Said]:
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
