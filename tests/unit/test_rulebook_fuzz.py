"""Reading rule text is safe: any text gives problems or rules, in time, and runs nothing."""

from __future__ import annotations

import ast
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rulebook_exercise import DICTIONARY, KEYWORDS, exercise, shipped_rules, shipped_texts

from advisor import rulebook
from advisor.conditions.vocabulary import FACTS, SINCE
from advisor.rulebook.book import RuleFile
from advisor.rulebook.examples import about
from advisor.rulebook.read import read_rulebook
from advisor.series.quantity import UNITS, Kind
from advisor.site.problem import Problem
from advisor.site.words import GRASSES, TASKS

PACKAGE = Path(rulebook.__file__).parent

# Any text


@given(text=st.text(max_size=400), own=st.none() | st.text(max_size=100))
def test_random_text_gives_problems(text: str, own: str | None) -> None:
    exercise(text, own)


@given(st.binary(max_size=400))
def test_random_bytes_give_problems(data: bytes) -> None:
    """As a file is read: what is no utf-8 becomes a surrogate or a sign in its place."""
    exercise(data.decode("utf-8", "surrogateescape"))
    exercise(data.decode("utf-8", "replace"))


SOUP = st.lists(
    st.tuples(st.sampled_from(KEYWORDS), st.lists(st.sampled_from(DICTIONARY), max_size=14)),
    max_size=12,
)


@given(SOUP)
def test_words_of_the_language_in_any_order_give_problems_or_rules(
    lines: list[tuple[str, list[str]]],
) -> None:
    exercise("\n".join(f"{word} {' '.join(rest)}" for word, rest in lines))


# Shipped files, changed


@st.composite
def changed(draw: st.DrawFn) -> str:
    """A stretch of a shipped file with some characters, words or lines changed."""
    lines = draw(st.sampled_from(shipped_texts())).split("\n")
    first = draw(st.integers(0, max(0, len(lines) - 30)))
    lines = lines[first : first + 30]
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(lines) - 1))
        other = draw(st.integers(0, len(lines) - 1))
        how = draw(st.integers(0, 5))
        if how == 0:
            del lines[at : at + draw(st.integers(1, 3))]
        elif how == 1:
            lines.insert(at, lines[other])
        elif how == 2:
            lines[at] = lines[other]
        elif how == 3:
            place = draw(st.integers(0, len(lines[at])))
            cut = draw(st.integers(0, 3))
            new = draw(st.text(max_size=2))
            lines[at] = lines[at][:place] + new + lines[at][place + cut :]
        else:
            words = lines[at].split(" ")
            place = draw(st.integers(0, len(words) - 1))
            word = draw(st.sampled_from(DICTIONARY) | st.sampled_from(words))
            words[place : place + (how == 4)] = [word]
            lines[at] = " ".join(words)
        lines = lines or [""]
    return "\n".join(lines)


@given(text=changed(), own=st.none() | changed())
def test_changed_files_give_problems_or_rules(text: str, own: str | None) -> None:
    exercise(text, own)


@given(rule=st.sampled_from(shipped_rules()), data=st.data())
def test_in_place_of_a_line_that_was_changed_the_right_line_is_accepted(
    rule: str, data: st.DataObject
) -> None:
    """Of any one fault in a line; but for one that is another's double, which has to go."""
    lines = rule.split("\n")
    at = data.draw(st.integers(0, len(lines) - 1))
    words = lines[at].split(" ")
    place = data.draw(st.integers(0, len(words)))
    cut = data.draw(st.integers(0, 2))
    words[place : place + cut] = data.draw(st.lists(st.sampled_from(DICTIONARY), max_size=2))
    lines[at] = " ".join(words)
    found = mistakes(lines)
    if len(found) != 1 or found[0].line != at + 1 or found[0].what.startswith("a second"):
        return
    right = found[0].hint.rpartition("A right line: ")[2]
    if right.split()[0] == lines[at].split()[0]:
        lines[at] = right
        left = [str(p) for p in mistakes(lines) if p.line == at + 1]
        # Where the rule as a whole makes no sense with it, the line itself is right none the less.
        assert [text for text in left if "never hold" not in text and "whenever" not in text] == []


def mistakes(lines: list[str]) -> list[Problem]:
    book = read_rulebook([RuleFile("a", "\n".join(lines))])
    return [problem for problem in book.problems if not problem.warning]


# Rules that are right, or nearly


NUMERIC = [fact for fact in FACTS.values() if fact.kind is not None]
WORDY = [fact for fact in FACTS.values() if fact.words and fact.daily]


def rarely(draw: st.DrawFn) -> bool:
    return draw(st.integers(0, 19)) == 7


@st.composite
def limit(draw: st.DrawFn, kind: Kind, usual: str) -> str:
    """A quantity that a value may well have; now and then any other, or the setting."""
    if rarely(draw):
        number = draw(st.sampled_from(["0", "1", "0.5", "-2", ".25", "1000", "1e3", "1,000"]))
        return f"{number} {draw(st.sampled_from(UNITS))}"
    if kind is Kind.TEMPERATURE_DIFFERENCE and draw(st.booleans()):
        return "$limit"
    number, _, unit = usual.partition(" ")
    scaled = float(number.rstrip("%")) * draw(st.sampled_from([0.5, 0.9, 1, 1.1]))
    return f"{scaled:g}{'%' if '%' in number else ''} {unit}"


@st.composite
def window(draw: st.DrawFn, back: bool, hours: bool) -> str:
    spans = ["2 days", "3 days", "7 days"] + ["6 hours", "24 hours"] * hours
    span = draw(st.sampled_from(["0 days", "401 days"] if rarely(draw) else spans))
    sides = ["before", "to"] if back else ["before", "to", "from", "after"]
    return f"over the {span} {draw(st.sampled_from(sides))} it"


@st.composite
def value(draw: st.DrawFn, hourly: bool, deep: int) -> tuple[str, Kind, str]:
    """An expression, its kind and something that it may be compared with."""
    how = draw(st.integers(0, 7 if deep else 4))
    fact = draw(st.sampled_from([fact for fact in NUMERIC if fact.daily]))
    kind, shown = fact.kind, about(fact)
    assert kind is not None
    if how <= 1:
        return shown.expression, kind, shown.value
    if how <= 3:
        names = ["mean", "lowest", "highest", "rise"] + ["total"] * (fact.additive or rarely(draw))
        name = draw(st.sampled_from(names))
        if name == "rise" and kind is Kind.TEMPERATURE:
            kind = Kind.TEMPERATURE_DIFFERENCE
        days = draw(window(fact.changed_by is not None, hourly and bool(fact.hourly)))
        return f"{name} of {shown.expression} {days}", kind, shown.value
    if how == 4:
        return f"days since {draw(st.sampled_from([*SINCE]))}", Kind.DURATION, "30 days"
    if how == 5:
        inner = draw(test(hourly, deep - 1))
        text = f"number of days with ({inner}) {draw(window(True, False))}"
        return text, Kind.DURATION, "1.5 days"
    text, kind, usual = draw(value(hourly, deep - 1))
    if how == 6:
        word = draw(st.sampled_from(["times", "divided by"]))
        return f"({text}) {word} {draw(st.sampled_from(['0', '0.9', '80%']))}", kind, usual
    word = draw(st.sampled_from(["plus", "minus"]))
    more = "5 F" if kind is Kind.TEMPERATURE else draw(limit(kind, usual))
    return f"({text} {word} {more})", kind, usual


@st.composite
def test(draw: st.DrawFn, hourly: bool, deep: int) -> str:
    how = draw(st.integers(0, 5))
    if how == 0 and deep:
        return f"not {draw(test(hourly, deep - 1))}"
    if how == 1:
        fact = draw(st.sampled_from(WORDY))
        words = draw(st.lists(st.sampled_from(fact.words), min_size=1, max_size=2))
        return f"{fact.name} is {' / '.join(words)}"
    text, kind, usual = draw(value(hourly, deep))
    if how == 2:
        return f"{text} between {draw(limit(kind, usual))} and {draw(limit(kind, usual))}"
    more = draw(st.sampled_from(["at least", "at most", "more than", "less than"]))
    return f"{text} {more} {draw(limit(kind, usual))}"


test.__test__ = False  # type: ignore[attr-defined]


@st.composite
def rule(draw: st.DrawFn) -> str:
    """A rule as the grammar has it, with its trial; its words and kinds mostly fit."""
    kind = draw(st.sampled_from(["opens", "holds", "notes", "waters"]))
    task = draw(st.sampled_from([*TASKS, "everything put down"]))
    if kind == "waters" or task == "watering":
        kind, task = "waters", "watering"
    hourly = draw(st.booleans())
    head = f"{kind} some-rule for {task}{' hour by hour' if hourly else ''}"
    lines = ["setting limit = 5 F apart", head]
    if draw(st.booleans()):
        lines.append(f"on {draw(st.sampled_from(['cool-season', *GRASSES]))}")
    lines.append(f"let level be {draw(value(hourly, 1))[0]}")
    words = ["while", "once", "until"] if kind == "opens" and not hourly else ["while"]
    for word in words[: draw(st.integers(1, 3))]:
        for first in [word, "and"][: draw(st.integers(1, 2))]:
            tests = draw(st.lists(test(hourly, 2), min_size=1, max_size=2))
            lines.append(f"{first} {' or '.join(tests)}")
    lines += ["says It is {level}, {{not}} {limit}.", "source somebody, somewhere"]
    shown = about(draw(st.sampled_from(NUMERIC)))
    lines += ["trial some-rule", f"take {shown.fact} = {shown.value}", "answer yes"]
    return "\n".join(lines)


def test_rules_made_by_the_grammar_are_judged_and_explained() -> None:
    right = []

    @settings(max_examples=200)
    @given(rule())
    def look(text: str) -> None:
        right.append(all(problem.warning for problem in exercise(text).problems))

    look()
    assert sum(right) > len(right) / 4  # else it would only try how faults are told


# Size and time


HEAD = "notes n for x\nsays x\nsource y\nwhile rain more than 9 mm"


def lines_of(make: Callable[[int], str], size: int, head: str = HEAD) -> str:
    found = [head]
    left = size - len(head)
    while left > 0:
        found.append(make(len(found)))
        left -= len(found[-1]) + 1
    return "\n".join(found)


def repeated(part: str, joint: str) -> Callable[[int], str]:
    return lambda _n: "and " + joint.join([part] * (430 // (len(part) + len(joint))))


HOSTILE: dict[str, Callable[[int], str]] = {
    "parentheses": lambda size: lines_of(
        lambda _n: f"and {'(' * 20}rain{')' * 20} more than 1 in", size
    ),
    "nots": lambda size: lines_of(lambda _n: f"and {'not ' * 20}rain more than 1 in", size),
    "open parentheses": lambda size: lines_of(lambda _n: f"and {'(' * 400}", size),
    "doubling lets": lambda size: lines_of(
        lambda n: f"let a{n} be {' plus '.join([f'a{n - 1}' if n > 1 else 'rain'] * 30)}", size
    ),
    "sums of temperatures": lambda size: lines_of(
        lambda n: f"let b{n} be {' plus '.join(['5 F'] * 40)}", size
    ),
    "products of numbers": lambda size: lines_of(repeated("2", " times "), size),
    "units that are none": lambda size: lines_of(repeated("2 X", " times "), size),
    "counts in counts": lambda size: lines_of(
        lambda _n: "and " + "number of days with (" * 7 + "rain more than 1 in"
        + ") over the 3 days to it at least 2 days" * 7,
        size,
    ),
    "many conditions": lambda size: lines_of(
        lambda n: f"and rain more than {n % 9} mm or wind less than {n % 7 + 1} mph", size
    ),
    "a contradiction of many": lambda size: (
        lines_of(lambda n: f"and rain more than {n % 9 + 1} mm", size) + "\nand rain less than 1 mm"
    ),
    "many alternatives": lambda size: lines_of(repeated("rain more than 1 in", " or "), size),
    "unknown facts": lambda size: lines_of(lambda n: f"and rian{n} more than 1 in", size),
    "unknown keywords": lambda size: lines_of(lambda n: f"whlie{n} x", size),
    "placeholders": lambda size: lines_of(lambda n: f"notes n{n} for x\nsays {'{a}' * 100}", size),
    "braces": lambda size: lines_of(lambda n: f"notes n{n} for x\nsays {'{' * 400}", size),
    "settings": lambda size: lines_of(lambda n: f"setting s{n} = 5 F", size),
    "rules": lambda size: lines_of(
        lambda n: f"notes n{n} for x\nwhile rain more than 1 in\nsays x\nsource y", size
    ),
    "trials": lambda size: lines_of(
        lambda _n: "trial n\ntake rain = 1 in\nanswer yes", size
    ),
    "one long line": lambda size: "notes n for x\nwhile " + "rain " * (size // 5),
    "one long word": lambda size: "x" * size,
    "blank lines": lambda size: "\n" * size,
}  # fmt: skip


def calls_to_read(text: str) -> int:
    """Calls of functions while a text is read: the same on any machine, however busy."""
    count = 0

    def counted(*_event: object) -> None:
        nonlocal count
        count += 1

    before = sys.getprofile()
    sys.setprofile(counted)
    try:
        read_rulebook([RuleFile("a", text)])
    finally:
        sys.setprofile(before)
    return count


@pytest.mark.parametrize("shape", HOSTILE)
def test_the_work_of_reading_grows_with_the_text_and_no_faster(shape: str) -> None:
    """Twice the text is little more than twice the work, and a byte costs a bounded amount.

    So the largest file that is read (200 kB) is read in seconds.
    """
    calls_to_read(HOSTILE[shape](500))  # what is made once for all, such as the parser
    once, twice = (calls_to_read(HOSTILE[shape](size)) for size in (6_000, 12_000))
    assert twice < 2.6 * once + 2000
    assert twice < 1500 * 12_000


def test_a_file_of_the_largest_size_is_read() -> None:
    text = HOSTILE["rules"](199_900)[:200_000]
    book = read_rulebook([RuleFile("a", text)])
    assert len(book.rules) > 3000


# What text can do


TRICKS = [
    "{0.__class__}", "{0}", "{}", "{limit.__class__}", "{limit.written.number}", "{limit[0]}",
    "{limit!r}", "{limit!s:>9999999999}", "{limit:>999999999}", "{limit:{limit}}", "{self}",
    "%s%n%x", "%(limit)s", "${limit}", "$limit", "{{limit}}", "{{{{", "{builder.settings}",
    "{__import__('os').system('id')}", "__import__('os').system('id')", "{FACTS}", "`id`", "$(id)",
    "{% for x in y %}", "{{ 7 * 7 }}", "\\x41", "\\N{BULLET}", "<script>", "../../etc/passwd",
    "file:///etc/passwd", "!include /etc/passwd", "@/etc/passwd", "import os", "lambda: 0",
]  # fmt: skip

WATCHED = ("open", "exec", "compile", "import", "os.", "subprocess.", "socket.", "shutil.", "glob.")

seen: list[str] | None = None


def watch(event: str, arguments: tuple[object, ...]) -> None:
    """What Python itself reports before it opens a file, compiles or runs code, or calls out."""
    if seen is not None and event.startswith(WATCHED):
        seen.append(f"{event} {arguments!r}")


sys.addaudithook(watch)


def done_with(text: str) -> list[str]:
    """What reading, judging and explaining a text does to the machine."""
    global seen
    exercise(text)  # what is imported or compiled once is none of the text's doing
    seen = []
    try:
        exercise(f"{text}\n# The same text would not be read again.")
    finally:
        found, seen = seen, None
    return found


@pytest.mark.parametrize("trick", TRICKS)
def test_no_text_runs_code_or_opens_a_file(trick: str) -> None:
    """Wherever it stands, in a rule that is right but for it."""
    rule = {"while": "rain more than 1 in", "says": "x", "source": "y"}
    for word in KEYWORDS:
        lines = {**rule, word: trick} if word in rule else rule
        text = "setting limit = 5 F\nnotes n for x\n"
        text += "\n".join(f"{first} {rest}" for first, rest in lines.items())
        text += "" if word in rule else f"\n{word} {trick}"
        assert done_with(text) == []
    assert done_with(trick) == []


def test_the_watch_sees_what_it_is_for(tmp_path: Path) -> None:
    global seen
    seen = []
    try:
        eval("1 + 1")
        (tmp_path / "x").write_text("")
    finally:
        found, seen = seen, None
    assert {event.split()[0] for event in found} >= {"compile", "exec", "open"}


def test_a_sentence_is_put_together_from_names_alone() -> None:
    """Braces hold a whole name; nothing in them is an attribute, an index or a format."""
    for trick in ("limit.real", "limit[0]", "limit!r", "limit:>9", " limit", "limit ", "0", ""):
        text = "setting limit = 5 F\nnotes n for x\nwhile rain more than 1 in\nsays {" + trick
        problems = read_rulebook([RuleFile("a", text + "}\nsource y")]).problems
        assert [p.what for p in problems] == [f"nothing is called “{trick}”"]


FORBIDDEN_CALLS = {
    "eval", "exec", "compile", "open", "__import__", "input", "getattr", "setattr", "vars",
    "globals", "locals", "format",
}  # fmt: skip
FORBIDDEN_METHODS = {
    "format", "format_map", "substitute", "safe_substitute", "from_string", "system", "popen",
    "read_text", "read_bytes", "write_text", "write_bytes", "loads", "load", "import_module",
}  # fmt: skip


def suspect(tree: ast.AST) -> list[str]:
    """Calls that could make text do something, and old formatting by `%`."""
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            found += [node.func.id] if node.func.id in FORBIDDEN_CALLS else []
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            found += [node.func.attr] if node.func.attr in FORBIDDEN_METHODS else []
        if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Mod):
            found.append("%")
    return found


@pytest.mark.parametrize("path", sorted(PACKAGE.glob("*.py")), ids=lambda path: path.name)
def test_no_module_of_the_rulebook_evaluates_or_formats_text(path: Path) -> None:
    assert suspect(ast.parse(path.read_text(encoding="utf-8"))) == []


def test_the_search_for_such_calls_sees_them() -> None:
    code = "eval(a); b.format(c); d % e; open(f); g.format_map(h); re.escape(i)"
    assert sorted(suspect(ast.parse(code))) == ["%", "eval", "format", "format_map", "open"]
