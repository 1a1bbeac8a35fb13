"""Tags: the short code on the label of a job, a tray or a part, and how a scanned or typed one is read.

A code is its kind, the job, what it names in the job, and a check character, with dashes between:

- `J-0412-X`        the job 0412
- `T-0412-1-2`      tray 1 of the job 0412 (the place 0412-T1)
- `P-0412-P020-I`   the part P020 in the job 0412

Only 0 to 9 and A to Z stand between the dashes; a tag such as 2026.017 is written 2026017.  Two jobs whose tags
differ in nothing else have the same code, and whoever looks a tag up has to ask which of them is meant.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from enum import StrEnum
from typing import Final
from urllib.parse import quote, unquote, urlsplit

from countershaft.errors import TagRefused
from countershaft.job.check_character import check_character, is_checked
from countershaft.job.foreign_codes import foreign

__all__ = ["Tag", "TagKind", "job_tag", "part_tag", "plain", "read_tag", "tray_place", "tray_tag"]


class TagKind(StrEnum):
    """What a tag names."""

    JOB = "job"
    TRAY = "tray"
    PART = "part"


_LETTER: Final = {TagKind.JOB: "J", TagKind.TRAY: "T", TagKind.PART: "P"}
_KIND: Final = {letter: kind for kind, letter in _LETTER.items()}

#: Stands before the code where it is checked, and nowhere else.  J and dash weigh 2 × 37, which is nothing, so that
#: without it a nought at the front of a job's tag could be left out unseen.
_UNPRINTED: Final = "C"

_WHOLE: Final = re.compile(r"(?:J(?:-[0-9A-Z]+)|[TP](?:-[0-9A-Z]+){2})-[0-9A-Z*]")
_UNCHECKED: Final = re.compile(r"J(?:-[0-9A-Z]+)|[TP](?:-[0-9A-Z]+){2}")
#: What a scanner may put in front: the symbology identifier of ISO/IEC 15424.
_SYMBOLOGY: Final = re.compile(r"\][A-Za-z][0-9A-Za-z]")
_DASHES: Final = re.compile("[\u2010-\u2015\u2212]")
#: Control signs, marks of no width, and every kind of space.
_UNSEEN: Final = ("Cc", "Cf", "Zl", "Zp", "Zs")
_DO: Final = "Scan the label of a job, a tray or a part, or look for the job by its tag or its vehicle."


@dataclass(frozen=True, slots=True)
class Tag:
    """What a code says: its kind, the plain text of the job's tag, and of the tray or part (empty for a job)."""

    kind: TagKind
    job: str
    key: str = ""

    @property
    def code(self) -> str:
        """The code as it stands on the label."""
        text = "-".join(filter(None, (_LETTER[self.kind], self.job, self.key))) + "-"
        return text + check_character(_UNPRINTED + text)

    @property
    def path(self) -> str:
        """Where the tag opens, below the address of the pages."""
        return f"/t/{quote(self.code, safe='-')}"


def plain(text: str) -> str:
    """A name as it stands in a code: only 0 to 9 and A to Z; empty where the name has none of them."""
    return re.sub("[^0-9A-Z]", "", unicodedata.normalize("NFKD", text).upper())


def job_tag(job: str) -> Tag:
    """The tag of a job."""
    return Tag(TagKind.JOB, plain(job))


def tray_tag(job: str, place: str) -> Tag | None:
    """The tag of a place of a job, by its number where it is one of the trays; None where it has no plain name."""
    number = re.fullmatch(rf"{re.escape(job)}-T([1-9][0-9]{{0,3}})", place)
    key = number[1] if number else plain(place)
    return Tag(TagKind.TRAY, plain(job), key) if key else None


def tray_place(job: str, number: int) -> str:
    """What the pages call a numbered tray of a job."""
    return f"{job}-T{number}"


def part_tag(job: str, part: str, number: int) -> Tag:
    """The tag of a part of a job; its number in the file's list stands in where its id has no plain name."""
    return Tag(TagKind.PART, plain(job), plain(part) or f"N{number}")


def read_tag(text: str) -> Tag:
    """Read what a scanner or a person typed: a code, or the address of its page; raises TagRefused with what it is not.

    Small letters, spaces, line ends, other dashes and a scanner's own prefix do no harm.
    """
    clean = _clean(text)
    if not clean:
        raise TagRefused(f"Nothing was scanned or typed. {_DO}")
    code = _code(_from_address(clean) or clean)
    if _WHOLE.fullmatch(code):
        if not is_checked(_UNPRINTED + code):
            raise TagRefused(
                f"{code} looks like a tag of this shop, but one character is misread or mistyped: its check character "
                "does not fit. Scan it again, or type it again and look twice at 0 and O, 1 and I, 5 and S, 8 and B."
            )
        kind, job, *key, _ = code.split("-")
        return Tag(_KIND[kind], job, *key)
    if _UNCHECKED.fullmatch(code):
        raise TagRefused(
            f"{code} begins like a tag of this shop, but its end is missing: one character after the last dash, which "
            "shows a slip. Type the whole code as it stands on the label."
        )
    if re.match(r"https?(?!://)[^0-9a-z]", clean, re.IGNORECASE):
        raise TagRefused(
            f"{clean[:60]} is a web address with its signs changed: the scanner types for another keyboard than this "
            "computer has. Set both to the same keyboard, or type the code that stands under the graphic."
        )
    raise TagRefused(f"This is {foreign(clean)}. It is no tag of this shop. {_DO}")


def _clean(text: str) -> str:
    """A scanned text without what the scanner adds: control signs, marks of no width, its own prefix."""
    shown = "".join(" " if unicodedata.category(sign) in _UNSEEN else sign for sign in text)
    clean = " ".join(shown.split())
    return _SYMBOLOGY.sub("", clean, count=1).strip() if _SYMBOLOGY.match(clean) else clean


def _from_address(text: str) -> str | None:
    """The code in the address of a tag's page, on any host: an old label keeps the address it was printed with."""
    try:
        parts = urlsplit(text)
    except ValueError:
        return None
    before, _, last = parts.path.rpartition("/t/")
    return (
        unquote(last) if parts.scheme in ("http", "https") and parts.netloc and last and not before else None
    )


def _code(text: str) -> str:
    """A code in the one way of writing it; spaces are dashes only where no dash was typed."""
    dashed = _DASHES.sub("-", text).upper()
    return re.sub(r"\s", "" if "-" in dashed else "-", dashed)
