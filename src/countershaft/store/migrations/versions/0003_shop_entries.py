"""What a shop says of itself, outside any job: its instruments and its rule."""

from alembic import op

revision = "0003"
down_revision = "0002"

SQL = """
    CREATE TABLE shop_entries (
        seq  INTEGER PRIMARY KEY AUTOINCREMENT,
        id   TEXT NOT NULL UNIQUE,
        kind TEXT NOT NULL,
        line TEXT NOT NULL
    )
"""


def upgrade() -> None:
    op.execute(SQL)
