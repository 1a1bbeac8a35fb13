"""Times of pieces of work, and the lines of the table that shows them."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable

__all__ = ["median_ms", "medians_ms", "row"]


def median_ms(work: Callable[[], object], *, runs: int = 9) -> float:
    """Median time of a piece of work in milliseconds, by the clock, after one run that is not counted."""
    return _medians_ms((work,), runs, time.perf_counter)[0]


def medians_ms(*works: Callable[[], object], runs: int = 9) -> list[float]:
    """Median times of pieces of work that are done in turn and compared.

    It is the processor's time, and not the clock's: else what other programs do at the same moment is compared too.
    """
    return _medians_ms(works, runs, time.process_time)


def _medians_ms(works: tuple[Callable[[], object], ...], runs: int, now: Callable[[], float]) -> list[float]:
    times: list[list[float]] = [[] for _ in works]
    for work in works:
        work()
    for _ in range(runs):
        for work, taken in zip(works, times, strict=True):
            began = now()
            work()
            taken.append((now() - began) * 1000)
    return [statistics.median(taken) for taken in times]


def row(what: str, ours: float, peer: float | None, promise: str, peer_words: str = "") -> None:
    """Print one line of the table."""
    beside = f"{peer:9.2f} ms  {ours / peer:6.2f} ×  {peer_words}" if peer else ""
    print(f"{what:<44}{ours:9.2f} ms  {promise:<18}{beside}")
