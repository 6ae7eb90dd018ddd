"""A real browser for tests of pages: at the width and in the colour scheme of a reader."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Literal

import pytest

CHROMIUM = Path("/usr/bin/chromium")

WORDS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip
"""The browser speaks to nobody by itself, and needs neither a screen nor rights of its own."""

Scheme = Literal["light", "dark"]


def needed() -> None:
    """Skip where there is no browser to look with."""
    pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    if not CHROMIUM.exists():
        pytest.skip(f"there is no {CHROMIUM}")


class Browser:
    """A running browser. `asked` are the addresses that its pages asked for."""

    def __init__(self, running: object) -> None:
        self._running = running
        self.asked: list[str] = []

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


@contextmanager
def browser() -> Iterator[Browser]:
    """A browser for as long as the tests of a file need one."""
    needed()
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        running = play.chromium.launch(executable_path=str(CHROMIUM), args=list(WORDS))
        try:
            yield Browser(running)
        finally:
            running.close()
