"""From one parsed line to a checked condition: words, kinds, depths and windows settled."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TypeVar, cast

from lark import Token

from advisor.conditions.vocabulary import FACTS, SINCE, FactWord
from advisor.rulebook import kinds as kind_rules
from advisor.rulebook.book import Setting
from advisor.rulebook.clashes import covers_all
from advisor.rulebook.examples import APART, COUNTED, HALVED, RISE, WARMER, about, over_days
from advisor.rulebook.examples import SINCE as DAYS_SINCE
from advisor.rulebook.fault import LineError, listed, unknown
from advisor.rulebook.grammar import Syntax
from advisor.rulebook.kinds import Kinds, choose, named
from advisor.rulebook.lexing import quantity
from advisor.rulebook.mending import (
    DEGREES,
    MIXED,
    TOO_LONG,
    bounds,
    not_one_kind,
)
from advisor.rulebook.read_window import of_hours, read_window
from advisor.rulebook.spans import settled
from advisor.rulebook.syntax import at, place_of, sub, token_of, written_of
from advisor.rulebook.tree import (
    DAY,
    Added,
    Between,
    Compare,
    Constant,
    Count,
    Either,
    FactValue,
    Function,
    Is,
    More,
    Node,
    Not,
    Number,
    OfDay,
    Scaled,
    Since,
    Spell,
    Test,
    Window,
    fact_name,
    reads,
    within,
)
from advisor.series.quantity import Kind, Written, show
from advisor.site.problem import closest, nearest

LARGEST = 200
"""Parts that one condition may have once its lets are put in; more is a mistake or an attack."""

N = TypeVar("N", bound=Node)


class SilentError(Exception):
    """A name whose own line is already reported; say nothing about the places that use it."""


class Builder:
    """Builds the conditions of one rule.

    `lets` are the rule's lets so far, None for one that could not be read. `pool` holds one node
    of each meaning, so that equal parts of all rules are the same object and are evaluated once.
    `hourly`: the rule is asked hour by hour.
    """

    def __init__(
        self,
        settings: Mapping[str, Setting | None],
        pool: dict[Node, Node],
        hourly: bool = False,
    ) -> None:
        self.settings = settings
        self.hourly = hourly
        self._in_days = not hourly
        self.lets: dict[str, Number | None] = {}
        self.used: set[str] = set()
        self.used_lets: set[str] = set()
        self._pool = pool
        self._kinds: dict[tuple[int, bool], Kinds] = {}

    def number(self, tree: Syntax) -> Number:
        """An expression that stands alone, as in a let."""
        found = self.build(tree, choose(self.kinds(tree)))
        if sum(1 for _ in within(found)) > LARGEST:
            what = "this let is too long with the lets before it put in"
            raise LineError(what, *place_of(tree), TOO_LONG)
        return found

    def either(self, tree: Syntax) -> tuple[Either | None, list[LineError]]:
        """A whole condition line: its tests, and what is wrong with each of them."""
        tests: list[Test] = []
        faults: list[LineError] = []
        broken = False
        for part in tree.children:
            try:
                tests.append(self.test(cast(Syntax, part)))
            except LineError as fault:
                faults.append(fault)
            except SilentError:
                broken = True
        if faults or broken:
            return None, faults
        either = Either(tuple(tests))
        if sum(1 for _ in within(either)) > LARGEST:
            what = "this condition is too long with its lets put in"
            return None, [LineError(what, *place_of(tree), TOO_LONG)]
        if covers_all(either.tests):
            what, hint = "one of these always holds", "Leave one of them out."
            return None, [LineError(what, *place_of(tree), hint)]
        return self._one(either), []

    # Tests

    def test(self, tree: Syntax) -> Test:
        match tree.data:
            case "negated":
                return self._one(Not(self.test(sub(tree, 0))))
            case "is_word":
                test: Test = self._is(tree)
            case "between":
                parts = [sub(tree, i) for i in range(3)]
                kind = self._common(tree, parts)
                test = Between(*(self.build(part, kind) for part in parts))
            case _:
                left, right = sub(tree, 0), sub(tree, 2)
                kind = self._common(tree, [left, right])
                more = More(str(tree.children[1]))
                test = Compare(self.build(left, kind), more, self.build(right, kind))
        answer = settled(test)
        if answer is not None:
            what = "always holds" if answer else "can never hold"
            raise LineError(f"this condition {what}", *place_of(tree), bounds(test))
        return self._one(test)

    def _is(self, tree: Syntax) -> Is:
        name = token_of(tree, 0)
        fact = self._fact(name)
        if not fact.words:
            what = f"{name} is {named([cast(Kind, fact.kind)])}, not a word"
            raise LineError(what, *at(name), "Compare it: “at least”, “less than”.")
        codes = []
        for word in (token_of(tree, i) for i in range(1, len(tree.children))):
            if word not in fact.words:
                raise unknown(f"{name} is never “{word}”", at(word)[0], word, fact.words)
            codes.append(fact.words.index(word))
        return Is(str(name), tuple(fact.words[c] for c in codes), tuple(codes))

    def _common(self, tree: Syntax, parts: list[Syntax]) -> Kind:
        found = [self.kinds(part) for part in parts]
        shared = frozenset.intersection(*found)
        if shared:
            return choose(shared)
        for part, other in zip(parts, [*found[1:], found[0]], strict=True):
            if part.data == "quantity" and len(other) == 1:
                self.build(part, next(iter(other)))  # its own message names a right example
        raise not_one_kind(tree, found)

    # Numbers

    def kinds(self, tree: Syntax) -> Kinds:
        """Every kind that an expression may have. Raises LineError where it can have none."""
        match tree.data:
            case "quantity":
                return written_of(tree).kinds()
            case "setting_value":
                return kind_rules.of_setting(self._setting(token_of(tree, 0)))
            case "since" | "count":
                return frozenset({Kind.DURATION})
            case "fact":
                return frozenset({self._named(tree).kind})
            case "spell":
                return frozenset({self._spell(tree).kind})
            case _:
                key = id(tree), self._in_days  # the rule's reader keeps its trees
                if key not in self._kinds:
                    self._kinds[key] = frozenset(way[2] for way in self._ways(tree))
                return self._kinds[key]

    def _ways(self, tree: Syntax) -> list[tuple[Kind, Kind, Kind]]:
        left, right = self.kinds(sub(tree, 0)), self.kinds(sub(tree, 2))
        word = token_of(tree, 1)
        if tree.data == "added":
            ways = kind_rules.sums(left, right, word == "minus")
        else:
            ways = kind_rules.scales(left, right, word != "times")
        if ways:
            return ways
        hint, shown = "Both must be of one kind.", APART
        if tree.data == "scaled":
            hint, shown = "Only a plain number or a fraction scales, and no temperature.", HALVED
        elif left | right <= DEGREES:
            hint, shown = MIXED, WARMER
        what = f"{named(left)} and {named(right)} do not go with “{word}”"
        raise LineError(what, *at(word), hint, shown=shown)

    def build(self, tree: Syntax, kind: Kind) -> Number:
        """An expression as `kind`, one of its `kinds`. Raises LineError."""
        match tree.data:
            case "quantity":
                return self._one(self.constant(token_of(tree, 0), kind))
            case "setting_value":
                setting = self._setting(token_of(tree, 0))
                value = setting.written.as_kind(kind)
                return self._one(Constant(value, kind, setting.written.unit, setting.name))
            case "since":
                return self._one(Since(self._task(token_of(tree, 0))))
            case "count":
                return self._count(tree)
            case "fact":
                return self._named(tree)
            case "spell":
                return self._spell(tree)
            case _:
                a, b, whole = next(way for way in self._ways(tree) if way[2] is kind)
                left, right = self.build(sub(tree, 0), a), self.build(sub(tree, 2), b)
                word = token_of(tree, 1)
                if tree.data == "added":
                    return self._one(Added(left, right, word == "minus", whole))
                return self._one(Scaled(left, right, word != "times", whole))

    def constant(self, token: Token, kind: Kind) -> Constant:
        return Constant(quantity(token, kind), kind, cast(Written, token.value).unit)

    def _setting(self, name: Token) -> Setting:
        if str(name) not in self.settings:
            what, near = f"no setting is called “{name}”", nearest(name, self.settings)
            raise LineError(what, *at(name), "It needs a “setting” line of its own.", near=near)
        found = self.settings[str(name)]
        if found is None:
            raise SilentError
        self.used.add(found.name)
        return found

    def _task(self, name: Token) -> str:
        if name not in SINCE:
            hint = "It may be a task, a deed or a sighting: “feed”, “mowing”, “crabgrass”."
            what, near = f"nothing is recorded as “{name}”", nearest(name, SINCE)
            if name in FACTS:
                hint, near = f"“{name}” is a fact of each day, not something done or seen.", ""
                raise LineError(what, *at(name), hint, shown=over_days(FACTS[str(name)]))
            raise LineError(what, *at(name), hint, near=near, shown=DAYS_SINCE)
        return str(name)

    def _fact(self, name: Token) -> FactWord:
        if name in self.lets:
            hint = "Name the fact itself; a let can only be compared."
            raise LineError(f"“{name}” is a let; a fact is wanted here", *at(name), hint)
        if name not in FACTS:
            close = closest(name, [*FACTS, *self.lets])
            raise LineError(
                f"no fact is called “{name}”",
                *at(name),
                "“swardcast facts” lists them; a let has its line above.",
                near=nearest(name, [close]),
                shown=about(FACTS[close]) if close in FACTS else None,
            )
        fact = FACTS[str(name)]
        if self._in_days and not fact.daily:
            hint = "End the rule's first line with: hour by hour"
            if self.hourly:
                hint = "Count hours: number of hours with ( … ) over the 6 hours to it"
            raise LineError(f"{name} is told for hours, not for days", *at(name), hint)
        return fact

    def _named(self, tree: Syntax) -> Number:
        """A fact, or a let, by its name."""
        name, depth = token_of(tree, 0), tree.children[1]
        if name not in self.lets:
            return self._value(tree)
        if depth is not None:
            what, hint = f"“{name}” is a let and has no depth", "Its own line names the depth."
            raise LineError(what, *at(cast(Token, depth)), hint)
        self.used_lets.add(str(name))
        let = self.lets[str(name)]
        if let is None:
            raise SilentError
        if self.hourly and self._in_days:
            what = f"“{name}” is of the hour, so it cannot stand in a count of days"
            raise LineError(what, *at(name), "Write out what it stands for.")
        return let

    def _value(self, tree: Syntax) -> FactValue:
        name, depth = token_of(tree, 0), cast("Token | None", tree.children[1])
        fact = self._fact(name)
        if fact.kind is None:
            raise LineError(f"{name} is a word, not a number", *at(name), listed(fact.words))
        if fact.depths is None:
            if depth is not None:
                raise LineError(f"{name} has no depth", *at(depth), "Leave “at …” out.")
            return self._one(FactValue(fact.name, fact.kind))
        if depth is None:
            raise LineError(f"{name} needs a depth", *at(name), "Say how deep, with “at”.")
        metres = self.constant(depth, Kind.LENGTH).value
        least, most = fact.depths
        if not least - 1e-9 <= metres <= most + 1e-9:
            ends = [f"{show(d, Kind.LENGTH, 'us')}" for d in fact.depths]
            hint = f"Write a depth from {ends[0]} to {ends[1]}."
            raise LineError(f"{name} is not known at {depth.value}", *at(depth), hint)
        return self._one(FactValue(fact.name, fact.kind, metres))

    def window(self, tree: Syntax) -> Window:
        """A window, in hours where it `of_hours`, else in days. Raises LineError."""
        return read_window(tree, self._in_days)

    def _days_apart(self, window: Syntax) -> bool:
        """Whether a window of days stands in an hour rule."""
        return not self._in_days and not of_hours(window)

    def _by_day(self, build: Callable[[], N]) -> N:
        """Build something that is asked of days, within an hour rule too."""
        before, self._in_days = self._in_days, True
        try:
            return build()
        finally:
            self._in_days = before

    def _spell(self, tree: Syntax) -> Spell | OfDay:
        if self._days_apart(sub(tree, 2)):
            number = self._by_day(lambda: cast(Spell, self._spell(tree)))
            return self._one(OfDay(number, number.kind))
        function = Function(str(token_of(tree, 0)))
        fact = self._value(sub(tree, 1))
        window = self.window(sub(tree, 2))
        if not self._in_days and not FACTS[fact.name].hourly:
            what = f"{fact.name} is told for days, so its window is counted in days"
            length = token_of(sub(tree, 2), 0)
            raise LineError(what, *at(length), "Write “days”.")
        kind = fact.kind
        if function is Function.TOTAL and not FACTS[fact.name].additive:
            what = f"a total of {fact.name} means nothing"
            raise LineError(what, *at(token_of(tree, 0)), f"Take the mean of {fact.name}.")
        if function is Function.RISE:
            if window.days < 2:
                what = "a rise needs a window of two or more"
                hint = "It is the last value less the first."
                raise LineError(what, *place_of(sub(tree, 2)), hint, shown=RISE)
            kind = Kind.TEMPERATURE_DIFFERENCE if kind is Kind.TEMPERATURE else kind
        return self._ahead(Spell(function, fact, window, kind), tree)

    def _count(self, tree: Syntax) -> Count | OfDay:
        units = token_of(tree, 0)
        days = units in ("days", "day")
        if not days and (self._in_days or units not in ("hours", "hour")):
            hint = "Hours are counted in a rule that is asked hour by hour."
            if self.hourly:
                hint = "Write “days” or “hours”."
            what = "an hour rule counts days or hours" if self.hourly else "a day rule counts days"
            raise LineError(what, *at(units), hint, shown=COUNTED)
        if days == of_hours(sub(tree, 2)):
            what = f"{units} are counted over a window of {units}"
            hint = "Count days over days, and hours over hours."
            raise LineError(what, *at(token_of(sub(tree, 2), 0)), hint)
        if self._days_apart(sub(tree, 2)):
            number = self._by_day(lambda: cast(Count, self._count(tree)))
            return self._one(OfDay(number, number.kind))
        step = 1.0 if days else 1 / DAY
        node = Count(self.test(sub(tree, 1)), self.window(sub(tree, 2)), step)
        return self._ahead(node, tree)

    def _ahead(self, node: N, tree: Syntax) -> N:
        """Refuse to look ahead over what the plan itself changes: it would contradict itself."""
        if isinstance(node, Spell | Count) and node.window.last > 0:
            for leaf, _ in reads(node):
                task = isinstance(leaf, Since)
                changed = "what is put down" if task else FACTS[fact_name(leaf)].changed_by
                if changed is not None:
                    shown = fact_name(leaf)
                    what = f"{shown} is changed by {changed}, so a rule cannot look ahead over it"
                    hint = "Look back: “to it” or “before it”."
                    raise LineError(what, *place_of(tree), hint)
        return self._one(node)

    def _one(self, node: N) -> N:
        return cast(N, self._pool.setdefault(node, node))
