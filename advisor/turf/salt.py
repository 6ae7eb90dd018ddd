"""How salty a fertilizer is: the salt index of what it is made of.

The index (Rader, White and Whittaker 1943) is the osmotic pressure of a material's solution beside
that of the same weight of sodium nitrate, which is 100. Every value here is recalled from that
table and from later handbooks that repeat it, so it may warn and hold, and never open. Where a
label does not tell which material brings a nutrient, the saltiest of the usual ones is taken.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

SOURCE = "salt index after Rader 1943, from memory"


@dataclass(frozen=True)
class Salt:
    """A material: its index (sodium nitrate 100), and its nutrients as fractions by mass."""

    index: float
    nitrogen: float = 0.0
    phosphate: float = 0.0
    potash: float = 0.0

    def per(self, nutrient: str) -> float:
        """Mass of sodium nitrate that salts as much as one unit of a nutrient from it does."""
        share: float = getattr(self, nutrient)
        return self.index / 100 / share


SALTS: dict[str, Salt] = {
    "urea": Salt(75.4, nitrogen=0.466),
    "ammonium-nitrate": Salt(104.7, nitrogen=0.35),
    "ammonium-sulfate": Salt(69.0, nitrogen=0.212),
    "ammonium-phosphate": Salt(34.2, nitrogen=0.212, phosphate=0.538),
    "calcium-nitrate": Salt(52.5, nitrogen=0.119),
    "potassium-nitrate": Salt(73.6, nitrogen=0.138, potash=0.466),
    "sodium-nitrate": Salt(100.0, nitrogen=0.165),
    "natural-organic": Salt(3.5, nitrogen=0.05),
    "superphosphate": Salt(7.8, phosphate=0.20),
    "potassium-chloride": Salt(116.3, potash=0.60),
    "potassium-sulfate": Salt(46.1, potash=0.54),
}
"""By the words of `site.nitrogen.MATERIALS`."""

_USUAL = {
    "urea": ("urea",),
    "stabilized-urea": ("urea",),
    "ammoniacal": ("ammonium-sulfate", "ammonium-nitrate", "ammonium-phosphate"),
    "nitrate": ("calcium-nitrate", "ammonium-nitrate", "potassium-nitrate"),
    "phosphate": ("superphosphate", "ammonium-phosphate"),
    "potash": ("potassium-chloride", "potassium-sulfate"),
}
_QUICK = ("urea", "ammonium-sulfate", "ammonium-nitrate")
_AS = {"biosolids": "natural-organic", "stabilized-urea": "urea"}


def salt(
    quick: Mapping[str, float], phosphate: float, potash: float, materials: Collection[str]
) -> float:
    """Sodium nitrate that would salt as much as an amount of fertilizer does at once.

    Parameters
    ----------
    quick : mapping
        Quick nitrogen by its form (`site.nitrogen.FORMS`; any other word: not told), as a mass in
        any unit. Slow nitrogen salts little at once, and is left out.
    phosphate, potash : float
        P2O5 and K2O, in the same unit.
    materials : collection
        What it is known to be made of, in the words of `site.nitrogen.MATERIALS`.

    Returns
    -------
    float
        Sodium nitrate, in the same unit.
    """
    made = {_AS.get(name, name) for name in materials}
    total = sum(
        amount * _saltiest("nitrogen", _USUAL.get(form, _QUICK), made)
        for form, amount in quick.items()
        if amount > 0
    )
    if phosphate > 0:
        total += phosphate * _saltiest("phosphate", _USUAL["phosphate"], made)
    if potash > 0:
        total += potash * _saltiest("potash", _USUAL["potash"], made)
    return total


def _saltiest(nutrient: str, usual: Collection[str], made: Collection[str]) -> float:
    named = [name for name in made if name in SALTS and getattr(SALTS[name], nutrient) > 0]
    # Of an unspecified form, any named material may be the one; a named form narrows it.
    fitting = [name for name in named if name in usual or usual is _QUICK] or list(usual)
    return max(SALTS[name].per(nutrient) for name in fitting)
