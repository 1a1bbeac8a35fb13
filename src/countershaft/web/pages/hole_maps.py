"""The hole map of a joint as every page draws it: order, standing heights, what is done."""

from __future__ import annotations

from collections.abc import Mapping

from countershaft.figures.hole_map import Hole, HoleMap, hole_map
from countershaft.model.fasteners import Joint
from countershaft.planning.tightening import TighteningOrder

__all__ = ["drawn_joint", "order_words"]


def drawn_joint(
    joint: Joint,
    order: TighteningOrder[str],
    where: Mapping[str, tuple[float, float]],
    *,
    done: Mapping[str, int] | None = None,
    due: str | None = None,
    round_number: int = 1,
) -> str:
    """Draw a joint; `done` says how many rounds each place has had, `due` which place is next."""
    numbers = {place: number for number, place in enumerate(order.sequence or (), start=1)}
    had = done or {}
    holes = []
    for place_id in joint.place_ids:
        place, height = joint.place(place_id), joint.standing_height_mm(place_id)
        across, up = where.get(place_id, (None, None))
        holes.append(
            Hole(
                id=place_id,
                order=numbers.get(place_id),
                x_mm=across,
                y_mm=up,
                standing_height_mm=None if height is None else float(height),
                length_mm=None if place.length_mm is None else float(place.length_mm),
                done=had.get(place_id, 0) >= round_number,
                next=place_id == due,
                hand=joint.hand,
                href=None,
            )
        )
    rounds = len(joint.stages)
    complete = done is not None and due is None
    words = "all rounds done" if complete else joint.stages[min(round_number, rounds) - 1].words()
    return hole_map(HoleMap(joint.name, tuple(holes), min(round_number, rounds), rounds, words))


def order_words(joint: Joint, order: TighteningOrder[str]) -> str:
    """The order of a joint and where it comes from."""
    if order.pattern == "given":
        return "by number, as the file gives it"
    if order.pattern == "unknown" and not any(place.at_mm for place in joint.places):
        return joint.order_words or "no order is given, and no positions to compute one from"
    told = f"by number, computed: {order.reason}" if order.sequence and len(order.sequence) > 1 else ""
    return "; ".join(words for words in (joint.order_words or "", told) if words) or order.reason
