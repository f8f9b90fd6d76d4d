"""Several cells of a table set at once, as one command, each by the edit of its own cell."""

from collections.abc import Sequence
from dataclasses import dataclass

from webapp.stages.catalogue import Catalogue
from webapp.stages.design.commands import Clash, difference
from webapp.stages.design.editing.edit import Edit, Editing
from webapp.stages.design.rows import Design
from webapp.stages.refusals import NotThere, Refused


@dataclass
class Pasted:
    """One cell: its edit, and what became of it; `changes` is False where it says what stands."""

    editing: Editing
    refused: str = ""
    changes: bool = False


def put_cells(design: Design, catalogue: Catalogue, cells: Sequence[Pasted]) -> Edit:
    """The design with every cell set that can be; the others say why not.

    A cell may wait for another of the same paste, as a number does until it is free: what is
    refused is tried again after the others, until nothing more goes.
    """
    after, said = design, list[str]()
    waiting = list(cells)
    while waiting:
        refused = []
        for cell in waiting:
            before = after
            cell.refused = ""
            try:
                edit = cell.editing(after, catalogue)
            except Refused as refusal:
                cell.refused = refusal.sentence
            except (Clash, NotThere):
                cell.refused = "It was changed after this page was opened: look at it again."
            if cell.refused:
                refused.append(cell)
                continue
            after = edit.design
            said += edit.said
            cell.changes = bool(difference(before, after))
        if len(refused) == len(waiting):
            break
        waiting = refused
    return Edit(after, "", tuple(dict.fromkeys(said)))
