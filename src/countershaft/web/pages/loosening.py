"""In which order a joint is loosened, in words."""

from __future__ import annotations

from countershaft.job.state import JobState
from countershaft.model.fasteners import Joint
from countershaft.planning.tightening import loosening_rounds
from countershaft.stages.fastening import order_of

__all__ = ["loosening_words"]


def loosening_words(state: JobState, joint: Joint) -> str:
    """The order of tightening turned round, every one eased before any comes out; "" where there is only one."""
    if len(joint.place_ids) == 1:
        return ""
    order = order_of(state, joint)
    eased, out = (one.action for one in loosening_rounds(order.sequence or joint.place_ids))
    if order.loosening is None:
        return f"{eased} each, then {out}, from the outside inward (common practice, no source)"
    why = (
        "of tightening" if order.pattern == "given" else f"of tightening, which is computed ({order.pattern})"
    )
    return f"{eased} each, then {out}, in reverse {why}: {', '.join(order.loosening)}"
