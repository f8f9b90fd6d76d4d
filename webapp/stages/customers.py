"""Customers of the workshop."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from webapp.records.customers import Customer
from webapp.records.jobs import Project
from webapp.stages.editing import merged
from webapp.stages.refusals import NotThere, Refused
from webapp.stages.values import required


@dataclass(frozen=True)
class CustomerValues:
    """What is kept of a customer."""

    name: str
    contact: str = ""
    address: str = ""
    phone: str = ""
    email: str = ""
    notes: str = ""


@dataclass(frozen=True)
class CustomerRow:
    id: int
    values: CustomerValues
    jobs: int


def everybody(session: Session) -> tuple[CustomerRow, ...]:
    """All customers by name, with how many jobs each has."""
    rows = session.execute(
        select(Customer, func.count(Project.id))
        .outerjoin(Project, Project.customer_id == Customer.id)
        .group_by(Customer.id)
        .order_by(func.lower(Customer.name))
    )
    return tuple(CustomerRow(row.id, _values(row), jobs) for row, jobs in rows)


def get(session: Session, customer_id: int) -> CustomerRow:
    """One customer.

    Raises:
        NotThere: no such customer.
    """
    row = _row(session, customer_id)
    jobs = session.scalar(select(func.count()).where(Project.customer_id == customer_id))
    return CustomerRow(row.id, _values(row), jobs or 0)


def add(session: Session, values: CustomerValues, *, name_field: str = "name") -> int:
    """Adds a customer; returns the id.

    Raises:
        Refused: the name is missing or taken.
    """
    row = Customer()
    _set(session, row, values, name_field)
    session.add(row)
    session.flush()
    return row.id


def edit(
    session: Session, customer_id: int, opened: Mapping[str, Any], typed: Mapping[str, Any]
) -> None:
    """Changes a customer.

    Raises:
        NotThere: no such customer.
        ChangedMeanwhile: somebody else changed the same values since the form was opened.
        Refused: the name is missing or taken.
    """
    row = _row(session, customer_id)
    result = merged(now=asdict(_values(row)), opened=opened, typed=typed)
    _set(session, row, CustomerValues(**result), "name")
    row.version += 1
    session.flush()


def _row(session: Session, customer_id: int) -> Customer:
    row = session.get(Customer, customer_id)
    if row is None:
        raise NotThere
    return row


def _values(row: Customer) -> CustomerValues:
    return CustomerValues(row.name, row.contact, row.address, row.phone, row.email, row.notes)


def _set(session: Session, row: Customer, values: CustomerValues, name_field: str) -> None:
    name = required(name_field, values.name, "the customer's name")
    same_name = select(Customer.id).where(func.lower(Customer.name) == name.lower())
    with session.no_autoflush:
        other = session.scalar(same_name)
    if other is not None and other != row.id:
        raise Refused(name_field, f"There is a customer named {name} already.")
    row.name = name
    row.contact, row.address, row.phone = values.contact, values.address, values.phone
    row.email, row.notes = values.email, values.notes
