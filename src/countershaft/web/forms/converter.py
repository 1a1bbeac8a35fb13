"""Forms of the converter on its way in: its depth and gap, and trials of its hub."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any, Final

from countershaft.desk.desk import OpenJob
from countershaft.job.entry import Body, ConverterDepths, HubTrial
from countershaft.model.housing import BoltUp
from countershaft.stages.converter import survey
from countershaft.web.forms.form import Aim, Answers, Field, Form, body_of, readings
from countershaft.web.forms.housing import LENGTHS, NO_CRANKING, at_places, measured, needs_unit
from countershaft.web.forms.lengths import scale_fields, scale_of, unit_field
from countershaft.web.housing_words import clock_label

__all__ = ["converter_answers", "depths", "hub", "next_position"]

_HEAVY: Final = (
    "CAUTION",
    (
        "A converter full of fluid is heavy and slides out of a housing that tips. Keep the unit level, hold it with "
        "both hands or two people, and strap it in before the unit is moved."
    ),
)
_NEVER_DRAW: Final = (
    "NOTICE",
    "Never draw the unit in with its bolts: a converter that is not home breaks the pump.",
)
_PADS: Final = 3
_QUARTERS: Final = ("12", "3", "6", "9")


def depths(job: OpenJob, _key: str) -> Form:
    """How deep the converter sits, and where the drive plate stands; one converter, so no key is asked."""
    asked = _asked(job)
    pads = asked.positions or _PADS
    scale = scale_of(job, asked.instrument, "mm", LENGTHS)

    def read(answers: Answers) -> tuple[Body, ...]:
        needs_unit(answers, "depths")
        plate = answers.many("plate")
        body: dict[str, Any] = {
            "depths": answers.many("depths"),
            "plate": plate,
            "straightedge": answers.one("straightedge"),
            "spacer": answers.one("spacer"),
            "answers": asked.checks(plate=bool(plate)),
            **measured(job, scale, answers),
        }
        return (body_of(ConverterDepths, body),)

    labels = tuple(f"pad {at}" for at in range(1, pads + 1))
    plate = readings("plate", "Drive plate, from the engine's face", count=pads, unit="", cell_labels=labels,
                     hint="+ where it stands toward the gearbox. One figure will do, or one at each pad; empty where "
                     "it is not reached.")  # fmt: skip
    return Form(
        "Converter depth and gap",
        (
            readings("depths", "From the housing's face down to each pad", count=pads, unit="", cell_labels=labels,
                     aim=_aim(asked),
                     hint="Converter turned and pushed home in all its engagements."),
            Field("straightedge", "Straightedge under the gauge", "figure", "Its thickness, where the depths were read "
                  "over it; it is taken off.", values=("0",)),
            replace(plate, needed=False),
            *(() if asked.spacer else (Field("spacer", "Spacer between the faces", "figure", "Empty is none.",
                                              folded=True),)),
            *unit_field(scale),
            *scale_fields(scale, asked.instrument),
        ),
        read,
        f"/jobs/{job.tag}/alignment",
        cautions=(_HEAVY, _NEVER_DRAW),
        facts=_facts(job, asked),
    )  # fmt: skip


def hub(job: OpenJob, key: str) -> Form:
    """The runout of the hub in one position of its bolt pattern; the key is the position, or the next untried one."""
    asked = _asked(job)
    housing = job.transmission.housing
    dial = housing.instrument if housing else None
    scale = scale_of(job, dial, "mm", LENGTHS)
    place = key or str(next_position(job))

    def read(answers: Answers) -> tuple[Body, ...]:
        needs_unit(answers, "values")
        values, _ = at_places(answers, "values", _QUARTERS)
        body = {
            "position": place,
            "hours": _QUARTERS,
            "values": values,
            **measured(job, scale, answers),
        }
        return (body_of(HubTrial, body),)

    labels = tuple(clock_label(one) for one in (12, 3, 6, 9))
    return Form(
        f"Runout of the converter hub, position {place}",
        (
            readings("values", "Hub", count=4, unit="", cell_labels=labels,
                     hint="Indicator fixed to the block. 12 o'clock is the mark on the crank's flange, 3 a quarter of "
                     "a turn of the crank on."),
            *unit_field(scale),
            *scale_fields(scale, dial),
        ),
        read,
        f"/jobs/{job.tag}/alignment",
        cautions=(NO_CRANKING,),
        lead="Position 0 is where it was; each further one turns the converter on the drive plate by one bolt.",
        facts=(("Allowed", f"at most {asked.hub.max} TIR"),) if asked.hub else (),
    )  # fmt: skip


def next_position(job: OpenJob) -> int:
    """The first position of the bolt pattern in which the hub was not read."""
    tried = {one.body.position for one in survey(job.transmission, job.state).trials}
    return next((place for place in range(_asked(job).positions or _PADS) if place not in tried), 0)


def converter_answers(job: OpenJob, limit: str) -> bool:
    """Whether the file says that the depths of the converter answer a limit."""
    return limit in _asked(job).checks(plate=True)


def _asked(job: OpenJob) -> BoltUp:
    housing = job.transmission.housing
    return (housing.converter if housing else None) or BoltUp()


def _aim(asked: BoltUp) -> Aim | None:
    """What the depths are expected to be; over a straightedge they read more than the window allows."""
    if asked.depth is None:
        return None
    low, high = (Decimal(str(one.to("mm"))) for one in (asked.depth.min, asked.depth.max))
    return Aim("mm", low, high, lowest=Decimal(0), judged=False)


def _facts(job: OpenJob, asked: BoltUp) -> tuple[tuple[str, str], ...]:
    source = job.transmission.source(asked.depth.source) if asked.depth else None
    found = (
        ("Depth", f"{asked.depth.min} to {asked.depth.max}" if asked.depth else ""),
        ("Gap", f"{asked.gap.min} to {asked.gap.max}" if asked.gap else ""),
        ("Spacer", str(asked.spacer) if asked.spacer else ""),
        ("Source", (str(source) if source else "none: the limit is unverified") if asked.depth else ""),
    )
    return tuple((label, words) for label, words in found if words)
