"""A sweep of a housing or a converter's fit asked about by itself: from typed figures, with or without a file."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any, Final

from pydantic import BaseModel, ValidationError

from countershaft import units
from countershaft.desk.plain_faults import in_plain_words
from countershaft.errors import BadInput, QuantityError
from countershaft.job.entry import ConverterDepths, HousingSwept, HubTrial
from countershaft.job.taken import Taken
from countershaft.metrology.alignment_advice import StandingDowel
from countershaft.metrology.converter_fit import Clocking
from countershaft.model.housing import Dowel, Housing
from countershaft.model.transmission import Transmission
from countershaft.stages.alignment import asked_of, review_sweep
from countershaft.stages.converter import (
    DepthState,
    TrialState,
    depths_judged,
    hub_trials,
    review_depths,
    review_trial,
)
from countershaft.stages.housing_sweep import SweepRun, swept
from countershaft.stages.outcome import Outcome

__all__ = ["ConverterAnswer", "HubAnswer", "Typed", "ask_alignment", "ask_depths", "ask_hub", "read_lengths"]

_HOURS: Final[dict[int, tuple[str, ...]]] = {
    4: ("12", "3", "6", "9"),
    6: ("12", "2", "4", "6", "8", "10"),
    8: ("12", "1.5", "3", "4.5", "6", "7.5", "9", "10.5"),
    12: tuple(str(hour) for hour in (12, *range(1, 12))),
}
_LENGTHS: Final = ("mm", "in", "thou")
_SURE: Final = "said at the terminal"


@dataclass(frozen=True, slots=True)
class Typed:
    """Figures in one unit, as typed, with one step of the scale that they show."""

    figures: tuple[str, ...]
    unit: str

    @property
    def step(self) -> str:
        """One step of the last digit that was typed."""
        return str(Decimal(1).scaleb(-max(units.decimals(Decimal(one)) for one in self.figures)))


@dataclass(frozen=True, slots=True)
class ConverterAnswer:
    """Depth and gap of a converter."""

    depths: DepthState


@dataclass(frozen=True, slots=True)
class HubAnswer:
    """Trials of a hub, and the position in which it runs truest where two trials tell."""

    trials: tuple[TrialState, ...]
    clocking: Clocking | None
    why: str
    limit: float | None


def read_lengths(text: str, what: str) -> Typed:
    """Figures such as "0.00 -0.19 -0.16 0.02 mm": parted by spaces, with their unit once, behind the last.

    Raises BadInput where the unit is left out, since a bare figure can be millimetres, inches or thousandths.
    """
    pieces = [piece.rstrip(",") for piece in re.split(r"[\s;]+", text.strip().replace("−", "-")) if piece]
    figures = [piece.replace(",", ".") for piece in pieces if re.fullmatch(r"[-+]?\d*[.,]?\d+", piece)]
    rest = " ".join(pieces[len(figures) :])
    if not figures or any(not re.match(r"[-+]?[\d.,]", piece) for piece in pieces[: len(figures)]):
        raise BadInput(f'{what}: {text!r} holds no figures; expected such as "0.00 -0.19 -0.16 0.02 mm".')
    if not rest:
        one = figures[-1]
        raise BadInput(
            f"{what}: {one} can be {one} mm, {one} in or {one} thou; type the unit behind the figures."
        )
    try:
        unit = units.read(f"1 {rest}", kind="length").unit
    except QuantityError as cause:
        raise BadInput(f"{what}: {cause}") from cause
    if unit not in _LENGTHS:
        raise BadInput(f"{what}: type it in one of {', '.join(_LENGTHS)}, not in {unit}.")
    return Typed(tuple(figures), unit)


def ask_alignment(
    asked: Mapping[str, str],
    *,
    dowels: Sequence[str] = (),
    unit: Transmission | None = None,
    sure: bool = False,
) -> SweepRun:
    """What a typed sweep means.

    `asked` may hold bore, back, face, bore_limit, face_limit, diameter, bushing, closure, offset_dowels, sag, rise and
    step; `dowels` are such as "2 = 13.4 mm, 9.7 to 10.3 mm", or "2 = 13.4 mm" for one that the file knows.
    Raises BadInput.
    """
    bore = read_lengths(asked.get("bore", ""), "--bore")
    if len(bore.figures) not in _HOURS:
        raise BadInput(
            f"--bore: {len(bore.figures)} readings; expected 4, 6, 8 or 12, evenly round the clock from 12 o'clock on."
        )
    file = unit or Transmission(format=1, name="typed")
    housing = _housing(file.housing or Housing(), asked)
    face = read_lengths(asked["face"], "--face") if asked.get("face") else None
    told: dict[str, Any] = {
        "when": "as found",
        "hours": _HOURS[len(bore.figures)],
        "bore": bore.figures,
        "bore_back": _same_unit(asked, "back", bore.unit) or None,
        "sag": _same_unit(asked, "sag", bore.unit) or "0",
        "rise": _same_unit(asked, "rise", bore.unit) or "0",
        **(_face(face, bore) if face else {}),
        "bore_max": asked.get("bore_limit") or None,
        "face_max": asked.get("face_limit") or None,
        "diameter": asked.get("diameter") or None,
        "bushing": asked.get("bushing") or None,
        "unit": bore.unit,
        "instrument": "indicator",
        "resolution": _same_unit(asked, "step", bore.unit) or bore.step,
        "taken": Taken(sure=_SURE if sure else ""),
    }
    whole = file.model_copy(update={"housing": housing})
    body = _built(HousingSwept, told)
    assert isinstance(body, HousingSwept), "built from that kind"
    _refused(review_sweep(whole, body, datetime.now(UTC).date()), _SWEEP_OPTIONS)
    standing = tuple(_standing(text, housing) for text in dowels)
    return swept(body, asked_of(whole, body), standing)


def ask_depths(
    asked: Mapping[str, str], *, unit: Transmission | None = None, sure: bool = False
) -> ConverterAnswer:
    """Depth and gap of a converter from typed figures.

    `asked` may hold depth, plate, straightedge, spacer, depth_limit, gap_limit and step.  Raises BadInput.
    """
    whole = _bolt_up(asked, unit)
    depth = read_lengths(asked.get("depth", ""), "--depth")
    plate = read_lengths(asked["plate"], "--plate") if asked.get("plate") else None
    if plate is not None and plate.unit != depth.unit:
        raise BadInput(f"--plate: in {plate.unit}, the depths in {depth.unit}; type both in one unit.")
    told: dict[str, Any] = {
        "depths": depth.figures,
        "plate": plate.figures if plate else (),
        "straightedge": _same_unit(asked, "straightedge", depth.unit) or "0",
        "spacer": _same_unit(asked, "spacer", depth.unit) or "0",
        "unit": depth.unit,
        "instrument": "gauge",
        "resolution": _same_unit(asked, "step", depth.unit) or depth.step,
        "taken": Taken(sure=_SURE if sure else ""),
    }
    body = _built(ConverterDepths, told)
    assert isinstance(body, ConverterDepths), "built from that kind"
    _refused(review_depths(whole, body, datetime.now(UTC).date()), {"plate": "--plate", "sure": "--depth"})
    return ConverterAnswer(depths_judged(whole, body))


def ask_hub(
    trials: Sequence[str], asked: Mapping[str, str], *, unit: Transmission | None = None, sure: bool = False
) -> HubAnswer:
    """The hub of a converter from trials such as "0: 0.20 0.00 -0.20 0.00 mm", with hub_limit, positions and step."""
    whole = _bolt_up(asked, unit)
    bodies = tuple(_trial(text, asked, sure) for text in trials)
    for body in bodies:
        _refused(review_trial(whole, body, datetime.now(UTC).date()), {"position": "--hub", "sure": "--hub"})
    return HubAnswer(*hub_trials(whole, tuple((None, body) for body in bodies)))


#: The option that a field of the sweep is typed with.
_SWEEP_OPTIONS: Final = {
    "bore_max": "--bore-limit",
    "face_max": "--face-limit",
    "diameter": "--diameter",
    "bushing": "--bushing",
    "unit": "--bore",
    "bore": "--bore",
}


def _housing(known: Housing, asked: Mapping[str, str]) -> Housing:
    """The housing of the file, with what was typed in place of it."""
    told: dict[str, Any] = known.model_dump(mode="json", exclude_none=True)
    if asked.get("bore_limit"):
        told.pop("bore", None)
    if asked.get("face_limit"):
        told.pop("face", None)
    if asked.get("closure"):
        told["closure"] = asked["closure"]
    if asked.get("offset_dowels"):
        sizes = read_lengths(asked["offset_dowels"], "--offset-dowels")
        told["offset_dowels"] = [f"{one} {sizes.unit}" for one in sizes.figures]
    built = _built(Housing, told)
    assert isinstance(built, Housing), "built from that kind"
    return built


def _bolt_up(asked: Mapping[str, str], unit: Transmission | None) -> Transmission:
    """The converter of the file, with what was typed in place of it."""
    file = unit or Transmission(format=1, name="typed")
    known = file.housing.converter if file.housing else None
    told: dict[str, Any] = known.model_dump(mode="json", exclude_none=True) if known else {}
    for key, option in (("depth", "depth_limit"), ("gap", "gap_limit")):
        if asked.get(option):
            told[key] = _window(asked[option], f"--{option.replace('_', '-')}")
    if asked.get("hub_limit"):
        told["hub"] = {"max": asked["hub_limit"]}
    if asked.get("positions"):
        told["positions"] = asked["positions"]
    if asked.get("spacer"):
        told.pop("spacer", None)
    built = _built(Housing, {"converter": told})
    return file.model_copy(update={"housing": built})


def _window(text: str, option: str) -> dict[str, str]:
    """A window such as "24.0 to 26.0 mm"."""
    found = read_lengths(re.sub(r"\bto\b|…|–", " ", text), option)
    if len(found.figures) != 2:
        raise BadInput(f'{option}: {text!r} is no window; expected such as "24.0 to 26.0 mm".')
    return {"min": f"{found.figures[0]} {found.unit}", "max": f"{found.figures[1]} {found.unit}"}


def _face(face: Typed, bore: Typed) -> dict[str, Any]:
    """Readings of the face at the places of the bore, or its total."""
    if face.unit != bore.unit:
        raise BadInput(f"--face: in {face.unit}, the bore in {bore.unit}; type both in one unit.")
    if len(face.figures) == 1:
        return {"face_total": face.figures[0]}
    if len(face.figures) != len(bore.figures):
        raise BadInput(
            f"--face: {len(face.figures)} readings; expected {len(bore.figures)} as in the bore, or its total alone."
        )
    return {"face": face.figures}


def _same_unit(asked: Mapping[str, str], name: str, unit: str) -> str:
    """One figure that must be in the unit of the readings; empty where it was not given."""
    if not asked.get(name):
        return ""
    found = read_lengths(asked[name], f"--{name}")
    if found.unit != unit or len(found.figures) != 1:
        raise BadInput(f"--{name}: {asked[name]!r}; type one figure in {unit}, the unit of the readings.")
    return found.figures[0]


def _standing(text: str, housing: Housing) -> StandingDowel:
    """A dowel such as "2 = 13.4 mm, 9.7 to 10.3 mm"; the window may be left out where the file has it."""
    found = re.fullmatch(r"\s*([^=]+?)\s*=\s*([^,;]+?)\s*(?:[,;]\s*(.+))?", text.strip())
    if found is None:
        raise BadInput(f'--dowel: {text!r}; expected such as "2 = 13.4 mm, 9.7 to 10.3 mm".')
    name, stands = found[1], read_lengths(found[2], "--dowel")
    known = next((one for one in housing.dowels if one.name == name), None)
    if found[3]:
        built = _built(Dowel, {"name": name, **_window(found[3], "--dowel")})
        assert isinstance(built, Dowel), "built from that kind"
        known = built
    if known is None:
        raise BadInput(
            f'--dowel: nobody says how far dowel {name} must stand out; add it: "{text}, 9.7 to 10.3 mm".'
        )
    metres = units.convert(Decimal(stands.figures[0]), stands.unit, "m")
    return StandingDowel(
        known.title, round(metres, 12), round(known.min.to("m"), 12), round(known.max.to("m"), 12)
    )


def _trial(text: str, asked: Mapping[str, str], sure: bool) -> HubTrial:
    place, colon, rest = text.partition(":")
    if not colon:
        raise BadInput(
            f'--hub: {text!r}; expected a position and its readings, "0: 0.20 0.00 -0.20 0.00 mm".'
        )
    found = read_lengths(rest, "--hub")
    if len(found.figures) not in _HOURS:
        raise BadInput(
            f"--hub: {len(found.figures)} readings; expected 4, 6, 8 or 12, evenly round the crank."
        )
    told = {
        "position": place.strip(),
        "hours": _HOURS[len(found.figures)],
        "values": found.figures,
        "unit": found.unit,
        "instrument": "indicator",
        "resolution": _same_unit(asked, "step", found.unit) or found.step,
        "taken": Taken(sure=_SURE if sure else ""),
    }
    body = _built(HubTrial, told)
    assert isinstance(body, HubTrial), "built from that kind"
    return body


def _built(kind: type[BaseModel], told: Mapping[str, Any]) -> BaseModel:
    try:
        return kind.model_validate(told)
    except ValidationError as cause:
        said = "; ".join(f"{_option(fault['loc'])}: {in_plain_words(fault)}" for fault in cause.errors())
        raise BadInput(said) from cause


def _option(loc: Sequence[str | int]) -> str:
    """The option that a figure was typed with."""
    name = next((str(one) for one in reversed(loc) if isinstance(one, str)), "")
    return {"bore_back": "--back", **_SWEEP_OPTIONS}.get(name, f"--{name.replace('_', '-')}")


def _refused(outcome: Outcome, options: Mapping[str, str]) -> None:
    """Raise what a stage objects to; that a sweep contradicts itself is no objection here, but part of the answer."""
    fields = dict(outcome.fields)
    if "sure" in fields and "unit" not in fields and "bore" in options:
        return
    if "unit" in fields:
        fields.pop("sure", None)
    said = [*outcome.objections, *(f"{options.get(name, name)}: {words}" for name, words in fields.items())]
    if said:
        asks = "unit" in fields or "sure" in fields
        raise BadInput(" ".join(said) + (" With --sure it is taken as typed." if asks else ""))
