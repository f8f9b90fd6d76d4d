"""Fails when the migrations do not lead to what the models say."""

import sys
import tempfile
from pathlib import Path

from alembic import command
from alembic.util import CommandError

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from webapp.database import alembic_config, upgrade

with tempfile.TemporaryDirectory() as folder:
    path = Path(folder) / "checked.db"
    upgrade(path)
    try:
        command.check(alembic_config(path))
    except CommandError as problem:
        sys.exit(f"The models and the migrations differ: {problem}")
