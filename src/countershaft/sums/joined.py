"""Sums about parts that are joined: press fits cold and warm, O-rings in their glands, lengths at 20 °C."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from countershaft.errors import FormError
from countershaft.mechanics.press_fit import PressFit, PressMaterial, press_force, smoothed
from countershaft.mechanics.ring_seal import ORing, SealGland, seal_fit
from countershaft.mechanics.warm_fit import heating, interference_at
from countershaft.metrology.expansion import EXPANSION, Thermal, to_reference
from countershaft.sums.answer import Figure, Outcome, Sum
from countershaft.sums.asked import FIGURE, WORD, Asked, Inputs, length_asked, temperature_asked

__all__ = ["SUMS"]


@dataclass(frozen=True, slots=True)
class _Metal:
    """Modulus [Pa] and Poisson's ratio [-] of a group of metals."""

    modulus: float
    poisson: float


#: Usual figures of each group; a typed one stands above them (handbook values, from memory).
_METALS: Final = {
    "steel": _Metal(206e9, 0.30),
    "cast iron": _Metal(110e9, 0.26),
    "aluminium": _Metal(72e9, 0.33),
    "magnesium": _Metal(45e9, 0.35),
    "bronze": _Metal(105e9, 0.34),
}
_CHOICE: Final = tuple((name, name) for name in _METALS)
#: Band of friction where nobody measured it: oiled to dry steel (DIN 7190-1, from memory) [-].
_FRICTION: Final = (0.07, 0.20)

_PRESS: Final = (
    (
        "WARNING",
        "A press stores energy, and a part that lets go flies. Use guards, stand aside, never strike a hard part.",
    ),
)
_HOT: Final = (
    (
        "CAUTION",
        (
            "Hot parts burn, and oil on them may catch fire; very cold ones burn too. Wear gloves, measure the "
            "temperature, and never heat a part beyond what its maker allows."
        ),
    ),
)
_AIR: Final = (
    (
        "CAUTION",
        "A seal that is tested with air stores energy. Hold the part, cover the opening, regulate the pressure.",
    ),
)


def _metal(inputs: Inputs, part: str, *, bears: float) -> PressMaterial:
    name = inputs.words[f"{part}_metal"]
    known = _METALS[name]
    return PressMaterial(
        name,
        inputs.get(f"{part}_modulus", known.modulus),
        known.poisson,
        inputs.get(f"{part}_expansion", EXPANSION[name]),
        bears,
    )


def _tight(inputs: Inputs) -> float:
    found = inputs["shaft"] - inputs["bore"]
    if found < 0:
        raise FormError(
            {
                "shaft": f"the shaft is {-1e6 * found:.4g} µm smaller than its bore: that is play, and nothing is "
                "pressed. Measure both again at one temperature."
            }
        )
    return found


def _press(inputs: Inputs) -> Outcome:
    measured = _tight(inputs)
    left = smoothed(
        measured,
        shaft_roughness=inputs.get("shaft_roughness", 0.0),
        bore_roughness=inputs.get("bore_roughness", 0.0),
    )
    hub = _metal(inputs, "hub", bears=inputs["hub_bears"])
    shaft = _metal(inputs, "shaft", bears=inputs.get("shaft_bears", inputs["hub_bears"]))
    fit = PressFit(
        inputs["bore"], inputs["hub_outer"], inputs["length"], hub, shaft, inputs.get("shaft_bore", 0.0)
    )
    friction = inputs.get("friction", _FRICTION[0]), inputs.get("friction_most", _FRICTION[1])
    told = press_force(fit, interference=left, friction=friction)
    state = told.state
    home, slips = told.working[-3:-1], told.working[-3:-2] + told.working[-1:]
    tight_lines = (
        f"{1e3 * inputs['shaft']:.6g} mm − {1e3 * inputs['bore']:.6g} mm = {1e6 * measured:.6g} µm",
        f"less 0.8 of both roughnesses: {1e6 * left:.6g} µm",
    )
    return Outcome(
        (
            Figure("interference", "Interference that presses", "length", left, "µm", "thou", tight_lines),
            Figure(
                "pressure",
                "Pressure in the joint",
                "pressure",
                state.pressure,
                "MPa",
                "psi",
                state.working[:3],
            ),
            Figure("force_least", "To press home, at least", "force", told.least, "kN", "lbf", home),
            Figure("force_most", "To press home, at most", "force", told.most, "kN", "lbf", home),
            Figure("torque", "Holds at least", "torque", told.slip_torque, "N·m", "lbf·ft", slips),
            Figure(
                "hoop",
                "Pull along the bore of the hub",
                "pressure",
                state.hub_hoop,
                "MPa",
                "psi",
                state.working[3:4],
            ),
            Figure(
                "yield",
                "Of its strength the hub has used",
                "share",
                state.hub_share,
                "%",
                "",
                state.working[4:],
            ),
        )
    )


def _warm(inputs: Inputs) -> Outcome:
    measured = _tight(inputs)
    hub, shaft = (_metal(inputs, part, bears=1.0) for part in ("hub", "shaft"))
    # How a joint grows follows from its own diameter; the wall and the length are not read.
    fit = PressFit(inputs["bore"], 2 * inputs["bore"], inputs["bore"], hub, shaft)
    told = heating(
        fit,
        interference=measured,
        ceiling=inputs["ceiling"],
        shaft_temperature=inputs.get("shaft_temperature", 20.0),
        play=inputs.find("play"),
    )
    figures = [
        Figure("temperature", "Warm the hub to", "temperature", told.temperature, "°C", "°F", told.working),
    ]
    if "at" in inputs:
        warm = inputs["at"]
        left = interference_at(fit, interference=measured, hub=warm, shaft=warm)
        line = (
            f"{1e6 * measured:.6g} µm + {1e3 * inputs['bore']:.6g} mm · ({1e6 * shaft.expansion:.4g} − "
            f"{1e6 * hub.expansion:.4g}) µm/m·K · ({warm:.6g} − 20) K = {1e6 * left:.6g} µm"
        )
        figures.append(
            Figure(
                "left", f"Interference at {warm:.4g} °C, both parts", "length", left, "µm", "thou", (line,)
            )
        )
    return Outcome(tuple(figures))


def _seal(inputs: Inputs) -> Outcome:
    told = seal_fit(
        ORing(inputs["inside"], inputs["section"]), SealGland(inputs["seat"], inputs["room"], inputs["width"])
    )
    stretch, section, squeeze, fill = ((line,) for line in told.working)
    return Outcome(
        (
            Figure(
                "squeeze", "Squeeze of the section", "share", told.squeeze, "%", "", squeeze, answers=True
            ),
            Figure("fill", "Fill of the gland", "share", told.fill, "%", "", fill),
            Figure("stretch", "Stretch of the ring", "share", told.stretch, "%", "", stretch),
            Figure("section", "Section once stretched", "length", told.section, "mm", "in", section),
        ),
        remarks=told.cautions,
    )


def _cold(inputs: Inputs) -> Outcome:
    part = inputs["temperature"] - 20.0
    scale = inputs.get("scale_temperature", inputs["temperature"]) - 20.0
    grows = inputs.get("expansion", EXPANSION[inputs.words["metal"]])
    scale_grows = inputs.get("scale_expansion", EXPANSION["steel"])
    told = to_reference(inputs["length"], Thermal(grows, part), Thermal(scale_grows, scale))
    read, sign = 1e3 * inputs["length"], "−" if told.correction < 0 else "+"
    lines = (
        (
            f"correction: {read:.7g} mm · ({1e6 * scale_grows:.4g} · {scale:.4g} − {1e6 * grows:.4g} · {part:.4g}) "
            f"µm/m = {1e6 * told.correction:.4g} µm"
        ),
        f"at 20 °C: {read:.7g} mm {sign} {abs(1e3 * told.correction):.4g} mm = {1e3 * told.value:.7g} mm",
    )
    return Outcome(
        (
            Figure("length", "Length at 20 °C", "length", told.value, "mm", "in", lines),
            Figure("correction", "Added to the reading", "length", told.correction, "µm", "thou", lines[:1]),
        )
    )


def _expansion(name: str, label: str) -> Asked:
    return Asked(name, label, "expansion", "µm/m·K", "µin/in·°F", "11.5 µm/m·K", "6.4 µin/in·°F",
                 "Left open: that of its metal.", needed=False)  # fmt: skip


def _modulus(name: str, label: str) -> Asked:
    return Asked(
        name, label, "pressure", "GPa", "ksi", "206 GPa", "29900 ksi", "Left open: that of its metal.", False
    )


def _bears(name: str, label: str, hint: str, *, needed: bool) -> Asked:
    return Asked(name, label, "pressure", "MPa", "ksi", "350 MPa", "50 ksi", hint, needed)


_SIZES: Final = (
    length_asked("shaft", "Shaft, or outside of the sleeve", "40.040 mm", "1.5764 in"),
    length_asked("bore", "Bore", "40.000 mm", "1.5748 in"),
)
_JOINED: Final = (
    Asked("hub_metal", "Hub, or case", WORD, example="aluminium", options=_CHOICE),
    Asked("shaft_metal", "Shaft, or sleeve", WORD, example="steel", options=_CHOICE),
)
_METAL_SOURCE: Final = "moduli and expansion: handbook values, from memory"
_BLAME: Final = (("make the hub", "hub_bears"), ("make the shaft", "shaft_bears"), ("friction", "friction"),
                 ("rising order", "hub_outer"), ("length", "length"), ("yield strength", "hub_bears"),
                 ("roughness of the shaft", "shaft_roughness"), ("roughness of the bore", "bore_roughness"),
                 )  # fmt: skip
_WARM_BLAME: Final = (("temperature of the hub", "at"), ("temperature of the shaft", "shaft_temperature"),
                      ("would have to reach", "ceiling"), ("expansion of the hub", "hub_expansion"),
                      ("play", "play"))  # fmt: skip

SUMS: Final = (
    Sum(
        "press-fit", "Press fit", "Which pressure, force and torque has a press fit, and does it stay elastic?",
        (
            *_SIZES,
            length_asked("hub_outer", "Outside of the hub", "60.0 mm", "2.362 in"),
            length_asked("length", "Length of the joint", "15.0 mm", "0.591 in"),
            *_JOINED,
            _bears("hub_bears", "The hub bears", "Its yield strength; of cast metal what it may bear.", needed=True),
            _bears("shaft_bears", "The shaft bears", "Left open: as the hub.", needed=False),
            length_asked("shaft_bore", "Bore of the shaft", "32.0 mm", "1.260 in", hint="Left open: solid.",
                         needed=False),
            _modulus("hub_modulus", "Modulus of the hub"), _modulus("shaft_modulus", "Modulus of the shaft"),
            Asked("friction", "Friction, least", FIGURE, example="0.08", needed=False,
                  hint=f"Left open: {_FRICTION[0]:g}, oiled."),
            Asked("friction_most", "Friction, most", FIGURE, example="0.15", needed=False,
                  hint=f"Left open: {_FRICTION[1]:g}, dry."),
            length_asked("shaft_roughness", "Roughness Rz of the shaft", "4 µm", "0.16 thou",
                         hint="Left open: nothing is flattened.", needed=False, measured=False),
            length_asked("bore_roughness", "Roughness Rz of the bore", "6.3 µm", "0.25 thou", needed=False,
                         measured=False),
        ),
        _press,
        f"Lamé, as in Shigley's Mechanical Engineering Design, eq. 3-56; DIN 7190-1:2017, from memory; {_METAL_SOURCE}",
        _PRESS, _BLAME,
    ),
    Sum(
        "warm-fit", "Warm a hub to drop it on",
        "How warm must a hub be to drop on, and what grip is left when both are warm?",
        (
            *_SIZES, *_JOINED,
            temperature_asked("ceiling", "Never above", "150 °C", "300 °F",
                              hint="By the maker; a rolling bearing commonly 120 °C."),
            temperature_asked("shaft_temperature", "Temperature of the shaft", "20 °C", "68 °F",
                              hint="Left open: 20 °C.", needed=False),
            length_asked("play", "Play for joining", "0.04 mm", "1.6 thou", needed=False, measured=False,
                    hint="Left open: a thousandth of the diameter."),
            temperature_asked("at", "And grip when both have", "100 °C", "212 °F", hint="Left open: not told.",
                              needed=False),
            _expansion("hub_expansion", "Expansion of the hub"),
            _expansion("shaft_expansion", "Expansion of the shaft"),
        ),
        _warm, f"DIN 7190-1:2017, joining temperature (from memory); {_METAL_SOURCE}", _HOT, _WARM_BLAME,
    ),
    Sum(
        "o-ring", "O-ring in its gland", "How far is an O-ring squeezed and stretched, and how full is its gland?",
        (
            length_asked("inside", "Inside of the free ring", "50.0 mm", "1.969 in"),
            length_asked("section", "Section of the free ring", "3.53 mm", "0.139 in"),
            length_asked("seat", "Diameter that it sits on", "51.0 mm", "2.008 in"),
            length_asked("room", "Room for its section", "2.90 mm", "0.114 in",
                    hint="From the bottom of the groove to the face that is sealed."),
            length_asked("width", "Width of the groove", "4.80 mm", "0.189 in"),
        ),
        _seal, "SAE AS4716 and ISO 3601-2, section of a stretched ring; squeeze and fill are plain geometry", _AIR,
        (("stretch", "seat"), ("inside", "inside"), ("section of an", "section"), ("seat", "seat"), ("room", "room"),
         ("width", "width")),
        ("share",),
    ),
    Sum(
        "size-at-20", "Length at 20 °C", "What would a length that was measured warm be at 20 °C?",
        (
            length_asked("length", "Length as read", "80.012 mm", "3.1501 in"),
            Asked("metal", "The part is", WORD, example="aluminium", options=_CHOICE),
            temperature_asked("temperature", "Temperature of the part", "30 ± 1 °C", "86 ± 2 °F", measured=True),
            temperature_asked("scale_temperature", "Temperature of the instrument", "30 °C", "86 °F", needed=False,
                         measured=True, hint="Left open: that of the part."),
            _expansion("expansion", "Expansion of the part"),
            Asked("scale_expansion", "Expansion of the instrument", "expansion", "µm/m·K", "µin/in·°F", "11.5 µm/m·K",
                  "6.4 µin/in·°F", "Left open: steel.", needed=False),
        ),
        _cold, f"ISO 1:2022 (reference temperature); {_METAL_SOURCE}",
        blame=(("the part", "temperature"), ("the scale", "scale_temperature"), ("the length", "length")),
    ),
)  # fmt: skip
