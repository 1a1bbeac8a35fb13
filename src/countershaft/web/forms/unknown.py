"""Forms of a unit without a file: what came off, which order is a must, which names are one part."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final
from urllib.parse import quote

from pydantic import ValidationError

from countershaft.desk.desk import OpenJob
from countershaft.desk.plain_faults import in_plain_words
from countershaft.errors import FormError
from countershaft.job.entry import Body, CameOff, OrderSaid, SameSaid
from countershaft.web.forms.form import Answers, Field, Form, because, body_of, reason
from countershaft.web.pages.removals import FASTENER_ROWS

__all__ = ["came_off", "order", "same"]

_WHY_MUST: Final = ("it lies under it", "it would fall", "it would be damaged", "nothing is seen otherwise")
_WHY_FREE: Final = ("it is reached without it", "the order was chance", "they are not near each other")
_HOW: Final = (
    ("must", "must come first", "nobody can go against it at the bench"),
    ("free", "free", "however often it was seen so"),
    ("as seen", "as it was seen", "takes back what was said before"),
)


def came_off(answers: Answers) -> CameOff:
    """What came off as tapped and typed; raises FormError with a word for each field that is wrong.

    What was typed counts before what was tapped.
    """
    what, count = answers.one("other") or answers.one("what"), answers.one("more") or answers.one("count")
    wrong: dict[str, str] = {}
    if not what:
        wrong["what"] = "Tap what came off, or type another word."
    if not count:
        wrong["count"] = "Tap how many came off, or type it where it is more than nine."
    elif not count.isdecimal() or not 1 <= int(count) <= 999:
        wrong["count"] = f"{count!r} is no count; type a whole number from 1 to 999, without unit or point."
    fasteners, bad = _fasteners(answers)
    if bad:
        wrong["fasteners"] = bad
    if wrong:
        raise FormError(wrong)
    try:
        return CameOff(
            what=what,
            count=int(count),
            fasteners=fasteners,  # type: ignore[arg-type]  # pydantic makes records of them
            together=bool(answers.one("together")),
            remark=answers.one("remark"),
        )
    except ValidationError as cause:
        raise FormError(_in_words(cause)) from cause


def _fasteners(answers: Answers) -> tuple[tuple[dict[str, object], ...], str]:
    """The rows of sizes that were typed, and what is wrong with them."""
    found: list[dict[str, object]] = []
    for number in range(1, FASTENER_ROWS + 1):
        count, size = answers.one(f"bolts {number}"), answers.one(f"size {number}")
        if not count and not size:
            continue
        if not size:
            return (), f"{count} of which size? Type it as M8x25, or as measured: 7.9 x 25."
        if not count.isdecimal() or not 1 <= int(count) <= 999:
            return (), f"How many of {size}? {count!r} is no count; type a whole number from 1 to 999."
        found.append({"size": size, "count": int(count)})
    return tuple(found), ""


def _in_words(cause: ValidationError) -> dict[str, str]:
    """A fault of a record tied to the field that it was typed in."""
    found: dict[str, str] = {}
    for fault in cause.errors():
        name = str(fault["loc"][0]) if fault["loc"] else ""
        found.setdefault(name, in_plain_words(fault))
    return found


def order(job: OpenJob, names: tuple[str, ...], given: Mapping[str, str]) -> Form:
    """Which of two parts must come off first, or that it does not matter."""

    def read(answers: Answers) -> tuple[Body, ...]:
        said = {name: answers.one(name) for name in ("before", "after", "how")}
        return (body_of(OrderSaid, {**said, "because": reason(answers)}, names={"because": "reason"}),)

    first, then = _one(given["before"]), _one(given["after"])
    why = _WHY_FREE if given["how"] == "free" else _WHY_MUST
    choices = tuple((name, name) for name in names)
    return Form(
        "The order of two parts",
        (
            Field("before", "This comes off first", "select", options=choices, values=first, needed=True),
            Field("after", "before this", "select", options=choices, values=then, needed=True),
            Field("how", "That is", "choice", options=_HOW, values=_one(given["how"]), needed=True),
            *because("Because", why, "It stands in the file beside the order, with your name."),
        ),
        read,
        f"/jobs/{quote(job.tag)}/draft",
    )  # fmt: skip


def same(job: OpenJob, names: tuple[str, ...], given: Mapping[str, str]) -> Form:
    """Two names that are one part."""

    def read(answers: Answers) -> tuple[Body, ...]:
        return (body_of(SameSaid, {name: answers.one(name) for name in ("name", "called")}),)

    choices = tuple((name, name) for name in names)
    return Form(
        "Two names, one part",
        (
            Field("name", "This name", "select", options=choices, values=_one(given["name"]), needed=True),
            Field("called", "means the part that the file calls", "select", options=choices, needed=True),
        ),
        read,
        f"/jobs/{quote(job.tag)}/draft",
    )  # fmt: skip


def _one(text: str) -> tuple[str, ...]:
    return (text,) if text else ()
