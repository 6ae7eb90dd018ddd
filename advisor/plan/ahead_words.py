"""How the season ahead is told: dates with how sure they are, and what was taken for granted."""

from __future__ import annotations

from datetime import date

from advisor.language.dates import date_text
from advisor.plan.ahead_model import Dates, Window
from advisor.plan.spread import HELD
from advisor.site.place import Site
from advisor.site.words import SIGHTINGS

SEEN = {
    "pale": "pale grass",
    "thin": "thin places",
    "dry-spots": "dry spots",
    "broad-leaved-weeds": "broad-leaved weeds",
}
DONE = {"pre-emergent": "barrier", "overseed": "seed"}
"""Deeds and sightings that read otherwise than their names."""


def range_text(dates: Dates, units: str) -> str:
    """From the earliest to the latest."""
    if dates.earliest == dates.latest:
        return date_text(dates.likely, units)
    return f"{date_text(dates.earliest, units)} to {date_text(dates.latest, units)}"


def dates_text(dates: Dates, units: str) -> str:
    """The likely date with its interval: `about Mar 26 (Mar 18 to Apr 6)`."""
    if dates.earliest == dates.latest:
        return f"on {date_text(dates.likely, units)}"
    return f"about {date_text(dates.likely, units)} ({range_text(dates, units)})"


def sure_text(dates: Dates) -> str:
    """How sure an interval is, as the beginning of a sentence's rest."""
    if dates.holds == HELD:
        return "in 8 years of 10"
    return f"in about {round(10 * dates.holds)} years of 10, the whole range of {dates.came} years"


def wants_text(wants: tuple[str, ...]) -> str:
    """What a window first wants, as a clause."""
    seen = [SEEN.get(want, want.replace("-", " ")) for want in wants if want in SIGHTINGS]
    done = [DONE.get(want, want.replace("-", " ")) for want in wants if want not in SIGHTINGS]
    parts = []
    if seen:
        parts.append(f"where you see {' or '.join(seen)}")
    if done:
        parts.append(f"after the first {' or '.join(done)}")
    return f"only {' and '.join(parts)}, and log it"


def window_text(window: Window, units: str) -> str:
    """A window's dates and standing as one or two short sentences."""
    opens, closes = window.opens, window.closes
    if window.standing == "open":
        since = f" since {date_text(window.opened, units)}" if window.opened else ""
        said = f"Open now{since}"
    elif window.standing == "forecast":
        said = f"The forecast opens it on {date_text(opens.likely, units)}"
    else:
        said = f"Likely opens {dates_text(opens, units)}"
    if closes is not None:
        said += f"; closes {dates_text(closes, units)}"
    said += "."
    missed = opens.years - opens.came
    if missed and window.standing != "open":
        said += f" In {missed} of {opens.years} years it did not open."
    if window.standing == "coming" and window.opened is not None:
        said += f" It was open from {date_text(window.opened, units)}, and may open again."
    if window.wants:
        wants = wants_text(window.wants)
        said += f" {wants[:1].upper()}{wants[1:]}."
    return said


def assumed(site: Site, known_to: date | None, *, broken: bool = False) -> tuple[str, ...]:
    """What was taken for granted, in the order in which it matters."""
    said = []
    if broken:
        said.append(
            "A rule file cannot be read: its rules are not in these dates, and until it is mended"
            " all that is put down waits. `swardcast check` names the line."
        )
    said += [
        "Dates are as weather alone would have them: your rules asked of every day of each past"
        " year, with what you log later left out.",
    ]
    if known_to is None:
        said.append("Nothing is known of this year's weather, so its head start is not in them.")
    else:
        said.append(
            "Each past year is put behind this year's weather and forecast, which reach to"
            f" {date_text(known_to, site.units)}."
        )
    if any(lawn.irrigated for lawn in site.lawns):
        said.append("Lawns that can be watered are taken to be watered as they need.")
    said.append("Wind, humidity and snow of past years are not known; their holds are left out.")
    return tuple(said)
