"""How Alembic runs the revisions beside this file.

The app passes the database's path (webapp/database.py). By hand:
`alembic -x database=PATH revision --autogenerate -m "Say what and why"`.
"""

from pathlib import Path

from alembic import context

import webapp.records  # noqa: F401  (fills the metadata)
from webapp.database import make_engine
from webapp.records.base import Base

if context.is_offline_mode():
    raise SystemExit("These revisions need a database to run on.")

path = context.config.attributes.get("database_path") or Path(
    context.get_x_argument(as_dictionary=True)["database"]
)
# With foreign keys on, rebuilding a table would empty the tables that point at it.
engine = make_engine(path, foreign_keys=False).execution_options(begin="IMMEDIATE")
with engine.connect() as connection:
    context.configure(
        connection=connection,
        target_metadata=Base.metadata,
        render_as_batch=True,
        transactional_ddl=True,
    )
    with context.begin_transaction():
        context.run_migrations()
        if orphans := connection.exec_driver_sql("PRAGMA foreign_key_check").all():
            raise RuntimeError(f"Rows that belong to rows that are not there: {orphans}")
engine.dispose()
