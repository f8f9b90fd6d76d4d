"""A wire in a calculator's form: its kind, and its size in mm² or AWG."""

import re

from webapp.pages.forms import Form, NotReadableError, read_number
from webapp.sizing.conductors import (
    CLASS_5,
    KINDS,
    SOLID_AWG,
    STRANDED_AWG,
    VEHICLE,
    Conductor,
    awg_label,
    awg_to_mm2,
    conductor,
    sizes,
)
from webapp.sizing.reasons import SizingError

KIND_CHOICES = (
    (VEHICLE, "vehicle cable, mm² (ISO 6722)"),
    (CLASS_5, "flexible cable, mm² (IEC 60228 class 5)"),
    (STRANDED_AWG, "tinned stranded wire, AWG"),
    (SOLID_AWG, "solid copper wire, AWG"),
)
INSULATION_CHOICES = (
    ("pvc", "PVC, thick wall"),
    ("pvc-thin", "PVC, thin wall"),
    ("xlpe", "XLPE, thick wall"),
    ("xlpe-thin", "XLPE, thin wall"),
    ("etfe", "ETFE"),
    ("ptfe", "PTFE"),
    ("silicone", "silicone"),
    ("rubber", "rubber"),
)
COVERING_CHOICES = (
    ("none", "none"),
    ("tape", "tape"),
    ("pvc-sleeve", "PVC sleeve"),
    ("braid", "braid"),
    ("split-conduit", "split conduit"),
)
FINISH_CHOICES = (("plain", "plain copper"), ("tinned", "tinned copper"))
METRIC = (VEHICLE, CLASS_5)
AWG = re.compile(r"(?:awg)?\s*#?\s*(-?[0-9]{1,2}|[1-4]\s*/\s*0|0{1,4})\s*(?:awg)?", re.I | re.A)
MM2 = re.compile(r"\s*(?:mm²|mm2|sq\.?\s*mm|mm\^2)\s*$", re.I)
WIRE_DEFAULTS = {"kind": VEHICLE, "size": "1.5 mm²", "finish": "plain", "insulation": ""}


def read_kind(form: Form) -> str | None:
    """The kind of wire, its finish and its insulation, checked."""
    for name, allowed in (
        ("kind", KINDS),
        ("finish", [value for value, _ in FINISH_CHOICES]),
        ("insulation", ["", *(value for value, _ in INSULATION_CHOICES)]),
    ):
        if form.typed(name) not in allowed:
            form.refuse(name, "Choose one from the list.")
        form.values[name] = form.typed(name)
    return None if form.errors else form.typed("kind")


def read_wire(form: Form) -> Conductor | None:
    """The wire that the form names, or None with an error beside the field."""
    kind = read_kind(form)
    if kind is None:
        return None
    try:
        csa_mm2, awg = _size(form.typed("size"), kind)
        return conductor(
            kind,
            csa_mm2=csa_mm2,
            awg=awg,
            finish=form.typed("finish"),
            insulation=form.typed("insulation") or None,
        )
    except NotReadableError as why:
        form.refuse("size", f"Size {why}. Write 1.5 mm², or AWG 16.")
    except SizingError as refused:
        form.refuse("size", refused.message)
    return None


def _size(typed: str, kind: str) -> tuple[float | None, int | None]:
    """Section or gauge. A bare number is what the kind of wire goes by."""
    text = typed.strip()
    if not text:
        raise NotReadableError("is missing")
    is_mm2 = bool(MM2.search(text))
    if kind in METRIC:
        if "awg" in text.lower() or "/" in text:
            raise SizingError("size", _no_awg(gauge(text), kind))
        return float(read_number(MM2.sub("", text), commas_group=False)), None
    if is_mm2:
        section = float(read_number(MM2.sub("", text), commas_group=False))
        raise SizingError("size", _no_mm2(section, kind))
    return None, gauge(text)


def gauge(text: str) -> int:
    """The gauge number of what was typed: 16, AWG 16, 2/0 or 00."""
    found = AWG.fullmatch(text.strip())
    if not found:
        raise NotReadableError(f"must be a gauge such as 16 or 2/0, not “{text[:20]}”")
    digits = re.sub(r"\s", "", found.group(1))
    if "/" in digits:
        return 1 - int(digits[0])
    return 1 - len(digits) if set(digits) == {"0"} else int(digits)


def _no_awg(awg: int, kind: str) -> str:
    section_mm2 = awg_to_mm2(awg)
    return (
        f"This cable comes in mm². AWG {awg_label(awg)} is {section_mm2:.3g} mm²."
        f"{_not_thinner(section_mm2, kind)} Or choose a wire in AWG."
    )


def _no_mm2(section_mm2: float, kind: str) -> str:
    return f"This wire comes in AWG.{_not_thinner(section_mm2, kind)} Or choose a cable in mm²."


def _not_thinner(section_mm2: float, kind: str) -> str:
    larger = [each for each in sizes(kind) if each.csa_mm2 >= section_mm2]
    return f" The next size that is not thinner: {larger[0].label}." if larger else ""
