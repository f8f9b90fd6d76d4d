"""Papers of a whole loom: job ticket, design sheet, cut list, kit list."""

from decimal import Decimal

from sqlalchemy.orm import Session

from webapp.pages.papers.heads import Subject, handed_in
from webapp.pages.wording import day, number, plural
from webapp.paper.values import (
    CableCuts,
    CablePiece,
    Cut,
    CutCore,
    CutGroup,
    CutList,
    DesignSheet,
    JobTicket,
    KitGroup,
    KitList,
    KitRow,
    PaperEnd,
)
from webapp.stages import catalogue, done, rates
from webapp.stages.building import wire_colours
from webapp.stages.building.cutting import CableGroup, CoreCable, cable_groups, core_cables
from webapp.stages.design.cables import Piece, pieces
from webapp.stages.parts_list import parts_list


def job_ticket(session: Session, about: Subject) -> JobTicket:
    job = about.job.values
    return JobTicket(
        head=about.head,
        equipment=job.equipment,
        supply=about.values.supply,
        quantity=about.loom.quantity,
        due_on=job.due_on,
        serials=tuple(unit.serial for unit in about.batch),
        customer_parts=tuple(
            f"{part.code}: {part.quantity} × {part.what}" for part in handed_in(session, about)
        ),
        notes=tuple(line for line in job.notes.splitlines() if line.strip()),
    )


def design_sheet(session: Session, about: Subject) -> DesignSheet:
    signed = done.design_signature(session, about.revision_id)
    return DesignSheet(
        head=about.head,
        supply=about.values.supply,
        wires=about.values.wires,
        circuits=about.values.circuits(),
        fittings=about.values.fittings(),
        plan=about.values.plan(),
        signed_off=f"{day(signed[1])}, {signed[0]}" if signed else "",
    )


def cut_list(session: Session, about: Subject) -> CutList:
    quantity = about.loom.quantity
    scrap_percent = float(rates.values(session)["scrap_percent"])
    groups = cable_groups(about.values.design, about.values.parts)
    own = [wire.number for wire in about.values.found if wire.link.own_lead]
    notes = ["Eye protection on when cutting. Mark each piece before the next is cut."]
    if own:
        notes.append(f"The customer's own leads are laid in uncut: wires {', '.join(own)}.")
    notes += [
        f"{piece.name}: twist wires {' and '.join(wire.number for wire in piece.wires)} together."
        for piece in pieces(about.values.design, about.values.found)
        if not piece.sheathed
    ]
    return CutList(
        head=about.head,
        scope=plural(quantity, "unit"),
        groups=tuple(_group(about, group, quantity, scrap_percent) for group in groups),
        cables=tuple(
            _cable_cuts(about, cable, quantity, scrap_percent)
            for cable in core_cables(about.values.design, about.values.parts)
        ),
        notes=tuple(notes),
    )


def _group(about: Subject, group: CableGroup, quantity: int, scrap_percent: float) -> CutGroup:
    link = group.wires[0].link
    reel_mm = group.reel_mm(quantity, scrap_percent)
    first = about.values.by_uid[group.wires[0].uid]
    return CutGroup(
        cable=group.cable or "no cable chosen",
        letters=wire_colours.letters(about.values.design, link),
        size=first.size,
        csa_mm2=first.csa_mm2,
        main_hex=first.main_hex,
        tracer_hex=first.tracer_hex,
        cuts=tuple(
            Cut(
                wire_number=wire.number,
                length_mm=wire.length_mm or 0,
                count=quantity,
                left=about.values.end(wire.left).words,
                right=about.values.end(wire.right).words,
                strip_left_mm=about.values.end(wire.left).strip_mm,
                strip_right_mm=about.values.end(wire.right).strip_mm,
            )
            for wire in group.wires
        ),
        source=f"a reel with {number(reel_mm / 1000)} m, {scrap_percent:g} % scrap in it",
    )


def _cable_cuts(about: Subject, cable: CoreCable, quantity: int, scrap_percent: float) -> CableCuts:
    reel_m = cable.reel_mm(quantity, scrap_percent) / 1000
    return CableCuts(
        cable=cable.name,
        pieces=tuple(_cable_piece(about, piece, quantity) for piece in cable.pieces),
        source=f"a reel with {reel_m:.1f} m, {scrap_percent:g} % scrap in it",
    )


def _cable_piece(about: Subject, piece: Piece, quantity: int) -> CablePiece:
    values = about.values
    near, far = ([values.end(end) for end in piece.ends(side)] for side in (0, 1))
    return CablePiece(
        name=piece.name,
        length_mm=piece.length_mm or 0,
        count=quantity,
        left_place=_place_of(near),
        right_place=_place_of(far),
        sheath_left_mm=piece.sheath_off_mm(0),
        sheath_right_mm=piece.sheath_off_mm(1),
        cores=tuple(
            CutCore(
                wire_number=wire.number,
                core=wire.link.core or "no core chosen",
                main_hex=values.by_uid[wire.uid].main_hex,
                left=left.words,
                right=right.words,
                strip_left_mm=left.strip_mm,
                strip_right_mm=right.strip_mm,
            )
            for wire, left, right in zip(piece.wires, near, far, strict=True)
        ),
    )


def _place_of(ends: list[PaperEnd]) -> str:
    return next((end.place for end in ends if end.place), "loose end")


def kit_list(session: Session, about: Subject) -> KitList:
    """The parts to collect, with scrap; what the customer sends is named as theirs."""
    quantity = about.loom.quantity
    scrap_percent = Decimal(str(rates.values(session)["scrap_percent"]))
    found = parts_list(about.values.design, catalogue.read(session))
    groups: dict[str, list[KitRow]] = {}
    for use in found.parts:
        wanted = use.to_have(quantity, scrap_percent)
        words = f"{wanted:,}" if use.unit == "each" else f"{wanted:,} {use.unit}"
        groups.setdefault(use.group, []).append(KitRow(use.part.name, words, use.colour))
    customers = [
        KitRow(part.what, str(part.quantity), part.condition, part.code, from_customer=True)
        for part in handed_in(session, about)
    ]
    if customers:
        groups["From the customer"] = customers
    return KitList(
        head=about.head,
        scope=plural(quantity, "unit"),
        groups=tuple(KitGroup(title, tuple(rows)) for title, rows in groups.items()),
        notes=tuple(missing.sentence for missing in found.missing),
    )
