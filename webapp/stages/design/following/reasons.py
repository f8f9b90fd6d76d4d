"""Why each figure on the way of the current is what it is."""

from collections.abc import Iterable

from webapp.sizing.conductors import COPPER_OFFSET_C, Conductor, resistance_mohm_per_m
from webapp.sizing.load_current import LOAD_KINDS, load_current_a
from webapp.sizing.paths import Edge
from webapp.sizing.reasons import COMMON_PRACTICE, Reason, SizingError
from webapp.stages.design.currents import LoadFigures
from webapp.stages.design.following.steps import Branch
from webapp.stages.design.operating import (
    CHASSIS_OHM,
    CONTACT_OHM,
    DIODE_V,
    FUSE_V,
    JOINT_OHM,
)

LAWS = "Kirchhoff's and Ohm's laws"


def wire_lost(
    conductor: Conductor | None, amps: float, whole_ohm: float, whole_m: float, length_m: float
) -> tuple[Reason, ...]:
    """What a wire takes of the voltage, from the resistance that the solution settled on."""
    if conductor is None or whole_m <= 0 or whole_ohm <= JOINT_OHM:
        return (
            Reason(
                text="Its size or length is not known, or it is very short: reckoned as a joint.",
                name="lost_v",
                value=amps * whole_ohm,
                unit="V",
                formula="current_a * joint_ohm",
                inputs={"current_a": amps, "joint_ohm": whole_ohm},
                source=COMMON_PRACTICE,
            ),
        )
    per_m = 1000 * whole_ohm / whole_m
    r20 = resistance_mohm_per_m(conductor, 20.0).value
    warm_c = per_m / r20 * (COPPER_OFFSET_C + 20) - COPPER_OFFSET_C
    lost = Reason(
        text=f"Copper at about {warm_c:.0f} °C, as this current leaves it.",
        name="lost_v",
        value=amps * per_m * length_m / 1000,
        unit="V",
        formula="current_a * resistance_mohm_per_m * length_m / 1000",
        inputs={"current_a": amps, "resistance_mohm_per_m": per_m, "length_m": length_m},
        source=LAWS,
    )
    return (*resistance_mohm_per_m(conductor, warm_c).reasons, lost)


def inside_lost(edge: Edge, amps: float, lost_v: float, ohm: float) -> tuple[Reason, ...]:
    """What lies inside a fitting takes a little too."""
    if edge.kind == "fuse":
        text, formula = "A fuse-link at its rating loses this much.", "current_a * fuse_v / fuse_a"
        inputs = {"fuse_v": FUSE_V, "fuse_a": FUSE_V / ohm}
    elif edge.kind == "diode":
        text, formula = "A conducting silicon diode.", "forward_v + current_a * joint_ohm"
        inputs = {"forward_v": DIODE_V, "joint_ohm": JOINT_OHM}
    elif edge.kind == "contact":
        text, formula = "A clean closed contact.", "current_a * contact_ohm"
        inputs = {"contact_ohm": CONTACT_OHM}
    elif edge.kind == "chassis":
        text, formula = "The body, from stud to stud.", "current_a * chassis_ohm"
        inputs = {"chassis_ohm": CHASSIS_OHM}
    else:
        text, formula = "A clean, tight joint.", "current_a * joint_ohm"
        inputs = {"joint_ohm": ohm}
        if edge.kind == "resistor":
            text, formula = "The resistor itself.", "current_a * resistor_ohm"
            inputs = {"resistor_ohm": ohm}
    return (
        Reason(
            text=text,
            name="lost_v",
            value=lost_v,
            unit="V",
            formula=formula,
            inputs={"current_a": amps, **inputs},
            source=COMMON_PRACTICE,
        ),
    )


def joint_c(temperature_c: float) -> Reason:
    """A joint has no heat balance of its own."""
    return Reason(
        text="A sound joint is about as warm as the warmer of the wires that meet in it.",
        name="temperature_c",
        value=temperature_c,
        unit="°C",
        source=COMMON_PRACTICE,
    )


def volts(before_v: float, lost_v: float, *, falling: bool) -> Reason:
    """What is left at a point, by what was there before it; on positive earth it rises to 0."""
    sign = "-" if falling else "+"
    return Reason(
        text="What was there before it, and what it took.",
        name="volts",
        value=before_v - lost_v if falling else before_v + lost_v,
        unit="V",
        formula=f"before_v {sign} lost_v",
        inputs={"before_v": before_v, "lost_v": lost_v},
        source=LAWS,
    )


def divided(arriving_a: float, branches: Iterable[Branch]) -> tuple[Reason, ...]:
    """The current after a fork: what arrives, less what leaves beside it."""
    taken = [branch.amps for branch in branches]
    if not taken:
        return ()
    names = [f"branch_{number}_a" for number in range(1, len(taken) + 1)]
    return (
        Reason(
            text="What comes to the joint goes out of it.",
            name="current_a",
            value=arriving_a - sum(taken),
            unit="A",
            formula=" - ".join(["arriving_a", *names]),
            inputs={"arriving_a": arriving_a, **dict(zip(names, taken, strict=True))},
            source=LAWS,
        ),
    )


def load_takes(load: LoadFigures, supply_v: float) -> tuple[Reason, ...]:
    """What the load takes at the supply's voltage, by its rating or by hand."""
    need = load.need
    if load.bridge.load_a is not None or need is None:
        return ()
    try:
        return load_current_a(
            need.kind if need.kind in LOAD_KINDS else "resistive",
            rating=need.rating,
            rating_unit=need.rating_unit,
            rated_at_v=need.rated_at_v,
            voltage_v=supply_v,
        ).reasons
    except SizingError:
        return ()
