"""Straightness of a measured line: by least squares and by the exact minimum zone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from countershaft.errors import OutOfRange
from countershaft.metrology.clock_face import LengthUnit
from countershaft.metrology.hull import Coordinate, hull_polygon, minus, whole_numbers
from countershaft.metrology.zone import Zone, least_squares_normal, zone_across

__all__ = ["Straightness", "straightness"]


@dataclass(frozen=True, slots=True)
class Straightness:
    """One measured line judged both ways, in the unit of the readings.

    The minimum zone is the deviation that a limit on a drawing means; least squares is the steadier figure.
    """

    least_squares: Zone
    minimum: Zone

    def working(self, unit: LengthUnit = "mm") -> tuple[str, ...]:
        """Both zones with their parts, line by line."""
        return (
            *(f"minimum zone: {line}" for line in self.minimum.working(unit)),
            *(f"least squares: {line}" for line in self.least_squares.working(unit)),
        )


def straightness(positions: Sequence[Coordinate], heights: Sequence[Coordinate]) -> Straightness:
    """Straightness deviation of a line from heights at positions along it.

    Parameters
    ----------
    positions : Sequence[Coordinate] (n,) [m]
        Where along the line; at least two different ones.
    heights : Sequence[Coordinate] (n,) [m]
        The readings there, above any straight reference.

    Returns
    -------
    Straightness [m]
        Least squares and minimum zone.

    Raises
    ------
    OutOfRange
        Fewer than three readings, a list that is too short, a value that is not finite, or one place only.

    Notes
    -----
    The narrowest pair of parallel lines touches the hull along one of its edges, so trying every edge is the whole
    proof; the widths are compared as fractions.  A reading that is off by u moves the width by at most
    2u, and readings that scatter with u on their own by at most √2 u.

    References
    ----------
    ISO 12780-1:2011, 3.2 (minimum zone and least squares reference lines), ISO 1101:2017 (straightness);
    M. E. Houle and G. T. Toussaint, Computing the width of a set, IEEE PAMI 10 (1988) 761-765.

    Examples
    --------
    >>> found = straightness([0, 100, 200], [0, 0.02, 0])
    >>> round(found.minimum.width, 6), round(found.least_squares.width, 6)
    (0.02, 0.02)
    """
    if len(positions) != len(heights):
        raise OutOfRange(
            f"{len(positions)} positions but {len(heights)} heights are given; each place needs both."
        )
    if len(positions) < 3:
        raise OutOfRange(f"{len(positions)} readings are given; straightness needs at least three.")
    points = list(zip(positions, heights, strict=True))
    whole, factor = whole_numbers(points)
    if len({point[0] for point in whole}) == 1:
        raise OutOfRange("all readings stand at one place; give their positions along the line.")
    corners = hull_polygon(whole)
    outline = [whole[place] for place in corners]
    edges = zip(outline, outline[1:] + outline[:1], strict=True)
    narrowest = min(
        (_square_to(a, b) for a, b in edges),
        key=lambda direction: zone_across(outline, factor, direction).squared,
    )
    fitted, _ = whole_numbers([least_squares_normal(points)])
    least = zone_across(whole, factor, fitted[0])
    return Straightness(least, zone_across(whole, factor, narrowest))


def _square_to(a: tuple[int, ...], b: tuple[int, ...]) -> tuple[int, int]:
    along = minus(b, a)
    return -along[1], along[0]
