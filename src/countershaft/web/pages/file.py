"""One transmission file from cover to cover, each value with its source."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from countershaft.desk.worked_chart import worked_chart
from countershaft.mechanics.states import TrainState
from countershaft.mechanics.working import show_working
from countershaft.model.bands import Band
from countershaft.model.doubts import doubts
from countershaft.model.fasteners import Joint
from countershaft.model.finding import Finding
from countershaft.model.fits import Fit
from countershaft.model.limits import Limit
from countershaft.model.load_cases import LoadCase
from countershaft.model.observed import OrderedPair
from countershaft.model.packs import Pack
from countershaft.model.parts import Part
from countershaft.model.steps import Piece, Step
from countershaft.model.train import Train
from countershaft.model.transmission import Transmission
from countershaft.stages import fastening
from countershaft.web.pages.checks import limit_words
from countershaft.web.pages.file_housing import housing_rows
from countershaft.web.pages.hole_maps import drawn_joint, order_words
from countershaft.web.pages.shown import Caution, Working, decimal, exact, source_words

__all__ = ["FilePage", "file_page"]

Pairs = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class GearRow:
    """A gear of the chart, solved."""

    gear: str
    applied: str
    exact: str
    decimal: str
    result: str
    working: Working


@dataclass(frozen=True, slots=True)
class SpeedRow:
    """Speed of every member per turn of the input, in one gear."""

    gear: str
    speeds: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TrainShown:
    """The gear train: what it consists of, and what the chart makes of it."""

    facts: Pairs
    gears: tuple[GearRow, ...]
    members: tuple[str, ...]
    speeds: tuple[SpeedRow, ...]
    elements: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A titled piece of the file that opens by itself: facts, and a drawing where there is one."""

    title: str
    svg: str
    facts: Pairs


@dataclass(frozen=True, slots=True)
class PartRow:
    """A line of the parts list."""

    part: str
    name: str
    quantity: str
    policy: str
    look: str


@dataclass(frozen=True, slots=True)
class LimitRow:
    """A limit with its source."""

    name: str
    limit: str
    stage: str
    source: str


@dataclass(frozen=True, slots=True)
class StepRow:
    """A step of teardown or build."""

    step: str
    title: str
    needs: str
    pieces: str


#: The sense in which the drum of a band helps its servo, in words.
_SENSE: Final = {
    "+": "where it pushes the way the input turns",
    "-": "where it pushes against the input's way",
    None: "not said: the weaker way is counted",
}


@dataclass(frozen=True, slots=True)
class FilePage:
    """A file as its page shows it; a section that the file has not is empty."""

    name: str
    digest: str
    facts: Pairs
    cautions: tuple[Caution, ...]
    sources: tuple[tuple[str, str, str], ...]
    doubts: tuple[str, ...]
    train: TrainShown | None
    packs: tuple[Sheet, ...]
    bands: tuple[Sheet, ...]
    load_cases: tuple[tuple[str, ...], ...]
    parts: tuple[PartRow, ...]
    joints: tuple[Sheet, ...]
    fits: tuple[Sheet, ...]
    limits: tuple[LimitRow, ...]
    housing: tuple[tuple[str, str, str], ...]
    teardown: tuple[StepRow, ...]
    build: tuple[StepRow, ...]


def file_page(transmission: Transmission, digest: str) -> FilePage:
    """A file as its template reads it."""
    about = transmission.about
    return FilePage(
        name=transmission.name,
        digest=digest[:12],
        facts=_about(transmission),
        cautions=tuple(Caution(one.signal, one.text) for one in about.cautions),
        sources=tuple((key, note.kind.value, note.text) for key, note in about.sources.items()),
        doubts=tuple(_doubt(transmission, finding) for finding in doubts(transmission)),
        train=_train(transmission.train) if transmission.train else None,
        packs=tuple(_pack(transmission, pack) for pack in transmission.packs),
        bands=tuple(_band(transmission, band) for band in transmission.bands),
        load_cases=tuple(_load_case(transmission, case) for case in transmission.load_cases),
        parts=tuple(_part(part) for part in transmission.parts),
        joints=tuple(_joint(transmission, joint) for joint in transmission.fasteners),
        fits=tuple(_fit(transmission, fit) for fit in transmission.fits),
        limits=tuple(_limit(transmission, limit) for limit in transmission.limits),
        housing=housing_rows(transmission),
        teardown=_steps(transmission, "teardown"),
        build=_steps(transmission, "build"),
    )


def _given(*pairs: tuple[str, object]) -> Pairs:
    """The pairs that have something to say."""
    return tuple((label, str(value)) for label, value in pairs if value not in (None, ""))


def _about(transmission: Transmission) -> Pairs:
    about = transmission.about
    return _given(
        ("Code", about.code),
        ("Layout", about.layout),
        ("Mass", about.mass),
        ("Fluid", about.fluid),
        ("Fluid volume", about.fluid_volume),
        ("Engine torque", about.engine_torque),
        ("Stall torque ratio", about.stall_torque_ratio),
        ("Note", about.note),
        *_learned(transmission),
    )


def _learned(transmission: Transmission) -> Pairs:
    """Where the order of removal was learned from teardowns: which, and what people said of it."""
    observed = transmission.observed
    if observed is None:
        return ()

    def pair(one: OrderedPair) -> str:
        first, then = transmission.step(one.before).title, transmission.step(one.after).title
        return f"{first} before {then}{f' ({one.because})' if one.because else ''}"

    return (
        ("Order seen in", f"job{'' if len(observed.teardowns) == 1 else 's'} "
         + ", ".join(one.job for one in observed.teardowns)),
        ("Fixed", "; ".join(pair(one) for one in observed.fixed)),
        ("Loosened", "; ".join(pair(one) for one in observed.loosened)),
    )  # fmt: skip


def _train(train: Train) -> TrainShown:
    states = worked_chart(train).states
    members = tuple(dict.fromkeys(member for state in states.values() for member in state.speeds))
    return TrainShown(
        facts=_given(
            ("Input", train.input),
            ("Output", train.output),
            ("Held to the case", ", ".join(train.grounded)),
            ("Gear sets", "; ".join(_set_words(one.id, one.kind, one.name) for one in train.sets)),
            (
                "Gear pairs",
                "; ".join(
                    f"{one.a} and {one.b}, {one.teeth[0]} : {one.teeth[1]} teeth" for one in train.pairs
                ),
            ),
        ),
        gears=tuple(_gear(train, gear, state) for gear, state in states.items()),
        members=members,
        speeds=tuple(
            SpeedRow(
                gear,
                tuple(decimal(state.speeds[one], 3) if one in state.speeds else "free" for one in members),
            )
            for gear, state in states.items()
            if state.speeds
        ),
        elements=tuple(
            (key, element.name or "", element.kind.replace("_", " "))
            for key, element in train.elements.items()
        ),
    )


def _set_words(key: str, kind: str, name: str | None) -> str:
    return f"{key}: {name or kind.replace('_', ' ')}"


def _gear(train: Train, gear: str, state: TrainState) -> GearRow:
    working = show_working(state)
    return GearRow(
        gear=gear,
        applied=" + ".join(train.chart[gear]) or "nothing",
        exact=exact(state.ratio) if state.ratio is not None else "",
        decimal=decimal(state.ratio) if state.ratio is not None else state.kind.value,
        result="" if state.ratio is not None else working.result,
        working=Working(
            (*working.constraints, *working.speeds, working.result),
            "tooth counts of this file; speeds per turn of the input",
        ),
    )


def _pack(transmission: Transmission, pack: Pack) -> Sheet:
    others = "; ".join(f"{one.name} {one.thickness_mm} mm" for one in pack.others)
    facts = _given(
        ("Friction plates", f"{pack.friction.count} × {pack.friction.thickness_mm} mm"),
        ("Steel plates", f"{pack.steel.count} × {pack.steel.thickness_mm} mm"),
        ("Other plates", others),
        ("Plates together", f"{pack.nominal_stack_mm} mm, without the selective part"),
        ("Lining", _between(pack.lining_od_mm, pack.lining_id_mm)),
        ("Piston", _between(pack.piston_od_mm, pack.piston_id_mm)),
        ("Full pressure", pack.full_pressure),
        ("Return spring", pack.return_spring),
        ("Friction coefficient", pack.friction_coefficient),
        ("Source", _source(transmission, pack.source)),
    )
    return Sheet(pack.name if pack.element in pack.name.split() else f"{pack.element} {pack.name}", "", facts)


def _band(transmission: Transmission, band: Band) -> Sheet:
    facts = _given(
        ("Drum", f"{band.drum_od_mm} mm outside" if band.drum_od_mm is not None else ""),
        ("Wrap", f"{band.wrap_deg}°" if band.wrap_deg is not None else ""),
        ("Friction coefficient", band.friction_coefficient),
        ("Servo piston", _between(band.piston_od_mm, band.piston_id_mm) or _outside(band.piston_od_mm)),
        ("Full pressure", band.full_pressure),
        ("Return spring", band.return_spring),
        ("Lever ratio", band.lever_ratio),
        ("The drum helps the servo", _SENSE[band.energised_by]),
        ("Adjust", band.adjust),
        ("Note", band.note),
        ("Source", _source(transmission, band.source)),
    )
    return Sheet(f"{band.element} {band.name}", "", facts)


def _outside(diameter: object) -> str:
    return f"{diameter} mm" if diameter is not None else ""


def _load_case(transmission: Transmission, case: LoadCase) -> tuple[str, ...]:
    pressures = "; ".join(f"{name} {pressure}" for name, pressure in case.pressures.items())
    return (
        case.gear,
        str(case.torque_ratio),
        pressures or "full pressure",
        case.note or "",
        _source(transmission, case.source),
    )


def _doubt(transmission: Transmission, finding: Finding) -> str:
    """A warning in a sentence or two, with where it lies."""
    expected = f"; expected {finding.expected}" if finding.expected else ""
    got = f", got {finding.got}" if finding.got else ""
    said = f"{finding.message}{expected}{got}".removesuffix(".")
    return f"{_where(transmission, finding)}: {said}. {finding.cure}".strip()


def _where(transmission: Transmission, finding: Finding) -> str:
    """The keys that lead to a place, with the name of each record on the way."""
    words: list[str] = []
    here: Any = transmission
    for step in finding.loc:
        here = here[step] if isinstance(step, int) or isinstance(here, Mapping) else getattr(here, step, None)
        if isinstance(step, str):
            words.append(step)
        else:
            names = (getattr(here, key, None) for key in ("id", "element", "name", "gear"))
            words.append(str(next(filter(None, names), step + 1)))
    return " ".join(words)


def _between(outer: object, inner: object) -> str:
    return f"{outer} mm outside, {inner} mm inside" if outer is not None and inner is not None else ""


def _part(part: Part) -> PartRow:
    return PartRow(part.id, part.name, str(part.quantity), part.policy.value, part.look or "")


def _joint(transmission: Transmission, joint: Joint) -> Sheet:
    facts = _given(
        ("Thread", f"{joint.thread}, {joint.hand}-hand"),
        ("Strength", joint.strength),
        ("Into", joint.into),
        ("Rounds", "; then ".join(stage.words() for stage in joint.stages)),
        ("Order", order_words(joint, fastening.order_of(None, joint))),
        ("Use", joint.reuse),
        ("New with it", joint.renew),
        ("Locking", joint.locking),
        ("Sealing", joint.sealing),
        ("Note", joint.note),
        ("Source", _source(transmission, joint.source)),
    )
    title = f"{joint.name}: {len(joint.place_ids)} × {joint.kind} {joint.thread}"
    return Sheet(title, _holes(joint), facts)


def _holes(joint: Joint) -> str:
    """The hole map of a joint before anything is tightened."""
    return drawn_joint(joint, fastening.order_of(None, joint), fastening.positions(None, joint))


def _fit(transmission: Transmission, fit: Fit) -> Sheet:
    gap = " ".join(f"{'+' if one.sign == '+' else '−'} {one.name}" for one in fit.gap).removeprefix("+ ")
    facts = _given(
        ("Allowed", f"{fit.min} to {fit.max}"),
        ("Goal", f"{fit.goal_value:.{fit.digits}f} mm"),
        ("Set by", f"{fit.selective}: {fit.part} {transmission.part(fit.part).name}"),
        ("Sizes", f"{', '.join(str(size) for size in fit.sizes_mm)} mm"),
        ("Trial", fit.trial),
        ("Gap", gap),
        ("How", fit.method),
        ("Instrument", fit.instrument.name),
        ("Note", fit.note),
        ("Source", _source(transmission, fit.source)),
    )
    return Sheet(fit.name, "", facts)


def _limit(transmission: Transmission, limit: Limit) -> LimitRow:
    words = "; ".join(one for one in (limit_words(limit), limit.at or "") if one)
    return LimitRow(
        name=f"{limit.name} ({limit.part})" if limit.part else limit.name,
        limit=words,
        stage=limit.stage,
        source=_source(transmission, limit.source) if limit.measured else "",
    )


def _steps(transmission: Transmission, phase: str) -> tuple[StepRow, ...]:
    return tuple(
        StepRow(step.id, step.title, ", ".join(step.needs), _pieces(transmission, step))
        for step in transmission.phase(phase)
    )


def _pieces(transmission: Transmission, step: Step) -> str:
    return "; ".join(_piece(transmission, piece) for piece in _moved(step))


def _moved(step: Step) -> Iterable[Piece]:
    return (*step.off, *step.on)


def _piece(transmission: Transmission, piece: Piece) -> str:
    part = transmission.part(piece.part)
    return f"{piece.count or part.quantity} × {part.name}"


def _source(transmission: Transmission, name: str | None) -> str:
    return source_words(transmission.source(name))
