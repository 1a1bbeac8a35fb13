"""What speaks against an entry of the shop's own log; pure, like the stages of a job."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from countershaft import units
from countershaft.job.at_shop import InstrumentCalibrated, InstrumentListed, InstrumentRetired, ShopEntry
from countershaft.job.shop import ShopInstrument, ShopState
from countershaft.stages.outcome import ACCEPTED, Outcome, object_to

__all__ = ["review_shop"]


def review_shop(state: ShopState, entry: ShopEntry) -> Outcome:
    """What speaks against an entry, said at the field that it is about."""
    body = entry.body
    if isinstance(body, InstrumentListed):
        return Outcome(fields=_listed(state, body, entry.at.date()))
    if isinstance(body, InstrumentCalibrated | InstrumentRetired):
        known = state.known(body.id)
        if known is None:
            return object_to(
                f"There is no instrument {body.id!r} in this shop. It has {_ids(state)}; look at the list."
            )
        if known.id != body.id:
            return object_to(f"{body.id!r} is written {known.id!r} on the list; write it so.")
        if known.retired is not None:
            return object_to(
                f"{known.id} {known.name} was retired on {known.retired.at:%Y-%m-%d} ({known.why_retired}). "
                "Take another; if it is used again, list it under a new mark."
            )
        if isinstance(body, InstrumentCalibrated):
            return Outcome(fields=_calibrated(known, body, entry.at.date()))
    return ACCEPTED


def _listed(state: ShopState, body: InstrumentListed, today: date) -> dict[str, str]:
    found: dict[str, str] = {}
    same_id = state.known(body.id)
    if same_id is not None:
        found["id"] = (
            f"{body.id} is the mark of {same_id.name} already{', now retired' if same_id.retired else ''}; "
            f"a mark is never given twice. Take {state.next_id}."
        )
    name = body.name.casefold()
    same = next((one for one in state.instruments.values() if one.name.casefold() == name), None)
    if same is not None:
        found["name"] = (
            f"{same.id} is called {same.name!r} already. Give each its own name, such as {body.name + ' 2'!r}."
        )
    if body.unit not in units.UNITS:
        found["unit"] = f"{body.unit!r} is no unit that is known here; take one of {', '.join(units.UNITS)}."
    if body.resolution <= 0:
        found["resolution"] = (
            f"One step of the scale is {body.resolution}; it must be above 0. Type the smallest step that is read."
        )
    return found | _figures(body) | _dates(body.calibrated, body.due, today)


def _calibrated(known: ShopInstrument, body: InstrumentCalibrated, today: date) -> dict[str, str]:
    found = _figures(body) | _dates(body.calibrated, body.due, today)
    permitted = body.permitted_error if body.permitted_error is not None else known.standing().permitted_error
    error = body.error_found
    if error is not None and abs(error) > permitted:
        found["error_found"] = (
            f"The certificate found {error} {known.unit}, more than the permitted {permitted} {known.unit}. "
            "Have it set right, retire it, or type a permitted error that covers what was found."
        )
    return found


def _figures(body: InstrumentListed | InstrumentCalibrated) -> dict[str, str]:
    """Figures that no instrument can have."""
    found: dict[str, str] = {}
    error, spread, factor = body.permitted_error, body.certificate_u, body.certificate_k
    if error is not None and error < 0:
        found["permitted_error"] = (
            f"The permitted error is {error}; it counts both ways, so type it without a sign, as {-error}."
        )
    if spread is not None and spread < 0:
        found["certificate_u"] = f"The uncertainty is {spread}; it counts both ways, so type it as {-spread}."
    if factor is not None and not Decimal(1) <= factor <= Decimal(4):
        found["certificate_k"] = (
            f"k is {factor}; a certificate prints 1 to 4, most often 2. Look there again."
        )
    if spread is not None and factor is None:
        found["certificate_k"] = (
            f"U = {spread} stands without its k. Type k of the certificate, most often 2."
        )
    if factor is not None and spread is None:
        found["certificate_u"] = (
            f"k = {factor} stands without its U. Type U of the certificate, or leave both empty."
        )
    return found


def _dates(calibrated: date | None, due: date | None, today: date) -> dict[str, str]:
    if calibrated is not None and calibrated > today:
        return {
            "calibrated": f"{calibrated} has not come yet; today is {today}. Look at the certificate again."
        }
    if calibrated is not None and due is not None and due <= calibrated:
        return {
            "due": f"The next calibration ({due}) is not after the last ({calibrated}); correct one of the two."
        }
    if due is not None and calibrated is None:
        return {
            "calibrated": f"It is due on {due}, but when it was calibrated is missing. Type both, or neither."
        }
    return {}


def _ids(state: ShopState) -> str:
    return ", ".join(state.instruments) or "none yet"
