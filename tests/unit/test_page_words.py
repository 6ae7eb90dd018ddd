"""Every word of a mail, a page or a terminal that says what a document has goes through the
messages of the reader's language.

The first part reads the source of `advisor/digest` and of its templates; the second makes mails and
pages in a language in which every message stands between « and »: what is outside was never told.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date, timedelta
from html.parser import HTMLParser
from pathlib import Path

import plan_cases as case
import pytest
import replay_cases as again
from icalendar import Calendar
from season_cases import past, season_given
from spoken import Guillemets, told_by_rules
from test_plan_words import untold

from advisor.digest import words
from advisor.digest.ahead_page import render_page as ahead_page
from advisor.digest.ahead_picture import narrow, wide
from advisor.digest.ahead_text import render_ahead
from advisor.digest.alert import render_alert
from advisor.digest.calendar import calendar
from advisor.digest.explained import render_asked, render_differs
from advisor.digest.glossary import TERMS
from advisor.digest.html import render_html
from advisor.digest.replay_page import render_page as replay_page
from advisor.digest.replay_text import render_replay
from advisor.digest.season_page import render_season
from advisor.digest.text import render_text
from advisor.digest.timeline import timeline
from advisor.language import words as language_words
from advisor.language.dates import month_text, weekday_text
from advisor.language.speaking import speaking
from advisor.language.words import tell
from advisor.plan.ahead import look_at_season
from advisor.plan.ahead_model import Ahead
from advisor.plan.asked import ask_rules
from advisor.plan.asked_model import Asked, Says
from advisor.plan.compose import Given, make_plan
from advisor.plan.differing import what_differs
from advisor.plan.model import Plan, SiteName, Verdict
from advisor.plan.needed import Needed
from advisor.plan.recant import TakenBack
from advisor.plan.replay_compare import compare
from advisor.plan.replay_model import Replay
from advisor.plan.season import look_over_season
from advisor.site.events import Advised

DIGEST = Path(words.__file__).parent

OTHERS = {
    "dosed": "the sheet of a dose has a test of its own",
    "vocabulary": "the words of the rule language, for who writes rules",
    "sketch": "a drawing for a terminal",
    "drawing": "SVG",
}
"""Modules that are not read here, with the reason."""

_STATES = ("greening up", "heat stressed", "drought stressed", "summer dormant", "winter dormant")

NOT_FOR_PEOPLE = {
    ("alert", "alert-{}"): "a name of a mail",
    ("alert", "{} told {}"): "what such a name is made from",
    ("calendar", "-//Swardcast//Lawn digest//EN"): "the name of the program, as RFC 5545 wants it",
    ("calendar", "mailto:{}"): "an address",
    ("answering", "mailto:{}?subject={}&body={}"): "a web address",
    ("evidence", " or "): "a word of the rule language",
    ("evidence", "(?:not )?grass is "): "words of the rule language",
    ("explained", "  let "): "a word of the rule language",
    ("explained", "{} be {}"): "a word of the rule language",
    ("explained", "switched off"): "a word of the document",
    ("explained", "uses a changed setting"): "a word of the document",
    ("glossary", "word-{}"): "an anchor",
    ("glossary", '<a class="term" href="#word-{}">{}</a>'): "markup",
    ("html", '<span style="white-space:nowrap">\\g<0></span>'): "markup",
    ("illustrated", "cid:{}"): "an address",
    ("illustrated", '"data:image/png;base64,{}"'): "an address",
    ("lettering", " !'(),.:;I[]fijlrt|·’‘′"): "letters that are narrow",
    ("mail", "{}.{}@swardcast.invalid"): "an address",
    ("mail", "<{}.swardcast.{}>"): "a name of a mail",
    ("mail", "=_r{}"): "a boundary of MIME",
    ("mail", "=_m{}"): "a boundary of MIME",
    ("mail", "{}.png"): "the name of a file",
    ("nutrient_picture", "lb/1000 ft2"): "a unit",
    ("nutrient_picture", "perhaps done"): "a word of the document",
    ("png", "Swardcast Sans"): "the name of a typeface",
    ("season_view", "lawn-{}"): "an anchor",
    ("soil_picture", "at least"): "a word of the document",
    ("waiting", "daylight is lengthening"): "a condition of the rule language",
    **{("timeline", state): "a word of the document" for state in _STATES},
}
"""Texts with words that no reader sees, by module, with the reason; beside them patterns."""

PATTERNS = ("clean", "evidence", "html")
"""Modules with regular expressions: a text with a backslash is one."""


def _module(name: str) -> set[str]:
    found = untold((DIGEST / f"{name}.py").read_text(encoding="utf-8"))
    return {text for text in found if not (name in PATTERNS and re.search(r"\\[.dwbsx[(]", text))}


MODULES = sorted({path.stem for path in DIGEST.glob("*.py")} - OTHERS.keys())


@pytest.mark.parametrize("module", MODULES)
def test_a_module_tells_all_its_words(module: str) -> None:
    allowed = {text for name, text in NOT_FOR_PEOPLE if name == module}
    assert _module(module) <= allowed, "words for people that stand in no message function"


def test_every_exception_still_stands() -> None:
    assert [(name, text) for name, text in NOT_FOR_PEOPLE if text not in _module(name)] == []
    assert OTHERS.keys() <= {path.stem for path in DIGEST.glob("*.py")}


@pytest.mark.parametrize("name", ["tell", "tell_many", "tell_as", "later"])
def test_no_message_is_glued(name: str) -> None:
    for module in MODULES:
        for node in ast.walk(ast.parse((DIGEST / f"{module}.py").read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == name:
                for each in node.args[: 2 if name in ("tell_many", "tell_as") else 1]:
                    assert not isinstance(each, ast.JoinedStr | ast.BinOp), (module, node.lineno)


READ = ("alt", "title", "aria-label", "data-is", "summary", "label")
"""Attributes whose values people read or hear."""


INLINE = ("a", "b", "i", "span", "br", "small")
"""Elements that stand within a sentence."""


class Words(HTMLParser):
    """What people read of a page: the texts of its blocks, and the attributes that are read."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self._hidden = 0
        self._block = ""
        self.feed(page)
        self.close()
        self._flush()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._hidden += tag in ("style", "script")
        if tag == "br":
            self._block += " "
        elif tag not in INLINE:
            self._flush()
        self.found += [value or "" for name, value in attrs if name in READ]

    def handle_endtag(self, tag: str) -> None:
        self._hidden -= tag in ("style", "script")
        if tag not in INLINE:
            self._flush()

    def handle_data(self, data: str) -> None:
        if not self._hidden:
            self._block += data

    def _flush(self) -> None:
        self.found += [self._block] if self._block.strip() else []
        self._block = ""


def bare(template: str) -> list[str]:
    """The words that a template itself has, and the literals that its macros are given bare."""
    template = re.sub(r"{#.*?#}", "", template, flags=re.DOTALL)
    code = re.findall(r"{[{%].*?[%}]}", template, flags=re.DOTALL)
    given = [
        literal
        for part in code
        for literal in re.findall(r'(?<!\w)"([^"]*)"', _without_messages(part))
        if re.match("[A-Z][a-z]+ ", literal)
    ]
    text = re.sub(r"{{.*?}}|{%.*?%}", "", template, flags=re.DOTALL)
    if "<style" not in text and re.match(r"\s*[:@.\w*#][^<]*{", text):
        return given  # a style sheet
    return [part.strip() for part in Words(text).found if re.search("[A-Za-z]", part)] + given


def _without_messages(code: str) -> str:
    return re.sub(r'tell(_many|_as)?\(("[^"]*"(, )?)+', "", code)


@pytest.mark.parametrize("path", sorted(DIGEST.glob("templates/*.j2")), ids=lambda path: path.name)
def test_a_template_has_no_words_of_its_own(path: Path) -> None:
    assert bare(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    ("template", "found"),
    [
        ("<p>Two words</p>", ["Two words"]),
        ('<p>{{ tell("Two words") }}</p>', []),
        ('<td data-is="Water">{{ water }}</td>', ["Water"]),
        ('{{ list("Closed by law", closed) }}', ["Closed by law"]),
        ('{{ list(tell("Closed by law"), closed) }}', []),
        ("<style>p{color:red}</style>{# A remark. #}", []),
    ],
)
def test_the_reading_sees_what_a_template_does_not_tell(template: str, found: list[str]) -> None:
    assert bare(template) == found


# Mails and pages in a language in which every message stands between « and ».

UNITS = r"°[CF]|lb|oz|kg|g|L|mL|gal|in|mm|m|ft|ft²|m²|g/m²|lb/1000 ft²|mph|m/s|km/h|min|h|d"

OWN = ("Made-up place", "Front & side", "Back lawn", "front", "back", "Rasen")
"""What the owner calls the site and the lawns."""

CITED = ("Made-up credit", "Made-up weather", "made-up weather", "Made-up ban", "Made up",
         "made up", "made-up forecast")  # fmt: skip
"""Sources, credit lines and names of laws."""

SHELF = ("Granules", "granules", "barrier")
"""Products of the owner."""

RULES = ("open-feed", "hold-feed", "open-iron", "hold-iron", "open-lime", "thirst", "remark",
         "test.rules", "warm")  # fmt: skip
"""Names of rules and of their files."""


def untold_words(text: str, names: Iterable[str] = ()) -> list[str]:
    """The words of a text that stand in no message; without days as the language writes them,
    amounts with their units, addresses, and what is named in `names`."""
    text = " ".join(text.split())
    while (shorter := re.sub("«[^«»]*»", "", text)) != text:
        text = shorter
    assert not re.search("[«»]", text), "a message that does not end hides what follows"
    squeezed = (" ".join(name.split()) for name in names)
    for name in sorted({*squeezed, *OWN, *CITED, *SHELF, *RULES}, key=len, reverse=True):
        text = text.replace(name, "") if name else text
    with speaking("de"):
        days = [
            weekday_text(day, "us", width) for day in range(7) for width in ("abbreviated", "wide")
        ]
        days += [month_text(month, "us", width) for month in range(1, 13)
                 for width in ("abbreviated", "wide")]  # fmt: skip
    text = re.sub(r"https?://\S+", "", text)
    dated = "|".join(re.escape(day.rstrip(".")) for day in sorted(days, key=len, reverse=True))
    text = re.sub(rf"\b(?:{dated})\b", "", text)
    text = re.sub(rf"^\s*(?:{UNITS})\s*$", "", text)  # over a column
    text = re.sub(rf"(?<![\w.])[-–]?\d[\d.,]*\s(?:{UNITS})(?![\w²])", "", text)
    return re.findall("[^\\W\\d_]{2,}", text)


def untold_of_page(page: str, names: Iterable[str] = ()) -> list[str]:
    """The same of what a reader of a page has before them: not of what a list of mails shows, which
    is cut from it."""
    names = tuple(names)
    page = re.sub(r'<div style="display:none[^>]*>[^<]*</div>', "", page)
    return [word for text in Words(page).found for word in untold_words(text, names)]


def test_what_is_outside_of_a_message_is_seen() -> None:
    assert untold_words("«Wait: «feed», 3 days» and then Do, 14. Mai, 0.30 in of front") == [
        "and", "then", "of",
    ]  # fmt: skip
    assert untold_of_page('<p title="a bee">«b»</p><style>p{color:red}</style>') == ["bee"]


class Told(Guillemets):
    """The same for a page, which takes a trade word's ways of writing apart."""

    def gettext(self, message: str) -> str:
        if message in TERMS:
            return "|".join(map(super().gettext, message.split("|")))
        return super().gettext(message)


@pytest.fixture(autouse=True)
def _in_guillemets(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    if "german" in request.fixturenames:
        monkeypatch.setattr(language_words, "_catalogue", lambda _: Told())
        told_by_rules(monkeypatch)


@pytest.fixture
def german() -> Iterator[None]:
    """A reader whose messages all stand between « and »."""
    with speaking("de"):
        yield


NOTE = "notes remark for feed\n  while humidity at least 90%\n  says Dew stays.\n  source made up\n"
BAN = (
    '[[ban]]\ntitle = "Made-up ban"\nnutrients = ["nitrogen"]\ntasks = ["iron"]\nfrom = "11-16"\n'
    'to = "02-28"\nsource = "made up"\n'
)


def made(**more: object) -> Given:
    read = case.files(
        case.lawn(more=case.GENEROUS),
        case.lawn("back", grass="bermudagrass", more='title = "Back lawn"'),
        shelf=case.granules(), more=BAN,
        journal="journal from 2026-01-01\n2026-01-01 all last feed 2025-10-02\n"
        "2026-05-03 front applied 6 lb of granules\n2026-05-09 back seen frost\n"
        "2026-05-10 front mowed at 3 in\n",
    )  # fmt: skip
    rules = case.book(
        case.opens(), case.holds(), case.opens("iron"), case.holds("iron"), case.waters(),
        case.opens("lime", at_least=20.0), NOTE,
    )  # fmt: skip
    found = case.given(
        read, rules, case.weather(humidity=more.pop("humidity", [0.95])),  # type: ignore[arg-type]
        [case.advice(case.TODAY - timedelta(20), on="back")],
    )  # fmt: skip
    site = found.site.model_copy(update={"language": "de"})
    return replace(found, site=site, past=past([0, 4] * 5), **more)  # type: ignore[arg-type]


PLANS = {
    "held": {},
    "open": {"humidity": None},
    "dry": {"humidity": [0.5]},
    "no weather": {"series": None},
}


def _plan(name: str) -> Plan:
    return make_plan(made(**PLANS[name]), case.NOW)


def _doses(plan: Plan) -> list[str]:
    """The plan's sentences on doses, burns and shopping, which the tests of the plan look at."""
    found: list[str] = []
    for lawn in plan.lawns:
        for action in lawn.actions:
            found += [action.burn.text, action.burn.source] if action.burn else []
            dose = action.dose
            if dose is not None:
                found += [*dose.steps, dose.rate_text, dose.limited_by, dose.nitrogen]
                found += [dose.area_text, dose.amount_text, *(one.text for one in dose.delivers)]
    return [*found, *(text for one in plan.shop for text in (one.title, one.text))]


@pytest.mark.usefixtures("german")
@pytest.mark.parametrize("name", PLANS)
def test_a_digest_tells_all_its_words(name: str) -> None:
    plan = _plan(name)
    answers = [line for ask in plan.ask for line in ask.answers]  # lines of the journal
    spelled = [one.text.replace("_", " ") for lawn in plan.lawns for action in lawn.actions
               for one in action.evidence]  # fmt: skip
    names = [*answers, *spelled, *_doses(plan)]
    assert untold_words(render_text(plan), names) == []
    assert untold_of_page(render_html(plan), names) == []


@pytest.mark.usefixtures("german")
def test_an_alert_and_a_calendar_tell_all_their_words() -> None:
    plan = _plan("dry")
    lawn, action = next((lawn, action) for lawn in plan.lawns for action in lawn.actions
                        if action.verdict is Verdict.APPLY and action.day)  # fmt: skip
    assert action.day is not None
    sent = Advised("feed/front", case.TODAY, "front", "feed", "granules", action.day, 2.4)
    back = TakenBack(sent, "front", tell("a title"), tell("Rain may follow."), action.day)
    water = Needed(lawn.name, lawn.title, action, action.day)
    for alert in (render_alert(plan, [back]), render_alert(plan, [], [water]),
                  render_alert(plan, [back], [water])):  # fmt: skip
        line = re.findall(r"\d{4}-\d\d-\d\d .*", alert.text)  # a line of the journal
        names = [*line, *(" ".join(one.split()) for one in line)]
        assert untold_words(alert.subject) == []
        assert untold_words(alert.text, names) == []
        assert untold_of_page(alert.html, names) == []
    whole = Calendar.from_ical(calendar(plan, sender="Rasen <lawn@example.org>"))
    for event in whole.walk("VEVENT"):
        for name in ("summary", "description", "location"):
            assert untold_words(str(event[name]), _doses(plan)) == [], name
        assert untold_words(str(event["categories"].to_ical().decode())) == []


def _said(asked: Asked) -> list[str]:
    """What stands in the language of the rules, or as their writers wrote it."""
    found: list[str] = []
    for lawn in asked.lawns:
        for rule in lawn.rules:
            found += [rule.name, rule.theme, rule.sentence, rule.source, rule.file]
            for one in rule.conditions:
                plain = one.text.replace("_", " ")
                found += [f"{one.word} {one.text}", f"{one.word} {plain}", one.text, *one.facts]
    return [*found, "swardcast check"]


@pytest.mark.usefixtures("german")
@pytest.mark.parametrize("name", [name for name in PLANS if name != "no weather"])
def test_an_explanation_tells_all_its_words(name: str) -> None:
    given = made(**PLANS[name])
    asked = ask_rules(given, case.NOW)
    assert {rule.says for lawn in asked.lawns for rule in lawn.rules} & {Says.OPEN, Says.HELD}
    names = _said(asked)
    for everything in (False, True):
        assert untold_words(render_asked(asked, everything=everything), names) == []
    assert untold_words(render_asked(asked, rule="none"), names) == []
    shipped = replace(given, book=case.book(case.opens(), case.opens("iron")))
    differs = what_differs(given, shipped.book, case.NOW)
    own = [rule.text for lawn in differs.lawns for rule in lawn.rules]
    assert untold_words(render_differs(differs), [*names, *own]) == []


@pytest.mark.usefixtures("german")
@pytest.mark.parametrize("name", PLANS)
def test_a_season_page_tells_all_its_words(name: str) -> None:
    given = made(**PLANS[name])
    plan, ahead = make_plan(given, case.NOW), look_at_season(given, case.NOW)
    season = look_over_season(given, plan, ahead, case.NOW)
    written = [line.text for week in season.journal for line in week.lines]  # the owner's own
    written += [line for ask in plan.ask for line in ask.answers]
    page = render_season(season)
    assert 'lang="de-DE"' in page
    assert untold_of_page(page, [*_said(ask_rules(given, case.NOW)), *written]) == []


def _ahead() -> Ahead:
    read = case.files(
        case.lawn(more='title = "Back lawn"'), case.lawn("back", grass="bermudagrass"),
        shelf=case.granules(more='bag = "20 lb"\nprice = 20'), more=BAN,
    )  # fmt: skip
    given = season_given(past((0, 3, 6, 9, 12, 15, 18, 21, 24, 27)), read=read)
    site = given.site.model_copy(update={"language": "de"})
    found = look_at_season(replace(given, site=site), case.moment(date(2026, 1, 10)))
    assert found is not None
    return found


@pytest.mark.usefixtures("german")
def test_a_season_ahead_tells_all_its_words() -> None:
    ahead = _ahead()
    assert any(lawn.windows for lawn in ahead.lawns) and any(lawn.closed for lawn in ahead.lawns)
    known = ahead.model_copy(update={"known_to": date(2026, 1, 20)})
    # The plan's sentences on what to buy: the tests of the plan look at them.
    buys = [window.buy.text for lawn in ahead.lawns for window in lawn.windows if window.buy]
    buys += [line.text for line in ahead.shopping]
    for one in (ahead, known, ahead.model_copy(update={"lawns": ()})):
        assert untold_words(render_ahead(one), buys) == []
        page = ahead_page(one)
        assert '<html lang="de-DE">' in page
        assert untold_of_page(page, buys) == []
        for draw in (wide, narrow):
            assert untold_of_page(draw(one).svg()) == []


def _replay() -> Replay:
    read = case.files(
        case.lawn(more=f'{case.GENEROUS}\ntitle = "Front & side"\nirrigated = true'),
        case.lawn("back", area="2345 ft2"),
        shelf=case.granules(more='interval = "14 days"'),
        journal=again.JOURNAL_TEXT + "2026-01-01  back  last feed 2025-09-01\n",
        today=None,
    )  # fmt: skip
    assert read.site is not None
    read = replace(read, site=read.site.model_copy(update={"language": "de"}))
    series = again.truth(gust=dict.fromkeys(range(5, 40), 9.0), humidity={9: 0.95, 12: 0.95})
    rules = case.book(case.opens(at_least=6.0), case.holds(), case.waters())
    runs = (
        again.lived(series, rules, read=read, sight="issued", looks_again=False),
        again.lived(series, rules, read=read),
    )
    return Replay(
        site=SiteName(id="made-up", title="Made-up place", zone=case.ZONE, units="us",
                      language="de"),
        first=again.FIRST, last=again.LAST, owner="obeys", rules="Made up", against=None,
        weather="a recording", credit="Made-up credit", invented=True, assumed=(), runs=runs,
        compared=(compare(runs, 0, 1, "us", days_only=True),),
    )  # fmt: skip


def _held(replay: Replay) -> list[str]:
    """Rules that held, and the plan's sentences on them, which the tests of the plan look at."""
    found = [by for run in replay.runs for held in run.held for by in held.by]
    return [text for by in found for text in (by.rule, by.why)]


@pytest.mark.usefixtures("german")
@pytest.mark.parametrize("against", [None, "Made up"])
def test_a_replay_tells_all_its_words(against: str | None) -> None:
    replay = _replay().model_copy(update={"against": against})
    same = replay.compared[0].model_copy(update={"weeks": ()})
    calendar_known = tuple(
        run.model_copy(
            update={
                "weeks": tuple(
                    week.model_copy(update={"foresight": "climatology", "cannot_tell": n == 0})
                    for n, week in enumerate(run.weeks)
                )
            }
        )
        for run in replay.runs
    )
    cases = (
        replay,
        replay.model_copy(update={"owner": "journal", "compared": (same,)}),
        replay.model_copy(update={"runs": calendar_known}),
    )
    assert any(run.held for run in replay.runs)
    for one in cases:
        journal = ["\n".join(run.journal) for run in one.runs]  # the owner's lines
        assert untold_words(render_replay(one)) == []
        page = replay_page(one)
        assert '<html lang="de-DE">' in page
        assert untold_of_page(page, [*journal, *_held(one)]) == []
        for thin in (False, True):
            assert untold_of_page(timeline(one, narrow=thin)) == []
