"""The `backup` and `restore` commands."""

from datetime import datetime
from pathlib import Path

from webapp.backups import backup, restore
from webapp.data_folder import held
from webapp.kept_backups import BY_HAND, stamped
from webapp.settings import Settings


def back_up(data_dir: Path, file: Path | None) -> int:
    """Back up a data folder, in use or not, and say where the backup is."""
    settings = Settings(data_dir=data_dir)
    to = file or settings.backups_dir / stamped(BY_HAND, datetime.now().astimezone())
    backup(settings.database_path, to)
    print(f"The backup is {to}: checked, and complete.")
    return 0


def bring_back(file: Path, data_dir: Path) -> int:
    """Restore a backup into a data folder that nothing is using."""
    with held(data_dir):
        aside = restore(file, data_dir)
    if aside:
        print(f"What was there before is now {aside}.")
    print(f"{data_dir} holds what {file} holds.")
    return 0
