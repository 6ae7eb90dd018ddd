"""The season page of the demo: in a real browser, on paper, and where the service leaves it."""

from __future__ import annotations

import re
import shutil
import stat
import subprocess
import time
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from browser import Browser, Scheme, browser
from command_line import call, demo, program
from demo_year import demo_site, morning, read_on
from served import Served

from advisor.cli.exits import Exit
from advisor.service.decide import decide
from advisor.service.season import season_page
from advisor.service.weather import refresh
from advisor.store.database import Store

DAYS = ("2025-04-01", "2025-07-09", "2025-12-21")
"""A day to put something down, a hot and dry one, and one in winter."""

MOST_OCTETS = 400_000

ENDS = ("Journal", "Where the numbers come from", "Sources", "Trade words")


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The demo's page on each of the days, as the command line writes it."""
    base = tmp_path_factory.mktemp("pages")
    site = demo(base)
    for day in DAYS:
        said = program("digest", site, "--out", base / day, "--on", day, "--state", base / "state")
        assert said.code == Exit.DONE, said.err
    return {day: base / day / "season.html" for day in DAYS}


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with browser() as running:
        yield running


@pytest.mark.parametrize("day", DAYS)
def test_it_is_small_and_has_every_part(pages: dict[str, Path], day: str) -> None:
    text = pages[day].read_text(encoding="utf-8")
    assert len(text.encode()) <= MOST_OCTETS
    assert text.startswith("<!doctype html>")
    titles = re.findall(r"<h2[^>]*>([^<]+)</h2>", text)
    assert titles == ["On this page", "Front lawn", "Back lawn by the pond", *ENDS]
    assert text.count("Windows ahead</h3>") == 3  # with what is taken for granted of them
    assert text.count("Sums of the year</h3>") == text.count("Rules that speak</h3>") == 2


@pytest.mark.parametrize("day", DAYS)
def test_sums_are_those_of_the_journal_command(
    capsys: pytest.CaptureFixture[str], pages: dict[str, Path], tmp_path: Path, day: str
) -> None:
    """Each line that `swardcast journal` has below a lawn is a row of that lawn's table."""
    said = call(capsys, "journal", demo(tmp_path), "--on", day, "--state", tmp_path / "state")
    text = pages[day].read_text(encoding="utf-8")
    rows = re.findall(r"<tr><th scope=\"row\">(.*?)</th>\n<td>(.*?)</td><td>", text)
    shown = [(re.sub("<.*?>", "", name).casefold(), had) for name, had in rows]
    told = re.findall(r"^  (?!since )([^:]+): (.+)$", said.out, re.MULTILINE)
    assert told == [pair for pair in shown if pair in told]
    assert len(told) >= 2
    entries = re.findall(r"^(\d{4}-\d\d-\d\d)  \S+ +(.+)$", said.out, re.MULTILINE)
    lines = re.findall(r'<span class="what">([^<]+)</span></li>', text)
    assert lines == [text for _, text in reversed(entries)]


@pytest.mark.parametrize("width", [360, 1200])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nobody_is_kept_out(
    pages: dict[str, Path], chromium: Browser, width: int, scheme: Scheme
) -> None:
    """No serious or critical finding of axe, by WCAG 2.2 A and AA and its good practice; nothing
    stands beyond the edge of a phone; the page asks for nothing but itself."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    for day in DAYS:
        asked = len(chromium.asked)
        with chromium.page(pages[day], width, scheme) as page:
            found = axe.run(page).response
            bad = [
                (one["id"], [node["html"][:120] for node in one["nodes"]][:3])
                for one in found["violations"]
                if one["impact"] in ("serious", "critical")
            ]
            assert bad == []
            assert len(found["passes"]) > 15
            assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert chromium.asked[asked:] == [pages[day].as_uri()]


def test_it_needs_no_script(pages: dict[str, Path], chromium: Browser) -> None:
    """Every rule's sentence can be seen at once, and a link of the contents leads to its place."""
    text = pages["2025-07-09"].read_text(encoding="utf-8")
    sentences = text.count('<p class="sentence">')
    with chromium.page(pages["2025-07-09"], 1200, script=False) as page:
        assert sentences > 20
        seen = page.locator("p.sentence")
        assert seen.count() == sentences
        assert all(seen.nth(n).is_visible() for n in range(sentences))
        page.locator("nav").get_by_role("link", name="Journal").click()
        assert page.url.endswith("#journal")
        assert page.locator("#journal").bounding_box()["y"] < 100


def test_a_phone_has_the_narrow_picture_and_a_desk_the_wide(
    pages: dict[str, Path], chromium: Browser
) -> None:
    for width, shown, hidden in ((360, ".narrow", ".wide"), (1200, ".wide", ".narrow")):
        with chromium.page(pages["2025-04-01"], width) as page:
            assert page.locator(f"figure {shown} svg").first.is_visible()
            assert not page.locator(f"figure {hidden} svg").first.is_visible()


def test_paper_has_all_of_it(pages: dict[str, Path], chromium: Browser, tmp_path: Path) -> None:
    """Every title of a section and every rule that speaks stands on paper."""
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext is not installed")
    text = pages["2025-07-09"].read_text(encoding="utf-8")
    paper = tmp_path / "season.pdf"
    with chromium.page(pages["2025-07-09"], 1200) as page:
        page.pdf(path=str(paper), format="Letter", prefer_css_page_size=True)
    printed = subprocess.run(
        ["pdftotext", "-layout", paper, "-"], capture_output=True, check=True, timeout=60
    ).stdout.decode()
    assert printed.count("\f") > 5
    words = " ".join(printed.split())
    titles = re.findall(r"<h[1345][^>]*>([^<]+)</h[1345]>", text)
    titles += re.findall(r"<h2[^>]*>([^<]+)</h2>", text)[1:]  # but the contents
    assert len(titles) > 40
    missing = [title for title in titles if title not in words]
    assert missing == []


def test_paper_is_light_whatever_the_screen_is(pages: dict[str, Path], chromium: Browser) -> None:
    with chromium.page(pages["2025-07-09"], 1200, "dark") as page:

        def colours() -> list[str]:
            found = page.evaluate(
                "[getComputedStyle(document.body).color,"
                " getComputedStyle(document.querySelector('main > section')).backgroundColor,"
                " getComputedStyle(document.querySelector('figure .f-ink')).fill,"
                " getComputedStyle(document.querySelector('figure .f-ground')).fill]"
            )
            return list(found)

        dark = colours()
        page.emulate_media(media="print", color_scheme="dark")
        printed = colours()
    assert printed == ["rgb(34, 45, 30)", "rgb(255, 255, 255)"] * 2
    assert not set(printed) & set(dark)


# Where the service leaves it.

SUNDAY = datetime(2025, 7, 13, 12, 0, tzinfo=UTC)


def test_the_service_keeps_it_with_each_digest(tmp_path: Path) -> None:
    """Private like the database beside it, and made anew by the next digest."""
    served = Served.into_maildir(tmp_path)
    served.take(SUNDAY.replace(day=5))
    assert not (tmp_path / "season.html").exists()
    served.take(SUNDAY.replace(day=6))
    first = (tmp_path / "season.html").read_text(encoding="utf-8")
    assert "Sunday, July 6" in first
    mode = stat.S_IMODE((tmp_path / "season.html").stat().st_mode)
    assert mode & 0o007 == 0 and mode & 0o600 == 0o600
    served.take(SUNDAY.replace(day=9))
    assert (tmp_path / "season.html").read_text(encoding="utf-8") == first
    served.take(SUNDAY)
    assert "Sunday, July 13" in (tmp_path / "season.html").read_text(encoding="utf-8")
    assert not list(tmp_path.glob(".season*"))


def test_a_page_that_cannot_be_written_holds_up_no_digest(tmp_path: Path) -> None:
    served = Served.into_maildir(tmp_path)
    (tmp_path / "season.html" / "in the way").mkdir(parents=True)
    served.take(SUNDAY.replace(day=12))
    said = served.take(SUNDAY)
    assert len(served.mails()) == 1
    assert [one for one in said if "season page" in one] == [
        "the season page cannot be written: Is a directory"
    ]
    assert served.wake_at() > SUNDAY


def test_status_names_it(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    site, state = demo(tmp_path), tmp_path / "state"
    before = call(capsys, "status", site, "--state", state)
    assert "Season page" not in before.out
    sent = call(capsys, "digest", site, "--send", "--state", state)
    assert sent.code == Exit.DONE, sent.err
    page = state / "tansy-hollow" / "season.html"
    assert page.read_text(encoding="utf-8").startswith("<!doctype html>")
    said = call(capsys, "status", site, "--state", state)
    assert str(page) in said.out.replace("\n" + " " * 15, "")


def test_it_costs_a_digest_less_than_a_second(tmp_path: Path) -> None:
    """Once a week; the past years that it shows were asked for the digest already."""
    day = date(2025, 7, 9)
    with Store(tmp_path / "swardcast.sqlite3") as store:
        assert refresh(demo_site(), read_on(day).folder, store, morning(day), {}) == ""
        decision = decide(read_on(day), demo_site(), store, morning(day), season=True)
        season_page(decision, store)  # templates are read once
        began = time.process_time()
        page = season_page(decision, store)
        assert time.process_time() - began < 1.0
    assert "Front lawn" in page
