"""The trade's words that both the owner's files and the rules use: tasks, grasses, soils."""

from __future__ import annotations

TASKS: dict[str, str] = {
    "pre-emergent": "a barrier against weeds that sprout from seed",
    "feed": "nitrogen fertilizer",
    "iron": "iron, for colour without growth",
    "overseed": "seed into a standing lawn",
    "grub-preventive": "an insecticide against grubs, before they hatch",
    "broadleaf-herbicide": "a spray against broad-leaved weeds",
    "wetting-agent": "a surfactant on soil that sheds water",
    "lime": "lime, on a soil test",
    "watering": "irrigation",
}
"""What a rule may speak of."""

PUT_DOWN = tuple(task for task in TASKS if task != "watering")
"""The tasks that `everything put down` stands for."""

COOL = "cool-season"
WARM = "warm-season"

GRASSES: dict[str, str] = {
    "tall-fescue": COOL,
    "kentucky-bluegrass": COOL,
    "perennial-ryegrass": COOL,
    "fine-fescue": COOL,
    "creeping-bentgrass": COOL,
    "annual-bluegrass": COOL,
    "rough-bluegrass": COOL,
    "annual-ryegrass": COOL,
    "cool-season-mix": COOL,
    "bermudagrass": WARM,
    "zoysiagrass": WARM,
    "st-augustinegrass": WARM,
    "centipedegrass": WARM,
    "bahiagrass": WARM,
    "buffalograss": WARM,
    "kikuyugrass": WARM,
    "seashore-paspalum": WARM,
    "carpetgrass": WARM,
}
"""Grasses and the class of each; a rule's `on` line may name either."""

SOILS = (
    "sand",
    "loamy-sand",
    "sandy-loam",
    "loam",
    "silt-loam",
    "silt",
    "sandy-clay-loam",
    "clay-loam",
    "silty-clay-loam",
    "sandy-clay",
    "clay",
)
"""Soil textures that a lawn may have."""
