"""Transmission files in the store, each under the digest of its text, so that a job keeps the file it began with."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from sqlalchemy import Engine, text

from countershaft.errors import Unknown
from countershaft.store.engine import reading, writing

__all__ = ["DefinitionRow", "Definitions", "digest_of"]


@dataclass(frozen=True, slots=True)
class DefinitionRow:
    """A transmission file as the list knows it."""

    digest: str
    name: str
    added: str


def digest_of(content: str | bytes) -> str:
    """The SHA-256 digest under which a text or picture is kept."""
    return hashlib.sha256(content.encode() if isinstance(content, str) else content).hexdigest()


class Definitions:
    """Keep and find transmission files."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def add(self, name: str, content: str, *, added: str) -> str:
        """Keep a text and return its digest; a text that is there already is left alone."""
        digest = digest_of(content)
        with writing(self._engine) as connection:
            connection.execute(
                text(
                    "INSERT INTO definition (digest, name, text, added) VALUES (:digest, :name, :text, :added) "
                    "ON CONFLICT (digest) DO NOTHING"
                ),
                {"digest": digest, "name": name, "text": content, "added": added},
            )
        return digest

    def text(self, digest: str) -> str:
        """The text under a digest; raises Unknown."""
        with reading(self._engine) as connection:
            found = connection.execute(
                text("SELECT text FROM definition WHERE digest = :digest"), {"digest": digest}
            ).first()
        if found is None:
            raise Unknown(f"There is no transmission file with digest {digest[:12]}….")
        return str(found.text)

    def rows(self) -> tuple[DefinitionRow, ...]:
        """Every file, by name, the newest of one name first."""
        with reading(self._engine) as connection:
            found = connection.execute(
                text("SELECT digest, name, added FROM definition ORDER BY name, added DESC, digest")
            ).all()
        return tuple(DefinitionRow(row.digest, row.name, row.added) for row in found)
