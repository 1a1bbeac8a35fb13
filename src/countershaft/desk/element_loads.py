"""What every shift element must hold in a gear, against what its pack or band in the file can hold."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from countershaft.desk.train import Question
from countershaft.desk.worked_chart import worked_chart
from countershaft.errors import OutOfRange
from countershaft.mechanics.element_load import BandBrake, ElementLoad, LoadCase, element_loads
from countershaft.mechanics.friction import DiscPack, PressureLaw, self_apply_speed
from countershaft.mechanics.gears import GearLoad
from countershaft.mechanics.statics import Torques
from countershaft.model.bands import Band
from countershaft.model.packs import Pack
from countershaft.model.train import Train
from countershaft.model.transmission import Transmission

__all__ = ["Duty", "Engine", "asked_duties", "chart_duties", "engine_of", "tightest"]

_PER_RPM: Final = 2 * math.pi / 60
_MOST: Final = 1_000_000


@dataclass(frozen=True, slots=True)
class Engine:
    """What drives: torque of the engine [N·m], and the converter's torque ratio where one was typed.

    Without a typed ratio each gear has that of its load cases in the file.
    """

    torque: float
    torque_ratio: float | None = None

    def __post_init__(self) -> None:
        if not 0 < abs(self.torque) <= _MOST:
            raise OutOfRange(
                f"an engine torque of {self.torque:g} N·m makes no sense; type one such as 320, minus on coast."
            )
        if self.torque_ratio is not None and not 0 < self.torque_ratio <= 5:
            raise OutOfRange(
                f"a torque ratio of {self.torque_ratio:g} is no converter's; it is 1 locked and about 2 at stall."
            )


@dataclass(frozen=True, slots=True)
class Duty:
    """One element in one gear.

    `case` says under what, `required` [N·m] is None where the share of the element is not determined.
    `new` is with new linings, whose pressure is even, or a band; `run_in` with linings whose wear is even, None for a
    band; `unbalanced` is `new` without its balance chamber, where it has one and turns.  `because` says why it is not
    computed what it holds; empty where it is.  `share` is the working of `required`, `remarks` say what was counted and
    what needs care, `notes` what is good to know.
    """

    gear: str
    element: str
    case: str
    required: float | None
    new: ElementLoad | None
    run_in: ElementLoad | None
    unbalanced: ElementLoad | None
    because: str
    share: tuple[str, ...]
    remarks: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def factor(self) -> float | None:
        """Capacity over what it must hold, the smaller of new and run in; None where it is not known."""
        factors = [
            one.factor for one in (self.new, self.run_in) if one is not None and one.factor is not None
        ]
        return min(factors, default=None)


def engine_of(transmission: Transmission) -> Engine | None:
    """The engine as the file gives it; None where it gives no torque."""
    torque = transmission.about.engine_torque
    return Engine(torque.to("N·m")) if torque is not None else None


def asked_duties(transmission: Transmission, question: Question, load: GearLoad) -> tuple[Duty, ...]:
    """Every element of the gear that is asked, under the torque, speed and pressure that were typed.

    Where `load` has losses, so have the shares of the elements.
    """
    torque = float(question.input_torque)
    said = f"{torque:g} N·m and {question.rpm:g} rpm at the input".replace("-", "−")
    pressure = None if question.pressure is None else question.pressure * 1e3
    if question.pressure is not None:
        said += f", {question.pressure:g} kPa at every element"
    case = LoadCase(question.gear, torque)
    return _gear_duties(transmission, load, case, said=said, rpm=question.rpm, pressure=pressure)


def _gear_duties(
    transmission: Transmission,
    load: GearLoad,
    case: LoadCase,
    *,
    said: str,
    rpm: float = 0.0,
    pressure: float | None = None,
) -> tuple[Duty, ...]:
    """Every element that carries torque in a solved gear; `pressure` [Pa] holds for all, else each its own."""
    torques: Torques[Fraction] | Torques[float] | None = load.load.torques if load.load else None
    if load.load and load.load.with_losses:
        torques = load.load.with_losses.torques
    train = transmission.train
    if torques is None or train is None:
        return ()
    shares = {name: float(torque / load.input_torque) for name, torque in torques.elements.items() if torque}
    pressures = _pressures(transmission) | dict(case.pressures or {})
    if pressure is not None:
        pressures = dict.fromkeys(shares, pressure)
    speeds = {name: abs(_drum_speed(train, load, name)) * rpm * _PER_RPM for name in shares}
    asked = replace(case, pressures=pressures, speeds=speeds)
    known = [_duty(transmission, asked, name, share, said) for name, share in shares.items()]
    shared = [
        Duty(
            case.gear, name, said, None, None, None, None,
            "others hold the same members; how they share the load is for their stiffness to say",
            (), (), (),
        )
        for name in load.state.applied
        if name in torques.indeterminate
    ]  # fmt: skip
    return (*known, *shared)


def chart_duties(transmission: Transmission, engine: Engine) -> tuple[Duty, ...]:
    """Every element in every gear under the file's load cases, or all under the torque ratio that was typed."""
    train = transmission.train
    if train is None:
        return ()
    worked = worked_chart(train)
    found: list[Duty] = []
    for gear, load in (worked.drive if engine.torque > 0 else worked.coast).items():
        for case, said in _cases(transmission, gear, engine):
            found += _gear_duties(transmission, load, case, said=said)
    return tuple(found)


def tightest(duties: tuple[Duty, ...]) -> tuple[Duty, ...]:
    """For each element whose factor is known, the gear in which it is smallest."""
    worst: dict[str, Duty] = {}
    for duty in duties:
        before = worst.get(duty.element)
        if duty.factor is not None and (before is None or duty.factor < (before.factor or math.inf)):
            worst[duty.element] = duty
    return tuple(worst.values())


def _cases(transmission: Transmission, gear: str, engine: Engine) -> Iterator[tuple[LoadCase, str]]:
    """The cases of a gear, each with the words that say where it comes from; a stall of the file is none on coast."""
    if engine.torque_ratio is not None:
        yield (
            LoadCase(gear, engine.torque, engine.torque_ratio),
            f"torque ratio {engine.torque_ratio:g}, typed",
        )
        return
    if engine.torque < 0:
        yield LoadCase(gear, engine.torque), "on coast, torque ratio 1"
        return
    own = [case for case in transmission.load_cases if case.gear == gear]
    for one in own:
        pressures = {name: pressure.to("kPa") * 1e3 for name, pressure in one.pressures.items()}
        words = f"torque ratio {float(one.torque_ratio):g}" + (f", {one.note}" if one.note else "")
        yield LoadCase(gear, engine.torque, float(one.torque_ratio), pressures), words
    if not own:
        yield LoadCase(gear, engine.torque), "torque ratio 1, since the file has no load case of this gear"


def _pressures(transmission: Transmission) -> dict[str, float]:
    records: tuple[Pack | Band, ...] = (*transmission.packs, *transmission.bands)
    return {
        one.element: one.full_pressure.to("kPa") * 1e3 for one in records if one.full_pressure is not None
    }


def _drum_speed(train: Train, load: GearLoad, name: str) -> float:
    """Speed per input turn at which the fluid of an applied clutch turns; both of its members turn alike."""
    members = train.network().held(name).members
    return float(load.state.speeds.get(members[0], 0)) if len(members) > 1 else 0.0


def _duty(transmission: Transmission, case: LoadCase, name: str, share: float, said: str) -> Duty:
    def loaded(what: DiscPack | BandBrake | None) -> ElementLoad:
        held: Mapping[str, DiscPack | BandBrake] = {} if what is None else {name: what}
        return element_loads(case, {name: share}, held)[0]

    pack = next((one for one in transmission.packs if one.element == name), None)
    band = next((one for one in transmission.bands if one.element == name), None)
    record = pack or band
    even = record.mechanical() if record is not None else None
    worn = pack.mechanical(PressureLaw.UNIFORM_WEAR) if pack is not None else None
    new = loaded(even)
    turns = isinstance(even, DiscPack) and even.balance is not None and (case.speeds or {}).get(name)
    return Duty(
        gear=case.gear,
        element=name,
        case=said,
        required=new.required,
        new=new if even is not None else None,
        run_in=loaded(worn) if worn is not None else None,
        unbalanced=loaded(replace(even, balance=None)) if isinstance(even, DiscPack) and turns else None,
        because=_because(transmission, name, record, new),
        share=new.working[:1],
        remarks=tuple(_remarks(record, even, (case.speeds or {}).get(name, 0.0))),
        notes=_notes(even),
    )


def _because(transmission: Transmission, name: str, record: Pack | Band | None, load: ElementLoad) -> str:
    """Why it is not computed what an element holds."""
    if record is None:
        element = transmission.train.elements.get(name.partition(":")[0]) if transmission.train else None
        kind = element.kind if element is not None else "clutch"
        if kind.startswith("one_way"):
            return "the file gives no torque of a one-way clutch; ask the maker's service information"
        if kind == "sleeve":
            return "a sleeve holds by its teeth, of which the file says nothing"
        return f"the file has no {'band' if kind == 'band' else 'pack'} of {name}"
    if record.missing:
        what = "band" if isinstance(record, Band) else "pack"
        return f"the {what} of {name} in the file lacks {', '.join(record.missing)}"
    if load.pressure is None:
        return "the file gives no full_pressure; type a pressure to hear what it holds"
    return ""


def _remarks(record: Pack | Band | None, what: DiscPack | BandBrake | None, speed: float) -> Iterator[str]:
    """What was counted, what was not, and a clutch that its fluid clamps unasked."""
    if record is None or what is None:
        return
    if record.return_spring is None:
        yield "The file gives no return spring; it is counted as nothing, so that less may be held."
    if isinstance(what, BandBrake) and what.energised_by is None:
        yield "The file does not say which way the drum helps the servo; the weaker way is counted."
    if isinstance(what, DiscPack) and 0 < (self_apply_speed(what) or 0) <= speed:
        yield "At this speed the fluid alone clamps it, fed or not, if nothing empties its chamber."


def _notes(what: DiscPack | BandBrake | None) -> tuple[str, ...]:
    """At which speed the fluid begins to clamp a clutch that is not fed."""
    alone = self_apply_speed(what) if isinstance(what, DiscPack) else None
    if alone is None:
        return ()
    return (
        f"not fed, its fluid alone begins to clamp it at {alone / _PER_RPM:.0f} rpm of its drum, if nothing empties it",
    )
