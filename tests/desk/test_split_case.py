"""The whole bench work on the split case, through the desk.

Expected values: the invented figures of demo A as in tests/definitions/demo_facts.json; at the end nothing is left over
and nothing is missing.
"""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

from countershaft.definitions.library import library_text
from countershaft.desk.demo_bench import DemoBench, Facts
from countershaft.desk.desk import Desk
from countershaft.job.entry import JobOpened
from countershaft.stages import build
from countershaft.stages.fit import survey as fits
from countershaft.store.shop import open_store

DEMO: dict[str, Any] = json.loads(
    (Path(__file__).parents[1] / "definitions" / "demo_facts.json").read_text(encoding="utf-8"),
    parse_float=Decimal,
)["demo-a"]
#: What the packs and loops were when they were measured again, as the demo has it.
LEFT = {
    "CL-K1": "1.12", "CL-K2": "1.06", "CL-K3": "1.20", "CL-K4": "0.81", "CL-K5": "0.65",
    "EP-IS": "0.19", "PL-L1": "-0.08", "PL-L2": "-0.07", "EP-g1": "0.11", "EP-d3": "0.09",
}  # fmt: skip
GAPS = {
    **{
        f"CL-{pack['element']}": (
            str(pack["depth_mm"]),
            str(pack["measured_stack_mm"]),
            LEFT[f"CL-{pack['element']}"],
        )
        for pack in DEMO["packs"]
    },
    **{loop["id"]: (str(loop["reading_mm"]), LEFT[loop["id"]]) for loop in DEMO["loops"]},
}


def test_the_split_case_comes_apart_and_goes_together_with_nothing_left_over(tmp_path: Path) -> None:
    store = open_store(tmp_path / "shop")
    desk = Desk(store)
    digest = desk.add_definition(library_text("demo-a"), file="demo-a.yaml")
    unit = desk.definition(digest)
    desk.open_job(JobOpened(tag="A7", vehicle="book bus", unit=unit.name, definition=digest), by="R. Bench")
    bench = DemoBench(desk, "A7", by="R. Bench", facts=Facts(gaps=GAPS))
    bench.take_apart()
    bench.put_together()
    job = desk.job("A7")
    found = build.survey(job.transmission, job.state)
    assert found.work.complete
    assert (found.left_over, found.missing) == ((), ())
    chosen = {one.fit.id: one.chosen.size_mm for one in fits(job.transmission, job.state).fits if one.chosen}
    nearest = {
        loop["id"]: min(loop["sizes_mm"], key=lambda size: abs(size - loop["needed_mm"]))
        for loop in DEMO["loops"]
    }
    assert {name: chosen[name] for name in nearest} == nearest
    assert fits(job.transmission, job.state).complete
    store.close()
