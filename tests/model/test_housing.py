"""Expected values: the messages and figures that are typed here; demo A's limits are those of the invented demo."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from pydantic import ValidationError

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.definitions.writer import write_transmission
from countershaft.errors import DefinitionError
from countershaft.model.housing import Dowel, FaceRunout, Housing, LengthWindow

HEAD = "format: 1\nname: test\nabout:\n  sources:\n    sheet: {kind: measured, text: bench}\n"


def test_the_housing_of_demo_a_is_read_as_typed() -> None:
    unit = read_transmission(library_text("demo-a"), "demo-a.yaml")
    housing = unit.housing
    assert housing is not None and housing.bore is not None and housing.face is not None
    assert (str(housing.bore.max), str(housing.face.diameter), str(housing.bushing)) == (
        "0.25 mm",
        "280 mm",
        "104 mm",
    )
    assert [dowel.title for dowel in housing.dowels] == ["1, upper left", "2, lower right"]
    assert [size.value for size in housing.offset_dowels] == [Decimal(x) for x in ("0.15", "0.30", "0.45")]
    again = read_transmission(write_transmission(unit), "again.yaml")
    assert again.housing == housing


def test_a_window_the_wrong_way_round_is_objected_to() -> None:
    with pytest.raises(ValidationError, match=r"min 4\.5 mm is not below max 1\.0 mm; swap the two"):
        LengthWindow(min="4.5 mm", max="1.0 mm")  # type: ignore[arg-type]  # texts are read
    with pytest.raises(ValidationError, match=r"min 0\.5 in is not below max 10 mm"):
        Dowel(name="1", min="0.5 in", max="10 mm")  # type: ignore[arg-type]


def test_lengths_that_cannot_be_are_objected_to() -> None:
    with pytest.raises(ValidationError, match="diameter must be above 0, got 0 mm"):
        FaceRunout(max="0.25 mm", diameter="0 mm")  # type: ignore[arg-type]
    with pytest.raises(ValidationError, match="offset_dowels must be above 0 and rise without repeats"):
        Housing(offset_dowels=("0.30 mm", "0.15 mm"))  # type: ignore[arg-type]
    one = {"name": "1", "min": "9.7 mm", "max": "10.3 mm"}
    with pytest.raises(ValidationError, match="the dowel '1' stands twice; name each once"):
        Housing.model_validate({"dowels": [one, one]})


@pytest.mark.parametrize(
    ("section", "said"),
    [
        ("bore: {max: 0.25 mm, source: shet}", "housing.bore.source: there is no source 'shet'"),
        ("bore: {max: 0.25 mm, check: C1}", "housing.bore.check: there is no limit 'C1'"),
        ("part: P9", "housing.part: there is no part 'P9'"),
        (
            "converter: {hub: {max: 0.3 mm, source: x}}",
            "housing.converter.hub.source: there is no source 'x'",
        ),
    ],
)
def test_names_that_lead_nowhere_are_told_with_their_place(section: str, said: str) -> None:
    with pytest.raises(DefinitionError, match=re.escape(said)):
        read_transmission(f"{HEAD}housing:\n  {section}\n", "t.yaml")


def test_a_limit_that_says_something_else_than_the_housing_is_objected_to() -> None:
    text = (
        f"{HEAD}housing:\n  bore: {{max: 0.25 mm, check: C1}}\n"
        "limits:\n  - {id: C1, name: bore, max: 0.30 mm, source: sheet}\n"
    )
    with pytest.raises(DefinitionError, match="the max here and that of limit C1 do not agree") as fault:
        read_transmission(text, "t.yaml")
    assert "0.30 mm" in str(fault.value) and "0.25 mm" in str(fault.value)
    same = text.replace("0.30 mm", "0.25 mm")
    assert read_transmission(same, "t.yaml").housing is not None
