"""Pictures, kept on the disk under the digest of their bytes and written atomically.

A picture is opened, turned upright, stripped of everything but its pixels (no place, no serial number), made no
larger than a page needs, and saved again; what cannot be opened as JPEG, PNG or WebP is refused.
"""

from __future__ import annotations

import io
import os
import tempfile
import warnings
from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageOps, UnidentifiedImageError
from sqlalchemy import Engine, text

from countershaft.errors import PictureRefused, StoreBroken, Unknown
from countershaft.store.engine import reading, unwritable, writing
from countershaft.store.library import digest_of

__all__ = ["LONGEST_SIDE", "MAX_BYTES", "MAX_PIXELS", "Attachments", "Picture", "clean_picture"]

#: A photo of a tablet or telephone fits; a film does not.
MAX_BYTES = 25 * 1024 * 1024
MAX_PIXELS = 60_000_000
LONGEST_SIDE = 2000


@dataclass(frozen=True, slots=True)
class Picture:
    """A kept picture."""

    digest: str
    media: str
    width: int
    height: int


def clean_picture(content: bytes) -> tuple[bytes, int, int]:
    """Open a picture and save its pixels as JPEG; returns bytes, width and height.

    Raises PictureRefused with the reason.
    """
    if len(content) > MAX_BYTES:
        raise PictureRefused(
            f"The photo has {len(content) / 1024 / 1024:.0f} MB; at most {MAX_BYTES // 1024 // 1024} MB are taken. "
            "Set the camera to a smaller picture."
        )
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)  # our own cap on pixels follows
            picture = Image.open(io.BytesIO(content), formats=("JPEG", "PNG", "WEBP"))
            if picture.width * picture.height > MAX_PIXELS:
                raise PictureRefused(
                    f"The photo has {picture.width} × {picture.height} pixels; at most "
                    f"{MAX_PIXELS // 1_000_000} million are taken. Set the camera to a smaller picture."
                )
            picture.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
            upright = ImageOps.exif_transpose(picture).convert("RGB")
    except UnidentifiedImageError as cause:
        raise PictureRefused(
            "The file is no JPEG, PNG or WebP picture. HEIC is not taken: set the camera to JPEG."
        ) from cause
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError) as cause:
        raise PictureRefused(f"The picture is damaged: {cause}. Take it again.") from cause
    upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    upright.info.clear()
    out = io.BytesIO()
    upright.save(out, "JPEG", quality=86, comment=b"")
    return out.getvalue(), upright.width, upright.height


class Attachments:
    """Keep and find pictures."""

    def __init__(self, engine: Engine, folder: Path) -> None:
        self._engine = engine
        self._folder = folder

    def add(self, content: bytes, *, added: str) -> Picture:
        """Clean a picture and keep it; its row is written only when its bytes are on the disk."""
        cleaned, width, height = clean_picture(content)
        digest = digest_of(cleaned)
        self._write(digest, cleaned)
        row = {
            "digest": digest,
            "media": "image/jpeg",
            "bytes": len(cleaned),
            "width": width,
            "height": height,
        }
        with writing(self._engine) as connection:
            connection.execute(
                text(
                    "INSERT INTO attachment (digest, media, bytes, width, height, added) "
                    "VALUES (:digest, :media, :bytes, :width, :height, :added) ON CONFLICT (digest) DO NOTHING"
                ),
                {**row, "added": added},
            )
        return Picture(digest, "image/jpeg", width, height)

    def read(self, digest: str) -> tuple[bytes, str]:
        """The bytes of a picture and their media type; raises Unknown."""
        with reading(self._engine) as connection:
            found = connection.execute(
                text("SELECT media FROM attachment WHERE digest = :digest"), {"digest": digest}
            ).first()
        path = self._path(digest)
        if found is None or not path.is_file():
            raise Unknown(f"There is no picture {digest[:12]}….")
        try:
            return path.read_bytes(), str(found.media)
        except OSError as cause:
            raise StoreBroken(
                f"The picture {digest[:12]}… cannot be read ({cause.strerror}). Look at the disk, or at a backup."
            ) from cause

    def size(self, digest: str) -> tuple[int, int]:
        """Width and height of a kept picture in pixels; raises Unknown."""
        with reading(self._engine) as connection:
            found = connection.execute(
                text("SELECT width, height FROM attachment WHERE digest = :digest"), {"digest": digest}
            ).first()
        if found is None:
            raise Unknown(f"There is no picture {digest[:12]}….")
        return int(found.width), int(found.height)

    def _path(self, digest: str) -> Path:
        return self._folder / digest[:2] / f"{digest}.jpg"

    def _write(self, digest: str, content: bytes) -> None:
        """Write to a file beside, make it durable, then give it its name in one move; a failure leaves nothing."""
        path = self._path(digest)
        if path.is_file():
            return
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            _write_beside(path.parent, content).replace(path)
            for folder in (path.parent, self._folder, self._folder.parent):
                _make_durable(folder)
        except OSError as cause:
            raise unwritable("The photo", cause) from cause


def _write_beside(folder: Path, content: bytes) -> Path:
    """A new file in a folder with its bytes on the disk; where that fails, no file."""
    with tempfile.NamedTemporaryFile(dir=folder, prefix=".new-", delete=False) as beside:
        try:
            beside.write(content)
            beside.flush()
            os.fsync(beside.fileno())
        except OSError:
            Path(beside.name).unlink(missing_ok=True)
            raise
    return Path(beside.name)


def _make_durable(folder: Path) -> None:
    """Bring a folder's list of names to the disk, so that a new name in it survives a loss of power."""
    if os.name == "nt":  # there a folder cannot be opened, and its names are written with the file
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
