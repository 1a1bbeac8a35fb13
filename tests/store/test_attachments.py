"""Pictures.  Expected values: what is left of a picture after it was kept, and words for what is refused."""

from __future__ import annotations

import io
from datetime import UTC, datetime

import pytest
from PIL import Image

from countershaft.errors import PictureRefused, StoreFull, Unknown
from countershaft.store import attachments
from countershaft.store.attachments import clean_picture
from countershaft.store.shop import Store

NOW = datetime(2026, 3, 2, tzinfo=UTC).isoformat()


def picture(size: tuple[int, int] = (640, 480), kind: str = "JPEG", **options: object) -> bytes:
    """A picture with a slope of grey."""
    out = io.BytesIO()
    Image.linear_gradient("L").resize(size).convert("RGB").save(out, kind, **options)
    return out.getvalue()


def test_a_picture_is_kept_under_its_digest(store: Store) -> None:
    """The same picture sent twice is one picture, and its bytes come back."""
    first, second = store.attachments.add(picture(), added=NOW), store.attachments.add(picture(), added=NOW)
    assert first == second
    content, media = store.attachments.read(first.digest)
    assert media == "image/jpeg"
    assert Image.open(io.BytesIO(content)).size == (640, 480)
    assert not list(store.folder.rglob(".new-*")), "nothing half-written is left"


def test_nothing_but_pixels_is_left() -> None:
    """Place, serial number and comment are gone; the picture stands upright."""
    exif = Image.Exif()
    exif[0x0112] = 6
    exif[0x010F] = "camera"
    content, width, height = clean_picture(picture(exif=exif.tobytes(), comment=b"a comment"))
    kept = Image.open(io.BytesIO(content))
    assert (width, height) == (480, 640)
    assert not kept.getexif()
    assert b"a comment" not in content
    assert b"camera" not in content


def test_a_large_picture_is_made_smaller() -> None:
    """No side is longer than a page needs."""
    _, width, height = clean_picture(picture((4000, 3000)))
    assert max(width, height) <= attachments.LONGEST_SIDE


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_other_open_formats_are_taken(kind: str) -> None:
    """PNG and WebP are kept as JPEG."""
    content, _, _ = clean_picture(picture(kind=kind))
    assert Image.open(io.BytesIO(content)).format == "JPEG"


def test_what_is_no_picture_is_refused() -> None:
    """A text, a GIF and a torn JPEG are refused with what to do."""
    with pytest.raises(PictureRefused, match="no JPEG, PNG or WebP"):
        clean_picture(b"not a picture at all")
    with pytest.raises(PictureRefused, match="no JPEG, PNG or WebP"):
        clean_picture(picture(kind="GIF"))
    with pytest.raises(PictureRefused, match="damaged"):
        clean_picture(picture()[:1500])


def test_too_big_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """Too many bytes or too many pixels are refused with the figure."""
    monkeypatch.setattr(attachments, "MAX_BYTES", 1000)
    with pytest.raises(PictureRefused, match="at most"):
        clean_picture(picture())
    monkeypatch.setattr(attachments, "MAX_BYTES", 10**9)
    monkeypatch.setattr(attachments, "MAX_PIXELS", 1000)
    with pytest.raises(PictureRefused, match="640 × 480 pixels"):
        clean_picture(picture())


def test_a_folder_that_cannot_be_written_acknowledges_nothing(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The disk is full while a picture is written: it is said, and no row points at nothing."""

    def full(*_args: object, **_kwargs: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(attachments.os, "fsync", full)
    with pytest.raises(StoreFull, match="No space left on device"):
        store.attachments.add(picture(), added=NOW)
    monkeypatch.undo()
    with store.engine.connect() as connection:
        assert connection.exec_driver_sql("SELECT count(*) FROM attachment").scalar_one() == 0
    assert not list(store.folder.rglob(".new-*")), "a full disk is not filled further"
    assert store.attachments.add(picture(), added=NOW).width == 640


def test_an_unknown_digest_is_named(store: Store) -> None:
    """A picture that is not there is said to be not there."""
    with pytest.raises(Unknown, match="no picture"):
        store.attachments.read("0" * 64)


def test_a_crash_between_file_and_row_is_made_good(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """The bytes are there and the row is not: the picture is not there yet, and sending it again keeps it."""

    def dies(_engine: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(attachments, "writing", dies)
    with pytest.raises(KeyboardInterrupt):
        store.attachments.add(picture(), added=NOW)
    monkeypatch.undo()
    (orphan,) = store.folder.rglob("*.jpg")
    with pytest.raises(Unknown, match="no picture"):
        store.attachments.read(orphan.stem)
    assert (
        store.attachments.read(store.attachments.add(picture(), added=NOW).digest)[0] == orphan.read_bytes()
    )


@pytest.mark.parametrize("digest", ["../../shop.db", "..", "a/../../../etc/passwd", ""])
def test_no_digest_leads_out_of_the_folder(store: Store, digest: str) -> None:
    """Only what has a row is ever opened, and rows hold digests only."""
    with pytest.raises(Unknown, match="no picture"):
        store.attachments.read(digest)
