"""Forms of the stock: a count of sizes, a measured piece, a piece that is gone, a price list."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal, InvalidOperation
from typing import Final

from countershaft.desk.desk import OpenJob
from countershaft.errors import FormError, Unknown
from countershaft.job.at_shelf import OFF_MARK_MM, PriceLine
from countershaft.job.entry import Body, PieceGone, PieceMeasured, PriceList, SizesCounted
from countershaft.model.instrument import Instrument
from countershaft.stages.stock import FamilyStock, OnShelf, stock
from countershaft.units import read as read_quantity
from countershaft.web.forms.form import Answers, Field, Form, body_of, readings
from countershaft.web.forms.lengths import in_mm, scale_fields, scale_of, step_typed, taken_of, unit_field

__all__ = ["count", "count_field", "gone", "piece", "price_list"]

#: What a piece is measured with where nobody says otherwise (common practice, no source).
_MICROMETER: Final = Instrument(name="micrometer", resolution=read_quantity("0.01 mm"))
#: Pieces scatter less than places do; two readings tell a slip of the hand.
_READINGS: Final = 2
_WHY_GONE: Final = ("scrapped", "used in another unit", "lent", "not found")


def _family(job: OpenJob, name: str) -> FamilyStock:
    found = stock(job.transmission, job.state)
    if name not in found:
        raise Unknown(f"There is no family {name!r}; this file has {', '.join(found) or 'none'}.")
    return found[name]


def _back(job: OpenJob) -> str:
    return f"/jobs/{job.tag}/fit/stock"


def count_field(size: Decimal) -> str:
    """The name of the field that holds the count of a size."""
    return f"count {size}"


def count(job: OpenJob, key: str) -> Form:
    """How many pieces of every size of a family lie there."""
    known = _family(job, key)
    there = {**known.counts}

    def read(answers: Answers) -> tuple[Body, ...]:
        numbers, errors = _whole(answers, known.family.sizes_mm)
        if errors:
            raise FormError(errors)
        lines = [{"size_mm": size, "count": number} for size, number in numbers.items()]
        body = {"family": key, "counts": lines, "off_mark_mm": answers.one("off_mark_mm")}
        return (body_of(SizesCounted, body),)

    return Form(
        f"{known.family.title}: count",
        (
            *(
                Field(count_field(size), f"{size} mm", "number", values=(str(there.get(size, 0)),))
                for size in known.family.sizes_mm
            ),
            _off_mark(str(known.off_mark_mm)),
        ),
        read,
        _back(job),
        lead="Pieces that nobody measured one by one; those with a label of their own are not counted here.",
        lines=True,
    )


def _whole(answers: Answers, sizes: Sequence[Decimal]) -> tuple[dict[Decimal, int], dict[str, str]]:
    """The counts that were typed, and a word for each that is none."""
    numbers, errors = {}, {}
    for size in sizes:
        name = count_field(size)
        text = answers.one(name) or "0"
        plain = text.replace("−", "-")
        if not plain.lstrip("-").isdecimal():
            errors[name] = f"{text!r} is no whole number; type how many lie there."
        elif int(plain) < 0:
            errors[name] = f"{text} pieces cannot lie there; expected 0 or more."
        elif int(plain) > 999:
            errors[name] = f"{text} pieces are more than a shelf holds; expected at most 999."
        else:
            numbers[size] = int(plain)
    return numbers, errors


def _off_mark(value: str) -> Field:
    return Field(
        "off_mark_mm", "How far a piece may be off its marking, either way", "figure",
        "0.02 mm is common practice, without a source; measure a few, and type what you find.",
        "mm", values=(value,), needed=True, folded=True,
    )  # fmt: skip


def piece(job: OpenJob, key: str) -> Form:
    """One measured piece; the key is its family, or family and label of a piece that is measured again."""
    name, _, label = key.partition("|")
    known = _family(job, name)
    old = next((one for one in known.pieces if one.label == label), None) if label else None
    scale = scale_of(job, _MICROMETER, "mm", ("in",))

    def read(answers: Answers) -> tuple[Body, ...]:
        unit = answers.one("unit") or "mm"
        typed, step = answers.many("values_mm"), step_typed(job, scale, answers)
        body = {
            "family": name,
            "label": label or answers.one("label"),
            "marked_mm": answers.one("marked_mm"),
            "values_mm": in_mm(typed, unit),
            "resolution_mm": in_mm((step,), unit)[0],
            "again": old is not None,
            "typed": "" if unit == "mm" else f"{', '.join(typed)} {unit}; step {step} {unit}",
            "taken": taken_of(job, scale, answers),
        }
        return (body_of(PieceMeasured, body, names={"resolution_mm": "resolution"}),)

    marked = str(old.body.marked_mm) if old is not None and old.body.marked_mm is not None else ""
    return Form(
        f"{label}: measure again" if old is not None else f"{known.family.title}: a measured piece",
        (
            *(() if old is not None else (_label(known),)),
            readings("values_mm", "Thickness", count=_READINGS, unit=""),
            Field("marked_mm", "Marked as", "select", "Leave it open where nothing is marked.", values=(marked,),
                  options=tuple((str(size), f"{size} mm") for size in known.family.sizes_mm)),
            *unit_field(scale),
            *scale_fields(scale, _MICROMETER),
        ),
        read,
        _back(job),
        lead="Its own size counts in the choice, and it goes in once.",
        facts=_facts(old),
    )  # fmt: skip


def _label(known: FamilyStock) -> Field:
    """The label, with the next free number of the shelf filled in, so that nothing must be typed."""
    taken = {one.label for one in known.pieces}
    free = next(name for number in range(1, 10_000) if (name := f"{known.family.name} {number}") not in taken)
    return Field("label", "Label", hint="As it stands on the piece or its bag.", values=(free,), needed=True)


def _facts(old: OnShelf | None) -> tuple[tuple[str, str], ...]:
    return (("So far", f"{old.size_mm} mm, by {old.entry.by}"),) if old is not None else ()


def gone(job: OpenJob, key: str) -> Form:
    """A measured piece that is not there any more; the key is its label."""

    def read(answers: Answers) -> tuple[Body, ...]:
        body = {"label": key, "because": answers.one("because") or answers.one("other")}
        return (body_of(PieceGone, body),)

    return Form(
        f"{key} is not on the shelf any more",
        (
            Field("because", "Because", "choice", options=tuple((one, one) for one in _WHY_GONE)),
            Field("other", "Or in other words"),
        ),
        read,
        _back(job),
        save="It is gone",
    )


def price_list(job: OpenJob, key: str) -> Form:
    """The sizes of a family that can be ordered: one price and time for all, and what differs from it."""
    known = _family(job, key)
    now = {one.size_mm: one for one in known.prices.lines} if known.prices is not None else {}
    usual = _usual([one.price_cents for one in now.values()]), _usual([one.days for one in now.values()])
    every = tuple(str(size) for size in known.family.sizes_mm)

    def read(answers: Answers) -> tuple[Body, ...]:
        body = {
            "family": key,
            "currency": answers.one("currency"),
            "lines": _lines(answers, known.family.sizes_mm),
            "off_mark_mm": answers.one("off_mark_mm"),
        }
        return (body_of(PriceList, body),)

    return Form(
        f"{known.family.title}: what can be ordered",
        (
            Field("price", "Price of one", "figure", "For every size that is not priced below.",
                  values=(_money(usual[0]),) if now else ()),
            Field("currency", "Money", hint="A word, the same for all lists of the job.", needed=True,
                  values=(_currency(job),) if _currency(job) else ()),
            Field("days", "Days until it is here", "number", "For every size; 0 is the same day.", needed=True,
                  values=(str(usual[1]),) if now else ()),
            Field("sizes", "Sizes to be had", "ticks", options=tuple((size, f"{size} mm") for size in every),
                  values=tuple(str(size) for size in now) if now else every),
            *(
                Field(f"price {size}", f"Price of {size} mm, where it differs", "figure", folded=True,
                      values=_differs(now.get(size), usual[0]))
                for size in known.family.sizes_mm
            ),
            _off_mark(str(known.prices.off_mark_mm) if known.prices is not None else OFF_MARK_MM),
        ),
        read,
        _back(job),
        lead="An empty list says that nothing can be ordered.",
    )  # fmt: skip


def _differs(line: PriceLine | None, usual: int) -> tuple[str, ...]:
    return (_money(line.price_cents),) if line is not None and line.price_cents != usual else ()


def _lines(answers: Answers, sizes: Sequence[Decimal]) -> list[dict[str, object]]:
    """Every ticked size with its price and days; raises FormError with a word for every figure that is wrong."""
    errors: dict[str, str] = {}
    lines: list[dict[str, object]] = []
    days = answers.one("days").replace("−", "-")
    if answers.many("sizes") and not (days.lstrip("-").isdecimal() and 0 <= int(days) <= 999):
        errors["days"] = f"{days!r} days cannot be; type a whole number, 0 or more."
    for size in sizes:
        if str(size) not in answers.many("sizes"):
            continue
        name = f"price {size}" if answers.one(f"price {size}") else "price"
        try:
            lines.append({"size_mm": size, "price_cents": _cents(answers.one(name)), "days": days})
        except ValueError as wrong:
            errors[name] = str(wrong)
    if errors:
        raise FormError(errors)
    return lines


def _cents(text: str) -> int:
    """A price in whole cents; raises ValueError with a sentence."""
    try:
        amount = Decimal(text.strip().replace(",", ".").replace("−", "-"))
    except InvalidOperation:
        raise ValueError(f"{text!r} is no price; type a figure such as 4.50.") from None
    if amount < 0:
        raise ValueError(f"a price of {text} is below zero; expected 0 or more.")
    cents = amount * 100
    if cents != int(cents) or amount > 1_000_000:
        raise ValueError(
            f"{text} is no price; expected at most two digits behind the point, up to 1 000 000."
        )
    return int(cents)


def _money(cents: int) -> str:
    return f"{cents // 100}.{cents % 100:02d}"


def _usual(values: Sequence[int]) -> int:
    """The value that stands there most often."""
    return max(sorted(set(values)), key=values.count, default=0)


def _currency(job: OpenJob) -> str:
    """The money of the newest list of this job."""
    newest = job.state.last(PriceList)
    return newest.currency if newest is not None else ""
