"""Photos of a loom: of its fittings, or of work steps of a unit. None is ever thrown away."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.jobs import Loom
from webapp.records.people import Person
from webapp.records.photos import Photo
from webapp.stages import journal
from webapp.stages.pictures import Picture
from webapp.stages.refusals import NotThere

ABOUT = ("fitting", "step")


@dataclass(frozen=True)
class Of:
    """What photos are of: the fitting or the step of this uid, for a step of which unit."""

    loom_id: int
    about: str
    uid: str
    unit_id: int | None = None


@dataclass(frozen=True)
class PhotoRow:
    """A photo without its picture."""

    id: int
    about_uid: str
    note: str
    width_px: int
    height_px: int
    removed: bool
    person: str
    at: datetime


def of_loom(
    session: Session, loom_id: int, about: str, *, unit_id: int | None = None
) -> Mapping[str, list[PhotoRow]]:
    """The photos of every fitting, or of every step of a unit, by its uid, the oldest first."""
    rows = session.execute(
        select(
            Photo.id, Photo.about_uid, Photo.note, Photo.width_px, Photo.height_px, Photo.removed,
            Person.name, Photo.at,
        )
        .join(Person, Person.id == Photo.person_id)
        .where(Photo.loom_id == loom_id, Photo.about == about, Photo.unit_id.is_(unit_id))
        .order_by(Photo.id)
    )  # fmt: skip
    found: dict[str, list[PhotoRow]] = {}
    for row in rows:
        found.setdefault(row.about_uid, []).append(PhotoRow(*row))
    return found


def keep(
    session: Session, of: Of, picture: Picture, *, name: str, note: str, person_id: int, key: str
) -> int:
    """Keeps a photo; returns its id, the same again for the same `key` of the form.

    `name` is what it is of, for the journal.

    Raises:
        NotThere: no such loom, or photos are not kept of such a thing.
    """
    loom = session.get(Loom, of.loom_id)
    if loom is None or of.about not in ABOUT:
        raise NotThere
    known = session.scalar(select(Photo.id).where(Photo.key == key))
    if known is not None:
        return known
    photo = Photo(
        key=key,
        loom_id=of.loom_id,
        unit_id=of.unit_id,
        about=of.about,
        about_uid=of.uid,
        note=note,
        width_px=picture.width_px,
        height_px=picture.height_px,
        jpeg=picture.jpeg,
        person_id=person_id,
    )
    session.add(photo)
    session.flush()
    said = f"Photo of {name}" + (f": {note}" if note else "") + "."
    journal.write(session, loom.project_id, said, person_id, loom_id=loom.id, unit_id=of.unit_id)
    return photo.id


def jpeg(session: Session, loom_id: int, photo_id: int) -> bytes:
    """The picture itself, also of one that is taken out.

    Raises:
        NotThere: this loom has no such photo.
    """
    found = session.scalar(select(Photo.jpeg).where(Photo.id == photo_id, Photo.loom_id == loom_id))
    if found is None:
        raise NotThere
    return found


def take_out(
    session: Session, loom_id: int, photo_id: int, *, removed: bool, name: str, person_id: int
) -> None:
    """Says that a photo is taken out, or shown again. It stays kept either way.

    Raises:
        NotThere: this loom has no such photo.
    """
    photo = find(session, loom_id, photo_id)
    if photo.removed == removed:
        return
    photo.removed = removed
    loom = session.get_one(Loom, loom_id)
    said = f"Photo of {name} {'taken out' if removed else 'shown again'}."
    journal.write(session, loom.project_id, said, person_id, loom_id=loom_id, unit_id=photo.unit_id)


def find(session: Session, loom_id: int, photo_id: int) -> Photo:
    """The record of a photo; NotThere when this loom has none of that number."""
    photo = session.get(Photo, photo_id)
    if photo is None or photo.loom_id != loom_id:
        raise NotThere
    return photo
