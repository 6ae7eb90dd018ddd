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

DEEDS: dict[str, str] = {
    "mowing": "the lawn was mowed",
    "aeration": "plugs were pulled",
    "dethatching": "thatch was raked or cut out",
}
"""What the journal records besides tasks; a rule may ask for the days since."""

SIGHTINGS: dict[str, str] = {
    "wilting": "blades fold and footprints stay",
    "dormant": "straw-coloured, not growing",
    "green": "green and growing",
    "pale": "light green or yellowish, though it grows",
    "frost": "frost on the grass",
    "standing-water": "water stands on the lawn",
    "crabgrass": "crabgrass plants, dead ones too",
    "annual-bluegrass": "annual bluegrass among the lawn's own grass",
    "broad-leaved-weeds": "weeds with broad leaves, growing",
    "thin": "thin or bare places",
    "dry-spots": "places that stay dry after rain or watering",
    "grubs": "white grubs under the turf, or the damage that they did last year",
    "thatch": "a layer of thatch thicker than half an inch",
    "leaves": "fallen leaves that cover the grass",
}
"""What an owner can see on a lawn; a rule may ask for the days since."""

TESTS: dict[str, tuple[str, ...]] = {
    "phosphorus": ("low", "enough"),
    "lime": ("needed", "not-needed"),
}
"""What a soil test is of, and what it may say."""

STORM_WATCH = "storm-watch"
"""What a line of the journal about a storm, flood or tropical watch or warning tells of."""

PRODUCT_KINDS: dict[str, str] = {
    "granules-to-water-in": "granules that have to be watered in",
    "granules-on-the-leaf": "granules that have to stay on the leaf, dry from above",
    "spray": "a liquid that is sprayed",
    "quick-nitrogen": "nitrogen of which less than half is slow-release, or nobody says how much",
    "phosphorus": "phosphorus",
}
"""What a product is or carries. A hold for one of these keeps back the products, not the task."""

WATERING = "watering"

PUT_DOWN = tuple(task for task in TASKS if task != WATERING)
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
