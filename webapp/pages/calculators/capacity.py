"""What a wire may carry where it lies, and how hot it gets."""

from collections.abc import Sequence

from sqlalchemy.orm import Session

from webapp.drawings.plot import Axis, Mark, Series, plot_svg
from webapp.pages.forms import Form
from webapp.sizing.capacity import capacity, standards
from webapp.sizing.conductors import Conductor
from webapp.sizing.heat.ampacity import Ampacity, ampacity
from webapp.sizing.heat.temperature import WireTemperature, conductor_temperature
from webapp.sizing.reasons import Reason, SizingError

from .answer import FIRE, Answer, Calculator, Figure, about
from .place_fields import PLACE_DEFAULTS, place, read_place
from .wire_fields import (
    COVERING_CHOICES,
    FINISH_CHOICES,
    INSULATION_CHOICES,
    KIND_CHOICES,
    WIRE_DEFAULTS,
    read_wire,
)

HOT = "#a8261c"
POINTS = 40
STANDARD_CHOICES = tuple((each.id, each.title) for each in standards())


def work(form: Form, _session: Session) -> Answer | None:
    wire = read_wire(form)
    read_place(form)
    form.number("altitude_m", "Altitude", unit="m", least=-500, most=20_000)
    form.number("current_a", "Current", unit="A", most=10_000)
    form.number("on_s", "Time on", unit="s", above=0, most=1e7, needed=False)
    form.number("off_s", "Time off", unit="s", most=1e7, needed=False)
    form.number("outside_diameter_mm", "Outside diameter", unit="mm", most=200, needed=False)
    if wire is None or form.errors:
        return None
    return _answer(form, wire)


def _answer(form: Form, wire: Conductor) -> Answer:
    values = form.values
    where = place(form) | {
        "altitude_m": values["altitude_m"],
        "on_s": values["on_s"],
        "off_s": values["off_s"],
        "outside_diameter_mm": values["outside_diameter_mm"],
    }
    stands = ampacity(wire, limit_c=values["limit_c"], **where)
    table_a, table_reasons, table_note = _by_table(form, wire)
    lower_a = stands.current_a if table_a is None else min(stands.current_a, table_a)
    figures = [
        Figure("May carry", f"about {about(lower_a)} A", "the lower of the two"),
        Figure("By heat balance", f"about {about(stands.current_a)} A", _factors(stands)),
        Figure(
            "By the table", "not in it" if table_a is None else f"{about(table_a)} A", table_note
        ),
    ]
    findings = []
    warm = _temperature(wire, values["current_a"], where)
    if isinstance(warm, str):
        findings.append(warm)
    else:
        hot = warm.temperature_c > values["limit_c"]
        figures.append(
            Figure(
                f"At {about(values['current_a'])} A",
                f"about {warm.temperature_c:.0f} °C",
                f"surface about {warm.surface_c:.0f} °C",
                bad=hot,
            )
        )
    if values["current_a"] > lower_a:
        findings.append(
            f"{about(values['current_a'])} A is more than {wire.label} may carry here: "
            "take a thicker wire, or fewer together."
        )
    temperature_reasons = () if isinstance(warm, str) else warm.reasons[-2:]
    return Answer(
        says=f"{wire.label} may carry about {about(lower_a)} A here.",
        figures=figures,
        findings=findings,
        drawings=[_plot(wire, stands, where, values)],
        reasons=[*stands.reasons, *table_reasons, *temperature_reasons],
    )


def _by_table(form: Form, wire: Conductor) -> tuple[float | None, Sequence[Reason], str]:
    title = dict(STANDARD_CHOICES).get(form.typed("standard"), "")
    if form.values["on_s"] is not None:
        title = f"{title}; for ever"
    try:
        read = capacity(
            wire,
            standard=form.typed("standard"),
            limit_c=form.values["limit_c"],
            **place(form),
        )
    except SizingError as refused:
        if refused.field == "standard":
            raise
        return None, (), refused.message
    return read.current_a, read.reasons, title


def _factors(stands: Ampacity) -> str:
    named = (
        ("bundle", stands.bundle_factor),
        ("covering", stands.covering_factor),
        ("altitude", stands.altitude_factor),
        ("on and off", stands.duty_factor),
    )
    taken = [f"{name} × {factor:.2f}" for name, factor in named if factor != 1]
    return ", ".join([f"alone in free air about {about(stands.free_air_current_a)} A", *taken])


def _temperature(
    wire: Conductor, current_a: float, where: dict[str, float | None]
) -> WireTemperature | str:
    try:
        return conductor_temperature(wire, current_a=current_a, **where)  # type: ignore[arg-type]
    except SizingError as refused:
        if refused.field == "current_a":
            return refused.message
        raise


def _plot(
    wire: Conductor, stands: Ampacity, where: dict[str, float | None], values: dict[str, float]
) -> str:
    """Temperature against current, to a quarter above what the heat balance allows."""
    most_a = 1.25 * stands.current_a
    points = []
    for step in range(POINTS + 1):
        amps = most_a * step / POINTS
        warm = _temperature(wire, amps, where)
        if isinstance(warm, str):
            break
        points.append((amps, warm.temperature_c))
    top_c = max(values["limit_c"] * 1.05, *(celsius for _, celsius in points))
    series = [
        Series(wire.label, points, name_at=0.7),
        Series(
            f"insulation stands {values['limit_c']:g} °C",
            [(0, values["limit_c"]), (most_a, values["limit_c"])],
            HOT,
            "6 4",
            name_at=0,
        ),
    ]
    amps = values["current_a"]
    warm = _temperature(wire, amps, where)
    marks = [Mark(stands.current_a, values["limit_c"], f"{about(stands.current_a)} A")]
    if not isinstance(warm, str):
        marks.append(Mark(amps, warm.temperature_c, f"{warm.temperature_c:.0f} °C"))
    return plot_svg(
        f"Temperature of {wire.label} against its current",
        Axis("current, A", 0, most_a),
        Axis("copper, °C", min(values["ambient_c"], points[0][1]), top_c),
        series,
        marks=marks,
    )


CALCULATOR = Calculator(
    slug="capacity",
    title="Capacity and temperature",
    about="What a wire may carry where it lies, and how hot it gets.",
    defaults=WIRE_DEFAULTS
    | PLACE_DEFAULTS
    | {
        "altitude_m": "0",
        "current_a": "10",
        "on_s": "",
        "off_s": "",
        "outside_diameter_mm": "",
        "standard": STANDARD_CHOICES[0][0],
    },
    work=work,
    caution=FIRE,
    choices={
        "kind": KIND_CHOICES,
        "finish": FINISH_CHOICES,
        "insulation": INSULATION_CHOICES,
        "covering": COVERING_CHOICES,
        "standard": STANDARD_CHOICES,
    },
)
