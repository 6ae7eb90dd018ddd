"""Speed of asking the shipped rules beside the libraries that could ask them day by day.

Run with `pytest tests/bench --benchmark-enable`. The libraries are those made for expressions that
somebody else wrote. They get the better of every doubt: facts as plain lists, windows and sums
worked out beforehand by plain Python with running sums, words as numbers, equal conditions asked
once. Both sides answer on every day which conditions hold, with value, limit and margin, and what
each rule says; on this side unknowns and bounds are carried along besides. Figures are of one run,
in the extra information of each benchmark.
"""

from datetime import date, timedelta
from functools import cache
from itertools import accumulate
from timeit import repeat

import cel
import celpy
import numpy as np
import pytest
import rule_engine
import simpleeval

from advisor.conditions.table import Column, Table, Words
from advisor.conditions.vocabulary import FACTS, SINCE
from advisor.rulebook import read
from advisor.rulebook.book import Keyword, RuleFile
from advisor.rulebook.bounds import Truth
from advisor.rulebook.evaluate import Evaluator
from advisor.rulebook.evidence import evidence
from advisor.rulebook.latch import REST, walk
from advisor.rulebook.program import program_of
from advisor.rulebook.read import read_rulebook
from advisor.rulebook.spans import TOLERANCE
from advisor.rulebook.tree import (
    Added,
    Between,
    Compare,
    Constant,
    Count,
    FactValue,
    Function,
    Is,
    More,
    Not,
    Scaled,
    Since,
    Spell,
    reads,
)
from advisor.shipped import shipped

YEAR = 365


def rule_files():
    paths = sorted(shipped("rules").glob("*.rules"))
    return [RuleFile(path.name, path.read_text(encoding="utf-8")) for path in paths]


@cache
def book():
    return read_rulebook(rule_files())


@cache
def rules():
    return [rule for rule in book().rules.values() if not rule.hourly]


def conditions():
    return [condition for rule in rules() for condition in rule.conditions]


def made_up(days, unknown):
    """A table of all facts, anywhere in their ranges; of some values a share is unknown."""
    rng = np.random.default_rng(1)

    def column(low, high):
        values = rng.uniform(low, min(high, low + 60), days)
        values[rng.random(days) < unknown] = np.nan
        return Column.of(values)

    def word(count):
        codes = rng.integers(0, count, days)
        return Words(np.where(rng.random(days) < unknown, -1, codes).astype(np.int8))

    at_depth = cache(lambda _name, _depth: column(0, 25))
    return Table(
        days=[date(2026, 1, 1) + timedelta(n) for n in range(days)],
        numbers={n: column(f.low, f.high) for n, f in FACTS.items() if f.kind and not f.depths},
        at_depth=at_depth,
        words={name: word(len(fact.words)) for name, fact in FACTS.items() if fact.words},
        since={task: column(0, 200) for task in SINCE},
        today=max(0, days - 16),
        forecast_end=days,
    )


# What plain Python makes of the facts, for the libraries: a list of values a number, by its node.


class Plain:
    """Facts, windows and sums of a table as lists, each worked out once; all days are known."""

    def __init__(self, table):
        self.table = table
        self.days = len(table.days)
        self.known = {}

    def values(self, node):
        if id(node) not in self.known:
            self.known[id(node)] = self._values(node)
        return self.known[id(node)]

    def _values(self, node):
        match node:
            case Constant():
                return [node.value] * self.days
            case FactValue():
                return self.table.number(node.name, node.depth).low.tolist()
            case Since():
                return self.table.since[node.task].low.tolist()
            case Is():
                return self.table.words[node.fact].codes.tolist()
            case Spell():
                return self._spell(node, self.values(node.fact))
            case Count():
                return self._sums(self._holds(node.test), node.window)
            case Added():
                sign = -1 if node.minus else 1
                pairs = zip(self.values(node.left), self.values(node.right), strict=True)
                return [a + sign * b for a, b in pairs]
            case Scaled():
                pairs = zip(self.values(node.left), self.values(node.right), strict=True)
                return [a / b if node.divided else a * b for a, b in pairs]

    def _spell(self, node, values):
        window = node.window
        match node.function:
            case Function.MEAN:
                return [total / window.days for total in self._sums(values, window)]
            case Function.TOTAL:
                return self._sums(values, window)
            case Function.RISE:
                return self._beside(window, lambda a, b: values[b - 1] - values[a])
        extreme = min if node.function is Function.LOWEST else max
        return self._beside(window, lambda a, b: extreme(values[a:b]))

    def _sums(self, values, window):
        running = list(accumulate(values, initial=0.0))
        return self._beside(window, lambda a, b: running[b] - running[a])

    def _beside(self, window, made):
        """On days whose window reaches beyond the table, nothing that is asked for."""
        first, last = window.first, window.last + 1
        return [
            made(day + first, day + last) if day + first >= 0 and day + last <= self.days else 0.0
            for day in range(self.days)
        ]

    def _holds(self, test):
        match test:
            case Compare():
                pairs = zip(self.values(test.left), self.values(test.right), strict=True)
                match test.more:
                    case More.AT_LEAST:
                        return [a >= b - TOLERANCE for a, b in pairs]
                    case More.MORE_THAN:
                        return [a > b + TOLERANCE for a, b in pairs]
                    case More.AT_MOST:
                        return [a <= b + TOLERANCE for a, b in pairs]
                    case More.LESS_THAN:
                        return [a < b - TOLERANCE for a, b in pairs]
            case Is():
                return [code in test.codes for code in self.values(test)]
            case Not():
                return [not held for held in self._holds(test.test)]


# Conditions as text, and one way to ask each library.

PYTHON = {"and": "and", "or": "or", "not": "not "}
C = {"and": "&&", "or": "||", "not": "!"}


class Asked:
    """The distinct conditions of the book for a library, compiled; `ask` asks them of a context."""

    def __init__(self, words, compiled, ask, context):
        self.names = {}
        lines = {id(c.test): c.test for c in conditions()}
        self.place = {line: i for i, line in enumerate(lines)}
        self.numbers = [[self._numbers(test) for test in line.tests] for line in lines.values()]
        self.programs = [compiled(self._text(line, words)) for line in lines.values()]
        self.ask, self.context = ask, context
        self.rules = [
            {k: [self.place[id(c.test)] for c in rule.under(k)] for k in Keyword}
            for rule in rules()
        ]

    def _name(self, node):
        key = ("word", node.fact) if isinstance(node, Is) else id(node)
        return self.names.setdefault(key, (f"v{len(self.names)}", node))[0]

    def _numbers(self, test):
        """The name of the value, and the limit or its name."""
        match test:
            case Not():
                return self._numbers(test.test)
            case Is():
                return self._name(test), None
            case Between():
                return self._name(test.value), (test.low.value, test.high.value)
            case Compare(left, _, Constant(value)):
                return self._name(left), value
            case Compare():
                return self._name(test.left), self._name(test.right)

    def _text(self, test, words):
        def at_least(name, limit):
            return f"{name} >= {limit - TOLERANCE!r}"

        def at_most(name, limit):
            return f"{name} <= {limit + TOLERANCE!r}"

        match test:
            case Not():
                return f"{words['not']}({self._text(test.test, words)})"
            case Is():
                name = self._name(test)
                return "(" + f" {words['or']} ".join(f"{name} == {c}" for c in test.codes) + ")"
            case Between():
                name = self._name(test.value)
                ends = at_least(name, test.low.value), at_most(name, test.high.value)
                return f"({ends[0]} {words['and']} {ends[1]})"
            case Compare(left, more, Constant(value)):
                sign = {More.AT_LEAST: ">=", More.MORE_THAN: ">", More.AT_MOST: "<="}.get(more, "<")
                slack = TOLERANCE if more in (More.MORE_THAN, More.AT_MOST) else -TOLERANCE
                return f"{self._name(left)} {sign} {value + slack!r}"
            case Compare(left, more, right):
                sign = {More.AT_LEAST: ">=", More.MORE_THAN: ">", More.AT_MOST: "<="}.get(more, "<")
                slack = "+" if more in (More.MORE_THAN, More.AT_MOST) else "-"
                return f"{self._name(left)} {sign} {self._name(right)} {slack} {TOLERANCE:.12f}"
        return f" {words['or']} ".join(self._text(part, words) for part in test.tests)

    def contexts(self, table, days):
        """A context a day: what is to be asked about, by name."""
        plain = Plain(table)
        names = [name for name, _ in self.names.values()]
        columns = [plain.values(node) for _, node in self.names.values()]
        return [
            dict(zip(names, row, strict=True)) for row in list(zip(*columns, strict=True))[days]
        ]

    def answers(self, rows, given=None):
        """For each day what holds, a record a test, and for each rule what it says on each day."""
        held, records, ask = [], [], self.ask
        for row, context in zip(rows, given or map(self.context, rows), strict=True):
            holds = [ask(program, context) for program in self.programs]
            held.append(holds)
            records.append(
                [
                    [_record(row, value, limit, hold) for value, limit in tests]
                    for tests, hold in zip(self.numbers, holds, strict=True)
                ]
            )
        return held, records, [_said(parts, held) for parts in self.rules]


def _record(row, name, limit, hold):
    value = row[name]
    if type(limit) is float:
        return value, limit, hold, value - limit
    if type(limit) is str:
        return value, row[limit], hold, value - row[limit]
    if limit is None:
        return value, None, hold, None
    return value, limit, hold, min(value - limit[0], limit[1] - value)


def _said(parts, held):
    """What a rule says on each day, by the words of `advisor.rulebook.latch`, all being known."""
    whiles, once, until = (parts[keyword] for keyword in Keyword)
    every = [all(holds[i] for i in whiles) for holds in held]
    if not once and not until:
        return every
    waiting, opened, off, said = True, False, 0, []
    for holds, all_hold in zip(held, every, strict=True):
        first = holds[whiles[0]]
        off = 0 if first else off + 1
        if off >= REST:
            waiting, opened = True, False
        opens = first and all(holds[i] for i in once) if once else all_hold
        shuts = bool(until) and all(holds[i] for i in until)
        if waiting and opens:
            waiting, opened = False, not shuts
        elif opened and shuts:
            opened = False
        said.append(opened and all_hold)
    return said


def common_expression_language():
    return Asked(C, cel.compile, cel.Program.execute, cel.Context)


def simple_eval():
    parser = simpleeval.SimpleEval()
    return Asked(
        PYTHON,
        lambda text: (text, parser.parse(text)),
        lambda program, given: given.eval(program[0], previously_parsed=program[1]),
        lambda row: simpleeval.SimpleEval(names=row),
    )


def rules_engine():
    resolving = rule_engine.Context(resolver=rule_engine.resolve_item)
    return Asked(
        PYTHON,
        lambda text: rule_engine.Rule(text, context=resolving),
        rule_engine.Rule.matches,
        dict,
    )


def cel_python():
    environment = celpy.Environment()
    return Asked(
        C,
        lambda text: environment.program(environment.compile(text)),
        lambda program, given: bool(program.evaluate(given)),
        celpy.json_to_cel,
    )


# Each with the days that it is timed on: the slow ones get few, and their time is scaled.
LIBRARIES = {
    "common-expression-language": (common_expression_language, YEAR),
    "simpleeval": (simple_eval, 73),
    "rule-engine": (rules_engine, 36),
    "cel-python": (cel_python, 5),
}


def ours(table):
    """All that the libraries are asked for, with unknowns and bounds besides."""
    asked = Evaluator(book(), table, "us")
    said = [asked.says(rule) for rule in rules()]
    return said, [evidence(asked, condition) for condition in conditions()]


@cache
def year():
    """A known year, with days before and after it into which windows reach."""
    windows = [w for condition in conditions() for _, w in reads(condition.test)]
    before, after = -min(w.first for w in windows), max(w.last for w in windows)
    return made_up(before + YEAR + after, 0.0), slice(before, before + YEAR)


@pytest.mark.parametrize("library", LIBRARIES)
def test_libraries_give_the_same_answers(library):
    """Conditions, numbers and rules, on known days: a ratio between different answers is none."""
    table, days = year()
    made, asked_days = LIBRARIES[library]
    asked = made()
    some = slice(days.start, days.start + asked_days)
    held, records, said = asked.answers(asked.contexts(table, some))
    mine = Evaluator(book(), table, "us")
    for condition in conditions():
        place = asked.place[id(condition.test)]
        truth = mine.truth(condition.test)
        assert [holds[place] for holds in held] == truth.yes[some].tolist()
        assert truth.no[some].tolist() == np.logical_not(truth.yes[some]).tolist()
        for i, found in enumerate(evidence(mine, condition)):
            theirs = [record[place][i] for record in records]
            np.testing.assert_allclose([r[0] for r in theirs], found.value.low[some], atol=1e-9)
            if found.margin is not None:
                np.testing.assert_allclose(
                    [r[3] for r in theirs], found.margin.low[some], atol=1e-9
                )
    for rule, theirs in zip(rules(), said, strict=True):
        assert theirs == said_from(mine, rule, some).tolist()


def said_from(mine, rule, days):
    """What a rule says if its latch begins on the first of some days."""
    every = mine.under(rule, Keyword.WHILE)
    if not rule.under(Keyword.ONCE) and not rule.under(Keyword.UNTIL):
        return mine.says(rule).yes[days]
    parts = mine._latch_parts(rule, every)
    return walk(*(Truth(part.yes[days], part.no[days]) for part in parts)).yes


def test_a_year_of_one_lawn(benchmark):
    """At least ten times as fast as the fastest library."""
    table, days = year()
    program_of(book())
    benchmark(ours, table)
    if benchmark.disabled:
        return
    own = benchmark.stats.stats.min
    benchmark.extra_info |= {"rules": len(rules()), "conditions": len(conditions())}
    ratios = {}
    for name, (made, timed) in LIBRARIES.items():
        asked = made()
        rows = asked.contexts(table, days)
        some = rows[:timed]
        given = [asked.context(row) for row in some]
        asked.answers(some, given)  # what a context makes ready at its first use is given too
        preparing = best(lambda a=asked: a.contexts(table, days))
        whole = preparing + best(lambda a=asked, r=some: a.answers(r)) * YEAR / timed
        asking = best(lambda a=asked, r=some, g=given: a.answers(r, g)) * YEAR / timed
        ratios[name] = whole / own
        benchmark.extra_info |= {
            f"{name}_seconds": whole,
            f"{name}_seconds_with_contexts_given": asking,
            f"ratio_to_{name}": ratios[name],
            f"ratio_to_{name}_with_contexts_given": asking / own,
        }
    assert min(ratios.values()) >= 10


def best(asked):
    return min(repeat(asked, number=1, repeat=5))


def test_a_fortnight_of_one_lawn(benchmark):
    """The table of a decision, with gaps: 92 days behind, 16 ahead. At most half a millisecond."""
    table = made_up(108, 0.05)
    mine = [rule for rule in rules() if rule.speaks_of("tall-fescue", "cool-season")]
    program_of(book())

    def asked():
        evaluator = Evaluator(book(), table, "us")
        return [evaluator.says(rule).yes[92:106] for rule in mine]

    found = benchmark(asked)
    plain = Evaluator(book(), table, "us")
    for rule, said in zip(mine, found, strict=True):
        assert said.tolist() == plain.plainly(rule).yes[92:106].tolist()
    if not benchmark.disabled:
        benchmark.extra_info |= {"rules": len(mine), "of": len(rules())}
        assert benchmark.stats.stats.min <= 0.5e-3


def test_reading_the_shipped_rules(benchmark):
    """Parsing and checking, as each command that decides does it once."""
    files = rule_files()
    forget = read._read_rulebook.cache_clear  # a book that was read is kept
    found = benchmark.pedantic(lambda: (forget(), read_rulebook(files))[1], rounds=10)
    assert found.problems == ()
