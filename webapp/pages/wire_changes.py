"""What an edit has changed in the other rows of the wire table: only that is sent."""

from collections.abc import Collection
from dataclasses import dataclass

from webapp.pages.wire_columns import Column, ColumnTexts, Layout
from webapp.pages.wire_table import LinkRow


@dataclass(frozen=True)
class Changed:
    """A row that looks otherwise: as a whole, or in these figures and what is found about it."""

    row: LinkRow
    whole: bool
    figures: tuple[Column, ...] = ()
    said: bool = False


def changed_rows(
    before: ColumnTexts, after: ColumnTexts, layout: Layout, but: Collection[str] = ()
) -> list[Changed]:
    """The rows of `after` that were there before and have changed since, without those of `but`."""
    known = before.table.rows
    pairs = [(known[uid], row) for uid, row in after.table.rows.items() if uid in known]
    found = [_changed(before, after, layout, *pair) for pair in pairs if pair[1].uid not in but]
    return [each for each in found if each.whole or each.figures or each.said]


def _changed(
    before: ColumnTexts, after: ColumnTexts, layout: Layout, old: LinkRow, new: LinkRow
) -> Changed:
    if old.typed != new.typed or _texts(before, layout, old) != _texts(after, layout, new):
        return Changed(new, whole=True)
    figures = tuple(
        column
        for column in layout.figures
        if before.text(column.key, old, old.lines[0]) != after.text(column.key, new, new.lines[0])
    )
    return Changed(new, whole=False, figures=figures, said=old.findings != new.findings)


def _texts(texts: ColumnTexts, layout: Layout, row: LinkRow) -> list[str]:
    columns = [column for column in (*layout.first, *layout.second) if column.kind == "text"]
    return [texts.text(column.key, row, line) for column in columns for line in row.lines]
