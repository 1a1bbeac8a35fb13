"""Which limits of the file a sweep of the housing or the depths of the converter answer, and with what figure."""

from __future__ import annotations

from countershaft.job.entry import ConverterDepths, HousingSwept
from countershaft.model.housing import Housing
from countershaft.model.transmission import Transmission
from countershaft.stages.alignment import asked_of
from countershaft.stages.converter import Judged, depths_judged
from countershaft.stages.housing_sweep import swept

__all__ = ["answered_by"]


def answered_by(
    transmission: Transmission, limit: str, body: HousingSwept | ConverterDepths
) -> Judged | None:
    """The figure that answers a limit; None where the entry says nothing about it."""
    housing = transmission.housing
    if housing is None:
        return None
    if isinstance(body, ConverterDepths):
        return _by_depths(transmission, housing, limit, body)
    run = swept(body, asked_of(transmission, body))
    if housing.bore is not None and housing.bore.check == limit:
        source = run.asked.bore_source
        upper = housing.bore.max.to(run.unit)
        value, said, lines = run.bore_estimate, run.bore_judgement, run.bore_working
        return Judged("Bore", value, said, None, upper, run.unit, lines, source)
    if housing.face is not None and housing.face.check == limit and run.face_estimate is not None:
        source = run.asked.face_source
        upper = housing.face.max.to(run.unit)
        value, said, lines = run.face_estimate, run.face_judgement, run.face_working
        return Judged("Face", value, said, None, upper, run.unit, lines, source)
    return None


def _by_depths(
    transmission: Transmission, housing: Housing, limit: str, body: ConverterDepths
) -> Judged | None:
    up, found = housing.converter, depths_judged(transmission, body)
    if up is None:
        return None
    if up.depth is not None and up.depth.check == limit:
        return found.depth
    return found.gap if up.gap is not None and up.gap.check == limit else None
