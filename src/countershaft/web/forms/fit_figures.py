"""Forms of fits that are read as several figures, and of choices that are more than one size."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal, InvalidOperation
from typing import Final

from pydantic import ValidationError

from countershaft.desk.desk import OpenJob
from countershaft.desk.plain_faults import in_plain_words
from countershaft.errors import FormError
from countershaft.job.entry import Body, Chosen, FitFigure, FitLeft, FitMeasured
from countershaft.model.fit_methods import ByTurningTorque
from countershaft.model.fits import Fit
from countershaft.stages.fit import FitState, follow
from countershaft.stages.fit_asked import Asked
from countershaft.units import decimals
from countershaft.web.forms.form import Aim, Answers, Field, Form, body_of, readings
from countershaft.web.forms.lengths import Scale, scale_fields, scale_of, step_typed, taken_of, unit_field

__all__ = ["choose", "figures", "told_facts"]

_BEARINGS: Final = (("new", "new, oiled"), ("ran before", "ran before, oiled"))


def figures(job: OpenJob, fit: Fit, asked: Sequence[Asked], *, left: bool, lead: str) -> Form:
    """The figures that a way of reading asks for, first or with the chosen parts in place."""
    scale = _scale(job, fit, asked)
    kind: type[Body] = FitLeft if left else FitMeasured

    def read(answers: Answers) -> tuple[Body, ...]:
        unit, step = answers.one("unit") or scale.own_unit, step_typed(job, scale, answers)
        body = {
            "fit": fit.id,
            "figures": tuple(_figure(one, answers.many(one.name), unit, step) for one in asked),
            "bearings": answers.one("bearings"),
            "taken": taken_of(job, scale, answers),
        }
        return (body_of(kind, body),)

    return Form(
        f"{fit.name}: {'re-measure' if left else 'measure'}",
        (
            *_bearings(fit),
            *(_field(fit, one, left) for one in asked),
            *unit_field(scale),
            *scale_fields(scale, fit.instrument),
        ),
        read,
        f"/jobs/{job.tag}/fit/{fit.id}",
        lead=lead,
        facts=told_facts(job, fit),
    )


def _scale(job: OpenJob, fit: Fit, asked: Sequence[Asked]) -> Scale:
    """The scale of the readings; sizes of parts are always typed in millimetres."""
    unit = next(one.unit for one in asked if not one.size)
    offered = {"mm": ("in",), "N·m": ("lbf·in", "lbf·ft")}.get(unit, (unit,))
    return scale_of(job, fit.instrument, unit, offered)


def _field(fit: Fit, one: Asked, left: bool) -> Field:
    low, high = one.expected if one.expected is not None else (None, None)
    signed = one.name == "preload as a gap" or (low is not None and low < 0 and not left)
    aim = Aim(
        one.unit,
        lower=None if low is None else Decimal(f"{low:.6f}").normalize(),
        upper=None if high is None else Decimal(f"{high:.6f}").normalize(),
        lowest=None if signed else Decimal(0),
        judged=left and one.unit == fit.unit,
        about=("fit_left" if left else "fit_measured", fit.id),
    )
    label = one.name[:1].upper() + one.name[1:]
    if one.size:
        start = (one.start,) if one.start else ()
        return Field(one.name, label, "figure", one.hint, "mm", values=start, needed=True, aim=aim)
    # A length or a torque may be typed in either system, and its unit stands in a field of its own.
    unit = one.unit if one.unit == "turns" else ""
    return readings(
        one.name, label, count=one.count, unit=unit, hint=one.hint, cell_labels=one.cells, aim=aim
    )


def _bearings(fit: Fit) -> tuple[Field, ...]:
    if not isinstance(fit.by, ByTurningTorque) or fit.by.reused_min is None:
        return ()
    hint = f"New ones turn harder: {fit.min} to {fit.max}; those that ran before {fit.by.reused_min} to "
    return (
        Field(
            "bearings",
            "The bearings",
            "choice",
            f"{hint}{fit.by.reused_max}.",
            options=_BEARINGS,
            needed=True,
        ),
    )


def _figure(asked: Asked, texts: Sequence[str], unit: str, step: str) -> FitFigure:
    """One figure as typed; what is known of a part's size is the last digit that was typed."""
    given = {"name": asked.name, "values": tuple(texts), "unit": unit, "resolution": step}
    if asked.size:
        given |= {"unit": "mm", "resolution": str(_last_digit(texts[0])) if texts else "0.01"}
    try:
        return FitFigure.model_validate(given)
    except ValidationError as cause:
        found: dict[str, str] = {}
        for fault in cause.errors():
            name = asked.name if fault["loc"][:1] == ("values",) else "resolution"
            found.setdefault(name, in_plain_words(fault))
        raise FormError(found) from cause


def _last_digit(text: str) -> Decimal:
    """One step of the last digit of a size, a hundredth at the coarsest."""
    try:
        digits = decimals(Decimal(text.strip().replace(",", ".")))
    except InvalidOperation:
        digits = 2
    return Decimal(1).scaleb(-max(2, digits))


def told_facts(job: OpenJob, fit: Fit) -> tuple[tuple[str, str], ...]:
    """What stands beside every form of a fit."""
    source = job.transmission.source(fit.source)
    found = (
        ("Gap", f"{fit.min} to {fit.max}, goal {fit.goal_value:g} {fit.unit}"),
        ("How", fit.method or ""),
        ("Note", fit.note or ""),
        ("Source", str(source) if source else "none: the limit is unverified"),
    )
    return tuple((label, words) for label, words in found if words)


def choose(job: OpenJob, key: str) -> Form:
    """What goes in: one size, one of two shims, plates that make up a height, or turns of a screw."""
    fit = job.transmission.fit(key)
    now = follow(job.transmission, job.state, fit)
    if fit.pieces > 1:
        return _plates(job, now)
    return _side(job, now)


def _because() -> Field:
    return Field("because", "Because", hint="Needed only where the gap would be outside its limits.")


def _side(job: OpenJob, now: FitState) -> Form:
    """One size; of two shims the left one first, since it sets the backlash, and the right one makes up the total."""
    fit = now.fit
    number = min(len(now.chosen_all), max(0, len(now.sides) - 1))
    side = now.sides[number] if now.sides else None
    seat = side.seat if side is not None else now.seats[0]
    sizes = [size for size in seat.sizes if now.shelf is None or size in now.shelf or seat.side == "right"]

    def read(answers: Answers) -> tuple[Body, ...]:
        given = {"fit": fit.id, "size_mm": answers.one("size_mm"), "because": answers.one("because")}
        return (body_of(Chosen, {**given, "side": seat.side}),)

    best = side.choice.size if side is not None else None
    what = f"Turns of the {seat.label}" if fit.size_unit == "turns" else f"The {seat.label} that goes in"
    return Form(
        f"{fit.name}: choose{f' the {seat.side} shim' if seat.side else ''}",
        (
            Field("size_mm", what,
                  "choice", needed=True, options=tuple((str(size), f"{size} {fit.size_unit}") for size in sizes),
                  values=(str(best),) if best is not None else ()),
            _because(),
        ),
        read,
        f"/jobs/{job.tag}/fit/{fit.id}",
        facts=_choice_facts(now, number),
    )  # fmt: skip


def _plates(job: OpenJob, now: FitState) -> Form:
    """The plates one by one, the nearest already in the fields."""
    fit = now.fit
    best = [str(size) for side in now.sides for size, count in side.plates for _ in range(count)]

    def read(answers: Answers) -> tuple[Body, ...]:
        plates = answers.many("plates_mm")
        try:
            height = sum((Decimal(one.replace(",", ".")) for one in plates), Decimal(0))
        except InvalidOperation as cause:
            raise FormError(
                {"plates_mm": "one of these is no number; type a thickness such as 1.80"}
            ) from cause
        given = {"fit": fit.id, "size_mm": height, "plates_mm": plates, "because": answers.one("because")}
        return (body_of(Chosen, given, names={"size_mm": "plates_mm"}),)

    sizes = ", ".join(str(one) for one in now.shelf or fit.sizes_mm)
    return Form(
        f"{fit.name}: choose the plates",
        (
            readings("plates_mm", f"The {fit.pieces} × {fit.selective} that go in", count=fit.pieces, unit="mm",
                     hint=f"There are {sizes} mm.", values=tuple(best)),
            _because(),
        ),
        read,
        f"/jobs/{job.tag}/fit/{fit.id}",
        facts=_choice_facts(now, 0),
    )  # fmt: skip


def _choice_facts(now: FitState, number: int) -> tuple[tuple[str, str], ...]:
    if not now.sides:
        return ()
    side = now.sides[number]
    needed = Decimal(f"{float(side.need.size.value):.4f}").normalize()
    return ("Needed", f"{needed:f} {now.fit.size_unit}"), ("Nearest", side.choice.why)
