"""The desk: every fact enters a job here, and every page is read from here."""

from __future__ import annotations

import json
import threading
import uuid
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import lru_cache
from typing import Final

from countershaft.definitions.library import library, library_text
from countershaft.definitions.reader import read_transmission
from countershaft.desk.shop_book import ShopBook
from countershaft.desk.stamped import stamped
from countershaft.errors import EntryRefused, FormError
from countershaft.job.at_shop import ShopBody, ShopEntry
from countershaft.job.entry import Body, Entry, JobOpened, Photo, Undone
from countershaft.job.removals import as_logged
from countershaft.job.serial import VERSIONS
from countershaft.job.shop import EMPTY_SHOP, ShopState
from countershaft.job.state import JobState, fold
from countershaft.job.taken import InstrumentUsed
from countershaft.job.words import Stage
from countershaft.model.transmission import Transmission
from countershaft.stages.progress import Progress, progress
from countershaft.stages.review import review
from countershaft.store.library import DefinitionRow
from countershaft.store.shop import Store

__all__ = ["Desk", "JobCard", "OpenJob", "new_entry_id"]


def new_entry_id() -> str:
    """A fresh id for an entry; a client makes it before it sends, and sends it again unchanged."""
    return uuid.uuid4().hex


#: How many jobs are kept folded in memory; a job that was not looked at for long is read again.
KEPT: Final = 64


def _bench_time() -> datetime:
    """The time at the bench with its distance from UTC, so that the log prints the hours that the wall clock shows."""
    return datetime.now().astimezone()


@dataclass(frozen=True, slots=True)
class OpenJob:
    """A job with the file it is worked by and its present state.

    `transmission` is the shop's file under the digest `definition` and, behind it, what the job's own log says of
    parts that no file has.  `shop` is what the shop's own log says: its instruments and its rule.
    """

    tag: str
    transmission: Transmission
    state: JobState
    definition: str
    shop: ShopState = EMPTY_SHOP


@dataclass(frozen=True, slots=True)
class JobCard:
    """A job as the first page shows it."""

    tag: str
    vehicle: str
    unit: str
    progress: Progress


@dataclass(frozen=True, slots=True)
class _Folded:
    last_seq: int
    entries: tuple[Entry, ...]
    state: JobState
    definition: str
    file: Transmission


class Desk:
    """Loads a job, asks its stage, appends an entry.

    One desk serves many threads, and many desks one folder.  The lock guards only the memory of this desk: nobody
    waits for another's disk.  What keeps the log straight is the store: an entry joins only behind the very entries
    that its stage saw.
    """

    def __init__(self, store: Store, *, now: Callable[[], datetime] = _bench_time) -> None:
        self._store = store
        self._now = now
        self._lock = threading.Lock()
        self._folded: OrderedDict[str, _Folded] = OrderedDict()
        self._cards: dict[str, tuple[int, JobCard]] = {}
        self._shop = ShopBook(store.shop_log, now)
        self._transmission = lru_cache(maxsize=64)(self._read_definition)

    # Transmission files

    def shelve_library(self) -> None:
        """Put the files that ship with the program into the shop's store."""
        for name in library():
            self.add_definition(library_text(name), file=f"{name}.yaml")

    def add_definition(self, text: str, *, file: str) -> str:
        """Keep a transmission file after reading it; raises DefinitionError with every fault."""
        transmission = read_transmission(text, file)
        return self._store.definitions.add(transmission.name, text, added=self._stamp())

    def definitions(self) -> tuple[DefinitionRow, ...]:
        """Every transmission file of the shop."""
        return self._store.definitions.rows()

    def definition(self, digest: str) -> Transmission:
        """One transmission file as a model; raises Unknown."""
        return self._transmission(digest)

    def words_used(self, kind: str) -> tuple[Body, ...]:
        """What the newest entries of one kind say, in whichever job, undone ones too; for what to offer first."""
        return tuple(entry.body for entry in self._store.jobs.newest(kind))

    def elsewhere(self, job: OpenJob, kind: str, about: str) -> tuple[str, Entry] | None:
        """The newest entry of a kind about a limit or fit on another job of the same unit, behind that job's tag.

        What was undone does not count.
        """
        for tag, entry in self._store.jobs.naming(kind, json.dumps(about, ensure_ascii=False)):
            if tag == job.tag or about not in (
                getattr(entry.body, "limit", ""),
                getattr(entry.body, "fit", ""),
            ):
                continue
            other = self.job(tag)
            if other.transmission.name == job.transmission.name and entry.id in other.state.position:
                return tag, entry
        return None

    def _read_definition(self, digest: str) -> Transmission:
        return read_transmission(self._store.definitions.text(digest), f"{digest[:12]}.yaml")

    # The shop itself

    def shop(self) -> ShopState:
        """The shop's instruments and its rule."""
        return self._shop.state()

    def today(self) -> date:
        """The day at the bench."""
        return self._now().date()

    def instrument_used(self, instrument_id: str, on: date) -> InstrumentUsed:
        """The snapshot that a reading of that day keeps; raises Unknown, or EntryRefused once it is retired."""
        return self._shop.usable(instrument_id, on).used(on)

    def append_shop(self, body: ShopBody, *, by: str, entry_id: str | None = None) -> ShopEntry:
        """Let an entry join the shop's own log once nothing speaks against it; raises as `append` does."""
        return self._shop.append(body, by=by, entry_id=entry_id or new_entry_id())

    # Jobs

    def cards(self) -> tuple[JobCard, ...]:
        """Every job, the one that was worked at last first."""
        return tuple(self._card(row.tag, row.last_seq) for row in self._store.jobs.rows())

    def job(self, tag: str) -> OpenJob:
        """A job as it stands now; raises Unknown."""
        folded = self._fold(tag)
        return OpenJob(tag, folded.file, folded.state, folded.definition, self.shop())

    def jobs_on(self, unit: str) -> tuple[str, ...]:
        """The jobs on files of one name, the one that was worked at last first."""
        return tuple(
            row.tag for row in self._store.jobs.rows() if self.definition(row.definition).name == unit
        )

    def progress(self, tag: str) -> Progress:
        """Where a job stands."""
        return self._card(tag, None).progress

    def open_job(self, opened: JobOpened, *, by: str, entry_id: str | None = None) -> Entry:
        """Begin a job."""
        self.definition(opened.definition)
        entry = self._entry(opened, by=by, entry_id=entry_id)
        self._store.jobs.open(entry)
        return entry

    def append(self, tag: str, body: Body, *, by: str, entry_id: str | None = None) -> Entry:
        """Let an entry join the log once its stage agrees; returns when it is on the disk.

        Raises FormError with the fields that are wrong, or EntryRefused with whole sentences.
        An entry that was sent before is answered as before and changes nothing; where somebody else's entry came
        between, the stage is asked again.
        """
        entry = self._entry(body, by=by, entry_id=entry_id)
        while True:
            folded = self._fold(tag)
            sent = next((one for one in folded.entries if one.id == entry.id), None)
            if sent is None:
                self._agree(folded, entry)
            if self._store.jobs.append(tag, entry, after=folded.last_seq):
                return entry
            if sent is not None:
                return sent

    def undo(self, tag: str, target: str, *, because: str, by: str, entry_id: str | None = None) -> Entry:
        """Make an entry no longer count; it stays in the log."""
        return self.append(tag, Undone(target=target, because=because), by=by, entry_id=entry_id)

    # Pictures

    def add_photo(
        self,
        tag: str,
        content: bytes,
        *,
        stage: Stage,
        by: str,
        about: str | None = None,
        caption: str = "",
        entry_id: str | None = None,
    ) -> Entry:
        """Keep a picture and note it in the log; raises PictureRefused with the reason."""
        self.job(tag)
        picture = self._store.attachments.add(content, added=self._stamp())
        body = Photo(stage=stage, about=about, digest=picture.digest, caption=caption)
        return self.append(tag, body, by=by, entry_id=entry_id)

    def picture(self, digest: str) -> tuple[bytes, str]:
        """The bytes of a picture and their media type; raises Unknown."""
        return self._store.attachments.read(digest)

    def picture_size(self, digest: str) -> tuple[int, int]:
        """Width and height of a picture in pixels; raises Unknown."""
        return self._store.attachments.size(digest)

    # Inside

    def _agree(self, folded: _Folded, entry: Entry) -> None:
        """Ask the stage that an entry belongs to; raises what it objects."""
        outcome = review(folded.file, folded.state, entry)
        if outcome.fields:
            raise FormError({**outcome.fields})
        if outcome.objections:
            raise EntryRefused(" ".join(outcome.objections))

    def _card(self, tag: str, last_seq: int | None) -> JobCard:
        """What the first page shows of a job; worked out again only when its log has grown."""
        with self._lock:
            known = self._cards.get(tag)
        if known is not None and known[0] == last_seq:
            return known[1]
        folded = self._fold(tag)
        if known is None or known[0] != folded.last_seq:
            opened = folded.state.opened
            where = progress(folded.file, folded.state)
            known = (folded.last_seq, JobCard(tag, opened.vehicle, opened.unit, where))
            with self._lock:
                self._cards[tag] = known
        return known[1]

    def _stamp(self) -> str:
        return self._now().astimezone(UTC).isoformat()

    def _entry(self, body: Body, *, by: str, entry_id: str | None) -> Entry:
        return stamped(
            Entry,
            body,
            entry_id=entry_id or new_entry_id(),
            at=self._now(),
            by=by,
            version=VERSIONS[body.kind],
        )

    def _fold(self, tag: str) -> _Folded:
        """The folded job, brought up to date with what others appended since."""
        with self._lock:
            known = self._folded.get(tag)
        if known is None:
            entries, last = self._store.jobs.entries(tag)
            known = self._folded_from(last, entries, self._store.jobs.row(tag).definition)
        else:
            fresh, last = self._store.jobs.entries(tag, after=known.last_seq)
            if fresh:
                entries = (*known.entries, *fresh)
                known = self._folded_from(last, entries, known.definition)
        self._keep(tag, known)
        return known

    def _folded_from(self, last_seq: int, entries: tuple[Entry, ...], definition: str) -> _Folded:
        state = fold(entries)
        return _Folded(last_seq, entries, state, definition, as_logged(self._transmission(definition), state))

    def _keep(self, tag: str, folded: _Folded) -> None:
        """Remember a folded job unless another thread knows a newer one, and forget the one not used for longest."""
        with self._lock:
            known = self._folded.get(tag)
            if known is None or known.last_seq < folded.last_seq:
                self._folded[tag] = folded
            self._folded.move_to_end(tag)
            while len(self._folded) > KEPT:
                self._folded.popitem(last=False)
