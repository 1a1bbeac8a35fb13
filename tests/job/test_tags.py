"""Codes of tags.  Expected values: the grammar of the module's own text; check characters are held against a published
example in test_check_character.py, so here only that what was written is read, and that every slip is refused.
"""

from __future__ import annotations

import contextlib
import re

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from countershaft.errors import TagRefused
from countershaft.job.check_character import ALPHABET
from countershaft.job.tags import Tag, TagKind, job_tag, part_tag, plain, read_tag, tray_place, tray_tag

JOBS = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9._-]{0,31}", fullmatch=True)
PARTS = st.from_regex(r"[^\s,;:/?#%\[\]{}]{1,20}", fullmatch=True)


@st.composite
def tags(draw: st.DrawFn) -> Tag:
    """Tags of every kind."""
    job = draw(JOBS)
    kind = draw(st.sampled_from(TagKind))
    if kind is TagKind.JOB:
        return job_tag(job)
    if kind is TagKind.PART:
        return part_tag(job, draw(PARTS), draw(st.integers(1, 400)))
    found = tray_tag(
        job, draw(st.one_of(st.just("mat"), st.integers(1, 9999).map(lambda n: tray_place(job, n))))
    )
    assert found is not None
    return found


def refusal(text: str) -> str:
    with pytest.raises(TagRefused) as caught:
        read_tag(text)
    return str(caught.value)


@given(tags())
@example(part_tag("2026.017", "油圧", 12))
def test_what_is_written_is_read(tag: Tag) -> None:
    assert read_tag(tag.code) == tag
    assert re.fullmatch(r"[JTP](-[0-9A-Z]+)+-[0-9A-Z*]", tag.code)
    assert tag.code[0] == {"job": "J", "tray": "T", "part": "P"}[tag.kind]


@given(tags(), st.sampled_from(["{}", " {} ", "{}\r\n", "\x02{}\x03", "]Q1{}", "\ufeff{}\t", "]C0{}\r"]))
def test_what_a_scanner_adds_does_no_harm(tag: Tag, around: str) -> None:
    assert read_tag(around.format(tag.code)) == tag
    assert read_tag(around.format(tag.code.lower())) == tag
    assert read_tag(around.format(tag.code.replace("-", " "))) == tag
    assert read_tag(around.format(tag.code.replace("-", " - "))) == tag
    assert read_tag(around.format(tag.code.replace("-", "\u2013"))) == tag
    assert read_tag(around.format(f"http://192.168.1.5:8765{tag.path}")) == tag
    assert read_tag(around.format(f"HTTPS://SHOP.EXAMPLE{tag.path}")) == tag


def test_a_printed_code_never_changes() -> None:
    """By hand, modulo 37, each step twice the last and the next: C 12, J 6, - 11, 0 22, 4 11, 1 23, 2 11, - 21;
    twice 21 is 5, and 5 and 33 make 38, which is 1; X has the value 33."""
    assert job_tag("0412").code == "J-0412-X"


def test_the_codes_of_a_job_read_as_what_they_are() -> None:
    assert job_tag("0412").code[:-1] == "J-0412-"
    assert job_tag("2026.017-b").code[:-1] == "J-2026017B-"
    assert part_tag("0412", "P020", 20).code[:-1] == "P-0412-P020-"
    assert part_tag("0412", "油圧", 20).code[:-1] == "P-0412-N20-"
    trays = [tray_tag("A-1", place) for place in ("A-1-T7", "mat", "box 3")]
    assert [one.code[:-2] for one in trays if one] == ["T-A1-7", "T-A1-MAT", "T-A1-BOX3"]
    assert tray_tag("0412", "油圧") is None
    assert plain("Größe-7") == "GROSSE7"


@pytest.mark.parametrize("tag", [job_tag("0412"), tray_tag("0412", "0412-T1"), part_tag("0412", "P020", 20)])
def test_every_single_slip_is_refused(tag: Tag) -> None:
    code = tag.code
    for place, right in enumerate(code):
        for sign in set(ALPHABET + "-") - {right}:
            assert refusal(code[:place] + sign + code[place + 1 :])


@pytest.mark.parametrize("kind", TagKind)
def test_a_nought_left_out_at_the_front_of_a_job_is_refused(kind: TagKind) -> None:
    """The commonest way to mistype a tag such as 0412 (common practice, no source)."""
    for number in range(100):
        tag = Tag(kind, f"{number:04}", "" if kind is TagKind.JOB else "1")
        assert refusal(tag.code.replace("-0", "-", 1))


@pytest.mark.parametrize("tag", [job_tag("0412"), tray_tag("0412", "0412-T1"), part_tag("0412", "P020", 20)])
def test_every_swap_of_neighbours_is_refused(tag: Tag) -> None:
    code = tag.code
    for place in range(len(code) - 1):
        if code[place] != code[place + 1]:
            assert refusal(code[:place] + code[place + 1] + code[place] + code[place + 2 :])


@given(tags(), st.data())
def test_a_slip_in_any_code_is_refused(tag: Tag, data: st.DataObject) -> None:
    place = data.draw(st.integers(0, len(tag.code) - 1))
    sign = data.draw(st.sampled_from(sorted(set(ALPHABET + "-") - {tag.code[place]})))
    assert refusal(tag.code[:place] + sign + tag.code[place + 1 :])


def test_a_misread_character_is_called_so() -> None:
    said = refusal(job_tag("0412").code.replace("0412", "O412"))
    assert "one character is misread or mistyped" in said
    assert "0 and O" in said


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "Nothing was scanned or typed."),
        (" \r\n", "Nothing was scanned or typed."),
        ("J-0412", "its end is missing"),
        ("t 0412 1", "its end is missing"),
        ("7300011000017", "trade article number (EAN-13; its check digit is right). It is no tag of this shop."),
        ("]E07300011000017\r", "This is a trade article number (EAN-13"),
        ("7300011000018", "the check digit is wrong"),
        ("ZZ9ABC12X4Y567890", "as long as a vehicle identification number"),
        ("https://example.org/t/", "the web address of a page at example.org"),
        ("https://example.org/t/J-0412-0", "one character is misread or mistyped"),
        ("https://example.org/shop/t/J-0412-Y", "the web address of a page at example.org"),
        ("ftp://example.org/t/J-0412-Y", "another text"),
        ("httpÖ--192.168.1.5Ö8765-t-J'0412'Y", "types for another keyboard"),
        ("pan gasket", "This is another text, 10 characters long: pan gasket."),
    ],
)  # fmt: skip
def test_a_foreign_code_is_told_what_it_is(text: str, words: str) -> None:
    said = refusal(text)
    assert words in said
    assert re.search(r"Scan|Type|type", said), "it says what to do"


@given(st.text(max_size=60))
def test_any_text_that_is_not_refused_is_a_code(text: str) -> None:
    with contextlib.suppress(TagRefused):
        assert plain(read_tag(text).code[:-1]) in plain(text)
