"""From the readings of a fit to the size that it needs: value, uncertainty, working, and the gap that it sets."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from countershaft.job.entry import Dimensions, Trial
from countershaft.metrology.budget import Contribution
from countershaft.metrology.readings import Estimate, estimate
from countershaft.metrology.stackup import Link
from countershaft.model.fit_methods import ByPushPull, TwoSidedShims
from countershaft.model.fits import Fit, exact_mm
from countershaft.planning.gap_fits import (
    Measured,
    Needed,
    end_play,
    interference,
    needed_for,
    preload_by_gap,
)
from countershaft.planning.reach import shown
from countershaft.planning.shelf import Gap, Term
from countershaft.planning.size_tables import Row, read_table
from countershaft.stages.measuring import estimated
from countershaft.units import decimals

__all__ = [
    "Found",
    "Need",
    "Read",
    "Seat",
    "Window",
    "as_decimal",
    "find_plain",
    "link_of",
    "seats_of",
    "single",
    "windows_of",
]

#: Half of the width that a link of the stack-up stands for, in standard uncertainties: about 95 % lie inside.
COVERAGE = 2.0


@dataclass(frozen=True, slots=True)
class Seat:
    """Where one selective part of a fit goes; `name` stands for it among all places of a job.

    `side` is "left" or "right" of a fit with two shims; `label` is what the part is called at the bench, `part` its id
    in the file, `sizes` what is made for it.
    """

    name: str
    label: str
    part: str
    sizes: tuple[Decimal, ...]
    side: str = ""


@dataclass(frozen=True, slots=True)
class Window:
    """What a gap must lie between, and what is aimed at, exact, in its unit."""

    name: str
    lower: Decimal
    upper: Decimal
    goal: Decimal
    unit: str
    digits: int


@dataclass(frozen=True, slots=True)
class Read:
    """One measured figure of a fit, with its unit."""

    name: str
    unit: str
    value: Estimate

    @property
    def measured(self) -> Measured:
        """The figure for the planning cores: the mean to a millionth, exactly, and its standard uncertainty."""
        return Measured(Fraction(f"{self.value.mean:.6f}"), self.value.standard)


@dataclass(frozen=True, slots=True)
class Need:
    """The size that is needed on one side, or for all plates together; `side` is empty where there is only one."""

    side: str
    label: str
    size: Measured


@dataclass(frozen=True, slots=True)
class Found:
    """What the readings of a fit come to.

    `needs` are the sizes that would leave exactly the goals; `gaps` is the fit as it is chosen for, together with all
    others; `links` are for each gap its dimensions without the selective parts.
    `fault` says why readings that are there tell no size; `beyond` why the maker's table has none for them.
    """

    needs: tuple[Need, ...] = ()
    gaps: tuple[Gap, ...] = ()
    working: tuple[str, ...] = ()
    links: tuple[tuple[Link, ...], ...] = ()
    read: tuple[Read, ...] = ()
    windows: tuple[Window, ...] = ()
    as_found: Estimate | None = None
    fault: str = ""
    beyond: str = ""

    @property
    def needed(self) -> Measured | None:
        """The first of the needed sizes."""
        return self.needs[0].size if self.needs else None


def seats_of(fit: Fit) -> tuple[Seat, ...]:
    """Every place of a fit where a selective part goes."""
    by = fit.by
    if isinstance(by, TwoSidedShims):
        right = Seat(
            f"{fit.id}/right", by.right_selective, by.right_part or fit.part, by.right_sizes_mm or fit.sizes_mm,
            "right",
        )  # fmt: skip
        return Seat(f"{fit.id}/left", fit.selective, fit.part, fit.sizes_mm, "left"), right
    if fit.pieces == 1:
        return (Seat(fit.id, fit.selective, fit.part, fit.sizes_mm),)
    return tuple(
        Seat(f"{fit.id}/{number + 1}", fit.selective, fit.part, fit.sizes_mm) for number in range(fit.pieces)
    )


def windows_of(fit: Fit) -> tuple[Window, ...]:
    """What the fit must lie between: one window, or preload and backlash."""
    low, high = fit.window
    own = Window(fit.name, low, high, fit.goal_exact, fit.unit, fit.digits)
    by = fit.by
    if not isinstance(by, TwoSidedShims):
        return (own,)
    low, high = exact_mm(by.backlash_min), exact_mm(by.backlash_max)
    goal = exact_mm(by.backlash_goal) if by.backlash_goal is not None else (low + high) / 2
    return replace(own, name="preload as a gap"), Window("backlash", low, high, goal, "mm", fit.digits)


def as_decimal(value: Fraction) -> Decimal:
    """A figure to a ten-thousandth, with two digits behind the point at least and no idle zeros beyond."""
    fine = (Decimal(value.numerator) / Decimal(value.denominator)).quantize(Decimal("0.0001"))
    plain = fine.normalize()
    return plain.quantize(Decimal("0.01")) if decimals(plain) < 2 else plain


def link_of(name: str, value: Measured, *, factor: float = 1.0) -> Link:
    """One dimension of a stack-up, as wide as its measurement leaves it."""
    half = COVERAGE * value.standard
    return Link(name, float(value.value), -half, half, sensitivity=factor, shape="normal", coverage=COVERAGE)


def find_plain(fit: Fit, measured: Trial | Dimensions) -> Found:
    """What a reading with a trial part, or dimensions, come to; raises OutOfRange where they tell no size."""
    return _from_trial(fit, measured) if isinstance(measured, Trial) else _from_dimensions(fit, measured)


def _from_trial(fit: Fit, body: Trial) -> Found:
    size = _size_of(fit, body.size_mm)
    reading = estimated(body.values_mm, "mm", resolution=body.resolution_mm, to="mm", taken=body.taken)
    read = (Read(f"trial {fit.selective}", "mm", size), Read("gap with it", "mm", reading))
    trial, gap = (one.measured for one in read)
    needed = _by_kind(fit, trial, gap)
    found = single(fit, needed, read, [link_of(one.name, one.measured) for one in read])
    if fit.rows:
        found = _by_rows(fit, found, gap)
    return _with_found(fit, found, body, Measured(trial.value + gap.value, needed.standard))


def _by_kind(fit: Fit, trial: Measured, reading: Measured) -> Needed:
    """Play and preload need a reading above zero; a clearance may be read as none."""
    goal = Fraction(fit.goal_exact)
    if fit.kind == "end play":
        return end_play(trial, reading, goal=goal)
    if fit.kind == "preload" and goal < 0:
        by = fit.by
        give = Measured(Fraction(exact_mm(by.give))) if isinstance(by, ByPushPull) and by.give else None
        return preload_by_gap(trial, reading, goal=-goal, give=give)
    return needed_for(
        trial.value + reading.value, (trial.standard**2 + reading.standard**2) ** 0.5, goal,
        f"needed = in place + clearance − goal = {shown(trial.value)} + {shown(reading.value)}",
    )  # fmt: skip


def _with_found(fit: Fit, found: Found, body: Trial, zero: Measured) -> Found:
    """With what the part that was found interfered, where its size was measured."""
    if body.found_mm is None or fit.kind != "preload":
        return found
    size = Read("found", "mm", _size_of(fit, body.found_mm)).measured
    was = interference(size, zero)
    line = (
        f"interference as found = {fit.selective} found − (trial + play) = {shown(size.value)} − {shown(zero.value)} = "
        f"{shown(was.value)} mm, u = {was.standard:.2g} mm"
    )
    others = (Contribution("found part, trial part and reading", was.standard, how="together"),)
    gap = estimate([-float(was.value)], resolution=1e-6, others=others)
    return replace(found, working=(*found.working, line), as_found=gap)


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
    standard = sum(one.standard**2 for one in values) ** 0.5
    needed = needed_for(
        total, standard, Fraction(fit.goal_exact),
        f"gap without the {fit.selective} = {terms.removeprefix('+ ')} = {shown(total)} mm",
        f"needed = gap − goal = {shown(total)}",
    )  # fmt: skip
    links = [link_of(one.name, one.measured, factor=sign) for sign, one in zip(signs, read, strict=True)]
    found = single(fit, needed, read, links)
    return _by_rows(fit, found, Measured(total, standard)) if fit.rows else found


def single(fit: Fit, needed: Needed, read: tuple[Read, ...], links: list[Link]) -> Found:
    """A fit of one gap whose selective part, or plates, close it millimetre for millimetre."""
    low, high = fit.window
    gap = Gap(
        fit.id, needed.rest, needed.standard, tuple(Term(seat.name) for seat in seats_of(fit)),
        Fraction(low), Fraction(high), needed.goal, fit.suspects,
    )  # fmt: skip
    label = fit.selective if fit.pieces == 1 else f"{fit.pieces} × {fit.selective}, together"
    need = Need("", label, Measured(needed.size, needed.standard))
    return Found((need,), (gap,), needed.working, (tuple(links),), read, windows_of(fit))


def _by_rows(fit: Fit, found: Found, reading: Measured) -> Found:
    """What the maker's table says to the reading; it goes before the sum."""
    rows = [
        Row(Fraction(row.low_mm), Fraction(row.high_mm), row.code, Fraction(row.size_mm)) for row in fit.rows
    ]
    told = read_table(rows, reading, suspects=fit.suspects)
    chances = ", ".join(f"{code} with {100 * chance:.0f} %" for code, chance in told.chances)
    lines = (told.why, *((f"rows that it could be: {chances}",) if len(told.chances) > 1 else ()))
    if told.row is None:
        return replace(found, needs=(), gaps=(), links=(), working=lines, beyond=told.why)
    row = told.row
    # The middle of a row is the reading for which its size leaves the goal.
    rest = Fraction(fit.goal_exact) + row.size + reading.value - (row.low + row.high) / 2
    gap = replace(found.gaps[0], rest=rest, standard=reading.standard)
    need = Need("", f"{fit.selective} {row.code}", Measured(row.size, reading.standard))
    size = f"needed = size of {row.code} = {shown(row.size)} mm"
    middle = [link_of("reading, less the middle of its row", Measured(rest, reading.standard))]
    return replace(found, needs=(need,), gaps=(gap,), links=(tuple(middle),), working=(*lines, size))


def _size_of(fit: Fit, size: Decimal) -> Estimate:
    """A selective part as measured: what is known of it is the last digit that was typed."""
    digits = max(decimals(size), *(decimals(one) for one in fit.sizes_mm))
    return estimated((size,), "mm", resolution=Decimal(1).scaleb(-digits), to="mm")
