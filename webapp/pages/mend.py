"""The one change that puts a finding right, made by one tap under the row."""

from collections.abc import Callable
from typing import Any

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import FieldsDep, Person, WriteSession
from webapp.pages.render import error_page, redirect
from webapp.pages.who import local_path
from webapp.pages.wires import wire_table
from webapp.stages.catalogue import Catalogue
from webapp.stages.design.editing import ends, fittings, wires
from webapp.stages.design.editing.edit import Edit, Editing, by_hand, get, put, save
from webapp.stages.design.findings import Mend
from webapp.stages.design.rows import Design
from webapp.stages.refusals import Refused

router = APIRouter()

EDITS: dict[tuple[str, str], Callable[[str, Any], Editing]] = {
    ("link", "csa_mm2"): wires.section,
    ("link", "circuit_uid"): wires.circuit,
    ("link", "cable_part_uid"): wires.cable,
    ("bridge", "fuse_a"): fittings.fuse,
}


def editing(mend: Mend) -> Editing:
    """The edit that a mend stands for."""
    if (mend.table, mend.field) in EDITS:
        return EDITS[mend.table, mend.field](mend.uid, mend.value)
    if mend.table == "wire_end":
        return ends.field(mend.uid, mend.field, mend.value)
    return _set(mend)


def _set(mend: Mend) -> Editing:
    def edit(design: Design, catalogue: Catalogue) -> Edit:
        row = get(design, mend.table, mend.uid)
        return Edit(put(design, by_hand(row, **{mend.field: mend.value})), mend.words)

    return edit


@router.post("/looms/{loom_id}/mend")
def mend(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, loom_id: int
) -> Response:
    """Only what a finding proposes right now is done."""
    back = local_path(fields.get("next", f"/looms/{loom_id}/wires"))
    table = wire_table(session, loom_id)
    asked = tuple(fields.get(name, "") for name in ("table", "uid", "field", "value"))
    for found in table.findings.values():
        for finding in found:
            one = finding.mend
            if one and (one.table, one.uid, one.field, str(one.value)) == asked:
                try:
                    edit = save(session, loom_id, editing(one), person.id)
                except Refused as refused:
                    return error_page(
                        request, 422, "Not mended", refused.sentence, links=[("Back", back)]
                    )
                return redirect(back, " ".join((f"{edit.sentence}.", *edit.said)))
    return error_page(
        request,
        409,
        "Changed meanwhile",
        "This is not proposed any more: the design has changed. Look at it again.",
        links=[("Back", back)],
    )
