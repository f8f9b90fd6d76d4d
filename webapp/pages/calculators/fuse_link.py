"""The fuse-link for a load, held against the wire behind it."""

from sqlalchemy.orm import Session

from webapp.drawings.plot import Axis, Mark, Series, plot_svg
from webapp.pages.forms import Form
from webapp.sizing.conductors import Conductor
from webapp.sizing.damage import damage_curve
from webapp.sizing.fuse_gates import family, fuse_kinds
from webapp.sizing.heat.place import place
from webapp.sizing.protection import FusedWire, fuse
from webapp.sizing.tables.fuses import Gate

from .answer import FIRE, Answer, Calculator, Figure, about
from .place_fields import read_voltage
from .wire_fields import FINISH_CHOICES, INSULATION_CHOICES, KIND_CHOICES, WIRE_DEFAULTS, read_wire

GATES, WIRE = "#0d5463", "#a8261c"
DRAWN_FROM_S, DRAWN_TO_S = 0.01, 10_000.0
CURVE_POINTS = 60
DURATION_CHOICES = (("lasting", "lasting"), ("short", "short"))


def work(form: Form, _session: Session) -> Answer | None:
    wire = read_wire(form)
    form.number("load_a", "Load", unit="A", above=0, most=10_000)
    form.number("inrush_a", "Inrush", unit="A", most=10_000)
    form.number("inrush_s", "Inrush lasts", unit="s", most=1e6)
    form.number("run_m", "Length out", unit="m", most=1000)
    form.number("return_m", "Return", unit="m", most=1000)
    read_voltage(form)
    form.number("supply_mohm", "Supply", unit="mΩ", most=1e6)
    form.number("upstream_mohm", "Between supply and fuse-link", unit="mΩ", most=1e6)
    form.number("ambient_c", "Surroundings", unit="°C", least=-60, most=300)
    form.number("limit_c", "What the insulation stands", unit="°C", least=-60, most=300)
    if wire is None or form.errors:
        return None
    names = (
        *("load_a", "inrush_a", "inrush_s", "run_m", "return_m", "system_voltage_v"),
        *("supply_mohm", "upstream_mohm", "ambient_c", "limit_c"),
    )
    chosen = fuse(
        wire,
        continuous=form.typed("duration") != "short",
        fuse_kind=form.typed("fuse_kind"),
        **{name: form.values[name] for name in names},
    )
    return _answer(wire, chosen, form)


def _answer(wire: Conductor, chosen: FusedWire, form: Form) -> Answer:
    title = family(form.typed("fuse_kind")).title
    cleared = (
        "may never clear"
        if chosen.clearing_time_s is None
        else f"clears within {about(chosen.clearing_time_s)} s"
    )
    return Answer(
        says=f"{title}: {about(chosen.rating_a)} A.",
        figures=(
            Figure("Fuse-link", f"{about(chosen.rating_a)} A", title),
            Figure(
                wire.label,
                "protected" if chosen.wire_protected else "not protected",
                "stands 1.1 × for ever and the first sure gate for its longest time",
                bad=not chosen.wire_protected,
            ),
            Figure(
                "Short at the far end",
                f"{about(chosen.fault_current_a)} A",
                cleared,
                bad=chosen.clearing_time_s is None,
            ),
            Figure(
                "Short at the fuse-link",
                "can be broken" if chosen.breaking_ok else "may burst it",
                "by its breaking capacity",
                bad=not chosen.breaking_ok,
            ),
        ),
        findings=chosen.findings,
        drawings=[_plot(wire, chosen, form)],
        reasons=chosen.reasons,
    )


def _plot(wire: Conductor, chosen: FusedWire, form: Form) -> str:
    """Time against current: between its gates the fuse-link opens, on its curve the wire fails."""
    kind = family(form.typed("fuse_kind"))
    rating_a = chosen.rating_a
    most_a = 1.3 * max(kind.gates[-1].percent / 100 * rating_a, 6 * rating_a)
    span = most_a / rating_a
    currents_a = [rating_a * span ** (step / CURVE_POINTS) for step in range(CURVE_POINTS + 1)]
    curve = damage_curve(
        wire,
        currents_a=currents_a,
        limit_c=form.values["limit_c"],
        where=place(ambient_c=form.values["ambient_c"]),
    )
    stood = [(amps, min(time_s, DRAWN_TO_S)) for amps, time_s in curve if time_s is not None]
    series = [
        Series("opens no later", _latest(kind.gates, rating_a, most_a), GATES, name_at=0.6),
        Series(
            "opens no sooner",
            _soonest(kind.gates, rating_a),
            GATES,
            "5 4",
            name_below=True,
        ),
        Series(
            f"{wire.label} reaches {form.values['limit_c']:g} °C",
            stood,
            WIRE,
            "9 3 2 3",
            name_below=True,
        ),
    ]
    marks = []
    if chosen.clearing_time_s is not None and chosen.fault_current_a <= most_a:
        marks.append(
            Mark(
                chosen.fault_current_a,
                max(chosen.clearing_time_s, DRAWN_FROM_S),
                "short at the far end",
            )
        )
    return plot_svg(
        f"When a {about(rating_a)} A fuse-link opens, and how long {wire.label} stands a current",
        Axis("current, A", rating_a, most_a, log=True),
        Axis("time, s", DRAWN_FROM_S, DRAWN_TO_S, log=True),
        series,
        marks=marks,
        height=380,
    )


def _latest(gates: tuple[Gate, ...], rating_a: float, most_a: float) -> list[tuple[float, float]]:
    """Steps: between two gates the longer time holds."""
    sure = [
        (gate.percent / 100 * rating_a, gate.longest_s)
        for gate in gates
        if gate.longest_s is not None
    ]
    points = [(sure[0][0], DRAWN_TO_S)]
    for (amps, time_s), (next_a, _) in zip(sure, [*sure[1:], (most_a, 0.0)], strict=True):
        points += [(amps, min(time_s, DRAWN_TO_S)), (next_a, min(time_s, DRAWN_TO_S))]
    return points


def _soonest(gates: tuple[Gate, ...], rating_a: float) -> list[tuple[float, float]]:
    """Steps: up to a gate its shorter time holds."""
    points: list[tuple[float, float]] = []
    before_a = rating_a
    for gate in gates:
        amps = gate.percent / 100 * rating_a
        if gate.shortest_s is not None:
            time_s = min(gate.shortest_s, DRAWN_TO_S)
            points += [(before_a, time_s), (amps, time_s)]
        before_a = amps
    return points


CALCULATOR = Calculator(
    slug="fuse-link",
    title="Fuse-link",
    about="The rating for a load, and whether it saves the wire and clears a short far away.",
    defaults=WIRE_DEFAULTS
    | {
        "load_a": "7",
        "duration": "lasting",
        "inrush_a": "0",
        "inrush_s": "0",
        "fuse_kind": "blade-medium",
        "run_m": "6",
        "return_m": "6",
        "system_voltage_v": "12",
        "supply_mohm": "10",
        "upstream_mohm": "5",
        "ambient_c": "30",
        "limit_c": "105",
    },
    work=work,
    caution=FIRE,
    refused={"source_voltage_v": "system_voltage_v", "length_m": "run_m"},
    choices={
        "kind": KIND_CHOICES,
        "finish": FINISH_CHOICES,
        "insulation": INSULATION_CHOICES,
        "fuse_kind": fuse_kinds(),
        "duration": DURATION_CHOICES,
    },
)
