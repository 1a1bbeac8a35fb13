"""Scanning a tag and printing labels, through the app.  Expected values: the job that the test opens itself, and where
the rest of the app says that a job goes on; that a code reads right is held in tests/job/test_tags.py.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote

import pytest
from starlette.testclient import TestClient

from countershaft.desk.demo_bench import DemoBench
from countershaft.desk.demo_shop import diagnosed, six_speed
from countershaft.desk.desk import Desk
from countershaft.job.at_places import Moved, Spot
from countershaft.job.custody import custody
from countershaft.job.entry import Finding
from countershaft.job.tags import job_tag, part_tag, tray_tag
from countershaft.job.words import Degree, FindingWord, PartVerdict, Pattern
from countershaft.store.shop import open_store
from countershaft.web.app import Settings, create_app
from countershaft.web.pages.first import resume_href


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """A shop with one six-speed whose teardown has begun; its parts lie in trays, one to a step that took some off."""
    store = open_store(tmp_path_factory.mktemp("tags") / "shop")
    desk = Desk(store)
    desk.shelve_library()
    bench: DemoBench = six_speed(desk, "0412", vehicle="pick-up", by="R. Bench")
    diagnosed(bench)
    bench.take_apart(until="T08")
    yield desk
    store.close()


@pytest.fixture(scope="module")
def client(desk: Desk) -> Iterator[TestClient]:
    with TestClient(
        create_app(desk, Settings(person="R. Bench", warm=lambda: None)), base_url="http://192.168.1.5:8765"
    ) as client:
        yield client


def words(text: str) -> str:
    """A page as it is read."""
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", text)))


def opened(client: TestClient, code: str) -> str:
    """Where a scanned code leads."""
    answer = client.get("/t", params={"code": code}, follow_redirects=False)
    assert answer.status_code == 303, words(answer.text)
    return answer.headers["location"]


def test_a_job_opens_at_the_point_at_which_it_goes_on(client: TestClient, desk: Desk) -> None:
    code = job_tag("0412").code
    expected = resume_href("0412", desk.progress("0412").resume)
    assert opened(client, code) == expected
    assert opened(client, f"  {code.lower()}\r\n") == expected
    assert opened(client, f"http://10.0.0.7:8765{job_tag('0412').path}") == expected
    assert client.get(job_tag("0412").path, follow_redirects=False).headers["location"] == expected
    assert client.get(expected).status_code == 200


def converter(desk: Desk) -> str:
    """Where the torque converter lies."""
    job = desk.job("0412")
    return next(one.place for one in custody(job.transmission, job.state).lying if one.part == "P049")


def test_a_tray_opens_its_contents(client: TestClient, desk: Desk) -> None:
    place = converter(desk)
    tray = tray_tag("0412", place)
    assert tray is not None
    page = client.get(tray.path)
    assert page.status_code == 200
    assert str(page.url).endswith(f"/jobs/0412/place/{place}")
    assert "P049 torque converter with lock-up clutch" in words(page.text)
    spare = tray_tag("0412", "0412-T77")
    assert spare is not None
    assert "Nothing of job 0412 lies here" in words(client.get(spare.path).text)
    missing = client.get("/jobs/0412/place/nowhere")
    assert missing.status_code == 404
    assert "has no place 'nowhere'" in words(missing.text)


def test_a_part_opens_in_its_job(client: TestClient, desk: Desk) -> None:
    number = [part.id for part in desk.job("0412").transmission.parts].index("P049") + 1
    page = client.get(part_tag("0412", "P049", number).path)
    assert str(page.url).endswith("/jobs/0412/part/P049")
    shown = words(page.text)
    assert f"1 on {converter(desk)}" in shown
    assert f'href="/jobs/0412/place/{converter(desk)}"' in page.text
    inside = words(client.get("/jobs/0412/part/P004").text)
    assert "1 in the unit." in inside
    assert "T08" in inside
    assert client.get("/jobs/0412/part/P999").status_code == 404


def test_what_was_found_on_a_part_stands_on_its_page(client: TestClient, desk: Desk) -> None:
    desk.append(
        "0412",
        Finding(part="P049", word=FindingWord.BLUED, pattern=Pattern.ONE_SPOT, degree=Degree.HEAVY,
                verdict=PartVerdict.REPLACE),
        by="R. Bench",
    )  # fmt: skip
    assert "blued, one spot, heavy; replace (R. Bench," in words(client.get("/jobs/0412/part/P049").text)


def test_fasteners_lie_in_a_tray_too_and_what_is_away_is_said(client: TestClient, desk: Desk) -> None:
    job = desk.job("0412")
    where = custody(job.transmission, job.state)
    joint = next(one for one in where.holdings if one.sort == "joint" and one.outside)
    start, count = next(iter(joint.outside.items()))
    desk.append(
        "0412",
        Moved(sort="joint", what=joint.id, count=count, start=start, to=Spot(how="place", name="0412-T50")),
        by="R. Bench",
    )
    tray = words(client.get("/jobs/0412/place/0412-T50").text)
    assert f"{count} {joint.name}" in tray
    part = next(one for one in where.holdings if one.sort == "part" and one.id == "P003")
    (spot,) = part.outside
    away = Spot(how="sent out", name="the machine shop")
    desk.append(
        "0412",
        Moved(sort="part", what="P003", count=1, start=spot, to=away, words="new bushing, back on Friday"),
        by="R. Bench",
    )
    assert "1 sent out to the machine shop." in words(client.get("/jobs/0412/part/P003").text)


@pytest.mark.parametrize(
    ("code", "status", "said"),
    [
        ("7300011000017", 422, "This is a trade article number (EAN-13; its check digit is right)."),
        ("J-0412-Z", 422, "one character is misread or mistyped"),
        ("https://example.org/x", 422, "the web address of a page at example.org"),
        ("", 422, "Nothing was scanned or typed."),
        (job_tag("0999").code, 404, "this shop has no job 0999"),
        (part_tag("0412", "X1", 1).code, 404, "job 0412 has no part X1"),
    ],
)
def test_what_is_no_tag_is_told_and_nothing_opens(
    client: TestClient, code: str, status: int, said: str
) -> None:
    for page in (
        client.get("/t", params={"code": code}),
        client.get(f"/t/{quote(code, safe='')}") if code else client.get("/t/", params={"code": code}),
    ):
        assert page.status_code == status
        assert page.text.count("<h1") == 1
        assert said in words(page.text)
        assert 'name="find"' in page.text


def test_a_refusal_offers_the_job_that_may_be_meant(client: TestClient) -> None:
    for code in ("J-0412-Z", "0412", "J-0412", "T-0412-1-Z"):
        assert 'href="/jobs/0412"' in client.get("/t", params={"code": code}).text
    assert "Jobs that may be meant" not in words(client.get("/t", params={"code": "J-0999-Z"}).text)


@pytest.mark.parametrize(
    ("typed", "href"), [(" 0412 ", "/jobs/0412"), ("0412-t3", "/jobs/0412/place/0412-T3")]
)
def test_a_name_that_is_typed_for_a_code_is_offered_and_not_called_foreign(
    client: TestClient, typed: str, href: str
) -> None:
    page = client.get("/t", params={"code": typed})
    assert page.status_code == 422
    assert "Is it this one?" in page.text
    assert f'href="{href}"' in page.text
    assert "no tag of this shop" not in page.text


def test_jobs_are_looked_for_by_words(client: TestClient) -> None:
    assert 'href="/jobs/0412"' in client.get("/t", params={"find": "PICK"}).text
    assert "No job is like that" in words(client.get("/t", params={"find": "bus"}).text)
    assert "Jobs that may be meant" not in words(client.get("/t").text)


def test_what_is_typed_never_becomes_markup(client: TestClient) -> None:
    for name in ("code", "find"):
        assert "<b>" not in client.get("/t", params={name: "<b>x</b>"}).text


def test_the_first_page_and_the_scan_page_have_the_field(client: TestClient) -> None:
    for path in ("/", "/t"):
        page = client.get(path).text
        assert re.search(r'<form class="scan" method="get" action="/t">', page)
        assert re.search(r'<input id="f-code" name="code"[^>]* autofocus>', page)
    assert "no camera of their own" in words(client.get("/t").text)


def test_two_jobs_with_one_code_are_asked_about(tmp_path: Path) -> None:
    store = open_store(tmp_path / "shop")
    desk = Desk(store)
    desk.shelve_library()
    for tag in ("B-7", "b7"):
        six_speed(desk, tag, vehicle=f"vehicle of {tag}", by="R. Bench")
    with TestClient(create_app(desk, Settings(warm=lambda: None))) as client:
        page = client.get("/t", params={"code": job_tag("B7").code})
        assert "Which of them?" in words(page.text)
        assert 'href="/jobs/B-7"' in page.text
        assert 'href="/jobs/b7"' in page.text
    store.close()


def test_the_labels_are_linked_counted_and_chosen(client: TestClient, desk: Desk) -> None:
    assert 'href="/jobs/0412/labels"' in client.get("/jobs/0412").text
    job = desk.job("0412")
    used = len(custody(job.transmission, job.state).places)
    page = client.get("/jobs/0412/labels?spare=3&what=tray").text
    assert f"{used + 3} labels on 1 sheet" in words(page)
    assert page.count('class="label"') == used + 3
    assert "point the camera app of a phone" in words(page)
    assert client.get("/jobs/0412/labels").text.count('class="label"') > used + 7
    assert "1 label on 1 sheet" in words(client.get("/jobs/0412/labels?spare=0&what=job").text)


@pytest.mark.parametrize("spare", ["-1", "x", "49", "²", ""])
def test_a_count_that_is_none_is_told_beside_its_field(client: TestClient, spare: str) -> None:
    page = client.get("/jobs/0412/labels", params={"spare": spare})
    assert page.status_code == 422
    assert "is no count of trays; type a whole number up to 48." in words(page.text)


def test_a_page_of_this_computer_alone_says_so(desk: Desk) -> None:
    for host in ("127.0.0.1:8765", "localhost", "[::1]:8765"):
        with TestClient(create_app(desk, Settings(warm=lambda: None)), base_url=f"http://{host}") as client:
            assert "a phone cannot open them" in words(client.get("/jobs/0412/labels").text)
