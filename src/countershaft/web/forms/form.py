"""A form as data: its fields, what was typed into them, and what is wrong with each."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from itertools import zip_longest
from typing import Any, Literal

from pydantic import ValidationError

from countershaft.desk.plain_faults import in_plain_words
from countershaft.errors import FormError
from countershaft.job.entry import Body
from countershaft.job.words import Stage

__all__ = [
    "Aim",
    "Answers",
    "Field",
    "Form",
    "Kind",
    "because",
    "body_of",
    "options",
    "readings",
    "reason",
    "sure_field",
]

Kind = Literal["text", "figure", "number", "date", "area", "choice", "ticks", "select", "readings", "photo"]


@dataclass(frozen=True, slots=True)
class Aim:
    """What the figures of a field are expected to be, in `unit`: what the keypad offers, draws and refuses by.

    A figure below `lowest` or above `highest` cannot be, whatever the part looks like.
    `judged` says that the figures themselves are held against the limits; the gap under a trial part is not.
    `about` names the kind of entry and the limit or fit under which earlier figures stand in this and other jobs.
    """

    unit: str
    lower: Decimal | None = None
    upper: Decimal | None = None
    goal: Decimal | None = None
    lowest: Decimal | None = None
    highest: Decimal | None = None
    judged: bool = True
    about: tuple[str, str] = ("", "")


@dataclass(frozen=True, slots=True)
class Field:
    """One field.  `values` is what stands in it: one text, or several for ticks and readings.

    A `folded` field is filled in already and seldom changed; the page keeps it out of the way until it is opened.
    `cell_labels` name the cells of readings that are taken at different places, "12 o'clock" for example.
    `aim` is what its figures are expected to be, where anything is known of that.
    """

    name: str
    label: str
    kind: Kind = "text"
    hint: str = ""
    unit: str = ""
    options: tuple[tuple[str, ...], ...] = ()
    values: tuple[str, ...] = ()
    needed: bool = False
    count: int = 1
    folded: bool = False
    error: str = ""
    cell_labels: tuple[str, ...] = ()
    aim: Aim | None = None

    @property
    def value(self) -> str:
        """The one text in the field."""
        return self.values[0] if self.values else ""

    @property
    def cells(self) -> tuple[str, ...]:
        """One text for each reading, empty where nothing is typed."""
        return (*self.values, *([""] * self.count))[: max(self.count, len(self.values))]

    @property
    def labelled(self) -> tuple[tuple[str, str], ...]:
        """Each cell with its own label, empty where the cells are only numbered."""
        return tuple(zip_longest(self.cells, self.cell_labels[: len(self.cells)], fillvalue=""))


@dataclass(frozen=True, slots=True)
class Answers:
    """What a browser sent, by name of the field.

    `typed` is what was typed where figures were turned into the unit that is asked for.
    """

    texts: Mapping[str, tuple[str, ...]]
    photo: bytes | None = None
    typed: str = ""

    def one(self, name: str) -> str:
        """The one text of a field, stripped; empty where nothing was sent."""
        return next((text.strip() for text in self.texts.get(name, ()) if text.strip()), "")

    def many(self, name: str) -> tuple[str, ...]:
        """Every text of a field that is not empty."""
        return tuple(text.strip() for text in self.texts.get(name, ()) if text.strip())


@dataclass(frozen=True, slots=True)
class Form:
    """A page that asks for one thing.

    `read` turns answers into the bodies of one or more entries; it raises FormError with a word
    for each field that is wrong.
    `back` is where the page leads when it is done.
    A form of many like figures is set in `lines`, each label beside its field; `fold` says what is folded away.
    A form that `reads_units` takes its figures as they are typed; one that is `unaided` offers no likely values, so
    that nobody is led by them.
    A form with `photo_stage` sends a picture, which the desk cleans and keeps before it becomes an entry.
    """

    title: str
    fields: tuple[Field, ...]
    read: Callable[[Answers], tuple[Body, ...]]
    back: str
    lead: str = ""
    save: str = "Save"
    cautions: tuple[tuple[str, str], ...] = ()
    drawing: str = ""
    photo_stage: Stage | None = None
    photo_about: str | None = None
    facts: tuple[tuple[str, str], ...] = ()
    problems: tuple[str, ...] = field(default=())
    lines: bool = False
    reads_units: bool = False
    unaided: bool = False
    fold: str = ""

    @property
    def has_photo(self) -> bool:
        """Whether the form sends a picture."""
        return any(one.kind == "photo" for one in self.fields)

    @property
    def shown(self) -> tuple[Field, ...]:
        """Fields that stand open."""
        return tuple(one for one in self.fields if not one.folded)

    @property
    def folded(self) -> tuple[Field, ...]:
        """Fields that are folded away."""
        return tuple(one for one in self.fields if one.folded)

    @property
    def folded_words(self) -> str:
        """What the folded fields say, in one line; where they are empty, what they ask."""
        said = [" ".join((*one.values, one.unit)).strip() for one in self.folded if one.values]
        if self.fold:
            return " · ".join((self.fold, *said))
        return " · ".join(said) or f"More: {', '.join(one.label for one in self.folded)}"

    @property
    def folded_wrong(self) -> bool:
        """Whether a folded field is wrong, so that the fold must stand open."""
        return any(one.error or (one.needed and not one.values) for one in self.folded)

    @property
    def mended(self) -> tuple[tuple[str, str], ...]:
        """Field and fault, for the summary on top of the form."""
        return tuple((one.name, f"{one.label}: {one.error}") for one in self.fields if one.error)

    def filled(self, answers: Answers, errors: Mapping[str, str], problems: Sequence[str] = ()) -> Form:
        """The same form with what was typed still in it, and a word beside each field that is wrong."""
        asked = () if not (errors.get("sure") or answers.one("sure")) else (sure_field(),)
        fields = (*asked, *(one for one in self.fields if one.name != "sure"))
        known = {one.name for one in fields}
        rest = [text for name, text in errors.items() if name not in known]
        return replace(
            self,
            fields=tuple(
                replace(one, values=_kept(one, answers), error=errors.get(one.name, "")) for one in fields
            ),
            problems=(*problems, *rest),
        )


#: The usual answers to a question about a figure, to be tapped.
_SURE = (
    "measured again: it is so",
    "read by a second person: it is so",
    "the part is damaged or missing: it is so",
)


def sure_field() -> Field:
    """The answer to a question that a stage asked about the figures of a form; it stands first, where it is seen."""
    return Field(
        "sure", "Is it so?", "choice", "Correct the figure below, or say that it is so.",
        options=tuple((one, one) for one in _SURE),
    )  # fmt: skip


def _kept(one: Field, answers: Answers) -> tuple[str, ...]:
    return answers.texts.get(one.name, ()) if one.kind == "readings" else answers.many(one.name)


def options(words: type) -> tuple[tuple[str, ...], ...]:
    """The members of a closed list as options of a field."""
    return tuple((str(word.value), str(word.value)) for word in words)  # type: ignore[attr-defined]


def readings(
    name: str,
    label: str,
    *,
    count: int,
    unit: str,
    values: tuple[str, ...] = (),
    hint: str = "",
    cell_labels: tuple[str, ...] = (),
    aim: Aim | None = None,
) -> Field:
    """A field for several readings of one quantity, each at its own place where the cells have labels."""
    asked = f"{count} readings" if count > 1 else "one reading"
    return Field(
        name,
        label,
        "readings",
        hint=hint or asked,
        unit=unit,
        values=values,
        needed=True,
        count=count,
        cell_labels=cell_labels,
        aim=aim,
    )


def because(label: str, reasons: Sequence[str], hint: str) -> tuple[Field, Field]:
    """Two fields for a reason: the usual ones to tap, and words for any other; one of the two is enough."""
    return (
        Field("reason", label, "choice", hint, options=tuple((one, one) for one in reasons)),
        Field("because", "In other words, or more of them", "area"),
    )


def reason(answers: Answers) -> str:
    """What was tapped and typed in the fields of `because`; empty where it was neither."""
    return ": ".join(words for words in (answers.one("reason"), answers.one("because")) if words)


def body_of(kind: type[Body], values: Mapping[str, Any], *, names: Mapping[str, str] | None = None) -> Body:
    """Build a body from what was typed; raises FormError with a plain word for every field that is wrong.

    `names` maps a name of the body to the name of the form's field, where they differ.
    """
    given = {name: value for name, value in values.items() if value not in ("", None)}
    try:
        return kind.model_validate(given)
    except ValidationError as cause:
        found: dict[str, str] = {}
        for fault in cause.errors():
            name = str(fault["loc"][0]) if fault["loc"] else ""
            found.setdefault((names or {}).get(name, name), in_plain_words(fault))
        raise FormError(found) from cause
