"""What each line of a list of job facts means for a loom, before anything is written."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from webapp.pages.entry_forms import LABELS, read_basis
from webapp.pages.entry_tables import as_text
from webapp.pages.forms import Form
from webapp.stages.design import basis, entry
from webapp.stages.design.entry import TypedRow, TypedTable
from webapp.stages.design.job_facts import Fact
from webapp.stages.design.rows import Design


@dataclass
class FactRow:
    """One fact: what it would change, or why it is refused, or what is said about it."""

    fact: Fact
    changes: list[tuple[str, str, str]] = field(default_factory=list)
    refused: list[tuple[str, str]] = field(default_factory=list)

    @property
    def good(self) -> bool:
        return not self.refused

    @property
    def state(self) -> str:
        """refused, changes, same, differs or unused."""
        if self.refused:
            return "refused"
        if self.changes:
            return "changes"
        if self.fact.differs:
            return "differs"
        return "unused" if self.fact.said.startswith("Not used") else "same"


def fact_rows(facts: Sequence[Fact]) -> list[FactRow]:
    """The facts, each read by the rule of its field."""
    rows = []
    for fact in facts:
        row = FactRow(fact)
        if fact.problem:
            row.refused.append((fact.name or "The line", fact.problem))
        form = Form(fact.cells)
        read_basis(form)
        for name in fact.cells:
            if form.error(name):
                row.refused.append((LABELS["basis"][name], form.error(name)))
        rows.append(row)
    return rows


def weigh_facts(design: Design, rows: Sequence[FactRow]) -> dict[str, TypedTable]:
    """Refuses facts that cannot stand together; returns what saving the good ones takes."""
    while True:
        cells = {name: text for row in rows if row.good for name, text in row.fact.cells.items()}
        form = Form(cells)
        read_basis(form)
        values = {name: form.values[name] for name in cells}
        sheet = {"basis": TypedTable((TypedRow(design.basis.uid, values),))}
        made = entry.plan(design, sheet)
        for problem in made.problems:
            for row in rows:
                if problem.field in row.fact.cells or not problem.field:
                    row.refused.append((LABELS["basis"][problem.field], problem.sentence))
        if not made.problems or not any(p.field in cells for p in made.problems):
            break
    before = basis.values(design, design.basis)
    now = basis.values(made.after, made.after.basis)
    for row in rows:
        if row.good:
            row.changes = [
                (LABELS["basis"][name], as_text(before[name]), as_text(now[name]))
                for name in row.fact.cells
                if before[name] != now[name]
            ]
    return sheet
