"""The pictures of a lawn, from the plan's curves."""

from __future__ import annotations

from advisor.digest.nutrient_picture import nutrient_picture
from advisor.digest.plot import Picture
from advisor.digest.soil_picture import soil_picture
from advisor.digest.water_picture import water_picture
from advisor.language.speaking import speaking
from advisor.plan.model import Plan


def pictures(plan: Plan, lawn: str) -> tuple[Picture, ...]:
    """Soil, water and nutrients of a lawn (its `name`), in the site's language; without those of
    which nothing is known, and none where the plan has no curves of that lawn."""
    curves = next((one for one in plan.curves if one.lawn == lawn), None)
    if curves is None:
        return ()
    today, units = plan.on, plan.site.units
    with speaking(plan.site.language):
        drawn = (
            soil_picture(curves.soil, today, units),
            water_picture(curves.water, today, units),
            nutrient_picture(curves.nutrients, today, units),
        )
    return tuple(picture for picture in drawn if picture is not None)
