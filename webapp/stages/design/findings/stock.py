"""Parts that the workshop does not keep."""

from collections.abc import Iterator

from webapp.stages.design.findings.finding import COMMON_PRACTICE, Rule, Said, View


def parts_stocked(view: View) -> Iterator[Said]:
    """Each part once, under the first row that takes it."""
    first: dict[str, tuple[str, str]] = {}
    count: dict[str, int] = {}
    for part_uid, table, uid in _taken(view):
        part = view.catalogue.get(part_uid)
        if part is not None and not part.stocked:
            first.setdefault(part.uid, (table, uid))
            count[part.uid] = count.get(part.uid, 0) + 1
    for part_uid, (table, uid) in first.items():
        times = f", {count[part_uid]} times in this loom" if count[part_uid] > 1 else ""
        yield Said(
            table,
            uid,
            f"“{view.catalogue.parts[part_uid].name}” is not kept in stock{times}: order it, or "
            f"choose another.",
        )


def _taken(view: View) -> Iterator[tuple[str | None, str, str]]:
    design = view.design
    for link in design.link.values():
        yield link.cable_part_uid, "wire", link.uid
    for made in design.wire_end.values():
        if made.link_uid in design.link:
            yield made.terminal_part_uid, "wire", made.link_uid
            yield made.shrink_part_uid, "wire", made.link_uid
    for fitting in design.fitting.values():
        if fitting.supplied_by == "workshop":
            yield fitting.part_uid, "fitting", fitting.uid
    for bridge in design.bridge.values():
        yield bridge.fuse_part_uid, "fitting", bridge.fitting_uid
    for run in design.run.values():
        yield run.covering_part_uid, "run", run.uid
        yield run.through_part_uid, "run", run.uid


RULES = (
    Rule(
        "not stocked",
        "note",
        "0 parts of the loom are marked as not kept in stock.",
        COMMON_PRACTICE,
        parts_stocked,
    ),
)
