"""Jobs and their entries in the database."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, Engine, text
from sqlalchemy.exc import IntegrityError

from countershaft.errors import EntryRefused, Unknown
from countershaft.job.entry import Entry, JobOpened
from countershaft.job.serial import read_entries, write_entry
from countershaft.store.engine import reading, writing

__all__ = ["JobRow", "Jobs"]


@dataclass(frozen=True, slots=True)
class JobRow:
    """A job as the list knows it."""

    tag: str
    definition: str
    opened: str
    last_seq: int


class Jobs:
    """Append entries, load logs, list jobs."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def open(self, entry: Entry) -> None:
        """Begin a job with its opening entry; both are written or neither, and a re-sent one changes nothing."""
        body = entry.body
        if not isinstance(body, JobOpened):
            raise EntryRefused("A job begins with its opening entry; nothing was written.")
        with writing(self._engine) as connection:
            if self._sent_before(connection, body.tag, entry):
                return
            row = {"tag": body.tag, "definition": body.definition, "opened": entry.at.isoformat()}
            try:
                connection.execute(
                    text("INSERT INTO job (tag, definition, opened) VALUES (:tag, :definition, :opened)"), row
                )
            except IntegrityError as cause:
                raise EntryRefused(f"There is a job {body.tag} already; take another tag.") from cause
            self._insert(connection, body.tag, entry)

    def append(self, tag: str, entry: Entry, *, after: int | None = None) -> bool:
        """Append an entry and return once it is on the disk.

        Returns False when that entry is there already (a re-sent entry is harmless), and when the job's newest
        sequence number is no longer `after`: somebody else was first, so look at the job again.
        Raises EntryRefused when the id belongs to an entry that says something else, or to another job.
        """
        with writing(self._engine) as connection:
            if self._sent_before(connection, tag, entry):
                return False
            self._require(connection, tag)
            if after is not None and self._newest(connection, tag) != after:
                return False
            self._insert(connection, tag, entry)
            return True

    def entries(self, tag: str, *, after: int = 0) -> tuple[tuple[Entry, ...], int]:
        """Entries of a job behind a sequence number, and the number of the last one."""
        with reading(self._engine) as connection:
            rows = connection.execute(
                text("SELECT seq, line FROM entry WHERE job = :tag AND seq > :after ORDER BY seq"),
                {"tag": tag, "after": after},
            ).all()
            if not rows and not after:
                self._require(connection, tag)
        return read_entries(row.line for row in rows), (rows[-1].seq if rows else after)

    def newest(self, kind: str, *, most: int = 2000) -> tuple[Entry, ...]:
        """The newest entries of one kind in all jobs, the newest first."""
        with reading(self._engine) as connection:
            rows = connection.execute(
                text("SELECT line FROM entry WHERE kind = :kind ORDER BY seq DESC LIMIT :most"),
                {"kind": kind, "most": most},
            ).all()
        return read_entries(row.line for row in rows)

    def naming(self, kind: str, words: str, *, most: int = 50) -> tuple[tuple[str, Entry], ...]:
        """The newest entries of one kind whose line holds these words of JSON, each behind its job's tag."""
        with reading(self._engine) as connection:
            rows = connection.execute(
                text(
                    "SELECT job, line FROM entry WHERE kind = :kind AND instr(line, :words) > 0 "
                    "ORDER BY seq DESC LIMIT :most"
                ),
                {"kind": kind, "words": words, "most": most},
            ).all()
        return tuple(zip((row.job for row in rows), read_entries(row.line for row in rows), strict=True))

    def rows(self) -> tuple[JobRow, ...]:
        """Every job, the one that was worked at last first."""
        with reading(self._engine) as connection:
            found = connection.execute(
                text(
                    "SELECT job.tag, job.definition, job.opened, max(entry.seq) AS last_seq "
                    "FROM job JOIN entry ON entry.job = job.tag GROUP BY job.tag ORDER BY last_seq DESC"
                )
            ).all()
        return tuple(JobRow(row.tag, row.definition, row.opened, row.last_seq) for row in found)

    def row(self, tag: str) -> JobRow:
        """One job; raises Unknown."""
        with reading(self._engine) as connection:
            self._require(connection, tag)
            found = connection.execute(
                text(
                    "SELECT job.tag, job.definition, job.opened, max(entry.seq) AS last_seq "
                    "FROM job JOIN entry ON entry.job = job.tag WHERE job.tag = :tag"
                ),
                {"tag": tag},
            ).one()
        return JobRow(found.tag, found.definition, found.opened, found.last_seq)

    @staticmethod
    def _sent_before(connection: Connection, tag: str, entry: Entry) -> bool:
        """Whether this very entry is in the log; one id for two facts would lose the second, so it is refused."""
        found = connection.execute(
            text("SELECT job, line FROM entry WHERE id = :id"), {"id": entry.id}
        ).first()
        if found is None:
            return False
        (kept,) = read_entries((found.line,))
        if found.job != tag or kept.body.model_dump_json() != entry.body.model_dump_json():
            raise EntryRefused(
                f"Not written: the log of job {found.job} has an entry {entry.id[:8]} that says something else. "
                "Open the page again and type it there; what was acknowledged before stays."
            )
        return True

    @staticmethod
    def _newest(connection: Connection, tag: str) -> int:
        found = connection.execute(text("SELECT max(seq) FROM entry WHERE job = :tag"), {"tag": tag})
        return int(found.scalar_one())

    @staticmethod
    def _require(connection: Connection, tag: str) -> None:
        if connection.execute(text("SELECT 1 FROM job WHERE tag = :tag"), {"tag": tag}).first() is None:
            raise Unknown(f"There is no job {tag!r}. Look at the list of jobs.")

    @staticmethod
    def _insert(connection: Connection, tag: str, entry: Entry) -> None:
        connection.execute(
            text("INSERT INTO entry (job, id, kind, line) VALUES (:job, :id, :kind, :line)"),
            {"job": tag, "id": entry.id, "kind": entry.body.kind, "line": write_entry(entry)},
        )
