"""What a drawing of a train says in words: its head, its key, and the text for who cannot see it."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from fractions import Fraction

from countershaft.figures.train_axes import Boxed, Column, Plane, Schematic, planets_of
from countershaft.mechanics.gear_sets import (
    CompoundPlanet,
    Differential,
    DoublePinion,
    Ravigneaux,
    SinglePinion,
    Teeth,
)
from countershaft.mechanics.network import Network
from countershaft.mechanics.shift_elements import (
    Brake,
    Clutch,
    Element,
    OneWayBetween,
    OneWayToGround,
    Sleeve,
)
from countershaft.mechanics.states import StateKind, TrainState

__all__ = ["describe", "figure", "listed", "outcome", "still_members"]


def figure(value: Fraction | float, digits: int = 3) -> str:
    """A number as the drawings print it: fixed decimals, no trailing zeros beyond the first, a true minus."""
    text = f"{float(value):.{digits}f}"
    whole, _, decimals = text.partition(".")
    decimals = decimals.rstrip("0")
    text = f"{whole}.{decimals}" if decimals else whole
    return "0" if text in ("-0", "0") else text.replace("-", "−")


def listed(names: Sequence[str], word: str = "and") -> str:
    """Names as a sentence lists them."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} {word} {names[-1]}"


def still_members(network: Network, state: TrainState | None) -> frozenset[str]:
    """Members that stand still: those of no speed, and before any gear is chosen those on the case."""
    if state is None or state.kind == StateKind.TIE_UP:
        return frozenset(network.grounded)
    return frozenset(member for member, speed in state.speeds.items() if speed == 0) | set(network.grounded)


def outcome(state: TrainState) -> str:
    """What becomes of a state, short enough for the head of a drawing."""
    if state.kind == StateKind.TIE_UP:
        fights = "; ".join(
            f"{listed(names)} fight" if len(names) > 1 else f"{names[0]} alone holds the input"
            for names in state.fighting[:2]
        )
        return f"tie-up: {fights}" if fights else "tie-up: the input cannot turn"
    if state.ratio is not None:
        return f"ratio {float(state.ratio):.3f}".replace("-", "−")
    if state.kind == StateKind.DEFINITE:
        return f"{state.output} stands still"
    return "neutral: the output is held" if state.output_at_rest else "neutral: the output is not driven"


def _toothed(role: str, member: str, teeth: Teeth) -> str:
    """A gear in words: its place, its member, its teeth."""
    return f"{role} {member} ({figure(Fraction(teeth))} teeth)"


def describe(schematic: Schematic, state: TrainState | None, bands: Collection[str]) -> str:
    """The whole drawing in words."""
    network = schematic.network
    said = [f"Input {network.input}, output {network.output}"]
    said += [_column(column) + _planets(column) for column in schematic.columns]
    if network.grounded:
        said.append(f"On the case: {listed(network.grounded)}")
    if network.elements:
        said.append("; ".join(_element(element, bands) for element in network.elements))
    if schematic.left_out:
        said.append(f"Not drawn: {'; '.join(schematic.left_out)}")
    if state is not None:
        said += _state(network, state)
    return ". ".join(said) + "."


def _column(column: Column) -> str:
    match column:
        case Plane():
            return "; ".join(_pair(pair.a, pair.a_teeth, pair.b, pair.b_teeth, pair) for pair in column.pairs)
        case SinglePinion():
            gears = _sun_and_ring(column.sun, column.sun_teeth, column.ring, column.ring_teeth)
            return f"{column.id}, single pinion: {gears}, carrier {column.carrier}"
        case DoublePinion():
            gears = _sun_and_ring(column.sun, column.sun_teeth, column.ring, column.ring_teeth)
            return f"{column.id}, double pinion: {gears}, carrier {column.carrier}"
        case Ravigneaux():
            suns = f"{_toothed('small sun', column.small_sun, column.small_sun_teeth)} on the short pinions"
            suns += f", {_toothed('large sun', column.large_sun, column.large_sun_teeth)} on the long pinions"
            ring = _toothed("ring", column.ring, column.ring_teeth)
            return f"{column.id}, Ravigneaux: {suns}, {ring}, carrier {column.carrier}"
        case CompoundPlanet():
            wheels = ", ".join(
                _toothed("ring" if w.internal else "sun", w.member, w.teeth)
                + f" on {figure(Fraction(w.planet_teeth))}"
                for w in column.wheels
            )
            return f"{column.id}, stepped planet {column.planet}: {wheels}, carrier {column.carrier}"
        case Differential():
            sides = f"sides {column.first_side} and {column.second_side}"
            kind = "spur" if column.spur else "bevel"
            return f"{column.id}, {kind} differential: case {column.carrier}, {sides}"
        case Boxed():
            carrier = f", carrier {column.carrier}" if column.carrier else ""
            return f"{column.id}, known by its ratios: {', '.join(column.lines)}{carrier}"
        case _:
            return column.id


def _planets(column: Column) -> str:
    """The planets of a set that have names; a stepped planet was named with its wheels."""
    if isinstance(column, Plane | Boxed | CompoundPlanet):
        return ""
    names = planets_of(column)
    return f", {'planets' if names[1:] else 'planet'} {listed(names)}" if names else ""


def _sun_and_ring(sun: str, sun_teeth: Teeth, ring: str, ring_teeth: Teeth) -> str:
    if sun_teeth == 1:
        return f"sun {sun}, ring {ring}, ring over sun {figure(Fraction(ring_teeth))}"
    return f"{_toothed('sun', sun, sun_teeth)}, {_toothed('ring', ring, ring_teeth)}"


def _pair(a: str, a_teeth: Teeth, b: str, b_teeth: Teeth, pair: object) -> str:
    manner = "by chain with" if getattr(pair, "chain", False) else "with"
    inner = " (inner teeth)" if getattr(pair, "internal", False) else ""
    return f"{a} {figure(Fraction(a_teeth))} {manner} {b} {figure(Fraction(b_teeth))} teeth{inner}"


def _element(element: Element, bands: Collection[str]) -> str:
    match element:
        case Clutch():
            return f"{element.id}, clutch between {element.first} and {element.second}"
        case Brake():
            return f"{element.id}, {'band' if element.id in bands else 'brake'} on {element.member}"
        case OneWayToGround():
            return f"{element.id}, one-way clutch of {element.member} to the case, free in {element.free_direction}"
        case OneWayBetween():
            free = f"{element.first} free in {element.free_direction}"
            return f"{element.id}, one-way clutch between {element.first} and {element.second}, {free}"
        case Sleeve():
            places = "; ".join(f"{name} joins {a} and {b}" for name, (a, b) in element.positions)
            return f"{element.id}, sleeve: {places}"


def _state(network: Network, state: TrainState) -> Iterator[str]:
    if state.applied:
        yield f"Applied: {listed(state.applied)}"
    else:
        yield "Nothing applied"
    if state.overrunning:
        yield f"Overrunning: {listed(state.overrunning)}"
    if state.catching:
        yield f"Held by the motion: {listed(state.catching)}"
    yield outcome(state).capitalize()
    still = [member for member in network.members if member in still_members(network, state)]
    if still:
        yield f"Standing still: {listed(still)}"
    if state.floating:
        yield f"Free: {listed(state.floating)}"
