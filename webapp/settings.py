"""What one running copy of Loomwright has been told."""

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Settings:
    """The workshop's data folder and the address that the pages are served at."""

    data_dir: Path
    host: str = "127.0.0.1"
    port: int = 8000
    demo: bool = False
    # The address in the workshop's network; "" when it is served for this computer alone.
    lan: str = ""

    @property
    def database_path(self) -> Path:
        return self.data_dir / "loomwright.db"

    @property
    def backups_dir(self) -> Path:
        return self.data_dir / "backups"
