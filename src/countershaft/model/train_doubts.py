"""Where in a transmission file the doubts about its gear train lie."""

from __future__ import annotations

from collections.abc import Iterator

from countershaft.mechanics.train_doubts import DoubtKind, train_doubts
from countershaft.model.fields import Record
from countershaft.model.finding import Finding, Loc
from countershaft.model.train import Train

__all__ = ["doubts_of_train"]


def doubts_of_train(train: Train, here: Loc = ("train",)) -> Iterator[Finding]:
    """Every doubt about a train, at the line of the set, pair or member that it is about."""
    for doubt in train_doubts(train.network(), planets=train.planet_counts()):
        if doubt.kind is DoubtKind.UNTIED and doubt.along:
            places = [_key(train, doubt.along[0], doubt.about)]
        else:
            places = [place for name in (doubt.about, *doubt.along) for place in _place(train, name)]
        first, *others = places or [()]
        if doubt.kind is DoubtKind.TEETH and getattr(_part(train, doubt.about), "teeth", None) is not None:
            first = (*first, "teeth")
        along = tuple((*here, *place) for place in others)
        yield Finding((*here, *first), doubt.text, cure=doubt.cure, along=along)


def _part(train: Train, part_id: str) -> Record | None:
    """The set or pair of an id."""
    return next((part for part in (*train.sets, *train.pairs) if part.mechanical().id == part_id), None)


def _key(train: Train, part_id: str, member: str) -> Loc:
    """The key at which a set or pair names a member, where it names it by a key of its own."""
    part = _part(train, part_id)
    keys = [key for key in type(part).model_fields if getattr(part, key) == member] if part else []
    return (*(place for one in _place(train, part_id) for place in one), *keys[:1])


def _place(train: Train, name: str) -> Iterator[Loc]:
    """The set, pair, grounded or further member of a name, else the input or output."""
    for key, parts in (("sets", train.sets), ("pairs", train.pairs)):
        for index, part in enumerate(parts):
            if part.mechanical().id == name:
                yield (key, index)
                return
    for key, members in (("grounded", train.grounded), ("members", train.members)):
        if name in members:
            yield (key, members.index(name))
            return
    ends = {train.output: "output", train.input: "input"}
    if name in ends:
        yield (ends[name],)
