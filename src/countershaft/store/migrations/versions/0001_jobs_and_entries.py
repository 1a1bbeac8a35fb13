"""Jobs, their entries, and the transmission files that they are worked by."""

from alembic import op

revision = "0001"
down_revision = None

SQL = (
    """
    CREATE TABLE definition (
        digest TEXT PRIMARY KEY,
        name   TEXT NOT NULL,
        text   TEXT NOT NULL,
        added  TEXT NOT NULL
    )
    """,
    """
    CREATE TABLE job (
        tag        TEXT PRIMARY KEY,
        definition TEXT NOT NULL REFERENCES definition (digest),
        opened     TEXT NOT NULL
    )
    """,
    """
    CREATE TABLE entry (
        seq  INTEGER PRIMARY KEY AUTOINCREMENT,
        job  TEXT NOT NULL REFERENCES job (tag),
        id   TEXT NOT NULL UNIQUE,
        kind TEXT NOT NULL,
        line TEXT NOT NULL
    )
    """,
    "CREATE INDEX entry_by_job ON entry (job, seq)",
)


def upgrade() -> None:
    for statement in SQL:
        op.execute(statement)
