"""The page of the file format is held to the program: its examples are read, its messages are those that come.

The expected values are the page's own words.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import yaml

from countershaft import units
from countershaft.definitions.reader import read_transmission
from countershaft.definitions.schema import json_schema
from countershaft.errors import DefinitionError
from countershaft.model.fits import Fit
from countershaft.model.limits import Limit
from countershaft.model.train import Train
from countershaft.source import SourceKind

PAGE = (Path(__file__).parents[2] / "docs" / "reference" / "file-format.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```(yaml|yaml wrong|text said)\n(.*?)^```$", PAGE, flags=re.MULTILINE | re.DOTALL)
WHOLE = "\n".join(text for kind, text in BLOCKS if kind == "yaml")
LIMITS = PAGE.partition("\n## Limits\n")[2].partition("\n## ")[0]


def rows(text: str) -> list[str]:
    """The examples of the tables in a text."""
    return [
        row.split(" | ")[-1].strip(" |`") for row in text.splitlines() if row.startswith("|") and "{" in row
    ]


FITS = PAGE.partition("\n## Fits\n")[2].partition("\n## ")[0]
FORMS, WAYS = rows(LIMITS), rows(FITS)
ROWS = rows(PAGE.replace(LIMITS, "").replace(FITS, ""))


def test_the_examples_make_one_file_without_a_fault() -> None:
    unit = read_transmission(WHOLE, "page.yaml")
    assert unit.train is not None
    # One set with a held sun, by hand: 1 + 40/80.
    assert [str(state.ratio) for state in unit.train.states().values()] == ["None", "3/2", "1"]
    assert str(unit.limit("FLOW").min) == "3.0 L/min (0.8 US gal/min)"


def test_every_key_of_every_record_stands_on_the_page() -> None:
    keys = {key for record in json_schema()["$defs"].values() for key in record.get("properties", {})}
    keys |= set(json_schema()["properties"])
    said = set(re.findall(r"[a-z_]+(?=`|:)", PAGE))
    assert sorted(keys - said) == []


@pytest.mark.parametrize("row", [row for row in ROWS if "id: P," in row])
def test_every_kind_of_set_is_read_as_shown(row: str) -> None:
    one: dict[str, Any] = yaml.load(row, Loader=yaml.BaseLoader)
    members = [
        one.get("carrier"),
        *one.get("sides", []),
        *one.get("others", {}),
        one.get("ring"),
        one.get("b"),
    ]
    members += [wheel["member"] for wheel in one.get("wheels", [])]
    first, second = [member for member in members if member][:2]
    Train.model_validate({"input": first, "output": second, "sets": [one]})


def test_all_kinds_of_sets_and_elements_stand_on_the_page() -> None:
    shown = {str(yaml.load(row, Loader=yaml.BaseLoader)["kind"]) for row in (*ROWS, *FORMS, *WAYS)}
    schema = json_schema()["$defs"]
    kinds = {
        record["properties"]["kind"]["const"]
        for record in schema.values()
        if "const" in record.get("properties", {}).get("kind", {})
    }
    assert shown == kinds


@pytest.mark.parametrize("row", [row for row in ROWS if "id: P," not in row])
def test_every_kind_of_element_is_read_as_shown(row: str) -> None:
    element = yaml.load(row, Loader=yaml.BaseLoader)
    base = {
        "id": "P",
        "kind": "single_pinion",
        "sun": "S",
        "carrier": "K",
        "ring": "in",
        "ring_over_sun": "2",
    }
    Train.model_validate({"input": "in", "output": "K", "sets": [base], "elements": {"X": element}})


@pytest.mark.parametrize("row", FORMS)
def test_every_kind_of_form_is_read_as_shown(row: str) -> None:
    form = yaml.load(row, Loader=yaml.BaseLoader)
    read = Limit.model_validate({"id": "F", "name": "form", "max": "0.1 mm", "form": form}).form
    assert read is not None and read.kind == form["kind"]


@pytest.mark.parametrize("row", WAYS)
def test_every_way_of_reading_a_fit_is_read_as_shown(row: str) -> None:
    way = yaml.load(row, Loader=yaml.BaseLoader)
    kinds = {"turns": "band", "feeler": "clutch clearance", "dial": "end play", "plates": "clutch clearance"}
    kinds |= {"two loads": "clutch clearance"}
    torque = way["kind"] == "turning torque"
    fit: dict[str, Any] = {
        "id": "F", "name": "fit", "kind": kinds.get(way["kind"], "preload"), "by": way, "part": "P",
        "min": "1.9 N·m" if torque else "1.0 mm", "max": "3.1 N·m" if torque else "1.2 mm", "selective": "shim",
        "sizes_mm": ["1.9", "2.0"], "instrument": {"name": "dial"},
    }  # fmt: skip
    if way["kind"] not in ("plates", "turns"):
        fit["trial"] = "1.90 mm"
    read = Fit.model_validate(fit)
    assert read.by is not None and read.by.kind == way["kind"]


def test_the_wrong_file_is_told_as_the_page_says() -> None:
    (wrong,) = [text for kind, text in BLOCKS if kind == "yaml wrong"]
    (said,) = [text for kind, text in BLOCKS if kind == "text said"]
    with pytest.raises(DefinitionError) as caught:
        read_transmission(wrong, "wrong.yaml")
    assert "\n".join(map(str, caught.value.faults)) + "\n" == said


def test_every_unit_and_every_kind_of_source_stands_on_the_page() -> None:
    table = PAGE.partition("## Quantities")[2].partition("## ")[0]
    listed = {
        unit
        for row in re.findall(r"^\| .* \| (.+) \|$", table, flags=re.MULTILINE)
        for unit in row.split(", ")
    }
    assert listed - {"units"} == set(units.UNITS)
    assert all(f"`{kind.value}`" in PAGE for kind in SourceKind)
