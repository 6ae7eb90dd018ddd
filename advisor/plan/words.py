"""Fixed words of the plan: what tasks are called, cautions that go with the weather."""

from __future__ import annotations

from advisor.series.quantity import Kind, show

TASK_TITLES: dict[str, str] = {
    "pre-emergent": "Weed barrier (pre-emergent)",
    "feed": "Feeding",
    "iron": "Iron for colour",
    "overseed": "Overseeding",
    "grub-preventive": "Grub prevention",
    "broadleaf-herbicide": "Broad-leaved weeds",
    "wetting-agent": "Wetting agent",
    "lime": "Lime",
    "watering": "Watering",
}

TASK_SHORT: dict[str, str] = {
    "pre-emergent": "weed barrier",
    "feed": "feed",
    "iron": "iron",
    "overseed": "seed",
    "grub-preventive": "grub prevention",
    "broadleaf-herbicide": "weed spray",
    "wetting-agent": "wetting agent",
    "lime": "lime",
    "watering": "water",
}

WATER_CAUTION = (
    "Stop when it runs off onto paving, let it soak in, and go on; local watering rules stand"
    " above this page."
)

WATCH_CAUTION = (
    "Storm, flood and tropical watches and warnings are not looked up here, and your law forbids"
    " this while one is in force: look for them at the weather service before you go."
)

HEAT_DANGER = 39.4
"""Heat index of 103 °F, from where hard work in the sun is dangerous (NWS classes) [°C]."""

HEAT_CAUTION = 32.2
"""Heat index of 90 °F: extreme caution (NWS classes) [°C]."""


def heat_caution(heat_index: float, units: str) -> str:
    """What heat means for whoever does the work that day; empty where it is no matter."""
    shown = show(float(heat_index), Kind.TEMPERATURE, units)
    if heat_index >= HEAT_DANGER:
        return (
            f"The heat index may reach {shown}: dangerous. Work at dawn or another day, drink"
            " often, stop at the first sign of heat illness."
        )
    if heat_index >= HEAT_CAUTION:
        return f"The heat index may reach {shown}: work early, in shade where you can, and drink."
    return ""
