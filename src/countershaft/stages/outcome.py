"""What a stage says to an entry that wants to join the log."""

from __future__ import annotations

from dataclasses import dataclass, field

__all__ = ["ACCEPTED", "Outcome", "object_to"]


@dataclass(frozen=True, slots=True)
class Outcome:
    """Whether an entry may join the log.

    `objections` says why not, in whole sentences with what to do; `fields` ties some of them to the field of the
    form that they are about.
    """

    objections: tuple[str, ...] = ()
    fields: dict[str, str] = field(default_factory=dict)

    @property
    def accepted(self) -> bool:
        """No objection of any kind."""
        return not self.objections and not self.fields


ACCEPTED = Outcome()


def object_to(*objections: str, **fields: str) -> Outcome:
    """An outcome with these objections."""
    return Outcome(tuple(objections), dict(fields))
