"""The backups of a data folder: daily, thinned, told of when they fail."""

import shutil
import time
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from webapp import backups, kept_backups
from webapp.backups import BackupFailed, backup
from webapp.kept_backups import KeptBackups
from webapp.settings import Settings
from webapp.sqlite import connect

NOON = datetime(2026, 11, 30, 12).astimezone()


class Clock:
    def __init__(self) -> None:
        self.now = NOON

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def keeper(settings: Settings, clock: Clock) -> KeptBackups:
    return KeptBackups(settings, clock)


def names(settings: Settings) -> list[str]:
    return sorted(path.name for path in settings.backups_dir.glob("*"))


def damage(path: Path) -> None:
    content = bytearray(path.read_bytes())
    content[4096 : 4096 * 8] = b"\xa5" * (4096 * 7)
    path.write_bytes(content)


def test_none_yet(keeper: KeptBackups) -> None:
    standing = keeper.standing()
    assert (standing.last_good, standing.kept, standing.failure) == (None, 0, None)
    assert standing.overdue(NOON)


def test_one_a_day_however_often_it_is_looked(
    keeper: KeptBackups, clock: Clock, settings: Settings
) -> None:
    for _hour in range(49):
        keeper.see_to_daily()
        clock.now += timedelta(hours=1)
    assert names(settings) == [
        "daily-2026-11-30-120000.db",
        "daily-2026-12-01-120000.db",
        "daily-2026-12-02-120000.db",
    ]
    last = keeper.standing().last_good
    assert last is not None
    assert last.at == NOON + timedelta(days=2)
    assert last.size_bytes == last.path.stat().st_size


def test_another_good_one_of_today_is_enough(
    keeper: KeptBackups, clock: Clock, settings: Settings
) -> None:
    made = keeper.back_up_now()
    clock.now += timedelta(hours=23)
    keeper.see_to_daily()
    assert names(settings) == [made.name] == ["loomwright-2026-11-30-120000.db"]


def test_one_from_before_a_new_version_counts_and_one_moved_aside_does_not(
    keeper: KeptBackups, settings: Settings
) -> None:
    folder = settings.backups_dir
    backup(settings.database_path, folder / "before-20261130_crimps-2026-11-30-080000-123456.db")
    assert keeper.standing().kept == 1
    keeper.see_to_daily()
    assert len(names(settings)) == 1
    (folder / names(settings)[0]).rename(folder / "before-restore-2026-11-30-080000-123456.db")
    (folder / "mine.db").touch()
    (folder / "daily-2026-99-99-080000.db").touch()
    assert keeper.standing().last_good is None


def test_a_clock_that_was_wrong_keeps_no_backup_from_being_made(
    keeper: KeptBackups, clock: Clock, settings: Settings
) -> None:
    keeper.see_to_daily()
    clock.now -= timedelta(days=400)
    keeper.see_to_daily()
    keeper.see_to_daily()
    assert names(settings) == ["daily-2025-10-26-120000.db", "daily-2026-11-30-120000.db"]


def test_daily_ones_are_thinned_and_no_others(
    keeper: KeptBackups, clock: Clock, settings: Settings
) -> None:
    keeper.see_to_daily()
    first = settings.backups_dir / names(settings)[0]
    others = ["before-restore-2026-11-25-120000-000001.db", "loomwright-2020-01-01-120000.db",
              "before-0001-2020-01-02-120000-000001.db"]  # fmt: skip
    for name in [*others, "daily-2026-11-17-120000.db", "daily-2026-11-18-120000.db"]:
        shutil.copyfile(first, settings.backups_dir / name)
    clock.now += timedelta(days=1)
    keeper.see_to_daily()
    assert names(settings) == sorted(
        [*others, "daily-2026-11-17-120000.db", first.name, "daily-2026-12-01-120000.db"]
    )


@pytest.mark.parametrize("broken", ["disk full", "damaged"])
def test_a_failure_is_said_and_kept_until_one_succeeds(
    keeper: KeptBackups,
    clock: Clock,
    settings: Settings,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    broken: str,
) -> None:
    keeper.see_to_daily()
    whole = settings.database_path.read_bytes()
    clock.now += timedelta(days=1)
    with monkeypatch.context() as patched:
        if broken == "damaged":
            damage(settings.database_path)
        else:
            patched.setattr(backups, "_find_room", _full)
        keeper.see_to_daily()
        said = capsys.readouterr().err
        assert said.startswith("The daily backup failed. ")
        standing = keeper.standing()
        assert standing.failure is not None
        assert standing.failure.at == clock.now
        assert standing.failure.why in said
        assert standing.last_good is not None
        assert standing.last_good.at == NOON
        assert names(settings) == ["daily-2026-11-30-120000.db"]
    settings.database_path.write_bytes(whole)
    keeper.see_to_daily()
    assert keeper.standing().failure is None
    assert len(names(settings)) == 2


def _full(_path: Path, _folder: Path) -> None:
    raise OSError(28, "No space left on device")


def test_a_backup_never_fills_the_disk(
    keeper: KeptBackups, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    size = settings.database_path.stat().st_size
    free = size + backups.ROOM_TO_LEAVE_BYTES - 1
    usage = type("Usage", (), {"free": free})
    monkeypatch.setattr(backups.shutil, "disk_usage", lambda _folder: usage)
    with pytest.raises(BackupFailed, match=r"no room for a backup: .* 64 MB are to stay free"):
        keeper.back_up_now()
    assert names(settings) == []
    usage.free = free + 1
    keeper.back_up_now()


def test_what_a_power_cut_left_is_cleared(keeper: KeptBackups, settings: Settings) -> None:
    settings.backups_dir.mkdir()
    for name in ("daily-2026-11-29-120000.db.unfinished", "loomwright-now.db.unfinished"):
        (settings.backups_dir / name).touch()
    keeper.see_to_daily()
    assert names(settings) == ["daily-2026-11-30-120000.db", "loomwright-now.db.unfinished"]


def test_it_looks_while_it_is_served_and_stops_in_the_middle(
    keeper: KeptBackups, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(kept_backups, "FIRST_LOOK_S", 0.0)
    with keeper.daily():
        until = time.monotonic() + 20
        while not keeper.standing().kept and time.monotonic() < until:
            time.sleep(0.01)
    assert names(settings) == ["daily-2026-11-30-120000.db"]
    with pytest.raises(BackupFailed, match="was stopped before"):
        keeper.back_up_now()
    assert len(names(settings)) == 1


def test_a_backup_is_one_file_that_can_be_read_from_anywhere(
    keeper: KeptBackups, settings: Settings
) -> None:
    made = keeper.back_up_now()
    made.chmod(0o400)
    with closing(connect(made)) as connection:
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("delete",)
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    assert names(settings) == [made.name]
