"""An invented six-speed: a single-pinion set in front of a Ravigneaux set, a one-way clutch beside a brake."""

from __future__ import annotations

from countershaft.mechanics.gear_sets import Ravigneaux, SinglePinion
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import Brake, Clutch, OneWayToGround

__all__ = ["SIX_SPEED"]

SIX_SPEED = Network(
    "in",
    "out",
    sets=(
        SinglePinion("front", "gnd", "K", "in", 40, 80),
        Ravigneaux("rear", "Ss", "Sl", "C", "out", 30, 36, 78),
    ),
    grounded=("gnd",),
    elements=(
        Clutch("A", "K", "Ss"),
        Clutch("B", "K", "Sl"),
        Brake("F", "Sl"),
        Brake("D", "C"),
        Clutch("E", "in", "C"),
        OneWayToGround("W", "C", "+"),
    ),
)
