"""Pictures as SVG: well-formed whatever the words, legible on both grounds."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.digest.drawing import INKS, Drawing

PALE = {"ground", "grid", "band", "tank", "maybe", "soil-band", "apply-band", "ahead"}
"""Grounds and fillings. An ink that is new is held to the contrast of words."""

SVG = "{http://www.w3.org/2000/svg}"


@given(st.text(), st.text(), st.text())
def test_any_words_make_a_document(title: str, finding: str, words: str) -> None:
    """No text of an owner's can break out of its place."""
    drawing = Drawing(100, 50, title, finding)
    drawing.text(3, 4, words)
    drawing.rect(0, 0, 1, 1, "water", note=words)
    root = ElementTree.fromstring(drawing.svg())
    assert [child.tag for child in root] == [
        SVG + "title", SVG + "desc", SVG + "style", SVG + "rect", SVG + "text", SVG + "rect",
    ]  # fmt: skip


def luminance(colour: str) -> float:
    """Relative luminance of #rrggbb (WCAG 2.2, definition of relative luminance)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("ink", sorted(set(INKS) - PALE))
@pytest.mark.parametrize("which", [0, 1], ids=["light", "dark"])
def test_contrast(ink: str, which: int) -> None:
    """WCAG 2.2, success criterion 1.4.3: at least 4.5 to 1 for words."""
    pair = sorted((luminance(INKS[ink][which]), luminance(INKS["ground"][which])))
    assert (pair[1] + 0.05) / (pair[0] + 0.05) >= 4.5


def test_what_has_no_place_is_refused() -> None:
    drawing = Drawing(10, 10, "t", "f")
    with pytest.raises(ValueError, match="no place"):
        drawing.line(0, 0, float("nan"), 1, "ink")
    with pytest.raises(ValueError, match="no ink"):
        drawing.rect(0, 0, 1, 1, "puce")
