"""What a label says of its nitrogen: the forms of the guaranteed analysis, and what it was made of.

Only a number makes nitrogen slow. A word without one tells how a product works and what salt it
brings; of the share that is slow it tells nothing, and what is not told counts as quick.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated

from pydantic import AfterValidator

from advisor.language.words import later
from advisor.site.fields import one_of


class Slow(StrEnum):
    """How much of the percentage that stands beside a form counts as slow-release."""

    ALL = "all of it"
    PERHAPS = "some of it, and only `slow_release` tells how much"
    NONE = "none of it"


@dataclass(frozen=True)
class Form:
    """One form of nitrogen: as people say it (to be told), and what of it is slow."""

    shown: str
    slow: Slow


FORMS: dict[str, Form] = {
    "urea": Form(later("urea"), Slow.NONE),
    "ammoniacal": Form(later("ammoniacal nitrogen"), Slow.NONE),
    "nitrate": Form(later("nitrate"), Slow.NONE),
    "water-soluble": Form(later("other water-soluble nitrogen"), Slow.NONE),
    "stabilized-urea": Form(later("stabilized urea"), Slow.NONE),
    "slowly-available": Form(later("slowly available nitrogen"), Slow.ALL),
    "controlled-release": Form(later("controlled-release nitrogen"), Slow.ALL),
    "water-insoluble": Form(later("water-insoluble nitrogen"), Slow.ALL),
    "coated-urea": Form(later("coated urea"), Slow.ALL),
    "polymer-coated-urea": Form(later("polymer-coated urea"), Slow.ALL),
    "sulfur-coated-urea": Form(later("sulfur-coated urea"), Slow.ALL),
    "polymer-coated-sulfur-coated-urea": Form(later("polymer-coated sulfur-coated urea"), Slow.ALL),
    "methylene-urea": Form(later("methylene urea"), Slow.PERHAPS),
    "ureaform": Form(later("ureaform"), Slow.PERHAPS),
    "ibdu": Form(later("isobutylidene diurea (IBDU)"), Slow.PERHAPS),
    "biosolids": Form(later("biosolids"), Slow.PERHAPS),
    "natural-organic": Form(later("natural organics"), Slow.PERHAPS),
}
"""Each form that the shelf may state a percentage of.

Of a coated urea a guaranteed analysis states what the coating holds back. A reacted or an organic
material has quick nitrogen in it too: what of it is slow stands on the label as water-insoluble or
slowly available nitrogen, and is written as that. An inhibitor in stabilized urea delays what soil
life does with it; the urea itself is dissolved at once, so it counts as quick.
"""

NitrogenForm = Annotated[str, AfterValidator(one_of(tuple(FORMS), "form of nitrogen"))]

_PRINTED: dict[str, tuple[str, ...]] = {
    "urea": ("urea", "prilled urea", "uncoated urea"),
    "stabilized-urea": (
        "stabilized urea", "urea with urease inhibitor", "urea with nitrification inhibitor",
    ),
    "coated-urea": ("coated urea", "coated slow release urea"),
    "polymer-coated-urea": (
        "polymer coated urea", "plastic coated urea", "resin coated urea", "pcu",
    ),
    "sulfur-coated-urea": ("sulfur coated urea", "scu"),
    "polymer-coated-sulfur-coated-urea": (
        "polymer coated sulfur coated urea", "polymer sulfur coated urea",
        "polymer coated sulfur urea", "plastic coated sulfur coated urea", "pcscu", "pscu",
    ),
    "methylene-urea": (
        "methylene urea", "methylene ureas", "methyleneurea", "methylenediurea",
        "methylene diurea", "dimethylenetriurea", "dimethylene triurea", "triazone",
        "urea triazone",
    ),
    "ureaform": ("ureaform", "ureaformaldehyde", "urea formaldehyde", "urea form"),
    "ibdu": ("ibdu", "isobutylidene diurea", "isobutylidenediurea"),
    "biosolids": (
        "biosolids", "sewage sludge", "activated sewage sludge", "digested sewage sludge",
        "heat dried biosolids",
    ),
    "natural-organic": (
        "natural organics", "feather meal", "hydrolyzed feather meal", "bone meal", "blood meal",
        "meat meal", "meat and bone meal", "fish meal", "soybean meal", "soy meal", "alfalfa meal",
        "cottonseed meal", "corn gluten meal", "poultry manure", "poultry litter",
        "chicken manure", "composted manure", "dried manure", "seaweed", "kelp",
    ),
    "ammonium-nitrate": ("ammonium nitrate",),
    "ammonium-sulfate": ("ammonium sulfate", "sulfate of ammonia"),
    "ammonium-phosphate": (
        "ammonium phosphate", "ammonium phosphates", "monoammonium phosphate", "map",
        "diammonium phosphate", "dap", "ammonium polyphosphate",
    ),
    "calcium-nitrate": ("calcium nitrate", "nitrate of lime"),
    "potassium-nitrate": ("potassium nitrate", "nitrate of potash"),
    "sodium-nitrate": ("sodium nitrate", "nitrate of soda"),
    "superphosphate": ("superphosphate", "triple superphosphate", "rock phosphate"),
    "potassium-chloride": ("potassium chloride", "muriate of potash", "potash"),
    "potassium-sulfate": (
        "potassium sulfate", "sulfate of potash", "sulfate of potash magnesia",
        "potassium magnesium sulfate",
    ),
    "iron": (
        "iron", "iron sulfate", "ferrous sulfate", "ferric sulfate", "iron oxide", "ferric oxide",
        "ferrous oxide", "iron sucrate", "iron humate", "iron edta", "iron dtpa", "iron eddha",
        "iron chelate", "chelated iron", "iron oxysulfate", "iron sulfide", "ferrous carbonate",
    ),
    "other": (
        "magnesium sulfate", "magnesium oxide", "manganese sulfate", "manganese oxide",
        "zinc sulfate", "zinc oxide", "copper sulfate", "copper oxide", "sodium borate", "borax",
        "boric acid", "gypsum", "calcium sulfate", "limestone", "dolomite", "calcium carbonate",
        "elemental sulfur", "sulfur", "humic acid", "humates", "sodium molybdate",
    ),
}  # fmt: skip
"""The materials that a label's words “derived from” name, each with what is printed for it."""

MATERIALS = tuple(_PRINTED)

_MATERIAL_OF = {word: name for name, words in _PRINTED.items() for word in words}

KNOWN_WORDS = tuple(_MATERIAL_OF)
"""Every word of “derived from” that is known, in small letters and without hyphens."""

PART_ROUNDING = 0.0005
"""A label prints the parts of its nitrogen to a tenth of a percent at the coarsest: half of that,
as a fraction of the product, is what each part may be off."""

SHARE_ROUNDING = 0.005
"""A share of slow-release nitrogen is written in whole percent: half of one."""


def printed_words(text: str) -> tuple[str, ...]:
    """What stands between the commas of “derived from”, each in small letters and one spelling."""
    plain = re.sub(r"\s+", " ", re.sub(r"[-\u2010-\u2014*†‡.()]", " ", text.casefold()))
    plain = plain.replace("sulph", "sulf").replace("derived from", " ").replace(":", " ")
    parts = []
    for part in re.split(r"[,;]", plain):
        word = re.sub(r"^(and|with) ", "", part.strip())
        # “Meat and bone meal” is one word of the trade; any other “and” parts two.
        parts += [word] if word in _MATERIAL_OF else word.split(" and ")
    return tuple(word.strip() for word in parts if word.strip())


def material(word: str) -> str | None:
    """The material of a word as `printed_words` gives it; None where it is not known."""
    return _MATERIAL_OF.get(word)


def is_slow_material(name: str) -> bool:
    """Whether some of the nitrogen of a material is slow."""
    return name in FORMS and FORMS[name].slow is not Slow.NONE


def slow_bounds(total: float, parts: Mapping[str, float]) -> tuple[float, float]:
    """Least and greatest share of the nitrogen that its parts leave to be slow, 0 to 1.

    `total` is the analysis' nitrogen and `parts` the forms, all as fractions of the product.
    """
    whole = max(total, sum(parts.values()))
    if whole <= 0:
        return 0.0, 0.0
    sure = sum(share for form, share in parts.items() if FORMS[form].slow is Slow.ALL)
    perhaps = sum(share for form, share in parts.items() if FORMS[form].slow is Slow.PERHAPS)
    return min(1.0, sure / whole), min(1.0, (sure + perhaps) / whole)


def slow_share(total: float, parts: Mapping[str, float], stated: float | None) -> float:
    """The share of the nitrogen that counts as slow-release, 0 to 1.

    Of what is stated and what the parts come to, the lesser. With neither it is 0.
    """
    if not parts:
        return stated or 0.0
    sure, most = slow_bounds(total, parts)
    return sure if stated is None else min(stated, most)
