"""What a thread is cut into: least strength, shear strength, pressure it bears, modulus; typical values, not limits."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from countershaft.errors import BadInput

__all__ = ["MATERIALS", "TappedMaterial", "tapped_material"]


@dataclass(frozen=True, slots=True)
class TappedMaterial:
    """A material for holes and clamped parts.

    `shear_strength`, `limit_pressure` (under a head) and `modulus` in Pa; `usual_engagement` in diameters;
    `alloy` names the example that the figures belong to, `source` where they come from.
    """

    name: str
    alloy: str
    tensile_strength: float
    shear_strength: float
    limit_pressure: float
    modulus: float
    usual_engagement: float
    source: str


#: One weak, common alloy of each group.  Tensile strength and limiting pressure: VDI 2230 as reproduced on a public
#: page (magnesium partly from memory).  Shear strength: 0.6 of the tensile strength for steel, 1.0 for grey iron
#: (VDI 2230 allows more), 0.7 for aluminium, 0.6 for magnesium (from memory).  Engagement: common practice, no source.
MATERIALS: Final[dict[str, TappedMaterial]] = {
    row.name: row
    for row in (
        TappedMaterial(
            "steel", "S235", 340e6, 204e6, 490e6, 205e9, 1.0, "VDI 2230:2003 (pressure); shear from memory"
        ),
        TappedMaterial(
            "cast iron",
            "GJL-250",
            250e6,
            250e6,
            800e6,
            110e9,
            1.5,
            "VDI 2230:1986 (pressure); shear from memory",
        ),
        TappedMaterial(
            "aluminium",
            "AlSi9Cu3, gravity cast",
            180e6,
            126e6,
            220e6,
            70e9,
            2.0,
            "VDI 2230:2003 (pressure); shear from memory",
        ),
        TappedMaterial(
            "magnesium", "MgAl9, gravity cast", 200e6, 120e6, 140e6, 45e9, 2.5, "VDI 2230:1986, from memory"
        ),
    )
}


def tapped_material(name: str) -> TappedMaterial:
    """Typical values of a material group, for a weak common alloy of it.

    Parameters
    ----------
    name : str
        One of `MATERIALS`.

    Returns
    -------
    TappedMaterial
        Its values.

    Raises
    ------
    BadInput
        The group is not in the table.

    References
    ----------
    VDI 2230, editions of 1986 and 2003, limiting surface pressures.

    Examples
    --------
    >>> tapped_material("aluminium").alloy
    'AlSi9Cu3, gravity cast'
    """
    if name not in MATERIALS:
        raise BadInput(
            f"material {name!r} is not known; known are {', '.join(MATERIALS)}. "
            "Without it neither stripping nor pressure under the head can be told."
        )
    return MATERIALS[name]
