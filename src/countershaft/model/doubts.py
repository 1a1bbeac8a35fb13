"""What a readable file says that can hardly be so, or leaves out so that something stays unknown.

A doubt is no fault: the file is used as it stands, since it may describe what is.  Whoever finds another kind of
doubt adds its function to `doubts`; `countershaft check` prints them all as warnings at their lines.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from countershaft.errors import BadInput, OutOfRange
from countershaft.mechanics.bearing_face import HEADS
from countershaft.mechanics.bolt_check import Answer, BoltedPlace, check_bolt
from countershaft.mechanics.network import nearest
from countershaft.mechanics.property_class import strength
from countershaft.mechanics.tapped_material import MATERIALS
from countershaft.model.bolting import bolted_place, friction_band
from countershaft.model.fasteners import Joint
from countershaft.model.finding import Finding, Loc
from countershaft.model.train_doubts import doubts_of_train
from countershaft.model.transmission import Transmission

__all__ = ["doubts"]

#: A line of the bolt check that came out bad -> the key that it hangs on.
_KEYS = {
    "reach": "length_mm",
    "bottom reserve": "length_mm",
    "stripping": "stages",
    "share of proof load": "stages",
    "equivalent stress": "stages",
}


def doubts(transmission: Transmission) -> tuple[Finding, ...]:
    """Every doubt about a file that has no fault."""
    of_train = doubts_of_train(transmission.train) if transmission.train is not None else ()
    return (*of_train, *_of_joints(transmission))


def _of_joints(transmission: Transmission) -> Iterator[Finding]:
    for index, joint in enumerate(transmission.fasteners):
        here: Loc = ("fasteners", index)
        yield from _unknown_words(joint, here)
        yield from _missing(joint, here)
        yield from _impossible(joint, here)


def _unknown_words(joint: Joint, here: Loc) -> Iterator[Finding]:
    """Words that no table knows, so that what hangs on them stays unknown."""
    thread = joint.screw_thread()
    if thread.caution is not None:
        yield Finding((*here, "thread"), thread.caution.removesuffix("."))
    if joint.strength is not None and joint.kind != "nut":
        try:
            strength(joint.strength, thread)
        except (BadInput, OutOfRange) as reason:
            yield Finding((*here, "strength"), str(reason).removesuffix("."), cure="Read the head again.")
    heads: list[tuple[Loc, str | None, str]] = [((*here, "under_head"), joint.under_head, "material")]
    heads += [((*here, "into"), joint.into, "material")]
    heads += [
        ((*here, "places", place, "into"), own.into, "material") for place, own in enumerate(joint.places)
    ]
    for loc, word, what in heads:
        if word is not None and word not in MATERIALS:
            yield Finding(
                loc,
                f"the {what} {word!r} is in no table, so stripping and pressure stay unknown",
                expected=f"one of {', '.join(MATERIALS)}",
                cure=_first_upper(nearest(word, MATERIALS)),
            )
    if joint.head is not None and joint.bearing_mm is None and joint.last_torque is not None:
        yield from _head(joint, here)


def _head(joint: Joint, here: Loc) -> Iterator[Finding]:
    known = HEADS.get(joint.head or "")
    sizes = known[1] if known is not None else {}
    thread = joint.screw_thread()
    if thread.system == "metric" and thread.diameter_mm in sizes:
        return
    what = f"no {joint.head} head of {joint.thread}" if known is not None else f"no head {joint.head!r}"
    yield Finding(
        (*here, "head"),
        f"the tables know {what}, so the preload of its torque stays unknown",
        expected=f"one of {', '.join(HEADS)} in a size of its table, or bearing_mm and hole_mm",
        cure="Measure the face under the head and its hole.",
    )


def _missing(joint: Joint, here: Loc) -> Iterator[Finding]:
    if joint.kind not in ("bolt", "stud"):
        return
    for loc, places in _by_place(joint, here):
        place = joint.place(places[0])
        missing = [key for key in ("length_mm", "grip_mm") if getattr(place, key) is None]
        if missing:
            yield Finding(
                loc,
                f"{_of(joint, places)}: {' and '.join(missing)} {'is' if len(missing) == 1 else 'are'} not given, "
                "so standing height, engagement and mix-ups stay unknown",
                cure="Measure under the head, and everything that is clamped.",
            )


def _impossible(joint: Joint, here: Loc) -> Iterator[Finding]:
    """Bolts longer than their hole or too short for it, and torques that the bolt or the thread cannot bear."""
    told: set[str] = set()
    for loc, places in _by_place(joint, here):
        bad: dict[str, list[str]] = {}
        for answer in _answers(bolted_place(joint, places[0]), friction_band(joint)):
            if answer.verdict == "bad" and answer.name in _KEYS:
                bad.setdefault(_KEYS[answer.name], []).append(f"{answer.name}: {answer.words}")
        for key, lines in bad.items():
            words = "; ".join(lines)
            if key == "stages" and words in told:
                continue
            told.add(words)
            yield Finding(
                (*here, key) if key == "stages" else _where(joint, loc, here, key),
                f"{_of(joint, places)}, {words}",
                cure="Measure it on the unit, or look at the source again.",
            )


@lru_cache(maxsize=512)
def _answers(place: BoltedPlace, friction: tuple[float, float]) -> tuple[Answer, ...]:
    return check_bolt(place, friction=friction)


def _by_place(joint: Joint, here: Loc) -> Iterator[tuple[Loc, tuple[str, ...]]]:
    """Places that are alike in all that counts, told once, at the first of them."""
    groups: dict[BoltedPlace, list[str]] = {}
    for place_id in joint.place_ids if joint.places else joint.place_ids[:1]:
        groups.setdefault(bolted_place(joint, place_id), []).append(place_id)
    for alike in groups.values():
        if joint.places and len(groups) > 1:
            yield (*here, "places", joint.place_ids.index(alike[0])), tuple(alike)
        else:
            yield here, tuple(alike)


def _where(joint: Joint, loc: Loc, here: Loc, key: str) -> Loc:
    """The key of the place where the place says it itself, else that of the joint."""
    if loc != here and getattr(joint.places[int(loc[-1])], key) is not None:
        return (*loc, key)
    return (*here, key)


def _of(joint: Joint, places: tuple[str, ...]) -> str:
    return f"{joint.id} {joint.name}" if not joint.places else f"{joint.name} {', '.join(places)}"


def _first_upper(text: str) -> str:
    return text[0].upper() + text[1:]
