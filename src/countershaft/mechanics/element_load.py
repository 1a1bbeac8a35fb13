"""What each shift element must hold in a gear, against what its pack or band can hold.

The torque of an element per unit of input torque comes from the statics of the train and is handed in, by their
convention: of a brake the external torque on its member, of a clutch what the first member hands to the second.  A
braked drum pushes its band the opposite way, and by that a band energises itself or not.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from countershaft.errors import OutOfRange
from countershaft.mechanics.band import Band, Servo, band_capacity, band_force, servo_force, servo_pressure
from countershaft.mechanics.friction import DiscPack, pack_capacity, pack_pressure

__all__ = ["BandBrake", "ElementLoad", "LoadCase", "element_loads", "self_energised"]


@dataclass(frozen=True, slots=True)
class BandBrake:
    """A band with its servo.

    `energised_by` is the sense, seen as the input turns, in which the drum pushes when it helps the servo; None where
    it is not known, and then the weaker way is counted.
    """

    band: Band
    servo: Servo
    energised_by: Literal["+", "-"] | None = None


@dataclass(frozen=True, slots=True)
class LoadCase:
    """One gear under one torque.

    `torque_ratio` is that of the converter: 1 locked or at the coupling point, its stall ratio at stall.
    `pressures` [Pa] and drum `speeds` [rad/s] are by element; an element that stands in neither is asked for its
    needed pressure only, at standstill.
    """

    gear: str
    engine_torque: float
    torque_ratio: float = 1.0
    pressures: Mapping[str, float] | None = None
    speeds: Mapping[str, float] | None = None

    def __post_init__(self) -> None:
        if self.torque_ratio <= 0:
            raise OutOfRange(
                f"a converter's torque ratio of {self.torque_ratio:g} is not above zero; it is 1 when locked."
            )

    @property
    def input_torque(self) -> float:
        """Torque at the turbine shaft [N·m]."""
        return self.engine_torque * self.torque_ratio


@dataclass(frozen=True, slots=True)
class ElementLoad:
    """One element in one gear.

    `required` [N·m] is signed as the torque per unit of input torque was.  `capacity` [N·m] is at the given pressure,
    `pressure_needed` [Pa] that at which it just holds, `factor` capacity over what is required; each is None where
    the figures for it are not there or nothing is required.
    """

    gear: str
    element: str
    input_torque: float
    required: float
    pressure: float | None
    capacity: float | None
    pressure_needed: float | None
    factor: float | None
    working: tuple[str, ...]

    @property
    def holds(self) -> bool | None:
        """Whether it holds at the given pressure; None where that cannot be said."""
        return None if self.factor is None else self.factor >= 1


def element_loads(
    case: LoadCase, torques: Mapping[str, float], packs: Mapping[str, DiscPack | BandBrake]
) -> tuple[ElementLoad, ...]:
    """Load of every element that carries torque in a gear.

    Parameters
    ----------
    case : LoadCase
        The gear, the engine's torque, the converter, and pressures and drum speeds by element.
    torques : Mapping[str, float] [-]
        Element to its torque per unit of input torque, as the statics of the train give it.
    packs : Mapping[str, DiscPack | BandBrake]
        Element to its pack or band; one-way clutches and sleeves have none.

    Returns
    -------
    tuple[ElementLoad, ...]
        One per element, in the order of the torques.

    Raises
    ------
    OutOfRange
        A pressure is below zero.

    References
    ----------
    Input torque is engine torque times the converter's torque ratio; capacities as in `pack_capacity` and
    `band_capacity`.

    Examples
    --------
    A brake that must hold a third of 172 N·m, at 256 kPa and with a poor lining (invented):

    >>> pack = DiscPack(6, 0.088, 0.068, 0.07, 0.092, 0.069, return_spring=1300)
    >>> case = LoadCase("6", engine_torque=172, pressures={"C": 256e3})
    >>> load = element_loads(case, {"C": -1 / 3}, {"C": pack})[0]
    >>> round(load.required, 1), round(load.capacity, 1), round(load.factor, 2), load.holds
    (-57.3, 55.3, 0.96, False)
    """
    return tuple(_load(case, element, share, packs.get(element)) for element, share in torques.items())


def _load(case: LoadCase, element: str, share: float, pack: DiscPack | BandBrake | None) -> ElementLoad:
    required = share * case.input_torque
    pressure = (case.pressures or {}).get(element)
    speed = (case.speeds or {}).get(element, 0.0)
    line = (
        f"required: {share:.6g} · {case.engine_torque:.6g} N·m · {case.torque_ratio:g} = {required:.6g} N·m"
    )
    lines = [line.replace("-", "−")]
    capacity = needed = factor = None
    if pack is None:
        lines.append(f"{element} has no pack or band here, so what it holds is not known")
    else:
        needed, said = _needed(pack, required, speed)
        lines += said
    if pack is not None and pressure is not None:
        capacity, said = _capacity(pack, required, pressure, speed)
        lines += said
    if capacity is not None and required:
        factor = capacity / abs(required)
        lines.append(f"factor: {capacity:.6g} / {abs(required):.6g} = {factor:.4g}")
    return ElementLoad(
        case.gear,
        element,
        case.input_torque,
        required,
        pressure,
        capacity,
        needed,
        factor,
        tuple(lines),
    )


def _needed(pack: DiscPack | BandBrake, required: float, speed: float) -> tuple[float, list[str]]:
    if isinstance(pack, DiscPack):
        found = pack_pressure(pack, torque=required, speed=speed)
        return found.pressure, list(found.working)
    energised = self_energised(pack, required)
    force = band_force(pack.band, torque=required, energised=energised)
    pressure = servo_pressure(pack.servo, force=force)
    band, servo = pack.band, pack.servo
    ratio, radius = f"{band.tension_ratio:.6g}", f"{1e3 * band.drum_radius:.6g} mm"
    way, over = ("self-energised", f"({ratio} − 1)") if energised else ("de-energised", f"(1 − 1/{ratio})")
    return pressure, [
        f"pull needed, {way}: {abs(required):.6g} N·m / ({over} · {radius}) = {force:.6g} N",
        (
            f"pressure needed: ({force:.6g} / {servo.lever_ratio:g} + {servo.return_spring:.6g} spring) N / "
            f"{1e4 * servo.area:.6g} cm² = {pressure / 1e3:.6g} kPa"
        ),
    ]


def _capacity(
    pack: DiscPack | BandBrake, required: float, pressure: float, speed: float
) -> tuple[float, list[str]]:
    if isinstance(pack, DiscPack):
        found = pack_capacity(pack, pressure=pressure, speed=speed)
        return found.torque, list(found.working)
    pull = servo_force(pack.servo, pressure=pressure)
    if pull <= 0:
        return 0.0, [f"the servo's spring keeps the band off at {pressure / 1e3:.6g} kPa"]
    both = band_capacity(pack.band, force=pull)
    servo = pack.servo
    pulled = (
        f"servo: ({pressure / 1e3:.6g} kPa · {1e4 * servo.area:.6g} cm² − {servo.return_spring:.6g} N spring) · "
        f"{servo.lever_ratio:g} = {pull:.6g} N"
    )
    energised = self_energised(pack, required)
    line = both.working[1] if energised else both.working[2]
    return (both.energised if energised else both.de_energised), [pulled, both.working[0], line]


def self_energised(brake: BandBrake, required: float) -> bool:
    """Whether the load helps the servo; where the sense is not known it is not counted on.

    Parameters
    ----------
    brake : BandBrake
        The band with its servo.
    required : float [N m]
        The torque that holds the drum, positive as the input turns; the drum pushes against it.

    Returns
    -------
    bool
        Whether the band wraps itself tighter.

    Examples
    --------
    >>> from countershaft.mechanics.band import Band, Servo
    >>> brake = BandBrake(Band(0.076, 5.2, 0.12), Servo(0.0034), energised_by="-")
    >>> self_energised(brake, 210.0), self_energised(brake, -72.0)
    (True, False)
    """
    return brake.energised_by is not None and required * (1 if brake.energised_by == "+" else -1) < 0
