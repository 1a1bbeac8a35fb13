"""The shop's own pages: its instruments by how pressing their calibration is, and the rule it decides by."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Final
from urllib.parse import quote

from countershaft.job.at_shop import (
    InstrumentCalibrated,
    InstrumentListed,
    InstrumentRetired,
    ShopEntry,
)
from countershaft.job.shop import ShopInstrument, ShopState
from countershaft.job.taken import RuleName
from countershaft.metrology.decision import decide
from countershaft.metrology.readings import estimate
from countershaft.stages.calibration import Due, Holds, by_urgency
from countershaft.stages.measuring import RULES
from countershaft.web.forms.form import Form
from countershaft.web.forms.shop import RULE_MEANS
from countershaft.web.pages.shown import Answer, Window, answer

__all__ = [
    "InstrumentGroup",
    "InstrumentRow",
    "InstrumentsPage",
    "LogRow",
    "RulePage",
    "RuleShown",
    "ShopFormPage",
    "instruments_label",
    "instruments_page",
    "rule_page",
]

#: Each group of the list: its heading, and its mark.
_GROUPS: Final[dict[Holds, tuple[str, str]]] = {
    Holds.RAN_OUT: ("Calibration ran out", "blocked"),
    Holds.NOT_USABLE: ("Not to be used now", "blocked"),
    Holds.DUE_SOON: ("Due within 30 days", "now"),
    Holds.NO_DATES: ("No dates of calibration", "open"),
    Holds.HOLDS: ("In calibration", "done"),
}

#: What keeps an instrument from being used.
_PRESSING: Final = (Holds.RAN_OUT, Holds.NOT_USABLE)

#: An invented end play for the example: near its limit, so that the two rules answer differently.
_READING, _STEP, _LOWER, _UPPER = 0.068, 0.01, 0.02, 0.07


@dataclass(frozen=True, slots=True)
class InstrumentRow:
    """One instrument: what it is, its figures, whether its calibration holds, and what may be said of it."""

    name: str
    figures: str
    further: str
    mark: str
    words: str
    calibrate: str
    retire: str


@dataclass(frozen=True, slots=True)
class InstrumentGroup:
    """The instruments of one state."""

    title: str
    rows: tuple[InstrumentRow, ...]


@dataclass(frozen=True, slots=True)
class LogRow:
    """One entry of the shop's own log."""

    when: str
    by: str
    words: str


@dataclass(frozen=True, slots=True)
class InstrumentsPage:
    """Every instrument of the shop, the most pressing first."""

    lead: str
    groups: tuple[InstrumentGroup, ...]
    retired: tuple[LogRow, ...]
    rule: str
    log: tuple[LogRow, ...]


@dataclass(frozen=True, slots=True)
class RuleShown:
    """A rule, what it means, and what it says to the example."""

    name: str
    means: str
    example: Answer


@dataclass(frozen=True, slots=True)
class RulePage:
    """How the shop decides now, what each rule means, and the form that changes it."""

    now: str
    said: str
    rules: tuple[RuleShown, ...]
    form: Form
    entry_id: str


@dataclass(frozen=True, slots=True)
class ShopFormPage:
    """A form of the shop."""

    form: Form
    entry_id: str
    action: str
    back: str


def instruments_label(shop: ShopState, today: date) -> str:
    """The way to the list, with what presses."""
    out = [one for one in by_urgency(shop.instruments.values(), today) if one.holds in _PRESSING]
    return f"Instruments: {len(out)} ran out" if out else "Instruments"


def instruments_page(shop: ShopState, today: date) -> InstrumentsPage:
    """The list as its template reads it."""
    every = by_urgency(shop.instruments.values(), today)
    return InstrumentsPage(
        lead=_lead(every),
        groups=tuple(
            InstrumentGroup(title, tuple(_row(one, mark) for one in every if one.holds is holds))
            for holds, (title, mark) in _GROUPS.items()
            if any(one.holds is holds for one in every)
        ),
        retired=tuple(_log_row(one.retired, shop) for one in shop.retired.values() if one.retired),
        rule=shop.rule,
        log=tuple(_log_row(entry, shop) for entry in reversed(shop.entries)),
    )


def rule_page(shop: ShopState, form: Form, entry_id: str) -> RulePage:
    """The rule as its template reads it."""
    entry = shop.rule_said
    said = (
        f"Said by {entry.by} on {entry.at:%Y-%m-%d}."
        if entry
        else "Nobody has chosen it; the careful one stands."
    )
    shown = tuple(RuleShown(name, means, _example(name)) for name, means in RULE_MEANS.items())
    return RulePage(shop.rule, said, shown, form, entry_id)


def _lead(every: tuple[Due, ...]) -> str:
    """How many there are, and which is due next."""
    if not every:
        return (
            "No instrument is listed yet. A reading on a listed one carries its error and its calibration; "
            "on any other only the step of the scale is known."
        )
    count = f"{len(every)} instrument{'s' if len(every) != 1 else ''} in use."
    ahead = min((one for one in every if one.days is not None and one.days >= 0), key=_days, default=None)
    if ahead is None:
        return f"{count} None has a calibration ahead."
    one = ahead.instrument
    return f"{count} Next due: {one.id} {one.name} on {one.standing().due}, {_in_days(_days(ahead))}."


def _days(one: Due) -> int:
    return one.days or 0


def _in_days(days: int) -> str:
    return "today" if days == 0 else f"in {days} day{'s' if days != 1 else ''}"


def _row(one: Due, mark: str) -> InstrumentRow:
    tool, key = one.instrument, quote(one.instrument.id, safe="")
    now = tool.standing()
    certificate = (
        f"U {now.certificate_u} {tool.unit} (k = {now.certificate_k})"
        if now.certificate_u is not None
        else ""
    )
    found = f"largest error found {now.error_found} {tool.unit}" if now.error_found is not None else ""
    return InstrumentRow(
        name=f"{tool.id} {tool.name}",
        figures=_joined(
            tool.sort.value,
            f"step {tool.listed.resolution} {tool.unit}",
            f"may be off {now.permitted_error} {tool.unit}",
            f"zero {now.zero_offset} {tool.unit}" if now.zero_offset is not None else "zero not known",
            "cable" if tool.listed.cable else "",
        ),
        further=_joined(found, certificate, now.note, tool.listed.note),
        mark=mark,
        words=_sentence(one.words.removeprefix(f"{tool.name}: ")),
        calibrate=f"/shop/enter/calibrate?key={key}",
        retire=f"/shop/enter/retire?key={key}",
    )


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]


def _joined(*pieces: str) -> str:
    return " · ".join(one for one in pieces if one)


def _log_row(entry: ShopEntry, shop: ShopState) -> LogRow:
    return LogRow(f"{entry.at:%Y-%m-%d %H:%M}", entry.by, _said(entry, shop))


def _said(entry: ShopEntry, shop: ShopState) -> str:
    """What an entry says, in words."""
    body = entry.body
    if isinstance(body, InstrumentListed):
        return f"{body.id} {body.name} listed: {body.sort}, step {body.resolution} {body.unit}"
    if isinstance(body, InstrumentCalibrated):
        return f"{_called(shop.known(body.id))} calibrated on {body.calibrated}, due on {body.due}"
    if isinstance(body, InstrumentRetired):
        return f"{_called(shop.known(body.id))} retired: {body.because}"
    return f"decides {body.rule}: {body.because}"


def _called(one: ShopInstrument | None) -> str:
    return f"{one.id} {one.name}" if one else "an instrument that was never listed"


def _example(name: RuleName) -> Answer:
    """What a rule says to the example, with its working."""
    value = estimate([_READING], resolution=_STEP)
    judgement = decide(value, lower=_LOWER, upper=_UPPER, unit="mm", digits=3, rule=RULES[name])
    window = Window("An invented end play", _LOWER, _UPPER, None, "mm", 3, "an example, of no real unit")
    return answer(window, value, judgement, when="", entry=None)
