"""Every word that the plan says to people goes through the messages of the reader's language, and
nothing in the plan looks at such words to decide.

The first part reads the source: a text with words in it stands in a message function, or it is no
text for people and named below. The second makes plans in a language in which every message stands
between « and »: what is outside was never told. Its structure has to be the English plan's.
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest
from plan_cases import (
    BARRIER,
    GENEROUS,
    NOW,
    TODAY,
    action,
    advice,
    book,
    files,
    given,
    granules,
    holds,
    lawn,
    opens,
    waters,
    weather,
)
from spoken import Guillemets, outside, structure, texts, told_by_rules

from advisor.language import words as language_words
from advisor.language.listing import either, enumerated, listed
from advisor.language.sentences import as_sentence, capitalised, decapitalised
from advisor.language.speaking import speaking
from advisor.plan import words
from advisor.plan.compose import Given, make_plan
from advisor.plan.model import Plan, Verdict
from advisor.service.decide import decide
from advisor.site.words import TASKS
from advisor.store.database import Store

sys.path.insert(0, str(Path(__file__).parents[1] / "whole"))
from demo_year import decide_on, demo_site, morning, read_on

PLAN = Path(words.__file__).parent

MODULES = tuple(
    """
    actions announced ahead ahead_marks ahead_words asked asked_conditions asked_hours asked_plan
    asked_words by_hour choice coming compose differing fold go_line headline hour_reasons hours
    how_sure label lawn_futures lying needed owner_time reason reasons recant replay replay_compare
    replay_foresight replay_held replay_owner replay_run replay_totals restrict seasons second shut
    standing storms sureness tell_water unanswered view water_in watering weather_alone why_chosen
    words zone_runs
    """.split()  # noqa: SIM905
)

NOT_FOR_PEOPLE = {
    ("differing", "switched off"): "a word of the document for machines",
    ("differing", "uses a changed setting"): "a word of the document for machines",
    ("reason", "days since "): "how a rule begins the name of a fact",
    ("shut", "not "): "a word of the rule language",
    ("shut", " is "): "a word of the rule language",
    ("shut", " / "): "a word of the rule language",
    ("shut", " or "): "how the rule language writes its own choice out",
    ("shut", "at least "): "how a bound of the rule language begins",
    ("replay_owner", "journal from {}"): "a line of the journal",
    ("replay_owner", "{}  {}  applied {} of {}"): "a line of the journal",
    ("replay_owner", "{}  {}  watered {}"): "a line of the journal",
    ("replay_owner", "{} in"): "an amount as the journal has it",
    ("replay_owner", "{} mm"): "an amount as the journal has it",
}
"""Texts with words that no reader sees, by module, with the reason."""

TOLD = {"tell", "tell_many", "tell_as", "later"}


def untold(source: str) -> Iterator[str]:
    """The texts of a module that have words for people and stand in no message function: literals
    with a space and a letter, and f-strings with a letter of their own (shown with `{}`)."""
    tree = ast.parse(source)
    left_out: set[ast.AST] = set()
    for node in ast.walk(tree):
        called = node.func if isinstance(node, ast.Call) else None
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            left_out.add(node.value)  # a docstring
        elif isinstance(node, ast.Raise | ast.Assert):
            left_out.update(ast.walk(node))
        elif isinstance(called, ast.Name) and called.id in TOLD:
            assert isinstance(node, ast.Call)
            left_out.update(each for each in node.args if isinstance(each, ast.Constant))
        elif isinstance(called, ast.Name) and called.id == "Field":
            assert isinstance(node, ast.Call)
            for keyword in node.keywords:
                if keyword.arg == "description":
                    left_out.update(ast.walk(keyword.value))
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            left_out.update(node.values)
            left_out.update(
                each.format_spec
                for each in node.values
                if isinstance(each, ast.FormattedValue) and each.format_spec is not None
            )
    for node in ast.walk(tree):
        if node in left_out:
            continue
        if isinstance(node, ast.JoinedStr):
            own = [each.value for each in node.values if isinstance(each, ast.Constant)]
            if any(re.search("[A-Za-z]", str(part)) for part in own):
                yield "".join(
                    str(each.value) if isinstance(each, ast.Constant) else "{}"
                    for each in node.values
                )
        elif (
            isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and " " in node.value
            and re.search("[A-Za-z]", node.value)
        ):
            yield node.value


@pytest.mark.parametrize("module", MODULES)
def test_a_module_tells_all_its_words(module: str) -> None:
    found = set(untold((PLAN / f"{module}.py").read_text(encoding="utf-8")))
    allowed = {text for name, text in NOT_FOR_PEOPLE if name == module}
    assert found <= allowed, "words for people that stand in no message function"


def test_every_exception_still_stands() -> None:
    stale = [
        (module, text)
        for module, text in NOT_FOR_PEOPLE
        if re.search("[A-Za-z]", text)
        and text not in set(untold((PLAN / f"{module}.py").read_text(encoding="utf-8")))
    ]
    assert stale == []


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ('x = "Not before dawn."', ["Not before dawn."]),
        ('x = f"Not before {day}."', ["Not before {}."]),
        ('x = f"{a} of {b}"', ["{} of {}"]),
        ('x = tell("Before {day}.", day=f"the {n}th")', ["the {}th"]),
        ('x = tell("Before {day}.", day=day)', []),
        ('"""A module."""\nraise ValueError("no such day")', []),
        ('x = Field(description="a day")', []),
        ('x = f"{hour:02}:00, {minutes:.0f}"', []),
    ],
)
def test_the_reading_sees_what_is_not_told(source: str, found: list[str]) -> None:
    assert list(untold(source)) == found


@pytest.mark.parametrize("name", ["tell", "tell_many", "tell_as", "later"])
def test_no_message_is_glued(name: str) -> None:
    """A message that is made from pieces cannot be looked up."""
    for module in MODULES:
        for node in ast.walk(ast.parse((PLAN / f"{module}.py").read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == name:
                for each in node.args[: 2 if name in ("tell_many", "tell_as") else 1]:
                    assert not isinstance(each, ast.JoinedStr | ast.BinOp), (module, node.lineno)


def test_lists_have_the_joints_of_their_language(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(language_words, "_catalogue", lambda _: Guillemets())
    three = ["rain", "wind", "frost"]
    assert (enumerated(three), listed(three), either(three)) == (
        "rain, wind, frost", "rain, wind and frost", "rain, wind or frost",
    )  # fmt: skip
    assert (listed([]), listed(["rain"]), either(["rain", "wind"])) == ("", "rain", "rain or wind")
    with speaking("de"):
        assert listed(three) == "««rain, wind» and frost»"
        assert either([]) == ""


def test_only_english_gives_up_a_capital_within_a_sentence() -> None:
    assert decapitalised("The lawn is dry.") == "the lawn is dry."
    assert (capitalised("rain may come"), as_sentence("rain may come")) == (
        "Rain may come", "Rain may come.",
    )  # fmt: skip
    with speaking("de"):
        assert decapitalised("Regen kommt.") == "Regen kommt."


def test_every_task_has_its_words() -> None:
    for told in (words.task_title, words.task_short, words.task_within, words.task_in_full):
        assert all(told(task) for task in TASKS)
    assert {task: words.task_title(task) for task in TASKS} == words.TASK_TITLES
    assert {task: words.task_short(task) for task in TASKS} == words.TASK_SHORT
    assert [words.verdict_text(verdict) for verdict in Verdict] == ["Apply", "Wait", "Water"]


# Plans in a language in which every message stands between « and ».


def _cases() -> dict[str, Given]:
    two = (lawn(more=GENEROUS), lawn("back", more=GENEROUS))
    three = (*two, lawn("side", more=GENEROUS))
    fed = "journal from 2026-01-01\n2026-05-10  front  applied 30 lb of granules\n"
    saturday = '[watering]\nweekdays = ["saturday"]\n'
    own_time = '[free]\nweekdays = ["saturday"]\n'
    closed = (
        '[[ban]]\ntitle = "Made-up ban"\nnutrients = ["nitrogen"]\nfrom = "05-01"\n'
        'to = "06-01"\nsource = "made up"\n'
    )
    rules = book(opens(), holds())
    dry = {-12: 60.0}
    return {
        "apply": given(files(), rules, weather()),
        "both lawns": given(files(*two), rules, weather()),
        "all lawns": given(files(*three), rules, weather()),
        "held": given(files(), rules, weather(humidity=0.95)),
        "held for now": given(files(), rules, weather(humidity={0: 0.95, 1: 0.95})),
        "humidity not known": given(files(), rules, weather(humidity=None)),
        "gusts to come": given(files(), book(opens(at_least=6.0)), weather()),
        "opens later": given(files(), book(opens(at_least=6.0)), weather(gust={8: 9.0, 9: 9.0})),
        "closes unused": given(
            files(), rules, weather(gust={2: 0.5, 3: 0.5, 4: 0.5}, humidity={0: 0.95, 1: 0.95})
        ),
        "rain": given(files(), rules, weather(rain=dict.fromkeys(range(10), 9.0))),
        "empty shelf": given(files(shelf=BARRIER), rules, weather()),
        "barrier": given(
            files(shelf=BARRIER + granules()), book(opens(), opens("pre-emergent")), weather()
        ),
        "fed of late": given(
            files(shelf=granules(more='interval = "30 days"'), journal=fed), rules, weather()
        ),
        "by law": given(files(more=closed), rules, weather()),
        "not free": given(files(more=own_time), rules, weather()),
        "asked": given(files(), rules, weather(), [advice(TODAY - timedelta(2))]),
        "announced": given(files(), rules, weather(), [advice(TODAY + timedelta(2))]),
        "thirst": given(files(lawn()), book(waters()), weather(rain=dry)),
        "thirst before food": given(files(lawn()), book(opens(), waters()), weather(rain=dry)),
        "not its day": given(
            files(lawn(), more=saturday), book(opens(), waters()), weather(rain=dry)
        ),
        "no need": given(files(lawn()), book(waters()), weather(rain={-1: 60.0})),
        "no forecast": given(files(), rules, None),
        "stale": given(files(), rules, weather(fetched=NOW - timedelta(days=4))),
    }


CASES = _cases()


def in_guillemets(case: Given, monkeypatch: pytest.MonkeyPatch) -> Plan:
    monkeypatch.setattr(language_words, "_catalogue", lambda _: Guillemets())
    told_by_rules(monkeypatch)
    return make_plan(
        replace(case, site=case.site.model_copy(update={"language": "de"})), NOW
    )  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_no_word_of_a_plan_is_outside_of_a_message(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = in_guillemets(CASES[name], monkeypatch)
    found = dict(texts(plan))
    assert "«" in found["headline.text"]
    assert {where: text for where, text in found.items() if outside(text)} == {}


@pytest.mark.parametrize("name", CASES)
def test_another_language_decides_the_same(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    english = make_plan(CASES[name], NOW)
    assert structure(in_guillemets(CASES[name], monkeypatch)) == structure(english)


def test_the_cases_come_to_all_three_verdicts() -> None:
    found = {make_plan(case, NOW).headline.verdict for case in CASES.values()}
    assert found == set(Verdict)


DEMO_DAYS = [date(2025, month, (1, 9, 18, 27)[month % 4]) for month in range(1, 13)]


@pytest.mark.parametrize("day", DEMO_DAYS, ids=str)
def test_the_demo_decides_the_same_in_another_language(
    day: date, monkeypatch: pytest.MonkeyPatch
) -> None:
    site, now = demo_site(), morning(day)
    with Store(":memory:") as store:
        english = decide_on(day, store).plan
        monkeypatch.setattr(language_words, "_catalogue", lambda _: Guillemets())
        told_by_rules(monkeypatch)
        speaks = site.model_copy(update={"language": "de"})
        plan = decide(read_on(day), speaks, store, now).plan
    assert english.site.language == "en"
    assert plan.site.language == "de"
    assert structure(plan) == structure(english)
    assert {where: text for where, text in texts(plan) if outside(text)} == {}


# What stands beside the sentences, so that nobody has to take them apart.


def test_a_wait_names_the_day_before_which_it_is_shut() -> None:
    found = action(make_plan(CASES["opens later"], NOW))
    assert found.because == "Not before Thu May 21, as the forecast stands."
    assert found.not_before == found.look_again == TODAY + timedelta(8)
    assert action(make_plan(CASES["held"], NOW)).not_before is None


def test_a_brief_sentence_lacks_the_figures_of_today() -> None:
    wait = action(make_plan(CASES["gusts to come"], NOW))
    assert wait.because.startswith(wait.brief.removesuffix(".") + "; now ")
    held = action(make_plan(CASES["held"], NOW))
    assert held.brief == held.because == "Too humid."


def test_a_headline_gives_its_claim_and_its_reason_apart() -> None:
    head = make_plan(CASES["apply"], NOW).headline
    assert head.text == f"Apply: {head.claim}. {head.because}"
    assert head.because == "The window of feed is open."
    assert head.claim.startswith("feed, ")
    wait = make_plan(CASES["held"], NOW).headline
    assert (wait.claim, wait.text) == (
        "put nothing down this week", f"Wait: {wait.claim}. {wait.because}",
    )  # fmt: skip
    assert wait.because.startswith("Feeding, ")


def test_a_subject_is_short_in_a_wordy_language(monkeypatch: pytest.MonkeyPatch) -> None:
    class Wordy(Guillemets):
        def gettext(self, message: str) -> str:
            return f"{message} in ganz besonders vielen Worten"

    monkeypatch.setattr(language_words, "_catalogue", lambda _: Wordy())
    for case in CASES.values():
        site = case.site.model_copy(update={"language": "de"})
        assert len(make_plan(replace(case, site=site), NOW).headline.subject) <= 50
