"""Which columns of a table a person wants to see: kept with the person, on whatever device."""

from collections.abc import Sequence

from sqlalchemy.orm import Session

from webapp.records.people import TableView


def chosen(session: Session, person_id: int, table_name: str) -> tuple[str, ...] | None:
    """The columns in their order; None for somebody who has never chosen."""
    view = session.get(TableView, (person_id, table_name))
    return None if view is None else tuple(str(each) for each in view.columns)


def choose(
    session: Session, person_id: int, table_name: str, columns: Sequence[str] | None
) -> None:
    """Keep the columns that a person has chosen; None goes back to the usual ones."""
    view = session.get(TableView, (person_id, table_name))
    if columns is None:
        if view is not None:
            session.delete(view)
    elif view is None:
        session.add(TableView(person_id=person_id, table_name=table_name, columns=list(columns)))
    else:
        view.columns = list(columns)
    session.flush()
