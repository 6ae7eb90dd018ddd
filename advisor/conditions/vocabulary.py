"""The words that rules may use: each fact with its kind, range, depths and meaning.

This table is the contract between the facts (made in this package) and the rulebook (which
refuses any other word, and any comparison that a fact's range can never satisfy).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from advisor.series.quantity import Kind
from advisor.site.words import DEEDS, SIGHTINGS, TASKS, TESTS


class Changes(StrEnum):
    """What in a plan changes a fact: such a fact has no forecast, since the plan makes it."""

    WATER = "watering"
    FEED = "what is put down"


@dataclass(frozen=True)
class FactWord:
    """A fact that rules may name.

    `low` and `high` bound its values, in the unit of its kind inside. `depths` are the least and
    greatest depth in metres at which it may be asked. `words` are the values of a fact that is
    not a number. `additive`: whether its total over days means something. `hourly` is what it
    means in a rule that is asked hour by hour; without it such a rule reads the day's value.
    `daily`: whether a rule for days may read it.
    """

    name: str
    kind: Kind | None
    low: float
    high: float
    meaning: str
    depths: tuple[float, float] | None = None
    words: tuple[str, ...] = ()
    additive: bool = False
    changed_by: Changes | None = None
    hourly: str = ""
    daily: bool = True


STATES = (
    "active",
    "greening-up",
    "heat-stressed",
    "drought-stressed",
    "summer-dormant",
    "winter-dormant",
    "newly-seeded",
)
"""What a grass can be doing, in the order of `FactWord.words` of the fact `grass`."""

STAGES = ("not-yet", "may-begin", "major", "over")
"""How far a weed or an insect has come, in the order of `turf.stages.Stage`."""

PRESSURE = ("low", "moderate", "high")
"""How far the weather favours a disease, in the order of the codes of `turf.disease`."""

SEEDING = ("shut", "open")
"""What a window for seed may be."""

IRRIGATION = ("sprinklers", "none")
"""How a lawn can be watered."""

LAW = ("open", "closed")
"""What the law leaves of a season."""


def _of_an_hour(name: str, words: tuple[str, ...], meaning: str) -> FactWord:
    return FactWord(name, None, 0, 0, meaning, words=words, hourly=meaning, daily=False)


_FACTS = (
    FactWord("air_temp", Kind.TEMPERATURE, -60, 60, "mean air temperature of the day, 2 m",
             hourly="air temperature at 2 m"),
    FactWord("air_max", Kind.TEMPERATURE, -60, 60, "highest air temperature of the day"),
    FactWord("air_min", Kind.TEMPERATURE, -60, 60, "lowest air temperature of the day"),
    FactWord("soil_temp", Kind.TEMPERATURE, -40, 60, "mean soil temperature of the day",
             depths=(0.02, 0.30)),
    FactWord("rain", Kind.WATER, 0, 600, "rain and melted snow of the day; measured by the owner's"
             " gauge where there is a line", additive=True,
             hourly="rain and melted snow of the hour"),
    FactWord("rain_chance", Kind.FRACTION, 0, 1, "highest hourly chance of rain in the day",
             hourly="chance of rain in the hour"),
    FactWord("rain_peak", Kind.WATER, 0, 200, "rain of the wettest hour of the day"),
    FactWord("wind", Kind.SPEED, 0, 80, "mean wind of the day at 10 m",
             hourly="wind at 10 m"),
    FactWord("gust", Kind.SPEED, 0, 120, "highest gust of the day",
             hourly="highest gust of the hour"),
    FactWord("humidity", Kind.FRACTION, 0, 1, "mean relative humidity of the day",
             hourly="relative humidity at 2 m"),
    FactWord("snow_depth", Kind.LENGTH, 0, 10, "greatest depth of snow in the day"),
    FactWord("heat_index", Kind.TEMPERATURE, -60, 90, "highest heat index of the day, for whoever"
             " does the work", hourly="heat index, for whoever does the work"),
    FactWord("heat_load", Kind.DEGREE_DAYS, 0, 40, "degrees above 85 F summed over the day's"
             " hours", additive=True),
    FactWord("spring_heat", Kind.DEGREE_DAYS, 0, 8000, "degree-days above 50 F since 1 January"
             " (1 July south of the equator), by (max + min) / 2"),
    FactWord("autumn_frost", Kind.FRACTION, 0, 1, "chance that the first frost of autumn has come"
             " by the day, from past years; unknown in the spring half"),
    FactWord("spring_frost", Kind.FRACTION, 0, 1, "chance that frost comes on the day or later in"
             " spring, from past years; unknown in the autumn half"),
    FactWord("days_to_frost", Kind.DURATION, 0, 400, "days until the first frost of autumn: soonest"
             " in one year of ten, latest in nine"),
    FactWord("leaf_wetness", Kind.DURATION, 0, 25 / 24, "hours of wet leaves, by humidity from 90 %"
             " or by rain, from noon of the day before to noon"),
    FactWord("dollar_spot", Kind.FRACTION, 0, 1, "probability of dollar spot by the weather of five"
             " days: pressure, not a diagnosis"),
    FactWord("brown_patch", None, 0, 0, "pressure of brown patch by the day's weather: no"
             " diagnosis", words=PRESSURE),
    FactWord("pythium", None, 0, 0, "pressure of Pythium blight by the night's weather: no"
             " diagnosis", words=PRESSURE),
    FactWord("crabgrass_by_soil", None, 0, 0, "how far crabgrass has come up, by degree-days of"
             " the soil at 1 in", words=STAGES),
    FactWord("crabgrass_by_air", None, 0, 0, "the same by degree-days of the air", words=STAGES),
    FactWord("goosegrass_by_soil", None, 0, 0, "how far goosegrass has come up, by the soil at"
             " 4 in", words=STAGES),
    FactWord("goosegrass_by_air", None, 0, 0, "the same by days after crabgrass", words=STAGES),
    FactWord("annual_bluegrass_by_soil", None, 0, 0, "how far annual bluegrass has come up, by soil"
             " that cools below 70 F", words=STAGES),
    FactWord("annual_bluegrass_by_date", None, 0, 0, "the same by the date", words=STAGES),
    FactWord("ataenius", None, 0, 0, "eggs of the black turfgrass ataenius, by degree-days: timing,"
             " no diagnosis", words=STAGES),
    FactWord("billbug", None, 0, 0, "bluegrass billbugs, by degree-days: timing, no diagnosis",
             words=STAGES),
    FactWord("japanese_beetle", None, 0, 0, "Japanese beetles, by degree-days: timing, no"
             " diagnosis", words=STAGES),
    FactWord("cool_seeding", None, 0, 0, "whether cool-season seed may go down in late summer: soil"
             " at 4 in of 70 F and below, 45 days and more before half the years have frost",
             words=SEEDING),
    FactWord("warm_seeding", None, 0, 0, "whether warm-season seed may go down: never told open,"
             " since its numbers are from memory", words=SEEDING),
    FactWord("winter_overseeding", None, 0, 0, "whether cool-season seed may go into warm-season"
             " turf for the winter: soil at 4 in of 74 F and below, three weeks before frost",
             words=SEEDING),
    FactWord("growth", Kind.FRACTION, 0, 1, "growth potential of this grass at the mean"
             " air temperature of the last seven days"),
    FactWord("daylight_hours", Kind.DURATION, 0, 1, "from sunrise to sunset"),
    FactWord("daylight", None, 0, 0, "whether days are growing longer",
             words=("lengthening", "shortening")),
    FactWord("et0", Kind.WATER, 0, 25, "reference evapotranspiration of the day", additive=True),
    FactWord("water_use", Kind.WATER, 0, 25, "water that this lawn uses in the day when it lacks"
             " none", additive=True),
    FactWord("depletion", Kind.WATER, 0, 400, "water missing from the root zone in the morning",
             changed_by=Changes.WATER),
    FactWord("stress_line", Kind.WATER, 0, 400, "depletion at which the grass begins to lack"
             " water"),
    FactWord("water_left", Kind.FRACTION, 0, 1, "share of the root zone's available water that is"
             " left in the morning", changed_by=Changes.WATER),
    FactWord("soil", None, 0, 0, "state of the topsoil",
             words=("frozen", "saturated", "moist", "dry"), changed_by=Changes.WATER),
    FactWord("grass", None, 0, 0, "what the grass is doing", words=STATES,
             changed_by=Changes.WATER),
    FactWord("days_to_stress", Kind.DURATION, 0, 800, "days until the grass begins to lack water,"
             " with the expected rain and what is planned", changed_by=Changes.WATER),
    FactWord("grass_height", Kind.LENGTH, 0, 0.5, "height of the grass: no less than at the last"
             " mowing, no more than the fastest growth since"),
    FactWord("nitrogen_pace", Kind.MASS_PER_AREA, 0, 100, "nitrogen that usual growth has used of"
             " the year's limit by the day"),
    FactWord("nitrogen_year", Kind.MASS_PER_AREA, 0, 100, "nitrogen put down since 1 January,"
             " what was perhaps done included", changed_by=Changes.FEED),
    FactWord("nitrogen_left", Kind.MASS_PER_AREA, 0, 100, "what the year's limit leaves of"
             " nitrogen", changed_by=Changes.FEED),
    FactWord("mowing_height", Kind.LENGTH, 0, 0.3, "height at which this lawn is mown: the owner's"
             " own, else the top of its grass's range"),
    FactWord("irrigation", None, 0, 0, "how this lawn can be watered", words=IRRIGATION),
    FactWord("watering_day", None, 0, 0, "whether sprinklers may run on this day, by the site's"
             " file", words=("permitted", "barred")),
    FactWord("nitrogen_law", None, 0, 0, "whether the site's closed seasons leave this lawn open to"
             " nitrogen on this day", words=LAW),
    FactWord("phosphorus_law", None, 0, 0, "whether the site's closed seasons leave this lawn open"
             " to phosphorus on this day", words=LAW),
    FactWord("phosphorus_test", None, 0, 0, "what the soil test of this lawn in the journal says of"
             " phosphorus; known for three years from its day", words=TESTS["phosphorus"]),
    FactWord("lime_test", None, 0, 0, "what the soil test of this lawn in the journal says of"
             " lime; known for three years from its day", words=TESTS["lime"]),
    _of_an_hour("leaf", ("wet", "dry"), "whether leaves are wet, by rain in the hour or by humidity"
                " from 90 % at its ends"),
    _of_an_hour("sun", ("up", "down"), "whether the sun is above the horizon for the whole hour"),
    _of_an_hour("inversion", ("likely", "unlikely"), "whether cool air may lie still under warm:"
                " wind below 3 mph, from 2 hours before sunset to 1 hour after sunrise; the sky"
                " counts as clear"),
)  # fmt: skip

FACTS: dict[str, FactWord] = {word.name: word for word in _FACTS}

SINCE: dict[str, str] = {**TASKS, **DEEDS, **SIGHTINGS}
"""What a rule may ask the days since of: tasks, other deeds, and what the owner saw."""
