"""Sums about windings and warm lengths: resistance at 20 °C, how warm a winding is, a length at 20 °C."""

from __future__ import annotations

from typing import Final

from countershaft.mechanics.coil_resistance import coil_temperature, resistance_at
from countershaft.sums.answer import Figure, Outcome, Sum
from countershaft.sums.asked import Asked, Inputs, temperature_asked

__all__ = ["SUMS"]

_SOURCE: Final = "IEC 60028 (0.00393 1/K for annealed copper at 20 °C)"


def _resistance(name: str, label: str, example: str, *, hint: str = "", needed: bool = True) -> Asked:
    return Asked(name, label, "resistance", "Ω", "Ω", example, hint=hint, needed=needed, measured=True)


def _winding(inputs: Inputs) -> Outcome:
    wanted = inputs.get("wanted", 20.0)
    told = resistance_at(
        inputs["reading"],
        coil_temperature=inputs["temperature"],
        wanted_temperature=wanted,
        leads=inputs.get("leads", 0.0),
    )
    figure = Figure(
        "resistance", f"Resistance at {wanted:.4g} °C", "resistance", told.resistance, "Ω", "",
        told.working[:1], answers=True,
    )  # fmt: skip
    return Outcome((figure,))


def _heat(inputs: Inputs) -> Outcome:
    told = coil_temperature(
        cold=inputs["cold"], cold_temperature=inputs["cold_temperature"], hot=inputs["hot"]
    )
    return Outcome(
        (
            Figure(
                "temperature",
                "The winding has",
                "temperature",
                told.temperature,
                "°C",
                "°F",
                told.working,
            ),
        )
    )


SUMS: Final = (
    Sum(
        "winding", "Winding at 20 °C", "What would a solenoid that was read warm show at 20 °C?",
        (
            _resistance("reading", "Reading", "5.9 ± 0.1 Ω"),
            temperature_asked("temperature", "Temperature of the winding", "60 ± 5 °C", "140 ± 9 °F",
                              hint="The unit must have lain there long enough to have it all through.", measured=True),
            _resistance("leads", "Tips held together", "0.2 Ω", hint="What the meter shows of its own leads; "
                        "left open: nothing.", needed=False),
            temperature_asked("wanted", "Bring it to", "20 °C", "68 °F", hint="Left open: 20 °C.", needed=False),
        ),
        _winding, _SOURCE,
        blame=(("leads", "leads"), ("reading of a winding", "reading"), ("coil temperature", "temperature"),
               ("wanted temperature", "wanted")),
        answers=("resistance",),
    ),
    Sum(
        "winding-heat", "How warm a winding is", "Which temperature has a winding, by its resistance cold and now?",
        (
            _resistance("cold", "Resistance cold", "5.10 Ω"),
            temperature_asked("cold_temperature", "Temperature then", "20 °C", "68 °F", measured=True),
            _resistance("hot", "Resistance now", "6.30 Ω"),
        ),
        _heat, f"IEC 60034-1, resistance method; {_SOURCE}",
        cautions=(("CAUTION", "A winding that has been driven hard burns the hand: measure it, do not feel it."),),
        blame=(("cold resistance", "cold"), ("hot resistance", "hot"), ("cold temperature", "cold_temperature"),
               ("temperature of the winding", "hot")),
    ),
)  # fmt: skip
