"""The thinnest wire that carries a load, keeps the drop and stands its fuse-link."""

from dataclasses import replace

from sqlalchemy.orm import Session

from webapp.pages.forms import Form
from webapp.sizing.fuse_gates import fuse_kinds
from webapp.sizing.heat.ampacity import Ampacity, ampacity
from webapp.sizing.reasons import Reason, SizingError
from webapp.sizing.size import CannotSize, ConductorCheck, Duty, choose_conductor

from .answer import FIRE, Answer, Calculator, Figure, about
from .capacity import STANDARD_CHOICES
from .place_fields import PLACE_DEFAULTS, place, read_place, read_voltage
from .wire_fields import (
    COVERING_CHOICES,
    FINISH_CHOICES,
    INSULATION_CHOICES,
    KIND_CHOICES,
    WIRE_DEFAULTS,
    read_kind,
)


def work(form: Form, _session: Session) -> Answer | None:
    kind = read_kind(form)
    read_place(form)
    form.number("load_a", "Load", unit="A", above=0, most=10_000)
    form.number("length_m", "Length out", unit="m", most=1000)
    form.number("return_length_m", "Return", unit="m", most=1000)
    read_voltage(form)
    form.number("max_drop_percent", "Allowed drop", unit="%", above=0, most=100)
    form.number("fuse_rating_a", "Fuse-link", unit="A", above=0, most=10_000, needed=False)
    if kind is None or form.errors:
        return None
    values = form.values
    duty = Duty(
        load_a=values["load_a"],
        length_m=values["length_m"],
        return_length_m=values["return_length_m"],
        system_voltage_v=values["system_voltage_v"],
        max_drop_percent=values["max_drop_percent"],
        fuse_rating_a=values["fuse_rating_a"],
        fuse_kind=form.typed("fuse_kind"),
        standard=form.typed("standard"),
        limit_c=values["limit_c"],
        **place(form),
    )
    return _answer(*_chosen(kind, duty, form), form)


def _chosen(kind: str, duty: Duty, form: Form) -> tuple[ConductorCheck, Ampacity]:
    """The thinnest that table and heat balance both allow."""
    while True:
        check = choose_conductor(
            kind, duty, finish=form.typed("finish"), insulation=form.typed("insulation") or None
        )
        stands = ampacity(check.conductor, limit_c=duty.limit_c, **place(form))
        if stands.current_a >= check.needed_a:
            return check, stands
        try:
            # A billionth more: the next size up.
            duty = replace(duty, minimum_mm2=check.conductor.csa_mm2 * (1 + 1e-9))
        except SizingError as refused:
            raise CannotSize("load_a", refused.message) from refused


def _answer(check: ConductorCheck, stands: Ampacity, form: Form) -> Answer:
    wire = check.conductor
    behind = "behind its fuse-link" if form.values["fuse_rating_a"] is not None else "of its load"
    return Answer(
        says=f"Take {wire.label}.",
        figures=(
            Figure("Wire", wire.label),
            Figure("Must stand", f"{about(check.needed_a)} A", behind),
            Figure(
                "May carry",
                f"about {about(min(check.capacity_a, stands.current_a))} A",
                f"by the table {about(check.capacity_a)} A, "
                f"by heat balance about {about(stands.current_a)} A",
            ),
            Figure("Loses", f"{about(check.drop_v)} V", f"{about(check.drop_percent)} %"),
        ),
        reasons=[*check.reasons, *_heat_reasons(stands)],
    )


def _heat_reasons(stands: Ampacity) -> tuple[Reason, ...]:
    return tuple(reason for reason in stands.reasons if reason.unit in ("A", ""))


CALCULATOR = Calculator(
    slug="wire-size",
    title="Wire size",
    about="The thinnest wire that carries the load, keeps the drop and stands its fuse-link.",
    defaults={name: WIRE_DEFAULTS[name] for name in ("kind", "finish", "insulation")}
    | PLACE_DEFAULTS
    | {
        "load_a": "5",
        "length_m": "6",
        "return_length_m": "6",
        "system_voltage_v": "12",
        "max_drop_percent": "3",
        "fuse_rating_a": "",
        "fuse_kind": "blade-medium",
        "standard": STANDARD_CHOICES[0][0],
    },
    work=work,
    caution=FIRE,
    refused={"duty": "load_a", "maximum_mm2": "load_a"},
    choices={
        "kind": KIND_CHOICES,
        "finish": FINISH_CHOICES,
        "insulation": INSULATION_CHOICES,
        "covering": COVERING_CHOICES,
        "standard": STANDARD_CHOICES,
        "fuse_kind": fuse_kinds(),
    },
)
