"""Which stage judges which entry, and what cannot be undone at all.  Expected values: by hand."""

from __future__ import annotations

from typing import get_args

import pytest

from countershaft.job.entry import KINDS, Note, Undone
from countershaft.job.words import Stage
from tests.small_unit import Log


def test_what_is_not_there_or_undone_cannot_be_undone() -> None:
    """An unknown entry, the opening of the job, and an entry that is undone already are each said."""
    log = Log()
    note = log.say(Note(stage=Stage.INTAKE, words="seen"))
    assert (
        log.refused(Undone(target="f" * 32, because="a slip"))
        == "The entry to undo is not in this job's log."
    )
    assert "opening of a job cannot be undone" in log.refused(
        Undone(target=log.entries[0].id, because="a slip")
    )
    log.say(Undone(target=note.id, because="a slip"))
    assert log.refused(Undone(target=note.id, because="a slip")) == "That entry is undone already."


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_kind_says_its_stage_or_belongs_to_none(kind: str) -> None:
    """The kinds without a stage of their own are those that say it in their body, or are judged by what they name."""
    without = {
        "note",
        "photo",
        "undone",
        "waiting",
        "moved",
        "step_done",
        "step_skipped",
        "reading",
        "look",
        "not_measured",
        "part_late",
        "step_impossible",
        "order_followed",
        "form_set",
        "form_taken",
    }
    assert (KINDS[kind].STAGE is None) == (kind in without)
    assert get_args(KINDS[kind].model_fields["kind"].annotation) == (kind,)
