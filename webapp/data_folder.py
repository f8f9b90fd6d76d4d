"""The folder that holds a workshop's data, and who is using it."""

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from webapp.problems import Problem


def default_data_dir(*, demo: bool) -> Path:
    """Where data is kept unless `--data` says otherwise; the demo workshop has its own folder."""
    data_home = os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share"
    return Path(data_home) / ("loomwright-demo" if demo else "loomwright")


@contextmanager
def held(data_dir: Path) -> Iterator[None]:
    """Make the folder where needed, and keep every other Loomwright out of it.

    Raises:
        Problem: it cannot be written to, or another Loomwright is using it.
    """
    try:
        data_dir.mkdir(mode=0o700, parents=True, exist_ok=True)
        lock = (data_dir / "in-use").open("w")
    except OSError as exc:
        raise Problem(f"The data folder {data_dir} cannot be written to ({exc.strerror}).") from exc
    with lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise Problem(f"The data folder {data_dir} is in use by another Loomwright.") from None
        yield
