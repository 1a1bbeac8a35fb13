"""A timeline of work: who does what when, and how the unit lies; long work stands in several strips."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from countershaft.errors import OutOfRange
from countershaft.figures.canvas import Box, Canvas, text_width, wrap

__all__ = ["Bar", "Lane", "Timeline", "work_timeline"]

TEXT: Final = 20.0
WIDTH: Final = 780.0
#: Height of a bar, from one lane to the next, over the first lane for the hours, and under the last.
_BAR, _LANE, _HEAD, _FOOT = 34.0, 46.0, 34.0, 26.0
_STRIPS: Final = 6
#: Lengths that a strip may have, in minutes, with the distance of its ticks.
_LENGTHS: Final = ((30, 5), (60, 10), (120, 30), (180, 30), (240, 60), (360, 60), (480, 60), (960, 120))

Kind = Literal["work", "set-up", "lies"]


@dataclass(frozen=True, slots=True)
class Bar:
    """Something that lasts from one minute to another; `kind` says how it is drawn."""

    label: str
    begins_min: float
    ends_min: float
    kind: Kind = "work"


@dataclass(frozen=True, slots=True)
class Lane:
    """One row of bars that follow each other."""

    name: str
    bars: tuple[Bar, ...]


@dataclass(frozen=True, slots=True)
class Timeline:
    """Lanes under one clock that begins at 0."""

    title: str
    lanes: tuple[Lane, ...]

    @property
    def total_min(self) -> float:
        """When the last bar ends."""
        return max((bar.ends_min for lane in self.lanes for bar in lane.bars), default=0.0)


def work_timeline(timeline: Timeline) -> str:
    """Draw the timeline and return its SVG text."""
    _check(timeline)
    length, tick = _strip(timeline.total_min)
    strips = max(1, -int(-timeline.total_min // length))
    head = wrap(timeline.title, TEXT, WIDTH, 2)
    top = 30.0 * len(head)
    high = _HEAD + _LANE * len(timeline.lanes) + _FOOT
    canvas = Canvas(WIDTH, top + high * strips + 30.0, title=timeline.title, description=_words(timeline))
    for index, words in enumerate(head):
        canvas.text(0, TEXT + 30.0 * index, words, TEXT, "d-strong")
    left = max((text_width(lane.name, TEXT) for lane in timeline.lanes), default=0.0) + 16.0
    scale = (WIDTH - 12.0 - left) / length
    for number in range(strips):
        first = number * length
        frame = _Frame(canvas, left, top + high * number, first, scale)
        _clock(frame, length, tick, len(timeline.lanes))
        for row, lane in enumerate(timeline.lanes):
            _lane(frame, lane, row, first + length)
    canvas.text(
        0,
        top + high * strips + TEXT,
        "Filled: turning the unit, changing tools. Clock in hours.",
        TEXT,
        "d-quiet",
    )
    return canvas.svg()


@dataclass(frozen=True, slots=True)
class _Frame:
    """One strip: where it stands and which minute it begins with."""

    canvas: Canvas
    left: float
    top: float
    first: float
    scale: float

    def x(self, minute: float) -> float:
        return self.left + (minute - self.first) * self.scale


def _check(timeline: Timeline) -> None:
    """Refuse what cannot be drawn as meant."""
    for lane in timeline.lanes:
        end = 0.0
        for bar in lane.bars:
            if bar.ends_min < bar.begins_min or bar.begins_min < end - 1e-9:
                raise OutOfRange(
                    f"timeline {timeline.title!r}, {lane.name}: {bar.label!r} lasts from {bar.begins_min:g} to "
                    f"{bar.ends_min:g} min after one that ends at {end:g} min; bars follow each other in time."
                )
            end = bar.ends_min


def _strip(total: float) -> tuple[int, int]:
    """The shortest strip with which the work stands in few strips, and the distance of its ticks."""
    for length, tick in _LENGTHS:
        if total <= length * _STRIPS:
            return length, tick
    length = -int(-total // (_STRIPS * 480)) * 480
    return length, length // 8


def _clock(frame: _Frame, length: int, tick: int, lanes: int) -> None:
    canvas, first = frame.canvas, int(frame.first)
    bottom = frame.top + _HEAD + _LANE * lanes - (_LANE - _BAR)
    for minute in range(first, first + length + 1, tick):
        x = frame.x(minute)
        canvas.line(x, frame.top + _HEAD - 6.0, x, bottom, "d-hair")
        text = f"{minute // 60}:{minute % 60:02d}"
        end = x + text_width(text, TEXT) / 2 > WIDTH
        canvas.text(
            min(x, WIDTH) if end else x,
            frame.top + _HEAD - 12.0,
            text,
            TEXT,
            "d-quiet",
            "end" if end else "middle",
        )


def _lane(frame: _Frame, lane: Lane, row: int, last: float) -> None:
    """The name of a lane and what of its bars falls into the strip."""
    top = frame.top + _HEAD + _LANE * row
    base = top + _BAR * 0.5 + TEXT * 0.35
    frame.canvas.text(
        0, base, lane.name, TEXT, "d-quiet" if lane.bars and lane.bars[0].kind == "lies" else ""
    )
    for bar in lane.bars:
        begins, ends = max(bar.begins_min, frame.first), min(bar.ends_min, last)
        if ends <= begins:
            continue
        box = Box(frame.x(begins), top, frame.x(ends), top + _BAR)
        if bar.kind == "set-up":
            frame.canvas.rect(Box(box.left, top + _BAR * 0.3, box.right, top + _BAR * 0.7), "d-solid")
            continue
        frame.canvas.rect(box, "d-head" if bar.kind == "work" else "d-slot d-hair")
        label = _fitting(bar.label, box.right - box.left - 8.0)
        if label:
            frame.canvas.text((box.left + box.right) / 2, base, label, TEXT, "", "middle")


def _fitting(label: str, width: float) -> str:
    """The label, or what of it stands before the first comma; nothing where neither fits."""
    return next((one for one in (label, label.partition(",")[0]) if text_width(one, TEXT) <= width), "")


def _words(timeline: Timeline) -> str:
    """What the drawing shows, lane by lane."""
    return " ".join(f"{lane.name}: {'; '.join(_told(lane.bars))}." for lane in timeline.lanes if lane.bars)


def _told(bars: Sequence[Bar]) -> Iterator[str]:
    for bar in bars:
        if bar.kind != "set-up":
            yield f"{bar.label} from {_time(bar.begins_min)} to {_time(bar.ends_min)}"


def _time(minutes: float) -> str:
    whole = round(minutes)
    return f"{whole // 60}:{whole % 60:02d}"
