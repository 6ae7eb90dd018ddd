"""The curves of each lawn, from the very columns that its rules read."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.daily import RAIN_MOST
from advisor.conditions.growing import nitrogen_pace
from advisor.plan.choice import Walk
from advisor.plan.curves_model import (
    Amounts,
    LawnCurves,
    NutrientCurve,
    PutDown,
    SoilCurve,
    Threshold,
    WaterCurve,
)
from advisor.plan.facts_today import USUAL_DEPTHS
from advisor.plan.view import ADVICE_DAYS, Setting, View, perhaps_water
from advisor.rulebook.book import Keyword, Rule, RuleKind
from advisor.rulebook.latch import STATES, State
from advisor.rulebook.tree import (
    Between,
    Compare,
    Constant,
    FactValue,
    Function,
    More,
    Node,
    Since,
    Spell,
    Test,
    fact_name,
    reads,
)
from advisor.site.events import Certainty
from advisor.site.lawns import Lawn
from advisor.site.shelf import PHOSPHORUS_IN_P2O5
from advisor.site.under_law import laws_on
from advisor.site.words import TASKS
from advisor.turf.heat_conduction import damping_depth

Floats = NDArray[np.float64]

SOIL_BEHIND = 45
WATER_BEHIND = 30
"""Days that the curves look back."""

MOST_THRESHOLDS = 3

_SPELLS = (Function.MEAN, Function.LOWEST, Function.HIGHEST)
"""What of a window of days is itself a temperature of the soil."""

_CALENDAR = frozenset({"daylight", "daylight_hours"})


def curves(setting: Setting, done: Walk) -> tuple[LawnCurves, ...]:
    """Each lawn's curves, with all that the plan gives counted in."""
    return tuple(
        LawnCurves(
            lawn=lawn.name,
            # Which windows are to come, as it stands before this plan's own deeds shut them.
            soil=_soil(done.before[lawn.name]),
            water=_water(done.views[lawn.name]),
            nutrients=tuple(_nutrients(setting, done.views[lawn.name])),
        )
        for lawn in setting.site.lawns
    )


def _span(setting: Setting, behind: int) -> slice:
    return slice(max(0, setting.today - behind), setting.end)


def _amounts(values: Floats, digits: int = 2) -> Amounts:
    """Rounded; what is not finite is not known."""
    rounded = np.round(values, digits) + 0.0  # no -0.0
    return tuple(value if math.isfinite(value) else None for value in rounded.tolist())


def _soil(view: View) -> SoilCurve:
    setting, soil = view.setting, view.facts.soil
    found = list(_thresholds(view))
    depth = found[0][0] if found else USUAL_DEPTHS[0]
    span = _span(setting, SOIL_BEHIND)
    mean = view.facts.table.number("soil_temp", depth)
    swing = soil.surface.swing * np.exp(-depth / damping_depth(soil.diffusivity, 1.0))
    # Beyond the model's layers the soil is an estimate, whose hundredths depend on how far back the
    # weather is known: it is told to a tenth.
    rough = soil.at(depth)[1] & (np.arange(len(setting.days)) > setting.today)
    low, high = (np.where(rough, np.round(end, 1), end)[span] for end in (mean.low, mean.high))
    return SoilCurve(
        depth_m=round(depth, 4),
        days=tuple(setting.days[span]),
        low_c=_amounts(low),
        high_c=_amounts(high),
        coldest_c=_amounts(low - swing[span], 1),
        warmest_c=_amounts(high + swing[span], 1),
        thresholds=tuple(_different(found, depth)),
    )


def _different(found: list[tuple[float, Threshold]], depth: float) -> list[Threshold]:
    """The first thresholds of the depth; a temperature that one task names twice counts once."""
    kept: dict[tuple[str, float], Threshold] = {}
    for at, threshold in found:
        key = threshold.task, threshold.celsius
        if at == depth and (key not in kept or kept[key].shuts):
            kept[key] = threshold
    return list(kept.values())[:MOST_THRESHOLDS]


def _thresholds(view: View) -> Iterator[tuple[float, Threshold]]:
    """What the windows that may still open on the lawn ask of the soil, with the depth [m]."""
    for task in view.tasks:
        for rule in view.rules(RuleKind.OPENS, task):
            if rule.hourly or not _to_come(view, rule):
                continue
            for condition in rule.conditions:
                shuts = condition.keyword is Keyword.UNTIL
                for test in condition.test.tests:
                    for leaf, limit, upward in _asked(test):
                        if leaf.depth is None:
                            continue
                        yield (
                            leaf.depth,
                            Threshold(
                                task=task,
                                rule=rule.name,
                                setting=limit.name,
                                celsius=round(limit.value, 2),
                                wants="at least" if upward is not shuts else "at most",
                                shuts=shuts,
                            ),
                        )


def _asked(test: Test) -> Iterator[tuple[FactValue, Constant, bool]]:
    """The limits that a test sets to the soil's temperature, and whether it holds above them."""
    match test:
        case Compare(left, more, Constant() as limit):
            if (leaf := _soil_temp(left)) is not None:
                yield leaf, limit, more in (More.AT_LEAST, More.MORE_THAN)
        case Between(value, low, high):
            leaf = _soil_temp(value)
            for end, upward in ((low, True), (high, False)):
                if leaf is not None and isinstance(end, Constant):
                    yield leaf, end, upward
        case _:
            pass


def _soil_temp(node: Node) -> FactValue | None:
    if isinstance(node, Spell) and node.function in _SPELLS:
        node = node.fact
    return node if isinstance(node, FactValue) and node.name == "soil_temp" else None


def _to_come(view: View, rule: Rule) -> bool:
    """Whether a window may still open in this season, or is open, for all that calendar and journal
    tell; the weather is not asked. What was never seen on the lawn opens nothing there."""
    today, end = view.setting.today, view.setting.end
    latch = view.says(rule).latch
    if latch is not None and STATES[int(latch[today])] is State.SHUT:
        return False
    if rule.under(Keyword.UNTIL) and view.evaluator.under(rule, Keyword.UNTIL).yes[today]:
        return False
    for condition in rule.under(Keyword.WHILE):
        leaves = [leaf for leaf, _ in reads(condition.test)]
        if not all(isinstance(leaf, Since) or fact_name(leaf) in _CALENDAR for leaf in leaves):
            continue
        truth = view.evaluator.truth(condition.test)
        seen = any(isinstance(leaf, Since) and leaf.task not in TASKS for leaf in leaves)
        may = truth.yes if seen else ~truth.no
        if not may[today:end].any():
            return False
    return True


def _water(view: View) -> WaterCurve:
    setting, table = view.setting, view.facts.table
    span = _span(setting, WATER_BEHIND)
    depletion, rain = table.number("depletion"), table.number("rain")
    days = setting.days[span]
    bound = rain.high[span]
    return WaterCurve(
        days=tuple(days),
        depletion_low_mm=_amounts(depletion.low[span]),
        depletion_high_mm=_amounts(depletion.high[span]),
        stress_line_mm=_amounts(table.number("stress_line").low[span]),
        total_mm=round(view.facts.water.total, 2),
        rain_low_mm=_amounts(rain.low[span]),
        rain_high_mm=_amounts(np.where(bound < RAIN_MOST, bound, np.inf)),
        irrigation_mm=_amounts(view.sums.irrigation(view.lawn.name, days)),
        perhaps_mm=_amounts(perhaps_water(view.sums.open_advice, view.lawn.name, days)),
        planned_mm=_amounts(view.planned_mm[span]),
    )


def _nutrients(setting: Setting, view: View) -> Iterator[NutrientCurve]:
    lawn, year = view.lawn, setting.days[setting.today].year
    limit = lawn.nitrogen_limit_g_m2
    ends = tuple(date(year + month // 12, month % 12 + 1, 1) - timedelta(1)
                 for month in range(1, 13))  # fmt: skip
    share = setting.weather.growth_years.get(lawn.grass_class)
    pace = nitrogen_pace(share, limit, ends).low
    known = bool(np.isfinite(pace).all())
    laws = laws_on(setting.site.ordinances, lawn)
    yield _nutrient(
        setting, view, "nitrogen", limit, _whose(lawn, [law.nitrogen_year_g_m2 for law in laws]),
        ends if known else (), _amounts(pace) if known else (),
    )  # fmt: skip
    phosphate = [law.phosphate_year_g_m2 for law in laws if law.phosphate_year_g_m2 is not None]
    if phosphate:
        most = min(phosphate) * PHOSPHORUS_IN_P2O5
        yield _nutrient(setting, view, "phosphorus", most, "law", (), ())


def _whose(lawn: Lawn, by_law: list[float | None]) -> str:
    if lawn.nitrogen_limit_g_m2 in by_law:
        return "law"
    return "grass" if lawn.nitrogen_year_g_m2 is None else "owner"


def _nutrient(
    setting: Setting, view: View, substance: str, limit: float, limit_by: str,
    days: tuple[date, ...], curve: Amounts,
) -> NutrientCurve:  # fmt: skip
    today = setting.days[setting.today]
    sums, name = view.sums, view.lawn.name
    reach = today + timedelta(ADVICE_DAYS)
    put_down = tuple(
        PutDown(
            day=event.day,
            g_per_m2=round(grams, 2) if math.isfinite(grams) else None,
            certainty=event.certainty.value,
        )
        for event in sums.events(name)
        if event.day.year == today.year and (grams := event.grams_per_m2.get(substance, 0.0)) > 0
        # A later one is no advice yet.
        if event.certainty is not Certainty.PLANNED or event.day < reach
    )
    certain = sum(
        event.grams_per_m2.get(substance, 0.0)
        for event in sums.events(name)
        if event.certainty is Certainty.PLANNED and event.day == today
    )
    low, high = sums.total(name, substance, today.year, upto=today)
    return NutrientCurve.model_validate({
        "substance": substance,
        "year": today.year,
        "limit_g_m2": round(limit, 2),
        "limit_by": limit_by,
        "put_down": put_down,
        # What is planned for today is not put down yet.
        "low_g_m2": round(low - certain, 2),
        "high_g_m2": round(high - certain, 2) if math.isfinite(high) else None,
        "days": days,
        "curve_g_m2": curve,
    })  # fmt: skip
