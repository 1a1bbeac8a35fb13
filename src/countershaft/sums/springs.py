"""Sums about springs: rate, load and stress of coil springs, a spring on the tester, disc springs and their stacks."""

from __future__ import annotations

from typing import Final

from countershaft.mechanics.coil_spring import (
    CoilSpring,
    coil_spring_load,
    coil_spring_rate,
    measured_rate,
    solid_length,
)
from countershaft.mechanics.disc_spring import DiscSpring, DiscStack, stack_load
from countershaft.sums.answer import Figure, Outcome, Sum
from countershaft.sums.asked import COUNT, FIGURE, WORD, Asked, Inputs, length_asked

__all__ = ["SUMS"]

#: Modulus of patented spring wire in shear (EN 13906-1), and of spring steel (DIN EN 16984) [Pa].
_SHEAR: Final = 81.5e9
_MODULUS: Final = 206e9

_FLIES: Final = (
    (
        "CAUTION",
        "A compressed spring stores energy and flies out. Compress it only in a guided tool, and stand aside.",
    ),
)


def _force(name: str, label: str, example: str, inch_example: str) -> Asked:
    return Asked(name, label, "force", "N", "lbf", example, inch_example, measured=True)


def _coil(inputs: Inputs) -> Outcome:
    wire, total = inputs["wire"], inputs["total_coils"]
    ground = inputs.words["ends"] == "ground"
    solid = inputs.get("solid", solid_length(wire, total_coils=total, ground=ground))
    spring = CoilSpring(
        wire,
        inputs["outer"] - wire,
        inputs["active_coils"],
        inputs.get("modulus", _SHEAR),
        inputs["free"],
        solid,
    )
    held = coil_spring_load(spring, length=inputs["length"])
    coils = (
        "measured"
        if "solid" in inputs
        else f"{total:g}{'' if ground else ' + 1'} coils · {1e3 * wire:.6g} mm"
    )
    solid_line = f"solid: {coils} = {1e3 * solid:.6g} mm"
    return Outcome(
        (
            Figure(
                "load", "Load at that length", "force", held.load, "N", "lbf", held.working[:2], answers=True
            ),
            Figure(
                "rate", "Rate", "spring rate", coil_spring_rate(spring), "N/mm", "lbf/in", held.working[:1]
            ),
            Figure("stress", "Stress inside the coil", "pressure", held.stress, "MPa", "ksi", held.working),
            Figure("solid", "Solid length", "length", solid, "mm", "in", (solid_line,)),
        )
    )


def _tester(inputs: Inputs) -> Outcome:
    told = measured_rate(
        (inputs["length_1"], inputs["load_1"]),
        (inputs["length_2"], inputs["load_2"]),
        length_half_width=inputs.bound("length_1", "length_2"),
        load_half_width=inputs.bound("load_1", "load_2"),
    )
    return Outcome(
        (
            Figure(
                "rate", "Rate", "spring rate", told.rate, "N/mm", "lbf/in", told.working[:2], answers=True
            ),
            Figure("free", "Free length that follows", "length", told.free, "mm", "in", told.working[2:]),
        )
    )


def _disc(inputs: Inputs) -> Outcome:
    disc = DiscSpring(
        inputs["outer"], inputs["inner"], inputs["thickness"], inputs["height"] - inputs["thickness"],
        inputs.get("modulus", _MODULUS), reduced=inputs.find("reduced"),
    )  # fmt: skip
    stack = DiscStack(disc, round(inputs.get("nested", 1)), round(inputs.get("sets", 1)))
    told = stack_load(
        stack,
        deflection=inputs["pressed"],
        between_discs=inputs.get("between", 0.0),
        at_edges=inputs.get("edges", 0.0),
    )
    free = stack.free_length
    length_line = (
        f"free: {1e3 * free:.6g} mm; less {1e3 * inputs['pressed']:.6g} mm = {1e3 * told.length:.6g} mm"
    )
    figures = [
        Figure("load", "Load", "force", told.load, "N", "lbf", told.working[:-1], answers=True),
        Figure("length", "Length under that load", "length", told.length, "mm", "in", (length_line,)),
    ]
    if "between" in inputs or "edges" in inputs:
        last = told.working[-1:]
        figures[1:1] = [
            Figure("pressing", "While it is pressed", "force", told.pressing, "N", "lbf", last),
            Figure("releasing", "While it is let go", "force", told.releasing, "N", "lbf", last),
        ]
    return Outcome(tuple(figures), remarks=told.disc.cautions)


SUMS: Final = (
    Sum(
        "coil-spring", "Coil spring", "Which rate has a compression spring, and which load at a length?",
        (
            length_asked("wire", "Wire", "2.00 mm", "0.0787 in"),
            length_asked("outer", "Outer diameter", "18.0 mm", "0.709 in"),
            Asked("active_coils", "Coils that move", FIGURE, example="8", hint="Those that lie on the seat do not."),
            Asked("total_coils", "All coils", FIGURE, example="10"),
            Asked("ends", "Its ends are", WORD, example="ground", options=(("ground", "ground flat"),
                  ("plain", "not ground"))),
            length_asked("free", "Free length", "48.0 mm", "1.89 in"),
            length_asked("length", "Held at", "30.0 mm", "1.18 in"),
            length_asked("solid", "Solid length", "20.0 mm", "0.787 in", hint="Left open: from wire and coils.",
                    needed=False),
            Asked("modulus", "Shear modulus", "pressure", "GPa", "ksi", "81.5 GPa", "11820 ksi",
                  f"Left open: {_SHEAR / 1e9:g} GPa, patented wire; stainless has about 70.", needed=False),
        ),
        _coil, "EN 13906-1:2013; its shear modulus from memory", _FLIES,
        (("wire diameter", "wire"), ("spring index", "outer"), ("active coils", "active_coils"),
         ("number of coils", "total_coils"), ("mm free and", "free"), ("length of the spring", "length"),
         ("solid", "solid"), ("modulus", "modulus")),
        ("force",),
    ),
    Sum(
        "spring-tester", "Spring on the tester",
        "Which rate and free length follow from two readings of length and load?",
        (
            length_asked("length_1", "First length", "40.0 mm", "1.575 in"),
            _force("load_1", "Load there", "38.0 N", "8.5 lbf"),
            length_asked("length_2", "Second length", "30.0 mm", "1.181 in"),
            _force("load_2", "Load there", "87.0 N", "19.6 lbf"),
        ),
        _tester, "straight line through two points; between 30 % and 70 % of the load (EN 13906-1:2013, from memory)",
        _FLIES, (("the two readings", "length_2"), ("the load is", "load_2")), ("spring rate",),
    ),
    Sum(
        "disc-spring", "Disc spring, or a stack", "Which load has a disc spring or a stack of them when it is pressed?",
        (
            length_asked("outer", "Outer diameter", "25.0 mm", "0.984 in"),
            length_asked("inner", "Inner diameter", "12.2 mm", "0.480 in"),
            length_asked("thickness", "Thickness", "1.50 mm", "0.0591 in"),
            length_asked("height", "Free height of one", "2.05 mm", "0.0807 in", hint="Over all, unloaded."),
            length_asked("pressed", "Pressed by", "0.41 mm", "0.016 in", hint="The whole stack, from its free length."),
            length_asked("reduced", "Reduced thickness", "7.50 mm", "0.2953 in", needed=False,
                         hint="Of discs above 6 mm, which have flats; left open: none."),
            Asked("nested", "Nested in a set", COUNT, example="1", hint="All the same way round; left open: 1.",
                  needed=False),
            Asked("sets", "Sets against each other", COUNT, example="1", hint="Left open: 1.", needed=False),
            Asked("between", "Friction between nested ones", FIGURE, example="0.02", hint="Left open: none.",
                  needed=False),
            Asked("edges", "Friction at the edges", FIGURE, example="0.03", hint="Left open: none.", needed=False),
            Asked("modulus", "Modulus", "pressure", "GPa", "ksi", "206 GPa", "29900 ksi",
                  f"Left open: {_MODULUS / 1e9:g} GPa, spring steel.", needed=False),
        ),
        _disc, "Almen J.O., László A., Trans. ASME 58 (1936); DIN EN 16984", _FLIES,
        (("outer over inner", "outer"), ("its reduced thickness", "reduced"), ("reduced over", "reduced"),
         ("thickness of a disc", "thickness"), ("cone height", "height"), ("deflection", "pressed"),
         ("friction", "between"), ("modulus", "modulus"), ("inner", "inner")),
        ("force",),
    ),
)  # fmt: skip
