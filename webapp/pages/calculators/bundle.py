"""How thick a bundle is, and what goes over and around it."""

from sqlalchemy.orm import Session

from webapp.drawings.bundle import bundle_svg
from webapp.pages.forms import Form, NotReadableError, read_number, split_unit
from webapp.sizing.bundle import (
    SleeveFacts,
    bend_radius_mm,
    choose_sleeve,
    splice_bulge_mm,
    tape_build_up_mm,
)
from webapp.sizing.conductors import (
    STRANDED_AWG,
    VEHICLE,
    conductor,
    outside_diameter_mm,
)
from webapp.sizing.glands import gland_thread_mm, grommet_bore_mm
from webapp.sizing.packing import LARGEST_MM, MOST_CIRCLES, SMALLEST_MM, Packing, pack
from webapp.sizing.reasons import Reason, Result, SizingError
from webapp.sizing.terminations import CannotFit
from webapp.stages import catalogue

from .answer import Answer, Calculator, Figure, Table, about
from .lists import Line, read_lines
from .wire_fields import AWG, KIND_CHOICES, METRIC, MM2, gauge

METRIC_CHOICES = tuple(choice for choice in KIND_CHOICES if choice[0] in METRIC)


def work(form: Form, session: Session) -> Answer | None:
    wires: list[float] = []
    diameters: dict[str, Result] = {}
    form.values["kind"] = form.typed("kind")
    for line in read_lines(form, "wires", "Wires"):
        try:
            one = _diameter(line.what, form.typed("kind"))
        except (NotReadableError, SizingError) as why:
            form.refuse("wires", f"Line {line.number}, “{line.what[:40]}”: {why}")
            continue
        diameters[_named(line)] = one
        wires += [one.value] * min(line.count or 1, MOST_CIRCLES + 1)
    form.number("tape_mm", "Tape", unit="mm", most=5)
    form.number("passes_over_mm", "Largest to go through", unit="mm", most=1000)
    form.number("splice_mm", "Splice", unit="mm", above=0, most=200, needed=False)
    if form.errors:
        return None
    return _answer(form, session, pack(wires), wires, diameters)


def _named(line: Line) -> str:
    return f"{line.count or 1} × {line.what.strip()}"


def _diameter(text: str, kind: str) -> Result:
    """Outside diameter of `1.5 mm²`, `AWG 16`, or a diameter such as 2.4 mm."""
    plain = text.strip()
    if MM2.search(plain):
        section = float(read_number(MM2.sub("", plain), commas_group=False))
        return outside_diameter_mm(conductor(kind, csa_mm2=section))
    if "awg" in plain.lower() and AWG.fullmatch(plain):
        return outside_diameter_mm(conductor(STRANDED_AWG, awg=gauge(plain)))
    diameter_mm = float(read_number(split_unit(plain, ["mm"])[0], commas_group=False))
    if not SMALLEST_MM <= diameter_mm <= LARGEST_MM:
        raise NotReadableError(f"a diameter lies between {SMALLEST_MM:g} and {LARGEST_MM:g} mm.")
    return Result(diameter_mm, ())


def _answer(
    form: Form,
    session: Session,
    packing: Packing,
    wires: list[float],
    diameters: dict[str, Result],
) -> Answer:
    bare_mm = packing.diameter_mm
    reasons = [reason for one in diameters.values() for reason in one.reasons]
    reasons += packing.reasons
    figures = [Figure("Bundle", f"{about(bare_mm)} mm", f"{len(wires)} wires, as close as they go")]
    outer_mm = bare_mm
    if form.values["tape_mm"]:
        taped = tape_build_up_mm(bare_mm, form.values["tape_mm"])
        outer_mm = taped.value
        reasons += taped.reasons
        figures.append(Figure("Over tape", f"{about(outer_mm)} mm", "half overlapped"))
    if form.values["splice_mm"] is not None:
        splice = splice_bulge_mm(form.values["splice_mm"], beside_mm=wires[1:])
        reasons += splice.reasons
        note = "in place of the first wire"
        figures.append(Figure("At the splice", f"{about(splice.value)} mm", note))
    bend = bend_radius_mm(max(wires))
    reasons += bend.reasons
    panel, panel_reasons = _panel(outer_mm, form.values["passes_over_mm"])
    sleeves = _sleeves(session, bare_mm)
    return Answer(
        says=f"The bundle is at least {about(bare_mm)} mm thick.",
        figures=(*figures, Figure("Bend no tighter than", f"{about(bend.value)} mm"), *panel),
        reasons=[*reasons, *panel_reasons],
        drawings=[bundle_svg(packing.centres_mm, wires, bare_mm)],
        table=Table("Coverings in the stores that go over it", ("Sort", "Part"), sleeves)
        if sleeves
        else None,
    )


def _panel(outer_mm: float, passes_over_mm: float) -> tuple[list[Figure], list[Reason]]:
    figures: list[Figure] = []
    reasons: list[Reason] = []
    try:
        bore = grommet_bore_mm(outer_mm, passes_over_mm)
        figures.append(Figure("Grommet", f"{about(bore.value)} mm bore"))
        reasons += bore.reasons
    except CannotFit as refused:
        figures.append(Figure("Grommet", "none", refused.message))
    try:
        thread = gland_thread_mm(outer_mm)
        figures.append(Figure("Gland", f"M{thread.value:g}", "round bundles only"))
        reasons += thread.reasons
    except CannotFit as refused:
        figures.append(Figure("Gland", "none", refused.message))
    return figures, reasons


def _sleeves(session: Session, bundle_mm: float) -> tuple[tuple[str, str], ...]:
    """The smallest covering of each sort that goes over the bundle."""
    parts = catalogue.read(session)
    by_sort: dict[str, list[SleeveFacts]] = {}
    for part in parts.kind("covering"):
        limits = part.number("inside_min_mm"), part.number("inside_max_mm")
        by_sort.setdefault(part.text("covering"), []).append(SleeveFacts(part.uid, *limits))
    rows = []
    for sort, offered in sorted(by_sort.items()):
        try:
            chosen = choose_sleeve(offered, bundle_mm).sleeve
        except CannotFit:
            continue
        found = parts.get(chosen.uid)
        rows.append((sort, chosen.uid if found is None else found.name))
    return tuple(rows)


CALCULATOR = Calculator(
    slug="bundle",
    title="Bundle and sleeve",
    about="How thick a bundle is, and what goes over and around it.",
    defaults={
        "wires": "8 × 1.5 mm²\n3 × 4 mm²\n2 × AWG 20\n1 × 6.4 mm",
        "kind": VEHICLE,
        "tape_mm": "0.13",
        "passes_over_mm": "0",
        "splice_mm": "",
    },
    work=work,
    refused={"diameters_mm": "wires"},
    choices={"kind": METRIC_CHOICES},
)
