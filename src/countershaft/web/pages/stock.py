"""What can be had of every family: counts, measured pieces and price lists; and the count of one family by tap."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from urllib.parse import quote, urlencode

from countershaft.desk.desk import OpenJob
from countershaft.desk.stock_elsewhere import Elsewhere
from countershaft.errors import Unknown
from countershaft.job.words import Stage
from countershaft.stages.progress import Progress
from countershaft.stages.stock import FamilyStock, OnShelf, stock
from countershaft.web.forms.stock import count_field
from countershaft.web.pages.choosing import choose_href, elsewhere_words, money, stock_href
from countershaft.web.pages.frame import Frame, frame
from countershaft.web.pages.shown import Working, enter, measure, said

__all__ = ["CountPage", "StockPage", "count_page", "stock_page"]

#: Counts beyond this are typed, not tapped.
_MOST = 999


@dataclass(frozen=True, slots=True)
class PieceRow:
    """One measured piece, where it is, and what can be done with it."""

    label: str
    size: str
    working: Working
    marked: str
    held: str
    again_href: str
    gone_href: str


@dataclass(frozen=True, slots=True)
class FamilyRow:
    """One family: for which fits, what is counted, measured and listed."""

    name: str
    fits: str
    counted: str
    counted_by: str
    pieces: tuple[PieceRow, ...]
    prices: str
    priced_by: str
    count_href: str
    piece_href: str
    price_href: str


@dataclass(frozen=True, slots=True)
class StockPage:
    """What can be had for the fits of a job."""

    frame: Frame
    families: tuple[FamilyRow, ...]
    elsewhere: str
    take_action: str
    entry_id: str
    choose_href: str


@dataclass(frozen=True, slots=True)
class SizeRow:
    """One size with its count so far; the buttons send the name of the size."""

    size: str
    field: str
    count: int


@dataclass(frozen=True, slots=True)
class CountPage:
    """The count of one family, by tap; nothing is written before it is saved."""

    frame: Frame
    heading: str
    here: str
    family: str
    off_mark_mm: str
    rows: tuple[SizeRow, ...]
    total: str
    save_action: str
    type_href: str
    entry_id: str
    back: str


def stock_page(job: OpenJob, progress: Progress, elsewhere: Elsewhere | None, entry_id: str) -> StockPage:
    """Every family of the job's file."""
    return StockPage(
        frame=frame(job, progress, Stage.FIT),
        families=tuple(_family(job, one) for one in stock(job.transmission, job.state).values()),
        elsewhere=elsewhere_words(elsewhere),
        take_action=f"/jobs/{quote(job.tag)}/fit/take-over" if elsewhere is not None else "",
        entry_id=entry_id,
        choose_href=choose_href(job),
    )


def count_page(job: OpenJob, progress: Progress, asked: Mapping[str, str], entry_id: str) -> CountPage:
    """The count as it was tapped so far, with one more or one less of the size that was tapped now."""
    name = asked.get("family", "")
    known = stock(job.transmission, job.state).get(name)
    if known is None:
        raise Unknown(f"There is no family {name!r} in this job's file.")
    here = f"/jobs/{quote(job.tag)}/fit/count"
    rows = tuple(
        SizeRow(str(size), count_field(size), _counted(known, size, asked)) for size in known.family.sizes_mm
    )
    total = sum(one.count for one in rows)
    back = stock_href(job)
    save = urlencode({"key": name, "back": back})
    return CountPage(
        frame=frame(job, progress, Stage.FIT),
        heading=f"{known.family.title}: count",
        here=here,
        family=name,
        off_mark_mm=asked.get("off_mark_mm") or str(known.off_mark_mm),
        rows=rows,
        total=f"{total} {'piece' if total == 1 else 'pieces'} in all",
        save_action=f"/jobs/{quote(job.tag)}/enter/count?{save}",
        type_href=enter(job, "count", key=name, back=back),
        entry_id=asked.get("entry_id") or entry_id,
        back=back,
    )


def _counted(known: FamilyStock, size: Decimal, asked: Mapping[str, str]) -> int:
    name = count_field(size)
    text = asked.get(name, "")
    count = int(text) if text.isdecimal() else known.counts.get(size, 0)
    count += (asked.get("more") == str(size)) - (asked.get("less") == str(size))
    return min(max(count, 0), _MOST)


def _family(job: OpenJob, known: FamilyStock) -> FamilyRow:
    name, back = known.family.name, stock_href(job)
    fits = ", ".join(job.transmission.fit(one).name for one in known.family.fits)
    counted = ", ".join(f"{number} × {size} mm" for size, number in known.counts.items())
    if known.unlimited:
        counted = ", ".join(f"{size} mm" for size in known.unlimited) + " lie there; nobody counted them"
    return FamilyRow(
        name=known.family.title,
        fits=fits,
        counted=counted or ("none left" if known.counted is not None else "not counted yet"),
        counted_by=said(known.counted),
        pieces=tuple(_piece(job, known, one) for one in known.pieces),
        prices=_prices(known),
        priced_by=said(known.priced),
        count_href=f"/jobs/{quote(job.tag)}/fit/count?{urlencode({'family': name})}",
        piece_href=measure(job, "piece", key=name, back=back),
        price_href=enter(job, "price-list", key=name, back=back),
    )


def _piece(job: OpenJob, known: FamilyStock, one: OnShelf) -> PieceRow:
    back = stock_href(job)
    return PieceRow(
        label=one.label,
        size=one.size.stated("mm", digits=3),
        working=Working(one.size.working("mm", digits=3), said(one.entry)),
        marked=f"marked {one.body.marked_mm} mm" if one.body.marked_mm is not None else "not marked",
        held=f"in {job.transmission.fit(one.held_by).name}" if one.held_by is not None else "free",
        again_href=measure(job, "piece", key=f"{known.family.name}|{one.label}", back=back),
        gone_href=enter(job, "piece-gone", key=one.label, back=back) if one.held_by is None else "",
    )


def _prices(known: FamilyStock) -> str:
    if known.prices is None:
        return "no list"
    lines = known.prices.lines
    if not lines:
        return "nothing can be ordered"
    cheap, dear = min(one.price_cents for one in lines), max(one.price_cents for one in lines)
    price = money(cheap, "") if cheap == dear else f"{money(cheap, '')} to {money(dear, '')}"
    days = sorted({one.days for one in lines})
    when = f"{days[0]}" if len(days) == 1 else f"{days[0]} to {days[-1]}"
    sizes = f"{len(lines)} {'size' if len(lines) == 1 else 'sizes'}"
    return f"{sizes} at {price.strip()} {known.prices.currency}, {when} {'day' if days == [1] else 'days'}"
