"""How the season ahead is told: dates with how sure they are, and what was taken for granted."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from advisor.language.dates import date_text
from advisor.language.listing import either
from advisor.language.sentences import as_sentence
from advisor.language.words import later, tell
from advisor.plan.ahead_model import Dates, Window
from advisor.plan.spread import HELD
from advisor.site.place import Site
from advisor.site.words import SIGHTINGS

SEEN = {
    "pale": later("pale grass"),
    "thin": later("thin places"),
    "dry-spots": later("dry spots"),
    "broad-leaved-weeds": later("broad-leaved weeds"),
    "wilting": later("wilting"),
    "dormant": later("dormant"),
    "green": later("green"),
    "frost": later("frost"),
    "standing-water": later("standing water"),
    "crabgrass": later("crabgrass"),
    "annual-bluegrass": later("annual bluegrass"),
    "grubs": later("grubs"),
    "thatch": later("thatch"),
    "leaves": later("leaves"),
}
DONE = {
    "pre-emergent": later("barrier"),
    "feed": later("feed"),
    "iron": later("iron"),
    "overseed": later("seed"),
    "grub-preventive": later("grub preventive"),
    "broadleaf-herbicide": later("broadleaf herbicide"),
    "wetting-agent": later("wetting agent"),
    "lime": later("lime"),
    "watering": later("watering"),
    "mowing": later("mowing"),
    "aeration": later("aeration"),
    "dethatching": later("dethatching"),
}
"""Sightings, and tasks and deeds, within a sentence."""


def range_text(dates: Dates, units: str) -> str:
    """From the earliest to the latest."""
    if dates.earliest == dates.latest:
        return date_text(dates.likely, units)
    return tell(
        "{first} to {last}",
        first=date_text(dates.earliest, units),
        last=date_text(dates.latest, units),
    )


def dates_text(dates: Dates, units: str) -> str:
    """The likely date with its interval: `about Mar 26 (Mar 18 to Apr 6)`."""
    likely = date_text(dates.likely, units)
    if dates.earliest == dates.latest:
        return tell("on {date}", date=likely)
    return tell("about {date} ({range})", date=likely, range=range_text(dates, units))


def sure_text(dates: Dates) -> str:
    """How sure an interval is, as the beginning of a sentence's rest."""
    if dates.holds == HELD:
        return tell("in 8 years of 10")
    return tell(
        "in about {share} years of 10, the whole range of {years} years",
        share=round(10 * dates.holds),
        years=dates.came,
    )


def share_text(dates: Dates) -> str:
    """The same, as a share of the years alone."""
    if dates.holds == HELD:
        return tell("8 years of 10")
    return tell("about {share} years of 10", share=round(10 * dates.holds))


def wants_text(wants: tuple[str, ...]) -> str:
    """What a window first wants, as a clause."""
    seen = either([_named(SEEN, want) for want in wants if want in SIGHTINGS])
    done = either([_named(DONE, want) for want in wants if want not in SIGHTINGS])
    if seen and done:
        return tell(
            "only where you see {seen} and after the first {done}, and log it", seen=seen, done=done
        )
    if seen:
        return tell("only where you see {seen}, and log it", seen=seen)
    return tell("only after the first {done}, and log it", done=done)


def _named(words: Mapping[str, str], want: str) -> str:
    return tell(words[want]) if want in words else want.replace("-", " ")


def window_text(window: Window, units: str) -> str:
    """A window's dates and standing as one or two short sentences."""
    opens = window.opens
    said = [_dates(window, units)]
    missed = opens.years - opens.came
    if missed and window.standing != "open":
        said.append(
            tell("In {missed} of {years} years it did not open.", missed=missed, years=opens.years)
        )
    if window.standing == "coming" and window.opened is not None:
        opened = date_text(window.opened, units)
        said.append(tell("It was open from {date}, and may open again.", date=opened))
    if window.wants:
        said.append(as_sentence(wants_text(window.wants)))
    return " ".join(said)


def _dates(window: Window, units: str) -> str:
    """When it opens and, where that is told, when it closes."""
    opened = date_text(window.opened, units) if window.opened else ""
    likely = date_text(window.opens.likely, units)
    if window.closes is None:
        match window.standing:
            case "open" if opened:
                return tell("Open now since {date}.", date=opened)
            case "open":
                return tell("Open now.")
            case "forecast":
                return tell("The forecast opens it on {date}.", date=likely)
            case _:
                return tell("Likely opens {dates}.", dates=dates_text(window.opens, units))
    closes = dates_text(window.closes, units)
    match window.standing:
        case "open" if opened:
            return tell("Open now since {date}; closes {closes}.", date=opened, closes=closes)
        case "open":
            return tell("Open now; closes {closes}.", closes=closes)
        case "forecast":
            return tell(
                "The forecast opens it on {date}; closes {closes}.", date=likely, closes=closes
            )
        case _:
            return tell(
                "Likely opens {dates}; closes {closes}.",
                dates=dates_text(window.opens, units),
                closes=closes,
            )


def assumed(site: Site, known_to: date | None, *, broken: bool = False) -> tuple[str, ...]:
    """What was taken for granted, in the order in which it matters."""
    said = []
    if broken:
        said.append(
            tell(
                "A rule file cannot be read: its rules are not in these dates, and until it is"
                " mended all that is put down waits. `swardcast check` names the line."
            )
        )
    said.append(
        tell(
            "Dates are as weather alone would have them: your rules asked of every day of each past"
            " year, with what you log later left out."
        )
    )
    if known_to is None:
        said.append(
            tell("Nothing is known of this year's weather, so its head start is not in them.")
        )
    else:
        said.append(
            tell(
                "Each past year is put behind this year's weather and forecast, which reach to"
                " {date}.",
                date=date_text(known_to, site.units),
            )
        )
    if any(lawn.irrigated for lawn in site.lawns):
        said.append(tell("Lawns that can be watered are taken to be watered as they need."))
    said.append(
        tell("Wind, humidity and snow of past years are not known; their holds are left out.")
    )
    return tuple(said)
