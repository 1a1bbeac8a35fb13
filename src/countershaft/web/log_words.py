"""What an entry of the log says, in one line of words."""

from __future__ import annotations

from typing import Any

from countershaft.desk.desk import OpenJob
from countershaft.job.entry import (
    Body,
    CameOff,
    FitLeft,
    FitMeasured,
    MeasuredBlind,
    Moved,
    Photo,
    PriceList,
    Reading,
    SizesCounted,
    Worked,
)
from countershaft.model.transmission import Transmission
from countershaft.papers.measured import taken_words
from countershaft.sums.register import SUMS
from countershaft.web.housing_words import HOUSING_KINDS, housing_words

__all__ = ["say"]

#: Fields of entries that hold the id of something in the transmission file.
_NAMES = ("step", "part", "limit", "fit", "joint")

#: Fields whose text says enough without the field's name.
_PLAIN = ("when", "words", "because", "what", "tag", "result", "how", "warranty")

#: Endings of field names, and the unit that they stand for.
_UNITS = {"_mm": " mm", "_c": " °C", "_km": " km"}


def say(job: OpenJob, body: Body) -> str:
    """What an entry says, in one line: its fields by name, ids with their words."""
    named = _named(job.transmission)
    own = _own(body, named)
    if own:
        return own
    said: list[str] = []
    for name, value in body:
        if name in ("kind", "digest", "definition") or value in (None, "", (), False):
            continue
        if name == "target":
            target = next((entry for entry in job.state.entries if entry.id == value), None)
            said.append(
                f"{target.body.kind.replace('_', ' ')} of {target.at:%d %b %H:%M}" if target else str(value)
            )
        elif name in _NAMES:
            said.append(named.get(str(value), str(value)))
        elif name == "about":
            said.append(f"at {named.get(str(value), str(value))}")
        elif name in ("placed", "stowed", "heads", "seen", "ahead", "form", "readings", "taken"):
            said += _where(name, value, named)
        elif name == "values_mm" and isinstance(value, dict):
            said += [f"{key}: {', '.join(map(str, numbers))} mm" for key, numbers in value.items()]
        else:
            said.append(_plain(name, value))
    if isinstance(body, Photo) and not said:
        return "a photo"
    return "; ".join(said)


def _own(body: Body, named: dict[str, str]) -> str:
    """What kinds with words of their own say; empty for all others."""
    if isinstance(body, HOUSING_KINDS):
        return housing_words(body)
    if isinstance(body, MeasuredBlind):
        return _blind(body)
    if isinstance(body, SizesCounted | PriceList):
        return _stock(body)
    if isinstance(body, Moved):
        return _moved(body, named)
    if isinstance(body, Worked):
        return _worked(body, named)
    if isinstance(body, FitMeasured | FitLeft):
        return _figures(body, named)
    return _reading(body, named) if isinstance(body, Reading) else ""


def _figures(body: FitMeasured | FitLeft, named: dict[str, str]) -> str:
    """The figures of a fit by name, and on which bearings and how they were read."""
    told = [f"{one.name}: {', '.join(map(str, one.values))} {one.unit}" for one in body.figures]
    taken = taken_words(body.taken) if body.taken is not None else ""
    bearings = f"bearings {body.bearings}" if body.bearings else ""
    return "; ".join(filter(None, (named.get(body.fit, body.fit), *told, bearings, body.typed, taken)))


def _worked(body: Worked, named: dict[str, str]) -> str:
    """A bench sum: what it is about, and what was typed into it."""
    one = SUMS.get(body.calculation)
    labels = {field.name: field.label for field in one.fields} if one else {}
    about = [named.get(name, name) for name in (body.limit, body.part) if name]
    typed = [f"{labels.get(name, name)} {text}" for name, text in body.typed.items()]
    return "; ".join([one.title if one else body.calculation, *about, body.when, *typed])


def _stock(body: SizesCounted | PriceList) -> str:
    """What was counted, or what can be ordered, size by size."""
    if isinstance(body, SizesCounted):
        there = [f"{one.count} × {one.size_mm} mm" for one in body.counts if one.count]
        return f"{body.family}: {', '.join(there) or 'none'}"
    lines = [
        f"{one.size_mm} mm at {one.price_cents // 100}.{one.price_cents % 100:02d} in {one.days} days"
        for one in body.lines
    ]
    return f"{body.family}: {'; '.join(lines) or 'nothing to order'}, in {body.currency}"


def _blind(body: MeasuredBlind) -> str:
    """Who measured what; the figures stay blind until all have measured."""
    return f"{body.comparison}: {body.person}, piece {body.piece}, {len(body.values)} readings"


def _reading(body: Reading, named: dict[str, str]) -> str:
    """As found, trial or as left; what was read, each figure at its place; and how it was taken."""
    places = body.taken.places if body.taken else ()
    figures = [str(value) for value in body.values]
    if len(places) == len(figures):
        figures = [f"{place} {figure}" for place, figure in zip(places, figures, strict=True)]
    listed = body.taken is not None and body.taken.used is not None
    told = (
        named.get(body.limit, body.limit),
        body.when,
        f"{', '.join(figures)} {body.unit}",
        "" if listed else f"on {body.instrument}, steps of {body.resolution} {body.unit}",
        taken_words(body.taken),
    )
    return "; ".join(words for words in told if words)


def _where(name: str, value: Any, named: dict[str, str]) -> list[str]:
    """Where pieces went; which heads stood how high; what was read at which place."""
    if name == "taken":
        return [words for words in (taken_words(value),) if words]
    if name == "heads":
        return [
            f"{one.place} stands {one.height_mm} mm"
            if one.height_mm is not None
            else f"{one.place} holds a bolt of {one.length_mm} mm"
            for one in value
        ]
    if name == "form":
        return [value.words]
    if name == "readings":
        return [f"{one.place}: {' / '.join(map(str, one.values))}" for one in value]
    if name == "seen":
        return _seen(value)
    if name == "ahead":
        return [f"ahead of {named.get(step, step)}" for step in value]
    if name == "placed":
        return [f"{one.count} × {named.get(one.part, one.part)} to {one.place}" for one in value]
    return [f"{one.count} of {named.get(one.joint, one.joint)}: {one.spot.words()}" for one in value]


def _moved(body: Moved, named: dict[str, str]) -> str:
    """What went from where to where, and why."""
    what = named.get(body.what, body.what)
    pieces = f"{body.count} × {what}" if body.sort == "part" else f"{body.count} of {what}"
    told = (
        f"{pieces}, from {body.start.words()}: {'now in ' if body.to.how == 'place' else ''}{body.to.words()}"
    )
    return "; ".join(filter(None, (told, body.words)))


def _seen(off: CameOff) -> list[str]:
    """What came off where no file has the step."""
    with_it = [f"with {one.count} × {one.size}" for one in off.fasteners]
    together = ["together with the one before"] if off.together else []
    return [f"{off.count} × {off.what}", *with_it, *together, *([off.remark] if off.remark else [])]


def _named(unit: Transmission) -> dict[str, str]:
    """Id -> what a person calls it, for everything in the file that an entry can be about."""
    found = {one.id: one.name for one in unit.fasteners} | {one.id: one.name for one in unit.limits}
    found |= {one.id: one.name for one in unit.all_fits}
    found |= {one.id: f"{one.id} {one.name}" for one in unit.parts}
    for one in (*unit.phase("teardown"), *unit.phase("build")):
        found[one.id] = f"{one.id} {one.title}"
    return found


def _plain(name: str, value: object) -> str:
    words = ", ".join(str(getattr(one, "value", one)) for one in value) if isinstance(value, tuple) else None
    text = words if words is not None else str(getattr(value, "value", value))
    if value is True:
        return name.replace("_", " ")
    if name in _PLAIN:
        return text
    ending = next((ending for ending in _UNITS if name.endswith(ending)), "")
    return f"{name.removesuffix(ending).replace('_', ' ')} {text}{_UNITS.get(ending, '')}"
