"""Trade words that a page may use, each explained in a sentence, and their first use marked.

A term may be written in several ways, which a stroke divides; the first is the one it is listed
under. Translators write their own language's ways in the same form.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from markupsafe import Markup, escape

from advisor.digest.parts import Row
from advisor.language.words import later, tell

TERMS: dict[str, str] = {
    later("active ingredient"): later(
        "The substance in a product that does the work; the label names it with its percentage."
    ),
    later("aeration|aerated"): later("Pulling small plugs out of the turf, so that air and water"
                                     " get to the roots."),
    later("brown patch"): later("A fungus disease of warm, wet nights that leaves brown rings."),
    later("cool-season"): later(
        "Grasses that grow most in spring and autumn, such as tall fescue and bluegrass."
    ),
    later("crabgrass"): later("A summer weed that sprouts anew from seed each spring."),
    later("degree-day"): later(
        "A day counted by how far its mean temperature lies above a base; their sum tells how far"
        " the season has come."
    ),
    later("dollar spot"): later("A fungus disease that leaves pale spots the size of a coin."),
    later("dormancy|dormant"): later(
        "Grass at rest: brown but alive, until warmth or water comes back."
    ),
    later("ET0|evapotranspiration"): later(
        "The water that a well-watered reference grass would use in the day's weather."
    ),
    later("grub"): later("The larva of a beetle; it eats grass roots below the turf."),
    later("growth potential"): later(
        "How near the temperature is to what the grass grows best at: 100 % is the best."
    ),
    later("heat load"): later("Degree-days above the temperature at which the grass suffers."),
    later("overseeding|overseed"): later("Sowing grass seed into turf that is there already."),
    later("phosphorus"): later(
        "A plant nutrient, P on the label; what runs off feeds algae, so laws limit it."
    ),
    later("photorespiration"): later("Grass losing in heat part of what it makes in sunlight."),
    later("weed barrier|pre-emergent|barrier"): later(
        "A pre-emergent product: it keeps weed seeds from coming up, and does nothing to weeds"
        " that stand."
    ),
    later("root zone"): later("The depth of soil that the roots draw water from."),
    later("setback"): later("A strip beside water that is left untreated."),
    later("slow-release"): later("Nitrogen that comes free over weeks rather than at once."),
    later("soil test"): later("A laboratory's answer to what a sample of your soil lacks."),
    later("stress line|stress begins"): later(
        "How much water may be missing before the grass begins to suffer."
    ),
    later("thatch"): later("Dead stems and roots between the green leaves and the soil."),
    later("topsoil"): later("The uppermost inches of soil, which dry first."),
    later("warm-season"): later(
        "Grasses that grow most in summer and turn brown in winter, such as bermudagrass."
    ),
    later("water balance"): later(
        "Water in the root zone from day to day: rain and watering less what the grass uses."
    ),
    later("wetting agent"): later("A product that lets water into soil that sheds it."),
}  # fmt: skip


class Glossary:
    """The trade words of one page. Marks each where it first stands, and knows which stood."""

    def __init__(self) -> None:
        self._meanings = {tell(term).split("|")[0]: tell(TERMS[term]) for term in TERMS}
        listed = {
            way.casefold(): tell(term).split("|")[0] for term in TERMS for way in
            tell(term).split("|")
        }  # fmt: skip
        self._listed = listed
        ways = sorted(listed, key=len, reverse=True)
        self._pattern = re.compile(
            r"(?<![\w-])(" + "|".join(map(re.escape, ways)) + r")(?=s?(?![\w-]))", re.IGNORECASE
        )
        self._numbers = {term: number for number, term in enumerate(self._meanings, start=1)}
        self._used: set[str] = set()

    def mark(self, text: str) -> Markup:
        """The text, escaped, with a link where a trade word stands for the first time."""
        parts, end = [], 0
        for found in self._pattern.finditer(text):
            term = self._listed[found[1].casefold()]
            if term in self._used:
                continue
            self._used.add(term)
            parts += [
                escape(text[end : found.start()]),
                Markup('<a class="term" href="#word-{}">{}</a>').format(
                    self._numbers[term], found[0]
                ),
            ]
            end = found.end()
        return Markup("").join([*parts, escape(text[end:])])

    def used(self) -> tuple[tuple[str, str, str], ...]:
        """The words that were marked so far, by letter: (anchor, word, meaning)."""
        return tuple(
            (f"word-{self._numbers[term]}", term, self._meanings[term])
            for term in sorted(self._used, key=str.casefold)
        )


def explained(texts: Iterable[str]) -> tuple[Row, ...]:
    """The trade words that stand in `texts`, each with its meaning, for a page that has no links
    within itself."""
    glossary = Glossary()
    for text in texts:
        glossary.mark(text)
    return tuple(Row(word, meaning) for _, word, meaning in glossary.used())
