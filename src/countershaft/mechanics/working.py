"""The working of a state: its constraints as a person writes them, the speeds they give, and the ratio."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from countershaft.mechanics.constraints import number
from countershaft.mechanics.states import StateKind, TrainState

__all__ = ["Working", "explain", "show_working"]


@dataclass(frozen=True, slots=True)
class Working:
    """One line per constraint, one per determined speed, and the sentence that they come to."""

    constraints: tuple[str, ...]
    speeds: tuple[str, ...]
    result: str


def show_working(state: TrainState) -> Working:
    """Lines that a page opens behind a ratio.

    Parameters
    ----------
    state : TrainState
        A solved state.

    Returns
    -------
    Working
        Constraints, speeds per input turn, and the result, as text.

    Examples
    --------
    >>> from countershaft.mechanics.gear_sets import SinglePinion
    >>> from countershaft.mechanics.network import Network
    >>> from countershaft.mechanics.states import solve_state
    >>> front = SinglePinion("front", "gnd", "K", "in", 47, 77)
    >>> state = solve_state(Network("in", "K", sets=(front,), grounded=("gnd",)), [])
    >>> for line in show_working(state).constraints:
    ...     print(line)
    front: 47·(gnd − K) = −77·(in − K)
    ground: gnd = 0
    input: in = 1
    >>> show_working(state).speeds
    ('in = 1', 'gnd = 0', 'K = 77/124 = 0.620968')
    >>> show_working(state).result
    'in : K = 124/77 = 1.61039'
    """
    return Working(
        constraints=tuple(row.text() for row in state.matrix.rows),
        speeds=tuple(f"{member} = {_both(speed)}" for member, speed in state.speeds.items()),
        result=explain(state),
    )


def explain(state: TrainState) -> str:
    """What a state comes to, in one or two sentences.

    Parameters
    ----------
    state : TrainState
        A solved state.

    Returns
    -------
    str [-]
        The text.

    Examples
    --------
    >>> from countershaft.mechanics.gear_sets import SinglePinion
    >>> from countershaft.mechanics.network import Network
    >>> from countershaft.mechanics.states import solve_state
    >>> set_ = SinglePinion("P", "in", "out", "R", 30, 72)
    >>> explain(solve_state(Network("in", "out", sets=(set_,)), []))
    'out and R float; 1 more element is needed.'
    """
    if state.kind == StateKind.TIE_UP:
        return _tie_up(state)
    motion, remarks = _motion(state), _remarks(state)
    stop = "." if remarks and not motion.endswith(".") else ""
    return " ".join([motion + stop, *remarks])


def _motion(state: TrainState) -> str:
    if state.ratio is not None:
        return f"{state.input} : {state.output} = {_both(state.ratio)}"
    if state.kind == StateKind.DEFINITE:
        return f"{state.output} stands still while {state.input} turns; the ratio is infinite."
    if state.output_at_rest and not state.missing:
        return f"{state.output} is held, and {state.input} drives nothing."
    floats = f"{_list(state.idle)} float{'s' if len(state.idle) == 1 else ''}"
    lead = f"{state.output} is held; " if state.output_at_rest else ""
    more = "element is" if state.missing == 1 else "elements are"
    return f"{lead}{floats}; {state.missing} more {more} needed."


def _remarks(state: TrainState) -> list[str]:
    remarks = []
    if state.kind == StateKind.DEFINITE and state.idle:
        remarks.append(f"Idle: {_list(state.idle)}.")
    if state.overrunning:
        remarks.append(f"Overrunning: {_list(state.overrunning)}.")
    if state.catching:
        remarks.append(f"Not listed, but held by the motion: {_list(state.catching)}.")
    if state.redundant:
        remarks.append(f"Changes nothing: {_list(state.redundant, 'or')}.")
    return remarks


def _tie_up(state: TrainState) -> str:
    if not state.fighting:
        return (
            f"{state.input} cannot turn even with nothing applied; look at sets, pairs and grounded members."
        )
    fights = [
        f"{_list(names)} fight" if len(names) > 1 else f"{names[0]} alone holds it"
        for names in state.fighting
    ]
    frees = [_list(names) for names in state.frees]
    caught = f" Not listed, but held by the motion: {_list(state.catching)}." if state.catching else ""
    cure = f"Let go of {_few(frees, ', or ')} to free it."
    return f"{state.input} cannot turn: {_few(fights, '; ')}. {cure}{caught}"


def _few(texts: list[str], between: str) -> str:
    """The first four texts, and how many more there are."""
    more = len(texts) - 4
    return between.join([*texts[:4], f"{more} more"] if more > 0 else texts)


def _both(value: Fraction) -> str:
    exact = number(value)
    return f"{exact} = {float(value):.6g}".replace("-", "−") if "/" in exact else exact


def _list(names: tuple[str, ...], word: str = "and") -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} {word} {names[-1]}"
