"""One task on one lawn as the plan document tells it: what to do, or why it waits."""

from __future__ import annotations

from datetime import date

from advisor.language.dates import day_text
from advisor.language.words import tell
from advisor.plan.choice import Choice, Walk, by_lawn
from advisor.plan.dose_steps import BOUND
from advisor.plan.go_line import go_line
from advisor.plan.how_sure import how_sure
from advisor.plan.model import Action, Dose, SecondChoice, Verdict
from advisor.plan.reason import evidence
from advisor.plan.reasons import Waiting, waiting
from advisor.plan.restrict import BY_LAW, go_words, storms_forbid
from advisor.plan.second import SAY_FIRST
from advisor.plan.tell_water import Watered, tell_water
from advisor.plan.view import ADVICE_DAYS, Setting, View
from advisor.plan.water_in import how_watered_in, watered_in
from advisor.plan.why_chosen import owner_only, why_chosen
from advisor.plan.words import WATCH_CAUTION, WATER_CAUTION, heat_caution, task_title
from advisor.site.journal import Journal
from advisor.site.watched import watches_told
from advisor.site.words import WATERING


def action_id(lawn: str, task: str, day: date) -> str:
    """The name of an action: the same while its task, lawn and day are."""
    return f"{task}/{lawn}/{day.isoformat()}"


def do(setting: Setting, choice: Choice) -> Action:
    day = setting.days[choice.day]
    units = setting.site.units
    start, end = choice.stretch.text() if choice.stretch else (None, None)
    cautions: list[str] = []
    watered = Watered.nothing()
    if choice.task == WATERING:
        watered = tell_water(setting, choice)
        cautions.append(tell(WATER_CAUTION))
    else:
        caution = heat_caution(setting.weather.daily.heat_index[choice.day], units)
        if caution:
            cautions.append(caution)
        cautions += _watch_cautions(setting, choice)
    closes = setting.days[choice.closes] if choice.closes is not None else None
    dose = _dose(setting, choice)
    because = watered.led_in(choice.explanation.sentence)
    return Action(
        id=action_id(choice.lawn.name, choice.task, day),
        task=choice.task,
        title=task_title(choice.task),
        verdict=Verdict.WATER if choice.task == WATERING else Verdict.APPLY,
        rule=choice.rule.name,
        because=because,
        brief=because,
        reasons=watered.reasons,
        evidence=evidence(choice.explanation, setting.book),
        day=day,
        start=start,
        end=end,
        closes=closes if choice.task != WATERING else None,
        go_line=go_line(choice, setting, go_words(setting.site, choice.lawn, choice.product)),
        chosen=why_chosen(choice),
        second=_second(setting, choice),
        sure=how_sure(setting, choice),
        flag=watered.flag,
        dose=dose,
        product_why=choice.measured.why if choice.measured else (),
        burn=choice.measured.burn if choice.measured else None,
        water_mm=round(choice.water_mm, 2) if choice.task == WATERING else None,
        water_text=watered.text,
        zones=watered.zones,
        cautions=tuple(cautions),
        source=choice.rule.source,
    )


def _watch_cautions(setting: Setting, choice: Choice) -> tuple[str, ...]:
    """That nobody looks for the watches under which the law forbids this work, where so."""
    if not storms_forbid(setting.site, choice.lawn, choice.product):
        return ()
    journal = choice.placed.view.sums.journal if choice.placed is not None else Journal()
    return () if watches_told(setting.site, journal) else (tell(WATCH_CAUTION),)


def _dose(setting: Setting, choice: Choice) -> Dose | None:
    """The dose, and the day on which it may be watered in where watering rules bind that."""
    if choice.measured is None or choice.product is None:
        return None
    dose = choice.measured.dose
    wet = watered_in(setting, choice.lawn, choice.product, choice.day, choice.stretch)
    if wet is None:
        return dose
    steps = tuple(step.replace(tell(BOUND), how_watered_in(setting, wet)) for step in dose.steps)
    return dose.model_copy(update={"steps": steps})


def _second(setting: Setting, choice: Choice) -> SecondChoice | None:
    second = choice.second
    if second is None:
        return None
    if second.day is None or second.stretch is None:
        return SecondChoice(text=second.why, say_first=second.why == tell(SAY_FIRST))
    day = setting.days[second.day]
    start, end = second.stretch.text()
    if second.day == choice.day:
        text = tell("later that day, {start} to {end}", start=start, end=end)
    else:
        when = day_text(day, setting.site.units)
        text = tell("{day}, {start} to {end}", day=when, start=start, end=end)
    return SecondChoice(day=day, start=start, end=end, text=text)


def wait(setting: Setting, done: Walk, view: View, task: str) -> Action:
    to_come = [c for c in by_lawn(done.choices, view.lawn.name) if c.task == task]
    if to_come:
        choice = to_come[0]
        when = setting.days[choice.day]
        alone = owner_only(choice)
        because = alone or tell(
            "Not before {day}, as the forecast stands.", day=day_text(when, setting.site.units)
        )
        return Action(
            id=action_id(view.lawn.name, task, setting.days[setting.today]),
            task=task,
            title=task_title(task),
            verdict=Verdict.WAIT,
            rule=choice.rule.name,
            because=because,
            brief=because,
            not_before=None if alone else when,
            reasons=(*_law_until_then(setting, done, choice), choice.explanation.sentence),
            evidence=evidence(choice.explanation, setting.book),
            look_again=when,
            chosen=why_chosen(choice),
            source=choice.rule.source,
        )
    found: Waiting = waiting(done, view, task)
    first = found.reasons[0] if found.reasons else None
    because = first.because if first else tell("No rule asks for it now.")
    return Action(
        id=action_id(view.lawn.name, task, setting.days[setting.today]),
        task=task,
        title=task_title(task),
        verdict=Verdict.WAIT,
        rule=first.rule if first else "none",
        because=because,
        brief=(first.brief if first else "") or because,
        reasons=tuple(reason.because for reason in found.reasons[1:3]),
        evidence=first.evidence if first else (),
        # What cannot be told may be open for all that is known.
        held=_window_open(view, task) or (first is not None and first.unknown),
        look_again=found.look_again,
        flag=found.flag,
        source=first.source if first else "",
    )


def _window_open(view: View, task: str) -> bool:
    """Whether some rule opens the task on a day of the coming week."""
    week = slice(view.setting.today, min(view.setting.end, view.setting.today + ADVICE_DAYS))
    return task != WATERING and any(bool(days[week].any()) for _, days in view.opened(task))


def _law_until_then(setting: Setting, done: Walk, choice: Choice) -> tuple[str, ...]:
    """What the law holds today against what is planned for a later day, as sentences."""
    if choice.product is None:
        return ()
    return tuple(
        restriction.sentence
        for restriction in done.before[choice.lawn.name].restrictions(choice.product)
        if restriction.name in BY_LAW and restriction.held[setting.today]
    )
