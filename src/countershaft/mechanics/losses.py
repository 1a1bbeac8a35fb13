"""How much power a mesh or a set passes on, seen from its carrier.

Two models: mesh by mesh, where each tooth mesh has its efficiency; and the coarser one of published tables, where
each set has one efficiency from sun to ring with the carrier standing still.  An efficiency is kept as the fraction
that was written, 0.98 as 49/50, so that the direction in which power rolls is decided and not guessed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from math import sqrt

from countershaft.errors import OutOfRange, TrainError
from countershaft.mechanics.meshes import Mesh, MeshKind, Star

__all__ = ["Charge", "Efficiency", "Losses", "MeshLosses", "SetLosses"]

Efficiency = Fraction | float | str

#: A mesh with its efficiency.
Charge = tuple[Mesh, Fraction]


@dataclass(frozen=True)
class MeshLosses:
    """Efficiency of each tooth mesh in its carrier's frame; a kind that is not given is as `external`.

    `special` gives single meshes their own, by their id.
    A set known by its ratios only is charged with one external and one internal mesh between any member and `b`.
    """

    external: Efficiency
    internal: Efficiency | None = None
    chain: Efficiency | None = None
    bevel: Efficiency | None = None
    special: Mapping[str, Efficiency] = field(default_factory=dict)

    def __post_init__(self) -> None:
        given = {kind.value: getattr(self, kind.value, None) for kind in MeshKind}
        for name, value in {**given, **self.special}.items():
            if value is not None:
                _exact(name, value)

    def mesh(self, mesh: Mesh) -> Fraction:
        """Efficiency of a mesh."""
        if mesh.id in self.special:
            return _exact(mesh.id, self.special[mesh.id])
        return self._kinds[mesh.kind]

    @cached_property
    def _kinds(self) -> dict[MeshKind, Fraction]:
        external = _exact("external", self.external)
        found = dict.fromkeys(MeshKind, external)
        for kind in (MeshKind.INTERNAL, MeshKind.CHAIN, MeshKind.BEVEL):
            given = getattr(self, kind.value)
            found[kind] = external if given is None else _exact(kind.value, given)
        found[MeshKind.UNKNOWN] = external * found[MeshKind.INTERNAL]
        return found

    def charges(self, star: Star) -> tuple[tuple[Charge, ...], ...]:
        """For each port of a star, the meshes from the member to the hub, each with its efficiency."""
        return tuple(tuple((mesh, self.mesh(mesh)) for mesh in port.meshes) for port in star.ports)


@dataclass(frozen=True, slots=True)
class SetLosses:
    """Efficiency of each set from sun to ring at standing carrier, and of each pair; `special` by their ids.

    Of a set with more than two wheels around the carrier, `special` may also name one by "id member".
    A Ravigneaux set counts as two sets that share carrier and ring, which charges the mesh of long pinion and ring
    twice; so published tables have it, and the meshes themselves lose less.
    Of a set with three or more wheels on one planet shaft, any two wheels have the given efficiency between them.
    """

    efficiency: Efficiency
    pair: Efficiency | None = None
    special: Mapping[str, Efficiency] = field(default_factory=dict)

    def __post_init__(self) -> None:
        _exact("efficiency", self.efficiency)
        if self.pair is not None:
            _exact("pair", self.pair)
        for name, value in self.special.items():
            _exact(name, value)

    def charges(self, star: Star) -> tuple[tuple[Charge, ...], ...]:
        """For each port of a star, the set as if it were one mesh, with its efficiency."""
        if not star.whole:
            raise TrainError(
                f"{star.origin}: a planet of this set is a member too, so no single efficiency says what the set "
                "loses; give the efficiency of the meshes instead."
            )
        usual = self.efficiency if star.carrier is not None or self.pair is None else self.pair
        usual = self.special.get(star.origin, usual)
        centre = star.ports[star.reference or 0].member
        found: list[tuple[Charge, ...]] = []
        for place, port in enumerate(star.ports):
            name = star.origin if len(star.ports) == 2 else f"{star.origin} {port.member}"
            value = _exact(name, self.special.get(name, usual))
            if star.reference is None:
                value = Fraction(sqrt(value)).limit_denominator(10**6)
            mesh = Mesh(name, star.origin, MeshKind.UNKNOWN, port.member, centre)
            found.append(() if place == star.reference else ((mesh, value),))
        return tuple(found)


Losses = MeshLosses | SetLosses


def _exact(name: str, value: Efficiency) -> Fraction:
    try:
        found = value if isinstance(value, Fraction) else Fraction(str(value))
    except (ValueError, ZeroDivisionError) as cause:
        raise OutOfRange(f"efficiency of {name} is {value!r}; expected a number such as 0.98.") from cause
    if not 0 < found.numerator <= found.denominator:
        raise OutOfRange(f"efficiency of {name} is {value}; expected above 0 and at most 1, such as 0.98.")
    return found
