"""Forms of turned parts from their readings: roundness, diameters, runout, backlash, the bow of a shaft."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import Final, Literal

from countershaft.metrology.backlash import backlash
from countershaft.metrology.budget import Contribution, from_half_width
from countershaft.metrology.clock_face import LengthUnit
from countershaft.metrology.cylinder_form import Ovality, cylinder_form, ovality
from countershaft.metrology.form_budget import simulated_form
from countershaft.metrology.harmonics import Harmonic, Runout, runout
from countershaft.metrology.monte_carlo import Simulated
from countershaft.metrology.roundness import roundness_of_readings
from countershaft.metrology.shaft_bow import shaft_bow
from countershaft.model.forms import AnyForm
from countershaft.model.turned_forms import BacklashForm, BowForm, DiametersForm, RoundnessForm, RunoutForm
from countershaft.stages.form_found import Found, Measured

__all__ = ["turned_found"]

_ZONE: Final = math.sqrt(2)


def turned_found(form: AnyForm, measured: Measured) -> Found | None:
    """The form of a turned part; None for any other kind."""
    if isinstance(form, RoundnessForm):
        return _roundness(form, measured)
    if isinstance(form, RunoutForm):
        return _runout(form, measured)
    if isinstance(form, BacklashForm):
        return _backlash(form, measured)
    if isinstance(form, DiametersForm):
        return _diameters(form, measured)
    return _bow(form, measured) if isinstance(form, BowForm) else None


def _spoken(measured: Measured) -> LengthUnit:
    return "in" if measured.unit in ("in", "thou") else "mm"


def _wave(angles: Sequence[float], readings: Sequence[float], standard: float) -> Runout:
    return runout(angles, readings, standard=standard)


def _roundness(form: RoundnessForm, measured: Measured) -> Found:
    labels = [spot.label for spot in form.spots]
    readings = [measured.means[spot.name] for spot in form.spots]
    both = roundness_of_readings(form.angles, readings, radius=form.radius.to("m"))
    lines = []
    for title, ring in (
        ("minimum zone, which is judged (ISO 1101)", both.minimum),
        ("least squares, beside it", both.least_squares),
    ):
        out, in_ = max(ring.deviations), -min(ring.deviations)
        parts = f"{measured.words(out)} + {measured.words(in_)}"
        x, y = (measured.words(part) for part in ring.centre)
        outside, inside = (", ".join(labels[place] for place in side) for side in (ring.outer, ring.inner))
        lines += [
            f"{title}: farthest outside + inside the mean circle = {parts} = {measured.words(ring.width)}",
            f"centre {y} toward 3 o'clock, {x} toward 12 o'clock",
            f"it touches outside at {outside}, inside at {inside}",
        ]
    return Found(
        value=both.minimum.width,
        slope=_ZONE,
        what="roundness, minimum zone (ISO 1101)",
        lines=(*lines, "u of a zone is at most about √2 · u of a reading"),
        beside=(("least squares", measured.words(both.least_squares.width, less=1)),),
        wave=_wave(form.angles, readings, measured.standard),
    )


def _runout(form: RunoutForm, measured: Measured) -> Found:
    readings = tuple(measured.means[spot.name] for spot in form.spots)
    standard = measured.standard
    wave = runout(form.angles, readings, standard=standard, highest=form.lobes)
    centre = wave.eccentricity
    lines = [*wave.working(_spoken(measured)), *_lobe_words(wave)]
    beside = {
        "total": ("total indicator reading", measured.words(wave.total, less=1)),
        "eccentricity": ("eccentricity", measured.words(centre.amplitude, less=1)),
        "form": ("without the eccentricity", measured.words(wave.form, less=1)),
    }
    what = beside[form.judged][0]
    rest = tuple(words for key, words in beside.items() if key != form.judged)
    if form.judged == "total":
        drawn = _drawn_range(readings, standard)
        return Found(wave.total, _ZONE, what, tuple(lines), rest, simulated=drawn, wave=wave)
    if form.judged == "form":
        lines.append("u of a largest less a smallest is at most √2 · u of a reading")
        return Found(wave.form, _ZONE, what, tuple(lines), rest, wave=wave)
    drawn = _drawn_arrows(((centre.cosine, centre.sine, centre.standard),), 1.0)
    return Found(
        centre.amplitude, centre.standard / standard, what, tuple(lines), rest, simulated=drawn, wave=wave
    )


def _lobe_words(wave: Runout) -> tuple[str, ...]:
    told = (len(wave.angles) - 1) // 2
    if told < 2:
        return (
            f"{len(wave.angles)} places tell the eccentricity only; read at 5 or more to tell an oval from it",
        )
    return ()


@lru_cache(maxsize=128)
def _drawn_range(readings: tuple[float, ...], standard: float) -> Simulated:
    return simulated_form(lambda *row: max(row) - min(row), [(one, standard) for one in readings])


@lru_cache(maxsize=128)
def _drawn_arrows(arrows: tuple[tuple[float, float, float], ...], factor: float) -> Simulated:
    """The longest of some arrows, each with its two parts and their standard uncertainty."""

    def longest(*parts: float) -> float:
        return factor * max(math.hypot(x, y) for x, y in zip(parts[::2], parts[1::2], strict=True))

    return simulated_form(longest, [(part, off) for x, y, off in arrows for part in (x, y)])


def _backlash(form: BacklashForm, measured: Measured) -> Found:
    readings = [measured.means[spot.name] for spot in form.spots]
    within = form.probe_radius_within
    probe = form.probe_radius.to("m")
    off = 0.0 if within is None else from_half_width("probe radius", within.to("m")).standard
    pair = backlash(
        readings,
        pitch_radius=form.pitch_radius.to("m"),
        probe_radius=probe,
        pressure_angle=math.radians(float(form.pressure_angle_deg)),
        helix_angle=math.radians(float(form.helix_angle_deg)),
        probe_tilt=math.radians(float(form.probe_tilt_deg)),
    )
    lever = math.cos(math.radians(float(form.probe_tilt_deg))) * form.pitch_radius.to("m") / probe
    flank = math.cos(math.radians(float(form.pressure_angle_deg)))
    flank *= math.cos(math.radians(float(form.helix_angle_deg)))
    tooth = flank if form.along == "normal" else 1.0
    mean, least, most = pair.circumferential * tooth, pair.least * tooth, pair.most * tooth
    value, which = (mean, "mean of all places") if form.judged == "mean" else _worst(least, most, measured)
    others = (Contribution("probe radius", off, value / probe),) if off else ()
    along = "along the pitch circle" if form.along == "pitch circle" else "square to the flanks"
    ends = ", ".join(
        f"{name} {measured.words(size)}"
        for name, size in (("tightest place", least), ("mean", mean), ("loosest place", most))
    )
    lines = (
        f"lever = cos(tilt) · r_pitch / r_probe = {lever:.4f}",
        pair.working,
        f"{along}: {ends}",
        f"judged: the {which}, {measured.words(value)}",
    )
    return Found(
        value=value,
        slope=lever * tooth,  # the instrument's error moves all places alike, so their mean has it whole
        what=f"backlash {along}, {which}",
        lines=lines,
        beside=(
            ("mean", measured.words(mean, less=1)),
            ("free turn", f"{math.degrees(pair.angle) * 60:.1f}′"),
        ),
        others=others,
    )


def _worst(least: float, most: float, measured: Measured) -> tuple[float, str]:
    """The place that lies nearest to its limit, or farthest beyond it."""
    below = math.inf if measured.lower is None else least - measured.lower
    above = math.inf if measured.upper is None else measured.upper - most
    return (most, "loosest place") if above < below else (least, "tightest place")


def _diameters(form: DiametersForm, measured: Measured) -> Found:
    ways = tuple(math.radians(float(way)) for way in form.directions_deg)
    rows = tuple(
        tuple(measured.means[spot.name] - measured.zero_offset for spot in row.spots)
        for row in form.place_rows
    )
    at = [section.to("m") for section in form.sections]
    lines: tuple[str, ...] = ()
    beside: list[tuple[str, str]] = []
    rounds = [ovality(ways, row, standard=measured.standard) for row in rows]
    worst = max(rounds, key=_oval)
    taper, slope = 0.0, 1.0
    if len(rows) > 1:
        sections = {place: list(zip(ways, row, strict=True)) for place, row in zip(at, rows, strict=True)}
        whole = cylinder_form(sections, standard=measured.standard)
        lines = whole.working(_spoken(measured))
        taper, slope = whole.taper, whole.taper_standard / measured.standard
        beside.append(("taper", measured.words(abs(taper), less=1)))
        if whole.barrel is not None:
            beside.append(("barrel + or waist −", measured.words(whole.barrel, less=1)))
    every = [size for row in rows for size in row]
    beside += [
        ("worst ovality", measured.words(_oval(worst), less=1)),
        ("smallest", measured.words(min(every), less=1)),
        ("largest", measured.words(max(every), less=1)),
    ]
    fitted = [measured.words(one.fitted) for one in rounds if one.fitted is not None]
    lines = (
        *lines,
        *((f"ovality of the fitted ellipse, section by section: {', '.join(fitted)}",) if fitted else ()),
    )
    return _of_diameters(form.judged, rows, ways, rounds, (taper, slope), measured, (lines, tuple(beside)))


def _of_diameters(
    judged: Literal["ovality", "taper", "smallest", "largest"],
    rows: tuple[tuple[float, ...], ...],
    ways: tuple[float, ...],
    rounds: Sequence[Ovality],
    along: tuple[float, float],
    measured: Measured,
    told: tuple[tuple[str, ...], tuple[tuple[str, str], ...]],
) -> Found:
    lines, beside = told
    standard = measured.standard
    if judged == "taper":
        taper, slope = along
        drawn = _drawn_size(taper, slope * standard)
        rest = tuple(one for one in beside if one[0] != "taper")
        return Found(abs(taper), slope, "taper over the measured length", lines, rest, simulated=drawn)
    if judged == "ovality":
        worst = max(rounds, key=_oval)
        slope = max(_ZONE, worst.standard / standard)
        rest = tuple(one for one in beside if one[0] != "worst ovality")
        drawn = _drawn_ovals(rows, ways, standard)
        return Found(_oval(worst), slope, "ovality of the worst section", lines, rest, simulated=drawn)
    every = [size for row in rows for size in row]
    rest = tuple(one for one in beside if one[0] != judged)
    size = min(every) if judged == "smallest" else max(every)
    return Found(size, 1.0, f"{judged} diameter", lines, rest)


def _oval(one: Ovality) -> float:
    return max(one.measured, one.fitted or 0.0)


@lru_cache(maxsize=128)
def _drawn_size(value: float, standard: float) -> Simulated:
    return simulated_form(abs, [(value, standard)])


@lru_cache(maxsize=128)
def _drawn_ovals(rows: tuple[tuple[float, ...], ...], ways: tuple[float, ...], standard: float) -> Simulated:
    """The worst ovality of all sections; an ellipse is linear in its diameters, so its weights are found once."""
    count = len(ways)
    weights: list[tuple[float, float]] = []
    if count > 2:
        for place in range(count):
            one = runout(
                [2 * way for way in ways], [float(place == other) for other in range(count)], highest=1
            )
            weights.append((one.eccentricity.cosine, one.eccentricity.sine))

    def section(row: Sequence[float]) -> float:
        c = math.fsum(weight[0] * size for weight, size in zip(weights, row, strict=False))
        s = math.fsum(weight[1] * size for weight, size in zip(weights, row, strict=False))
        return max(max(row) - min(row), 2 * math.hypot(c, s))

    def worst(*sizes: float) -> float:
        return max(section(sizes[start : start + count]) for start in range(0, len(sizes), count))

    return simulated_form(worst, [(size, standard) for row in rows for size in row])


def _bow(form: BowForm, measured: Measured) -> Found:
    waves: dict[float, Harmonic] = {}
    lines: list[str] = []
    for station, row in zip(form.stations, form.place_rows, strict=True):
        readings = [measured.means[spot.name] for spot in row.spots]
        wave = runout(form.angles, readings, standard=measured.standard).eccentricity
        waves[round(station.to("m"), 9)] = wave
        lines.append(
            f"at {station}: eccentricity {measured.words(wave.amplitude)}, TIR {_tir(readings, measured)}"
        )
    first, last = (round(one.to("m"), 9) for one in form.bearings)
    found = shaft_bow(waves, bearings=(first, last))
    factor = 2.0 if form.judged == "total" else 1.0
    arrows = tuple((bow * math.cos(way), bow * math.sin(way), found.standard) for _, bow, way in found.bows)
    return Found(
        value=factor * found.worst,
        slope=factor * found.standard / measured.standard,
        what="TIR of the bow" if form.judged == "total" else "bow",
        lines=(*lines, *found.working(_spoken(measured))),
        beside=(
            ("bow" if form.judged == "total" else "TIR of the bow",
             measured.words(found.worst if form.judged == "total" else found.total, less=1)),
            ("high side", f"{round(math.degrees(found.high)) % 360}° from 12, at {measured.words(found.worst_at)}"),
        ),
        simulated=_drawn_arrows(arrows, factor),
    )  # fmt: skip


def _tir(readings: Sequence[float], measured: Measured) -> str:
    return measured.words(max(readings) - min(readings))
