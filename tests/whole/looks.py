"""Kept pictures of digests, and how far a page is from its own.

`python tests/whole/looks.py` writes them anew into `tests/whole/looks`, after a change that is
meant; `python tests/whole/looks.py FOLDER` puts the whole screenshots into a folder, to look at.

A screenshot is drawn without hints and in greys with Debian's fonts-dejavu-core 2.37, the only
fonts that the browser sees, and with JavaScript off. Kept is what is left of it after averaging
squares (6 CSS pixels on a phone, 12 at a desk) and 128 colours: some six kilobytes, in which
blocks, colours and the weight of text can be told and letters cannot. Those that stand there were
made with Chromium 156 on Debian 12.

Two pictures are held together block by block, each a mean over 18 or 36 CSS pixels. What is no
change moves the worst block of all looks by: 128 colours 4.6, light hints 7, two pixels to a CSS
pixel 12.9. The least of the changes in `test_looks.py`, cards of another pale colour, moves it by
20.8. Letters of other widths (full hints) break some lines elsewhere, which moves it by up to 155
and is a change.
"""

from __future__ import annotations

import io
import sys
from collections.abc import Iterator
from itertools import product
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple, get_args

import numpy as np
from browser import Browser, Scheme, browser
from digest_scenes import SCENES, scene
from PIL import Image

KEPT = Path(__file__).parent / "looks"

WIDTHS = {360: 6, 1200: 12}
"""CSS pixels of a page's width, and of the side of a square that becomes one pixel."""

COLOURS = 128

BLOCK = 3
"""Pixels of a kept picture on a side of what is compared."""

FAR = 16.0
"""How far, of 255 in one colour, the mean of a block may be from the kept one's; see above."""

LONGER = 0.01
"""By what part a page may be longer or shorter than the kept one."""


class Look(NamedTuple):
    """One way to look at a scene; its name is its file's."""

    scene: str
    width: int
    scheme: Scheme

    @property
    def name(self) -> str:
        return f"{self.scene}-{self.width}-{self.scheme}"


LOOKS = [Look(*one) for one in product(SCENES, WIDTHS, get_args(Scheme))]


def screenshot(running: Browser, page: Path, width: int, scheme: Scheme) -> Image.Image:
    """The whole page, without JavaScript."""
    with running.page(page, width, scheme, script=False) as seen:
        taken = seen.screenshot(full_page=True)  # type: ignore[attr-defined]
    return Image.open(io.BytesIO(taken)).convert("RGB")


def reduced(taken: Image.Image, width: int) -> Image.Image:
    """A screenshot of a page `width` CSS pixels wide, as a mean over each square. One that was
    taken with several pixels to a CSS pixel comes out the same size."""
    scale = taken.width / width
    size = WIDTHS[width]
    return taken.resize(
        (width // size, max(1, round(taken.height / scale / size))), Image.Resampling.BOX
    )


def kept(look: Look) -> Image.Image:
    with Image.open(KEPT / f"{look.name}.png") as file:
        return file.convert("RGB")


def keep(look: Look, picture: Image.Image) -> None:
    KEPT.mkdir(exist_ok=True)
    few = picture.quantize(
        COLOURS, method=Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE, kmeans=3
    )
    few.save(KEPT / f"{look.name}.png", optimize=True)


def lengths(now: Image.Image, then: Image.Image) -> float:
    """By what part the page's length differs from the kept one's."""
    return abs(now.height - then.height) / then.height


def farthest(now: Image.Image, then: Image.Image) -> tuple[float, int]:
    """How far the worst block is from the kept picture's, 0 to 255, and by what part of a hundred
    down the page it stands. What one picture has below the other's end is left to `lengths`."""
    height = min(now.height, then.height)
    a, b = (np.asarray(one, dtype=float)[:height] for one in (now, then))
    rows, across = height // BLOCK * BLOCK, a.shape[1] // BLOCK * BLOCK
    apart = (a - b)[:rows, :across]
    blocks = apart.reshape(rows // BLOCK, BLOCK, across // BLOCK, BLOCK, 3).mean(axis=(1, 3))
    far = np.abs(blocks).max(axis=(1, 2))
    return float(far.max()), round(100 * int(far.argmax()) / len(far))


def changes(now: Image.Image, then: Image.Image) -> list[str]:
    """What tells a page's picture from the kept one; empty where they are as good as the same."""
    found = []
    if (longer := lengths(now, then)) > LONGER:
        found.append(f"its length differs by {longer:.1%}: {then.height} then, {now.height} now")
    far, at = farthest(now, then)
    if far > FAR:
        found.append(f"a block {at} % down the page is {far:.0f} of 255 from the kept one")
    return found


def pages(folder: Path) -> dict[str, Path]:
    """Each scene's page, as a file in `folder`."""
    written = {name: folder / f"{name}.html" for name in SCENES}
    for name, file in written.items():
        file.write_text(scene(name).page, encoding="utf-8")
    return written


def screenshots(running: Browser, files: dict[str, Path]) -> Iterator[tuple[Look, Image.Image]]:
    for look in LOOKS:
        yield look, screenshot(running, files[look.scene], look.width, look.scheme)


def main(folder: str | None = None) -> None:
    """Keep the pictures of all looks, or put whole screenshots into `folder`."""
    with TemporaryDirectory() as files, browser() as running:
        for look, taken in screenshots(running, pages(Path(files))):
            if folder is None:
                keep(look, reduced(taken, look.width))
            else:
                taken.save(Path(folder) / f"{look.name}.png")


if __name__ == "__main__":
    main(*sys.argv[1:])
