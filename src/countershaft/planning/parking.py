"""Parking: which removed fasteners may go straight back into their own holes, and which must stay out, and why.

A fastener in its own hole cannot be mixed up.  But it stands in the way of whatever still comes off through the
opening, or off the face, that it was removed to free.  What needs a step, directly or through others, may come off
through what that step opened; so the rule is: a fastener stays out while a step that needs its removal is still to
come and takes something off.  It is on the safe side: it keeps some out that would not be in the way.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from countershaft.errors import Unknown
from countershaft.planning.precedence import order

__all__ = ["Parking", "Removal", "parking"]


@dataclass(frozen=True, slots=True)
class Removal:
    """A step of taking apart, as parking sees it.

    `needs` are the steps that must come before it, either-ways included; `loosens` the joints whose fasteners come
    out; `takes_off` says whether a part leaves at this step.
    """

    id: str
    needs: tuple[str, ...] = ()
    loosens: tuple[str, ...] = ()
    takes_off: bool = True


@dataclass(frozen=True, slots=True)
class Parking:
    """Whether the fasteners of one joint may go back into their own holes now.

    `step` is the last step that takes them out.  `kept_out_by` names the steps still to come that take something off
    and need it; empty where they may be parked.  `since` names those that needed it and are over.
    """

    joint: str
    step: str
    kept_out_by: tuple[str, ...]
    since: tuple[str, ...]

    @property
    def may(self) -> bool:
        """They may go back into their own holes now."""
        return not self.kept_out_by


def parking(removals: Sequence[Removal], over: Collection[str] = ()) -> tuple[Parking, ...]:
    """Which joints' fasteners may be parked in their own holes once they are out.

    Parameters
    ----------
    removals : Sequence[Removal]
        Every step of the teardown.
    over : Collection[str]
        Steps that are done or skipped.

    Returns
    -------
    tuple[Parking, ...]
        One for each joint that a step loosens, in the order of the steps.

    Raises
    ------
    Unknown
        A step needs one that is not there.
    NoFeasibleOrder
        The needs form a circle.

    Notes
    -----
    That a bolt parked in its own hole cannot be mixed up is common practice, no source.

    Examples
    --------
    >>> pan = Removal("pan", loosens=("pan bolts",))
    >>> switch = Removal("switch", loosens=("switch bolts",))
    >>> pump = Removal("pump", needs=("pan",), loosens=("pump bolts",))
    >>> [(one.joint, one.may, one.kept_out_by) for one in parking([pan, switch, pump])]
    [('pan bolts', False, ('pump',)), ('switch bolts', True, ()), ('pump bolts', True, ())]
    >>> parking([pan, switch, pump], over=["pan", "pump"])[0].may
    True
    """
    following = _following(removals)
    by_id = {one.id: one for one in removals}
    loosened = {joint: one.id for one in removals for joint in one.loosens}
    found = []
    for joint, step in loosened.items():
        through = [one for one in following[step] if by_id[one].takes_off]
        found.append(
            Parking(
                joint,
                step,
                kept_out_by=tuple(one for one in through if one not in over),
                since=tuple(one for one in through if one in over),
            )
        )
    return tuple(found)


def _following(removals: Iterable[Removal]) -> Mapping[str, tuple[str, ...]]:
    """Step -> every step that needs it, directly or through others, in the order of the steps."""
    needs = {one.id: one.needs for one in removals}
    for key, required in needs.items():
        for need in required:
            if need not in needs:
                raise Unknown(
                    f"The step {key!r} needs {need!r}, and there is no such step. Name one that is there."
                )
    before: dict[str, set[str]] = {}
    for key in order(needs, first=tuple(needs)):
        before[key] = {need for direct in needs[key] for need in (direct, *before[direct])}
    return {key: tuple(other for other in needs if key in before[other]) for key in needs}
