"""The workshop: set up once, its letterhead and settings afterwards."""

import ipaddress
import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any
from urllib.parse import urlsplit

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.convention import DATE_STYLES, DECIMAL_MARKS, LENGTH_UNITS, PLAIN, Convention
from webapp.records.workshop import Workshop
from webapp.stages import catalogue, label_sheets, people, rates
from webapp.stages.editing import merged
from webapp.stages.one_moment import once
from webapp.stages.refusals import Refused
from webapp.stages.values import required

STEP_DEPTHS = ("short", "full")
# A name or an address. It is one that the app then answers to, so that a * would open it to any.
HOST = re.compile(r"[a-z0-9_]([a-z0-9_.-]*[a-z0-9_])?|[0-9a-f:.]+", re.ASCII)
LONGEST_PAUSE_MIN = 240
CONVENTIONS = {
    "length_unit": LENGTH_UNITS,
    "decimal_mark": DECIMAL_MARKS,
    "date_style": tuple(DATE_STYLES),
}


@dataclass(frozen=True)
class WorkshopValues:
    name: str
    address: str = ""
    phone: str = ""
    email: str = ""
    vat_number: str = ""
    currency: str = "£"
    address_url: str = "http://127.0.0.1:8000"
    step_depth: str = "full"
    length_unit: str = "mm"
    decimal_mark: str = "."
    date_style: str = "13 Dec 2026"
    # Longer than this between two ticks of a person is a pause.
    pause_gap_min: int = 10


def is_set_up(session: Session) -> bool:
    """False in a fresh data folder."""
    return session.get(Workshop, 1) is not None


def get(session: Session) -> WorkshopValues:
    """The workshop's letterhead and settings."""
    return once(session, "workshop", lambda: _get(session))


def _get(session: Session) -> WorkshopValues:
    row = session.get_one(Workshop, 1)
    names = WorkshopValues.__dataclass_fields__.keys() - {"pause_gap_min"}
    values = {name: getattr(row, name) for name in names}
    return WorkshopValues(**values, pause_gap_min=round(row.pause_gap_s / 60))


def convention(session: Session) -> Convention:
    """How this workshop writes lengths, numbers and dates."""
    columns = (Workshop.length_unit, Workshop.decimal_mark, Workshop.date_style)
    row = session.execute(select(*columns)).one_or_none()
    return PLAIN if row is None else Convention(*row)


def set_up(
    session: Session, values: WorkshopValues, *, person_name: str, initials: str, demo: bool
) -> int:
    """Begins the workshop: letterhead, first rates and times, catalogue, sheets, its owner.

    Returns:
        The owner's id.

    Raises:
        Refused: something is missing, or the workshop is set up already.
    """
    if is_set_up(session):
        raise Refused("", "This workshop is set up already: its particulars are under Settings.")
    row = Workshop(id=1, demo=demo)
    _set(row, values)
    session.add(row)
    rates.set_up(session)
    label_sheets.set_up(session)
    catalogue.load_seed(session)
    try:
        return people.add(session, name=person_name, initials=initials, role="owner")
    except Refused as refusal:
        field = "person_name" if refusal.field == "name" else refusal.field
        raise Refused(field, refusal.sentence) from refusal


def edit(session: Session, opened: Mapping[str, Any], typed: Mapping[str, Any]) -> None:
    """Changes letterhead and settings; values are those of WorkshopValues.

    Raises:
        ChangedMeanwhile: somebody else changed the same values since the form was opened.
        Refused: a name is missing, the address is none.
    """
    result = merged(now=asdict(get(session)), opened=opened, typed=typed)
    _set(session.get_one(Workshop, 1), WorkshopValues(**result))
    session.flush()


def only_loopback(address_url: str) -> bool:
    """True when the address reaches this machine only: a code scanned elsewhere leads nowhere."""
    host = urlsplit(address_url).hostname or ""
    if host == "localhost" or host.endswith(".localhost"):
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def _set(row: Workshop, values: WorkshopValues) -> None:
    required("name", values.name, "the workshop's name, as on a quote")
    required("currency", values.currency, "a currency sign")
    if values.step_depth not in STEP_DEPTHS:
        raise Refused("step_depth", "Choose short or full.")
    for field, options in CONVENTIONS.items():
        if getattr(values, field) not in options:
            raise Refused(field, "Choose one from the list.")
    _check_address(values.address_url)
    if not 1 <= values.pause_gap_min <= LONGEST_PAUSE_MIN:
        raise Refused("pause_gap_min", f"Enter 1 to {LONGEST_PAUSE_MIN} minutes.")
    kept = asdict(values)
    row.pause_gap_s = 60 * kept.pop("pause_gap_min")
    for field, value in kept.items():
        setattr(row, field, value)
    row.address_url = values.address_url.rstrip("/")


def _check_address(address_url: str) -> None:
    hint = "Enter it as in the browser's address line, such as http://192.168.1.20:8000."
    try:
        parts = urlsplit(address_url)
        named = HOST.fullmatch(parts.hostname or "") and "@" not in parts.netloc
        whole = parts.scheme in ("http", "https") and named and parts.port != 0
    except ValueError:  # a port that is no number
        whole = False
    if not whole or parts.path not in ("", "/") or parts.query or parts.fragment:
        raise Refused("address_url", hint)
