"""Makes the two font files of advisor/digest/fonts from DejaVu Sans 2.37.

    python tests/font/make_font.py FOLDER

FOLDER has DejaVuSans.ttf and DejaVuSans-Bold.ttf, as the project that makes them publishes them.
Needs fontTools, which the service itself does not.
"""

from __future__ import annotations

import sys
from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont

FAMILY = "Swardcast Sans"
"""The licences ask that a changed font bear none of these: Bitstream, Vera, Arev, Tavmjong Bah."""

KEPT = (
    *range(0x20, 0x7F),
    *range(0xA0, 0x180),
    *(0x2010, 0x2011, 0x2013, 0x2014, 0x2018, 0x2019, 0x201A, 0x201C, 0x201D, 0x201E, 0x2022),
    *(0x2026, 0x202F, 0x2030, 0x2032, 0x2033, 0x2190, 0x2191, 0x2192, 0x2193),
    *(0x2202, 0x2212, 0x2248, 0x2264, 0x2265, 0x20AC),
)
"""Latin as Europe writes it, punctuation, arrows and a few signs of numbers and units."""

TARGET = Path(__file__).parents[2] / "advisor" / "digest" / "fonts"

STYLES = {"Regular": "DejaVuSans.ttf", "Bold": "DejaVuSans-Bold.ttf"}


def make(source: Path, style: str, target: Path) -> None:
    """One style of the font, cut down to `KEPT` and renamed."""
    font = TTFont(source / STYLES[style], recalcTimestamp=False)
    options = subset.Options(
        hinting=False, layout_features=["kern"], name_IDs=[0, 1, 2, 3, 4, 5, 6, 13, 14],
        notdef_outline=True, drop_tables=["FFTM", "MATH", "GSUB", "GDEF"],
    )  # fmt: skip
    cut = subset.Subsetter(options)
    cut.populate(unicodes=KEPT)
    cut.subset(font)
    named = {
        1: FAMILY, 2: style, 3: f"{FAMILY} {style}, of DejaVu Sans 2.37",
        4: f"{FAMILY} {style}", 6: f"{FAMILY.replace(' ', '')}-{style}",
    }  # fmt: skip
    for record in font["name"].names:
        if record.nameID in named:
            record.string = named[record.nameID]
    font.save(target)


if __name__ == "__main__":
    for style in STYLES:
        make(Path(sys.argv[1]), style, TARGET / f"SwardcastSans-{style}.ttf")
