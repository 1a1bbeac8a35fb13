"""What is known of each attachment; its bytes lie on the disk under its digest."""

from alembic import op

revision = "0002"
down_revision = "0001"

SQL = """
    CREATE TABLE attachment (
        digest TEXT PRIMARY KEY,
        media  TEXT NOT NULL,
        bytes  INTEGER NOT NULL,
        width  INTEGER NOT NULL,
        height INTEGER NOT NULL,
        added  TEXT NOT NULL
    )
"""


def upgrade() -> None:
    op.execute(SQL)
