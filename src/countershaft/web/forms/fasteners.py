"""Forms about fasteners: how the heads of a joint stand before its first torque."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation

from countershaft.desk.desk import OpenJob
from countershaft.errors import FormError
from countershaft.job.entry import Body, HeightsSeen
from countershaft.model.fasteners import Joint
from countershaft.web.forms.form import Answers, Field, Form, body_of
from countershaft.web.forms.lengths import in_mm

__all__ = ["heights"]

_WHAT = (
    ("height_mm", "how high heads stand", "from the part to the underside of the head"),
    ("length_mm", "how long bolts are", "under the head, bolt in hand"),
)
_UNITS = (("mm", "mm"), ("in", "in"))


def heights(job: OpenJob, key: str) -> Form:
    """The heads that stand out, or every one that was measured; `key` is the joint."""
    joint = job.transmission.joint(key)

    def read(answers: Answers) -> tuple[Body, ...]:
        what, unit = answers.one("what") or "height_mm", answers.one("unit") or "mm"
        typed = {place: answers.one(_field(place)) for place in joint.place_ids}
        given = {place: text for place, text in typed.items() if text}
        figures = dict(zip(given, in_mm(tuple(given.values()), unit), strict=True))
        _refuse(figures, what)
        body = {
            "joint": key,
            "heads": tuple({"place": place, what: figure} for place, figure in figures.items()),
            "because": answers.one("because"),
            "typed": ", ".join(f"{place} {text} {unit}" for place, text in given.items())
            if unit != "mm"
            else "",
        }
        return (body_of(HeightsSeen, body, names={"": _field(joint.place_ids[0])}),)

    return Form(
        f"Heads of {joint.name}",
        (
            Field("what", "What is typed", "choice", options=_WHAT, values=("height_mm",)),
            Field("unit", "Typed in", "choice", options=_UNITS, values=("mm",)),
            *(Field(_field(place), place, "figure", _hint(joint, place)) for place in joint.place_ids),
            Field(
                "because",
                "Or: tightened all the same, because",
                "area",
                "Why nobody looked, or why a head that stands out is right. The reason stays on the report.",
            ),
        ),
        read,
        f"/jobs/{job.tag}/joint/{key}",
        lead="Only those that stand out need a figure: 0 where the head lies on the part. "
        "The tool says from the figure which bolt it probably is.",
        lines=True,
    )


def _field(place: str) -> str:
    return f"head {place}"


def _hint(joint: Joint, place: str) -> str:
    """What is expected there."""
    height, length = joint.standing_height_mm(place), joint.place(place).length_mm
    if height is None:
        return "its standing height is not known" if length is None else f"its bolt is {length} mm long"
    return f"stands {height} mm, its bolt is {length} mm long"


def _refuse(figures: dict[str, str], what: str) -> None:
    """Object to every figure that is none, each at its field."""
    errors = {}
    for place, text in figures.items():
        try:
            value = Decimal(text.strip().replace(",", ".").replace("−", "-"))
        except InvalidOperation:
            errors[_field(place)] = f"{text!r} is no number; type a figure such as 27."
            continue
        if value < 0 or (what == "length_mm" and value == 0):
            errors[_field(place)] = f"{text} makes no sense; a head that lies on the part stands 0 mm."
        elif value > 1000:
            errors[_field(place)] = f"{text} mm is longer than any bolt of a transmission."
    if errors:
        raise FormError(errors)
