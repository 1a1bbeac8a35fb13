"""The fold of a shop's own log: its instruments as they stand, those that are retired, and its rule."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Final

from countershaft import units
from countershaft.job.at_shop import (
    InstrumentCalibrated,
    InstrumentKind,
    InstrumentListed,
    InstrumentRetired,
    RuleSaid,
    ShopEntry,
)
from countershaft.job.taken import InstrumentUsed, RuleName

__all__ = ["EMPTY_SHOP", "Calibration", "ShopInstrument", "ShopState", "fold_shop"]


@dataclass(frozen=True, slots=True)
class Calibration:
    """What is known of an instrument from one calibration on, or from its listing."""

    calibrated: date | None
    due: date | None
    zero_offset: Decimal | None
    permitted_error: Decimal
    error_found: Decimal | None
    certificate_u: Decimal | None
    certificate_k: Decimal | None
    note: str


@dataclass(frozen=True, slots=True)
class ShopInstrument:
    """An instrument of the shop: as it was listed, each of its calibrations in the order of their days, its end."""

    listed: InstrumentListed
    calibrations: tuple[Calibration, ...]
    retired: ShopEntry | None = None

    @property
    def id(self) -> str:
        """The mark on it."""
        return self.listed.id

    @property
    def name(self) -> str:
        """What the shop calls it."""
        return self.listed.name

    @property
    def sort(self) -> InstrumentKind:
        """What it is."""
        return self.listed.sort

    @property
    def unit(self) -> str:
        """The unit that it shows."""
        return self.listed.unit

    @property
    def measures(self) -> str:
        """The kind of quantity that it measures, as in `units.KINDS`."""
        return units.UNITS[self.unit][0]

    @property
    def why_retired(self) -> str:
        """Why it is used no more; empty while it is used."""
        body = self.retired.body if self.retired else None
        return body.because if isinstance(body, InstrumentRetired) else ""

    def standing(self, on: date | None = None) -> Calibration:
        """The calibration that held on a day, the newest where no day is given.

        Before the first known calibration the first stands, so that its day speaks against the use.
        """
        held = [
            one for one in self.calibrations if on is None or one.calibrated is None or one.calibrated <= on
        ]
        return held[-1] if held else self.calibrations[0]

    def used(self, on: date | None = None) -> InstrumentUsed:
        """The snapshot that a reading keeps: the instrument with the calibration that held on a day."""
        now = self.standing(on)
        return InstrumentUsed(
            tag=self.id,
            name=self.name,
            kind=self.sort.value,
            unit=self.unit,
            resolution=self.listed.resolution,
            permitted_error=now.permitted_error,
            zero_offset=now.zero_offset,
            calibrated=now.calibrated,
            due=now.due,
            certificate_u=now.certificate_u,
            certificate_k=now.certificate_k,
        )


@dataclass(frozen=True, slots=True)
class ShopState:
    """What the shop's own log says now.

    `instruments` are those in use and `retired` the others, each by its id in the order of their listing.
    `rule` names how the shop decides; a shop that never said so guards.
    """

    instruments: dict[str, ShopInstrument]
    retired: dict[str, ShopInstrument]
    rule: RuleName
    rule_said: ShopEntry | None
    entries: tuple[ShopEntry, ...]

    def known(self, instrument_id: str) -> ShopInstrument | None:
        """An instrument by its id, in use or not; capital and small letters are one."""
        asked = instrument_id.strip().casefold()
        every = (*self.instruments.values(), *self.retired.values())
        return next((one for one in every if one.id.casefold() == asked), None)

    def measuring(self, unit: str) -> tuple[ShopInstrument, ...]:
        """The instruments in use that measure the quantity of a unit."""
        kind = units.UNITS[unit][0]
        return tuple(one for one in self.instruments.values() if one.measures == kind)

    @property
    def next_id(self) -> str:
        """The first mark I1, I2, … that no instrument has had."""
        taken = [
            int(found[1])
            for one in (*self.instruments, *self.retired)
            if (found := re.fullmatch("[Ii]([0-9]{1,6})", one))
        ]
        return f"I{max(taken, default=0) + 1}"


#: A shop that has said nothing yet.
EMPTY_SHOP: Final = ShopState({}, {}, "guarded", None, ())


def fold_shop(entries: Iterable[ShopEntry]) -> ShopState:
    """Fold the entries of a shop's own log into its present state; an entry that was sent before changes nothing."""
    first_sent: dict[str, ShopEntry] = {}
    for entry in entries:
        first_sent.setdefault(entry.id, entry)
    unique = tuple(first_sent.values())
    every: dict[str, ShopInstrument] = {}
    rule_said: ShopEntry | None = None
    for entry in unique:
        body = entry.body
        if isinstance(body, RuleSaid):
            rule_said = entry
        elif isinstance(body, InstrumentListed):
            every.setdefault(body.id, ShopInstrument(body, (_as_listed(body),)))
        elif body.id in every:
            every[body.id] = _changed(every[body.id], entry)
    return ShopState(
        instruments={name: one for name, one in every.items() if one.retired is None},
        retired={name: one for name, one in every.items() if one.retired is not None},
        rule=rule_said.body.rule
        if rule_said is not None and isinstance(rule_said.body, RuleSaid)
        else "guarded",
        rule_said=rule_said,
        entries=unique,
    )


def _as_listed(body: InstrumentListed) -> Calibration:
    return Calibration(
        calibrated=body.calibrated,
        due=body.due,
        zero_offset=body.zero_offset,
        permitted_error=body.permitted_error,
        error_found=None,
        certificate_u=body.certificate_u,
        certificate_k=body.certificate_k,
        note="",
    )


def _changed(known: ShopInstrument, entry: ShopEntry) -> ShopInstrument:
    """An instrument after it was calibrated or retired."""
    body = entry.body
    if not isinstance(body, InstrumentCalibrated):
        return replace(known, retired=entry)
    error = body.permitted_error
    fresh = Calibration(
        calibrated=body.calibrated,
        due=body.due,
        zero_offset=body.zero_offset,
        permitted_error=known.standing().permitted_error if error is None else error,
        error_found=body.error_found,
        certificate_u=body.certificate_u,
        certificate_k=body.certificate_k,
        note=body.note,
    )
    in_order = sorted((*known.calibrations, fresh), key=lambda one: one.calibrated or date.min)
    return replace(known, calibrations=tuple(in_order))
