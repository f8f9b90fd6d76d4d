"""What stands around every page of a loom: its heading, where it stands, the tabs."""

from dataclasses import dataclass
from datetime import date

from sqlalchemy.orm import Session

from webapp.pages.addresses import PAGE_OF_STAGE
from webapp.pages.wording import day, plural
from webapp.stages import jobs, looms, progress
from webapp.stages.design import revisions, rows, watching
from webapp.stages.design.wires import wires
from webapp.stages.jobs import Job
from webapp.stages.looms import LoomRow
from webapp.stages.stage_line import StageLine

TABS = (
    ("Needs", "needs"),
    ("Price", "price"),
    ("Wires", "wires"),
    ("Fittings", "fittings"),
    ("Circuits", "circuits"),
    ("Runs", "runs"),
    ("Plan", "plan"),
    ("Parts", "parts"),
    ("Revisions", "revisions"),
    ("Build", "build"),
    ("Test", "test"),
    ("Papers", "papers"),
    ("Labels", "labels"),
)


# Pages without a tab of their own, by the tab that they were reached from.
UNDER = {
    "proposal": "needs",
    "alternatives": "needs",
    "import": "needs",
    "quotes": "price",
    "sign-off": "wires",
    "cables": "wires",
    "accept": "wires",
    "copy": "fittings",
    "photos": "fittings",
    "current": "circuits",
    "change": "revisions",
    "cut-list": "build",
    "bench": "build",
    "journal": "build",
    "done": "test",
}


@dataclass(frozen=True)
class Tab:
    """A tab; `route` is shown only where a page answers to it."""

    title: str
    route: str
    address: str


@dataclass(frozen=True)
class LoomFrame:
    loom_id: int
    project_id: int
    job_number: str
    title: str
    loom_name: str
    facts: str
    line: StageLine
    tabs: tuple[Tab, ...]
    revision: str
    signed_off: bool
    # What a page that is open knows of the loom, and what its own request wrote (live.py).
    mark: str
    wrote: tuple[int, ...]

    def tab_at(self, path: str) -> Tab | None:
        """The tab that a page of the loom, or of one of its units, lies under."""
        _, what, *rest = path.split("/")
        page = what if what == "quotes" else "".join(rest[1:2])
        page = UNDER.get(page, page)
        return next((tab for tab in self.tabs if tab.address.endswith(f"/{page}")), None)

    def stage_links(self, paths: set[str]) -> list[tuple[str, str, str, str | None]]:
        """The marks for the stage line: title, state, words, and the page of the stage."""
        links = []
        for mark in self.line.marks:
            page = PAGE_OF_STAGE[mark.stage]
            there = f"/looms/{{loom_id}}/{page}" in paths
            address = f"/looms/{self.loom_id}/{page}" if there else None
            links.append((mark.title, mark.state, mark.text, address))
        return links


def loom_frame(session: Session, loom_id: int, design: rows.Design | None = None) -> LoomFrame:
    """The frame of one loom; `design` is its latest revision where the page has read it already.

    Raises:
        NotThere: no such loom.
    """
    loom = looms.get(session, loom_id)
    job = jobs.get(session, loom.project_id)
    revision = revisions.latest(session, loom_id)
    wire_count = len(wires(design or rows.load(session, revision.id)))
    return LoomFrame(
        loom_id=loom.id,
        project_id=job.id,
        job_number=job.number,
        title=f"{job.number} {job.values.title}",
        loom_name=loom.name,
        facts=" · ".join(_facts(job, loom, wire_count)),
        line=loom.line,
        tabs=tuple(
            Tab(title, f"/looms/{{loom_id}}/{page}", f"/looms/{loom_id}/{page}")
            for title, page in TABS
        ),
        revision=revision.letter,
        signed_off=revision.signed_off,
        mark=live_mark(session, loom_id),
        wrote=watching.wrote(session),
    )


def live_mark(session: Session, loom_id: int) -> str:
    """What stands in the design, in the stage line and in the work: a part of the mark for each."""
    design = watching.standing(session, loom_id).mark
    return f"{design}-{progress.of_loom(session, loom_id).mark}"


def _facts(job: Job, loom: LoomRow, wire_count: int) -> list[str]:
    due: date | None = job.values.due_on
    facts = [
        plural(loom.quantity, "unit"),
        f"{job.values.nominal_v} V, {job.values.polarity}",
    ]
    if wire_count:
        facts.append(plural(wire_count, "wire"))
    if due:
        facts.append(f"due {day(due)}")
    return facts
