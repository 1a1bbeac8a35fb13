"""Property-test strategies of transmission files; add to this file, do not fork it."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from hypothesis import strategies as st

from countershaft.model.transmission import Transmission
from countershaft.units import KINDS

__all__ = ["needs", "transmissions"]

#: Signs that YAML gives a meaning to, and some that it cannot hold unescaped.
_TEXTS = st.one_of(
    st.text(
        st.sampled_from("abZ019 .,:;#-?!&*|>'\"%@`{}[]()=~\n\t\\\u00e9\u2028\ufeff\x07"),
        min_size=1,
        max_size=30,
    ),
    st.text(st.characters(exclude_categories=("Cs",)), min_size=1, max_size=30),
    st.sampled_from(
        ["null", "~", "yes", "1.80", "010", "1:30", "- a", "a: b", "<<", "8.8", "true", "=", "'", "0x1F"]
    ),
    st.lists(st.sampled_from(["long", "words", "about", "a", "bolt:", "#3"]), min_size=25, max_size=60).map(
        " ".join
    ),
).filter(lambda text: bool(text.strip()))
_NAMES = st.text(st.sampled_from("abAB019._-+*&!'\"<>~=|@`\u00e9"), min_size=1, max_size=8)
_FIGURES = st.decimals(min_value=Decimal("0.001"), max_value=9999, places=3) | st.sampled_from(
    [Decimal("1.80"), Decimal("1.8"), Decimal(10), Decimal("0.10")]
)
_COUNTS = st.integers(1, 99)


def _maybe(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.none() | strategy


def _quantities(kind: str) -> st.SearchStrategy[str]:
    return st.builds(lambda figure, unit: f"{figure} {unit}", _FIGURES, st.sampled_from(KINDS[kind]))


_CAUTIONS = st.lists(
    st.fixed_dictionaries(
        {"signal": st.sampled_from(["DANGER", "WARNING", "CAUTION", "NOTICE"]), "text": _TEXTS}
    ),
    max_size=2,
)
_INSTRUMENTS = st.fixed_dictionaries({"name": _TEXTS, "resolution": _maybe(_quantities("length"))})
_STAGES = st.one_of(
    st.fixed_dictionaries({"torque": _quantities("torque")}),
    st.fixed_dictionaries({"by_hand": _TEXTS}),
    st.fixed_dictionaries({"angle_deg": _FIGURES}),
)
_WASHERS = st.fixed_dictionaries(
    {"name": _TEXTS, "count": _COUNTS, "thickness_mm": _maybe(_FIGURES), "faces": _maybe(_TEXTS)}
)
_WAYS = st.fixed_dictionaries(
    {
        "id": _NAMES,
        "title": _TEXTS,
        "tools": _maybe(st.lists(_TEXTS, max_size=2)),
        "minutes": _maybe(_COUNTS),
        "cautions": _CAUTIONS,
    }
)
_TRAINS = st.sampled_from(
    [
        {
            "input": "in",
            "output": "out",
            "sets": [
                {
                    "id": "P",
                    "kind": "basic_ratio",
                    "carrier": "out",
                    "b": "in",
                    "others": {"S": "-1/4", "*T": 0.5},
                }
            ],
            "elements": {
                "A": {"kind": "brake", "member": "S"},
                "D": {"kind": "sleeve", "positions": {"up": ["in", "out"], "1": ["S", "*T"]}},
            },
            "chart": {"1": ["A"], "no: #1": ["D:up"], "P": []},
        },
        {
            "input": "in",
            "output": "out",
            "sets": [
                {
                    "id": "F",
                    "kind": "single_pinion",
                    "sun": "S",
                    "carrier": "out",
                    "ring": "in",
                    "ring_over_sun": 2.6,
                }
            ],
            "pairs": [{"a": "out", "b": "lay", "teeth": [18, 25], "internal": True}],
            "grounded": ["S"],
            "bearings": [
                {
                    "id": "B",
                    "inner": "out",
                    "outer": "in",
                    "balls": 9,
                    "ball_diameter_mm": "7.940",
                    "pitch_diameter_mm": 40,
                    "contact_angle_deg": "15.0",
                    "load": "lay",
                    "note": "yes: #1",
                },
                {
                    "id": "*B",
                    "outer": "lay",
                    "balls": 12,
                    "ball_diameter_mm": 2,
                    "pitch_diameter_mm": "12.50",
                },
            ],
            "speed_sensors": [{"id": "S", "name": "no", "member": "out", "teeth": 45}],
        },
    ]
)


@st.composite
def transmissions(draw: st.DrawFn) -> Transmission:
    """A transmission that keeps every rule across its records."""
    part_ids = draw(st.lists(_NAMES, unique=True, max_size=4))
    joint_ids = draw(st.lists(_NAMES, unique=True, max_size=3))
    sources = draw(st.lists(_NAMES, unique=True, max_size=2))
    source = st.sampled_from([None, *sources])
    tree: dict[str, Any] = {
        "format": 1,
        "name": draw(_TEXTS),
        "about": {
            "note": draw(_maybe(_TEXTS)),
            "mass": draw(_maybe(_quantities("mass"))),
            "stall_torque_ratio": draw(_maybe(_FIGURES)),
            "cautions": draw(_CAUTIONS),
            "sources": {name: {"kind": "measured", "text": draw(_TEXTS)} for name in sources},
        },
        "train": draw(_maybe(_TRAINS)),
        "parts": [_part(draw, name) for name in part_ids],
        "fasteners": [_joint(draw, name, source) for name in joint_ids],
        "fits": [_fit(draw, f"fit{n}", part, source) for n, part in enumerate(part_ids[:1])],
        "limits": [_limit(draw, f"limit{n}", source) for n in range(draw(st.integers(0, 2)))],
        "steps": _steps(draw, part_ids, joint_ids),
        "observed": draw(_maybe(_observed(part_ids))),
    }
    return Transmission.model_validate(tree)


def _part(draw: st.DrawFn, name: str) -> dict[str, Any]:
    return {
        "id": name,
        "name": draw(_TEXTS),
        "quantity": draw(_COUNTS),
        "policy": draw(st.sampled_from(["always new", "reuse if good", "selective", "exchange"])),
        "look": draw(_maybe(_TEXTS)),
    }


def _joint(draw: st.DrawFn, name: str, source: st.SearchStrategy[Any]) -> dict[str, Any]:
    places = draw(st.lists(_NAMES, unique=True, max_size=3))
    joint: dict[str, Any] = {
        "id": name,
        "name": draw(_TEXTS),
        "thread": draw(st.sampled_from(["M8x1.25", "M10x1.0", "1/4-20 UNC", "#10-32", "1 1/2-6 UNC"])),
        "hand": draw(st.sampled_from(["right", "left"])),
        "length_mm": draw(_maybe(_FIGURES)),
        "hole": draw(_maybe(st.sampled_from(["blind", "through"]))),
        "special": draw(_maybe(st.sampled_from(["hollow", "sealing", "shouldered"]))),
        "coating": draw(_maybe(_TEXTS)),
        "friction": draw(_maybe(st.just({"thread": "0.10", "head": "0.120"}))),
        "washers": draw(st.lists(_WASHERS, max_size=2)),
        "stages": draw(st.lists(_STAGES, min_size=1, max_size=3)),
        "gasket": draw(st.booleans()),
        "source": draw(source),
    }
    if places:
        at = st.tuples(_FIGURES, _FIGURES.map(lambda figure: -figure))
        joint |= {
            "places": [
                {"id": place, "at_mm": draw(_maybe(at)), "note": draw(_maybe(_TEXTS))} for place in places
            ],
            "order": draw(st.permutations(places)),
        }
    else:
        joint["count"] = draw(_COUNTS)
    return joint


def _fit(draw: st.DrawFn, name: str, part: str, source: st.SearchStrategy[Any]) -> dict[str, Any]:
    sizes = sorted(draw(st.lists(_FIGURES, min_size=1, max_size=5, unique=True)))
    low = draw(_FIGURES)
    measured: dict[str, Any] = {"gap": [{"name": draw(_TEXTS), "sign": sign} for sign in "+-"]}
    return {
        "id": name,
        "name": draw(_TEXTS),
        "kind": draw(st.sampled_from(["end play", "clutch clearance"])),
        "min": f"{low} mm",
        "max": f"{low + 1} mm",
        "part": part,
        "selective": draw(_TEXTS),
        "sizes_mm": sizes,
        "instrument": draw(_INSTRUMENTS),
        "source": draw(source),
        **draw(st.sampled_from([measured, {"trial": f"{sizes[0]} mm"}])),
    }


def _limit(draw: st.DrawFn, name: str, source: st.SearchStrategy[Any]) -> dict[str, Any]:
    return {
        "id": name,
        "name": draw(_TEXTS),
        "max": draw(_maybe(_quantities("pressure"))),
        "stage": draw(st.sampled_from(["inspect", "prove"])),
        "readings": draw(st.integers(1, 12)),
        "must": draw(st.booleans()),
        "cautions": draw(_CAUTIONS),
        "source": draw(source),
    }


def _steps(draw: st.DrawFn, parts: list[str], joints: list[str]) -> list[dict[str, Any]]:
    """Every part and joint comes off at one step and goes on at another; each step may need those before it."""
    made: list[dict[str, Any]] = []
    pieces = [{"part": part, "note": draw(_maybe(_TEXTS))} for part in parts]
    for phase, key, joint_key in (("teardown", "off", "loosen"), ("build", "on", "tighten")):
        before = [step["id"] for step in made]
        place = draw(st.sampled_from(["lies", "where", "how"]))
        made.append(
            {
                "id": f"{phase}1",
                "phase": phase,
                "title": draw(_TEXTS),
                "needs": before,
                key: pieces,
                joint_key: joints,
                "how": draw(_maybe(_TEXTS)),
                "photo": draw(st.booleans()),
                "write_down": draw(st.lists(_TEXTS, max_size=2)),
                "cautions": draw(_CAUTIONS),
                "minutes": draw(_maybe(_COUNTS)),
                "tools": draw(st.lists(_TEXTS, max_size=3)),
                "consumables": draw(st.lists(_TEXTS, max_size=1)),
                "alternatives": draw(st.lists(_WAYS, max_size=1)),
                "why": {need: draw(_TEXTS) for need in before},
                "sticks": parts[:1],
                "hides": before,
                place: draw(_TEXTS),
            }
        )
    made[1]["wait_min"] = draw(_maybe(_COUNTS))
    return made


def _observed(parts: list[str]) -> st.SearchStrategy[dict[str, Any]]:
    """One to three watched teardowns of the two steps there are, and what people said."""
    step = st.sampled_from(["teardown1", "build1"])
    pair = st.fixed_dictionaries({"before": step, "after": step, "because": _maybe(_TEXTS)})
    order = st.permutations(["teardown1", "build1"])
    together = st.sampled_from([[], [["teardown1", "build1"]]])
    watched = st.fixed_dictionaries({"job": _TEXTS, "order": order, "together": together})
    called = (
        st.dictionaries(st.sampled_from(parts), st.lists(_TEXTS, min_size=1, max_size=2))
        if parts
        else st.just({})
    )
    return st.fixed_dictionaries(
        {
            "teardowns": st.lists(watched, min_size=1, max_size=3),
            "fixed": st.lists(pair, max_size=2),
            "loosened": st.lists(pair, max_size=1),
            "also_called": called,
        }
    )


@st.composite
def needs(draw: st.DrawFn, *, circles: bool = False) -> dict[int, list[int]]:
    """Keys with what each needs; without circles a key needs only lower ones, but the keys come in any order."""
    keys = draw(st.permutations(range(draw(st.integers(1, 9)))))
    return {
        key: draw(
            st.lists(st.sampled_from([other for other in keys if circles or other < key] or [0]), unique=True)
            if circles or key
            else st.just([])
        )
        for key in keys
    }
