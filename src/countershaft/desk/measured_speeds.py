"""What a measured pair of speeds says, in sentences; the page and the terminal share them."""

from __future__ import annotations

from collections.abc import Iterator

from countershaft.desk.train import TrainAnswer, element_label
from countershaft.figures.train_words import listed
from countershaft.mechanics.slip import SlipCandidate, SpeedExplanation
from countershaft.model.train import Train

__all__ = ["speeds_said"]


def speeds_said(train: Train, found: TrainAnswer) -> tuple[str, ...]:
    """The verdict, what the output asks for, and each element that alone would explain it; empty without a pair."""
    slip = found.slip
    if slip is None:
        return ()
    words = [f"{slip.verdict.value[:1].upper()}{slip.verdict.value[1:]}.", *_asked_for(slip)]
    if slip.fits and slip.gear not in slip.fits:
        words.append(f"The pair fits {listed(slip.fits)}.")
    words += [_candidate(train, one) for one in slip.candidates]
    words += _way(found, slip)
    return tuple(words)


def _asked_for(slip: SpeedExplanation) -> Iterator[str]:
    if slip.expected is None or slip.excess is None:
        return
    excess = round(abs(slip.excess))
    measured = f"{excess} rpm {'more' if slip.excess > 0 else 'less'} were measured"
    yield (
        f"The output asks for {slip.expected:.0f} rpm at the input; "
        f"{measured if excess else 'that was measured'}."
    )


def _candidate(train: Train, one: SlipCandidate) -> str:
    ending = " in its free direction, which is no fault." if one.overruns else "."
    return (
        f"{element_label(train, one.element)} alone would explain it, "
        f"slipping {abs(one.slip):.0f} ± {one.half_width:.0f} rpm{ending}"
    )


def _way(found: TrainAnswer, slip: SpeedExplanation) -> Iterator[str]:
    """Which way the torque must go for something to slip so: what slips under drive lets the input run ahead."""
    if slip.excess is None or slip.gear in slip.fits:
        return
    ahead = slip.excess > 0
    if slip.candidates and found.question.torque is None and not ahead:
        yield "The input falls behind: so it slips on coast only, while the vehicle drives the engine."
    if not slip.candidates and found.question.torque is not None and ahead != (found.question.torque > 0):
        yield (
            "On coast what slips lets the input fall behind; were the speeds measured under drive, leave out the minus."
            if ahead
            else "Under drive what slips lets the input run ahead; were the speeds measured on coast, "
            "give the torque a minus."
        )
