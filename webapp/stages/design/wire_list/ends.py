"""How a line has its wire's ends made: each value set by hand, or given back to be chosen."""

from typing import Any

from webapp.stages.catalogue import Catalogue
from webapp.stages.design.editing.edit import by_hand, released
from webapp.stages.design.editing.ends import GIVEN_BACK, LOOSE_MM, PART_KINDS
from webapp.stages.design.editing.settling import restarted
from webapp.stages.design.rows import Design, WireEnd
from webapp.stages.design.wire_list.lines import END_ROW_FIELDS, WireLine
from webapp.stages.design.wire_list.named import EndAt, find_part
from webapp.stages.refusals import Refused

NO_PART = "none"
# Where a line stands as it is, an empty cell means this.
NOTHING: dict[str, Any] = {"solder": False, "allowance_mm": 0, "tag": ""}


def made_end(
    design: Design,
    catalogue: Catalogue,
    link_uid: str,
    end_uid: str,
    at: EndAt,
    side: str,
    line: WireLine | None,
) -> WireEnd | None:
    """The row of an end; None where neither its way nor anything about it changes."""
    before = design.wire_end.get(end_uid)
    said = {
        name: line.values[f"{side}_{name}"]
        for name in END_ROW_FIELDS
        if line is not None and f"{side}_{name}" in line.values
    }
    made = before or WireEnd(uid=end_uid, link_uid=link_uid)
    made = _moved(design, made, at, before, is_new=before is None)
    if at.way_uid is not None and said.get("loose_mm") is not None:
        raise Refused(
            f"{side}_loose_mm",
            f"This end goes to a way: leave {side}_fitting empty to leave the wire loose.",
        )
    new_line = before is None and line is not None
    for name, value in said.items():
        if name == "loose_mm" and at.way_uid is not None:
            continue
        if value not in (None, "") or (new_line and line is not None and line.uid):
            made = _set(catalogue, made, name, value, f"{side}_{name}", said)
        elif not new_line:
            made = released(made, **GIVEN_BACK[END_ROW_FIELDS[name]])
    return None if made == before else made


def _moved(
    design: Design, made: WireEnd, at: EndAt, before: WireEnd | None, *, is_new: bool
) -> WireEnd:
    """An end that goes elsewhere is made anew; one that is left loose has a tail."""
    was = None if is_new else _way_of(design, made)
    if at.way_uid == was and not is_new:
        return made
    if at.way_uid is None:
        made = restarted(made, allowance_mm=0)
        return by_hand(made, loose_mm=LOOSE_MM) if made.loose_mm is None else made
    now, old = design.way.get(at.way_uid), design.way.get(was or "")
    if before is not None and (now is None or old is None or old.contact != now.contact):
        made = restarted(made)
    return released(made, loose_mm=None)


def _way_of(design: Design, made: WireEnd) -> str | None:
    link = design.link[made.link_uid]
    mark = made.uid.removeprefix(f"{link.uid}:")
    if mark in ("from", "to"):
        way: str | None = getattr(link, f"{mark}_way_uid")
        return way
    crossing = design.crossing[mark.rpartition(".")[0]]
    return crossing.way_a_uid if mark.endswith(".a") else crossing.way_b_uid


def _set(
    catalogue: Catalogue, made: WireEnd, name: str, value: Any, column: str, said: dict[str, Any]
) -> WireEnd:
    kept = END_ROW_FIELDS[name]
    if kept in PART_KINDS:
        return _set_part(catalogue, made, kept, value, column, said)
    if value in (None, ""):
        value = NOTHING.get(name)
    return by_hand(made, **{kept: value})


def _set_part(
    catalogue: Catalogue, made: WireEnd, kept: str, text: Any, column: str, said: dict[str, Any]
) -> WireEnd:
    goes_with = "strip_mm" if kept == "terminal_part_uid" else "shrink_mm"
    alone = ("strip_mm" if goes_with == "strip_mm" else "heat_shrink_mm") not in said
    if text in (None, "", NO_PART):
        return by_hand(made, **{kept: None} | ({goes_with: None} if alone else {}))
    part = find_part(catalogue, text, (PART_KINDS[kept],), column)
    new: dict[str, Any] = {kept: part.uid}
    if kept == "terminal_part_uid" and alone:
        # The strip length goes with the terminal.
        new["strip_mm"] = part.number("strip_mm")
    return by_hand(made, **new)
