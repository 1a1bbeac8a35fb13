"""`./bench speed`: what the program promises about time, measured beside a peer in the same run.

Every figure is the median of several runs on this machine; the ratio beside it is what to compare between machines.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

from starlette.testclient import TestClient

from benchmarks import choosing, gear_trains, mix_ups, order_of_work
from benchmarks.timing import median_ms, row
from countershaft.desk.demo_bench import Clock
from countershaft.desk.demo_shop import diagnosed, six_speed
from countershaft.desk.desk import Desk, new_entry_id
from countershaft.job.entry import Body, Entry, Note, Reading
from countershaft.job.serial import read_entries, write_entry
from countershaft.job.state import fold
from countershaft.job.words import Stage
from countershaft.store.shop import Store, open_store
from countershaft.web.app import Settings, create_app

ENTRIES = 5000
READING = {
    "limit": "C02",
    "when": "as found",
    "values": ("1.42", "1.44", "1.41"),
    "unit": "mm",
    "instrument": "micrometer",
    "resolution": "0.01",
}
PAGES = (
    "/",
    "/jobs/{tag}",
    "/jobs/{tag}/intake",
    "/jobs/{tag}/diagnose",
    "/jobs/{tag}/teardown/plan",
    "/jobs/{tag}/teardown/T08",
    "/jobs/{tag}/inspect",
    "/jobs/{tag}/measure/reading?key=C02",
    "/jobs/{tag}/decide",
    "/jobs/{tag}/fit",
    "/jobs/{tag}/build/plan",
    "/jobs/{tag}/prove",
    "/jobs/{tag}/handover",
    "/jobs/{tag}/report",
    "/jobs/{tag}/log",
)


def big_job(store: Store) -> str:
    """A job of 5 000 entries: a whole teardown and inspection, then notes and readings in turn."""
    desk = Desk(store, now=Clock(datetime.now(UTC) - timedelta(days=30)))
    desk.shelve_library()
    bench = six_speed(desk, "BIG", vehicle="invented", by="R. Bench")
    diagnosed(bench)
    bench.take_apart()
    bench.inspect()
    job = desk.job("BIG")
    for number in range(ENTRIES - len(job.state.entries)):
        body: Body = Note(stage=Stage.TEARDOWN, about="T08", words=f"note {number}: looked at it again")
        if number % 2:
            body = Reading.model_validate(READING)
        store.jobs.append("BIG", Entry(id=new_entry_id(), at=datetime.now(UTC), by="R. Bench", body=body))
    return "BIG"


def main() -> None:
    """Measure everything and print one table."""
    with tempfile.TemporaryDirectory() as folder:
        store = open_store(Path(folder))
        print(f"making a job of {ENTRIES} entries …")
        tag = big_job(store)
        print(f"\n{'what':<44}{'ours':>12}  {'promised':<18}{'peer':>12}  {'ours/peer':>8}")
        entries = store.jobs.entries(tag)[0]
        lines = [write_entry(entry) for entry in entries]
        text = f"[{','.join(lines)}]"
        parse = median_ms(lambda: json.loads(text))
        row(
            "fold 5 000 entries",
            median_ms(lambda: fold(entries)),
            parse,
            "≤ 50 ms",
            "json.loads of the same bytes",
        )
        row(
            "read and check 5 000 entries",
            median_ms(lambda: read_entries(lines)),
            parse,
            "",
            "json.loads of the same bytes",
        )
        pages(store, tag, parse)
        store.close()
    gear_trains.main()
    mix_ups.main()
    choosing.main()
    order_of_work.main()
    command()


def pages(store: Store, tag: str, parse: float) -> None:
    """Server time of every page of the big job."""
    app = create_app(Desk(store), Settings(person="R. Bench"))
    with TestClient(app) as client:
        for path in PAGES:
            address = path.format(tag=tag)
            assert client.get(address).status_code == 200, address

            def served(address: str = address) -> object:
                return client.get(address)

            row(f"page {path}", median_ms(served, runs=15), parse, "≤ 100 ms", "json.loads of the whole log")


def command() -> None:
    """Start of the command line, beside a bare interpreter."""

    def run(*words: str) -> Callable[[], object]:
        return lambda: subprocess.run([sys.executable, *words], check=True, capture_output=True)

    bare = median_ms(run("-c", "pass"), runs=7)
    row(
        "countershaft --help",
        median_ms(run("-m", "countershaft", "--help"), runs=7),
        bare,
        "≤ 300 ms",
        "python -c pass",
    )


if __name__ == "__main__":
    main()
