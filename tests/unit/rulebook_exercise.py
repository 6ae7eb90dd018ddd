"""Everything that is done with rule text, done to any text: read, judge, explain, try.

For the tests with random text and for the fuzzer. Whatever escapes from here is a fault of ours.
"""

from __future__ import annotations

import unicodedata
from datetime import date, timedelta
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from advisor.conditions.table import Column, Table, Words
from advisor.conditions.vocabulary import FACTS, SINCE
from advisor.rulebook.book import Rulebook, RuleFile
from advisor.rulebook.evaluate import Evaluator
from advisor.rulebook.hours import HourEvaluator
from advisor.rulebook.lexing import PHRASES, SIGNS, WORDS
from advisor.rulebook.read import read_rulebook
from advisor.rulebook.trial import run_trials
from advisor.series.quantity import UNITS
from advisor.site.problem import Problem
from advisor.site.words import GRASSES, TASKS

RULES = Path(__file__).parents[2] / "rules"

DAYS = 12
TODAY, FORECAST_END = 5, 10
FIRST = date(2026, 4, 1)

KEYWORDS = (
    "opens", "holds", "waters", "notes", "setting", "trial", "off", "on", "let", "while", "and",
    "once", "until", "says", "source", "take", "answer",
)  # fmt: skip

DICTIONARY = tuple(
    dict.fromkeys(
        (
            *KEYWORDS,
            *WORDS,
            *(" ".join(phrase) for phrase in PHRASES),
            *SIGNS,
            *UNITS,
            *FACTS,
            *(word for fact in FACTS.values() for word in fact.words),
            *SINCE,
            *TASKS,
            *GRASSES,
            *("cool-season", "warm-season", "yes", "no", "cannot tell", "days", "hours", "day"),
            *("$limit", "{limit}", "{{", "}}", "{", "}", "0", "1", "0.5", "-3", "50", "1e9", "#"),
        )
    )
)
"""Every word of the language."""


def shipped_texts() -> list[str]:
    return [path.read_text(encoding="utf-8") for path in sorted(RULES.glob("*.rules"))]


def shipped_rules() -> list[str]:
    """The shipped rules one by one, each with its first trial and the settings that it names."""
    found = []
    for text in shipped_texts():
        parts = [part for part in text.split("\n\n") if part.strip()]
        settings = [line for line in text.split("\n") if line.startswith("setting")]
        for part, follows in zip(parts, [*parts[1:], ""], strict=True):
            if part.startswith(("opens", "holds", "waters", "notes")):
                named = [line for line in settings if line.split()[1] in part]
                found.append("\n".join([*named, part, follows if "trial" in follows else ""]))
    return found


def exercise(text: str, own: str | None = None) -> Rulebook:
    """Read a text as a shipped file, with another over it; do all that is done with what it says.

    Raises AssertionError where a problem is told in a place that is none.
    """
    texts = {"a.rules": text} if own is None else {"a.rules": text, "own.rules": own}
    files = [RuleFile("a.rules", text)]
    book = read_rulebook(files, own=[] if own is None else [RuleFile("own.rules", own)])
    for problem in book.problems:
        check_problem(problem, texts)
    run_trials(book)
    by_day = Evaluator(book, table(DAYS, 24), "us")
    hours = table(24 * 3, 1)
    by_hour = HourEvaluator(by_day, hours, np.repeat(np.arange(3) + TODAY, 24))
    for rule in book.rules.values():
        assert rule.conditions or rule.broken
        asked, length = (by_hour, 24 * 3) if rule.hourly else (by_day, DAYS)
        said = asked.says(rule)
        assert said.yes.shape == said.no.shape == (length,)
        assert not (said.yes & said.no).any()
        for day in (0, TODAY, length - 1):
            asked.explain(rule, day)
    return book


def check_problem(problem: Problem, texts: dict[str, str]) -> None:
    """A problem lies in its text, and can be printed anywhere."""
    assert problem.what
    printed = str(problem)
    printed.encode("utf-8")
    assert not any(unicodedata.category(c) == "Cc" for c in printed if c not in "\n\t")
    if problem.line == 0:
        return
    text = texts[problem.file].removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    line = text.split("\n")[problem.line - 1].rstrip()
    same = problem.text.removesuffix(" …")
    alike = zip(same, line, strict=False)
    assert all(ours in (theirs, "\N{REPLACEMENT CHARACTER}") for ours, theirs in alike)
    assert 0 <= problem.column <= len(problem.text) + 1
    assert problem.width >= 1
    assert problem.column == 0 or problem.column + problem.width <= len(problem.text) + 2
    assert problem.hint.rpartition("\n")[2].startswith("A right line: ")


@cache
def table(length: int, day: int) -> Table:
    """Values of every fact, some of them unknown, some with bounds alone; always the same.

    `day`: hours of a row.
    """
    chance = np.random.default_rng(7)

    def column(low: float, high: float) -> Column:
        ends = np.sort(chance.uniform(low, min(high, 1000.0), (2, length)), axis=0)
        exact = chance.random(length) < 0.6
        lows, highs = ends[0], np.where(exact, ends[0], ends[1])
        none = chance.random(length) < 0.2
        return Column(
            np.where(none, -np.inf, lows),
            np.where(none | (chance.random(length) < 0.1), np.inf, highs),
            lambda row: f"row {row}",
        )

    def codes(count: int) -> NDArray[np.int8]:
        return chance.integers(-1, count, length).astype(np.int8)

    kept = [fact for fact in FACTS.values() if (fact.daily if day == 24 else fact.hourly)]
    ground = column(-5.0, 30.0)
    return Table(
        [FIRST + timedelta(hours=day * row) for row in range(length)],
        {f.name: column(f.low, f.high) for f in kept if f.kind is not None and f.depths is None},
        lambda _name, _depth: ground,
        {f.name: Words(codes(len(f.words)), str) for f in kept if f.words},
        {name: column(0.0, 400.0) for name in list(SINCE)[1:]},
        min(TODAY, length),
        FORECAST_END if day == 24 else length,
    )
