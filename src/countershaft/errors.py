"""The one tree of errors that countershaft raises on purpose.

::

    CountershaftError
    ├── BadInput                 what a person typed or wrote cannot be used
    │   ├── QuantityError        a figure or its unit cannot be read
    │   ├── DefinitionError      a transmission file has faults (all of them, with lines)
    │   ├── FormError            one or more fields of a form are wrong
    │   ├── EntryRefused         an entry contradicts the job or the file
    │   ├── PictureRefused       a photo is no picture, or too big
    │   └── TagRefused           a scanned or typed code is no tag of this shop
    ├── OutOfRange               a computation was asked outside its range
    ├── TrainError               a gear train is not a train (unknown member, loop, no input)
    ├── NoFeasibleOrder          no order obeys every need
    │   ├── HoldNeverEnds        what must be held could never be let go
    │   └── GoalOutOfReach       what is asked for cannot be reached as things stand
    ├── Unknown                  a job, step, part or file that is not there
    └── StoreError               the store could not keep or find something
        ├── StoreBusy            locked by another writer for too long
        ├── StoreFull            no room left on the disk, or it may not be written
        ├── StoreBroken          what was stored cannot be read back
        └── TooNew               written by a later version of countershaft

Every message says what is wrong, where, what was expected and got, and what to do.
The web maps a class to a status once, the command line to an exit code once.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = [
    "BadInput",
    "CountershaftError",
    "DefinitionError",
    "EntryRefused",
    "Fault",
    "FormError",
    "GoalOutOfReach",
    "HoldNeverEnds",
    "NoFeasibleOrder",
    "OutOfRange",
    "PictureRefused",
    "QuantityError",
    "StoreBroken",
    "StoreBusy",
    "StoreError",
    "StoreFull",
    "TagRefused",
    "TooNew",
    "TrainError",
    "Unknown",
]


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault of a text: where it stands, what was expected, what came, and how to mend it.

    `line` and `column` count from 1; 0 means that the place is not known.
    """

    key: str
    message: str
    expected: str = ""
    got: str = ""
    cure: str = ""
    file: str = ""
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}:{self.column}: " if self.line else ""
        text = f"{place}{self.key}: {self.message}" if self.key else f"{place}{self.message}"
        if self.expected:
            text += f"; expected {self.expected}"
        if self.got:
            text += f", got {self.got}"
        return f"{text}. {self.cure}" if self.cure else text


class CountershaftError(Exception):
    """Base of every error that countershaft raises on purpose."""


class BadInput(CountershaftError):
    """What a person typed or wrote cannot be used as it stands."""


class QuantityError(BadInput):
    """A figure or its unit cannot be read."""


class DefinitionError(BadInput):
    """A transmission file has faults; `faults` holds all of them, in the order of their lines."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        super().__init__("\n".join(str(fault) for fault in faults))
        self.faults = faults


class FormError(BadInput):
    """Fields of a form are wrong; `fields` maps each field's name to what is wrong with it."""

    def __init__(self, fields: dict[str, str]) -> None:
        super().__init__("; ".join(f"{name}: {text}" for name, text in fields.items()))
        self.fields = fields


class EntryRefused(BadInput):
    """An entry contradicts the job or the file; nothing was written."""


class PictureRefused(BadInput):
    """A photo is no picture that countershaft opens, or it is too big."""


class TagRefused(BadInput):
    """A scanned or typed code is no tag of this shop; the message says what it is instead."""


class OutOfRange(CountershaftError):
    """A computation was asked for values outside the range it holds for."""


class TrainError(CountershaftError):
    """A gear train is not a train: a member is unknown, tied to itself, or leads nowhere."""


class NoFeasibleOrder(CountershaftError):
    """No order obeys every need; the message names the whole circle."""


class HoldNeverEnds(NoFeasibleOrder):
    """A hold could never end: what must come before its end would break it."""


class GoalOutOfReach(NoFeasibleOrder):
    """What is asked for cannot be reached as things stand; the message says what is in the way."""


class Unknown(CountershaftError):
    """A job, step, part, fit or file that is not there."""


class StoreError(CountershaftError):
    """The store could not keep or find something; nothing that was acknowledged is lost."""


class StoreBusy(StoreError):
    """Another writer held the store for too long; the entry was not acknowledged."""


class StoreFull(StoreError):
    """No room is left on the disk, or the folder may not be written; the entry was not acknowledged."""


class StoreBroken(StoreError):
    """What was stored cannot be read back."""


class TooNew(StoreError):
    """Written by a later version of countershaft than this one."""
