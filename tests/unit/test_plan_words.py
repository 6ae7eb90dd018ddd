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
from spoken import Guillemets, of_dose, outside, structure, texts, told_by_rules

from advisor.digest.dosed import render_dose
from advisor.language import words as language_words
from advisor.language.listing import either, enumerated, listed
from advisor.language.sentences import as_sentence, capitalised, decapitalised
from advisor.language.speaking import speaking
from advisor.plan import words
from advisor.plan.ahead_model import Dates, LawnAhead, Window
from advisor.plan.buying import CLASSES, plain_class, purchase, shopping
from advisor.plan.compose import Given, make_plan
from advisor.plan.dose_sheet import DoseSheet
from advisor.plan.dose_steps import BOUND
from advisor.plan.dosing import Ask, Catch, dose_sheet
from advisor.plan.model import Plan, Verdict
from advisor.plan.names import GRASS_NAMES, grass_class_text, grass_text
from advisor.series.quantity import UNITS, Kind, read_quantity
from advisor.service.decide import decide
from advisor.site.amounts import Amount
from advisor.site.load import SiteFiles
from advisor.site.sums import Sums, sums
from advisor.site.words import GRASSES, TASKS, WATERING
from advisor.store.database import Store

sys.path.insert(0, str(Path(__file__).parents[1] / "whole"))
from demo_year import decide_on, demo_site, morning, read_on

PLAN = Path(words.__file__).parent

MODULES = tuple(
    """
    actions announced ahead ahead_marks ahead_words asked asked_conditions asked_hours asked_plan
    asked_words burning buying by_hour choice choosing coming compose cost differing dose dose_sheet
    dose_steps dose_words dose_year dosing fertilizer fold go_line headline hour_reasons hours
    how_sure label lawn_futures lying names needed owner_time reason reasons recant release replay
    replay_compare replay_foresight replay_held replay_owner replay_run replay_totals restrict
    seasons second shopping shut spray spread spreading staining standing storms sureness tell_water
    unanswered view water_in watering weather_alone weighing why_chosen words zone_runs
    digest.dosed
    """.split()  # noqa: SIM905
)

A_SOURCE = "a source, which stays as it is cited"

NOT_FOR_PEOPLE = {
    ("burning", "burn-{}"): "the name of a hold",
    ("burning", "not told"): "names nitrogen of no named form among the forms",
    ("choosing", "whole dose"): "the name of a principle",
    ("dose", "product:{}"): "the key of a sum",
    ("dose", "the label's rate"): "describes a kind of limit in the code",
    ("dose", "nitrogen at once"): "describes a kind of limit in the code",
    ("dose", "of something else at once"): "describes a kind of limit in the code",
    ("dose", "what a year leaves"): "describes a kind of limit in the code",
    ("dose", "what was asked for"): "describes a kind of limit in the code",
    ("dose_words", "1000 ft²"): "an area",
    ("dose_words", "100 m²"): "an area",
    ("dosing", "soluble nitrogen"): "names a substance for machines",
    ("dosing", "1.5 lb on 100 ft2"): "a catch as it is written",
    ("dosing", "44 fl oz on 340 ft2"): "a catch as it is written",
    ("dosing", "200 ft2"): "an area as the journal has it",
    ("dosing", "20 m2"): "an area as the journal has it",
    ("dosing", "0.6 lb"): "an amount as the journal has it",
    ("dosing", "0.3 kg"): "an amount as the journal has it",
    ("fertilizer", "{}-{}-x"): "an analysis",
    ("fertilizer", "limits of the lawn; Purdue: the last feeding of autumn is soluble"): A_SOURCE,
    (
        "fertilizer",
        "limits of the lawn; half slow-release is common in Florida's local law",
    ): A_SOURCE,
    ("names", "soluble nitrogen"): "names a substance for machines",
    ("shopping", "product:{}"): "the key of a sum",
    ("shopping", "extension, months at second hand"): A_SOURCE,
    ("shopping", "Arizona extension; Shaddox and Unruh 2018"): A_SOURCE,
    (
        "shopping",
        "Purdue: prodiamine, dithiopyr and pendimethalin keep grass seed from sprouting, siduron"
        " does not",
    ): A_SOURCE,
    (
        "shopping",
        "common practice, no source; the label says which grasses bear it",
    ): A_SOURCE,
    ("differing", "switched off"): "a word of the document for machines",
    ("differing", "uses a changed setting"): "a word of the document for machines",
    ("reason", "days since "): "how a rule begins the name of a fact",
    ("shut", "not "): "a word of the rule language",
    ("shut", " is "): "a word of the rule language",
    ("shut", " / "): "a word of the rule language",
    ("shut", " or "): "how the rule language writes its own choice out",
    ("replay_owner", "journal from {}"): "a line of the journal",
    ("replay_owner", "{}  {}  applied {} of {}"): "a line of the journal",
    ("replay_owner", "{}  {}  watered {}"): "a line of the journal",
    ("replay_owner", "{} in"): "an amount as the journal has it",
    ("replay_owner", "{} mm"): "an amount as the journal has it",
}
"""Texts with words that no reader sees, by module, with the reason."""


def source(module: str) -> str:
    """The source of a module of the plan, or of another package that is named with it."""
    *package, name = module.split(".")
    folder = PLAN.parent.joinpath(*package) if package else PLAN
    return (folder / f"{name}.py").read_text(encoding="utf-8")


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
                if keyword.arg in ("description", "examples"):
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
    found = set(untold(source(module)))
    allowed = {text for name, text in NOT_FOR_PEOPLE if name == module}
    assert found <= allowed | set(UNITS), "words for people that stand in no message function"


def test_every_exception_still_stands() -> None:
    stale = [
        (module, text)
        for module, text in NOT_FOR_PEOPLE
        if re.search("[A-Za-z]", text) and text not in set(untold(source(module)))
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
        for node in ast.walk(ast.parse(source(module))):
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
        "watered in by rules": given(
            files(
                lawn(more='irrigated = true\nsprinklers = "0.9 in"'),
                shelf=granules(more='water_in = "0.5 in"'),
                more='[watering]\nweekdays = ["thursday"]\n',
            ),
            rules,
            weather(),
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


def test_a_step_names_the_day_of_its_water_in_every_language(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    case = CASES["watered in by rules"]
    for plan in (make_plan(case, NOW), in_guillemets(case, monkeypatch)):
        dose = action(plan).dose
        assert dose is not None
        (step,) = [step for step in dose.steps if "Water in with" in step]
        assert BOUND not in step
        assert "your watering rules let them" in step


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


# The sheet of a dose and what to buy for a season, in that language.

SPREADER = '[[spreader]]\nname = "drum"\nkind = "broadcast"\nswath = "8 ft"\nhopper = "3 lb"\n'
SPRAYER = '[[sprayer]]\nname = "pack"\ntank = "4 gal"\noutput = "{}"\n'
SPRAY = """\
[[product]]
name = "iron-drink"
serves = ["iron"]
form = "liquid"
analysis = "0-0-0"
iron = "5%"
rate = "4 fl oz/1000 ft2"
carrier = "1 gal/1000 ft2"
density = "10.4 lb/gal"
bag = "1 gal"
price = 21.0
"""
PRICED = 'bag = "40 lb"\nprice = 32\n'
BEGUN = "journal from 2026-01-01\n"
COUNTY = (
    '[[ordinance]]\ntitle = "County"\nphosphate_year = "0.5 lb/1000 ft2"\nfrom_water = "10 ft"\n'
)
PHOSPHATE = granules(analysis="0-20-20", more=PRICED + 'iron = "1%"').replace("feed", "iron")


def _catch(amount: str, kind: Kind) -> Ask:
    return Ask(catch=Catch(Amount(read_quantity(amount, kind), kind), 10.0))


SHEETS: dict[str, tuple[SiteFiles, Ask]] = {
    "granules": (files(), Ask()),
    "two lawns": (files(lawn(), lawn("back"), shelf=granules(more=PRICED)), Ask()),
    "held": (
        files(shelf=granules(rate="9 lb/1000 ft2")),
        Ask(rate=Amount(read_quantity("6 lb/1000 ft2", Kind.MASS_PER_AREA), Kind.MASS_PER_AREA)),
    ),
    "phosphate": (files(shelf=PHOSPHATE, more=COUNTY), Ask()),
    "nobody knows the year": (files(journal="journal from 2026-05-01\n"), Ask()),
    "fed of late": (
        files(
            shelf=granules(more='interval = "30 days"'),
            journal=BEGUN + "2026-05-10  front  applied 1 lb of granules\n",
        ),
        Ask(),
    ),
    "barrier": (files(shelf=BARRIER), Ask()),
    "another grass": (files(shelf=granules(more='grasses = ["bermudagrass"]')), Ask()),
    "licensed": (files(shelf=granules(more="restricted_use = true")), Ask()),
    "spreader": (files(more=SPREADER), _catch("0.3 kg", Kind.MASS)),
    "spray": (files(shelf=SPRAY), _catch("1 L", Kind.VOLUME)),
    "tanks": (files(shelf=SPRAY, more=SPRAYER.format("1 gal/1000 ft2")), Ask()),
    "sprayer too fast": (files(shelf=SPRAY, more=SPRAYER.format("2 gal/1000 ft2")), Ask()),
}


def _counted(read: SiteFiles) -> Sums:
    assert read.site is not None, read.findings
    return sums(read.site, read.shelf, read.journal, (), TODAY)


def _sheet(name: str) -> DoseSheet:
    read, ask = SHEETS[name]
    counted, product = _counted(read), read.shelf.products[0]
    return dose_sheet(product, counted.site.lawns, counted, product.serves[0], ask)


def _told_of(sheet: DoseSheet) -> dict[str, str]:
    found = {f"note {number}": note for number, note in enumerate(sheet.notes)}
    for one in sheet.lawns:
        if one.dose is not None:
            found |= of_dose(one.dose)
        found |= {"refused": one.refused, "asked": one.asked, "cost": one.cost_text}
        found |= {f"not now {number}": text for number, text in enumerate(one.not_now)}
        found |= {f"check {number}": text for number, text in enumerate(one.checks)}
        found |= {f"year {year.substance}": year.text for year in one.year}
        if one.tanks is not None:
            found |= {"tanks": one.tanks.text, "tanks note": one.tanks.note}
    if sheet.together is not None:
        found |= {"bags": sheet.together.bags_text, "covers": sheet.together.coverage_text}
    return found


@pytest.mark.parametrize("name", SHEETS)
def test_no_word_of_a_sheet_is_outside_of_a_message(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    english = _sheet(name)
    monkeypatch.setattr(language_words, "_catalogue", lambda _: Guillemets())
    with speaking("de"):
        sheet = _sheet(name)
        page = render_dose(sheet)
    found = _told_of(sheet)
    assert any("«" in text for text in found.values())
    assert {where: text for where, text in found.items() if outside(text)} == {}
    amounts = [(one.dose and one.dose.amount, one.unknown, len(one.not_now)) for one in sheet.lawns]
    assert amounts == [
        (one.dose and one.dose.amount, one.unknown, len(one.not_now)) for one in english.lawns
    ]
    left = " ".join(page.split())
    while (shorter := re.sub("«[^«»]*»", "", left)) != left:
        left = shorter
    assert set(re.findall("[A-Za-z]{3,}", left)) <= {one.title for one in sheet.lawns}
    assert not set("«»") & set(left)


def _window(task: str) -> Window:
    opens_on = Dates(
        likely=TODAY + timedelta(25), earliest=TODAY + timedelta(20), latest=TODAY + timedelta(30),
        holds=0.8, years=9, came=9,
    )  # fmt: skip
    return Window(
        task=task, title="", rule="r", standing="coming", opens=opens_on, closes=None, text=""
    )  # fmt: skip


@pytest.mark.parametrize("shelf", [granules(), granules(more=PRICED), SPRAY, ""])
def test_no_word_of_what_to_buy_is_outside_of_a_message(
    shelf: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    read = files(lawn(), lawn("back"), shelf=shelf)
    case, counted = given(read, book(opens()), weather()), _counted(read)
    monkeypatch.setattr(language_words, "_catalogue", lambda _: Guillemets())
    with speaking("de"):
        ahead = [
            LawnAhead(
                name=one.name,
                title=one.shown,
                grass=one.grass,
                perhaps=(),
                marks=(),
                closed=(),
                silent=(),
                windows=tuple(
                    _window(task).model_copy(
                        update={
                            "buy": purchase(_window(task), one, case, counted, TODAY, plain_class)[
                                0
                            ]
                        }
                    )
                    for task in ("feed", "iron")
                ),
            )
            for one in counted.site.lawns
        ]
        lines = shopping(ahead, read.shelf, "us")
    bought = [window.buy for one in ahead for window in one.windows]
    assert all(one is not None and one.text.startswith("«") for one in bought)
    assert lines
    assert [one.text for one in bought if one is None or outside(one.text)] == []
    assert [line.text for line in lines if outside(line.text) or outside(line.bag_text)] == []


def test_every_grass_and_every_class_of_product_has_its_words() -> None:
    assert {name: grass_text(name) for name in GRASSES} == GRASS_NAMES
    assert {name: name.replace("-", " ") for name in GRASSES} == GRASS_NAMES
    assert {grass_class_text(of) for of in GRASSES.values()} == set(GRASSES.values())
    assert set(CLASSES) == set(TASKS) - {WATERING}


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
