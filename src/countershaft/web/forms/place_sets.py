"""Where a limit without places of its own is read: the geometry that each method needs, asked once in a job."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Any, Final

from pydantic import ValidationError

from countershaft.desk.desk import OpenJob
from countershaft.desk.plain_faults import in_plain_words
from countershaft.errors import FormError, Unknown
from countershaft.job.entry import Body, FormSet
from countershaft.model.limits import Limit
from countershaft.web.forms import inspection
from countershaft.web.forms.form import Answers, Field, Form, readings

__all__ = ["METHODS", "Method", "place_set"]

Keys = dict[str, Any]

_CLOCKS: Final = {
    "3": ("12", "4", "8"),
    "4": ("12", "3", "6", "9"),
    "6": ("12", "2", "4", "6", "8", "10"),
    "8": ("12", "1.5", "3", "4.5", "6", "7.5", "9", "10.5"),
    "12": ("12", *map(str, range(1, 12))),
}
_DIRECTIONS: Final = {"2": ("0", "90"), "3": ("0", "60", "120"), "4": ("0", "45", "90", "135")}


#: How often every place is read, in words to tap.
_REPEATS: Final = {"every place once": 1, "every place twice": 2, "every place three times": 3}


class _Typed:
    """What was typed, as keys of the file; faults are kept by field and told together."""

    def __init__(self, answers: Answers) -> None:
        self.answers = answers
        self.wrong: dict[str, str] = {}
        self.unit = answers.one("unit") or "mm"

    def figure(self, name: str) -> Decimal:
        """A figure without its unit."""
        text = self.answers.one(name)
        try:
            return Decimal(text.replace(",", ".").replace("−", "-"))
        except InvalidOperation:
            said = "this is needed." if not text else f"{text!r} is no number; type a figure such as 60."
            self.wrong.setdefault(name, said)
            return Decimal(1)

    def length(self, name: str, share: Decimal = Decimal(1)) -> str:
        """A length with the unit that is typed in."""
        return f"{self.figure(name) * share:f} {self.unit}"

    def lengths(self, name: str) -> list[str]:
        """Every length of a row of cells; empty ones are left out."""
        found = []
        for text in self.answers.many(name):
            try:
                found.append(f"{Decimal(text.replace(',', '.').replace('−', '-')):f} {self.unit}")
            except InvalidOperation:
                self.wrong.setdefault(name, f"{text!r} is no number; type a figure such as 60.")
        if not found:
            self.wrong.setdefault(name, "this is needed.")
        return found

    def one(self, name: str, among: Keys) -> Any:
        """What was tapped."""
        if self.answers.one(name) not in among:
            self.wrong.setdefault(name, "tap one of them.")
        return among.get(self.answers.one(name))


@dataclass(frozen=True, slots=True)
class Method:
    """One way to measure by places: what it is for, what it asks, and how the answers become keys of the file.

    `lengths` says whether the fields hold lengths, so that their unit is asked.
    """

    kind: str
    name: str
    tells: str
    fields: tuple[Field, ...]
    keys: Callable[[_Typed], Keys]
    lengths: bool = True


def place_set(job: OpenJob, key: str) -> Form:
    """The geometry of one method for one limit; `key` is "METHOD@LIMIT"."""
    kind, _, name = key.partition("@")
    method = next((one for one in METHODS if one.kind == kind), None)
    target = inspection.target_of(job, name)
    if method is None or not isinstance(target, Limit):
        raise Unknown(f"There is no way to measure {name!r} by {kind!r}.")
    limit = target

    def read(answers: Answers) -> tuple[Body, ...]:
        typed = _Typed(answers)
        keys = method.keys(typed)
        repeats = typed.one("repeats", _REPEATS)
        if typed.wrong:
            raise FormError(typed.wrong)
        return (_set(limit, {"kind": method.kind, "repeats": repeats, **keys}),)

    unit = Field(
        "unit",
        "Lengths typed in",
        "choice",
        options=(("mm", "mm"), ("in", "in")),
        values=("mm",),
        needed=True,
    )
    return Form(
        f"{method.name}: {limit.name}",
        (
            *method.fields,
            *((unit,) if method.lengths else ()),
            _taps(
                "repeats",
                "How often is every place read?",
                tuple(_REPEATS),
                next(iter(_REPEATS)),
                folded=True,
            ),
        ),
        read,
        f"/jobs/{job.tag}/inspect",
        lead=f"{method.tells} These places are kept for this job; the readings come next.",
        save="Save, then read",
    )


#: A key of the file -> the field that it was typed in, where they differ.
_FIELDS: Final = {
    "inner_radius": "inner",
    "outer_radius": "outer",
    "radius": "diameter",
    "clock": "places",
    "pitch_radius": "pitch",
    "probe_radius": "probe",
    "pressure_angle_deg": "pressure",
    "helix_angle_deg": "helix",
    "directions_deg": "directions",
    "lines": "long",
}


def _set(limit: Limit, form: Keys) -> Body:
    """The entry; raises FormError with a word at the field that each key was typed in."""
    try:
        return FormSet.model_validate({"limit": limit.id, "form": form})
    except ValidationError as cause:
        found: dict[str, str] = {}
        for one in cause.errors():
            key = next((part for part in one["loc"][1:] if isinstance(part, str) and part in form), "")
            found.setdefault(_FIELDS.get(key, key), in_plain_words(one))
        raise FormError(found) from cause


def _taps(name: str, label: str, options: tuple[str, ...], start: str = "", *, folded: bool = False) -> Field:
    return Field(
        name, label, "choice", options=tuple((one, one) for one in options), values=(start,) if start else (),
        needed=True, folded=folded,
    )  # fmt: skip


def _size(name: str, label: str, hint: str = "") -> Field:
    return Field(name, label, "figure", hint, needed=True)


def _round(*counts: str, start: str) -> Field:
    return _taps("places", "At how many places round the circle, 12 o'clock first?", counts, start)


def _grid(typed: _Typed) -> Keys:
    left_out = typed.answers.one("left_out").replace(",", " ").split()
    return {
        "rows": typed.answers.one("rows"),
        "columns": typed.answers.one("columns"),
        "step_x": typed.length("step_x"),
        "step_y": typed.length("step_y"),
        "left_out": [name.upper() for name in left_out],
    }


def _edge(typed: _Typed) -> Keys:
    """A rectangle with its corners A to D and its middle M, laid over in a star, or with its sides too."""
    long, wide, half = typed.figure("long"), typed.figure("wide"), Decimal("0.5")
    spots = {
        "A": (Decimal(0), Decimal(0)), "B": (long, Decimal(0)), "C": (long, wide), "D": (Decimal(0), wide),
        "M": (long * half, wide * half),
    }  # fmt: skip
    lines = [["A", "M", "C"], ["B", "M", "D"]]
    if typed.one("lay", dict.fromkeys(_LAYS, True)) and typed.answers.one("lay") == _LAYS[1]:
        spots |= {
            "N": (long * half, wide), "E": (long, wide * half), "S": (long * half, Decimal(0)),
            "W": (Decimal(0), wide * half),
        }  # fmt: skip
        lines += [
            ["A", "S", "B"],
            ["B", "E", "C"],
            ["D", "N", "C"],
            ["A", "W", "D"],
            ["S", "M", "N"],
            ["W", "M", "E"],
        ]
    places = {name: [f"{x:f} {typed.unit}", f"{y:f} {typed.unit}"] for name, (x, y) in spots.items()}
    return {"places": places, "lines": lines}


_LAYS: Final = ("both diagonals", "diagonals, sides and middle lines")
_HALF: Final = Decimal("0.5")


def _plate(typed: _Typed) -> Keys:
    return {
        "outer_radius": typed.length("outer", _HALF),
        "inner_radius": typed.length("inner", _HALF),
        "clock": typed.one("places", _CLOCKS),
    }


def _roundness(typed: _Typed) -> Keys:
    return {"radius": typed.length("diameter", _HALF), "clock": typed.one("places", _CLOCKS)}


def _diameters(typed: _Typed) -> Keys:
    return {
        "sections": typed.lengths("sections"),
        "directions_deg": typed.one("directions", _DIRECTIONS),
        "judged": typed.answers.one("judged"),
    }


def _runout(typed: _Typed) -> Keys:
    judged = {"total reading": "total", "eccentricity": "eccentricity", "without the eccentricity": "form"}
    return {"clock": typed.one("places", _CLOCKS), "judged": typed.one("judged", judged)}


def _backlash(typed: _Typed) -> Keys:
    return {
        "clock": typed.one("places", _CLOCKS),
        "pitch_radius": typed.length("pitch", _HALF),
        "probe_radius": typed.length("probe"),
        "pressure_angle_deg": typed.figure("pressure"),
        "helix_angle_deg": typed.figure("helix"),
        "along": typed.one("along", {"pitch circle": "pitch circle", "square to the flanks": "normal"}),
    }


def _bow(typed: _Typed) -> Keys:
    bearings = typed.lengths("bearings")
    if len(bearings) != 2:
        typed.wrong.setdefault("bearings", f"two bearing places are needed; got {len(bearings)}.")
    return {
        "stations": typed.lengths("stations"),
        "bearings": bearings,
        "clock": typed.one("places", _CLOCKS),
    }


def _cells(name: str, label: str, count: int, hint: str) -> Field:
    return readings(name, label, count=count, unit="", hint=hint)


METHODS: Final[tuple[Method, ...]] = (
    Method(
        "flatness_straightedge",
        "Flatness by straightedge and feelers",
        "For a rectangular face: corners A, B, C, D in turn, M in the middle.",
        (
            _size("long", "From A to B"),
            _size("wide", "From B to C"),
            _taps("lay", "How is the straightedge laid?", _LAYS, _LAYS[0]),
        ),
        _edge,
    ),
    Method(
        "flatness_grid",
        "Flatness by an indicator on a grid",
        "For a face that is levelled on a surface plate or read against a true slide.",
        (
            Field("rows", "Rows", "number", "Called A, B, C, …; 2 to 10.", needed=True),
            Field("columns", "Places in a row", "number", "Called 1, 2, 3, …; 2 to 12.", needed=True),
            _size("step_x", "From place to place along a row"),
            _size("step_y", "From row to row"),
            Field("left_out", "Places with nothing to read on", hint="Such as B2, B3; empty if there is none."),
        ),
        _grid,
    ),
    Method(
        "flatness_plate",
        "Cone and wave of a plate",
        "For a steel or friction plate on a surface plate, with feelers under both edges.",
        (
            _size("outer", "Outer diameter"),
            _size("inner", "Inner diameter"),
            _round("3", "4", "6", "8", start="4"),
        ),
        _plate,
    ),
    Method(
        "straightness",
        "Straightness of an edge or line",
        "For an edge or a rail, read along it against a straight reference.",
        (_cells("positions", "Positions along the line", 8, "Three to eight, from one end."),),
        lambda typed: {"positions": typed.lengths("positions")},
    ),
    Method(
        "roundness",
        "Roundness",
        "For a bore or a journal that an indicator is swept round; the set-up's eccentricity is taken out.",
        (_size("diameter", "Diameter"), _round("6", "8", "12", start="8")),
        _roundness,
    ),
    Method(
        "diameters",
        "Ovality, taper, diameters",
        "For a bore or a journal measured with a micrometer or a bore gauge.",
        (
            _cells("sections", "Sections along the axis", 4, "How far each is from one end; one to four."),
            _taps("directions", "In how many directions?", ("2", "3", "4"), "2"),
            _taps("judged", "What does the limit mean?", ("ovality", "taper", "smallest", "largest")),
        ),
        _diameters,
    ),
    Method(
        "runout",
        "Runout",
        "For a part that is turned under an indicator. Eight places tell an oval and three lobes from eccentricity.",
        (
            _round("4", "6", "8", "12", start="8"),
            _taps("judged", "What does the limit mean?", ("total reading", "eccentricity", "without the eccentricity"),
                  "total reading"),
        ),
        _runout,
        lengths=False,
    ),
    Method(
        "backlash",
        "Backlash",
        "For a pair of gears, the mate held. The place that lies worst against the limit is judged.",
        (
            _round("3", "4", "6", start="4"),
            _size("pitch", "Pitch diameter of the gear that is rocked"),
            _size("probe", "Probe from the axis"),
            Field("pressure", "Pressure angle", "figure", unit="°", needed=True),
            Field("helix", "Helix angle", "figure", "0 for straight teeth.", unit="°", values=("0",), needed=True),
            _taps("along", "What does the limit mean?", ("pitch circle", "square to the flanks"), "pitch circle"),
        ),
        _backlash,
    ),
    Method(
        "shaft_bow",
        "Bow of a shaft",
        "For a shaft in V-blocks or between centres, read at stations along it, all from one mark.",
        (
            _cells("stations", "Stations read", 5, "How far each is from one end."),
            _cells("bearings", "Its two bearings", 2, "How far each is from the same end."),
            _round("4", "8", start="4"),
        ),
        _bow,
    ),
)  # fmt: skip
