"""A picture as PNG, for readers of mail whose programs show no SVG.

Letters are those of the package (see `fonts/README.md`), so that each machine makes the same bytes.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from advisor.digest.palette import with_palette

FAMILY = "Swardcast Sans"
_FONTS = Path(__file__).resolve().parent / "fonts"

WIDTH = 720
"""Pixels across: a phone of 360 has two for each of its own."""


@lru_cache(maxsize=32)
def png(svg: str, width: int = WIDTH) -> bytes:
    """A picture drawn for one ground (`Drawing.svg("light")`), `width` pixels across.

    ValueError where it is no SVG.
    """
    from resvg_py import svg_to_bytes  # not needed by all that starts

    return with_palette(
        svg_to_bytes(
            svg_string=svg,
            width=width,
            skip_system_fonts=True,
            font_files=[str(path) for path in sorted(_FONTS.glob("*.ttf"))],
            font_family=FAMILY,
            sans_serif_family=FAMILY,
        )
    )
