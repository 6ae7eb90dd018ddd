"""The lawns of a site under its law: the strictest of what the owner and the law state."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from advisor.site.law import Ordinance
from advisor.site.lawns import Lawn
from advisor.site.place import Site


def laws_on(laws: Sequence[Ordinance], lawn: Lawn) -> tuple[Ordinance, ...]:
    """The laws that cover a lawn."""
    return tuple(law for law in laws if law.covers(lawn.name))


def distance_law(laws: Sequence[Ordinance], lawn: Lawn) -> Ordinance | None:
    """The law that keeps a lawn's treatments farthest from water; None where none does."""
    asking = [law for law in laws_on(laws, lawn) if law.distance_m(lawn.deflector) > 0]
    return max(asking, key=lambda law: law.distance_m(lawn.deflector), default=None)


def strip_m2(laws: Sequence[Ordinance], lawn: Lawn) -> float:
    """The area that the law leaves free along a lawn's water: length of shore times distance [m2].

    That is the least: around a pond inside a lawn the strip is wider on its outside, and an owner
    who measured more states that as the setback.
    """
    law = distance_law(laws, lawn)
    return 0.0 if law is None else (lawn.shore_m or 0.0) * law.distance_m(lawn.deflector)


def under_law(site: Site) -> Site:
    """The site with each lawn's setback and limits for nitrogen as the strictest has them: the
    greater area is left out, and the lesser amount may go down."""
    if not site.ordinances:
        return site
    lawns = tuple(_lawn(site.ordinances, lawn) for lawn in site.lawns)
    return site.model_copy(update={"lawns": lawns})


def _lawn(laws: Sequence[Ordinance], lawn: Lawn) -> Lawn:
    strict: dict[str, Any] = {"setback_m2": max(lawn.setback_m2, strip_m2(laws, lawn))}
    for law in laws_on(laws, lawn):
        # A law that does not speak of nitrogen limits none, whatever else it names.
        if "nitrogen" not in law.nutrients:
            continue
        for name in ("nitrogen_once_g_m2", "soluble_once_g_m2", "nitrogen_year_g_m2"):
            limit = getattr(law, name)
            own = lawn.nitrogen_limit_g_m2 if "year" in name else getattr(lawn, name)
            if limit is not None and limit < strict.get(name, own):
                strict[name] = limit
    return lawn.model_copy(update=strict)
