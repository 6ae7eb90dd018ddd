"""What grasses and substances are called within a sentence."""

from __future__ import annotations

from advisor.language.words import later, tell, tell_as
from advisor.site.words import COOL, WARM

GRASS_NAMES: dict[str, str] = {
    "tall-fescue": later("tall fescue"),
    "kentucky-bluegrass": later("kentucky bluegrass"),
    "perennial-ryegrass": later("perennial ryegrass"),
    "fine-fescue": later("fine fescue"),
    "creeping-bentgrass": later("creeping bentgrass"),
    "annual-bluegrass": later("annual bluegrass"),
    "rough-bluegrass": later("rough bluegrass"),
    "annual-ryegrass": later("annual ryegrass"),
    "cool-season-mix": later("cool season mix"),
    "bermudagrass": later("bermudagrass"),
    "zoysiagrass": later("zoysiagrass"),
    "st-augustinegrass": later("st augustinegrass"),
    "centipedegrass": later("centipedegrass"),
    "bahiagrass": later("bahiagrass"),
    "buffalograss": later("buffalograss"),
    "kikuyugrass": later("kikuyugrass"),
    "seashore-paspalum": later("seashore paspalum"),
    "carpetgrass": later("carpetgrass"),
}


GRASS_CLASSES = {COOL: later("cool-season"), WARM: later("warm-season")}


def grass_text(name: str) -> str:
    """A grass within a sentence: `tall fescue`."""
    return tell(GRASS_NAMES[name]) if name in GRASS_NAMES else name.replace("-", " ")


def grass_class_text(grass_class: str) -> str:
    """The class of a grass: `cool-season`."""
    return tell(GRASS_CLASSES[grass_class]) if grass_class in GRASS_CLASSES else grass_class


def substance_text(name: str) -> str:
    """A nutrient within a sentence; an active ingredient stays as its label names it."""
    match name:
        case "nitrogen":
            return tell("nitrogen")
        case "soluble nitrogen":
            return tell("soluble nitrogen")
        case "phosphorus":
            return tell("phosphorus")
        case "potassium":
            return tell("potassium")
        case "iron":
            return tell_as("nutrient", "iron")
        case _:
            return name
