"""kill -9 at any moment loses no acknowledged entry: a real process is killed while it writes."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

import countershaft
from countershaft.store.shop import open_store

WRITER = """
import sys, uuid
from datetime import UTC, datetime
from pathlib import Path
from countershaft.job.entry import Entry, JobOpened, Note
from countershaft.job.words import Stage
from countershaft.store.shop import open_store

store = open_store(Path(sys.argv[1]))
now = datetime.now(UTC)
digest = store.definitions.add("unit", "format: 1", added=now.isoformat())
opened = JobOpened(tag="J1", vehicle="van", unit="unit", definition=digest)
store.jobs.open(Entry(id=uuid.uuid4().hex, at=now, by="R. Bench", body=opened))
print("open", flush=True)
while True:
    entry = Entry(id=uuid.uuid4().hex, at=now, by="R. Bench", body=Note(stage=Stage.INTAKE, words="x" * 400))
    store.jobs.append("J1", entry)
    print(entry.id, flush=True)
"""


ENVIRONMENT = {**os.environ, "PYTHONPATH": str(Path(countershaft.__file__).parents[1])}


@pytest.mark.parametrize("seed", range(4))
def test_every_acknowledged_entry_survives(tmp_path: Path, seed: int) -> None:
    """What the writer printed after `append` returned is there after it was killed, and the log still reads."""
    acknowledged = tmp_path / "acknowledged"
    with acknowledged.open("w") as out:
        writer = subprocess.Popen(
            [sys.executable, "-c", WRITER, str(tmp_path / "shop")], stdout=out, env=ENVIRONMENT
        )
        try:
            deadline = time.monotonic() + 60
            while acknowledged.stat().st_size < 33 * 5 and time.monotonic() < deadline:
                time.sleep(0.01)
            time.sleep(random.Random(seed).uniform(0.0, 0.2))
        finally:
            os.kill(writer.pid, signal.SIGKILL)
            writer.wait()
    ids = [line.strip() for line in acknowledged.read_text().splitlines() if len(line) == 32]
    assert len(ids) >= 3, "the writer never wrote"
    store = open_store(tmp_path / "shop")
    try:
        kept = [entry.id for entry in store.jobs.entries("J1")[0]][1:]
    finally:
        store.close()
    assert kept[: len(ids)] == ids
    assert len(kept) <= len(ids) + 1
