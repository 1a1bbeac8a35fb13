"""What is said at the end: turns counted, the fixed-when sentence, what is let pass, the release."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from countershaft.job.body import Body, Ref, Typed, Words
from countershaft.job.words import Stage

__all__ = ["FixedWhen", "Released", "TurnsCounted", "Waived"]


class TurnsCounted(Body):
    """Input and output turns counted by hand in one gear."""

    STAGE = Stage.PROVE
    kind: Literal["turns_counted"] = "turns_counted"
    gear: Ref
    input_turns: Annotated[Typed, Field(gt=0)]
    output_turns: Typed
    counted_to: Annotated[Typed, Field(gt=0)] = Decimal("0.1")


class FixedWhen(Body):
    """Whether the fixed-when sentence is true now."""

    STAGE = Stage.PROVE
    kind: Literal["fixed_when"] = "fixed_when"
    true: bool
    words: Words


class Waived(Body):
    """An open point of the release gate that a person lets pass, because.

    `was` is what was open then, in the gate's words: when something else is open there, it is asked again.
    """

    STAGE = Stage.HANDOVER
    kind: Literal["waived"] = "waived"
    point: Ref
    was: Words
    because: Words


class Released(Body):
    """The unit goes out."""

    STAGE = Stage.HANDOVER
    kind: Literal["released"] = "released"
    warranty: Words
    words: Annotated[str, StringConstraints(strip_whitespace=True, max_length=2000)] = ""
