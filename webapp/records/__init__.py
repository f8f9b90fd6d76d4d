"""What is kept: SQLAlchemy models, a file per subject; importing this completes the metadata."""

from webapp.records import (
    access,
    bench,
    catalogue,
    customers,
    design,
    jobs,
    people,
    photos,
    plan,
    quotes,
    testing,
    workshop,
)
from webapp.records.base import Base

__all__ = [
    "Base",
    "access",
    "bench",
    "catalogue",
    "customers",
    "design",
    "jobs",
    "people",
    "photos",
    "plan",
    "quotes",
    "testing",
    "workshop",
]

# SQLite then refuses text in a number's column instead of keeping it as text.
for _table in Base.metadata.tables.values():
    _table.dialect_options["sqlite"]["strict"] = True
