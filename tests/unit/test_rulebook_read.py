"""Reading rule files: what a good one comes to, layers, and what is done about a broken hold."""

from __future__ import annotations

import random
import time

import pytest

from advisor.rulebook.book import Rulebook, RuleFile, RuleKind
from advisor.rulebook.read import read_rulebook
from advisor.rulebook.tree import Compare, Constant
from advisor.series.quantity import Kind
from advisor.site.words import PUT_DOWN

SHIPPED = """\
setting barrier-soil = 50 F
setting cooler = 5 F apart

opens spring-barrier for pre-emergent   # the first of the year
  on      cool-season, bermudagrass
  let     warmth be mean of soil_temp at 2 in over the 5 days to it
  while   daylight is lengthening
  and     days since pre-emergent more than 120 days
  once    warmth at least $barrier-soil
  until   warmth more than 60 F or spring_heat more than 200 F.d
  says    Soil has averaged {warmth} {{2 in}}, wanted {barrier-soil}.
  source  A book # with a hash, page 3

holds downpour for everything put down
  let     soon be total of rain over the 2 days after it
  while   soon more than 0.5 in
  says    {soon} may follow and carry it off.
  source  common practice, no source

waters thirst for watering
  while   depletion at least stress_line times 90%
  and     not soil is frozen / saturated
  says    The root zone lacks {barrier-soil}.
  source  common practice, no source

notes cut for mowing
  while   growth between 0.2 and 0.9
  says    Mow when it is {cooler} cooler.
  source  common practice, no source

trial downpour
  take    rain = 0.6 in over the 2 days after it
  answer  yes
"""


def shipped(text: str = SHIPPED, own: str | None = None) -> Rulebook:
    files = [] if own is None else [RuleFile("own.rules", own)]
    return read_rulebook([RuleFile("shipped.rules", text)], own=files)


def test_a_good_file_has_no_problems_and_keeps_its_order() -> None:
    book = shipped()
    assert book.problems == ()
    assert list(book.rules) == ["spring-barrier", "downpour", "thirst", "cut"]
    assert not book.holds_everything


def test_everything_put_down_stands_for_all_tasks_but_watering() -> None:
    assert shipped().rules["downpour"].tasks == PUT_DOWN


def test_a_rule_speaks_of_its_classes_and_grasses_only() -> None:
    rule = shipped().rules["spring-barrier"]
    assert rule.speaks_of("tall-fescue", "cool-season")
    assert rule.speaks_of("bermudagrass", "warm-season")
    assert not rule.speaks_of("zoysiagrass", "warm-season")
    assert shipped().rules["downpour"].speaks_of("zoysiagrass", "warm-season")


def test_a_rule_names_the_facts_that_it_leans_on() -> None:
    facts = ("daylight", "days since pre-emergent", "soil_temp", "spring_heat")
    assert shipped().rules["spring-barrier"].facts == facts


def test_a_hash_in_a_text_is_kept_and_elsewhere_begins_a_comment() -> None:
    rule = shipped().rules["spring-barrier"]
    assert rule.source == "A book # with a hash, page 3"
    assert rule.tasks == ("pre-emergent",)


def test_equal_parts_of_different_rules_are_one_object() -> None:
    """So they are evaluated once."""
    again = SHIPPED + SHIPPED[SHIPPED.index("opens") :].split("\n\n")[0].replace(
        "barrier for", "x for"
    )
    book = shipped(again)
    one, two = (book.rules[name].conditions[2].test for name in ("spring-barrier", "spring-x"))
    assert one is two


@pytest.mark.parametrize(
    ("words", "value", "kind"),
    [
        ("air_max more than 50 F", 10.0, Kind.TEMPERATURE),
        ("air_max minus air_min more than 9 F", 5.0, Kind.TEMPERATURE_DIFFERENCE),
        ("rise of air_max over the 3 days to it more than 9 F", 5.0, Kind.TEMPERATURE_DIFFERENCE),
        ("air_max plus $cooler more than 50 F", 10.0, Kind.TEMPERATURE),
        ("rain more than 2 in", 50.8, Kind.WATER),
        ("snow_depth more than 2 in", 0.0508, Kind.LENGTH),
        ("growth more than 0.5", 0.5, Kind.FRACTION),
        ("growth more than 50%", 0.5, Kind.FRACTION),
        ("daylight_hours more than 12 hours", 0.5, Kind.DURATION),
        ("days since feed more than 2 weeks", 14.0, Kind.DURATION),
        ("nitrogen_left more than 1 lb/1000 ft2", 4.88243, Kind.MASS_PER_AREA),
    ],
)
def test_a_quantity_has_the_kind_that_is_wanted_beside_it(
    words: str, value: float, kind: Kind
) -> None:
    """Conversions by definition: 1 in = 25.4 mm, 1 lb = 453.59237 g, 1 ft = 0.3048 m (NIST 811)."""
    text = SHIPPED + f"\nnotes n for x\n  while {words}\n  says x\n  source y\n"
    book = shipped(text)
    assert book.problems == ()
    test = book.rules["n"].conditions[0].test.tests[0]
    assert isinstance(test, Compare)
    assert isinstance(test.right, Constant)
    assert test.right.kind is kind
    assert test.right.value == pytest.approx(value, rel=1e-6)


def test_windows_lie_where_their_word_puts_them() -> None:
    """5 days before it: D-5 to D-1; to it: D-4 to D; from it: D to D+4; after it: D+1 to D+5."""
    ends = {"before": (-5, -1), "to": (-4, 0), "from": (0, 4), "after": (1, 5)}
    for word, (first, last) in ends.items():
        text = f"notes n for x\n while total of rain over the 5 days {word} it more than 1 mm\n"
        rule = shipped(text + " says x\n source y").rules["n"]
        test = rule.conditions[0].test.tests[0]
        assert isinstance(test, Compare)
        window = test.left.window  # type: ignore[union-attr]
        assert (window.first, window.last) == (first, last)


def test_byte_order_mark_and_foreign_line_ends_are_tolerated() -> None:
    text = "\ufeff" + SHIPPED.replace("\n", "\r\n")
    assert shipped(text).problems == ()
    assert list(shipped(text).rules) == list(shipped().rules)


def test_a_file_that_is_too_large_is_not_read_and_holds_everything() -> None:
    book = shipped(SHIPPED + "#" * 200_001)
    assert [p.line for p in book.problems] == [0]
    assert book.rules == {}
    assert book.holds_everything


# Layers


def test_an_own_rule_replaces_the_shipped_one_and_its_trials() -> None:
    own = "holds downpour for feed\n while rain more than 1 in\n says x\n source y\n"
    book = shipped(own=own)
    assert [problem.warning for problem in book.problems] == [True], "it holds less"
    assert book.rules["downpour"].own
    assert book.rules["downpour"].tasks == ("feed",)
    assert book.trials == ()


def test_a_broken_own_rule_leaves_the_shipped_one_in_force() -> None:
    own = "holds downpour for feed\n while rian more than 1 in\n says x\n source y\n"
    book = shipped(own=own)
    assert [(p.file, p.line) for p in book.problems] == [("own.rules", 2)]
    assert book.rules["downpour"] == shipped().rules["downpour"]


def test_an_own_setting_changes_shipped_rules() -> None:
    book = shipped(own="setting barrier-soil = 53 F")
    assert book.problems == ()
    limit = book.rules["spring-barrier"].conditions[2].test.tests[0].right  # type: ignore[union-attr]
    assert limit.value == pytest.approx(11.6667, abs=1e-4)  # (53 - 32) / 1.8


@pytest.mark.parametrize("value", ["50 F apart", "0.5 in", "300 F", "x"])
def test_an_own_setting_that_makes_no_sense_leaves_the_shipped_value(value: str) -> None:
    book = shipped(own=f"setting barrier-soil = {value}")
    assert [(p.file, p.line) for p in book.problems] == [("own.rules", 1)]
    assert book.settings["barrier-soil"].written.number == 50
    assert book.rules == shipped().rules


def test_off_takes_a_shipped_rule_out_with_its_trials() -> None:
    book = shipped(own="off downpour")
    assert book.problems == ()
    assert "downpour" not in book.rules
    assert book.trials == ()


def test_off_names_a_rule_that_is_there() -> None:
    (problem,) = shipped(own="off downpuor").problems
    assert "downpuor" in problem.what
    assert "downpour" in problem.hint


def test_off_beside_an_own_rule_of_that_name_is_a_question() -> None:
    own = "off downpour\nholds downpour for feed\n while rain more than 1 in\n says x\n source y\n"
    book = shipped(own=own)
    assert "Keep one of the two" in book.problems[0].hint
    assert book.rules["downpour"].own


@pytest.mark.parametrize("names", ["downpour, cut", "downpour cut", "downpour please", ""])
def test_off_takes_one_name(names: str) -> None:
    book = shipped(own=f"off {names}")
    (problem,) = book.problems
    assert problem.what == "“off” takes the name of one rule"
    assert not problem.warning
    assert list(book.rules) == list(shipped().rules)
    assert book.off == {}


def test_off_may_bear_a_comment_and_is_remembered_with_its_place() -> None:
    book = shipped(own="\noff downpour  # no slope here")
    assert book.problems == ()
    assert book.off == {"downpour": ("own.rules", 2)}


def test_off_twice_is_off_and_told_as_a_warning() -> None:
    book = shipped(own="off downpour\noff downpour")
    assert "downpour" not in book.rules
    (problem,) = book.problems
    assert problem.warning
    assert problem.line == 2
    assert problem.what == "downpour is switched off already, in own.rules, line 1"


def test_off_of_a_setting_says_what_it_is() -> None:
    (problem,) = shipped(own="off barrier-soil").problems
    assert problem.hint.startswith("It is a setting")


def test_off_in_a_shipped_file_is_refused() -> None:
    book = shipped(SHIPPED + "off downpour\n")
    assert [problem.line for problem in book.problems] == [len(SHIPPED.splitlines()) + 1]
    assert "downpour" in book.rules


@pytest.mark.parametrize(
    ("head", "told"),
    [
        ("notes downpour for feed", True),
        ("opens downpour for feed", True),
        ("holds downpour for feed", True),
        ("holds downpour for everything put down", False),
        ("notes thirst for watering", True),
        ("holds spring-barrier for feed", True),
    ],
)
def test_a_rule_that_gives_way_to_another_kind_or_to_less_is_told(head: str, told: bool) -> None:
    """It takes a safety away: theirs holds, and a warning says so."""
    book = shipped(own=f"{head}\n while rain more than 1 in\n says x\n source y\n")
    assert book.rules[head.split()[1]].own
    assert [problem.warning for problem in book.problems] == [True] * told
    if told:
        assert book.problems[0].what.startswith("this takes the place of the shipped")
        assert "name" in book.problems[0].hint


PAIR = """\
setting least = 40 F
setting most = 60 F

notes mild for x
  while air_max between $least and $most
  says x
  source y
"""


def test_settings_that_make_sense_only_together_are_taken_together() -> None:
    """Either alone would leave nothing between the two."""
    for own in ("setting least = 70 F\nsetting most = 80 F",
                "setting most = 30 F\nsetting least = 20 F"):  # fmt: skip
        book = shipped(PAIR, own=own)
        assert book.problems == ()
        assert all(setting.own for setting in book.settings.values())
    book = shipped(PAIR, own="setting least = 70 F\nsetting most = 65 F")
    assert [problem.line for problem in book.problems] == [1]
    assert [setting.own for setting in book.settings.values()] == [False, True]


def test_a_setting_need_not_suit_a_shipped_rule_that_is_not_in_force() -> None:
    """It is off, or the owner's own stands in its place."""
    mine = "\nnotes mild for x\n while air_max at least $least\n says x\n source y\n"
    for own in ("off mild\nsetting least = 70 F", "setting least = 70 F" + mine):
        book = shipped(PAIR, own=own)
        assert book.problems == ()
        assert book.settings["least"].written.number == 70


def test_trials_of_a_shipped_rule_that_is_replaced_by_one_for_hours_are_left_out() -> None:
    head = "holds downpour for everything put down hour by hour"
    own = f"{head}\n while rain more than 1 mm\n says x\n source y\n"
    book = shipped(own=own)
    assert book.problems == ()
    assert book.rules["downpour"].hourly
    assert book.trials == ()


# Holds that cannot be read


def test_a_new_hold_with_a_broken_condition_holds_its_tasks() -> None:
    """An unknown hold holds: a rule that forbids must not vanish because of a typing mistake."""
    book = shipped(own="holds gale for feed\n while wnid more than 9 mph\n says x\n source y\n")
    assert len(book.problems) == 1
    rule = book.rules["gale"]
    assert rule.broken
    assert rule.kind is RuleKind.HOLDS
    assert rule.tasks == ("feed",)
    assert rule.says == "The hold gale cannot be read: mend it in own.rules, from line 1 on."
    assert rule.speaks_of("zoysiagrass", "warm-season")
    assert not book.holds_everything


@pytest.mark.parametrize(
    "head", ["holds gale for fed", "holds gale", "holds gale for", "hodls gale for feed", "holds"]
)
def test_a_hold_whose_tasks_cannot_be_read_holds_everything(head: str) -> None:
    book = shipped(own=f"{head}\n while wind more than 9 mph\n says x\n source y\n")
    assert book.problems
    assert book.holds_everything


@pytest.mark.parametrize(
    ("source", "refused"),
    [
        ("From  Memory", True),
        ("Purdue; 85 F from\tour memory, which narrows", True),
        ("from-memory", True),
        ("as far as we remember", True),
        ("a recollection", True),
        ("85 F is recalled; it narrows", True),
        ("COMMON PRACTICE, no source", True),
        ("Purdue: soil at 50 F; 85 F is recalled, and narrows", False),
        ("Delaware: none at 85 F; growing weeds is common practice, which narrows", False),
        ("A history of memory, page 3", False),
    ],
)
def test_nothing_opens_by_what_is_only_recalled_or_common(source: str, refused: bool) -> None:
    rule = f"opens a for feed\n while rain more than 1 in\n says x\n source {source}\n"
    assert bool(shipped(rule).problems) is refused
    assert not shipped(rule.replace("opens", "holds")).problems


def test_a_broken_window_is_left_out_and_holds_nothing() -> None:
    book = shipped("opens a for feed\n while rian more than 1 in\n says x\n source y\n")
    assert len(book.problems) == 1
    assert book.rules == {}
    assert not book.holds_everything


def test_an_unreadable_line_breaks_the_rule_around_it() -> None:
    """It may have been the very condition that kept a window shut."""
    text = SHIPPED.replace("  and     days since", "  adn     days since")
    book = shipped(text)
    assert [p.line for p in book.problems] == [8]
    assert "spring-barrier" not in book.rules


def test_a_second_hold_of_a_name_holds_until_one_is_renamed() -> None:
    hold = "holds downpour for iron\n while wind more than 9 mph\n says x\n source y\n"
    book = shipped(SHIPPED + hold)
    assert len(book.problems) == 1
    extra = [rule for name, rule in book.rules.items() if ":" in name]
    assert [rule.tasks for rule in extra] == [("iron",)]
    assert extra[0].broken


# Hostile text


@pytest.mark.parametrize("let", ["x be(rain)", "x be (rain)", "x be$cooler", "x  be\train # be it"])
def test_a_let_may_stand_without_a_space_behind_be(let: str) -> None:
    book = shipped(
        SHIPPED + f"\nnotes n for x\n let {let}\n while rain more than 1 mm\n says {{x}}\n source y"
    )
    assert book.problems == ()
    (told,) = book.rules["n"].lets
    assert told == ("x", let.partition("be")[2].partition("#")[0].strip())


def test_lets_that_double_each_other_end_in_a_problem_not_in_hours() -> None:
    """Each let holds the one before it forty times over: 40^30 parts if they were all put in."""
    lines = ["notes n for x", "  let a0 be rain"]
    lines += [f"  let a{i} be {' plus '.join([f'a{i - 1}'] * 40)}" for i in range(1, 30)]
    text = "\n".join([*lines, "  while a29 more than 1 mm", "  says x", "  source y"])
    start = time.perf_counter()
    book = shipped(text)
    assert time.perf_counter() - start < 2
    assert any("too long" in p.what for p in book.problems)
    assert book.rules == {}


def test_two_thousand_mutated_files_give_problems_and_never_a_traceback() -> None:
    """Seeded mutations: characters changed, words and lines swapped, dropped, doubled."""
    chance = random.Random(20260301)
    words = [
        *SHIPPED.split(),
        "(",
        ")",
        "{",
        "}",
        "$",
        "9" * 30,
        "not",
        "§",
        "\x00",
        chr(0xD800),
        "°",
    ]
    sample = SHIPPED[: SHIPPED.index("waters")] + SHIPPED[SHIPPED.index("trial") :]
    bad = 0
    for _ in range(2000):
        text = sample
        for _ in range(chance.randint(1, 4)):
            kind = chance.randrange(5)
            at = chance.randrange(len(text))
            lines = text.split("\n")
            one, two = chance.randrange(len(lines)), chance.randrange(len(lines))
            if kind == 0:
                text = text[:at] + chr(chance.randrange(32, 0x250)) + text[at + 1 :]
            elif kind == 1:
                text = text[:at] + text[at + chance.randint(1, 6) :]
            elif kind == 2:
                text = text[:at] + f" {chance.choice(words)} " + text[at:]
            elif kind == 3:
                lines[one], lines[two] = lines[two], lines[one]
                text = "\n".join(lines)
            else:
                lines.insert(one, lines[two])
                text = "\n".join(lines)
            text = text or " "
        book = shipped(text, own=text if chance.random() < 0.1 else None)
        bad += bool(book.problems)
        for problem in book.problems:
            assert problem.what
            assert 0 <= problem.column <= len(problem.text) + 1
            str(problem)
        for rule in book.rules.values():
            assert rule.broken or rule.conditions
            assert not rule.broken or rule.kind is RuleKind.HOLDS
    assert bad > 1000


def test_settings_that_only_make_sense_together_are_taken_together() -> None:
    """Each alone would have the window shut before it opens, or be no change that matters."""
    own = "setting low = 62 F\nsetting high = 70 F"
    text = (
        "setting low = 50 F\nsetting high = 60 F\n"
        "opens a for feed\n while daylight is lengthening\n"
        " once air_max at least $low\n until air_max more than $high\n says x\n source y\n"
    )
    book = shipped(text, own=own)
    assert book.problems == ()
    assert [s.written.number for s in book.settings.values()] == [62, 70]
    (problem,) = shipped(text, own="setting low = 62 F").problems
    assert problem.what.endswith("makes no sense; the shipped value stays")
    assert "line 6: “until” holds whenever “once” does" in problem.hint
    assert shipped(text, own="setting low = 62 F").settings["low"].written.number == 50


def test_of_settings_that_make_no_sense_together_those_that_do_alone_are_taken() -> None:
    own = "setting barrier-soil = 300 F\nsetting cooler = 7 F apart"
    book = shipped(own=own)
    assert [(p.file, p.line) for p in book.problems] == [("own.rules", 1)]
    assert book.settings["cooler"].written.number == 7


@pytest.mark.parametrize(
    ("line", "right"),
    [
        ("holds Windy for feed", "holds windy for feed"),
        ("holds too_hot! for feed", "holds too-hot for feed"),
        ("opens for feed", "opens my-rule for feed"),
        ("setting Warm = 50 F", "setting warm = 50 F"),
        ("off downpour, frost", "off downpour"),
        ("off downpuor", "off downpour"),
        ("off zzz", "off cut"),
        ("off", "off cut"),
        ("trial zzz\n answer cannot tell", "trial cut"),
        ("hodls gale for feed", "holds gale for feed"),
        ("setting barrier soil = 54 F", "setting barrier-soil = 50 F"),
    ],
)
def test_a_right_line_takes_no_shipped_rule_s_place(line: str, right: str) -> None:
    """Copied as it stands it must neither replace nor switch off anything but what was meant."""
    body = "\n while rain more than 1 in\n says x\n source y" if line[0] in "ho" else ""
    body = "" if line.startswith("off") else body
    told = shipped(own=line + body).problems
    assert f"A right line: {right}" in [one for p in told for one in p.hint.splitlines()]
