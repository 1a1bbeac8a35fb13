"""What a page says where an entry was not taken; every route that writes asks here."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from countershaft.errors import BadInput, CountershaftError, FormError, StoreError

__all__ = ["REFUSED", "Refusal", "refusal"]

#: The errors after which a page is shown again with everything that was typed.
REFUSED: Final = (BadInput, StoreError)


@dataclass(frozen=True, slots=True)
class Refusal:
    """A word for each field that is wrong, whole sentences for the rest, and the status of the answer."""

    fields: dict[str, str]
    problems: tuple[str, ...]
    status: int

    def besides(self, *names: str) -> tuple[str, ...]:
        """The sentences, and the words of fields that a page has not."""
        return (*(words for name, words in self.fields.items() if name in names), *self.problems)

    @property
    def spoken(self) -> tuple[str, ...]:
        """Everything in sentences, for a page without fields."""
        return (*self.fields.values(), *self.problems)


def refusal(fault: CountershaftError) -> Refusal:
    """What to show of an error: 503 where the store could not write, and the same may be sent again; else 422."""
    if isinstance(fault, FormError):
        return Refusal(fault.fields, (), 422)
    return Refusal({}, (str(fault),), 503 if isinstance(fault, StoreError) else 422)
