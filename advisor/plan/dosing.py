"""One product on one or all lawns, worked out to the last bag: what `swardcast dose` tells.

It is arithmetic from label, law and journal. No weather is looked at, and no rule is asked: whether
and when it is to go down is the digest's.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from advisor.language.dates import day_text
from advisor.language.listing import listed
from advisor.language.sentences import capitalised
from advisor.language.words import tell
from advisor.plan import cost, spray, spreading
from advisor.plan.dose import Limit, Measured, Refusal, measure, tool_for
from advisor.plan.dose_sheet import Brought, DoseSheet, LawnSheet, Pass, Tanks, Together
from advisor.plan.dose_steps import Passes, passes
from advisor.plan.dose_words import bags_text, cost_text, covers_text, mass_text, money
from advisor.plan.dose_year import year_sums
from advisor.plan.lying import lying
from advisor.plan.model import Dose, SiteName
from advisor.plan.names import grass_text
from advisor.plan.restrict import lasting
from advisor.plan.weighing import Weighed, rate_text, weighed
from advisor.series.quantity import Kind, show, show_small
from advisor.site.amounts import Amount
from advisor.site.events import tasks_of
from advisor.site.lawns import Lawn
from advisor.site.named import task_written
from advisor.site.shelf import PHOSPHORUS_IN_P2O5, POTASSIUM_IN_K2O, Product
from advisor.site.spreaders import Sprayer, Spreader
from advisor.site.sums import Sums


class AskError(ValueError):
    """What was asked for cannot be of this product; the message is a sentence that says why."""


@dataclass(frozen=True)
class Catch:
    """What was caught on a measured area, from one pass: a mass [kg] or a volume [L]."""

    amount: Amount
    area_m2: float


@dataclass(frozen=True)
class Ask:
    """What a call asks for beside the product: a lower rate, by product (`rate`) or by nitrogen
    [g/m2]; a spreader or sprayer; a catch to be held against the dose."""

    rate: Amount | None = None
    nitrogen_g_m2: float | None = None
    tool: Spreader | Sprayer | None = None
    catch: Catch | None = None


def dose_sheet(
    product: Product, lawns: Sequence[Lawn], sums: Sums, task: str, ask: Ask
) -> DoseSheet:
    """The doses of a product as of the sums' day. Raises AskError for what no product can give."""
    site, day = sums.site, sums.today
    asked = _asked_rate(product, ask)
    _check_tool(product, ask)
    sheets = [_lawn_sheet(product, lawn, sums, task, asked, ask) for lawn in lawns]
    doses = [sheet.dose for sheet in sheets if sheet.dose is not None]
    return DoseSheet(
        site=SiteName.of(site),
        on=day,
        product=product.name,
        title=product.shown,
        analysis=product.analysis.text if product.analysis else None,
        task=task,
        lawns=tuple(sheets),
        together=_together(product, doses, site.units) if doses else None,
        notes=tuple(_notes(product, sums)) if doses else (),
    )


def _asked_rate(product: Product, ask: Ask) -> float | None:
    """The rate that is asked for, in the measure of the label's rate [g/m2 or L/m2]."""
    if ask.nitrogen_g_m2 is not None:
        if product.nitrogen_fraction == 0:
            raise AskError(f"{product.shown} has no nitrogen.")
        grams = ask.nitrogen_g_m2 / product.nitrogen_fraction
        if product.measured_in == "kg":
            return grams
        return grams / 1000 / product.density_kg_l if product.density_kg_l else None
    if ask.rate is None or product.rate is None:
        return None
    if ask.rate.kind is not product.rate.kind:
        raise AskError(
            f"{product.shown} has a rate by {product.rate.kind} on its label; ask by that."
        )
    return ask.rate.value


def _check_tool(product: Product, ask: Ask) -> None:
    granular = product.form == "granular"
    if isinstance(ask.tool, Sprayer) and granular:
        raise AskError(f"{ask.tool.shown} is a sprayer, and {product.shown} is spread.")
    if isinstance(ask.tool, Spreader) and not granular:
        raise AskError(f"{ask.tool.shown} is a spreader, and {product.shown} is sprayed.")
    if ask.catch is not None and (ask.catch.amount.kind is Kind.MASS) is not granular:
        right = "1.5 lb on 100 ft2" if granular else "44 fl oz on 340 ft2"
        raise AskError(f"a catch of {product.shown} is written like {right}.")


def _lawn_sheet(
    product: Product, lawn: Lawn, sums: Sums, task: str, asked: float | None, ask: Ask
) -> LawnSheet:
    site, day = sums.site, sums.today
    found: Measured | Refusal
    if product.allowed_on(lawn.grass, lawn.grass_class):
        found = measure(
            product, lawn, site, sums, day, task=task, asked=asked, tool=ask.tool
        )  # fmt: skip
    else:
        found = Refusal(
            tell(
                "the label of {product} does not name {grass}",
                product=product.shown,
                grass=grass_text(lawn.grass),
            )
        )
    not_now = tuple(_not_now(product, lawn, sums))
    if isinstance(found, Refusal):
        return LawnSheet(
            lawn=lawn.name, title=lawn.shown, dose=None, refused=found.why,
            unknown=found.unknown, not_now=not_now,
        )  # fmt: skip
    dose = found.dose
    tool = tool_for(product, site, sums, day, ask.tool)
    amount = found.weighed
    spread = passes(product, amount, dose.area_m2)
    return LawnSheet(
        lawn=lawn.name,
        title=lawn.shown,
        dose=dose,
        asked=_asked_text(found, asked, site.units),
        not_now=not_now,
        brings=tuple(_brought(product, dose, site.units)),
        year=tuple(year_sums(found.grams_per_m2, product, lawn, sums)),
        passes=(_pass(spread, site.units),) * 2 if spread else (),
        tanks=_tanks(product, amount, dose.area_m2, tool, site.units),
        tool=tool.shown if tool else "",
        checks=tuple(_checks(product, spread, tool, ask, site.units)),
        cost_text=cost_text(dose, site.units),
    )


def _asked_text(found: Measured, asked: float | None, units: str) -> str:
    if asked is None or found.limit is Limit.ASKED:
        return ""
    return tell(
        "You asked for {rate}. {limit} holds.",
        rate=rate_text(asked, found.dose.amount_unit == "L", units),
        limit=capitalised(found.dose.limited_by),
    )


def _not_now(product: Product, lawn: Lawn, sums: Sums) -> Iterator[str]:
    """What forbids it on the day, whatever the weather: law, what lies on the lawn, the label's
    interval."""
    for law in lasting(sums.site, lawn, product, [sums.today], sums):
        if law.held[0]:
            yield law.sentence
    for held in lying(sums.site, lawn, sums.shelf, product, [sums.today], sums):
        if held.held[0] and not held.until_answered:
            yield held.sentence
    tasks = tasks_of(product, sums.shelf)
    for advice in sums.open_advice:
        given = sums.shelf.get(advice.product or "")
        same = tasks & ({advice.task} | (tasks_of(given, sums.shelf) if given else set()))
        if advice.lawn == lawn.name and same:
            yield tell(
                "{tasks} was advised for {day}, and nobody has said whether it was done: say that"
                " first.",
                tasks=capitalised(listed([task_written(task) for task in sorted(same)])),
                day=day_text(advice.day, sums.site.units),
            )
    if product.interval_days is None:
        return
    for task in sorted(tasks):
        low, high = sums.days_since(lawn.name, task, [sums.today])
        if low[0] < product.interval_days - 1e-9:
            words = {
                "wait": show(product.interval_days, Kind.DURATION),
                "task": task_written(task),
            }
            if high[0] < product.interval_days - 1e-9:
                yield tell(
                    "The label wants {wait} after the last {task}, and it is {time}.",
                    time=show(float(high[0]), Kind.DURATION),
                    **words,
                )
            else:
                yield tell(
                    "The label wants {wait} after the last {task}, and whether they are over is not"
                    " known.",
                    **words,
                )


def _brought(product: Product, dose: Dose, units: str) -> Iterator[Brought]:
    for one in dose.delivers:
        yield _row(one.substance, one.g_per_m2, dose, units)
        if one.substance == "nitrogen":
            soluble = one.g_per_m2 * (1 - product.slow_release)
            yield _row("soluble nitrogen", soluble, dose, units, of="nitrogen")
        elif one.substance == "phosphorus":
            yield _row("P2O5", one.g_per_m2 / PHOSPHORUS_IN_P2O5, dose, units, of="phosphorus")
        elif one.substance == "potassium":
            yield _row("K2O", one.g_per_m2 / POTASSIUM_IN_K2O, dose, units, of="potassium")


def _row(name: str, g_m2: float, dose: Dose, units: str, *, of: str = "") -> Brought:
    grams = g_m2 * dose.area_m2
    return Brought(
        substance=name,
        of=of,
        g_per_m2=g_m2,
        text=show_small(g_m2, units),
        lawn_g=grams,
        lawn_text=mass_text(grams, units),
    )


def _pass(spread: Passes, units: str) -> Pass:
    return Pass(
        kg=spread.each,
        text=spread.each_text,
        rate_g_per_m2=spread.rate_g_m2,
        rate_text=rate_text(spread.rate_g_m2, False, units),
        kept_back_kg=spread.reserve.value,
        kept_back_text=spread.reserve.text,
    )


def _tanks(
    product: Product,
    amount: Weighed,
    area_m2: float,
    tool: Spreader | Sprayer | None,
    units: str,
) -> Tanks | None:
    sprayer = tool if isinstance(tool, Sprayer) else None
    mix = spray.mixed(product, amount, area_m2, sprayer, units)
    if mix is None:
        return None
    return Tanks(
        total_l=mix.total_l,
        count=mix.tanks,
        each_l=mix.total_l / mix.tanks if mix.tanks else None,
        product_each=mix.product_each.value if mix.product_each else None,
        text=mix.text,
        note=mix.note,
    )


def _checks(
    product: Product,
    spread: Passes | None,
    tool: Spreader | Sprayer | None,
    ask: Ask,
    units: str,
) -> Iterator[str]:
    """How to see that what goes down is what is meant."""
    if spread is not None and isinstance(tool, Spreader):
        hoppers = spreading.hoppers_text(tool, spread.each, units)
        if hoppers:
            yield hoppers
        run = spreading.strip_run(tool, spread.rate_g_m2, units)
        if run is not None:
            yield run.text
    if ask.catch is None:
        return
    caught = ask.catch
    if spread is not None:
        rate = spreading.catch_rate(caught.amount.value, caught.area_m2)
        yield spreading.catch_text(rate, spread.rate_g_m2, units)
    else:
        rate = caught.amount.value / caught.area_m2
        yield spray.catch_text(rate, product.carrier_l_m2, units)


def _together(product: Product, doses: Sequence[Dose], units: str) -> Together:
    amount = sum(dose.amount for dose in doses)
    kind = Kind.VOLUME if doses[0].amount_unit == "L" else Kind.MASS
    count, left = cost.bags(product, amount), cost.left_over(product, amount)
    costs = [dose.cost for dose in doses if dose.cost is not None]
    per_area = 1.0 if kind is Kind.VOLUME else 1000.0
    rate = max(dose.amount * per_area / dose.area_m2 for dose in doses)
    covers = cost.covered_m2(product, rate)
    return Together(
        amount=amount,
        amount_text=weighed(amount, kind, units).text,
        bags=count,
        left_over=left,
        bags_text=bags_text(product, count, weighed(left, kind, units).text, units)
        if count is not None and left is not None
        else "",
        cost=sum(costs) if costs else None,
        cost_text=money(sum(costs)) if costs else "",
        coverage_m2=covers,
        coverage_text=covers_text(product, show(covers, Kind.AREA, units))
        if covers is not None
        else "",
    )


def _notes(product: Product, sums: Sums) -> Iterator[str]:
    if product.bag is None or product.price is None:
        missing = [key for key in ("bag", "price") if getattr(product, key) is None]
        yield tell("For bags and cost, write into the shelf: {keys}.", keys=listed(missing))
    if product.form != "granular":
        return
    if not sums.site.spreaders:
        yield tell(
            "Write your spreader into site.toml as [[spreader]], and the next doses say how to set"
            " its opening."
        )
        return
    used = tool_for(product, sums.site, sums, sums.today) or sums.site.spreaders[0]
    area = "200 ft2" if sums.site.units == "us" else "20 m2"
    left = "0.6 lb" if sums.site.units == "us" else "0.3 kg"
    yield tell(
        "Log what went down, and what was left of all that was weighed out when the lawn was"
        " covered: applied … of {product} with {spreader}, {left} left. Or, where a pass ran"
        " out too soon, with what it had kept back, the ground that it did not reach: {area}"
        " short; weigh out no more for that. The next dose then says how to set the opening.",
        product=product.name,
        spreader=used.name,
        left=left,
        area=area,
    )
