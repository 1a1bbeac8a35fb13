"""The import ladder of docs/index.md holds in the source, and its checker sees every kind of breach.

The expected breaches are written by hand for small trees made on the spot; the ladder is the one decided in the design.
"""

from __future__ import annotations

from pathlib import Path
from textwrap import dedent

import pytest

from tools.layers import breaches, read_modules

SOURCE = Path(__file__).parents[1] / "src" / "countershaft"


def test_the_source_keeps_to_the_ladder() -> None:
    modules = read_modules(SOURCE)
    assert len(modules) > 50
    found = breaches(modules)
    assert not found, "\n".join(found)


def tree(root: Path, files: dict[str, str]) -> list[str]:
    """Breaches of a made-up package, with paths from its root."""
    for name, text in {"__init__.py": "", **files}.items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(dedent(text), encoding="utf-8")
    return [breach.replace(f"{root}/", "") for breach in breaches(read_modules(root))]


def test_a_tree_in_order_has_no_breach(tmp_path: Path) -> None:
    files = {
        "__main__.py": "from countershaft.cli.main import main",
        "errors.py": "class Wrong(Exception): ...",
        "units.py": "def read():\n    import pint  # heavy: only when unlike units meet\n    return pint",
        "mechanics/__init__.py": '"""Pure."""',
        "mechanics/shaft.py": "import math\nfrom countershaft import __version__, errors",
        "mechanics/train.py": "from countershaft.mechanics import shaft\nfrom countershaft.mechanics.shaft import x",
        "store/jobs.py": "import sqlite3, os\nfrom .engine import Engine\nfrom .. import errors",
        "store/engine.py": "from countershaft.mechanics.train import shaft",
        "cli/main.py": "from importlib import import_module\ndef load(n):\n    import_module(f'countershaft.cli.{n}')",
        "cli/serve.py": "from countershaft.web.app import create_app",
        "web/app.py": "from countershaft.store import jobs",
    }
    assert tree(tmp_path, files) == []


CASES = {
    "upward": (
        {"errors.py": "", "units.py": "from countershaft.model.train import Train", "model/train.py": ""},
        ["units.py:1: units imports upward from model"],
    ),
    "upward, whole package": (
        {"job/state.py": "import countershaft.web", "web/__init__.py": ""},
        ["job/state.py:1: job imports upward from web"],
    ),
    "upward, for type checking only": (
        {
            "model/train.py": """\
                from typing import TYPE_CHECKING
                if TYPE_CHECKING:
                    from countershaft.stages import fit
            """,
            "stages/fit.py": "",
        },
        ["model/train.py:3: model imports upward from stages"],
    ),
    "upward, by a relative import": (
        {"job/state.py": "from ..desk import desk", "desk/desk.py": "", "desk/__init__.py": ""},
        ["job/state.py:1: job imports upward from desk"],
    ),
    "upward, by text": (
        {
            "job/state.py": "import importlib\nimportlib.import_module('countershaft.desk.desk')",
            "desk/desk.py": "",
        },
        ["job/state.py:2: job imports upward from desk"],
    ),
    "same rung": (
        {"metrology/form.py": "from countershaft.mechanics.shaft import x", "mechanics/shaft.py": ""},
        ["metrology/form.py:1: metrology and mechanics share a rung, and must not import each other"],
    ),
    "same rung, not through the door": (
        {"cli/job.py": "from countershaft.web import app", "web/app.py": "from countershaft.cli import job"},
        [
            "cli/job.py:1: cli and web share a rung, and must not import each other",
            "web/app.py:1: web and cli share a rung, and must not import each other",
            (
                "modules import each other in a circle: "
                "countershaft.cli.job -> countershaft.web.app -> countershaft.cli.job"
            ),
        ],
    ),
    "circle inside a package": (
        {
            "job/entry.py": "from countershaft.job import fold",
            "job/fold.py": "from countershaft.job.state import State",
            "job/state.py": "from countershaft.job.entry import Entry",
        },
        [
            (
                "modules import each other in a circle: countershaft.job.entry -> countershaft.job.fold -> "
                "countershaft.job.state -> countershaft.job.entry"
            )
        ],
    ),
    "inside a function": (
        {
            "desk/desk.py": "def go():\n    from countershaft.job import state  # loads late",
            "job/state.py": "",
        },
        [
            (
                "desk/desk.py:2: countershaft.job.state is imported inside a function; "
                "import it at the top or turn the need round"
            )
        ],
    ),
    "inside a method, by text": (
        {"desk/desk.py": "class D:\n    def go(self):\n        importlib.import_module('countershaft.job')"},
        [
            (
                "desk/desk.py:3: countershaft.job is imported inside a function; "
                "import it at the top or turn the need round"
            )
        ],
    ),
    "late library without a reason": (
        {"store/jobs.py": "def go():\n    import alembic\n    return alembic"},
        ["store/jobs.py:2: alembic is imported inside a function without a reason beside it"],
    ),
    "unknown package": (
        {"helpers.py": "", "model/train.py": "from countershaft.common import x"},
        [
            "helpers.py: 'helpers' stands on no rung of the ladder",
            "model/train.py:1: countershaft.common stands on no rung of the ladder",
        ],
    ),
    "impure import": (
        {
            "planning/order.py": """\
                import os
                from pathlib import Path
                import pydantic.fields
                import random
                from random import shuffle
                from random import Random
            """
        },
        [
            f"planning/order.py:{line}: planning only computes, and must not import {name}"
            for line, name in enumerate(("os", "pathlib", "pydantic.fields", "random", "random"), start=1)
        ],
    ),
    "impure call": (
        {
            "inference/rank.py": """\
                import numpy as np
                from datetime import datetime
                seeded = np.random.default_rng(7).normal()
                open("x")
                datetime.now()
                np.random.normal()
                np.random.default_rng()
                Random(7)
                Random()
            """
        },
        [
            *(
                f"inference/rank.py:{line}: inference only computes, and must not call {call}()"
                for line, call in (
                    (4, "open"),
                    (5, "datetime.now"),
                    (6, "np.random.normal"),
                    (7, "np.random.default_rng"),
                    (9, "Random"),
                )
            ),
        ],
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_every_kind_of_breach_is_named(tmp_path: Path, case: str) -> None:
    files, expected = CASES[case]
    found = tree(tmp_path, files)
    assert sorted(found) == sorted(expected)


def test_the_same_library_imported_late_with_a_reason_is_fine(tmp_path: Path) -> None:
    files = {
        "store/jobs.py": "def go():\n    # Half a second to import.\n    import alembic\n    return alembic"
    }
    assert tree(tmp_path, files) == []
