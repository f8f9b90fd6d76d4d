"""Backups, on the Settings page: the last good one, and one at the press of a button."""

from dataclasses import dataclass
from datetime import datetime

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from webapp.backups import BackupFailed
from webapp.kept_backups import Failure, Kept, KeptBackups
from webapp.pages.render import redirect

router = APIRouter()


@dataclass(frozen=True)
class BackupsShown:
    last_good: Kept | None
    folder: str
    kept: int
    size: str
    overdue: bool
    failure: Failure | None

    @property
    def last_size(self) -> str:
        return size_shown(self.last_good.size_bytes) if self.last_good else ""


def backups_shown(request: Request) -> BackupsShown:
    standing = _kept_backups(request).standing()
    return BackupsShown(
        last_good=standing.last_good,
        folder=str(standing.folder),
        kept=standing.kept,
        size=size_shown(standing.size_bytes),
        overdue=standing.overdue(datetime.now().astimezone()),
        failure=standing.failure,
    )


@router.post("/backups")
def make(request: Request) -> Response:
    """Takes no session: nobody's writing waits for a backup."""
    try:
        _kept_backups(request).back_up_now()
    except BackupFailed:
        return redirect("/settings#backups")  # which says why
    return redirect("/settings#backups", notice="The backup is made and checked.")


def size_shown(size_bytes: int) -> str:
    return f"{size_bytes / 1e6:,.1f} MB" if size_bytes < 1e9 else f"{size_bytes / 1e9:,.2f} GB"


def _kept_backups(request: Request) -> KeptBackups:
    found: KeptBackups = request.app.state.backups
    return found
