"""Whom the weather is owed to, as the licence asks for it."""

from __future__ import annotations

from advisor.language.words import later

PROVIDER = "Open-Meteo.com"
ATTRIBUTION = later(
    "Weather data by Open-Meteo.com, under CC BY 4.0; daily values are made from it here"
)
PAST_ATTRIBUTION = later(
    "Weather data by Open-Meteo.com, under CC BY 4.0; daily values are made from it here."
    " Generated using Copernicus Climate Change Service information"
)
"""Where past weather of the archive went in as well."""

ATTRIBUTION_URL = "https://open-meteo.com/"
LICENCE_URL = "https://creativecommons.org/licenses/by/4.0/"

RECORDED = later("the recorded weather")
RECORDED_CREDIT = later("Recorded, invented weather in the shape of Open-Meteo.com's answers")
"""What the foot of a recorded site's digest says: it owes nobody credit, and must claim none."""
