"""The backups in a data folder: made every day while the workshop is served, and thinned.

Their names say what each is for: `daily-…` is made here and thinned here. What a person asked for
(`loomwright-…`), and what was put by before a new version or a restore (`before-…`), stays.
"""

import re
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from webapp.backups import UNFINISHED, BackupFailed, backup
from webapp.settings import Settings
from webapp.thinning import to_thin

BY_HAND, DAILY = "loomwright", "daily"
# Moved aside as it was, and never read back.
UNCHECKED = "before-restore-"
STAMP, STAMP_WRITTEN = "%Y-%m-%d-%H%M%S", re.compile(r"\d{4}-\d\d-\d\d-\d{6}")
DAY = timedelta(days=1)
FIRST_LOOK_S, LOOK_AGAIN_S = 20.0, 3600.0
STOP_WAIT_S = 10.0


def stamped(name: str, now: datetime) -> str:
    """The file name of a backup that is made now."""
    return f"{name}-{now.strftime(STAMP)}.db"


@dataclass(frozen=True)
class Kept:
    """A backup that was read back when it was made."""

    path: Path
    at: datetime
    size_bytes: int

    @property
    def daily(self) -> bool:
        return self.path.name.startswith(f"{DAILY}-")


@dataclass(frozen=True)
class Failure:
    at: datetime
    why: str


@dataclass(frozen=True)
class Standing:
    """What the workshop can rely on."""

    folder: Path
    last_good: Kept | None
    kept: int
    size_bytes: int
    failure: Failure | None

    def overdue(self, now: datetime) -> bool:
        """No good one for two days."""
        return self.last_good is None or now - self.last_good.at > 2 * DAY


class KeptBackups:
    """Makes, lists and thins the backups of one data folder; one at a time."""

    def __init__(self, settings: Settings, clock: Callable[[], datetime] | None = None) -> None:
        self._database, self._folder = settings.database_path, settings.backups_dir
        self._now = clock or (lambda: datetime.now().astimezone())
        self._turn = threading.Lock()
        self._stopping = threading.Event()
        self._failure: Failure | None = None

    def standing(self) -> Standing:
        kept = self._kept()
        last = max(kept, key=lambda one: one.at, default=None)
        size_bytes = sum(one.size_bytes for one in kept)
        return Standing(self._folder, last, len(kept), size_bytes, self._failure)

    def back_up_now(self) -> Path:
        """A backup that stays until a person deletes it.

        Raises:
            BackupFailed: none was made.
        """
        return self._make(BY_HAND)

    def see_to_daily(self) -> None:
        """Make the day's backup where none is younger than a day, and thin the earlier ones.

        What goes wrong is said in the terminal and kept for the Settings page.
        """
        now = self._now()
        if any(timedelta() <= now - one.at < DAY for one in self._kept()):
            return
        try:
            self._clear_unfinished()
            self._make(DAILY)
            self._thin()
        except (BackupFailed, OSError) as exc:
            if not self._stopping.is_set():
                print(f"The daily backup failed. {exc}", file=sys.stderr, flush=True)

    @contextmanager
    def daily(self) -> Iterator[None]:
        """See to the daily backup for as long as the block runs, in a thread of its own."""
        thread = threading.Thread(target=self._keep_looking, name="daily backup", daemon=True)
        thread.start()
        try:
            yield
        finally:
            self._stopping.set()
            thread.join(STOP_WAIT_S)

    def _keep_looking(self) -> None:
        wait_s = FIRST_LOOK_S
        while not self._stopping.wait(wait_s):
            self.see_to_daily()
            wait_s = LOOK_AGAIN_S

    def _make(self, name: str) -> Path:
        with self._turn:
            now = self._now()
            to = self._folder / stamped(name, now)
            if to.exists():
                return to  # made and checked in this very second
            try:
                backup(self._database, to, between=self._unless_stopping)
            except (BackupFailed, OSError) as exc:
                self._failure = Failure(now, str(exc))
                raise
            self._failure = None
            return to

    def _unless_stopping(self) -> None:
        if self._stopping.is_set():
            raise BackupFailed("Loomwright was stopped before the backup was finished.")

    def _clear_unfinished(self) -> None:
        """What a power cut left of an earlier day's."""
        for left in self._folder.glob(f"{DAILY}-*{UNFINISHED}*"):
            left.unlink(missing_ok=True)

    def _thin(self) -> None:
        by_moment = {one.at: one.path for one in self._kept() if one.daily}
        for moment in to_thin(by_moment, self._now()):
            by_moment[moment].unlink(missing_ok=True)

    def _kept(self) -> list[Kept]:
        return [one for path in self._folder.glob("*.db") if (one := _kept_at(path))]


def _kept_at(path: Path) -> Kept | None:
    """None for what is no backup of ours, or was never checked, or has gone meanwhile."""
    stamp = STAMP_WRITTEN.search(path.stem)
    if stamp is None or path.name.startswith(UNCHECKED):
        return None
    try:
        moment = datetime.strptime(stamp[0], STAMP).astimezone()
        return Kept(path, moment, path.stat().st_size)
    except (ValueError, OSError, OverflowError):
        return None
