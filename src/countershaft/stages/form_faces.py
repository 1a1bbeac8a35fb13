"""Forms of faces and edges from their readings: flatness three ways, and straightness."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import lru_cache
from operator import mul
from typing import Final

from countershaft.metrology.flatness import Flatness, flatness
from countershaft.metrology.form_budget import moved_by_each
from countershaft.metrology.straightedge import StraightedgeFlatness, straightedge_flatness
from countershaft.metrology.straightness import Straightness, straightness
from countershaft.metrology.zone import Zone
from countershaft.model.face_forms import GridForm, PlateForm, StraightedgeForm, StraightnessForm
from countershaft.model.forms import AnyForm
from countershaft.stages.form_found import Found, Height, Measured

__all__ = ["face_found"]

#: A zone moves by at most this much per standard uncertainty of a reading: the places that touch on one side share
#: the weight one, and so do those on the other (metrology/flatness.py).
_ZONE: Final = math.sqrt(2)
_WHY: Final = (
    "u of a zone is at most √2 · u of a reading: the places that touch on each side share the weight 1"
)

Places = tuple[tuple[str, tuple[float, float]], ...]
Points = tuple[tuple[float, float, float], ...]


def face_found(form: AnyForm, measured: Measured) -> Found | None:
    """The form of a face or an edge; None for any other kind."""
    if isinstance(form, StraightedgeForm):
        return _straightedge(form, measured)
    if isinstance(form, GridForm | PlateForm):
        return _face(form, measured)
    return _line(form, measured) if isinstance(form, StraightnessForm) else None


def _face(form: GridForm | PlateForm, measured: Measured) -> Found:
    where = form.where
    names = list(where)
    both = _flatness(tuple((*where[name], measured.means[name]) for name in names))
    beside = [("least squares", measured.words(both.least_squares.width, less=1))]
    lines = []
    if isinstance(form, PlateForm):
        mean = {
            edge: math.fsum(measured.means[name] for name in names if name.startswith(edge)) / len(form.clock)
            for edge in ("inner", "outer")
        }
        cone = mean["inner"] - mean["outer"]
        inner, outer = (measured.words(mean[edge]) for edge in ("inner", "outer"))
        lines = [
            f"cone = mean of the inner edge {inner} less mean of the outer one {outer} = {measured.words(cone)}"
        ]
        beside.append(("cone", measured.words(cone, less=1)))
    return _of_zones(both, where, measured, lines, beside)


def _of_zones(
    both: Flatness | Straightness,
    where: Mapping[str, tuple[float, float]],
    measured: Measured,
    lines: Sequence[str],
    beside: Sequence[tuple[str, str]],
    what: str = "flatness",
) -> Found:
    minimum, least, names = both.minimum, both.least_squares, list(where)
    return Found(
        value=minimum.width,
        slope=_ZONE,
        what=f"{what}, minimum zone (ISO 1101)",
        lines=(
            *lines,
            *_zone_lines("minimum zone, which is judged (ISO 1101)", minimum, names, measured),
            *_zone_lines("least squares, beside it", least, names, measured),
            _WHY,
        ),
        beside=tuple(beside),
        heights=tuple(
            Height(name, *where[name], measured.told(off))
            for name, off in zip(names, minimum.deviations, strict=True)
        ),
        highest=tuple(names[place] for place in minimum.upper),
        lowest=tuple(names[place] for place in minimum.lower),
    )


def _zone_lines(title: str, zone: Zone, names: Sequence[str], measured: Measured) -> tuple[str, ...]:
    high, low, width = (measured.words(part) for part in (zone.peak, zone.valley, zone.width))
    above, below = (", ".join(names[place] for place in side) for side in (zone.upper, zone.lower))
    return (
        f"{title}: highest above + lowest below the mean = {high} + {low} = {width}",
        f"it touches above at {above}, below at {below}",
    )


def _straightedge(form: StraightedgeForm, measured: Measured) -> Found:
    where = form.where
    cells = [[f"{number} {name}" for name in line] for number, line in enumerate(form.lines, start=1)]
    found, slope = _tied(form, [measured.means[cell] for row in cells for cell in row], measured.standard)
    assert found.face is not None, "the form was refused where its lines do not tie the face together"
    straight = [
        f"line {number}: straightness {measured.words(one.minimum.width)}"
        for number, one in enumerate(found.lines, start=1)
        if one is not None
    ]
    tied = ", ".join(f"{name} {measured.words(height)}" for name, height in found.heights)
    zones = _of_zones(
        found.face,
        {name: where[name] for name, _ in found.heights},
        measured,
        [
            *straight,
            f"heights of the places, all lines tied by least squares: {tied}",
            f"largest disagreement of a gap with the tied face {measured.words(found.misfit)}",
        ],
        [
            ("least squares", measured.words(found.face.least_squares.width, less=1)),
            ("largest gap", measured.words(found.largest_gap, less=1)),
        ],
    )
    why = f"each gap moved by its u, one after the other, moves the zone by {slope:.2f} · u together"
    return Found(
        value=zones.value,
        slope=slope,
        what=zones.what,
        lines=(*zones.lines[:-1], why),
        beside=zones.beside,
        heights=zones.heights,
        highest=zones.highest,
        lowest=zones.lowest,
        misfit=found.misfit,
    )


def _tied(
    form: StraightedgeForm, gaps: Sequence[float], standard: float
) -> tuple[StraightedgeFlatness, float]:
    """The tied face, and how its zone moves with the gaps; the heights are linear in them."""
    shape = (tuple(form.where.items()), form.lines)
    found = _edges(*shape, tuple(gaps))
    where = [form.where[name] for name, _ in found.heights]
    lifts = _lifts(*shape)

    def width(row: Sequence[float]) -> float:
        heights = [math.fsum(map(mul, row, lift)) for lift in lifts]
        return flatness([(*spot, height) for spot, height in zip(where, heights, strict=True)]).minimum.width

    return found, moved_by_each(width, gaps, standard)


@lru_cache(maxsize=64)
def _edges(
    places: Places, lines: tuple[tuple[str, ...], ...], gaps: tuple[float, ...]
) -> StraightedgeFlatness:
    rest = iter(gaps)
    return straightedge_flatness(dict(places), [{name: next(rest) for name in line} for line in lines])


@lru_cache(maxsize=64)
def _lifts(places: Places, lines: tuple[tuple[str, ...], ...]) -> tuple[tuple[float, ...], ...]:
    """How much each place rises for each gap that grows by one."""
    count = sum(map(len, lines))
    columns = [
        [
            height
            for _, height in _edges(places, lines, tuple(float(at == gap) for at in range(count))).heights
        ]
        for gap in range(count)
    ]
    return tuple(zip(*columns, strict=True))


@lru_cache(maxsize=64)
def _flatness(points: Points) -> Flatness:
    return flatness(points)


def _line(form: StraightnessForm, measured: Measured) -> Found:
    names = [spot.name for spot in form.spots]
    places = [form.where[name][0] for name in names]
    both = straightness(places, [measured.means[name] for name in names])
    beside = [("least squares", measured.words(both.least_squares.width, less=1))]
    return _of_zones(both, form.where, measured, (), beside, what="straightness")
