"""The words that an answer by mail may use, English and German, in small letters."""

from __future__ import annotations

from advisor.series.quantity import UNITS
from advisor.site.words import SIGHTINGS

_SAYS: dict[str, tuple[str, ...]] = {
    "done": (
        "done", "finished", "did", "completed", "applied", "put down", "erledigt", "gemacht",
        "fertig", "ausgebracht", "getan",
    ),
    "skipped": (
        "skipped", "skip", "skipping", "left out", "won't do", "will not do", "ausgelassen",
        "übersprungen", "entfällt", "lasse ich aus",
    ),
    "not yet": (
        "not yet", "not done yet", "noch nicht", "noch nicht erledigt", "noch nicht gemacht",
    ),
    "undo": ("undo", "rückgängig", "rückgängig machen", "zurücknehmen", "storno"),
    "rain": ("rain", "rain gauge", "gauge", "rainfall", "regen", "regenmesser", "niederschlag"),
    "soil": (
        "soil", "soil thermometer", "thermometer", "soil temperature", "boden", "bodenthermometer",
        "bodentemperatur",
    ),
    "watered": ("watered", "irrigated", "gewässert", "bewässert", "gegossen", "beregnet"),
    "seen": ("seen", "saw", "gesehen", "beobachtet"),
}  # fmt: skip

_SEEN_IN_GERMAN = {
    "welk": "wilting", "welkend": "wilting", "strohig": "dormant", "grün": "green",
    "blass": "pale", "reif": "frost", "staunässe": "standing-water", "fingerhirse": "crabgrass",
    "unkraut": "broad-leaved-weeds", "lückig": "thin", "kahle stellen": "thin",
    "trockene stellen": "dry-spots", "engerlinge": "grubs", "filz": "thatch", "laub": "leaves",
}  # fmt: skip

_SEEN = {
    **{name.replace("-", " "): name for name in SIGHTINGS},
    **{name: name for name in SIGHTINGS},
    **dict.fromkeys(("broad-leaved weeds", "broadleaf weeds", "weeds"), "broad-leaved-weeds"),
    **_SEEN_IN_GERMAN,
}

SAYS: dict[str, tuple[str, str]] = {
    **{phrase: ("seen", name) for phrase, name in _SEEN.items()},
    **dict.fromkeys(("both", "all", "everything", "beide", "alle", "alles"), ("every", "")),
    **{phrase: ("says", name) for name, phrases in _SAYS.items() for phrase in phrases},
}
"""What a phrase says, sees, or that it means all."""

DAYS_BACK: dict[str, int] = {
    "today": 0, "just now": 0, "this morning": 0, "heute": 0, "heute morgen": 0, "gerade eben": 0,
    "yesterday": 1, "last night": 1, "gestern": 1, "the day before yesterday": 2,
    "day before yesterday": 2, "vorgestern": 2, "tomorrow": -1, "morgen": -1,
}  # fmt: skip
"""Days before the one on which it was written; a day to come is refused where it is weighed."""

WEEKDAYS: dict[str, int] = {
    "monday": 0, "tuesday": 1, "wednesday": 2, "thursday": 3, "friday": 4, "saturday": 5,
    "sunday": 6, "mon": 0, "tue": 1, "tues": 1, "wed": 2, "thu": 3, "thur": 3, "thurs": 3, "fri": 4,
    "sat": 5, "montag": 0, "dienstag": 1, "mittwoch": 2, "donnerstag": 3, "freitag": 4,
    "samstag": 5, "sonnabend": 5, "sonntag": 6,
}  # fmt: skip
"""`sun` is left out: it may shine."""

MONTHS: dict[str, int] = {
    "january": 1, "february": 2, "march": 3, "april": 4, "may": 5, "june": 6, "july": 7,
    "august": 8, "september": 9, "october": 10, "november": 11, "december": 12, "jan": 1, "feb": 2,
    "mar": 3, "apr": 4, "jun": 6, "jul": 7, "aug": 8, "sep": 9, "sept": 9, "oct": 10, "nov": 11,
    "dec": 12, "januar": 1, "jänner": 1, "februar": 2, "märz": 3, "mai": 5, "juni": 6, "juli": 7,
    "oktober": 10, "dezember": 12, "okt": 10, "dez": 12,
}  # fmt: skip

_ALIASES = {
    "°c": "C", "°f": "F", "degrees c": "C", "degrees f": "F", "deg c": "C", "deg f": "F",
    "grad c": "C", "grad celsius": "C", "celsius": "C", "fahrenheit": "F", "grad fahrenheit": "F",
    "degrees fahrenheit": "F", "degrees celsius": "C", "grad": "C",
    "pound": "lb", "pounds": "lb", "lbs": "lb", "ounce": "oz", "ounces": "oz",
    "fluid ounces": "fl oz", "floz": "fl oz", "gallon": "gal", "gallons": "gal", "kilo": "kg",
    "kilos": "kg", "kilogram": "kg", "kilograms": "kg", "kilogramm": "kg", "gram": "g",
    "grams": "g", "gramm": "g", "liter": "L", "liters": "L", "litre": "L", "litres": "L",
    "milliliter": "mL", "inch": "in", "inches": "in", "zoll": "in", '"': "in", "″": "in",
    "millimeter": "mm", "millimetre": "mm", "millimeters": "mm", "centimeter": "cm",
    "centimeters": "cm", "zentimeter": "cm",
}  # fmt: skip

_FITTING = {word: unit for word, unit in _ALIASES.items() if unit in UNITS}
_WORDS = {unit.casefold(): unit for unit in reversed(UNITS)} | _FITTING
UNITS_BY_WORD: dict[str, str] = dict(sorted(_WORDS.items(), key=lambda pair: -len(pair[0])))
"""A unit by each of its words in small letters, the longest first."""

NOISE = frozenset((
    "thanks", "thank you", "thank", "you", "many thanks", "thx", "cheers", "please", "hi", "hello",
    "hey", "dear", "ok", "okay", "yes", "yep", "it", "it's", "its", "it is", "is", "i", "i've",
    "we", "we've", "have", "has", "been", "was", "got", "the", "a", "an", "on", "at", "of", "for",
    "that", "that's", "this", "lawn", "lawns", "good morning", "good evening", "swardcast", "deep",
    "now", "just", "there", "my", "our", "with",
    "best", "regards", "best regards", "kind regards", "best wishes", "sincerely", "all the best",
    "danke", "vielen dank", "danke schön", "dankeschön", "bitte", "hallo", "moin", "guten morgen",
    "guten tag", "guten abend", "ja", "ich", "wir", "habe", "haben", "hab", "es", "ist", "wurde",
    "wurden", "am", "um", "von", "auf", "der", "die", "das", "den", "dem", "des", "im", "in", "bei",
    "rasen", "tief", "tiefe", "schon", "gruss", "grüsse", "viele grüsse", "liebe grüsse",
    "beste grüsse", "mit freundlichen grüssen", "freundliche grüsse", "lg", "vg", "mfg",
))  # fmt: skip
"""Words that change nothing of what is said beside them."""

FAREWELLS = frozenset((
    "thanks", "thank you", "many thanks", "cheers", "best", "regards", "best regards",
    "kind regards", "best wishes", "sincerely", "all the best", "danke", "vielen dank", "gruss",
    "grüsse", "viele grüsse", "liebe grüsse", "beste grüsse", "mit freundlichen grüssen",
    "freundliche grüsse", "lg", "vg", "mfg",
))  # fmt: skip
"""Lines after which a name may follow."""
