"""How a form is measured: every kind that a limit or a job may ask for."""

from __future__ import annotations

from typing import Annotated, Final, get_args

from pydantic import Field

from countershaft.model.face_forms import GridForm, PlateForm, StraightedgeForm, StraightnessForm
from countershaft.model.faults import by_kind
from countershaft.model.form_record import FormRecord
from countershaft.model.turned_forms import BacklashForm, BowForm, DiametersForm, RoundnessForm, RunoutForm

__all__ = ["FORM_KINDS", "AnyForm"]

AnyForm = Annotated[
    GridForm
    | StraightedgeForm
    | PlateForm
    | StraightnessForm
    | RoundnessForm
    | DiametersForm
    | RunoutForm
    | BacklashForm
    | BowForm,
    Field(discriminator="kind"),
    by_kind(
        GridForm,
        StraightedgeForm,
        PlateForm,
        StraightnessForm,
        RoundnessForm,
        DiametersForm,
        RunoutForm,
        BacklashForm,
        BowForm,
    ),
]

#: Every kind by its name.
FORM_KINDS: Final[dict[str, type[FormRecord]]] = {
    get_args(kind.model_fields["kind"].annotation)[0]: kind
    for kind in (
        GridForm,
        StraightedgeForm,
        PlateForm,
        StraightnessForm,
        RoundnessForm,
        DiametersForm,
        RunoutForm,
        BacklashForm,
        BowForm,
    )
}
