"""Where the expected values come from: the rules of the records themselves, and counting by hand."""

from __future__ import annotations

from typing import Any

import pytest

from countershaft.definitions.reader import read_transmission
from countershaft.definitions.writer import write_transmission
from countershaft.errors import DefinitionError
from countershaft.model.forms import FORM_KINDS
from countershaft.model.limits import Limit

SQUARE = (
    "places: {A: [0 mm, 0 mm], B: [200 mm, 0 mm], C: [200 mm, 100 mm], D: [0 mm, 100 mm], M: [100 mm, 50 mm]}"
)


def unit(form: str, limit: str = "max: 0.1 mm") -> str:
    return f"format: 1\nname: x\nlimits:\n  - {{id: F, name: form, {limit}, form: {{{form}}}}}\n"


def faults(text: str) -> str:
    with pytest.raises(DefinitionError) as caught:
        read_transmission(text, "x.yaml")
    return "\n".join(map(str, caught.value.faults))


def form(**keys: Any) -> Any:
    return Limit.model_validate({"id": "F", "name": "f", "max": "0.1 mm", "form": keys}).form


def test_places_of_a_grid_are_called_by_row_and_column() -> None:
    grid = form(kind="flatness_grid", rows=2, columns=3, step_x="10 mm", step_y="1 in", left_out=("B2",))
    assert [spot.name for spot in grid.spots] == ["A1", "A2", "A3", "B1", "B3"]
    # an inch is exactly 25.4 mm
    assert grid.where["B3"] == pytest.approx((0.020, 0.0254))


def test_places_round_the_clock_are_called_as_on_a_clock() -> None:
    runout = form(kind="runout", clock=("12", "1.5", "3", "0.5", "7.75"))
    assert [spot.label for spot in runout.spots] == ["12 o'clock", "1:30", "3 o'clock", "12:30", "7:45"]


def test_a_plate_has_both_edges_and_twelve_is_up() -> None:
    plate = form(
        kind="flatness_plate", outer_radius="80 mm", inner_radius="60 mm", clock=("12", "3", "6", "9")
    )
    assert len(plate.spots) == 8
    assert plate.where["outer 12"] == pytest.approx((0.0, 0.080))
    assert plate.where["inner 3"] == pytest.approx((0.060, 0.0), abs=1e-12)


def test_what_is_written_is_read_again() -> None:
    whole = read_transmission(
        unit(f"kind: flatness_straightedge, {SQUARE}, lines: [[A, M, C], [B, M, D]]"), "x"
    )
    assert read_transmission(write_transmission(whole), "y") == whole


PLATE = "kind: flatness_plate, clock: [12, 4, 8]"
GRID = "kind: flatness_grid, step_x: 9 mm, step_y: 9 mm, rows: 2"
GEAR = "kind: backlash, clock: [12], pressure_angle_deg: 20, pitch_radius: 5 mm"
BOW = "kind: shaft_bow, clock: [12, 4, 8]"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (f"kind: flatness_straightedge, {SQUARE}, lines: [[A, B], [B, C], [C, D], [D, A]]", "do not tie all places"),
        (f"kind: flatness_straightedge, {SQUARE}, lines: [[A, M, C], [B, Z, D]]", "no place 'Z'; places are A, B"),
        (f"kind: flatness_straightedge, {SQUARE}, lines: [[A, M, A], [B, M, D]]", "names 'A' twice"),
        (f"kind: flatness_straightedge, {SQUARE}, lines: [[A, M, B], [B, M, D]]", "do not lie on a straight line"),
        (f"{GRID}, columns: 3, left_out: [B1, B2, B3]", "needs at least four"),
        (f"{GRID}, columns: 4, left_out: [B1, B2, B3, B4]", "one line of the face"),
        ("kind: flatness_grid, rows: 2, columns: 2, step_x: 0 mm, step_y: 9 mm", "step 0 mm must be above zero"),
        ("kind: flatness_grid, rows: 2, columns: 2, step_x: 9, step_y: 9 mm", "9"),
        (f"{PLATE}, outer_radius: 6 mm, inner_radius: 8 mm", "not between 0 and the outer"),
        ("kind: straightness, positions: [0 mm, 5 mm, 5.0 mm]", "position 5.0 mm stands twice"),
        ("kind: roundness, radius: 20 mm, clock: [12, 1, 2, 3]", "half of the circle open"),
        ("kind: roundness, radius: 20 mm, clock: [12, 4, 8]", "needs at least four"),
        ("kind: runout, clock: [12, 3, 3, 9]", "place 3 stands twice"),
        ("kind: runout, clock: [12, 13, 6]", "13"),
        ("kind: runout, clock: [12, 3, 6, 9], lobes: 2", "at most 1 lobes"),
        ("kind: diameters, sections: [0 mm], directions_deg: [0, 90], judged: taper", "at least two sections"),
        (f"{GEAR}, probe_radius: 0 mm", "radius 0 mm"),
        (f"{GEAR}, probe_radius: 5 mm, probe_radius_within: 6 mm", "not between 0 and the radius"),
        (f"{BOW}, stations: [0 mm, 9 mm], bearings: [0 mm, 9 mm]", "beside the two bearings"),
        (f"{BOW}, stations: [5 mm], bearings: [9 mm, 9 mm]", "must differ"),
        ("kind: flatnes_grid, rows: 2", "did you mean 'flatness_grid'"),
    ],
)  # fmt: skip
def test_what_cannot_be_measured_is_objected_to_with_its_place(text: str, said: str) -> None:
    found = faults(unit(text))
    assert "limits[F].form" in found and said in found


def test_a_form_belongs_to_a_length() -> None:
    runout = "kind: runout, clock: [12, 4, 8]"
    assert "limits[F].form: a form is a length; the limit is in N·m" in faults(unit(runout, "max: 3 N·m"))
    assert "needs a min or a max" in faults(unit(runout, "note: by eye"))


def test_every_kind_has_its_name() -> None:
    assert sorted(FORM_KINDS) == [
        "backlash", "diameters", "flatness_grid", "flatness_plate", "flatness_straightedge", "roundness", "runout",
        "shaft_bow", "straightness",
    ]  # fmt: skip
