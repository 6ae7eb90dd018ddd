"""A replay as plain text: week by week, totals, what held, and what differs."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from advisor.digest.words import counted
from advisor.language.dates import day_text
from advisor.plan.model import Verdict
from advisor.plan.replay_model import Compared, Held, LawnTotals, Replay, Run, Told, Week
from advisor.plan.words import TASK_SHORT

FLATTERING = (
    "This flatters: each digest knew the weather to come as it then came. No forecast is so good;"
    " it shows what the rules would do at best."
)
CALENDAR = (
    "no forecast was kept: the digest knew only what had come and the calendar, which is the usual"
    " weather of the date from past years, or the last thirty days' where none are stored"
)
INVENTED = (
    "The weather is invented: this shows that the parts fit together, and nothing about the world."
)
OWNERS = {
    "obeys": "an owner who does what each digest says and writes it down",
    "journal": "the journal as it stood on each day, whatever was advised",
}
NO_HOLDS = "nothing held while a window was open"
SHOWN_HOLDS = 6
WIDTH = 100
"""Columns of the terminal: a week's table wants more than prose."""
LEAST_LAST = 24


def render_replay(replay: Replay) -> str:
    """The whole replay, for a terminal."""
    return "\n".join(_lines(replay)).rstrip("\n")


def _lines(replay: Replay) -> Iterator[str]:
    yield f"{replay.site.title}, from {replay.first} to {replay.last}, lived again"
    for text in about(replay):
        yield from _prose(text)
    for run in ordered(replay):
        yield ""
        yield from _run(replay, run)
    for compared in replay.compared:
        yield ""
        yield from _compared(replay, compared)
    if replay.credit:
        yield ""
        yield replay.credit


def about(replay: Replay) -> list[str]:
    """What the replay rests on, a sentence or two each."""
    against = f" Held against: {replay.against}." if replay.against else ""
    return [
        f"Owner: {OWNERS[replay.owner]}.",
        f"Rules: {replay.rules}.{against}",
        f"Weather: {replay.weather}." + (f" {INVENTED}" if replay.invented else ""),
        *replay.assumed,
    ]


def _prose(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH)


def _table(rows: Sequence[Sequence[str]]) -> Iterator[str]:
    """Rows with their columns in line; the last column is wrapped within itself."""
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]) - 1)]
    indent = sum(width + 2 for width in widths)
    for *cells, last in rows:
        lead = "".join(f"{cell:<{width}}  " for cell, width in zip(cells, widths, strict=True))
        parts = textwrap.wrap(last, max(LEAST_LAST, WIDTH - indent)) or [""]
        yield (lead + parts[0]).rstrip()
        for part in parts[1:]:
            yield " " * indent + part


def ordered(replay: Replay) -> list[Run]:
    """The honest runs before the flattering ones, one rulebook after the other."""
    return sorted(replay.runs, key=lambda run: (run.rules != "own", run.flattering))


def headed(replay: Replay, run: Run) -> str:
    """What a run is called."""
    sight = "With perfect foresight" if run.flattering else "With the forecasts as issued"
    if by_calendar(run):
        sight = "With the calendar in place of forecasts"
    if replay.against is None:
        return sight
    return f"{sight}, by {replay.rules if run.rules == 'own' else replay.against}"


def known_how(run: Run) -> str:
    """How much of the time a forecast as issued was kept; empty where it always was."""
    calendar = sum(week.foresight == "climatology" for week in run.weeks)
    if not calendar:
        return ""
    return f"In {calendar} of {len(run.weeks)} weeks {CALENDAR}."


def _run(replay: Replay, run: Run) -> Iterator[str]:
    head = headed(replay, run)
    yield head
    yield "=" * len(head)
    if run.flattering:
        yield from _prose(FLATTERING)
    yield from _prose(known_how(run))
    yield ""
    table = [cells for week in run.weeks for cells in week_cells(week, replay.site.units)]
    yield from _table([("Digest", "Verdict", "Lawn", "Task", "When", "How much, or why"), *table])
    yield ""
    for lawn in run.totals:
        yield from _totals(lawn)
    yield "Held while a window was open, as each digest saw its week:"
    for held in run.held:
        text = f"{held.lawn}, {TASK_SHORT.get(held.task, held.task)}: {held_words(held)}"
        yield from textwrap.wrap(text, WIDTH, initial_indent="  ", subsequent_indent="    ")
    if not run.held:
        yield f"  {NO_HOLDS}"


def week_cells(week: Week, units: str) -> list[tuple[str, ...]]:
    """The rows of a week: what there was to do, else why there was nothing; what was taken
    back, and what water notes told of."""
    doing = [told for told in week.told if told.verdict is not Verdict.WAIT]
    on = str(week.on)
    cells: list[tuple[str, ...]] = [
        (
            on if i == 0 else "", told.verdict.value, told.lawn,
            TASK_SHORT.get(told.task, told.task), when(told, units), told.what,
        )
        for i, told in enumerate(doing)
    ]  # fmt: skip
    if not doing:
        cells.append(
            (on, "cannot tell" if week.cannot_tell else "wait", "", "", "", _why(week, units))
        )
    for back in week.taken_back:
        then = f"; then {day_text(back.instead, units)}" if back.instead else ""
        cells.append(
            (
                "", "taken back", back.lawn, TASK_SHORT.get(back.task, back.task),
                day_text(back.day, units), back.because.rstrip(".") + then,
            )
        )  # fmt: skip
    cells += [
        (
            "", "water by note", told.lawn, TASK_SHORT.get(told.task, told.task),
            when(told, units), told.what,
        )
        for told in week.noted
    ]  # fmt: skip
    return cells


def when(told: Told, units: str) -> str:
    """Day and hours of an action."""
    if told.day is None:
        return ""
    hours = f" {told.start} to {told.end}" if told.start and told.end else ""
    return f"{day_text(told.day, units)}{hours}"


def _why(week: Week, units: str) -> str:
    """Which rules kept the lawns waiting; else when the digest said to look again."""
    if week.cannot_tell:
        return week.text
    rules = dict.fromkeys(held.rule for held in week.held if held.held_days and held.rule)
    if rules:
        return f"held by {', '.join(rules)}"
    later = min((told.look_again for told in week.told if told.look_again), default=None)
    return f"look again on {day_text(later, units)}" if later else "no window is open"


def _totals(lawn: LawnTotals) -> Iterator[str]:
    applications = counted(lawn.applications, "application")
    yield f"{lawn.title} ({lawn.lawn}): {applications}, {lawn.water_text} of water"
    for substance in lawn.substances:
        yield f"  {substance_name(substance.name)}: {substance.text}"
    for year in lawn.years:
        yield f"  {substance_name(year.name)} in {year.year}: {year.text}"


def substance_name(name: str) -> str:
    """A substance as it is shown: a product by its own name."""
    return name.removeprefix("product:")


def held_words(held: Held) -> str:
    """On how many days what held a task."""
    if not held.held_days:
        return f"open on {held.open_days} days, never held"
    shown = ", ".join(f"{by.rule} {by.days}" for by in held.by[:SHOWN_HOLDS])
    more = len(held.by) - SHOWN_HOLDS
    return f"open on {held.open_days} days, held on {held.held_days}: {shown}" + (
        f" and {more} more" if more > 0 else ""
    )


def by_calendar(run: Run) -> bool:
    """Whether no forecast of the season was kept."""
    return all(week.foresight == "climatology" for week in run.weeks)


def _foreseen(run: Run) -> str:
    if run.flattering:
        return "with perfect foresight"
    return "by the calendar" if by_calendar(run) else "as issued"


def compared_head(replay: Replay, compared: Compared) -> tuple[str, str, str]:
    """What two runs side by side are called, together and each."""
    one, other = replay.runs[compared.one], replay.runs[compared.other]
    if one.rules == other.rules:
        return "What better forecasts would have changed", _foreseen(one), _foreseen(other)
    left, right = replay.rules, replay.against or ""
    return f"What the other rulebook changes, {_foreseen(one)}", left, right


def differ_words(replay: Replay, compared: Compared) -> str:
    """How many digests differ, and by what they were compared."""
    weeks = len({week.on for week in compared.weeks})
    text = f"{weeks} of {weeks + compared.same_weeks} digests say something else."
    if replay.runs[compared.one].foresight != replay.runs[compared.other].foresight:
        text += " Compared by the days of what was to be done, not by hours and amounts."
    return text


def _compared(replay: Replay, compared: Compared) -> Iterator[str]:
    head, left, right = compared_head(replay, compared)
    yield head
    yield "=" * len(head)
    weeks = len({week.on for week in compared.weeks})
    if not weeks:
        yield f"Nothing: all {compared.same_weeks} digests say the same."
        return
    yield from _prose(differ_words(replay, compared))
    yield ""
    table = [
        (str(week.on), week.lawn, TASK_SHORT.get(week.task, week.task), week.one, week.other)
        for week in compared.weeks
    ]
    yield from _table([("Digest", "Lawn", "Task", left, right), *table])
    yield ""
    for mine, theirs in zip(
        replay.runs[compared.one].totals, replay.runs[compared.other].totals, strict=True
    ):
        yield f"{mine.title}"
        yield f"  {left}: {total_words(mine)}"
        yield f"  {right}: {total_words(theirs)}"


def total_words(lawn: LawnTotals) -> str:
    """A lawn's totals in a line."""
    nitrogen = next((s.text for s in lawn.substances if s.name == "nitrogen"), "no")
    applications = counted(lawn.applications, "application")
    return f"{applications}, {nitrogen} nitrogen, {lawn.water_text} of water"
