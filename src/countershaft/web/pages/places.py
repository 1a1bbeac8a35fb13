"""Where everything is: every spot with what lies there, and what may go back into its own holes."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from countershaft.desk.desk import OpenJob
from countershaft.job.at_places import OWN_HOLES, Spot
from countershaft.job.custody import Custody, Holding, custody
from countershaft.job.removals import has_no_file
from countershaft.stages.places import free_to_park
from countershaft.stages.progress import Progress
from countershaft.web.forms.places import key_of
from countershaft.web.pages.frame import Frame, frame
from countershaft.web.pages.shown import enter

__all__ = ["PlacesPage", "places_page"]


@dataclass(frozen=True, slots=True)
class Row:
    """Pieces of one thing at one spot, and the way to move them."""

    what: str
    count: int
    move_href: str


@dataclass(frozen=True, slots=True)
class Group:
    """Everything at one spot, or everything that may go there for one reason."""

    title: str
    rows: tuple[Row, ...]
    words: str = ""


@dataclass(frozen=True, slots=True)
class PlacesPage:
    """Where everything is.

    `may_go_back` are fasteners in a tray whose own holes are free for them now, those with one reason together;
    `park_all` leads to where all are parked at once, empty where there is only one lot.
    `void` are moves that cannot have been.
    """

    frame: Frame
    groups: tuple[Group, ...]
    may_go_back: tuple[Group, ...]
    park_all: str
    void: tuple[str, ...]
    inside: str
    back: str


def places_page(job: OpenJob, progress: Progress) -> PlacesPage:
    """The page of a job's places as its template reads it."""
    where = custody(job.transmission, job.state)
    mine = f"/jobs/{quote(job.tag)}/places"
    free = _free(job, mine)
    return PlacesPage(
        frame=frame(job, progress, progress.resume.stage),
        groups=tuple(_groups(job, where, mine)),
        may_go_back=free,
        park_all=enter(job, "parked", back=mine) if sum(len(group.rows) for group in free) > 1 else "",
        void=where.void,
        inside=_inside(job, where),
        back=f"/jobs/{quote(job.tag)}",
    )


def _groups(job: OpenJob, where: Custody, mine: str) -> list[Group]:
    """One group for each spot that holds something; what needs a word first."""
    found = {spot: [] for spot in _spots(where)}  # type: dict[Spot, list[Row]]
    for one in where.holdings:
        for spot, count in one.outside.items():
            found[spot].append(
                Row(_called(one), count, enter(job, "moved", key=key_of(one.sort, one.id, spot), back=mine))
            )
    return [Group(_title(spot), tuple(rows), _said(spot)) for spot, rows in found.items()]


def _spots(where: Custody) -> list[Spot]:
    """Every spot that holds something: nobody said where, sent out, the trays by name, own holes, scrap."""
    rank = {"not said": 0, "sent out": 1, "place": 2, "own holes": 3, "scrapped": 4}
    found = {spot for one in where.holdings for spot in one.outside}
    return sorted(found, key=lambda spot: (rank[spot.how], spot.name))


def _title(spot: Spot) -> str:
    words = spot.words()
    return words[0].upper() + words[1:]


def _said(spot: Spot) -> str:
    if spot.how == "not said":
        return "Say where they are, so that nothing is looked for twice."
    return ""


def _free(job: OpenJob, mine: str) -> tuple[Group, ...]:
    """Fasteners that may be parked now, by reason."""
    found: dict[str, list[Row]] = {}
    for one in free_to_park(job.transmission, job.state):
        href = enter(job, "moved", key=key_of("joint", one.holding.id, one.spot, OWN_HOLES), back=mine)
        found.setdefault(one.words, []).append(Row(one.holding.name, one.count, href))
    return tuple(Group("", tuple(rows), words) for words, rows in found.items())


def _inside(job: OpenJob, where: Custody) -> str:
    """How much is in the unit, in one line; without a file nobody knows what is in it."""
    if has_no_file(job.transmission, job.state):
        return "What is still in the unit is not known: it has no file."
    parts = sum(one.in_unit for one in where.holdings if one.sort == "part")
    bolts = sum(one.in_unit for one in where.holdings if one.sort == "joint")
    return f"{parts} pieces and {bolts} fasteners are in the unit."


def _called(one: Holding) -> str:
    return f"{one.id} {one.name}" if one.sort == "part" else one.name
