"""Photos of fittings and work steps: sent from a file or a tablet's camera.

They are shown as our own JPEGs, and taken out with a mark.
"""

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Depends
from sqlalchemy.orm import Session
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.bench_photos import step_name
from webapp.pages.deps import FieldsDep, FormDep, Person, ReadSession, WriteSession
from webapp.pages.forms import Form
from webapp.pages.loom_frame import loom_frame
from webapp.pages.render import fresh_key, redirect, render
from webapp.pages.who import local_path
from webapp.stages import photos
from webapp.stages.building import units
from webapp.stages.design import entry
from webapp.stages.photos import Of
from webapp.stages.pictures import Picture, read_picture
from webapp.stages.refusals import NotThere, Refused

router = APIRouter()
KEPT_S = 31_536_000


@dataclass(frozen=True)
class Sent:
    """The picture that was sent, or why there is none."""

    picture: Picture | None
    why: str = ""


def sent_picture(form: FormDep) -> Sent:
    """Read before the request asks for the write lock: a large picture takes its time.

    With scripts one button takes a photo and another chooses a file, so there are two fields.
    """
    for name in ("photo", "camera"):
        upload = form.get(name)
        if isinstance(upload, UploadFile) and upload.filename:
            try:
                return Sent(read_picture(upload.file, upload.size or 0))
            except Refused as refused:
                return Sent(None, refused.sentence)
    return Sent(None, "Choose a photo, or take one.")


@router.get("/looms/{loom_id}/photos/{photo_id}.jpg")
def picture(session: ReadSession, loom_id: int, photo_id: int) -> Response:
    """Never anything but a JPEG: what was uploaded is not kept. A number always names the same."""
    headers = {
        "Cache-Control": f"private, max-age={KEPT_S}, immutable",
        "Content-Disposition": f'inline; filename="photo-{photo_id}.jpg"',
    }
    return Response(photos.jpeg(session, loom_id, photo_id), 200, headers, "image/jpeg")


@router.post("/looms/{loom_id}/photos")
def keep(
    request: Request,
    sent: Annotated[Sent, Depends(sent_picture)],
    session: WriteSession,
    fields: FieldsDep,
    person: Person,
    loom_id: int,
) -> Response:
    form = Form(fields)
    form.choice("about", "What it is of", photos.ABOUT)
    form.text("note", "The note", most=200, needed=False)
    of = _of(loom_id, form)
    name = _name(session, of)
    if sent.picture is None:
        form.refuse("photo", sent.why)
    if sent.picture is None or form.errors:
        frame = loom_frame(session, loom_id)
        back = local_path(form.typed("next"))
        return render(
            request, "photos/add.html", status=422, frame=frame, form=form, of=of, name=name,
            back=back,
        )  # fmt: skip
    key = form.typed("once") or fresh_key()
    photos.keep(
        session, of, sent.picture, name=name, note=form.values["note"], person_id=person.id, key=key
    )
    return redirect(local_path(form.typed("next")), f"Photo of {name} kept.")


@router.post("/looms/{loom_id}/photos/{photo_id}")
def change(
    session: WriteSession, fields: FieldsDep, person: Person, loom_id: int, photo_id: int
) -> Response:
    """Takes a photo out, or shows it again: the form states which."""
    photo = photos.find(session, loom_id, photo_id)
    removed = fields.get("removed") == "1"
    name = _name(session, Of(loom_id, photo.about, photo.about_uid, photo.unit_id))
    photos.take_out(session, loom_id, photo_id, removed=removed, name=name, person_id=person.id)
    words = "taken out; it can be shown again" if removed else "shown again"
    return redirect(local_path(fields.get("next", "/")), f"Photo of {name} {words}.")


def _of(loom_id: int, form: Form) -> Of:
    about = form.values.get("about") or ""
    if about == "step":
        form.whole("unit_id", "The unit", least=1)
    return Of(loom_id, about, form.typed("about_uid"), form.values.get("unit_id"))


def _name(session: Session, of: Of) -> str:
    """What photos are of, in words.

    Raises:
        NotThere: no such loom, or nothing of this uid in it.
    """
    if of.about == "fitting":
        fitting = entry.latest(session, of.loom_id).fitting.get(of.uid)
        if fitting is not None:
            return fitting.name
    if of.about == "step" and of.unit_id is not None:
        unit = units.row(session, of.unit_id)
        steps = units.plan_of(session, unit).by_uid
        known = photos.of_loom(session, of.loom_id, "step", unit_id=of.unit_id)
        if unit.loom_id == of.loom_id and (of.uid in steps or of.uid in known):
            name = step_name(units.plan_of(session, unit), of.uid)
            return f"{name}, unit {unit.number}"
    raise NotThere
