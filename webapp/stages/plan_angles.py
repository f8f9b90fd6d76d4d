"""How the runs of a loom lie on its plan: angles that people chose, apart from the design."""

from collections.abc import Mapping

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from webapp.records.plan import PlanAngle
from webapp.stages.refusals import Refused

# Angles are kept and compared to a tenth of a degree.
PLACES = 1


def angles(session: Session, loom_id: int) -> dict[str, float]:
    """Chosen angles by the run's uid, in the run's direction. [degrees]"""
    rows = session.scalars(select(PlanAngle).where(PlanAngle.loom_id == loom_id))
    return {row.run_uid: row.angle_deg for row in rows}


def keep(
    session: Session,
    loom_id: int,
    run_uid: str,
    *,
    seen_deg: float,
    turned_deg: Mapping[str, float],
    standing_deg: Mapping[str, float],
) -> None:
    """Keep the angles of a branch that was turned, and those of all other runs as they stood, so
    that nothing else moves.

    Args:
        seen_deg: The angle of `run_uid` as the person saw it.
        turned_deg: New angles of the runs that turned.
        standing_deg: Every run's angle before.

    Raises:
        Refused: somebody else turned that run since.
    """
    now = standing_deg[run_uid]
    if round(now, PLACES) != round(seen_deg, PLACES):
        raise Refused(
            "angle",
            f"Somebody turned this run to {now:.0f}° meanwhile; you wanted "
            f"{turned_deg[run_uid]:.0f}°. It is shown as it lies now: turn it again if you like.",
        )
    for uid, angle_deg in {**standing_deg, **turned_deg}.items():
        row = session.get(PlanAngle, (loom_id, uid))
        if row is None:
            session.add(PlanAngle(loom_id=loom_id, run_uid=uid, angle_deg=round(angle_deg, PLACES)))
        elif row.angle_deg != round(angle_deg, PLACES):
            row.angle_deg = round(angle_deg, PLACES)
            row.version += 1
    session.flush()


def forget(session: Session, loom_id: int) -> None:
    """Every run lies again as the drawing itself lays it."""
    session.execute(delete(PlanAngle).where(PlanAngle.loom_id == loom_id))
