"""A free-standing stock and its gaps as text: what can go where, for a choice without a job."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from pydantic import Field, ValidationError
from pydantic_core import ErrorDetails

from countershaft.definitions.positions import Document, Mark, Path, path_words, read_tree
from countershaft.errors import CountershaftError, DefinitionError, Fault
from countershaft.model.fields import Figure, Record, Text
from countershaft.planning.shelf import Family, Gap, Listed, Piece, Place, Shop, Term

__all__ = ["ShopFile", "read_shop"]

_Standard = Annotated[Figure, Field(ge=0)]
_Size = Annotated[Figure, Field(gt=0)]


class _Family(Record):
    name: Text
    table_mm: tuple[_Size, ...] = Field(min_length=1)


class _Piece(Record):
    name: Text
    family: Text
    size_mm: _Size
    standard_mm: _Standard = Decimal(0)


class _Price(Record):
    family: Text
    size_mm: _Size
    standard_mm: _Standard = Decimal(0)
    price: Annotated[Figure, Field(ge=0, decimal_places=2)] = Decimal(0)
    days: Annotated[int, Field(ge=0, le=999)] = 0


class _Place(Record):
    name: Text
    family: Text


class _Term(Record):
    place: Text
    factor: Figure = Decimal(-1)
    pivot_mm: Figure = Decimal(0)
    standard: _Standard = Decimal(0)


class _Gap(Record):
    name: Text
    rest: Figure
    standard: _Standard = Decimal(0)
    lower: Figure
    upper: Figure
    goal: Figure | None = None
    terms: tuple[_Term, ...] = ()
    suspects: tuple[Text, ...] = ()


class _Shop(Record):
    currency: Text | None = None
    families: tuple[_Family, ...] = Field(min_length=1)
    places: tuple[_Place, ...] = Field(min_length=1)
    gaps: tuple[_Gap, ...] = Field(min_length=1)
    pieces: tuple[_Piece, ...] = ()
    prices: tuple[_Price, ...] = ()


@dataclass(frozen=True, slots=True)
class ShopFile:
    """A shop as it was read, and the word of its money."""

    shop: Shop
    currency: str


def read_shop(text: str, file: str) -> ShopFile:
    """Read families, places, gaps, pieces and prices from YAML or JSON; raises DefinitionError with every fault.

    A gap without terms hangs on the place of its own name, and closes with it; without a goal, the middle of its
    limits is aimed at.
    """
    document = read_tree(text, file)
    if document.faults:
        raise DefinitionError(tuple(document.faults))
    try:
        found = _Shop.model_validate(document.tree)
    except ValidationError as error:
        raise DefinitionError(_faults(error.errors(include_url=False), document, file)) from error
    try:
        return ShopFile(_shop(found), found.currency or "")
    except CountershaftError as error:
        raise DefinitionError((Fault("", str(error), file=file),)) from error


def _faults(errors: Sequence[ErrorDetails], document: Document, file: str) -> tuple[Fault, ...]:
    """Every complaint with the place in the text where the value stands, or where its record begins."""
    found = []
    for error in errors:
        path: Path = tuple(error["loc"])
        key, mark = path_words(path, document), document.values.get(path)
        while mark is None and path:
            path = path[:-1]
            mark = document.values.get(path)
        mark = mark or Mark(1, 1)
        got = "" if error["type"] == "missing" else str(error["input"])
        cure = {"missing": "Add it.", "extra_forbidden": "Correct its spelling, or take it out."}
        found.append(
            Fault(
                key, _message(error), got=got, cure=cure.get(error["type"], ""), file=file, line=mark.line,
                column=mark.column,
            )
        )  # fmt: skip
    return tuple(sorted(found, key=lambda one: (one.line, one.column)))


def _message(error: ErrorDetails) -> str:
    if error["type"] == "missing":
        return "this key is missing"
    if error["type"] == "extra_forbidden":
        return "there is no such key here"
    return error["msg"].removeprefix("Value error, ")


def _shop(found: _Shop) -> Shop:
    return Shop(
        families=tuple(Family(one.name, tuple(map(Fraction, one.table_mm))) for one in found.families),
        places=tuple(Place(one.name, one.family) for one in found.places),
        gaps=tuple(map(_gap, found.gaps)),
        pieces=tuple(
            Piece(one.name, one.family, Fraction(one.size_mm), float(one.standard_mm)) for one in found.pieces
        ),
        listed=tuple(
            Listed(one.family, Fraction(one.size_mm), float(one.standard_mm), int(one.price * 100), one.days)
            for one in found.prices
        ),
    )


def _gap(one: _Gap) -> Gap:
    goal = one.goal if one.goal is not None else (one.lower + one.upper) / 2
    terms = tuple(
        Term(term.place, Fraction(term.factor), Fraction(term.pivot_mm), float(term.standard))
        for term in one.terms
    )
    return Gap(
        name=one.name,
        rest=Fraction(one.rest),
        standard=float(one.standard),
        terms=terms or (Term(one.name),),
        lower=Fraction(one.lower),
        upper=Fraction(one.upper),
        goal=Fraction(goal),
        suspects=one.suspects,
    )
