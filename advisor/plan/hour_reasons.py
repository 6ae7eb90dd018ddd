"""Why no stretch of a day's hours is left: the rules that hold them, hour by hour."""

from __future__ import annotations

from collections.abc import Iterable

from advisor.language.listing import listed
from advisor.language.words import tell
from advisor.plan.reason import Reason, evidence, missing_in, only_beyond
from advisor.plan.view import View
from advisor.rulebook.book import RuleKind
from advisor.site.free_time import FIRST_HOUR, LAST_HOUR
from advisor.site.words import WATERING


def hours_held(view: View, names: Iterable[str], day: int) -> list[Reason]:
    """The hour rules that hold `names` (tasks, kinds of product) in some hour of a day in which
    work is planned; the one that holds most hours stands first."""
    wanted = frozenset(names)
    clock = view.setting.hours.clock
    rows = [
        int(row)
        for row in view.by_hour.rows(day)
        if wanted == {WATERING} or FIRST_HOUR <= int(clock[row]) < LAST_HOUR
    ]
    found: list[tuple[int, Reason]] = []
    for rule in view.by_hour.rules(RuleKind.HOLDS, wanted):
        holding, said = view.by_hour.holding(rule, wanted), view.by_hour.says(rule)
        held = [row for row in rows if holding[row]]
        if not held:
            continue
        sure = [row for row in held if said.yes[row]]
        explanation = view.explain(rule, day, (sure or held)[0])
        missing = None if sure else missing_in(explanation, view.setting.book)
        because = explanation.sentence
        if missing:
            because = tell("Cannot tell whether it has to wait; {missing}.", missing=missing.text)
        reason = Reason(
            rule.name,
            tell(
                "{sentence} So it is {hours}.",
                sentence=because,
                hours=runs([int(clock[row]) for row in held]),
            ),
            evidence(explanation, view.setting.book),
            rule.source,
            day,
            missing is not None and not only_beyond(explanation),
            missing=missing.text if missing else "",
            undated=missing.undated if missing else (),
        )
        found.append((-len(held), reason))
    return [reason for _, reason in sorted(found, key=lambda pair: pair[0])]


def runs(hours: list[int]) -> str:
    """Clock hours as stretches: `from 07:00 to 10:00 and from 15:00 to 17:00`."""
    found: list[list[int]] = []
    for hour in hours:
        if found and found[-1][1] == hour:
            found[-1][1] = hour + 1
        else:
            found.append([hour, hour + 1])
    return listed(
        [
            tell("from {start} to {end}", start=f"{start:02}:00", end=f"{end % 24:02}:00")
            for start, end in found
        ]
    )
