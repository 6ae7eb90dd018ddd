"""From one parsed line to a checked condition: words, kinds, depths and windows settled."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeVar, cast

from lark import Token, Tree

from advisor.conditions.vocabulary import FACTS, SINCE, FactWord
from advisor.rulebook import kinds as kind_rules
from advisor.rulebook.book import Setting
from advisor.rulebook.fault import LineError
from advisor.rulebook.grammar import Syntax
from advisor.rulebook.kinds import Kinds, choose, named
from advisor.rulebook.spans import settled
from advisor.rulebook.tree import (
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
    Scaled,
    Since,
    Spell,
    Test,
    Window,
    fact_name,
    reads,
    within,
)
from advisor.series.quantity import Kind, QuantityError, Written, show
from advisor.site.problem import nearest

LONGEST_WINDOW = 400
"""Days that a window may span."""

LARGEST = 200
"""Parts that one condition may have once its lets are put in; more is a mistake or an attack."""

N = TypeVar("N", bound=Node)


class SilentError(Exception):
    """A name whose own line is already reported; say nothing about the places that use it."""


class Builder:
    """Builds the conditions of one rule.

    `lets` are the rule's lets so far, None for one that could not be read. `pool` holds one node
    of each meaning, so that equal parts of all rules are the same object and are evaluated once.
    """

    def __init__(self, settings: Mapping[str, Setting | None], pool: dict[Node, Node]) -> None:
        self.settings = settings
        self.lets: dict[str, Number | None] = {}
        self.used: set[str] = set()
        self._pool = pool

    def number(self, tree: Syntax) -> Number:
        """An expression that stands alone, as in a let."""
        found = self.build(tree, choose(self.kinds(tree)))
        if sum(1 for _ in within(found)) > LARGEST:
            raise LineError("this let is too long with the lets before it put in", *_place(tree))
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
            return None, [LineError("this condition is too long with its lets put in")]
        return self._one(either), []

    # Tests

    def test(self, tree: Syntax) -> Test:
        match tree.data:
            case "negated":
                return self._one(Not(self.test(_sub(tree, 0))))
            case "is_word":
                test: Test = self._is(tree)
            case "between":
                parts = [_sub(tree, i) for i in range(3)]
                kind = self._common(tree, parts)
                test = Between(*(self.build(part, kind) for part in parts))
            case _:
                left, right = _sub(tree, 0), _sub(tree, 2)
                kind = self._common(tree, [left, right])
                more = More(str(tree.children[1]))
                test = Compare(self.build(left, kind), more, self.build(right, kind))
        answer = settled(test)
        if answer is not None:
            what = "always holds" if answer else "can never hold"
            raise LineError(f"this condition {what}", *_place(tree), self._range(tree))
        return self._one(test)

    def _is(self, tree: Syntax) -> Is:
        name = _token(tree, 0)
        fact = self._fact(name)
        if not fact.words:
            kind = f"is a {fact.kind}, not a word"
            raise LineError(
                f"{name} {kind}", *_at(name), hint="Compare it: “at least”, “less than”."
            )
        codes = []
        for word in (_token(tree, i) for i in range(1, len(tree.children))):
            if word not in fact.words:
                hint = nearest(word, fact.words) or f"It may be {', '.join(fact.words)}."
                raise LineError(f"{name} is never “{word}”", *_at(word), hint)
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
        what = " with ".join(named(k) for k in found)
        raise LineError(f"this compares {what}", *_place(tree), "Both sides must be of one kind.")

    def _range(self, tree: Syntax) -> str:
        for token in _tokens(tree):
            fact = FACTS.get(str(token))
            if fact is not None and fact.kind is not None:
                ends = [show(v, fact.kind, "us") for v in (fact.low, fact.high)]
                metric = [show(v, fact.kind, "metric") for v in (fact.low, fact.high)]
                same = "" if ends == metric else f" ({metric[0]} to {metric[1]})"
                return f"{fact.name} lies between {ends[0]} and {ends[1]}{same}."
        return "Leave it out, or compare it with something that can change."

    # Numbers

    def kinds(self, tree: Syntax) -> Kinds:
        """Every kind that an expression may have. Raises LineError where it can have none."""
        match tree.data:
            case "quantity":
                return _written(tree).kinds()
            case "setting_value":
                return kind_rules.of_setting(self._setting(_token(tree, 0)))
            case "since" | "count":
                return frozenset({Kind.DURATION})
            case "fact":
                return frozenset({self._named(tree).kind})
            case "spell":
                return frozenset({self._spell(tree).kind})
            case _:
                return frozenset(way[2] for way in self._ways(tree))

    def _ways(self, tree: Syntax) -> list[tuple[Kind, Kind, Kind]]:
        left, right = self.kinds(_sub(tree, 0)), self.kinds(_sub(tree, 2))
        word = _token(tree, 1)
        if tree.data == "added":
            ways = kind_rules.sums(left, right, word == "minus")
        else:
            ways = kind_rules.scales(left, right, word != "times")
        if ways:
            return ways
        hint = "Both must be of one kind; to a temperature only a difference is added."
        if tree.data == "scaled":
            hint = "Only a plain number or a fraction scales, and a temperature cannot be scaled."
        what = f"{named(left)} and {named(right)} do not go with “{word}”"
        raise LineError(what, *_at(word), hint)

    def build(self, tree: Syntax, kind: Kind) -> Number:
        """An expression as `kind`, one of its `kinds`. Raises LineError."""
        match tree.data:
            case "quantity":
                return self._one(self.constant(_token(tree, 0), kind))
            case "setting_value":
                setting = self._setting(_token(tree, 0))
                value = setting.written.as_kind(kind)
                return self._one(Constant(value, kind, setting.written.unit, setting.name))
            case "since":
                return self._one(Since(self._task(_token(tree, 0))))
            case "count":
                return self._count(tree)
            case "fact":
                return self._named(tree)
            case "spell":
                return self._spell(tree)
            case _:
                a, b, whole = next(way for way in self._ways(tree) if way[2] is kind)
                left, right = self.build(_sub(tree, 0), a), self.build(_sub(tree, 2), b)
                word = _token(tree, 1)
                if tree.data == "added":
                    return self._one(Added(left, right, word == "minus", whole))
                return self._one(Scaled(left, right, word != "times", whole))

    def constant(self, token: Token, kind: Kind) -> Constant:
        written = cast(Written, token.value)
        try:
            return Constant(written.as_kind(kind), kind, written.unit)
        except QuantityError as error:
            raise LineError(str(error), *_at(token)) from None

    def _setting(self, name: Token) -> Setting:
        if str(name) not in self.settings:
            hint = nearest(name, self.settings) or "Give it a line: setting NAME = 50 F"
            raise LineError(f"no setting is called “{name}”", *_at(name), hint)
        found = self.settings[str(name)]
        if found is None:
            raise SilentError
        self.used.add(found.name)
        return found

    def _task(self, name: Token) -> str:
        if name not in SINCE:
            hint = nearest(name, SINCE) or f"It may be {', '.join(SINCE)}."
            raise LineError(f"nothing is recorded as “{name}”", *_at(name), hint)
        return str(name)

    def _fact(self, name: Token) -> FactWord:
        if name in self.lets:
            raise LineError(f"“{name}” is a let; a fact is wanted here", *_at(name))
        if name not in FACTS:
            hint = nearest(name, [*FACTS, *self.lets])
            raise LineError(
                f"no fact is called “{name}”", *_at(name), hint or "See “swardcast facts”."
            )
        return FACTS[str(name)]

    def _named(self, tree: Syntax) -> Number:
        """A fact, or a let, by its name."""
        name, depth = _token(tree, 0), tree.children[1]
        if name not in self.lets:
            return self._value(tree)
        if depth is not None:
            raise LineError(f"“{name}” is a let and has no depth", *_at(cast(Token, depth)))
        let = self.lets[str(name)]
        if let is None:
            raise SilentError
        return let

    def _value(self, tree: Syntax) -> FactValue:
        name, depth = _token(tree, 0), cast("Token | None", tree.children[1])
        fact = self._fact(name)
        if fact.kind is None:
            hint = f"Write: {name} is {fact.words[0]}"
            raise LineError(f"{name} is a word, not a number", *_at(name), hint)
        if fact.depths is None:
            if depth is not None:
                raise LineError(f"{name} has no depth", *_at(depth), "Leave “at …” out.")
            return self._one(FactValue(fact.name, fact.kind))
        if depth is None:
            hint = f"Write: {name} at 2 in"
            raise LineError(f"{name} needs a depth", *_at(name), hint)
        metres = self.constant(depth, Kind.LENGTH).value
        least, most = fact.depths
        if not least - 1e-9 <= metres <= most + 1e-9:
            ends = [f"{show(d, Kind.LENGTH, 'us')}" for d in fact.depths]
            hint = f"Write a depth from {ends[0]} to {ends[1]}, such as 2 in."
            raise LineError(f"{name} is not known at {depth.value}", *_at(depth), hint)
        return self._one(FactValue(fact.name, fact.kind, metres))

    def window(self, tree: Syntax) -> Window:
        length, side = _token(tree, 0), _token(tree, 1)
        written = cast(Written, length.value)
        hint = f"Write 1 to {LONGEST_WINDOW} days, such as: over the 5 days to it"
        if written.unit in ("hours", "minutes"):
            what = "a window of a day rule is counted in days"
            raise LineError(what, *_at(length), hint)
        days = self.constant(length, Kind.DURATION).value
        if days != round(days) or not 1 <= days <= LONGEST_WINDOW:
            raise LineError(f"a window cannot span {written}", *_at(length), hint)
        n = round(days)
        ends = {"before": (-n, -1), "to": (1 - n, 0), "from": (0, n - 1), "after": (1, n)}
        return Window(*ends[str(side)])

    def _spell(self, tree: Syntax) -> Spell:
        function = Function(str(_token(tree, 0)))
        fact = self._value(_sub(tree, 1))
        window = self.window(_sub(tree, 2))
        kind = fact.kind
        if function is Function.TOTAL and not FACTS[fact.name].additive:
            what = f"a total of {fact.name} means nothing"
            raise LineError(what, *_at(_token(tree, 0)), f"Write: mean of {fact.name} …")
        if function is Function.RISE:
            if window.days < 2:
                what = "a rise needs a window of two days or more"
                raise LineError(what, *_place(_sub(tree, 2)))
            kind = Kind.TEMPERATURE_DIFFERENCE if kind is Kind.TEMPERATURE else kind
        return self._ahead(Spell(function, fact, window, kind), tree)

    def _count(self, tree: Syntax) -> Count:
        units = _token(tree, 0)
        if units not in ("days", "day"):
            hint = "Write: number of days with ( … ) over the 5 days to it"
            raise LineError("a day rule counts days", *_at(units), hint)
        return self._ahead(Count(self.test(_sub(tree, 1)), self.window(_sub(tree, 2))), tree)

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
                    raise LineError(what, *_place(tree), hint)
        return self._one(node)

    def _one(self, node: N) -> N:
        return cast(N, self._pool.setdefault(node, node))


def _sub(tree: Syntax, index: int) -> Syntax:
    return cast(Syntax, tree.children[index])


def _token(tree: Syntax, index: int) -> Token:
    return cast(Token, tree.children[index])


def _written(tree: Syntax) -> Written:
    return cast(Written, _token(tree, 0).value)


def _at(token: Token) -> tuple[int, int]:
    column = token.column or 1
    return column, (token.end_column or column + 1) - column


def _tokens(tree: Syntax) -> list[Token]:
    found: list[Token] = []
    for child in tree.children:
        if isinstance(child, Tree):
            found += _tokens(child)
        elif child is not None:
            found.append(child)
    return found


def _place(tree: Syntax) -> tuple[int, int]:
    found = _tokens(tree)
    column = min(t.column or 1 for t in found)
    return column, max(t.end_column or 1 for t in found) - column
