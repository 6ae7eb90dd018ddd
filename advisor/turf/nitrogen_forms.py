"""How each form of nitrogen is released: by what, in which soil, over how long.

The words are those of `site.nitrogen`. A number from memory ranks one product behind another, or
warns; it opens nothing.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from advisor.language.words import later
from advisor.site.nitrogen import FORMS, Slow
from advisor.turf.grasses import Range, Sourced

_MEMORY = "from memory"
_SLOW_WEEKS: Sourced[Range | None] = Sourced(
    (8, 12), "extension, of slow-release nitrogen in general: 8 to 12 weeks"
)
_EVEN_IN_COLD: Sourced[float | None] = Sourced(None, "judgement: it is dissolved already")


@dataclass(frozen=True)
class Release:
    """One form of nitrogen in the soil.

    `works_from_c` is the soil temperature [C] under which it hardly releases; None: cool soil is
    no hindrance. `weeks` is how long it feeds. `needs` is what releases it, as a phrase that
    is yet to be told.
    """

    needs: Sourced[str]
    works_from_c: Sourced[float | None]
    weeks: Sourced[Range | None]


_QUICK = Release(
    needs=Sourced(later("at once, as soon as it is dissolved"), _MEMORY),
    works_from_c=_EVEN_IN_COLD,
    weeks=Sourced((2, 6), _MEMORY),
)
_BY_MICROBES = Sourced(
    later("by soil life, which wants it warm, moist and aired"),
    "extension, of methylene urea and ureaform",
)
_WARM_SOIL: Sourced[float | None] = Sourced(
    12.8, f"very slow in cold, extension; that it begins at about 55 F soil is {_MEMORY}"
)
_POLYMER = Release(
    needs=Sourced(
        later("through its coating, faster in warm soil"), f"doubling every 10 C, {_MEMORY}"
    ),
    works_from_c=Sourced(5.0, f"judgement, after a release that halves every 10 C, {_MEMORY}"),
    weeks=Sourced((6, 26), _MEMORY),
)

RELEASES: dict[str, Release] = {
    "urea": _QUICK,
    "ammoniacal": _QUICK,
    "nitrate": _QUICK,
    "water-soluble": _QUICK,
    "stabilized-urea": Release(
        needs=Sourced(
            later("at once; an inhibitor slows what soil life does with it"),
            "judgement: an inhibitor is no slow release",
        ),
        works_from_c=_EVEN_IN_COLD,
        weeks=Sourced((2, 8), _MEMORY),
    ),
    "sulfur-coated-urea": Release(
        needs=Sourced(
            later("by water through pores and cracks of the coating"),
            "extension, of sulfur-coated urea",
        ),
        works_from_c=Sourced(None, "extension: water, and temperature only somewhat"),
        weeks=_SLOW_WEEKS,
    ),
    "polymer-coated-urea": _POLYMER,
    "polymer-coated-sulfur-coated-urea": Release(
        needs=Sourced(later("by water through two coatings, faster in warm soil"), _MEMORY),
        works_from_c=_POLYMER.works_from_c,
        weeks=_SLOW_WEEKS,
    ),
    "coated-urea": Release(
        needs=Sourced(
            later("through its coating, by water and warmth"), "as its kinds, coating not told"
        ),
        works_from_c=_POLYMER.works_from_c,
        weeks=_SLOW_WEEKS,
    ),
    "methylene-urea": Release(needs=_BY_MICROBES, works_from_c=_WARM_SOIL, weeks=_SLOW_WEEKS),
    "ureaform": Release(needs=_BY_MICROBES, works_from_c=_WARM_SOIL, weeks=_SLOW_WEEKS),
    "ibdu": Release(
        needs=Sourced(
            later("by water alone, in cool soil too; dry soil stops it"),
            "extension: hydrolysis, no microbes; works in cool soil",
        ),
        works_from_c=Sourced(None, "extension: works in cool soil"),
        weeks=_SLOW_WEEKS,
    ),
    "biosolids": Release(
        needs=Sourced(later("by soil life, in warm and moist soil"), _MEMORY),
        works_from_c=Sourced(12.8, f"useful only above 55 to 60 F soil, {_MEMORY}"),
        weeks=_SLOW_WEEKS,
    ),
    "natural-organic": Release(
        needs=Sourced(later("by soil life, in warm and moist soil"), _MEMORY),
        works_from_c=Sourced(12.8, f"useful only above 55 to 60 F soil, {_MEMORY}"),
        weeks=_SLOW_WEEKS,
    ),
}
"""Every form of `site.nitrogen.FORMS` that says what it is; the words for slow nitrogen in general
(“slowly available”) do not, and then what the product was made of may."""


def slow_forms(parts: Iterable[str], materials: Iterable[str]) -> tuple[str, ...]:
    """The forms of a product's slow nitrogen, as far as its label names them: those of the
    guaranteed analysis, and of “derived from” where the analysis has only a general word."""
    listed = [form for form in parts if FORMS[form].slow is not Slow.NONE]
    named = [form for form in listed if form in RELEASES]
    if listed and len(named) == len(listed):
        return tuple(named)
    made_of = [name for name in materials if name in FORMS and FORMS[name].slow is not Slow.NONE]
    return tuple(dict.fromkeys((*named, *sorted(made_of))))


def works_at(form: str, soil_c: tuple[float, float]) -> bool | None:
    """Whether a form releases in soil whose temperature [C] lies between two bounds; None where
    the bounds do not settle it.

    Raises
    ------
    KeyError
        The form says nothing of how it is released (see `RELEASES`).
    """
    least = RELEASES[form].works_from_c.value
    if least is None or soil_c[0] >= least:
        return True
    return False if soil_c[1] < least else None
