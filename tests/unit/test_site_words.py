"""What the floors of the site and the turf say to people goes through the messages of the reader's
language: the law as it is stated, the forms of nitrogen and what releases them, what to look up on
a label.

What is wrong in the owner's files (`swardcast check`), a line of the journal, the name of a
publication and what only a terminal shows are no such words.
"""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest
from extracting import messages
from ordinance_samples import NAMES, ordinance
from site_samples import SITE
from spoken import Guillemets, outside
from test_plan_words import TOLD, untold

import advisor
from advisor.language import words as language_words
from advisor.language.speaking import speaking
from advisor.site.law import Ordinance, WateringTimes
from advisor.site.law_told import away_text, season_text, told
from advisor.site.load import read_site
from advisor.site.named import caught_by_law, task_written
from advisor.site.nitrogen import FORMS, KNOWN_WORDS
from advisor.site.place import Site
from advisor.site.shelf import LABEL_WORDS
from advisor.site.words import TASKS
from advisor.turf.burn import SOURCES, Cause
from advisor.turf.nitrogen_forms import RELEASES
from advisor.turf.stages import Trust

ADVISOR = Path(advisor.__file__).parent

MODULES = tuple(
    """
    site/events site/free_time site/irrigation site/law site/law_told site/lawns site/ledger
    site/named site/nitrogen site/shelf site/spreaders site/sums site/under_law turf/areas turf/burn
    turf/cycles turf/label turf/nitrogen_forms turf/salt turf/stages
    """.split()  # noqa: SIM905
)

NOT_FOR_PEOPLE = {
    ("site/events", "perhaps done"): "how sure an event is, which is no text",
    ("site/events", "product:{}"): "the name of a substance",
    ("site/events", "{} advised for {}"): "beside an event, where the journal's line is missing",
    ("site/free_time", '"2026-07-04 to 2026-07-12"'): "what a file may hold",
    ("site/irrigation", "{} mm"): "a rate as a file has it",
    ("site/nitrogen", "some of it, and only `slow_release` tells how much"): "which is no text",
    ("site/nitrogen", "all of it"): "which is no text",
    ("site/nitrogen", "none of it"): "which is no text",
    ("site/nitrogen", "form of nitrogen"): "of a mistake in a file",
    ("site/nitrogen", "derived from"): "what a label says, to be read",
    ("site/nitrogen", " and "): "what a label says, to be read",
    ("site/nitrogen", "^(and|with) "): "what a label says, to be read",
    ("site/spreaders", "Name the {} ({}), or mend the product's name."): "of a mistake in a file",
    ("site/spreaders", "Name a {}, which site.toml has not yet, or mend the product's name."):
        "of a mistake in a file",
    ("site/spreaders", "{} is a {}, and {} is {}"): "of a mistake in a file",
    ("site/spreaders", "a liquid"): "of a mistake in a file",
    ("site/spreaders", "no spreader or sprayer is called “{}”"): "of a mistake in a file",
    ("site/spreaders", "Write a [[spreader]] into site.toml."): "of a mistake in a file",
    ("site/spreaders", "{} short is not less than the area of {}"): "of a mistake in a file",
    ("site/spreaders", "Until mended, what it brought is not known."): "of a mistake in a file",
    ("site/sums", "{}-test"): "the name of a record",
    ("site/sums", "product:{}"): "the name of a substance",
    ("turf/nitrogen_forms", "from memory"): "a source",
    ("turf/salt", "salt index after Rader 1943, from memory"): "a source",
    **{("turf/burn", text): "the plan has a sentence for each" for text in Cause},
    **{("turf/burn", text): "a source" for text in SOURCES.values()},
    **{("turf/stages", text): "how a number came, which is no text" for text in Trust},
    **{("site/nitrogen", text): "what a label says, to be read" for text in KNOWN_WORDS},
    **{
        ("turf/nitrogen_forms", given.source.replace("from memory", "{}")): "a source"
        for release in RELEASES.values()
        for given in (release.needs, release.works_from_c, release.weeks)
    },
}  # fmt: skip
"""Texts with words that no reader of a mail or page is told, by module, with the reason."""

ELSEWHERE = {
    "site/law_sense": "mistakes in a file",
    "site/watched": "mistakes in a file",
    "site/zones": "mistakes in a file",
    "site/amounts": "mistakes in a file, and what is right there",
    "site/words": "meanings for `swardcast facts`, on a terminal",
    "site/grass_limits": "sources",
    "turf/insects": "sources, and the names of rows",
    "turf/catch_can": "remarks of `swardcast catchcan`, on a terminal",
}
"""Modules whose texts are all no such words."""


def source(module: str) -> str:
    return (ADVISOR / f"{module}.py").read_text(encoding="utf-8")


@pytest.mark.parametrize("module", MODULES)
def test_a_module_tells_all_its_words(module: str) -> None:
    allowed = {text for name, text in NOT_FOR_PEOPLE if name == module}
    assert set(untold(source(module))) <= allowed, "words that stand in no message function"


def test_every_exception_still_stands() -> None:
    """Single words are not looked at; a source with a number in it is no plain text of its own."""
    found = {module: set(untold(source(module))) for module in MODULES}
    named = {
        (module, text): text for module, text in NOT_FOR_PEOPLE
        if re.search("[ {]", text) and text not in KNOWN_WORDS and module != "turf/nitrogen_forms"
    }  # fmt: skip
    assert [key for key, text in named.items() if text not in found[key[0]]] == []


@pytest.mark.parametrize("module", ELSEWHERE)
def test_a_module_without_words_for_people_tells_none(module: str) -> None:
    """Once one of them tells something it has to be looked at as the others are."""
    called = {
        node.func.id
        for node in ast.walk(ast.parse(source(module)))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }
    assert not called & TOLD


def test_taking_a_message_function_away_is_seen() -> None:
    """In the law's own text, each call in turn: what was in it is then found (single words are not,
    see below)."""
    text = source("site/law_told")
    calls = list(re.finditer(r"\b(?:tell|later)\(\s*(?=\"[^\"]* )", text))
    assert len(calls) > 25
    for call in calls:
        bare = text[: call.start()] + "print(" + text[call.end() :]
        assert set(untold(bare)) - set(untold(text)), call


def test_what_is_told_later_is_among_the_messages() -> None:
    """Single words too, which the reading above does not look at."""
    known = {message.id for message in messages() if message.context is None}
    assert {form.shown for form in FORMS.values()} <= known
    assert {release.needs.value for release in RELEASES.values()} <= known
    assert set(LABEL_WORDS.values()) <= known


# In a language in which every message stands between « and ».


@pytest.fixture
def guillemets(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(language_words, "_catalogue", lambda _: Guillemets())


def numbers(text: str) -> list[str]:
    """The digits of a text in their order, whatever separates decimals and thousands."""
    return re.findall("[0-9]+", text)


MADE_UP = """
[[ban]]
title = "Made-up ban"
nutrients = ["nitrogen", "iron"]
tasks = ["pre-emergent"]
actives = ["prodiamine"]
lawns = ["back"]
from = "12-01"
to = "03-15"
[[ban]]
title = "Made-up ban of phosphorus"
nutrients = ["phosphorus"]
unless = ["soil-test", "new-turf"]
lawns = ["back"]
[[ordinance]]
title = "Made-up ordinance"
lawns = ["back"]
slow_release = "50%"
nitrogen_once = "0.9 lb/1000 ft2"
soluble_once = "0.7 lb/1000 ft2"
nitrogen_year = "3.2 lb/1000 ft2"
from_water = "10 ft"
[[watering]]
forbidden = true
from = "06-01"
to = "06-30"
lawns = ["back"]
[[watering]]
title = "Made-up days"
dates = "even"
not_on = [1, 2, 3, 11, 22]
[[watering]]
title = "Made-up hours"
houses = "odd"
hours = ["04:00-09:00", "20:30-23:00"]
"""


def site_with(more: str) -> Site:
    text = SITE.replace("[place]\n", "[place]\nhouse = 117\n")
    text = text.replace('soil = "sand"', 'soil = "sand"\nshore = "20 ft"') + more
    read = read_site({"site.toml": text, "shelf.toml": "", "journal.txt": ""})
    assert read.site is not None, read.errors
    return read.site


LAWS = {name: ordinance(name) for name in NAMES} | {"made up": MADE_UP}


@pytest.mark.parametrize("name", LAWS)
@pytest.mark.usefixtures("guillemets")
def test_no_word_of_the_law_is_outside_of_a_message(name: str) -> None:
    site = site_with(LAWS[name])
    english = told(site)
    with speaking("de"):
        found = told(site)
    assert len(found) == len(english) > 1
    assert [line for line in found if outside(line) or "«" not in line] == []
    assert [numbers(line) for line in found] == [numbers(line) for line in english]


def test_the_made_up_law_in_english() -> None:
    assert told(site_with(MADE_UP))[:-1] == (
        "Made-up ban: no nitrogen or iron or pre-emergent or prodiamine from 1 December to"
        " 15 March, on back.",
        "Made-up ban of phosphorus: no phosphorus at any time of the year, on back; a soil test"
        " that says low and a lawn's first season frees phosphorus.",
        "Made-up ordinance: at least 50% of the nitrogen slow-release, on back.",
        "Made-up ordinance: at most 0.90 lb/1000 ft² of nitrogen in one application, on back.",
        "Made-up ordinance: at most 0.70 lb/1000 ft² of water-soluble nitrogen in one application,"
        " on back.",
        "Made-up ordinance: at most 3.20 lb/1000 ft² of nitrogen in a year, on back.",
        "Made-up ordinance: nothing within 10 ft of water, on back.",
        "back: 20 ft of shore by 10 ft is 200 ft²; 200 ft² is left out of every dose.",
        "Watering: none, from 1 June to 30 June, on back.",
        "Made-up days: on even dates, not on the 1st or 2nd or 3rd or 11th or 22nd.",
        "Made-up hours for odd house numbers: from 04:00 to 09:00 or 20:30 to 23:00.",
    )


@pytest.mark.usefixtures("guillemets")
def test_days_and_months_are_those_of_the_language() -> None:
    rule = WateringTimes(title="Made up", weekdays=("tuesday", "saturday"))
    site = site_with("").model_copy(update={"watering_rules": (rule,)})
    with speaking("de"):
        assert season_text((6, 1), (9, 30)) == "«from «1 Juni» to «30 September»»"
        assert "Dienstag" in told(site)[0]
        assert away_text(3.5, "metric") == "3,5 m"
    assert away_text(3.5, "metric") == "3.5 m"
    assert told(site)[0] == "Made up: on Tuesday and Saturday."


@pytest.mark.usefixtures("guillemets")
def test_a_law_that_names_no_source_has_words_for_it() -> None:
    named, bare = Ordinance(title="x", source="code 12"), Ordinance(title="x")
    with speaking("de"):
        assert (named.stands_in, bare.stands_in) == (
            "code 12", "«local code, as the site file states it»",
        )  # fmt: skip


@pytest.mark.usefixtures("guillemets")
def test_tasks_and_nutrients_are_named_and_an_ingredient_stays() -> None:
    nutrients = ("nitrogen", "phosphorus", "potassium", "iron")
    assert [caught_by_law(name) for name in (*nutrients, *TASKS)] == [*nutrients, *TASKS]
    assert [task_written(task) for task in TASKS] == [*TASKS]
    with speaking("de"):
        assert not [name for name in (*nutrients, *TASKS) if outside(caught_by_law(name))]
        assert caught_by_law("prodiamine") == "prodiamine"
