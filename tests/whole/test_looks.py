"""Eight digests in a real browser, on a phone and at a desk, light and dark.

Looks are held to kept pictures (`looks.py`), so that nothing changes them unseen. What a page owes
its readers is asked of the browser and of axe.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest
from browser import FONTS, Browser, Scheme, browser, fonts
from digest_scenes import SCENES, Scene, html_part, scene
from layout import faults, untold_pictures
from looks import (
    FAR,
    KEPT,
    LOOKS,
    Look,
    changes,
    farthest,
    kept,
    lengths,
    reduced,
    screenshot,
)

MOST_OF_PAGE, MOST_OF_MAIL = 60_000, 300_000

MOST_KEPT = 400_000
"""Octets of all kept pictures together."""

APPLY = "apply-in-spring"


@pytest.fixture(scope="module")
def scenes() -> dict[str, Scene]:
    return {name: scene(name) for name in SCENES}


@pytest.fixture(scope="module")
def pages(scenes: dict[str, Scene], tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("pages")
    written = {name: folder / f"{name}.html" for name in scenes}
    for name, file in written.items():
        file.write_text(scenes[name].page, encoding="utf-8")
    return written


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with browser() as running:
        yield running


def drawn_alike() -> None:
    """Skip where pages would be drawn with other letters than the kept pictures."""
    if len(fonts()) < len(FONTS):
        pytest.skip("the fonts of fonts-dejavu-core are not installed")


# What each scene is about, so that a picture of another is not taken for it.

TOLD = {
    "apply-in-spring": "Apply: weed barrier, both lawns, Tue Apr 1, 09:00 to 14:00",
    "rain-hold": "of rain may fall that day and the next, and carry it off",
    "heat-hold": "It is too hot",
    "water": "Water: Front lawn, Wed Jul 9, 06:00 to 09:00",
    "winter": "Dormant for the winter",
    "forecast-failed": "Wait: cannot tell. The newest forecast is 96 hours old",
    "taken-back": "Wait after all Weed barrier, both lawns, not on Tue Apr 1 as announced",
    "three-actions": "and 2 more",
}


@pytest.mark.parametrize("name", SCENES)
def test_each_scene_is_what_it_is_called(scenes: dict[str, Scene], name: str) -> None:
    seen = scenes[name]
    headline = seen.plan.headline
    page = re.sub(r"<[^>]*>", " ", html_part(seen.mail).get_content())
    assert TOLD[name] in " ".join(f"{headline.subject} {headline.text} {page}".split())


# Kept pictures.


@pytest.mark.parametrize("look", LOOKS, ids=lambda look: look.name)
def test_it_looks_as_it_was_kept(pages: dict[str, Path], chromium: Browser, look: Look) -> None:
    """After a change that is meant: look at it, and run `python tests/whole/looks.py`."""
    drawn_alike()
    taken = screenshot(chromium, pages[look.scene], look.width, look.scheme)
    assert changes(reduced(taken, look.width), kept(look)) == []


def test_each_look_is_kept_and_no_other() -> None:
    files = sorted(KEPT.iterdir())
    assert [file.name for file in files] == sorted(f"{look.name}.png" for look in LOOKS)
    assert len(files) == 32
    assert sum(file.stat().st_size for file in files) <= MOST_KEPT


def test_letters_drawn_otherwise_are_not_taken_for_a_change(
    pages: dict[str, Path], chromium: Browser
) -> None:
    """The measure behind `FAR`: light hints move no block by more than half of it."""
    drawn_alike()
    with chromium.another("slight") as running:
        for look in LOOKS:
            if look.scene in (APPLY, "three-actions", "taken-back"):
                taken = screenshot(running, pages[look.scene], look.width, look.scheme)
                now, then = reduced(taken, look.width), kept(look)
                assert lengths(now, then) == 0
                assert farthest(now, then)[0] <= FAR / 2


def _without(page: str, first: str, last: str) -> str:
    begins = page.index(first)
    return page[:begins] + page[page.index(last, begins) :]


def _section(title: str) -> Callable[[str], str]:
    """The page without the block of a title."""

    def altered(page: str) -> str:
        begins = page.rindex("<tr><td class=", 0, page.index(f">{title}</h2>"))
        return page[:begins] + page[page.index("</td></tr>", begins) + len("</td></tr>") :]

    return altered


def _swapped(page: str) -> str:
    """The page with the coming days after the lawns."""
    ends = "</td></tr>"
    days = page.rindex("<tr><td class=", 0, page.index(">Coming days</h2>"))
    lawns = page.rindex("<tr><td class=", 0, page.index(">The lawns</h2>"))
    after = page.index(ends, lawns) + len(ends)
    return page[:days] + page[lawns:after] + page[days:lawns] + page[after:]


ALTERED: dict[str, Callable[[str], str]] = {
    "a section is gone": _section("The lawns"),
    "two sections changed places": _swapped,
    "the verdict has another colour": lambda page: page.replace("#24502f", "#674712"),
    "cards have another colour": lambda page: page.replace("#fbfaf4", "#e6eef4").replace(
        "#1d231a", "#1a1d33"
    ),
    "a heading is twice as large": lambda page: page.replace("bold 38px", "bold 76px"),
    "text is twice as large": lambda page: page.replace("font:16px", "font:32px"),
    "text is a size smaller": lambda page: page.replace("font:16px", "font:15px"),
    "the numbers under the reason are gone": lambda page: _without(
        page, '<table style="border-collapse:collapse;width:100%;margin:0 0 4px">', "</table>",
    ),
    "a picture is gone": lambda page: re.sub(r"<picture>.*?</picture>", "", page, count=1),
    "a day's mark is gone": lambda page: page.replace(
        'class="l apply"', 'class="l"'
    ).replace("background-color:#d8e9d3;color:#1c4326", ""),
}  # fmt: skip


@pytest.mark.parametrize("altered", ALTERED)
@pytest.mark.parametrize(("width", "scheme"), [(360, "light"), (1200, "dark")])
def test_a_change_is_seen(
    pages: dict[str, Path], chromium: Browser, tmp_path: Path,
    altered: str, width: int, scheme: Scheme,
) -> None:  # fmt: skip
    drawn_alike()
    before = pages[APPLY].read_text(encoding="utf-8")
    page = tmp_path / "page.html"
    page.write_text(ALTERED[altered](before), encoding="utf-8")
    assert page.read_text(encoding="utf-8") != before
    now = reduced(screenshot(chromium, page, width, scheme), width)
    assert changes(now, kept(Look(APPLY, width, scheme))) != []


# What a page owes its readers.


@pytest.mark.parametrize("look", LOOKS, ids=lambda look: look.name)
def test_nobody_is_kept_out(pages: dict[str, Path], chromium: Browser, look: Look) -> None:
    """Nothing is cut, stands on something else, is too small to read or too wide; the page asks for
    nothing but itself; and axe (WCAG 2.2 A and AA and its good practice, contrast in both schemes)
    finds nothing serious or critical."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    asked = len(chromium.asked)
    with chromium.page(pages[look.scene], look.width, look.scheme) as page:
        assert faults(page, look.width) == []
        found = axe.run(page).response
    said = [
        (one["impact"], one["id"], [node["html"][:120] for node in one["nodes"]][:3])
        for one in found["violations"]
    ]
    assert [one for one in said if one[0] in ("serious", "critical")] == [], said
    assert len(found["passes"]) > 10
    assert "color-contrast" in {one["id"] for one in found["passes"]}
    assert asks(chromium, asked) == [pages[look.scene].as_uri()]


def asks(chromium: Browser, since: int) -> list[str]:
    """What was asked for since; a picture within the page leaves it for nobody."""
    return [url for url in chromium.asked[since:] if not url.startswith("data:image/png;base64,")]


@pytest.mark.parametrize("look", LOOKS, ids=lambda look: look.name)
def test_it_works_with_pictures_blocked(
    pages: dict[str, Path], chromium: Browser, tmp_path: Path, look: Look
) -> None:
    """What each picture shows stands in its place in words, and the page is as sound as with it."""
    text = pages[look.scene].read_text(encoding="utf-8")
    blocked = tmp_path / "blocked.html"
    blocked.write_text(
        re.sub(r'(srcset|src)="data:[^"]*"', r'\1="data:image/png;base64,"', text), encoding="utf-8"
    )
    with chromium.page(blocked, look.width, look.scheme) as page:
        pictures = page.locator("img").count()
        assert pictures == text.count("<img ")
        assert bool(pictures) == (look.scene not in ("forecast-failed", "taken-back"))
        assert untold_pictures(page) == []
        assert faults(page, look.width) == []


BROKEN = {
    "it is": '<div style="width:1500px;height:9px"></div>',
    "outside its box": '<div style="width:40px;white-space:nowrap">much too long for it</div>',
    "outside its box: cut": '<div style="height:20px;overflow:hidden">'
    "one line<br>and the next<br>and a last</div>",
    "on one another": '<p>One text.</p><p style="margin-top:-36px">Another one.</p>',
    "letters too small": '<p style="font-size:11px">Who can read this?</p>',
    "hard to tap": '<a class="answer" href="#x" style="display:block;line-height:30px">Done</a>',
}


@pytest.mark.parametrize("fault", BROKEN)
def test_a_fault_of_the_layout_is_found(chromium: Browser, tmp_path: Path, fault: str) -> None:
    file = tmp_path / "page.html"
    start = "<!doctype html><html lang='en'><title>x</title><body style='font:16px/1.2 sans-serif'>"
    file.write_text(f"{start}<p>Sound.</p>{BROKEN[fault]}", encoding="utf-8")
    with chromium.page(file, 360) as page:
        found = faults(page, 360)
    assert any(one.startswith(fault) for one in found)
    assert all(one.startswith(fault.partition(":")[0]) for one in found)


def test_a_picture_whose_words_have_no_room_is_found(chromium: Browser, tmp_path: Path) -> None:
    file = tmp_path / "page.html"
    tall, low = (
        f'<p><img src="data:image/png;base64," width="584" style="display:block;width:100%;{high}" '
        f'alt="{"Words of what it shows. " * 9}"></p>'
        for high in ("height:auto", "height:20px")
    )
    for body, said in ((tall, 0), (low, 1), (tall.replace("Words of what it shows. ", ""), 1)):
        file.write_text(f"<!doctype html><body>{body}", encoding="utf-8")
        with chromium.page(file, 360) as page:
            assert len(untold_pictures(page)) == said


# The mail.


class Tags(HTMLParser):
    """The tags of a page with their attributes."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str]]] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, {name: value or "" for name, value in attrs}))


@pytest.mark.parametrize("name", SCENES)
def test_its_mail_is_small_and_plain(scenes: dict[str, Scene], name: str) -> None:
    """One <style>, pictures from within the mail, and nothing that readers of mail strip."""
    mail = scenes[name].mail
    assert len(mail) <= MOST_OF_MAIL
    part = html_part(mail)
    assert len(str(part.get_payload()).encode()) <= MOST_OF_PAGE
    page = part.get_content()
    tags = Tags(page).found
    names = [tag for tag, _ in tags]
    assert names.count("style") == 1
    assert not {"svg", "script", "link", "form", "iframe", "object", "video"} & set(names)
    carried = mail.decode("ascii")
    for tag, attributes in tags:
        assert not re.search(r"url\(|(inline-)?(grid|flex)\b", attributes.get("style", "")), tag
        assert not [key for key in attributes if key.startswith("on")]
        for address in (attributes.get("src"), attributes.get("srcset")):
            if address is not None:
                assert address.startswith("cid:")
                assert f"Content-ID: <{address.removeprefix('cid:')}>" in carried
    assert not re.search(r"@import|url\(|@font-face|display:\s*(grid|flex)", page)
