"""A real browser for tests of pages: at the width and in the colour scheme of a reader."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Literal

import pytest

PROMISED = "BROWSER_IS_THERE"
"""Where this is set, tests that want a browser fail without one, so that nothing goes unseen."""

CHROMIUM = Path("/usr/bin/chromium")

WORDS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip
"""The browser speaks to nobody by itself, and needs neither a screen nor rights of its own."""

FONTS = ("DejaVuSans", "DejaVuSans-Bold", "DejaVuSansMono", "DejaVuSerif", "DejaVuSerif-Bold")
"""The files that a reader's page is drawn with, of Debian's fonts-dejavu-core."""

FOLDERS_OF_FONTS = ("/usr/share/fonts", "/usr/local/share/fonts")

Scheme = Literal["light", "dark"]
Hinting = Literal["none", "slight", "full"]


def needed() -> None:
    """Skip where there is no browser to look with; fail where one is promised."""
    if not CHROMIUM.exists():
        if os.environ.get(PROMISED):
            pytest.fail(f"there is no {CHROMIUM}, and {PROMISED} is set")
        pytest.skip(f"there is no {CHROMIUM}")
    pytest.importorskip("playwright.sync_api", reason="playwright is not installed")


class Browser:
    """A running browser. `asked` are the addresses that its pages asked for."""

    def __init__(self, play: object, running: object) -> None:
        self._play, self._running = play, running
        self.asked: list[str] = []

    @contextmanager
    def another(self, hinting: Hinting) -> Iterator[Browser]:
        """One more browser beside this one, which draws its letters with that `hinting`."""
        with _launched(self._play, hinting) as running:
            yield running

    @contextmanager
    def page(
        self, file: Path, width: int, scheme: Scheme = "light", *, script: bool = True
    ) -> Iterator[object]:
        """A file as a page `width` CSS pixels wide. `script` is for what a test itself runs in the
        page; without it JavaScript is off."""
        context = self._running.new_context(  # type: ignore[attr-defined]
            viewport={"width": width, "height": 900},
            color_scheme=scheme,
            java_script_enabled=script,
            bypass_csp=script,
        )
        try:
            context.on("request", lambda request: self.asked.append(request.url))
            page = context.new_page()
            page.goto(file.as_uri())
            yield page
        finally:
            context.close()


def fonts() -> list[Path]:
    """Those of `FONTS` that are installed."""
    found = {f.stem: f for folder in FOLDERS_OF_FONTS for f in Path(folder).rglob("*.ttf")}
    return [found[name] for name in FONTS if name in found]


def _only_those_fonts(folder: Path, hinting: Hinting) -> Path:
    """A fontconfig file by which no font of the machine is seen but `FONTS`, drawn in greys."""
    seen = folder / "fonts"
    seen.mkdir()
    for font in fonts():
        (seen / font.name).symlink_to(font)
    families = "".join(
        f"<alias><family>{family}</family><prefer><family>{font}</family></prefer></alias>"
        for family, font in (
            ("sans-serif", "DejaVu Sans"),
            ("serif", "DejaVu Serif"),
            ("monospace", "DejaVu Sans Mono"),
        )
    )
    hints = "false" if hinting == "none" else "true"
    drawn = "".join(
        f'<edit name="{name}" mode="assign">{value}</edit>'
        for name, value in (
            ("antialias", "<bool>true</bool>"),
            ("rgba", "<const>none</const>"),
            ("hinting", f"<bool>{hints}</bool>"),
            ("autohint", "<bool>false</bool>"),
            ("hintstyle", f"<const>hint{hinting}</const>"),
        )
    )
    written = folder / "fonts.conf"
    written.write_text(
        '<?xml version="1.0"?><!DOCTYPE fontconfig SYSTEM "fonts.dtd"><fontconfig>'
        f"<dir>{seen}</dir><cachedir>{folder}</cachedir>{families}"
        f'<match target="pattern">{drawn}</match><match target="font">{drawn}</match></fontconfig>',
        encoding="utf-8",
    )
    return written


@contextmanager
def _launched(play: object, hinting: Hinting) -> Iterator[Browser]:
    with TemporaryDirectory() as folder:
        running = play.chromium.launch(  # type: ignore[attr-defined]
            executable_path=str(CHROMIUM),
            args=list(WORDS),
            env={**os.environ, "FONTCONFIG_FILE": str(_only_those_fonts(Path(folder), hinting))},
        )
        try:
            yield Browser(play, running)
        finally:
            running.close()


@contextmanager
def browser() -> Iterator[Browser]:
    """A browser for as long as the tests of a file need one. It sees no font but `FONTS`, and draws
    them without hints."""
    needed()
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play, _launched(play, "none") as running:
        yield running
