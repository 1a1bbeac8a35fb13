"""The shop's own log at the desk: what it says now, and how an entry joins it."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime

from countershaft.desk.stamped import stamped
from countershaft.errors import EntryRefused, FormError, Unknown
from countershaft.job.at_shop import ShopBody, ShopEntry
from countershaft.job.serial import SHOP_VERSIONS
from countershaft.job.shop import EMPTY_SHOP, ShopInstrument, ShopState, fold_shop
from countershaft.stages.shop_list import review_shop
from countershaft.store.shop_log import ShopLog

__all__ = ["ShopBook"]


@dataclass(frozen=True, slots=True)
class _Read:
    last_seq: int
    state: ShopState


class ShopBook:
    """Reads the shop's own log, and lets an entry join it behind the very entries that its review saw."""

    def __init__(self, log: ShopLog, now: Callable[[], datetime]) -> None:
        self._log = log
        self._now = now
        self._lock = threading.Lock()
        self._read = _Read(0, EMPTY_SHOP)

    def state(self) -> ShopState:
        """What the shop's log says now."""
        return self._newest().state

    def append(self, body: ShopBody, *, by: str, entry_id: str) -> ShopEntry:
        """Let an entry join once nothing speaks against it; one that was sent before is answered as before.

        Raises FormError with the fields that are wrong, or EntryRefused with whole sentences.
        """
        version = SHOP_VERSIONS[body.kind]
        entry = stamped(ShopEntry, body, entry_id=entry_id, at=self._now(), by=by, version=version)
        while True:
            read = self._newest()
            sent = next((one for one in read.state.entries if one.id == entry.id), None)
            if sent is None:
                _agree(read.state, entry)
            if self._log.append(entry, after=read.last_seq):
                return entry
            if sent is not None:
                return sent

    def usable(self, instrument_id: str, on: date) -> ShopInstrument:
        """An instrument that may be measured with on a day; raises Unknown, or EntryRefused once it is retired."""
        state = self.state()
        found = state.known(instrument_id)
        if found is None:
            raise Unknown(
                f"There is no instrument {instrument_id!r} in this shop. "
                f"It has {', '.join(state.instruments) or 'none yet'}; look at the list."
            )
        if found.retired is not None and on >= found.retired.at.date():
            raise EntryRefused(
                f"{found.id} {found.name} was retired on {found.retired.at:%Y-%m-%d} ({found.why_retired}). "
                "Take another of the list."
            )
        return found

    def _newest(self) -> _Read:
        """What was read before, with what others appended since."""
        with self._lock:
            known = self._read
        fresh, last = self._log.entries(after=known.last_seq)
        if not fresh:
            return known
        found = _Read(last, fold_shop((*known.state.entries, *fresh)))
        with self._lock:
            if self._read.last_seq < found.last_seq:
                self._read = found
        return found


def _agree(state: ShopState, entry: ShopEntry) -> None:
    outcome = review_shop(state, entry)
    if outcome.fields:
        raise FormError({**outcome.fields})
    if outcome.objections:
        raise EntryRefused(" ".join(outcome.objections))
