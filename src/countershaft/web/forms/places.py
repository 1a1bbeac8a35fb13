"""Forms that move pieces from one spot to another."""

from __future__ import annotations

from countershaft.desk.desk import OpenJob
from countershaft.errors import FormError, Unknown
from countershaft.job.at_places import OWN_HOLES, SCRAPPED, UNSAID, Spot
from countershaft.job.custody import Sort, custody
from countershaft.job.entry import Body, Moved
from countershaft.stages.places import free_to_park, may_park, park_advice
from countershaft.web.forms.form import Answers, Field, Form, body_of
from countershaft.web.pages.trays import trays

__all__ = ["key_of", "moved", "parked"]

_PLAIN = {spot.how: spot for spot in (OWN_HOLES, SCRAPPED, UNSAID)}
_OUT = "sent out"


def key_of(sort: Sort, key: str, start: Spot, to: Spot | None = None) -> str:
    """What the form is about, as one text in its address: sort, id, where they are, and where they are to go."""
    return "|".join((sort, key, _coded(start), _coded(to) if to else ""))


def _coded(spot: Spot) -> str:
    return f"{spot.how}={spot.name}"


def _spot(text: str) -> Spot:
    how, _, name = text.partition("=")
    if how in _PLAIN:
        return _PLAIN[how]
    if how == "place" and name:
        return Spot(how="place", name=name)
    if how == _OUT and name:
        return Spot(how="sent out", name=name)
    raise Unknown(f"There is no spot {text!r}. Go back to the places and tap the piece again.")


def _read_key(text: str) -> tuple[Sort, str, Spot, Spot | None]:
    sort, what, start, to = (*text.split("|"), "", "", "")[:4]
    if sort not in ("part", "joint") or not what or not start:
        raise Unknown(f"{text!r} names nothing that can be moved. Go back to the places and tap the piece.")
    return ("part" if sort == "part" else "joint"), what, _spot(start), _spot(to) if to else None


def moved(job: OpenJob, key: str) -> Form:
    """Move pieces of a part, or fasteners of a joint, from where they are."""
    sort, what, start, to = _read_key(key)
    where = custody(job.transmission, job.state).find(sort, what)
    if where is None:
        raise Unknown(f"This unit has no {sort} {what!r}. Go back to the places and tap the piece.")
    there = where.outside.get(start, 0)

    def read(answers: Answers) -> tuple[Body, ...]:
        values = {
            "sort": sort,
            "what": what,
            "count": answers.one("count"),
            "start": start,
            "to": _to(answers),
            "words": answers.one("words"),
        }
        return (body_of(Moved, values),)

    return Form(
        f"Move {where.name}",
        (
            Field(
                "count",
                "How many",
                "number",
                f"{there} {'is' if there == 1 else 'are'} there: {start.words()}.",
                values=(str(there),) if there else (),
                needed=True,
            ),
            Field(
                "to",
                "Where to",
                "choice",
                _advice(job, sort, what),
                options=_options(job, sort, start),
                values=(_coded(to),) if to else (),
                needed=True,
            ),
            Field("name", "To whom, if it is sent out"),
            Field(
                "words",
                "Why",
                "area",
                "Needed where it is scrapped (and what replaces it) or sent out (and until when).",
            ),
        ),
        read,
        f"/jobs/{job.tag}/places",
        save="Move",
    )


def parked(job: OpenJob, key: str) -> Form:
    """Put all fasteners whose own holes are free back into them, or those that are ticked; it is about no one thing."""
    free = {
        key_of("joint", one.holding.id, one.spot): one for one in free_to_park(job.transmission, job.state)
    }

    def read(answers: Answers) -> tuple[Body, ...]:
        ticked = [free[one] for one in answers.many("which") if one in free]
        if not ticked:
            raise FormError({"which": "tick what went back into its own holes."})
        return tuple(
            Moved(sort="joint", what=one.holding.id, count=one.count, start=one.spot, to=OWN_HOLES)
            for one in ticked
        )

    return Form(
        "Back into their own holes",
        (
            Field(
                "which",
                "Which",
                "ticks",
                "Take the tick off what stays where it is.",
                options=tuple(
                    (code, f"{one.count} × {one.holding.name}", one.spot.words())
                    for code, one in free.items()
                ),
                values=tuple(free),
                needed=True,
            ),
        )
        if free
        else (),
        read,
        f"/jobs/{job.tag}/places",
        save="They are in their own holes",
        lead="" if free else "Nothing lies outside whose own holes are free now.",
    )


def _options(job: OpenJob, sort: Sort, start: Spot) -> tuple[tuple[str, str], ...]:
    spots = [Spot(how="place", name=tray) for tray in trays(job)]
    spots += [OWN_HOLES] if sort == "joint" else []
    found = [(_coded(spot), spot.words()) for spot in (*spots, SCRAPPED) if spot != start]
    return (*found, (_OUT, _OUT))


def _advice(job: OpenJob, sort: Sort, what: str) -> str:
    if sort == "part":
        return ""
    advice = next((one for one in park_advice(job.transmission, job.state) if one.joint == what), None)
    return may_park(job.transmission, advice) if advice else ""


def _to(answers: Answers) -> Spot:
    chosen = answers.one("to")
    if not chosen:
        raise FormError({"to": "choose where they went."})
    if chosen != _OUT:
        return _spot(chosen)
    if not answers.one("name"):
        raise FormError({"name": "type to whom it was sent."})
    return Spot(how="sent out", name=answers.one("name"))
