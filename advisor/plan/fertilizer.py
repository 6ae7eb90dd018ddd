"""Which fertilizer to look for in a shop, and how much: by the lawn's limits, soil and season."""

from __future__ import annotations

import math
from datetime import date, timedelta

from advisor.language.words import tell
from advisor.plan.dose import LEAST_SHARE
from advisor.plan.release import DEPTH_M
from advisor.plan.view import View
from advisor.series.quantity import Kind, show
from advisor.site.under_law import laws_on
from advisor.site.words import COOL, TESTS

USUAL_NITROGEN = 0.24
"""Nitrogen of the example that an amount is told for: inside the 20 to 30 % of the class."""

SLOW_AT_LEAST = 0.5
"""Slow-release share that a fertilizer is looked for with: what local law in Florida commonly asks
for, and enough that a whole dose stays under the limits for quick nitrogen (Maryland, New Jersey).
"""

WARM_SOIL = 12.8
"""Soil under which soil life releases little nitrogen [C]: 55 F, from memory."""

LAST_FEEDING = (10, 15)
"""Month and day from which a cool-season feeding is the last one of autumn [judgement: Purdue feeds
in September and, with soluble nitrogen, in November near the last mowing]."""


def fertilizer(view: View, day: int, by: date, grass: str) -> tuple[str, str, str] | None:
    """The class of fertilizer for a lawn, how much of it, and the source; None where the year
    leaves no dose. `day` is the index whose soil stands for the day `by`, when it is wanted;
    `grass` is how its grass is called."""
    lawn, units = view.lawn, view.setting.site.units
    told, used = view.sums.total(lawn.name, "nitrogen", by.year)
    unknown = math.isinf(used)
    # Where more may have been used than is told, what is told is used at least.
    left = lawn.nitrogen_limit_g_m2 - (told if unknown else used)
    dose = min(lawn.nitrogen_once_g_m2, left)
    least = LEAST_SHARE * lawn.nitrogen_once_g_m2
    if dose <= 0 or not dose >= least:
        return None
    by_law = _slow_by_law(view)
    late = _last_of_autumn(view, day, by)
    if late and by_law == 0 and lawn.soluble_once_g_m2 >= least:
        dose = min(dose, lawn.soluble_once_g_m2)
    slow = max(0.0 if late else SLOW_AT_LEAST, 1 - lawn.soluble_once_g_m2 / dose, by_law)
    phosphorus = tell("no phosphorus (middle number 0)")
    if _needs_phosphorus(view, day):
        phosphorus = tell("some phosphorus (middle number above 0), which your soil test asks for")
    source = "limits of the lawn; half slow-release is common in Florida's local law"
    if late:
        source = "limits of the lawn; Purdue: the last feeding of autumn is soluble"
    what = tell(
        "A granular fertilizer with 20 to 30 % nitrogen, {phosphorus}, {release}, without weed"
        " killer, whose label does not exclude {grass}.",
        phosphorus=phosphorus,
        release=_release(view, day, slow),
        grass=grass,
    )
    middle = "x" if _needs_phosphorus(view, day) else "0"
    words = {
        "lawn": lawn.shown,
        "area": show(lawn.treated_m2, Kind.AREA, units),
        "rate": show(dose, Kind.MASS_PER_AREA, units),
        "weight": show(dose * lawn.treated_m2 / USUAL_NITROGEN / 1000, Kind.MASS, units),
        "grade": f"{100 * USUAL_NITROGEN:.0f}-{middle}-x",
    }
    amount = tell("{lawn}, {area} at {rate} of nitrogen: {weight} of a {grade}.", **words)
    if unknown:
        amount = tell(
            "{lawn}, {area}: how much is left of the nitrogen of {year} is not known; add"
            " `last feed` with its date to the journal. Never more than one dose of {rate} of"
            " nitrogen, {weight} of a {grade}.",
            year=by.year,
            **words,
        )
    return what, amount, source


def _release(view: View, day: int, slow: float) -> str:
    """How much of the nitrogen is to be slow-release, and in which forms where the soil is cool."""
    share = math.ceil(100 * slow - 1e-9)
    if share <= 0:
        return tell("quick nitrogen (the last feeding of autumn needs no slow-release: Purdue)")
    soil = view.facts.table.number("soil_temp", DEPTH_M)
    limit = show(WARM_SOIL, Kind.TEMPERATURE, view.setting.site.units)
    match share == 50, float(soil.low[day]) >= WARM_SOIL:
        case True, True:
            return tell("at least half of the nitrogen slow-release")
        case True, False:
            return tell(
                "at least half of the nitrogen slow-release as coated urea or IBDU, since soil"
                " under {limit} releases little of the others",
                limit=limit,
            )
        case False, True:
            return tell("at least {share} % of the nitrogen slow-release", share=share)
        case _:
            return tell(
                "at least {share} % of the nitrogen slow-release as coated urea or IBDU, since soil"
                " under {limit} releases little of the others",
                share=share,
                limit=limit,
            )


def _last_of_autumn(view: View, day: int, by: date) -> bool:
    """Whether a feeding by a day is the last one of cool-season grass: in shortening days, by soil
    under 55 F where the forecast reaches that day, else from mid October, turned round in the
    south. Not where a rule holds quick nitrogen that day."""
    if view.lawn.grass_class != COOL:
        return False
    # Half a year on, the south has the seasons of the north.
    turned = by if view.setting.site.place.latitude >= 0 else by + timedelta(days=182)
    season = turned.month, turned.day
    if not (6, 21) < season < (12, 21):
        return False
    reached = view.setting.days[day] == by
    if reached and view.held("quick-nitrogen")[day]:
        return False
    soil = view.facts.table.number("soil_temp", DEPTH_M)
    return season >= LAST_FEEDING or (reached and float(soil.high[day]) < WARM_SOIL)


def _slow_by_law(view: View) -> float:
    """The slow-release share that local law asks of nitrogen; 0 where it asks for none."""
    laws = laws_on(view.setting.site.ordinances, view.lawn)
    asked = [law.slow_release or 0.0 for law in laws if "nitrogen" in law.nutrients]
    return max(asked, default=0.0)


def _needs_phosphorus(view: View, day: int) -> bool:
    """Whether a soil test says that it is low, and no closed season forbids it."""
    words = view.facts.table.words
    low = int(words["phosphorus_test"].codes[day]) == TESTS["phosphorus"].index("low")
    return low and int(words["phosphorus_law"].codes[day]) == 0
