"""What comes off must go on again: parts by their counts, joints once each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from countershaft.model.finding import Finding, Loc
from countershaft.model.transmission import Transmission

__all__ = ["joint_balance", "part_balance"]

_PHASES = (("teardown", "off"), ("build", "on"))
_SAID = {"off": "comes off", "on": "goes on"}
_DONE = {"loosen": "loosened", "tighten": "tightened"}


def part_balance(transmission: Transmission) -> Iterator[Finding]:
    """Parts of which more is moved than there is, that stay and are moved, or that move only one way."""
    moved: dict[str, Counter[str]] = {key: Counter() for _, key in _PHASES}
    places: dict[tuple[str, str], Loc] = {}
    parts = {part.id: part for part in reversed(transmission.parts)}
    for phase, key in _PHASES:
        for index, step in enumerate(transmission.steps):
            for place, piece in enumerate(getattr(step, key) if step.phase == phase else ()):
                part = parts.get(piece.part)
                if part is None:
                    continue
                loc: Loc = ("steps", index, key, place)
                before = moved[key][part.id]
                moved[key][part.id] += piece.count or part.quantity
                places[part.id, key] = loc
                if part.stays:
                    yield Finding(
                        loc,
                        f"part {part.id} {part.name} stays, and {_SAID[key]} at {step.id}",
                        cure="Take it out of the step, or take stays away from the part.",
                    )
                elif before <= part.quantity < moved[key][part.id]:
                    yield Finding(
                        loc,
                        f"more of part {part.id} {part.name} {_SAID[key]} than there is",
                        expected=f"{part.quantity} in all {phase} steps together",
                        got=f"{moved[key][part.id]} up to here",
                        cure=f"Give each step its own count, or correct the quantity of {part.id}.",
                    )
    if _both_phases(transmission):
        yield from _one_way(transmission, moved, places)


def _one_way(
    transmission: Transmission, moved: dict[str, Counter[str]], places: dict[tuple[str, str], Loc]
) -> Iterator[Finding]:
    for part in transmission.parts:
        off, on = moved["off"][part.id], moved["on"][part.id]
        if off == on or part.stays or max(off, on) > part.quantity:
            continue
        more, less = ("off", "on") if off > on else ("on", "off")
        yield Finding(
            places[part.id, more],
            f"part {part.id} {part.name}: {off} off in the teardown, but {on} on in the build",
            expected="as many on as off",
            cure=f"Add {part.id} to {less!r} of a {'build' if less == 'on' else 'teardown'} step.",
        )


def joint_balance(transmission: Transmission) -> Iterator[Finding]:
    """Joints that are loosened or tightened twice, or only one of the two."""
    seen: dict[str, dict[str, Loc]] = {"loosen": {}, "tighten": {}}
    known = {joint.id: joint for joint in transmission.fasteners}
    for index, step in enumerate(transmission.steps):
        key = "loosen" if step.phase == "teardown" else "tighten"
        for place, joint in enumerate(getattr(step, key)):
            if joint not in known:
                continue
            loc: Loc = ("steps", index, key, place)
            if joint in seen[key]:
                first = transmission.steps[int(seen[key][joint][1])].id
                yield Finding(
                    loc,
                    f"joint {joint} {known[joint].name} is {_DONE[key]} twice",
                    got=f"the first time at {first}",
                    cure="Keep it at the step where it is really done.",
                )
            seen[key].setdefault(joint, loc)
    if not _both_phases(transmission):
        return
    for key, other in (("loosen", "tighten"), ("tighten", "loosen")):
        for joint, loc in seen[key].items():
            if joint not in seen[other]:
                yield Finding(
                    loc,
                    f"joint {joint} {known[joint].name} is {_DONE[key]} but never {_DONE[other]}",
                    expected="loosened in a teardown step and tightened in a build step",
                    cure=f"Add {joint} to {other!r} of a {'build' if other == 'tighten' else 'teardown'} step.",
                )


def _both_phases(transmission: Transmission) -> bool:
    return {step.phase for step in transmission.steps} == {"teardown", "build"}
