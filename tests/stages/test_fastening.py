"""Order of a joint, and the heads before its first torque.

Expected values: by hand on demo B (valve body: 17 bolts, heads stand 12 mm) and on a ring of four; a star on a circle
of four goes across, then across (common practice, no source).
"""

from __future__ import annotations

import pytest

from countershaft.definitions.library import library_text
from countershaft.definitions.reader import read_transmission
from countershaft.errors import FormError
from countershaft.job.entry import HeadSeen, HeightsSeen, HoleMarked, Photo, StepDone, Tightened, Undone
from countershaft.job.serial import read_entries, write_entry
from countershaft.job.words import Stage
from countershaft.model.transmission import Transmission
from countershaft.stages.build import joint_state
from countershaft.stages.fastening import held, look, looks_asked, marks, order_of, positions
from countershaft.web.forms.form import body_of
from tests.small_unit import Log

DEMO_B = read_transmission(library_text("demo-b"), "demo-b.yaml")
PICTURE = "a" * 64
RING = Transmission.model_validate(
    {
        "format": 1,
        "name": "ring",
        "parts": [{"id": "lid", "name": "lid"}, {"id": "pan", "name": "pan"}],
        "fasteners": [
            {"id": "four", "name": "lid", "thread": "M8x1.25", "count": 4, "length_mm": 30, "grip_mm": 18,
             "thread_depth_mm": 15, "stages": [{"torque": "12 N·m"}, {"torque": "24 N·m"}]},
            {"id": "star", "name": "pan", "thread": "M8x1.25", "length_mm": 40, "grip_mm": 28, "thread_depth_mm": 15,
             "stages": [{"torque": "24 N·m"}],
             "places": [{"id": name, "at_mm": at} for name, at in
                        (("n", [0, 50]), ("e", [50, 0]), ("s", [0, -50]), ("w", [-50, 0]))]},
        ],
        "steps": [
            {"id": "T1", "phase": "teardown", "title": "pan off", "off": ["pan"], "loosen": ["star"]},
            {"id": "T2", "phase": "teardown", "title": "lid off", "off": ["lid"], "loosen": ["four"], "needs": ["T1"]},
        ],
    }
)  # fmt: skip


def apart() -> Log:
    """The ring, both lids off."""
    log = Log(RING)
    for step, part in (("T1", "pan"), ("T2", "lid")):
        log.say(body_of(StepDone, {"step": step, "placed": ({"part": part, "count": 1, "place": "mat"},)}))
    return log


def seen(joint: str, *heads: tuple[str, str], because: str = "") -> HeightsSeen:
    return HeightsSeen(
        joint=joint,
        heads=tuple(HeadSeen(place=place, height_mm=height) for place, height in heads),
        because=because,
    )


def level(joint: str) -> HeightsSeen:
    return HeightsSeen(joint=joint, level=True)


def tap(place: str, across: int, down: int, digest: str = PICTURE) -> HoleMarked:
    return HoleMarked(joint="four", digest=digest, place=place, across=across, down=down)


def test_an_order_is_computed_where_the_file_gives_none() -> None:
    """North, south, east, west: across, then across; the bench asks for the same."""
    log = apart()
    order = order_of(log.state, RING.joint("star"))
    assert order.sequence in (("n", "s", "e", "w"), ("n", "s", "w", "e"))
    assert "a star" in order.reason
    log.say(level("four"), Tightened(joint="four", round=1, places=("1", "2", "3", "4")))
    log.say(Tightened(joint="four", round=2, places=("1", "2", "3", "4")))
    log.say(body_of(StepDone, {"step": "T2-back"}), level("star"))
    assert "is n, not e." in log.refused(Tightened(joint="star", round=1, places=("e",)))
    log.say(Tightened(joint="star", round=1, places=("n", "s")))
    assert joint_state(log.state, RING.joint("star")).number == 3


def test_the_order_of_the_file_stands() -> None:
    valve_body = DEMO_B.joint("V")
    assert order_of(None, valve_body).sequence == valve_body.order
    assert order_of(None, valve_body).pattern == "given"


def test_nobody_torques_before_the_heads_were_looked_at() -> None:
    """Without a look, with a bad one, with a reason, with a good one."""
    log = apart()
    first = Tightened(joint="four", round=1, places=("1",))
    assert "Before the first torque on lid: drop every bolt in" in log.refused(first)
    log.say(seen("four", ("1", "22"), ("3", "12.4")))
    told = log.refused(first)
    assert "four/1 holds a bolt of about 40 mm, 10 mm too long" in told and "n, e, s, w" in told
    assert "four/3" not in told
    log.say(seen("four", because="longer studs are fitted on purpose"))
    assert log.ask(first).accepted
    log.say(seen("four", ("1", "22")))
    assert not log.ask(first).accepted
    log.say(level("four"))
    assert log.ask(first).accepted
    now = look(RING, log.state, RING.joint("four"))
    assert now is not None and now.resolved and now.body.level


def test_swapped_bolts_of_the_valve_body_are_told_before_torque() -> None:
    """V03 has 45 mm and V06 60 mm: swapped, one head stands 27 mm and the other lies on the part."""
    log = Log(DEMO_B)
    log.entries.append(log._entry(seen("V", ("V03", "27"), ("V06", "0"))))
    told = held(DEMO_B, log.state, DEMO_B.joint("V"))
    assert "V03 holds a bolt of about 60 mm, 15 mm too long. It is probably that of V06" in told
    assert "V06 holds a bolt of 48 mm at most, at least 12 mm too short. It is probably that of V03" in told
    assert told.endswith(
        "Put the bolts right and look again, or write down why it is tightened all the same."
    )


def test_a_look_is_asked_only_where_it_can_tell_something() -> None:
    """Nuts and plugs have no bolts; the 11 mm bolts of the flexplate fit nowhere else."""
    asked = {joint.id for joint in DEMO_B.fasteners if looks_asked(DEMO_B, joint)}
    assert {"V", "P", "B", "F01"} <= asked
    assert not asked & {"F10", "F11", "F14", "F15", "F16"}


def test_holes_tapped_on_a_picture_give_the_order() -> None:
    """Four holes tapped round a circle, the picture's y downward: the star starts at the first."""
    log = apart()
    joint = RING.joint("four")
    assert order_of(log.state, joint).sequence is None
    log.say(tap("1", 400, 100), tap("2", 700, 400), tap("3", 400, 700))
    assert order_of(log.state, joint).sequence is None
    log.say(tap("4", 101, 400), tap("4", 100, 400))
    assert order_of(log.state, joint).sequence in (("1", "3", "2", "4"), ("1", "3", "4", "2"))
    assert positions(log.state, joint)["1"] == (400.0, -100.0)
    log.say(tap("1", 5, 5, "b" * 64))
    found = marks(log.state, "four")
    assert found is not None and (found.digest, found.holes) == ("b" * 64, {"1": (5, 5)})


def test_what_cannot_be_marked_is_refused() -> None:
    log = apart()
    assert log.refused(HoleMarked(joint="star", digest=PICTURE, place="n", across=1, down=1)) == (
        "The file says where the holes of pan lie; no picture is needed."
    )
    assert log.refused(tap("9", 1, 1)) == "lid has no place 9."
    assert log.refused(seen("four", ("9", "3"))) == "lid has no place 9."
    log.say(level("four"), Tightened(joint="four", round=1, places=("1",)))
    assert "has had torque already. Its holes are marked before the first round" in log.refused(
        tap("1", 1, 1)
    )
    assert "Heads are looked at before the first round" in log.refused(level("four"))


def test_a_look_is_undone_only_before_the_torque_that_stands_on_it() -> None:
    log = apart()
    looked = log.say(level("four"))
    log.say(Tightened(joint="four", round=1, places=("1",)))
    assert log.refused(Undone(target=looked.id, because="slip")) == "Undo first: round 1 of lid."


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"joint": "V"}, "type at least one figure, or say why nobody looked"),
        ({"joint": "V", "level": True, "because": "x"}, "all heads are level, or some are named; not both"),
        ({"joint": "V", "heads": ({"place": "a"},)}, "either a standing height or a length"),
        (
            {"joint": "V", "heads": ({"place": "a", "height_mm": 1}, {"place": "a", "height_mm": 2})},
            "a place is named twice",
        ),
    ],
)
def test_a_look_says_something(given: dict[str, object], words: str) -> None:
    with pytest.raises(FormError) as caught:
        body_of(HeightsSeen, given)
    assert words in " ".join(caught.value.fields.values())


def test_the_entries_survive_being_stored() -> None:
    log = apart()
    log.say(
        Photo(stage=Stage.BUILD, about="four", digest=PICTURE),
        tap("1", 400, 100),
        seen("four", ("1", "22.5"), because="x"),
        level("four"),
    )
    assert read_entries([write_entry(entry) for entry in log.entries]) == tuple(log.entries)
