"""Invented readings at the housing for the demo shop: sweeps by a dial of hundredths, dowels by a gauge of tenths."""

from __future__ import annotations

from countershaft.job.entry import DowelSeen, HousingSwept

__all__ = ["demo_dowel", "demo_sweep"]


def demo_sweep(
    bore: tuple[str, str, str, str], *, face: str, when: str, after: str = "", answers: tuple[str, ...] = ()
) -> HousingSwept:
    """A sweep at 12, 3, 6 and 9 o'clock that came back to its first figure, in mm."""
    told = {
        "when": when,
        "after": after,
        "hours": ("12", "3", "6", "9"),
        "bore": bore,
        "bore_back": bore[0],
        "face_total": face,
        "unit": "mm",
        "instrument": "dial indicator",
        "resolution": "0.01",
        "answers": answers,
    }
    return HousingSwept.model_validate(told)


def demo_dowel(name: str, stands: str, *, when: str) -> DowelSeen:
    """How far a dowel stands out, in mm."""
    told = {"dowel": name, "when": when, "values": (stands,), "unit": "mm"}
    return DowelSeen.model_validate({**told, "instrument": "depth gauge", "resolution": "0.1"})
