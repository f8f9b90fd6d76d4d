"""How a loom is laid out to be seen: not a part of its design, so no revision changes by it."""

from sqlalchemy import ForeignKey, Text
from sqlalchemy.orm import Mapped, mapped_column

from webapp.records.base import Base


class PlanAngle(Base):
    """The direction in which a run lies on the plan, as somebody dragged it. [degrees]"""

    __tablename__ = "plan_angle"
    loom_id: Mapped[int] = mapped_column(ForeignKey("loom.id"), primary_key=True)
    run_uid: Mapped[str] = mapped_column(Text, primary_key=True)
    angle_deg: Mapped[float]
    version: Mapped[int] = mapped_column(default=1)
