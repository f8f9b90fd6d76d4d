"""What every page of a design shows beside its tabs: which revision is open, undo and redo."""

from dataclasses import dataclass

from sqlalchemy.orm import Session

from webapp.pages.loom_frame import LoomFrame, loom_frame
from webapp.pages.undo import UndoState, undo_state
from webapp.stages.design.revisions import letter
from webapp.stages.design.rows import Design


@dataclass(frozen=True)
class DesignState:
    """`here` is where undo and redo lead back to."""

    frame: LoomFrame
    undo: UndoState
    revision_words: str
    here: str


def design_state(
    session: Session, loom_id: int, here: str, design: Design | None = None
) -> DesignState:
    """For the template design/_state.html; `design` where the page has read it already.

    Raises:
        NotThere: no such loom.
    """
    frame = loom_frame(session, loom_id, design)
    return DesignState(frame, undo_state(session, loom_id), _words(frame), here)


def _words(frame: LoomFrame) -> str:
    if not frame.signed_off:
        return f"Revision {frame.revision}, draft"
    following = letter(_number(frame.revision) + 1)
    return (
        f"Revision {frame.revision}, signed off for the bench; the next change starts revision "
        f"{following}"
    )


def _number(letters: str) -> int:
    number = 0
    for each in letters:
        number = number * 26 + ord(each) - ord("A") + 1
    return number
