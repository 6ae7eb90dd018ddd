"""What rules say, as text: who speaks stands first and in full, the silent in two lines."""

from __future__ import annotations

from plan_cases import GENEROUS, NOW, book, files, given, holds, lawn, opens, weather

from advisor.digest.explained import render_asked, render_differs
from advisor.digest.words import columns
from advisor.plan.asked import ask_rules
from advisor.plan.asked_model import Asked
from advisor.plan.differing import what_differs
from advisor.rulebook.book import Rulebook

RULES = book(opens(), opens("iron"), holds(), holds("iron"))

PLAN = "What the plan makes of it"


def asked(rules: Rulebook = RULES, rule: str = "", **days: list[float] | dict[int, float]) -> Asked:
    made = given(files(lawn(more=GENEROUS)), rules, weather(**days))
    return ask_rules(made, NOW, rule=rule)


def test_who_speaks_stands_first_and_the_silent_are_short() -> None:
    lines = render_asked(asked(humidity=[0.6, 0.95])).splitlines()
    cut = lines.index("Silent that day, and what would have to change first:")
    assert [line for line in lines[:cut] if line.startswith("open-")] == [
        "open-feed (window for feeding): open", "open-iron (window for iron): open",
    ]  # fmt: skip
    assert lines[cut + 3 : lines.index(PLAN) - 1] == [
        "hold-feed (holds feeding back): not held",
        "  while humidity at least 90%: now 60 %; will hold from Thu May 14",
        "hold-iron (holds iron back): not held",
        "  while humidity at least 90%: now 60 %; will hold from Thu May 14",
    ]


def test_a_rule_in_full() -> None:
    told = render_asked(asked(rule="open-feed", gust=[4.0, 4.0, 1.0]), rule="open-feed")
    lines = told.splitlines()
    assert lines[5 : lines.index(PLAN) - 1] == [
        "",
        "open-feed (window for feeding): open",
        "  The window of feed is open.",
        "  while gust between 10.8 km/h and 396.0 km/h",
        "    Holds: 9 mph (forecast of made-up weather), limit between 7 mph and 246 mph,",
        "    2 mph above. Holds until Thu May 14.",
        "  Next: open until Thu May 14.",
        "  Source: Made up.",
        "  Written in test.rules, line 1.",
    ]


def test_what_a_silent_rule_would_say_is_not_told_as_true() -> None:
    text = render_asked(asked(rule="hold-feed"), rule="hold-feed")
    assert "  It would say: Too humid." in text
    assert "Silent that day" not in text


def test_the_plan_comes_after_the_rules() -> None:
    """Each action in order with what placed it, its second choice, and why the first leads."""
    told = render_asked(asked(rule="open-feed", gust=[4.0, 4.0, 1.0]), rule="open-feed")
    lines = told.splitlines()
    assert lines[lines.index(PLAN) :] == [
        PLAN,
        "=" * len(PLAN),
        "",
        "1. Feeding on front, Wed May 13, 07:00 to 12:00, granules (open-feed)",
        "   Wed May 13 (today) is the first day that suits: the earliest goes first.",
        "   07:00 to 12:00: the calmest dry hours, 5 at the most, with wind of 4 mph.",
        "   Chance of rain: at most 0 % in any of those hours.",
        "   If that does not work: Thu May 14, 07:00 to 12:00.",
        "",
        "The headline is feeding: its last good day, Thu May 14, is the first that",
        "passes.",
    ]


def test_a_rule_that_places_nothing_has_no_plan() -> None:
    assert PLAN not in render_asked(asked(rule="hold-feed"), rule="hold-feed")
    held = render_asked(asked(humidity=0.95))  # type: ignore[arg-type]
    assert held.splitlines()[-1] == "Nothing is to be done this week: it waits."


def test_everything_is_told_in_full_when_asked_for() -> None:
    text = render_asked(asked(), everything=True)
    assert text.count("Written in test.rules") == len(RULES.rules)
    assert "Silent that day" not in text


def test_a_window_that_is_shut_for_the_season_is_told_as_such() -> None:
    """No weather opens it, so no condition is what it waits for."""
    latched = book(opens() + "  until   humidity at least 90%\n")
    text = render_asked(asked(latched, gust=[1.0], humidity={-2: 0.95}))
    assert "  shut since Mon May 11; it may open again once its first line has failed" in text
    assert "now 2 mph" not in text


def test_what_cannot_be_told_says_what_is_missing() -> None:
    made = asked(book(opens(), holds()), gust=[float("nan")], humidity=[float("nan")])
    text = render_asked(made)
    assert "hold-feed (holds feeding back): cannot tell, so held" in text
    assert "Cannot tell: humidity is not known on Wed May 13. Known from Thu May 14 on" in text
    assert "open-feed (window for feeding): cannot tell, so it stays shut" in text
    assert "gust is not known on Wed May 13;\n  will hold from Thu May 14" in text


def test_no_line_is_wider_than_a_terminal() -> None:
    texts = [render_asked(asked(), everything=True), render_asked(asked())]
    own = book(opens(at_least=5.0), opens("iron", at_least=2.0), holds("feed, iron", "long-name"))
    made = given(files(lawn(more=GENEROUS)), own, weather(gust={-n: 4.5 for n in range(0, 30, 2)}))
    texts.append(render_differs(what_differs(made, RULES, NOW)))
    assert max(columns(line) for text in texts for line in text.splitlines()) <= 80


def test_a_rule_for_other_grass_is_told_as_such() -> None:
    other = book(opens().replace("  while", "  on bermudagrass\n  while"))
    assert "“open-feed” is not for this lawn's grass." in render_asked(
        asked(other, "open-feed"), rule="open-feed"
    )
    assert "No rule is for this lawn." in render_asked(asked(other))


def test_without_weather_only_the_reason_is_told() -> None:
    made = given(files(), RULES, None)
    why = "There is no forecast: none could be fetched yet."
    assert render_asked(ask_rules(made, NOW)).splitlines()[1:] == [why]
    assert render_differs(what_differs(made, RULES, NOW)).splitlines()[1:] == [why]
