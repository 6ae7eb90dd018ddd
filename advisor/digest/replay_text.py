"""A replay as plain text: week by week, totals, what held, and what differs."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from advisor.digest.words import applications_text
from advisor.language.dates import day_text
from advisor.language.listing import enumerated
from advisor.language.words import later, tell
from advisor.plan.model import Verdict
from advisor.plan.replay_model import Compared, Held, LawnTotals, Replay, Run, Told, Week
from advisor.plan.replay_totals import PRODUCT
from advisor.plan.words import task_short, verdict_within
from advisor.site.named import caught_by_law

FLATTERING = later(
    "This flatters: each digest knew the weather to come as it then came. No forecast is so good;"
    " it shows what the rules would do at best."
)
INVENTED = later(
    "The weather is invented: this shows that the parts fit together, and nothing about the world."
)
OWNERS = {
    "obeys": later("Owner: an owner who does what each digest says and writes it down."),
    "journal": later("Owner: the journal as it stood on each day, whatever was advised."),
}
NO_HOLDS = later("nothing held while a window was open")
SHOWN_HOLDS = 6
WIDTH = 100
"""Columns of the terminal: a week's table wants more than prose."""
LEAST_LAST = 24


def render_replay(replay: Replay) -> str:
    """The whole replay, for a terminal."""
    return "\n".join(_lines(replay)).rstrip("\n")


def _lines(replay: Replay) -> Iterator[str]:
    yield tell(
        "{site}, from {first} to {last}, lived again",
        site=replay.site.title,
        first=replay.first,
        last=replay.last,
    )
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
    rules = tell("Rules: {rules}.", rules=replay.rules)
    if replay.against:
        rules = tell(
            "Rules: {rules}. Held against: {others}.", rules=replay.rules, others=replay.against
        )
    # A recording has a name in words; a service's stays as it is.
    weather = tell("Weather: {weather}.", weather=tell(replay.weather))
    return [
        tell(OWNERS[replay.owner]),
        rules,
        f"{weather} {tell(INVENTED)}" if replay.invented else weather,
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
    if by_calendar(run):
        sight = tell("With the calendar in place of forecasts")
    elif run.flattering:
        sight = tell("With perfect foresight")
    else:
        sight = tell("With the forecasts as issued")
    if replay.against is None:
        return sight
    rules = replay.rules if run.rules == "own" else replay.against
    return tell("{sight}, by {rules}", sight=sight, rules=rules)


def known_how(run: Run) -> str:
    """How much of the time a forecast as issued was kept; empty where it always was."""
    calendar = sum(week.foresight == "climatology" for week in run.weeks)
    if not calendar:
        return ""
    return tell(
        "In {some} of {all} weeks no forecast was kept: the digest knew only what had come and the"
        " calendar, which is the usual weather of the date from past years, or the last thirty"
        " days' where none are stored.",
        some=calendar,
        all=len(run.weeks),
    )


def _run(replay: Replay, run: Run) -> Iterator[str]:
    head = headed(replay, run)
    yield head
    yield "=" * len(head)
    if run.flattering:
        yield from _prose(tell(FLATTERING))
    yield from _prose(known_how(run))
    yield ""
    rows = [row for week in run.weeks for row in week_rows(week, replay.site.units)]
    yield from _table([week_headings(), *(row.cells for row in rows)])
    yield ""
    for lawn in run.totals:
        yield from _totals(lawn)
    yield tell("Held while a window was open, as each digest saw its week:")
    for held in run.held:
        text = f"{held.lawn}, {task_short(held.task)}: {held_words(held)}"
        yield from textwrap.wrap(text, WIDTH, initial_indent="  ", subsequent_indent="    ")
    if not run.held:
        yield from textwrap.wrap(tell(NO_HOLDS), WIDTH, initial_indent="  ")


@dataclass(frozen=True)
class WeekRow:
    """A row of a week: its cells as `week_headings` heads them, and what it tells of, as a page's
    look has it: `apply`, `wait`, `water`, `cannot` or `taken`."""

    look: str
    cells: tuple[str, str, str, str, str, str]


def week_headings() -> tuple[str, ...]:
    """What stands above the rows of the weeks."""
    return (
        tell("Digest"), tell("Verdict"), tell("Lawn"), tell("Task"), tell("When"),
        tell("How much, or why"),
    )  # fmt: skip


def week_rows(week: Week, units: str) -> list[WeekRow]:
    """The rows of a week: what there was to do, else why there was nothing; what was taken
    back, and what water notes told of."""
    doing = [told for told in week.told if told.verdict is not Verdict.WAIT]
    on = str(week.on)
    rows = [
        WeekRow(
            told.verdict.value,
            (
                on if i == 0 else "", verdict_within(told.verdict), told.lawn,
                task_short(told.task), when(told, units), told.what,
            ),
        )
        for i, told in enumerate(doing)
    ]  # fmt: skip
    if not doing and week.cannot_tell:
        rows.append(WeekRow("cannot", (on, tell("cannot tell"), "", "", "", week.text)))
    elif not doing:
        wait = verdict_within(Verdict.WAIT)
        rows.append(WeekRow(Verdict.WAIT.value, (on, wait, "", "", "", _why(week, units))))
    for back in week.taken_back:
        why = back.because.rstrip(".")
        if back.instead:
            why = tell("{why}; then {day}", why=why, day=day_text(back.instead, units))
        cells = (
            "", tell("taken back"), back.lawn, task_short(back.task), day_text(back.day, units), why
        )  # fmt: skip
        rows.append(WeekRow("taken", cells))
    rows += [
        WeekRow(
            Verdict.WATER.value,
            (
                "", tell("water by note"), told.lawn, task_short(told.task), when(told, units),
                told.what,
            ),
        )
        for told in week.noted
    ]  # fmt: skip
    return rows


def when(told: Told, units: str) -> str:
    """Day and hours of an action."""
    if told.day is None:
        return ""
    day = day_text(told.day, units)
    if told.start and told.end:
        return tell("{day} {start} to {end}", day=day, start=told.start, end=told.end)
    return day


def _why(week: Week, units: str) -> str:
    """Which rules kept the lawns waiting; else when the digest said to look again."""
    rules = dict.fromkeys(held.rule for held in week.held if held.held_days and held.rule)
    if rules:
        return tell("held by {rules}", rules=enumerated(list(rules)))
    again = min((told.look_again for told in week.told if told.look_again), default=None)
    if again is None:
        return tell("no window is open")
    return tell("look again on {day}", day=day_text(again, units))


def _totals(lawn: LawnTotals) -> Iterator[str]:
    yield tell(
        "{lawn} ({name}): {applications}, {water} of water",
        lawn=lawn.title,
        name=lawn.lawn,
        applications=applications_text(lawn.applications),
        water=lawn.water_text,
    )
    for text in (*substance_texts(lawn), *limit_texts(lawn)):
        yield f"  {text}"


def substance_texts(lawn: LawnTotals) -> list[str]:
    """How much the lawn got of each substance."""
    return [f"{_substance_name(one.name)}: {one.text}" for one in lawn.substances]


def limit_texts(lawn: LawnTotals) -> list[str]:
    """What each year has had of what is limited."""
    return [
        tell(
            "{substance} in {year}: {amount}",
            substance=_substance_name(one.name),
            year=one.year,
            amount=one.text,
        )
        for one in lawn.years
    ]


def _substance_name(name: str) -> str:
    """A substance as it is shown: a product by its own name."""
    return name.removeprefix(PRODUCT) if name.startswith(PRODUCT) else caught_by_law(name)


def held_words(held: Held) -> str:
    """On how many days what held a task."""
    if not held.held_days:
        return tell("open on {days} days, never held", days=held.open_days)
    shown = enumerated([f"{by.rule} {by.days}" for by in held.by[:SHOWN_HOLDS]])
    more = len(held.by) - SHOWN_HOLDS
    words = {"days": held.open_days, "held": held.held_days, "rules": shown}
    if more > 0:
        return tell(
            "open on {days} days, held on {held}: {rules} and {more} more", more=more, **words
        )
    return tell("open on {days} days, held on {held}: {rules}", **words)


def by_calendar(run: Run) -> bool:
    """Whether no forecast of the season was kept."""
    return all(week.foresight == "climatology" for week in run.weeks)


def _foreseen(run: Run) -> str:
    if run.flattering:
        return tell("with perfect foresight")
    return tell("by the calendar") if by_calendar(run) else tell("as issued")


def compared_head(replay: Replay, compared: Compared) -> tuple[str, str, str]:
    """What two runs side by side are called, together and each."""
    one, other = replay.runs[compared.one], replay.runs[compared.other]
    if one.rules == other.rules:
        head = tell("What better forecasts would have changed")
        return head, _foreseen(one), _foreseen(other)
    head = tell("What the other rulebook changes, {sight}", sight=_foreseen(one))
    return head, replay.rules, replay.against or ""


def differ_words(replay: Replay, compared: Compared) -> str:
    """How many digests differ, and by what they were compared."""
    weeks = len({week.on for week in compared.weeks})
    if not weeks:
        return tell("Nothing: all {count} digests say the same.", count=compared.same_weeks)
    text = tell(
        "{some} of {all} digests say something else.", some=weeks, all=weeks + compared.same_weeks
    )
    if replay.runs[compared.one].foresight == replay.runs[compared.other].foresight:
        return text
    how = tell("Compared by the days of what was to be done, not by hours and amounts.")
    return f"{text} {how}"


def _compared(replay: Replay, compared: Compared) -> Iterator[str]:
    head, left, right = compared_head(replay, compared)
    yield head
    yield "=" * len(head)
    yield from _prose(differ_words(replay, compared))
    if not compared.weeks:
        return
    yield ""
    table = [
        (str(week.on), week.lawn, task_short(week.task), week.one, week.other)
        for week in compared.weeks
    ]
    yield from _table([(tell("Digest"), tell("Lawn"), tell("Task"), left, right), *table])
    yield ""
    for mine, theirs in zip(
        replay.runs[compared.one].totals, replay.runs[compared.other].totals, strict=True
    ):
        yield f"{mine.title}"
        yield f"  {left}: {total_words(mine)}"
        yield f"  {right}: {total_words(theirs)}"


def total_words(lawn: LawnTotals) -> str:
    """A lawn's totals in a line."""
    nitrogen = next((s.text for s in lawn.substances if s.name == "nitrogen"), "")
    words = {"applications": applications_text(lawn.applications), "water": lawn.water_text}
    if not nitrogen:
        return tell("{applications}, no nitrogen, {water} of water", **words)
    return tell("{applications}, {nitrogen} nitrogen, {water} of water", nitrogen=nitrogen, **words)
