"""Whether what a product's table says of its nitrogen makes sense together."""

from __future__ import annotations

from advisor.site.nitrogen import (
    FORMS,
    KNOWN_WORDS,
    PART_ROUNDING,
    SHARE_ROUNDING,
    Slow,
    is_slow_material,
    material,
    printed_words,
    slow_bounds,
)
from advisor.site.problem import nearest
from advisor.site.reading import Raw
from advisor.site.shelf import Product
from advisor.site.toml_lines import Path


def check_nitrogen(raw: Raw, path: Path, product: Product) -> None:
    """Note in `raw` where analysis, parts, slow-release share and “derived from” contradict."""
    if product.nitrogen:
        _check_parts(raw, path, product)
    if product.derived_from is not None:
        _check_words(raw, path, product)


def _check_parts(raw: Raw, path: Path, product: Product) -> None:
    total, parts = product.nitrogen_fraction, product.nitrogen
    if product.analysis is None:
        raw.at(
            (*path, "nitrogen"),
            "nitrogen: its forms are stated, and the analysis is not",
            'Write: analysis = "24-0-6"',
        )
        return
    added = sum(parts.values())
    if abs(added - total) > PART_ROUNDING * len(parts) + 1e-9:
        raw.at(
            (*path, "nitrogen"),
            f"nitrogen: its forms add up to {_percent(added)} and the analysis"
            f" {product.analysis.text} has {_percent(total)}",
            "Copy every line under “total nitrogen” from the guaranteed analysis.",
        )
        return
    sure, most = slow_bounds(total, parts)
    stated = product.slow_release_stated
    if stated is not None and not sure - SHARE_ROUNDING <= stated + 1e-9 <= most + SHARE_ROUNDING:
        told = _percent(sure) if sure == most else f"{_percent(sure)} to {_percent(most)}"
        raw.at(
            (*path, "slow_release"),
            f"slow_release says {_percent(stated)} of the nitrogen, and the forms in nitrogen come"
            f" to {told}",
            "Look both up in the guaranteed analysis; one of them is enough.",
        )
    elif stated is None and most > sure:
        names = ", ".join(FORMS[form].shown for form in parts if FORMS[form].slow is Slow.PERHAPS)
        raw.at(
            (*path, "nitrogen"),
            f"{product.name}: how much of {names} is slow is not stated, so it counts as quick",
            "Write what the label calls water-insoluble or slowly available as that, or"
            ' slow_release = "50%".',
            warning=True,
        )


def _check_words(raw: Raw, path: Path, product: Product) -> None:
    here = (*path, "derived_from")
    words = printed_words(product.derived_from or "")
    for word in words:
        if material(word) is None:
            raw.at(
                here,
                f"derived_from: “{word}” is not known here, and counts as nothing slow",
                nearest(word, KNOWN_WORDS) or "Separate the materials by commas.",
                warning=True,
            )
    known = [material(word) for word in words]
    slow = any(name is None or is_slow_material(name) for name in known)
    if product.slow_release > 0 and not slow:
        raw.at(
            here,
            f"{_percent(product.slow_release)} of the nitrogen is said to be slow-release, and"
            " derived_from names nothing that is",
            "Copy the whole of “derived from”, such as: polymer-coated urea, urea.",
        )


def _percent(fraction: float) -> str:
    return f"{100 * fraction:.4g} %"
