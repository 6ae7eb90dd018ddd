"""Rule files into one checked rulebook: the shipped files, and over them the owner's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import cast

from lark import Token

from advisor.language.speaking import SOURCE, speaking
from advisor.language.words import tell
from advisor.rulebook.blocks import KINDS, Block, Split, split
from advisor.rulebook.book import UNREAD_HOLD, Rule, Rulebook, RuleFile, RuleKind, Setting, Trial
from advisor.rulebook.changes import safety_lost
from advisor.rulebook.examples import of_kind, right_line
from advisor.rulebook.fault import LineError
from advisor.rulebook.grammar import parse
from advisor.rulebook.kinds import choose, named, of_setting
from advisor.rulebook.lexing import Unread
from advisor.rulebook.rules import Read, RuleReader, name_fault
from advisor.rulebook.tree import Node
from advisor.rulebook.trials import read_trial
from advisor.series.quantity import UNITS, Kind, Written
from advisor.site.problem import Problem, closest, nearest

Settings = dict[str, Setting | None]


def read_rulebook(
    files: Sequence[RuleFile], *, own: Sequence[RuleFile] = (), trials: bool = True
) -> Rulebook:
    """Read and check rule files; never raises for what is written in them.

    The same texts give the same book, which nobody may change. `trials`: whether those of `files`
    are read too; deciding needs none of them, and they are half of the text.

    All problems of all files are in the result, in the order of the files. An `own` rule or
    setting replaces the shipped one of its name, unless it is broken: then the shipped one stays
    in force. A broken hold that replaces nothing holds its tasks; one whose tasks cannot be read
    holds everything that is put down.
    """
    return _read_rulebook(tuple(files), tuple(own), trials)


@lru_cache(maxsize=4)
def _read_rulebook(
    files: tuple[RuleFile, ...], own: tuple[RuleFile, ...], with_trials: bool
) -> Rulebook:
    reading = _Reading(with_trials=with_trials)
    for file in files:
        split(file, False, reading.outline)
    for file in own:
        split(file, True, reading.outline)
    reading.settings()
    reading.rules()
    reading.switched_off()
    trials = reading.trials()
    reading.unused()
    order = {name: i for i, name in enumerate(f.name for f in (*files, *own))}
    problems = [*reading.outline.problems, *reading.problems]
    problems.sort(key=lambda p: (order.get(p.file, 0), p.line, p.column))
    return Rulebook(
        reading.in_force,
        {name: s for name, s in reading.known.items() if s is not None},
        tuple(trials),
        tuple(dict.fromkeys(problems)),
        reading.holds_everything or reading.outline.lost_hold,
        reading.off,
    )


@dataclass
class _Reading:
    """One run of reading: what was found so far."""

    with_trials: bool = True
    outline: Split = field(default_factory=Split)
    problems: list[Problem] = field(default_factory=list)
    known: Settings = field(default_factory=dict)
    in_force: dict[str, Rule] = field(default_factory=dict)
    holds_everything: bool = False
    off: dict[str, tuple[str, int]] = field(default_factory=dict)
    _pool: dict[Node, Node] = field(default_factory=dict)
    _replaced: set[str] = field(default_factory=set)
    _named: set[str] = field(default_factory=set)
    _gone: set[str] = field(default_factory=set)
    """Names of shipped rules that the owner switches off or gives anew."""
    _own_settings: list[tuple[Block, Setting]] = field(default_factory=list)
    _given: list[tuple[Block, Setting]] = field(default_factory=list)
    _used: set[str] = field(default_factory=set)
    _warnings: list[Problem] = field(default_factory=list)

    def _blocks(self, *words: str) -> list[Block]:
        return [b for b in self.outline.blocks if b.head.keyword in words]

    # Settings

    def settings(self) -> None:
        own: set[str] = set()
        for block in self._blocks("setting"):
            name, setting, fault = _setting(block)
            if fault is None and block.own and name in own:
                fault = _twice(block, "setting", name)
            if fault is None and not block.own and name in self.known:
                fault = _twice(block, "setting", name)
            if fault is not None:
                self.problems.append(block.head.problem(fault))
                if name:
                    self.known.setdefault(name, None)
                continue
            self._given.append((block, cast(Setting, setting)))
            if block.own:
                own.add(name)
            if block.own and self.known.get(name) is not None:
                self._own_settings.append((block, cast(Setting, setting)))
            else:
                self.known[name] = setting

    def _replace_settings(self, readers: Sequence[RuleReader]) -> None:
        """Take over the owner's settings with which the shipped rules still make sense: all at
        once, or else each that makes sense without those that make none."""
        if not self._own_settings:
            return
        shipped_rules = [r for r in readers if not r.block.own and r.rule]
        kept = [r for r in shipped_rules if cast(Rule, r.rule).name not in self._gone]
        read = [(r, r.read(self.known, self._pool)) for r in kept]
        sound = [(r, found.used) for r, found in read if not found.problems]

        def upset(tried: Settings, names: set[str]) -> tuple[Rule, Problem] | None:
            for reader, used in sound:
                if not used.isdisjoint(names):
                    found = reader.read(tried, self._pool).problems
                    if found:
                        return cast(Rule, reader.rule), found[0]
            return None

        left = [pair for pair in self._own_settings if self._of_its_kind(*pair)]
        every = {setting.name: setting for _, setting in left}
        if upset({**self.known, **every}, {*every}) is None:
            self.known.update(every)
            return
        before = len(left) + 1
        while len(left) < before:
            before, refused = len(left), []
            for block, setting in left:
                if upset({**self.known, setting.name: setting}, {setting.name}) is None:
                    self.known[setting.name] = setting
                else:
                    refused.append((block, setting))
            left = refused
        for block, setting in left:
            found = upset({**self.known, setting.name: setting}, {setting.name})
            assert found is not None
            rule, problem = found
            what = f"with this value the rule {rule.name} makes no sense; the shipped value stays"
            hint = f"{problem.file}, line {problem.line}: {problem.what}."
            shipped = cast(Setting, self.known[setting.name])
            self.problems.append(block.head.whole(what, hint, example=_as_shipped(shipped)))

    def _of_its_kind(self, block: Block, setting: Setting) -> bool:
        """Whether an owner's setting is of the kind of the shipped one."""
        shipped = cast(Setting, self.known[setting.name])
        wanted, given = of_setting(shipped), of_setting(setting)
        if wanted != given:
            what = f"this is {named(given)}, not {named(wanted)}; the shipped value stays"
            self.problems.append(block.head.whole(what, example=_as_shipped(shipped)))
        return wanted == given

    # Rules

    def rules(self) -> None:
        readers = [RuleReader(block) for block in self._blocks(*KINDS)]
        self._gone = {_word(block) for block in self._blocks("off") if block.own}
        self._gone |= {r.rule.name for r in readers if r.rule and r.block.own and not r.outline}
        as_shipped = dict(self.known)
        self._replace_settings(readers)
        seen: set[tuple[bool, str]] = set()
        for reader in readers:
            read = reader.read(self.known, self._pool)
            if read.problems and read.rule and not read.rule.own and read.rule.name in self._gone:
                # the owner's values need not suit a rule that is not in force
                read = reader.read(as_shipped, self._pool)
            self._used |= read.used
            self._warnings += read.warnings
            rule = read.rule
            if rule is not None and (rule.own, rule.name) in seen:
                fault = _twice(reader.block, "rule", rule.name)
                read.problems.append(reader.block.head.problem(fault))
            self.problems += read.problems
            if rule is None:
                self.holds_everything |= reader.kind is RuleKind.HOLDS
                self._named.add(reader.block.head.rest.split(" ")[0])
                continue
            again = (rule.own, rule.name) in seen
            seen.add((rule.own, rule.name))
            self._named.add(rule.name)
            self._put(reader.block, rule, read, again)

    def _put(self, block: Block, rule: Rule, read: Read, again: bool) -> None:
        good = not read.problems and not rule.broken
        if good:
            if rule.own and rule.name in self.in_force:
                self._replaced.add(rule.name)
                before = self.in_force.pop(rule.name)
                if lost := safety_lost(before, rule):
                    hint = "Give your rule another name, and the shipped one stays."
                    self.problems.append(replace(block.head.whole(lost, hint), warning=True))
            self.in_force[rule.name] = rule
        elif rule.kind is RuleKind.HOLDS and (again or rule.name not in self.in_force):
            key = f"{rule.name}:{rule.line}" if rule.name in self.in_force else rule.name
            self.in_force[key] = _held(rule, key)

    def switched_off(self) -> None:
        """Take out the shipped rules that the owner has switched off."""
        for block in self._blocks("off"):
            name, line = _word(block), block.head
            rule = self.in_force.get(name)
            if not block.own:
                what = "only an owner's file switches a rule off"
                self.problems.append(line.whole(what, "Here, take the rule out instead."))
            elif len(name.split()) != 1:
                what = "“off” takes the name of one rule"
                hint = "Each has a line of its own."
                first = (name.replace(",", " ").split() or [""])[0]
                example = f"off {closest(first, self.in_force) or self._harmless()}"
                self.problems.append(line.whole(what, hint, example=example))
            elif name in self.off:
                file, number = self.off[name]
                what = f"{name} is switched off already, in {file}, line {number}"
                self.problems.append(replace(line.whole(what, "Keep one."), warning=True))
            elif name in self._replaced or (rule is not None and rule.own):
                what = f"{name} is switched off, and given in your own files as well"
                self.problems.append(line.whole(what, "Keep one of the two."))
            elif rule is None and name not in self._named:
                shipped = [r.name for r in self.in_force.values() if not r.own]
                what = f"no shipped rule is called “{name}”"
                if self.known.get(name) is not None:
                    hint = "It is a setting; give it another value."
                    example = f"setting {name} = {cast(Setting, self.known[name]).written}"
                    self.problems.append(line.whole(what, hint, example=example))
                else:
                    self.problems.append(self._no_rule(block, what, name, shipped))
            else:
                self.in_force.pop(name, None)
                self._replaced.add(name)
                self.off[name] = (line.file, line.number)

    def trials(self) -> list[Trial]:
        """The trials of rules that are in force."""
        found: list[Trial] = []
        for block in self._blocks("trial"):
            if not block.own and not self.with_trials:
                continue
            name = _word(block)
            if not name or " " in name:
                what = "a trial names one rule"
                self.problems.append(self._no_rule(block, what, name, list(self.in_force)))
                continue
            if not block.own and name in self._replaced:
                continue  # it is about a rule that is not in force
            rule = self.in_force.get(name)
            hourly = None if rule is None or rule.broken else rule.hourly
            read = read_trial(block, name, hourly)
            self.problems += read.problems
            if rule is None and name not in self._named:
                what = f"no rule is called “{name}”"
                self.problems.append(self._no_rule(block, what, name, list(self.in_force)))
            elif rule is not None and not rule.broken and read.trial is not None:
                found.append(read.trial)
        return found

    def _no_rule(self, block: Block, what: str, name: str, known: list[str]) -> Problem:
        hint = "It names a rule that there is."
        close = closest(name, known)
        example = right_line(block.head.keyword, close or self._harmless())
        return block.head.whole(what, hint, near=nearest(name, [close]), example=example)

    def _harmless(self) -> str:
        """A rule to stand in an example: a remark if there is one, lest somebody switches off by it
        what keeps a lawn safe."""
        remarks = [r.name for r in self.in_force.values() if r.kind is RuleKind.NOTES]
        return next(iter(remarks), next(iter(self.in_force), ""))

    def unused(self) -> None:
        """Warn of what nothing uses, where all else is well: a slip elsewhere may be the cause."""
        if self.problems or self.outline.problems:
            return
        self.problems += self._warnings
        for block, setting in self._given:
            if setting.name in self._used:
                continue
            close = closest(setting.name, self._used)
            near = nearest(setting.name, [close])
            shown = of_kind(choose(of_setting(setting)))
            use = replace(shown, value=f"${setting.name}", is_word=False)
            example = _as_shipped(setting, close) if close else right_line("while", shown=use)
            what = f"nothing uses the setting “{setting.name}”"
            hint = "Use it in a rule, or take its line out."
            self.problems.append(
                block.head.whole(what, hint, near=near, example=example, warning=True)
            )


def _as_shipped(setting: Setting, name: str = "") -> str:
    """The line of a setting, maybe with another name."""
    apart = " apart" if setting.apart else ""
    return f"setting {name or setting.name} = {setting.written}{apart}"


def _word(block: Block) -> str:
    """What follows a head's first word."""
    return block.head.rest.split("#", 1)[0].strip()


def _twice(block: Block, what: str, name: str) -> LineError:
    line = block.head
    rest = line.rest.split("#", 1)[0].strip().removeprefix(name)
    example = f"{line.keyword} {name}-2{rest}"
    hint, place = "Give one of them another name.", (line.keyword_column, len(line.keyword))
    return LineError(f"a second {what} “{name}”", *place, hint, example=example)


def _held(rule: Rule, key: str) -> Rule:
    """A hold that cannot be read, and so holds: with a sentence that says so."""
    with speaking(SOURCE):  # a book is read once, for whatever language
        says = tell(UNREAD_HOLD, rule=rule.name, file=rule.file, line=rule.line)
    bare = replace(rule, name=key, says=says, sentence=(says,), unread_hold=rule.name)
    return replace(bare, conditions=(), on=(), broken=True)


def _setting(block: Block) -> tuple[str, Setting | None, LineError | None]:
    line = block.head
    try:
        tree = parse(line, "setting")
    except LineError as error:
        return line.rest.split(" ")[0].split("=")[0], None, error
    name, value, apart = cast("tuple[Token, Token, Token | None]", tuple(tree.children))
    written = cast(Written, value.value)
    fault = name_fault(name)
    if isinstance(written, Unread):
        fault = _unread(value, apart)
    elif apart is not None and Kind.TEMPERATURE not in written.kinds():
        what, hint = f"{written} is no difference of temperatures", "Only such a one is marked."
        example = f"setting {name} = 5 F apart"
        fault = LineError(what, apart.column or 1, 5, hint, example=example)
    setting = Setting(str(name), written, apart is not None, line.file, line.number, block.own)
    return str(name), setting, fault


def _unread(value: Token, apart: Token | None) -> LineError:
    """What is wrong with a setting whose unit does not exist; its kind is anybody's guess."""
    spelled = cast(Unread, value.value)
    hint = "Write it like 50 F, 0.5 in or 30 days."
    near = nearest(spelled.unit, ["F", "C"] if apart is not None else UNITS)
    what, width = f"no unit is called “{spelled.unit}”", spelled.last - spelled.first
    return LineError(what, spelled.first, width, hint, near=near)
