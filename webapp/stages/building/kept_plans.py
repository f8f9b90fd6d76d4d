"""The last few work plans, kept in the process: a tick must not wait until one is made again.

A signed-off revision never changes. What a plan follows from besides is in its key: the parts as
they are, and how the workshop writes lengths. Nothing has to be told to it when something is
written.
"""

from collections import OrderedDict
from collections.abc import Hashable
from threading import Lock

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from webapp import convention
from webapp.records.catalogue import Part
from webapp.records.design import Revision
from webapp.stages import catalogue
from webapp.stages.building.loom_steps import work_plan
from webapp.stages.building.steps import WorkPlan
from webapp.stages.design import rows

# The looms at the bench of a workshop, in both depths.
MOST = 12

_lock = Lock()
_plans: OrderedDict[Hashable, WorkPlan] = OrderedDict()


def plan_at(session: Session, revision_id: int, depth: str) -> WorkPlan:
    """The work steps of a revision at a depth."""
    signed_off_at = session.scalar(select(Revision.signed_off_at).where(Revision.id == revision_id))
    if signed_off_at is None:
        return _made(session, revision_id, depth)
    key = (
        session.get_bind().engine.url.database,
        revision_id,
        signed_off_at,
        depth,
        convention.now(),
        _parts(session),
    )
    with _lock:
        if key in _plans:
            _plans.move_to_end(key)
            return _plans[key]
    plan = _made(session, revision_id, depth)
    with _lock:
        _plans[key] = plan
        while len(_plans) > MOST:
            _plans.popitem(last=False)
    return plan


def _parts(session: Session) -> tuple[int, int]:
    """Grows with each part that is added or edited; none is ever taken out."""
    row = session.execute(select(func.count(), func.sum(Part.version))).one()
    return row[0], row[1] or 0


def _made(session: Session, revision_id: int, depth: str) -> WorkPlan:
    return work_plan(rows.load(session, revision_id), catalogue.read(session).parts, depth)
