"""Fixed words of the plan: what tasks are called, cautions that go with the weather."""

from __future__ import annotations

from advisor.language.words import later, tell, tell_as
from advisor.plan.model import Verdict
from advisor.series.quantity import Kind, show

TASK_TITLES: dict[str, str] = {
    "pre-emergent": later("Weed barrier (pre-emergent)"),
    "feed": later("Feeding"),
    "iron": later("Iron for colour"),
    "overseed": later("Overseeding"),
    "grub-preventive": later("Grub prevention"),
    "broadleaf-herbicide": later("Broad-leaved weeds"),
    "wetting-agent": later("Wetting agent"),
    "lime": later("Lime"),
    "watering": later("Watering"),
}

TASK_SHORT: dict[str, str] = {
    "pre-emergent": later("weed barrier"),
    "feed": later("feed"),
    "iron": later("iron"),
    "overseed": later("seed"),
    "grub-preventive": later("grub prevention"),
    "broadleaf-herbicide": later("weed spray"),
    "wetting-agent": later("wetting agent"),
    "lime": later("lime"),
    "watering": later("water"),
}


def task_title(task: str) -> str:
    """A task as a heading has it: `Feeding`. A word that is none stays as it is."""
    return tell(TASK_TITLES[task]) if task in TASK_TITLES else task


def task_short(task: str) -> str:
    """A task in as few letters as can be, for a subject or a cell: `feed`."""
    return tell(TASK_SHORT[task]) if task in TASK_SHORT else task


def task_within(task: str) -> str:
    """A task within a sentence: `feeding`."""
    match task:
        case "pre-emergent":
            return tell_as("task within a sentence", "weed barrier")
        case "feed":
            return tell_as("task within a sentence", "feeding")
        case "iron":
            return tell_as("task within a sentence", "iron for colour")
        case "overseed":
            return tell_as("task within a sentence", "overseeding")
        case "grub-preventive":
            return tell_as("task within a sentence", "grub prevention")
        case "broadleaf-herbicide":
            return tell_as("task within a sentence", "broad-leaved weeds")
        case "wetting-agent":
            return tell_as("task within a sentence", "wetting agent")
        case "lime":
            return tell_as("task within a sentence", "lime")
        case "watering":
            return tell_as("task within a sentence", "watering")
        case _:
            return task.replace("-", " ")


def task_in_full(task: str) -> str:
    """The same with what the trade calls it, where that is another word."""
    if task == "pre-emergent":
        return tell_as("task within a sentence", "weed barrier (pre-emergent)")
    return task_within(task)


def task_or_kind(task: str) -> str:
    """What a rule speaks of, within a sentence: also deeds that are no tasks, kinds of product."""
    match task:
        case "iron":
            return tell_as("task within a sentence", "iron")
        case "broadleaf-herbicide":
            return tell_as("task within a sentence", "spraying broad-leaved weeds")
        case "granules-to-water-in":
            return tell_as("task within a sentence", "granules to water in")
        case "granules-on-the-leaf":
            return tell_as("task within a sentence", "granules on the leaf")
        case "spray":
            return tell_as("task within a sentence", "spray")
        case "quick-nitrogen":
            return tell_as("task within a sentence", "quick nitrogen")
        case "phosphorus":
            return tell_as("task within a sentence", "phosphorus")
        case _:
            return task_within(task)


def verdict_text(verdict: Verdict) -> str:
    """A verdict's word, as it begins a headline."""
    match verdict:
        case Verdict.APPLY:
            return tell_as("verdict", "Apply")
        case Verdict.WAIT:
            return tell_as("verdict", "Wait")
        case Verdict.WATER:
            return tell_as("verdict", "Water")


def verdict_within(verdict: Verdict) -> str:
    """A verdict's word within a line: `apply`."""
    match verdict:
        case Verdict.APPLY:
            return tell_as("verdict", "apply")
        case Verdict.WAIT:
            return tell_as("verdict", "wait")
        case Verdict.WATER:
            return tell_as("verdict", "water")


WATER_CAUTION = later(
    "Stop when it runs off onto paving, let it soak in, and go on; local watering rules"
    " override this page."
)

WATCH_CAUTION = later(
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
        return tell(
            "The heat index may reach {shown}: dangerous. Work at dawn or another day, drink"
            " often, stop at the first sign of heat illness.",
            shown=shown,
        )
    if heat_index >= HEAT_CAUTION:
        return tell(
            "The heat index may reach {shown}: work early, in shade where you can, and drink.",
            shown=shown,
        )
    return ""
