"""Forms of the shop itself, outside any job: an instrument is listed, calibrated or retired, and the rule is said."""

from __future__ import annotations

from datetime import date
from typing import Final

from countershaft import units
from countershaft.errors import Unknown
from countershaft.job.at_shop import (
    InstrumentCalibrated,
    InstrumentKind,
    InstrumentListed,
    InstrumentRetired,
    RuleSaid,
)
from countershaft.job.entry import Body
from countershaft.job.shop import ShopInstrument, ShopState
from countershaft.job.taken import RuleName
from countershaft.web.forms.form import Answers, Field, Form, because, body_of, options, reason

__all__ = ["LIST", "RULE_MEANS", "add", "calibrate", "retire", "rule"]

#: Where the list stands.
LIST: Final = "/shop/instruments"

#: What each rule means, in two sentences.
RULE_MEANS: Final[dict[RuleName, str]] = {
    "guarded": "Good only where the whole uncertainty lies within the limits, bad only where it lies outside. "
    "What lies between is measured again, and the page says what would decide it.",
    "plain": "The value alone decides, and its uncertainty only stands beside it. "
    "Close to a limit that is wrong as often as it is right, so agree on it with whoever pays for the work.",
}

_TYPED_BY_CABLE: Final = "yes"


def add(shop: ShopState, key: str, today: date) -> Form:
    """A new instrument."""
    names = ("id", "name", "sort", "unit", "resolution", "permitted_error", "zero_offset", "calibrated", "due",
             "certificate_u", "certificate_k", "note")  # fmt: skip

    def read(answers: Answers) -> tuple[Body, ...]:
        body = {name: answers.one(name) for name in names}
        return (body_of(InstrumentListed, {**body, "cable": answers.one("cable") == _TYPED_BY_CABLE}),)

    return Form(
        "Another instrument",
        (
            Field("id", "Mark on it", hint="Write it on the instrument; it is never given to another.",
                  values=(shop.next_id,), needed=True),
            Field("name", "What you call it", hint="Such as “dial 1” or “large micrometer”; each its own name.",
                  needed=True),
            Field("sort", "What it is", "choice", options=options(InstrumentKind), needed=True),
            Field("unit", "It shows", "select", "All figures below are in this unit.",
                  options=tuple((one, one) for one in units.UNITS), needed=True),
            Field("resolution", "One step of its scale", "figure", "The smallest step that is read, such as 0.01.",
                  needed=True),
            Field("permitted_error", "It may be off, either way, by", "figure",
                  "The permitted error of its standard or its maker's sheet.", needed=True),
            *_dates(None, None),
            Field("cable", "Data cable", "ticks",
                  options=((_TYPED_BY_CABLE, "It types its value", "like a keyboard, then Enter"),)),
            *_folded(),
        ),
        read,
        LIST,
        save="Put it on the list",
    )  # fmt: skip


def calibrate(shop: ShopState, key: str, today: date) -> Form:
    """An instrument came back from calibration; `key` is its mark."""
    one = _listed(shop, key)
    now = one.standing()
    names = ("calibrated", "due", "zero_offset", "error_found", "permitted_error", "certificate_u", "certificate_k",
             "note")  # fmt: skip

    def read(answers: Answers) -> tuple[Body, ...]:
        body = {name: answers.one(name) for name in names}
        return (body_of(InstrumentCalibrated, {**body, "id": one.id}),)

    return Form(
        f"{one.id} {one.name} was calibrated",
        (
            *_dates(today, None, needed=True),
            Field("error_found", "Largest error that was found", "figure", "Of the certificate, either way.", one.unit),
            Field("permitted_error", "It may be off, either way, by", "figure",
                  f"Only where that has changed; {now.permitted_error} {one.unit} until now.", one.unit),
            *_folded(one.unit),
        ),
        read,
        LIST,
        facts=tuple(
            (label, words)
            for label, words in (
                ("It is", f"{one.sort}, one step {one.listed.resolution} {one.unit}"),
                ("Calibrated", str(now.calibrated or "")),
                ("Due", str(now.due or "")),
            )
            if words
        ),
        save="It is calibrated",
        problems=_gone(one),
    )  # fmt: skip


def retire(shop: ShopState, key: str, today: date) -> Form:
    """An instrument is used no more; `key` is its mark."""
    one = _listed(shop, key)

    def read(answers: Answers) -> tuple[Body, ...]:
        return (body_of(InstrumentRetired, {"id": one.id, "because": reason(answers)}),)

    return Form(
        f"{one.id} {one.name} is used no more",
        because(
            "Because",
            ("worn or damaged", "found out of its permitted error", "lost", "listed wrongly"),
            "What was read on it keeps its figures. Its mark is not given again.",
        ),
        read,
        LIST,
        save="Retire it",
        problems=_gone(one),
    )


def rule(shop: ShopState, key: str, today: date) -> Form:
    """The rule by which the shop decides."""

    def read(answers: Answers) -> tuple[Body, ...]:
        return (body_of(RuleSaid, {name: answers.one(name) for name in ("rule", "because")}),)

    return Form(
        "How this shop decides",
        (
            Field("rule", "From now on", "choice", options=tuple((name, name) for name in RULE_MEANS),
                  values=(shop.rule,), needed=True),
            Field("because", "Because", "area", "Who agreed to it, or what asks for it.", needed=True),
        ),
        read,
        "/shop/rule",
        save="Decide so",
    )  # fmt: skip


def _dates(calibrated: date | None, due: date | None, *, needed: bool = False) -> tuple[Field, Field]:
    return (
        Field("calibrated", "Calibrated on", "date", values=(str(calibrated),) if calibrated else (), needed=needed),
        Field("due", "Next calibration", "date", values=(str(due),) if due else (), needed=needed),
    )  # fmt: skip


def _folded(unit: str = "") -> tuple[Field, ...]:
    """What few sheets say."""
    return (
        Field("zero_offset", "At zero it shows", "figure", "Leave it empty where nobody looked.", unit, folded=True),
        Field("certificate_u", "U of the certificate", "figure", "The expanded uncertainty of the calibration.", unit,
              folded=True),
        Field("certificate_k", "k of the certificate", "figure", "The factor that stands beside U, most often 2.",
              folded=True),
        Field("note", "Note", "area", folded=True),
    )  # fmt: skip


def _listed(shop: ShopState, key: str) -> ShopInstrument:
    """An instrument by its mark, in use or not; raises Unknown."""
    found = shop.known(key)
    if found is None:
        raise Unknown(f"There is no instrument {key!r} in this shop. Look at the list of instruments.")
    return found


def _gone(one: ShopInstrument) -> tuple[str, ...]:
    """That an instrument is used no more; nothing while it is."""
    if one.retired is None:
        return ()
    return (f"{one.id} {one.name} was retired on {one.retired.at:%Y-%m-%d} ({one.why_retired}).",)
