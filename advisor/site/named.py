"""How the journal, the rules and the law name what is done and put down, within a sentence."""

from __future__ import annotations

from advisor.language.words import tell, tell_as


def task_written(task: str) -> str:
    """A task as the journal and the rules name it, within a sentence; a deed stays as it is."""
    match task:
        case "pre-emergent":
            return tell_as("as the journal names it", "pre-emergent")
        case "feed":
            return tell_as("as the journal names it", "feed")
        case "iron":
            return tell_as("as the journal names it", "iron")
        case "overseed":
            return tell_as("as the journal names it", "overseed")
        case "grub-preventive":
            return tell_as("as the journal names it", "grub-preventive")
        case "broadleaf-herbicide":
            return tell_as("as the journal names it", "broadleaf-herbicide")
        case "wetting-agent":
            return tell_as("as the journal names it", "wetting-agent")
        case "lime":
            return tell_as("as the journal names it", "lime")
        case "watering":
            return tell_as("as the journal names it", "watering")
        case _:
            return task


def caught_by_law(name: str) -> str:
    """What a law forbids, within a sentence: a nutrient or a task; an active ingredient stays as
    its label names it."""
    match name:
        case "nitrogen":
            return tell("nitrogen")
        case "phosphorus":
            return tell("phosphorus")
        case "potassium":
            return tell("potassium")
        case _:
            return task_written(name)
