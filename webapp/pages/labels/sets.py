"""The sets of labels of a loom or of one unit, by the stage that wants them."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from sqlalchemy.orm import Session

from webapp.pages.papers.heads import Subject, code_address, handed_in
from webapp.pages.wording import day, number, plural, section, short, with_unit
from webapp.paper.label_values import Label, LabelKind
from webapp.stages import done, rates, workshop
from webapp.stages.building import wire_colours
from webapp.stages.building.cutting import CableGroup, CoreCable, cable_groups, core_cables
from webapp.stages.building.loom_steps import run_name
from webapp.stages.building.parts import part
from webapp.stages.building.units import UnitRow
from webapp.stages.building.wire_steps import destination, is_plug
from webapp.stages.design.cables import SCREEN, Piece, pieces
from webapp.stages.design.rows import Fitting, Run
from webapp.stages.design.wires import End, Wire
from webapp.stages.testing import standing

Make = Callable[[Session, Subject], list[Label]]


@dataclass(frozen=True)
class LabelSet:
    slug: str
    stage: str
    title: str
    make: Make


def _qr(session: Session, code: str) -> str:
    return code_address(workshop.get(session).address_url, code)


def _job(about: Subject) -> str:
    return f"{about.job.number} {about.job.values.title}"


# --- quote ------------------------------------------------------------------------------------


def job_ticket(session: Session, about: Subject) -> list[Label]:
    job = about.job
    due = f", due {day(job.values.due_on)}" if job.values.due_on else ""
    lines = (
        f"{job.values.title}, {about.loom.name}",
        job.customer,
        f"{plural(about.loom.quantity, 'unit')}{due}",
    )
    code = about.loom.code
    return [Label(LabelKind.JOB_TICKET, job.number, lines, code, _qr(session, code))]


def customer_parts(session: Session, about: Subject) -> list[Label]:
    return [
        Label(
            LabelKind.CUSTOMER_PART,
            f"{part.quantity} × {part.what}" if part.quantity > 1 else part.what,
            (_job(about), f"from {part.from_whom}" if part.from_whom else about.job.customer,
             f"received {day(part.received_on)}", part.condition),
            part.code,
            _qr(session, part.code),
        )
        for part in handed_in(session, about)
    ]  # fmt: skip


# --- design -----------------------------------------------------------------------------------


def wire_tags(session: Session, about: Subject) -> list[Label]:
    """One for each end: the number, where the end goes, the letters."""
    return [
        _wire_tag(about, wire, end)
        for wire in about.values.found
        for end in wire.ends
        if not (end.loose and wire.link.core == SCREEN)  # it is cut back under the sheath
    ]


def _wire_tag(about: Subject, wire: Wire, end: End) -> Label:
    design, link = about.values.design, wire.link
    main = wire_colours.main_rgb(design, link)
    return Label(
        LabelKind.WIRE_TAG,
        wire.number,
        (destination(design, wire, end), f"{about.job.number} {about.revision}"),
        about.head.short_code,
        None,
        (main, wire_colours.tracer_rgb(design, link)),
        wire_colours.letters(design, link),
    )


def plug_tags(session: Session, about: Subject) -> list[Label]:
    halves = [fitting for fitting in about.values.design.fitting.values() if is_plug(fitting)]
    return [_plug_tag(session, about, fitting) for fitting in halves]


def _plug_tag(session: Session, about: Subject, fitting: Fitting) -> Label:
    ways = about.values.design.ways_of[fitting.uid]
    used = sum(1 for way in ways if way.uid in about.values.wires_at)
    socket = fitting.kind.startswith("socket")
    place = about.values.design.place[fitting.place_uid].name
    code = about.head.short_code
    return Label(
        LabelKind.SOCKET_TAG if socket else LabelKind.PLUG_TAG,
        fitting.name,
        (place, f"{len(ways)} way, {used} used", _job(about)),
        code,
        _qr(session, code),
    )


def branch_tags(session: Session, about: Subject) -> list[Label]:
    design = about.values.design
    found = []
    for run in design.run.values():
        count = sum(1 for wire in about.values.found if run.uid in (wire.route or ()))
        if count:
            found.append(_branch_tag(session, about, run, count))
    return found


def _branch_tag(session: Session, about: Subject, run: Run, count: int) -> Label:
    code = about.head.short_code
    lines = (f"{with_unit(run.length_mm or 0)}, {plural(count, 'wire')}", run.covering, _job(about))
    name = run_name(about.values.design, run)
    return Label(LabelKind.BRANCH_TAG, name, lines, code, _qr(session, code))


def cable_tags(session: Session, about: Subject) -> list[Label]:
    """One for each end of every cable and twisted pair: what it is, and what lies in it."""
    design = about.values.design
    return [
        _cable_tag(session, about, piece, side)
        for piece in pieces(design, about.values.found)
        for side in (0, 1)
    ]


def _cable_tag(session: Session, about: Subject, piece: Piece, side: int) -> Label:
    far = next((end.place for end in map(about.values.end, piece.ends(1 - side)) if end.place), "")
    known = part(about.values.parts, piece.cable.part_uid) if piece.sheathed else None
    wires = ", ".join(wire.number for wire in piece.wires)
    lines = (
        f"to {far}" if far else "",
        f"wires {wires}",
        known.name if known else piece.cable.kind,
        _job(about),
    )
    code = about.head.short_code
    return Label(LabelKind.CABLE_TAG, piece.name, lines, code, _qr(session, code))


# --- build ------------------------------------------------------------------------------------


def cut_bundles(session: Session, about: Subject) -> list[Label]:
    scrap_percent = float(rates.values(session)["scrap_percent"])
    groups = cable_groups(about.values.design, about.values.parts)
    cables = core_cables(about.values.design, about.values.parts)
    return [
        *(_cut_bundle(session, about, group, scrap_percent) for group in groups),
        *(_cable_bundle(session, about, cable, scrap_percent) for cable in cables),
    ]


def _cable_bundle(
    session: Session, about: Subject, cable: CoreCable, scrap_percent: float
) -> Label:
    quantity = 1 if about.unit else about.loom.quantity
    reel_m = cable.reel_mm(quantity, scrap_percent) / 1000
    names = ", ".join(piece.name for piece in cable.pieces)
    lines = (names, f"{quantity} of each, {number(reel_m)} m", _job(about))
    code = about.head.short_code
    return Label(LabelKind.CUT_BUNDLE, cable.name, lines, code, _qr(session, code))


def _cut_bundle(session: Session, about: Subject, group: CableGroup, scrap_percent: float) -> Label:
    design, link = about.values.design, group.wires[0].link
    size = "" if group.csa_mm2 is None else f" {section(group.csa_mm2)}"
    quantity = 1 if about.unit else about.loom.quantity
    reel_m = group.reel_mm(quantity, scrap_percent) / 1000
    letters = wire_colours.letters(design, link)
    code = about.head.short_code
    return Label(
        LabelKind.CUT_BUNDLE,
        f"{letters}{size}",
        (
            f"wires {', '.join(wire.number for wire in group.wires)}",
            f"{quantity} of each, {number(reel_m)} m",
            _job(about),
        ),
        code,
        _qr(session, code),
        (wire_colours.main_rgb(design, link), wire_colours.tracer_rgb(design, link)),
        letters,
    )


def _units(about: Subject) -> tuple[UnitRow, ...]:
    return (about.unit,) if about.unit else about.batch


def kit_bags(session: Session, about: Subject) -> list[Label]:
    return [
        Label(
            LabelKind.KIT_BAG,
            f"Unit {unit.number}",
            (_job(about), unit.serial, f"revision {unit.revision}"),
            unit.code,
            _qr(session, unit.code),
        )
        for unit in _units(about)
    ]


def part_bins(session: Session, about: Subject) -> list[Label]:
    """One for each part that the design names; the part's own name is its code."""
    design = about.values.design
    uids: Iterable[str | None] = (
        *(link.cable_part_uid for link in design.link.values()),
        *(end.terminal_part_uid for end in design.wire_end.values()),
        *(end.shrink_part_uid for end in design.wire_end.values()),
        *(fitting.part_uid for fitting in design.fitting.values()),
        *(bridge.fuse_part_uid for bridge in design.bridge.values()),
        *(run.covering_part_uid for run in design.run.values()),
    )
    named = filter(None, (part(about.values.parts, uid) for uid in dict.fromkeys(uids)))
    return [
        Label(LabelKind.PART_BIN, one.name, (one.kind,), one.uid)
        for one in named
        if one.kind != "load"
    ]


def travellers(session: Session, about: Subject) -> list[Label]:
    return [
        Label(
            LabelKind.TRAVELLER,
            unit.serial,
            (f"{_job(about)}, unit {unit.number} of {len(about.batch)}", about.loom.name,
             f"revision {unit.revision}"),
            unit.code,
            _qr(session, unit.code),
        )
        for unit in _units(about)
    ]  # fmt: skip


# --- test -------------------------------------------------------------------------------------


def verdicts(session: Session, about: Subject) -> list[Label]:
    """Passed, for a unit that is signed for; failed, where a reading fails; else none."""
    found = (_verdict(session, about, unit) for unit in _units(about))
    return [label for label in found if label is not None]


def _verdict(session: Session, about: Subject, unit: UnitRow) -> Label | None:
    if unit.stage == "done":
        record = done.test_record(session, unit.id)
        job = f"{_job(about)}, revision {unit.revision}"
        lines = (f"tested {day(record.signed_at)}", f"certificate {record.number}", job)
        qr = _qr(session, unit.code)
        return Label(LabelKind.PASSED, unit.serial, lines, unit.code, qr)
    if unit.stage == "build":
        return None
    states = standing.states(session, unit, standing.plan_of(session, unit))
    failed = [one.last for one in states if one.word == "failed" and one.last]
    if not failed:
        return None
    lines = (
        f"tested {day(failed[-1].at)}",
        f"{failed[-1].what}: {failed[-1].reading}",
        f"{_job(about)}, revision {unit.revision}",
    )
    return Label(LabelKind.FAILED, unit.serial, lines, unit.code, _qr(session, unit.code))


def fuse_charts(session: Session, about: Subject) -> list[Label]:
    """One for each fitting that holds fuse-links, with what each link feeds."""
    charts: dict[str, list[str]] = {}
    for circuit in about.values.design.circuit.values():
        for fuse in about.values.fuses_of(circuit):
            rating = f"{short(fuse.fuse_a)} A" if fuse.fuse_a else "no rating"
            way = about.values.design.way[fuse.way_b_uid].label
            charts.setdefault(fuse.fitting_uid, []).append(f"{way}: {circuit.name} {rating}")
    code = about.head.short_code
    return [
        Label(
            LabelKind.FUSE_CHART,
            about.values.design.fitting[uid].name,
            tuple(lines),
            code,
            _qr(session, code),
        )
        for uid, lines in charts.items()
    ]


def hand_over_tags(session: Session, about: Subject) -> list[Label]:
    shop = workshop.get(session)
    return [
        Label(
            LabelKind.HAND_OVER,
            about.job.values.title,
            (
                f"{about.loom.name} {unit.serial}, revision {unit.revision}",
                f"{shop.name} {shop.phone}".strip(),
            ),
            unit.code,
            _qr(session, unit.code),
        )
        for unit in _units(about)
    ]


LOOM_SETS = (
    LabelSet("job-ticket", "quote", "Job ticket", job_ticket),
    LabelSet("customer-parts", "quote", "Customer's parts", customer_parts),
    LabelSet("wire-tags", "design", "Wire tags, one for each end", wire_tags),
    LabelSet("plug-tags", "design", "Plug and socket tags", plug_tags),
    LabelSet("branch-tags", "design", "Branch tags", branch_tags),
    LabelSet("cable-tags", "design", "Cable and pair tags, one for each end", cable_tags),
    LabelSet("cut-bundles", "build", "Cut bundles", cut_bundles),
    LabelSet("kit-bags", "build", "Kit bags", kit_bags),
    LabelSet("part-bins", "build", "Part bins", part_bins),
    LabelSet("travellers", "build", "Unit travellers", travellers),
    LabelSet("verdicts", "test", "Passed or failed", verdicts),
    LabelSet("fuse-charts", "test", "Fuse charts", fuse_charts),
    LabelSet("hand-over", "test", "Hand-over tags", hand_over_tags),
)
OF_THE_JOB = ("job-ticket", "customer-parts", "part-bins")
UNIT_SETS = tuple(one for one in LOOM_SETS if one.slug not in OF_THE_JOB)
