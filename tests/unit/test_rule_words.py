"""What a rule says, what its conditions rest on and where facts come from, in another language.

A catalogue that puts every message between «» stands in for a translation: a word outside them has
come past the catalogue. What is decided must not hang on the language.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from datetime import date
from functools import cache
from gettext import NullTranslations
from pathlib import Path

import pytest

import advisor
from advisor.conditions.vocabulary import FACTS, SINCE
from advisor.language import words
from advisor.language.speaking import Language, speaking
from advisor.plan.asked import views
from advisor.plan.view import View
from advisor.rulebook.explain import ConditionResult, Explanation
from advisor.rulebook.own_units import in_braces, in_own_units
from advisor.service.decide import digest_moment, given_for
from advisor.service.folders import read_folder
from advisor.service.weather import refresh
from advisor.shipped import shipped
from advisor.store.database import Store

ROOT = Path(advisor.__file__).parent
DAYS = (date(2025, 4, 1), date(2025, 7, 1), date(2025, 10, 7))


class Marked(NullTranslations):
    """Every message is translated, by putting it between «»."""

    def gettext(self, message: str) -> str:
        return f"«{message}»"

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return f"«{msgid1 if n == 1 else msgid2}»"

    def pgettext(self, context: str, message: str) -> str:  # noqa: ARG002
        return f"«{message}»"


@pytest.fixture
def marked(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    plain = NullTranslations()
    monkeypatch.setattr(
        words, "_catalogue", lambda language: plain if language == "en" else Marked()
    )
    yield


def outside(text: str) -> str:
    """What of a text stands outside of all «»."""
    found, depth = "", 0
    for sign in text:
        depth += sign == "«"
        found += sign if depth == 0 else ""
        depth -= sign == "»"
    assert depth == 0, text
    return found


def without_marks(text: str) -> str:
    return text.replace("«", "").replace("»", "")


def plain(text: str | None) -> str | None:
    return None if text is None else without_marks(text)


@cache
def lawns(on: date) -> tuple[View, ...]:
    """The demo's lawns on a day; the words of their facts are made when they are asked for."""
    folder = shipped("demo_site")
    read = read_folder(folder, None, today=on)
    site = read.files.site
    assert site is not None
    with Store(":memory:") as store:
        now = digest_moment(site, on)
        assert refresh(site, folder, store, now, {}) == ""
        given, _ = given_for(read.without_future_lines(), site, store, now)
    return views(given, now)


def explained(view: View, language: Language) -> dict[str, Explanation]:
    """Each rule that is for the lawn, on the day."""
    with speaking(language):
        return {
            name: view.explain(rule, view.setting.weather.daily.today)
            for name, rule in view.setting.book.rules.items()
            if rule.speaks_of(view.lawn.grass, view.lawn.grass_class) and not rule.hourly
        }


def all_explained() -> Iterator[tuple[str, Explanation, Explanation]]:
    for on in DAYS:
        for view in lawns(on):
            english, other = explained(view, "en"), explained(view, "de")
            assert english.keys() == other.keys()
            for name, one in english.items():
                yield f"{name} on {view.lawn.name}, {on}", one, other[name]


@pytest.mark.usefixtures("marked")
def test_each_rule_says_the_same_in_words_of_the_catalogue() -> None:
    """Also the numbers, which only have other separators, and the units."""
    seen = 0
    for where, english, other in all_explained():
        assert other.sentence.startswith("«") and other.sentence.endswith("»"), where
        assert _digits(without_marks(other.sentence)) == _digits(english.sentence), where
        seen += 1
    assert seen > 100


def _digits(text: str) -> str:
    return text.translate({ord("."): None, ord(","): None})


def of(condition: ConditionResult) -> list[str | None]:
    return [condition.about, condition.value, condition.limit, condition.bound, condition.margin,
            condition.origin]  # fmt: skip


NO_WORD = re.compile(
    r"[-−+±\d.,:;/ ()]|°[CF]|·d|\b(in|ft|mph|lb|oz|fl oz|mm|cm|kg|g|h|m|s|km|%)\b|%"
)
"""What a figure with its unit is made of."""


@pytest.mark.usefixtures("marked")
def test_evidence_and_origins_are_words_of_the_catalogue() -> None:
    seen = set()
    for where, english, other in all_explained():
        for one, told in zip(english.conditions, other.conditions, strict=True):
            for name, text in vars(told).items():
                if name not in ("about", "value", "limit", "bound", "margin", "origin") or not text:
                    continue
                left = NO_WORD.sub("", outside(_ours(text)).replace("²", ""))
                assert left == "", f"{where}: {name} {text!r}"
                seen.add(name)
            assert _digits(" ".join(plain(text) or "" for text in of(told))) == _digits(
                " ".join(text or "" for text in of(one))
            ), where
            assert told.text == one.text
    assert seen == {"about", "value", "limit", "bound", "margin", "origin"}


@pytest.mark.usefixtures("marked")
def test_verdicts_are_the_same_in_each_language() -> None:
    for where, english, other in all_explained():
        assert (english.verdict, english.first_change, english.latch) == (
            other.verdict,
            other.first_change,
            other.latch,
        ), where
        assert [(c.holds, c.beyond, c.change, c.facts) for c in english.conditions] == [
            (c.holds, c.beyond, c.change, c.facts) for c in other.conditions
        ], where


@pytest.mark.usefixtures("marked")
def test_every_origin_of_every_fact_is_told() -> None:
    told = set()
    for on in DAYS:
        for view in lawns(on):
            table = view.facts.table
            columns = {**table.numbers, **table.words, **table.since}
            for name, column in columns.items():
                for day in (table.today - 1, table.today, table.today + 1):
                    with speaking("de"):
                        text = column.origin(day)
                    with speaking("en"):
                        assert _digits(without_marks(text)) == _digits(column.origin(day))
                    if _ours(text):
                        assert outside(text) == "", f"{name}: {text}"
                        told.add(name)
    daily = {name for name, fact in FACTS.items() if fact.daily and fact.depths is None}
    assert told >= daily - {"watering_day"}
    assert told >= set(SINCE)


def _ours(text: str) -> str:
    """Without the source that the demo's owner names for watering days: it is the owner's words."""
    source = lawns(DAYS[0])[0].setting.site.watering.source
    assert source
    return text.replace(source, "")


@pytest.mark.parametrize(
    ("written", "units", "template", "told"),
    [
        ("Soil at 2 in has reached {x}.", "us", "Soil at {2 in} has reached {x}.", "2 in"),
        ("Soil at 2 in has reached {x}.", "metric", "Soil at {2 in} has reached {x}.", "5 cm"),
        ("Soil at 5 cm is warm.", "us", "Soil at {5 cm} is warm.", "2.0 in"),
        ("It is above 40 F.", "us", "It is above {40 F}.", "40 F"),
        ("It is above 40 F.", "metric", "It is above {40 F}.", "4.4 °C"),
        ("3 to 8 mph are best.", "metric", "{3 to 8 mph} are best.", "5 to 13 km/h"),
        ("Half an inch does.", "us", "{Half an inch} does.", "Half an inch"),
        ("Half an inch does.", "metric", "{Half an inch} does.", "13 mm"),
    ],
)
def test_a_quantity_in_a_sentence_is_a_placeholder_for_translators(
    written: str, units: str, template: str, told: str
) -> None:
    """Told as the sentence itself tells it; lengths by 2.54 cm to the inch, speeds by 1.609 km."""
    found, quantities = in_braces(written, units)
    assert found == template
    assert list(quantities.values()) == [told]
    filled = template.replace("{x}", "\0").format(**quantities).replace("\0", "{x}")
    assert filled == in_own_units(written, units)


TOLD = (
    "conditions/daily.py", "conditions/facts.py", "conditions/frost.py", "conditions/growing.py",
    "conditions/lawn_numbers.py", "conditions/place.py", "conditions/pressure.py",
    "conditions/seeding.py", "conditions/site_weather.py", "conditions/soil.py",
    "conditions/stages.py", "conditions/stated.py", "conditions/weather_numbers.py",
    "rulebook/explain.py", "rulebook/layers.py", "rulebook/shown.py", "rulebook/subject.py",
    "service/owning_up.py", "service/provider.py",
    "weather/client.py", "weather/credit.py", "weather/exchange.py", "weather/refusal.py",
    "weather/watches.py", "weather/answer.py",
)  # fmt: skip
"""Modules all of whose words go to a reader."""

ALLOWED = {
    "a rule is explained for one lawn at a time",  # errors of a caller
    "now needs a time zone",
    "the whole took too long",  # a fault within the client, never shown
    "days since ",  # data
    "what a condition is about",  # a context
    "last good copy of ",  # the name of a file in messages, by which they are told apart
    "The weather service has no ",  # notes for the doctor
    " could not be true and counted as unknown.",
}

SENTENCE = re.compile(r"[A-Za-z]{2,} [A-Za-z]{2,}")


def bare(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Constants of two words and more that no call of the catalogue holds; f-strings included."""
    held: set[ast.AST] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            if node.func.id in ("tell", "tell_many", "tell_as", "later"):
                held |= {below for argument in node.args for below in ast.walk(argument)}
            elif node.func.id in ("ValueError", "TypeError", "KeyError", "Problem"):
                held |= set(ast.walk(node))
        if isinstance(node, ast.Call) and ast.unparse(node.func) == "re.compile":
            held |= set(ast.walk(node))
        body = getattr(node, "body", None)
        for statement in body if isinstance(body, list) else ():
            if isinstance(statement, ast.Expr) and isinstance(statement.value, ast.Constant):
                held.add(statement.value)
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and node not in held and isinstance(node.value, str):
            text = node.value
            if SENTENCE.search(text) and text not in ALLOWED:
                yield node.lineno, text


@pytest.mark.parametrize("module", TOLD)
def test_no_sentence_comes_past_the_catalogue(module: str) -> None:
    assert list(bare(ast.parse((ROOT / module).read_text(encoding="utf-8")))) == []


@pytest.mark.parametrize(
    "code", ['x = "the soil is dry"', 'x = f"water of {y} today"', 'say("it is dry")']
)
def test_the_check_sees_a_bare_sentence(code: str) -> None:
    assert list(bare(ast.parse(code)))
    assert not list(bare(ast.parse(f'x = tell("the soil is dry")\n"""{code!r}"""')))
