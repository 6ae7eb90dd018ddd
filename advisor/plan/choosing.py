"""Which product of the shelf is put down for a task on a day, in which dose and at what hours.

Only a product that may go down is a candidate: its label names the grass, law and label and rules
leave the day and its hours free, its dose is not refused, and it is not likely to burn. Of several
the first by these principles is taken, each asked only where all before it leave a tie:

1. What was announced is kept.
2. Nothing that nobody asked for: a product that brings an active ingredient, or serves another
   task, for which no window is open that day, comes after one that does not.
3. Phosphorus where a soil test says that it is low; none elsewhere.
4. The least risk of a burn.
5. Nitrogen that is released in the soil as warm as it is.
6. A whole dose before one that any limit cuts short but the label's rate and that for nitrogen
   at once.
7. A label that names this very grass before one that names its class, or none.
8. One bag or bottle that is enough, before one that is not.
9. What was begun before what is unopened.
10. What costs less for what it brings.
11. What stands first on the shelf.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from advisor.language.words import later, tell
from advisor.plan.burning import burn_of
from advisor.plan.cost import bags
from advisor.plan.cost import of as cost_of
from advisor.plan.dose import Limit, Measured, Refusal, measure
from advisor.plan.hours import Stretch, best_hours
from advisor.plan.names import grass_text
from advisor.plan.release import released
from advisor.plan.view import View
from advisor.plan.water_in import too_late, watered_in
from advisor.rulebook.book import Rule
from advisor.site.events import Certainty, tasks_of
from advisor.site.named import task_written
from advisor.site.shelf import PESTICIDE_TASKS, Product
from advisor.site.words import TESTS
from advisor.turf.burn import Risk

MOST_TOLD = 4
"""Sentences that are told of a choice."""

NOT_RELEASED = 2.0
"""Rank of a product whose nitrogen the soil is too cool for."""


@dataclass(frozen=True)
class Chosen:
    """A product that may go down: its dose, and the hours for it."""

    product: Product
    measured: Measured
    stretch: Stretch


@dataclass(frozen=True)
class Picked:
    """What the shelf has for a task on a day: a product or none, and the last reason against one
    that the day and its weather do not explain."""

    chosen: Chosen | None
    refusal: Refusal | None = None


@dataclass(frozen=True)
class Candidate:
    """A product that may go down on the day of index `day`, for what it is ranked by."""

    view: View
    task: str
    day: int
    chosen: Chosen
    risk: Risk

    @property
    def product(self) -> Product:
        return self.chosen.product


@dataclass(frozen=True)
class Principle:
    """One reason to take a product before another: the lower rank goes first. `why` says of the
    one taken what it has over another; it is told where it is used."""

    name: str
    rank: Callable[[Candidate], float]
    why: str


def pick(
    view: View, rule: Rule, task: str, day: int, now: datetime, announced: Stretch | None
) -> Picked:
    """The product to put down for a task on the day of index `day`; `announced` are the hours that
    were announced for it."""
    products = view.products(task)
    refusal = None
    candidates: list[Candidate] = []
    against: list[str] = []
    for product in products:
        found = _with_product(view, rule, product, task, day, now, announced)
        if isinstance(found, Candidate):
            candidates.append(found)
        else:
            against.append(_why_not(view, product, day, found))
            refusal = found or refusal
    if candidates:
        return Picked(_best(candidates, against), refusal)
    if not products:
        refusal = Refusal(
            tell(
                "nothing on the shelf serves {task} on {grass}; see “To buy”",
                task=task_written(task),
                grass=grass_text(view.lawn.grass),
            )
        )
    return Picked(None, refusal)


def _with_product(
    view: View,
    rule: Rule,
    product: Product,
    task: str,
    day: int,
    now: datetime,
    announced: Stretch | None,
) -> Candidate | Refusal | None:
    if any(restriction.held[day] for restriction in view.restrictions(product)):
        return None
    # A product is held by what holds anything that it serves, feeds, is or carries.
    names = view.names(product)
    if any(view.held(name)[day] for name in names):
        return None
    setting = view.setting
    measured = measure(product, view.lawn, setting.site, view.sums, setting.days[day], task=task)
    if isinstance(measured, Refusal):
        return measured
    stretch = best_hours(
        setting.weather.series,
        setting.weather.zone,
        setting.days[day],
        now,
        wind_max=product.wind_max_m_s,
        air_max=product.air_max_c,
        dry_hours=product.dry_hours,
        free=view.work_hours(names, day, rule),
        announced=announced,
    )
    if stretch is None:
        return None
    wet = watered_in(setting, view.lawn, product, day, stretch)
    if wet is not None and not wet.in_time:
        return Refusal(too_late(setting, product), passes=True)
    risk, burn = burn_of(product, view.lawn, setting.site, view.facts.table, measured, day)
    if risk is Risk.HIGH:
        return None
    chosen = Chosen(product, replace(measured, burn=burn), stretch)
    return Candidate(view, task, day, chosen, risk)


def _announced(one: Candidate) -> float:
    standing = [
        advice.product
        for advice in one.view.sums.standing
        if (advice.lawn, advice.task) == (one.view.lawn.name, one.task)
    ]
    return one.product.name not in standing


def _unasked(one: Candidate) -> float:
    """How many tasks it counts for whose windows are shut that day; an active ingredient that
    serves no task that is known counts as one."""
    view, product = one.view, one.product
    others = tasks_of(product, view.setting.shelf) - {one.task}
    shut = [
        other for other in others if not any(opened[one.day] for _, opened in view.opened(other))
    ]
    pesticide = {one.task, *others} & {*PESTICIDE_TASKS, "wetting-agent"}
    return len(shut) + (bool(product.actives) and not pesticide)


def _phosphorus(one: Candidate) -> float:
    """Rules hold phosphorus where no test asks for it; this is for where they do not."""
    label = one.product.analysis
    brings = label is not None and label.phosphate > 0
    code = one.view.facts.table.words["phosphorus_test"].codes[one.day]
    return bool(brings != (code == TESTS["phosphorus"].index("low")))


def _release(one: Candidate) -> float:
    works = released(one.product, one.view.facts.table, one.day)
    return {True: 0.0, None: 1.0, False: NOT_RELEASED}[works]


def _cut_short(one: Candidate) -> float:
    return one.chosen.measured.limit not in (Limit.LABEL, Limit.NITROGEN)


def _grass(one: Candidate) -> float:
    return one.view.lawn.grass not in one.product.grasses


def _in_bag(one: Candidate) -> float:
    """Whether a bag is too little; one that is not stated may do or not."""
    count = bags(one.product, one.chosen.measured.dose.amount)
    return 0.5 if count is None else float(count > 1)


def _unopened(one: Candidate) -> float:
    """Whether the journal tells of no use of it."""
    return not any(
        event.product == one.product.name and event.certainty is Certainty.DONE
        for event in one.view.sums.all_events
    )


def _cost(one: Candidate) -> float:
    """Price of a feeding's nitrogen [per kg], else of the dose; unknown: infinite."""
    dose = one.chosen.measured.dose
    found = cost_of(one.product, dose.amount, dose.area_m2)
    if found is None:
        return float("inf")
    if one.task == "feed" and found.per_kg_nitrogen is not None:
        return found.per_kg_nitrogen
    return found.whole


PRINCIPLES: tuple[Principle, ...] = (
    Principle("announced", _announced, later("it was announced, and may still go down")),
    Principle("unasked", _unasked, later("it brings nothing that no window asks for")),
    Principle("phosphorus", _phosphorus, later("its phosphorus fits the soil test")),
    Principle("burn", lambda one: float(one.risk), later("less risk of a burn")),
    Principle("release", _release, later("its nitrogen is released in soil of this warmth")),
    Principle("whole dose", _cut_short, later("no limit cuts its dose short")),
    Principle("grass", _grass, later("its label names this very grass")),
    Principle("bag", _in_bag, later("one bag of it is enough")),
    Principle("begun", _unopened, later("it was begun already")),
    Principle("cost", _cost, later("it costs less for what it brings")),
)
"""The principles 1 to 10 of this module, in order; the shelf's order is the eleventh."""


def _best(candidates: Sequence[Candidate], against: Sequence[str]) -> Chosen:
    ranks = [[principle.rank(one) for principle in PRINCIPLES] for one in candidates]
    order = sorted(range(len(candidates)), key=lambda index: (ranks[index], index))
    first = order[0]
    why = [
        tell(
            "{product} rather than {other}: {why}.",
            product=candidates[first].product.shown,
            other=candidates[other].product.shown,
            why=_difference(ranks[first], ranks[other]),
        )
        for other in order[1:]
    ]
    why += against
    chosen = candidates[first].chosen
    if _release(candidates[first]) == NOT_RELEASED:
        why.insert(0, tell("Its slow nitrogen hardly feeds in soil as cool as this."))
    return replace(chosen, measured=replace(chosen.measured, why=tuple(why[:MOST_TOLD])))


def _difference(better: Sequence[float], worse: Sequence[float]) -> str:
    for principle, mine, theirs in zip(PRINCIPLES, better, worse, strict=True):
        if mine != theirs:
            return tell(principle.why)
    return tell("it stands first on the shelf")


def _why_not(view: View, product: Product, day: int, found: Refusal | None) -> str:
    """What kept a product from being a candidate, as a sentence."""
    shown = product.shown
    if found is not None:
        return tell("Not {product}: {reason}.", product=shown, reason=found.why)
    for restriction in view.restrictions(product):
        if restriction.held[day]:
            return tell(
                "Not {product}: {sentence}", product=shown, sentence=restriction.sentence
            )  # fmt: skip
    for name in sorted(view.names(product)):
        for rule, verdicts in view.holds(name):
            if not view.holding(verdicts, name)[day]:
                continue
            if verdicts.yes[day]:
                sentence = view.explain(rule, day).sentence
                return tell("Not {product}: {sentence}", product=shown, sentence=sentence)
            return tell(
                "Not {product}: it cannot be told whether “{rule}” holds.",
                product=shown,
                rule=rule.name.replace("-", " "),
            )
    return tell("Not {product}: no dry and calm hours for it that day.", product=shown)
