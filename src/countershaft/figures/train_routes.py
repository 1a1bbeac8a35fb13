"""Ways of all members of a train on one board per axis, found in the order that crosses least."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import product
from math import inf
from random import Random

from countershaft.figures.train_axes import Column, Plane, Schematic, arrange, members_of
from countershaft.figures.train_bodies import BODY, PORT_LOW, TOP, Blueprint, blueprint
from countershaft.figures.train_router import CROSSING, UPWARD, Board
from countershaft.figures.train_sites import ground, place_element
from countershaft.figures.train_strips import PLAIN_TOP, Strip, Tracks
from countershaft.mechanics.gear_sets import Ravigneaux
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import (
    Brake,
    Clutch,
    Element,
    OneWayBetween,
    OneWayToGround,
    Sleeve,
)

__all__ = ["routed"]

_TRACKS = 4
_TRACK, _OWN, _OTHER = 0.35, 1.0, 0.6
_LIFT, _PLAIN = 0.3, 2.0
_ROUNDS = 3
_MISSED = 1000.0
_SHUFFLES = 36
_KEPT = 3
"""How many first jobs of an order are kept for other orders that begin alike; longer beginnings seldom come again."""


Job = tuple[str, str]


@dataclass(frozen=True)
class _Task:
    """What one strip has to hold."""

    schematic: Schematic
    tracks: Tracks
    axis: int
    mirrored: tuple[int, ...]

    @property
    def members(self) -> tuple[str, ...]:
        return self.schematic.axes[self.axis]

    @property
    def elements(self) -> list[Element]:
        return [e for e in self.schematic.elements if self.schematic.axis_of[e.members[0]] == self.axis]


@lru_cache(maxsize=64)
def routed(network: Network) -> tuple[Schematic, Tracks, tuple[Strip, ...]]:
    """Lay all members of a network; the same network gives the same ways."""
    schematic = arrange(network)
    tracks = _tracks(schematic.columns)
    strips = tuple(_best_strip(schematic, tracks, axis) for axis in range(len(schematic.axes)))
    missed = dict.fromkeys(name for strip in strips for name in strip.missed)
    lost = tuple(f"the way to all of {name}" for name in missed)
    return replace(schematic, left_out=schematic.left_out + lost), tracks, strips


def _tracks(columns: Sequence[Column]) -> Tracks:
    starts, widths, at = [], [], 1 + _TRACKS
    for column in columns:
        width = _plane_width(column) if isinstance(column, Plane) else blueprint(column).columns
        starts.append(at)
        widths.append(width)
        at += width + _TRACKS
    return Tracks(tuple(starts), tuple(widths), at + 1)


def _plane_width(plane: Plane) -> int:
    """One column; a second for the web of a wheel with inner teeth."""
    return 2 if plane.pairs[0].internal else 1


def _best_strip(schematic: Schematic, tracks: Tracks, axis: int) -> Strip:
    """The cheapest strip over the ways round of its Ravigneaux sets and over orders of laying.

    First the natural order, then others: costly jobs first, and shuffles that are always the same.
    """
    turnable = [
        index
        for index, column in enumerate(schematic.columns)
        if isinstance(column, Ravigneaux) and schematic.axis_of_body(column) == axis
    ]
    turns = product((False, True), repeat=min(len(turnable), 2))
    tasks = [
        _Task(schematic, tracks, axis, tuple(i for i, turn in zip(turnable, flags, strict=False) if turn))
        for flags in turns
    ]
    laying = [_Laying(task) for task in tasks]
    best, prices = min(
        (_promoted(each, _natural_order(each.task)) for each in laying), key=lambda laid: laid[0].board.cost
    )
    shuffle = Random(axis)  # noqa: S311  # a fixed seed: the same train is always drawn alike
    for index in range(_SHUFFLES if max(prices.values(), default=0.0) >= CROSSING else _SHUFFLES // 3):
        each = laying[index % len(laying)]
        trial = _natural_order(each.task)
        shuffle.shuffle(trial)
        strip, _ = _promoted(each, trial, best.board.cost + CROSSING)
        if strip.board.cost < best.board.cost - 0.5:
            best = strip
    return best


def _promoted(laying: _Laying, order: list[Job], limit: float = inf) -> tuple[Strip, dict[Job, float]]:
    """Lay in an order, then again with every costly job moved to the front, as long as that helps."""
    best, prices = laying.laid(order, limit)
    for _ in range(_ROUNDS if best.board.cost < limit else 0):
        for job in sorted(prices, key=lambda job: (-prices[job], job)):
            if prices[job] < CROSSING:
                continue
            trial = [job, *(other for other in order if other != job)]
            strip, trial_prices = laying.laid(trial, best.board.cost)
            if strip.board.cost < best.board.cost - 0.5:
                best, prices, order = strip, trial_prices, trial
                break
        else:
            break
    return best, prices


def _natural_order(task: _Task) -> list[Job]:
    members = [("member", member) for member in task.members]
    ranks = {Clutch: 0, Sleeve: 1, OneWayBetween: 2, Brake: 3, OneWayToGround: 4}
    elements = sorted(task.elements, key=lambda element: ranks[type(element)])
    grounds = [("ground", member) for member in task.schematic.network.grounded if member in task.members]
    return [*members, *grounds, *(("element", element.id) for element in elements)]


class _Laying:
    """Strips laid in one order after the other; how an order began is kept for others that begin alike."""

    def __init__(self, task: _Task) -> None:
        self.task = task
        self._elements = {element.id: element for element in task.elements}
        fresh = _fresh(task)
        tied = {member for each in task.elements if isinstance(each, Sleeve) for member in each.members}
        # What is in one piece from the start stays so, unless a sleeve gives it another.
        self._whole = {
            ("member", member)
            for member in task.members
            if member not in tied and len(fresh.board.parts[member]) == 1
        }
        self._begun: dict[tuple[Job, ...], tuple[Strip, dict[Job, float]]] = {(): (fresh, {})}
        self._done: dict[tuple[Job, ...], tuple[Strip, dict[Job, float], float]] = {}

    def laid(self, order: Iterable[Job], limit: float = inf) -> tuple[Strip, dict[Job, float]]:
        """A strip with everything laid in this order, and what each job cost; given up over the limit."""
        jobs = tuple(job for job in order if job not in self._whole)
        if jobs in self._done:
            strip, prices, tried = self._done[jobs]
            if strip.board.cost < tried or limit <= tried:
                return strip, prices
        strip, prices = self._laid(jobs, limit)
        self._done[jobs] = strip, prices, limit
        return strip, prices

    def _laid(self, jobs: tuple[Job, ...], limit: float) -> tuple[Strip, dict[Job, float]]:
        known = next(jobs[:n] for n in range(min(_KEPT, len(jobs)), -1, -1) if jobs[:n] in self._begun)
        begun, begun_prices = self._begun[known]
        strip, prices = begun.copy(), begun_prices.copy()
        board = strip.board
        for place, job in enumerate(jobs[len(known) :], len(known) + 1):
            before = board.cost
            if before >= limit:
                return strip, prices
            # Over the limit nothing counts, and a job that is missed leads there too.
            board.limit = limit if limit - before < _MISSED else inf
            self._lay(strip, job)
            prices[job] = board.cost - before
            if place <= _KEPT and board.cost < limit:
                self._begun[jobs[:place]] = strip.copy(), prices.copy()
        if board.cost < limit:
            for member in self.task.members:
                self._lay(strip, ("member", member))
                board.settle(member)
        return strip, prices

    def _lay(self, strip: Strip, job: Job) -> None:
        kind, name = job
        if kind == "member":
            done = strip.board.connect(name)
        elif kind == "ground":
            done = ground(strip, name)
        else:
            done = place_element(strip, self._elements[name])
        if not done:
            strip.board.cost += _MISSED
            strip.missed += (name,)


def _fresh(task: _Task) -> Strip:
    """The board of an axis with its sets, wheels and shaft ends on it, and nothing connected."""
    schematic, tracks = task.schematic, task.tracks
    bodies = {
        index: blueprint(column, mirrored=index in task.mirrored)
        for index, column in enumerate(schematic.columns)
        if not isinstance(column, Plane) and schematic.axis_of_body(column) == task.axis
    }
    plain = not bodies
    wheeled = [
        index
        for index, column in enumerate(schematic.columns)
        if isinstance(column, Plane) and any(wheel.member in task.members for wheel in column.wheels)
    ]
    own = {column for index in (*bodies, *wheeled) for column in tracks.of(index)}
    steps = _steps(tracks, own, _PLAIN if plain else 1.0)
    slots = tuple(0 < c < tracks.total - 2 and not {c, c + 1} & own for c in range(tracks.total - 1))
    closed = {(tracks.starts[i] + c, r) for i, plan in bodies.items() for c, r in plan.closed}
    board = Board((PLAIN_TOP if plain else TOP) + 1, steps, slots, closed, _LIFT if plain else 0.0)
    board.tight = () if plain else range(BODY, BODY + 5)
    pins = frozenset((tracks.starts[i] + c, r) for i, plan in bodies.items() for c, r in plan.pins)
    strip = Strip(task.axis, plain, board, bodies, pins=pins, turned=task.mirrored)
    board.busy.update(member for element in task.elements for member in element.members)
    board.busy.update(member for column in schematic.columns for member in members_of(column))
    for index, plan in bodies.items():
        _set_body(board, tracks.starts[index], plan)
    _set_wheels(strip, task)
    _set_ends(board, task)
    return strip


def _steps(tracks: Tracks, own: set[int], factor: float) -> tuple[float, ...]:
    """The price of going from each column to the next: through the axis' own sets dearest, on tracks cheapest."""
    between = set(range(tracks.total)) - {c for i in range(len(tracks.starts)) for c in tracks.of(i)}
    return tuple(
        factor * (_OWN if {c, c + 1} & own else _TRACK if {c, c + 1} <= between else _OTHER)
        for c in range(tracks.total - 1)
    )


def _set_body(board: Board, start: int, plan: Blueprint) -> None:
    for member, cells in plan.ports:
        board.add_part(member, [(start + column, row) for column, row in cells])
    for member, low, high in plan.plates:
        for row in range(low[1], high[1]):
            board.edges[(start + low[0], row), UPWARD] = member


def _set_wheels(strip: Strip, task: _Task) -> None:
    """Give each wheel on this axis the cell from which its stem leads to its teeth."""
    schematic = task.schematic
    for index, column in enumerate(schematic.columns):
        if not isinstance(column, Plane):
            continue
        for wheel in column.wheels:
            if wheel.member in task.members:
                others = [w.member for w in column.wheels if w.member != wheel.member]
                above = any(schematic.axis_of[other] < task.axis for other in others)
                upward = strip.plain or above
                rows = range(strip.board.height if upward else PORT_LOW + 1)
                at = task.tracks.starts[index] + (1 if column.ring == wheel else 0)
                below = any(schematic.axis_of[other] > task.axis for other in others)
                if below:
                    strip.downward |= {(index, wheel.member)}
                stem = strip.board.add_stem(wheel.member, at, rows, upward=upward)
                strip.stems[index, wheel.member] = stem


def _set_ends(board: Board, task: _Task) -> None:
    """Lead input and output, and shafts that no wheel holds, in from the ends of the axis."""
    network, last = task.schematic.network, board.width - 1
    if network.input in task.members:
        board.add_part(network.input, [(0, 0)])
    if network.output in task.members:
        board.add_part(network.output, [(last, 0)])
    row = 1
    for member in task.members:
        if member not in board.parts:
            board.add_part(member, [(0, row)])
            row = min(row + 1, board.height - 1)
