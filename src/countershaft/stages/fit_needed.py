"""From the readings of a fit to the size that it needs: value, uncertainty, working, and the gap that it sets."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from countershaft.errors import OutOfRange
from countershaft.job.entry import Dimensions, Trial
from countershaft.metrology.readings import Estimate
from countershaft.metrology.stackup import Link
from countershaft.model.fits import Fit, exact_mm
from countershaft.planning.gap_fits import Measured, Needed, end_play, needed_for, preload_by_gap
from countershaft.planning.reach import shown
from countershaft.planning.shelf import Gap, Term
from countershaft.stages.measuring import estimated
from countershaft.units import decimals

__all__ = ["Found", "Read", "Seat", "as_decimal", "find", "link_of", "seats_of", "size_of"]

#: Half of the width that a link of the stack-up stands for, in standard uncertainties: about 95 % lie inside.
COVERAGE = 2.0


@dataclass(frozen=True, slots=True)
class Seat:
    """Where one selective part of a fit goes; `name` stands for it among all places of a job.

    `label` is what the part is called at the bench, `part` its id in the file, `sizes` what is made for it.
    """

    name: str
    label: str
    part: str
    sizes: tuple[Decimal, ...]


@dataclass(frozen=True, slots=True)
class Read:
    """One measured figure of a fit, with its unit and how many digits it is shown with."""

    name: str
    unit: str
    value: Estimate

    @property
    def measured(self) -> Measured:
        """The figure for the planning cores: the mean to the nanometre, exactly, and its standard uncertainty."""
        return Measured(Fraction(f"{self.value.mean:.6f}"), self.value.standard)


@dataclass(frozen=True, slots=True)
class Found:
    """What the readings of a fit come to.

    `needed` is the size that would leave exactly the goal; `gaps` is the fit as it is chosen for, together with all
    others; `links` are the dimensions of the gap without the selective part.
    `fault` says why readings that are there tell no size; then the rest is empty.
    """

    needed: Measured | None = None
    gaps: tuple[Gap, ...] = ()
    working: tuple[str, ...] = ()
    links: tuple[Link, ...] = ()
    read: tuple[Read, ...] = ()
    fault: str = ""


def find(fit: Fit, measured: Trial | Dimensions | None) -> Found:
    """What the readings of a fit come to; readings that cannot be say why."""
    if measured is None:
        return Found()
    try:
        return _from_trial(fit, measured) if isinstance(measured, Trial) else _from_dimensions(fit, measured)
    except OutOfRange as fault:
        return Found(fault=str(fault))


def seats_of(fit: Fit) -> tuple[Seat, ...]:
    """Every place of a fit where a selective part goes."""
    return (Seat(fit.id, fit.selective, fit.part, fit.sizes_mm),)


def size_of(fit: Fit, size: Decimal) -> Read:
    """A selective part as a measured figure: what is known of it is the last digit that was typed."""
    digits = max(decimals(size), *(decimals(one) for one in fit.sizes_mm))
    step = Decimal(1).scaleb(-digits)
    return Read(fit.selective, "mm", estimated((size,), "mm", resolution=step, to="mm"))


def as_decimal(value: Fraction) -> Decimal:
    """A figure to the tenth of a micrometre, with two digits behind the point at least and no idle zeros beyond."""
    fine = (Decimal(value.numerator) / Decimal(value.denominator)).quantize(Decimal("0.0001"))
    plain = fine.normalize()
    return plain.quantize(Decimal("0.01")) if decimals(plain) < 2 else plain


def link_of(name: str, value: Measured, *, factor: float = 1.0) -> Link:
    """One dimension of a stack-up, as wide as its measurement leaves it."""
    half = COVERAGE * value.standard
    return Link(name, float(value.value), -half, half, sensitivity=factor, shape="normal", coverage=COVERAGE)


def _from_trial(fit: Fit, body: Trial) -> Found:
    size = size_of(fit, body.size_mm)
    reading = estimated(body.values_mm, "mm", resolution=body.resolution_mm, to="mm", taken=body.taken)
    read = (Read(f"trial {fit.selective}", "mm", size.value), Read("gap with it", "mm", reading))
    trial, gap = (one.measured for one in read)
    goal = Fraction(fit.goal_exact)
    needed = _by_kind(fit, trial, gap, goal)
    return _found(fit, needed, read, [link_of(one.name, one.measured) for one in read])


def _by_kind(fit: Fit, trial: Measured, reading: Measured, goal: Fraction) -> Needed:
    """Play and preload need a reading above zero; a clearance may be read as none."""
    if fit.kind == "end play":
        return end_play(trial, reading, goal=goal)
    if fit.kind == "preload" and goal < 0:
        return preload_by_gap(trial, reading, goal=-goal)
    return needed_for(
        trial.value + reading.value, math.hypot(trial.standard, reading.standard), goal,
        f"needed = in place + clearance − goal = {shown(trial.value)} + {shown(reading.value)}",
    )  # fmt: skip


def _from_dimensions(fit: Fit, body: Dimensions) -> Found:
    read = tuple(
        Read(
            one.name, "mm",
            estimated(body.values_mm[one.name], "mm", resolution=body.resolution_mm, to="mm", taken=body.taken),
        )
        for one in fit.gap
    )  # fmt: skip
    signs = [1 if one.sign == "+" else -1 for one in fit.gap]
    values = [one.measured for one in read]
    total = sum((sign * one.value for sign, one in zip(signs, values, strict=True)), Fraction(0))
    terms = " ".join(
        f"{'+' if sign > 0 else '−'} {one.name} {shown(one.measured.value)}"
        for sign, one in zip(signs, read, strict=True)
    )
    needed = needed_for(
        total, math.hypot(*(one.standard for one in values)), Fraction(fit.goal_exact),
        f"gap without the {fit.selective} = {terms.removeprefix('+ ')} = {shown(total)} mm",
        f"needed = gap − goal = {shown(total)}",
    )  # fmt: skip
    links = [link_of(one.name, one.measured, factor=sign) for sign, one in zip(signs, read, strict=True)]
    return _found(fit, needed, read, links)


def _found(fit: Fit, needed: Needed, read: tuple[Read, ...], links: Sequence[Link]) -> Found:
    gap = Gap(
        fit.id, needed.rest, needed.standard, (Term(fit.id),),
        Fraction(exact_mm(fit.min)), Fraction(exact_mm(fit.max)), needed.goal, fit.suspects,
    )  # fmt: skip
    return Found(Measured(needed.size, needed.standard), (gap,), needed.working, tuple(links), read)
