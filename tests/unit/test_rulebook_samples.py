"""One bad rule file for each fault: what is said of it, where, and how to mend it."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.conditions.vocabulary import FACTS
from advisor.rulebook.book import RuleFile
from advisor.rulebook.examples import about, of_kind, over_days, right_line
from advisor.rulebook.read import read_rulebook
from advisor.series.quantity import Kind
from advisor.site.problem import Problem

SAMPLES = Path(__file__).parent / "rulebook_samples"

FAULTS = [
    ("unknown_fact", 6, 11, "no fact is called “soil_tmp”", "soil_temp"),
    ("unknown_task", 3, 18, "no task is called “fed”", "feed"),
    ("unknown_setting", 6, 27, "no setting is called “wram”", "warm"),
    ("unknown_grass", 4, 11, "no grass is called “cold-season”", "cool-season"),
    ("unknown_word_of_fact", 6, 20, "grass is never “sleeping”", "active"),
    ("unknown_unit", 6, 30, "no unit is called “X”", "50 F"),
    ("unknown_keyword", 6, 3, "no line begins with “whlie”", "while"),
    ("unknown_placeholder", 7, 33, "nothing is called “warmht”", "warmth"),
    ("unclosed_brace", 7, 33, "this brace is not closed", "{{"),
    (
        "wrong_kind",
        6,
        27,
        "0.5 in is a depth of water or a length, and a temperature is wanted here",
        "C or F",
    ),
    (
        "wrong_kind_of_setting",
        6,
        11,
        "this compares a temperature with a difference of temperatures",
        "Only a difference is added",
    ),
    ("sum_of_temperatures", 6, 19, "do not go with “plus”", "difference"),
    ("scaled_temperature", 6, 19, "do not go with “times”", "no temperature"),
    ("product_of_depths", 6, 16, "do not go with “times”", "plain number"),
    ("total_of_temperature", 6, 11, "a total of air_temp means nothing", "mean of air_temp"),
    ("depth_missing", 5, 29, "soil_temp needs a depth", "soil_temp at 2 in"),
    ("depth_not_wanted", 6, 23, "air_temp has no depth", "Leave"),
    ("depth_out_of_range", 5, 42, "soil_temp is not known at 40 in", "from 0.8 in to 11.8 in"),
    ("depth_of_a_let", 6, 21, "is a let and has no depth", ""),
    ("window_too_long", 5, 56, "a window cannot span 401 days", "1 to 400 days"),
    ("window_of_no_days", 5, 56, "a window cannot span 0 days", "1 to 400 days"),
    ("window_of_part_days", 5, 56, "a window cannot span 2.5 days", "1 to 400 days"),
    ("window_in_hours", 5, 56, "a window of a day rule is counted in days", "days"),
    ("window_without_unit", 5, 56, "5 has no unit, and a duration is wanted here", "days"),
    ("looks_ahead_over_watering", 6, 11, "cannot look ahead", "to it"),
    ("looks_ahead_over_state", 6, 21, "cannot look ahead", "to it"),
    ("looks_ahead_over_task", 6, 21, "cannot look ahead", "to it"),
    ("rise_over_one_day", 6, 37, "a rise needs a window of two or more", ""),
    ("counts_hours", 6, 21, "a day rule counts days", "number of days"),
    ("never_holds", 6, 11, "this condition can never hold", "between -40 °F and 140 °F"),
    ("always_holds", 6, 11, "this condition always holds", "rain lies between 0.00 in"),
    ("empty_between", 6, 11, "this condition can never hold", "lower end comes first"),
    ("every_word", 6, 11, "this condition always holds", ""),
    ("word_as_number", 6, 11, "grass is a word, not a number", "grass is active"),
    ("number_as_word", 6, 11, "rain is a depth of water, not a word", "at least"),
    ("let_in_window", 6, 19, "“warmth” is a let; a fact is wanted here", ""),
    ("second_let", 6, 11, "a second let “warmth”", "another name"),
    ("let_named_as_fact", 6, 11, "“rain” is a fact already", "another name"),
    ("let_with_hyphen", 6, 11, "“the-rain” is no name of a let", "_"),
    ("second_setting", 2, 1, "a second setting “warm”", "another name"),
    ("setting_apart_of_depth", 1, 20, "2 in is no difference of temperatures", "5 F apart"),
    ("second_rule", 9, 1, "a second rule “sample”", "another name"),
    ("says_missing", 3, 1, "this rule has no “says” line", "says"),
    ("source_missing", 3, 1, "this rule has no “source” line", "source"),
    ("while_missing", 3, 1, "this rule has no “while” line", "while"),
    ("says_empty", 7, 3, "“says” says nothing", ""),
    ("second_while", 7, 3, "a second “while”", "and"),
    ("and_after_says", 8, 3, "“and” follows no condition", "right after"),
    ("opens_from_memory", 8, 11, "may hold, but never open", "holds rule"),
    ("opens_remembered", 8, 19, "only recalled may hold, but never open", "holds rule"),
    ("opens_by_practice", 8, 11, "common practice alone may hold, but never", "holds rule"),
    ("comma_between_words", 6, 26, "“,” cannot stand here", "Put “/” between the words"),
    ("window_after_comparison", 6, 33, "“over the” cannot stand here", "total of rain over the"),
    ("window_without_side", 6, 41, "“more than” cannot stand here", "“to it”"),
    ("since_a_fact", 6, 22, "nothing is recorded as “rain”", "total of rain over the"),
    ("or_begins_a_line", 7, 3, "no line begins with “or”", "at the end of the line above"),
    ("name_with_a_space", 1, 13, "“warm” cannot stand here", "setting too-warm = 50 F"),
    ("once_in_hour_rule", 5, 3, "an hour rule has no “once”", "“while” and “and”"),
    ("hour_fact_in_day_rule", 5, 11, "leaf is told for hours, not for days", "hour by hour"),
    ("hours_of_a_day_fact", 4, 56, "soil_temp is told for days", "Write “days”"),
    (
        "days_counted_over_hours",
        4,
        66,
        "days are counted over a window of days",
        "Count days over days",
    ),
    ("let_of_an_hour_in_days", 5, 32, "“now” is of the hour", "Write out"),
    ("window_of_too_many_hours", 4, 40, "a window cannot span 241 hours", "1 to 240 hours"),
    ("hour_taken_for_a_day_rule", 7, 11, "leaf is told for hours, not for days", "hour rule"),
    ("take_of_day_fact_over_hours", 7, 45, "soil_temp is told for days", "Write “days”"),
    ("until_in_hold", 7, 3, "only an opens rule has “until”", "while"),
    ("once_in_waters", 7, 3, "only an opens rule has “once”", "while"),
    ("waters_feed", 3, 19, "a waters rule is for watering only", "for watering"),
    ("opens_watering", 3, 18, "nothing opens watering", "waters sample"),
    ("misspelled_operator", 6, 21, "“leats” cannot stand here", "at least"),
    ("sign_for_operator", 6, 18, "“>=” is not used in rules", "at least"),
    ("sign_for_division", 6, 16, "“÷” is not used in rules", "divided by"),
    ("line_ends_early", 6, 26, "the line ends too early", "a $setting"),
    ("word_as_name", 3, 7, "“mean” is a word of the rule language", "my-rule"),
    ("capital_in_name", 3, 7, "“Sample” is no name", "a-z"),
    ("deep_parentheses", 6, 31, "more than 20 parentheses", "let"),
    ("many_nots", 6, 91, "more than 20 parentheses", "let"),
    ("long_line", 7, 3, "longer than 500 characters", "Split"),
    ("huge_number", 6, 27, "this number is too large", "50 F"),
    ("strange_character", 6, 32, "the character “§” is not used in rules", ""),
    ("line_before_any_rule", 1, 1, "“while” belongs to a rule, not to nothing", "Begin a rule"),
    ("take_in_rule", 7, 3, "“take” belongs to a trial, not to opens", "trial"),
    ("trial_of_unknown_rule", 9, 1, "no rule is called “smaple”", "sample"),
    ("trial_of_no_rule", 9, 1, "a trial names one rule", "trial"),
    ("trial_without_answer", 9, 1, "this trial has no “answer” line", "answer  yes"),
    ("trial_with_strange_answer", 10, 11, "“maybe” is no answer", "cannot tell"),
    ("take_out_of_range", 10, 18, "rain is never -1 in", "0.00 in"),
    ("take_of_strange_word", 10, 19, "grass is never “green”", "greening-up"),
    ("take_of_word_as_number", 10, 18, "rain is a number, not a word", "0.5 in"),
    ("take_more_than", 10, 18, "a trial cannot take “more than”", "at least"),
    ("off_in_shipped_file", 9, 1, "only an owner's file switches a rule off", "out"),
    ("second_on", 7, 3, "a second “on”", "on one line"),
    ("second_says", 9, 3, "a second “says”", "Keep one"),
    ("second_answer", 11, 3, "a second “answer”", "Keep one"),
    ("unit_of_water", 6, 27, "no unit is called “inn”", "Did you mean “in”?"),
    ("unit_over_area", 6, 36, "no unit is called “lb/1000 fx”", "lb/1000 ft2"),
    ("unit_of_a_window", 6, 36, "no unit is called “dyas”", "Did you mean “days”?"),
    ("unit_of_a_sum", 6, 45, "no unit is called “K”", "air_max minus air_min at least 20 F"),
    ("unit_of_a_setting", 1, 19, "no unit is called “Fahr”", "setting warm = 50 F"),
    ("unit_of_a_take", 10, 20, "no unit is called “mmm”", "take    rain = 0.5 in"),
    ("comma_in_number", 6, 25, "can be read in two ways", "a point before a fraction"),
    ("sign_for_or", 6, 29, "“or_” cannot stand here", "Did you mean “or”?"),
    ("and_within_a_line", 6, 32, "“and” cannot stand here", "Begin a new line"),
    ("since_what", 6, 22, "nothing is recorded as “fed”", "Did you mean “feed”?"),
    ("sum_too_large", 6, 11, "this condition can never hold", "between -216.0 °F and 216.0 °F"),
    ("count_of_too_many", 6, 21, "this condition can never hold", "between 0 days and 7 days"),
    ("one_always_holds", 6, 11, "one of these always holds", "Leave one"),
    ("one_word_always_holds", 6, 11, "one of these always holds", "Leave one"),
    ("contradicts", 7, 11, "this and line 6 can never hold together", "Leave one"),
    ("contradicts_by_kind", 7, 11, "this and line 6 can never hold together", "Leave one"),
    ("contradicts_by_word", 8, 11, "this and line 6 can never hold together", "Leave one"),
    ("contradicts_between", 9, 11, "this and line 7 can never hold together", "Leave one"),
    ("contradicts_count", 8, 11, "this and line 7 can never hold together", "Leave one"),
    ("contradicts_in_or", 8, 11, "this and those above it can never hold together", "Leave one"),
    ("once_never", 8, 11, "this and line 6 can never hold together", "Leave one"),
    ("until_at_once", 7, 11, "“until” holds whenever “while” does", "after the window was open"),
    ("until_with_once", 8, 11, "“until” holds whenever “once” does", "after the window was open"),
    ("setting_not_apart", 6, 19, "do not go with “plus”", "setting warmer = 5 F apart"),
    ("difference_with_temperature", 6, 11, "a difference of temperatures with", "5 F apart"),
    ("unused_let", 7, 11, "nothing uses the let “ground”", "Use it"),
    ("unused_setting", 1, 1, "nothing uses the setting “warm”", "$warm"),
]


@pytest.mark.parametrize(("fault", "line", "column", "what", "hint"), FAULTS)
def test_a_fault_gives_one_problem_where_it_stands(
    fault: str, line: int, column: int, what: str, hint: str
) -> None:
    """Each sample has exactly one problem, at its line and column, with a way to mend it."""
    text = (SAMPLES / f"{fault}.rules").read_text(encoding="utf-8")
    (problem,) = read_rulebook([RuleFile("a.rules", text)]).problems
    assert (problem.file, problem.line, problem.column) == ("a.rules", line, column)
    assert what in problem.what
    assert hint in problem.hint


def test_every_sample_is_in_the_table() -> None:
    """A sample that no case names would test nothing."""
    assert {path.stem for path in SAMPLES.glob("*.rules")} == {fault[0] for fault in FAULTS}


def test_all_faults_of_all_files_are_reported_at_once() -> None:
    """Files are independent: the problems of all samples together are those of each."""
    files = [
        RuleFile(path.name, path.read_text(encoding="utf-8").replace("sample", path.stem[:8]))
        for path in sorted(SAMPLES.glob("unknown_*.rules"))
    ]
    found = {problem.file for problem in read_rulebook(files).problems}
    assert found == {file.name for file in files}


def test_two_faults_in_one_line_are_both_reported() -> None:
    """Tests that are joined by “or” are checked each for itself."""
    text = (
        "opens a for feed\n  while  soil_tmp more than 3 F or rain more than 5 F\n"
        "  and    grass is asleep\n  says x\n  source y\n"
    )
    found = [(p.line, p.column) for p in read_rulebook([RuleFile("a", text)]).problems]
    assert found == [(2, 10), (2, 51), (3, 19)]


RIGHT = "A right line: "

WANTS_ANOTHER_LINE = {"says_missing", "source_missing", "while_missing", "trial_without_answer"}
"""Nothing is wrong with the line that is pointed at: the right one is put below it."""

ONE_TOO_MANY = {"second_on", "second_says", "second_answer"}
"""The right line takes the place of the one like it; the bad one goes."""

REST_OF_A_RULE = "  while   rain more than 1 in\n  says    x\n  source  y\n"


def test_every_message_is_a_place_a_line_a_caret_and_how_to_mend_it() -> None:
    """As it is printed: each of its parts on its own line, the caret below the right words."""
    for fault, *_ in FAULTS:
        problem = only_problem(fault)
        place, line, caret, *hints = str(problem).split("\n")
        assert place.startswith(f"a.rules:{problem.line}:{problem.column}: ")
        assert line == f"    {problem.text}"
        start, end = caret.index("^"), len(caret.rstrip())
        assert set(caret[start:end]) == {"^"}
        assert not caret[:start].strip()
        assert start - 4 == problem.column - 1
        assert end - 4 <= len(problem.text) + (fault == "line_ends_early")
        assert all(hint.startswith("  ") and len(hint) > 10 for hint in hints)
        assert [RIGHT in hint for hint in hints] == [False] * (len(hints) - 1) + [True]
        assert len({*hints, place}) == len(hints) + 1  # nothing is told twice
        near = [i for i, hint in enumerate(hints) if "Did you mean" in hint]
        assert near in ([], [len(hints) - 2])


@pytest.mark.parametrize("fault", [fault[0] for fault in FAULTS])
def test_the_right_line_in_place_of_the_bad_one_is_accepted(fault: str) -> None:
    """The checker takes back none of its own examples."""
    right = only_problem(fault).hint.rpartition(RIGHT)[2]
    text = (SAMPLES / f"{fault}.rules").read_text(encoding="utf-8")
    shipped, own = mended(fault, text.split("\n"), right)
    found = read_rulebook([RuleFile("a.rules", shipped)], own=[RuleFile("own", own)]).problems
    assert [str(problem) for problem in found if not problem.warning] == []


def only_problem(fault: str) -> Problem:
    text = (SAMPLES / f"{fault}.rules").read_text(encoding="utf-8")
    (problem,) = read_rulebook([RuleFile("a.rules", text)]).problems
    return problem


def mended(fault: str, lines: list[str], right: str) -> tuple[str, str]:
    """A sample with the right line where it belongs, as a shipped file and the owner's."""
    at = only_problem(fault).line - 1
    bad = lines[at]
    own = ""
    if fault in WANTS_ANOTHER_LINE:
        lines.insert(at + 1, right)
    elif fault in ONE_TOO_MANY:
        del lines[at]
        like = next(i for i, line in enumerate(lines) if line.split()[:1] == right.split()[:1])
        lines[like] = right
    elif fault in ("unused_let", "unused_setting"):
        like = next(i for i, line in enumerate(lines) if line.split()[:1] == right.split()[:1])
        lines[like] = right
    elif fault == "and_after_says":
        del lines[at]
        while_ = next(i for i, line in enumerate(lines) if line.split()[:1] == ["while"])
        lines.insert(while_ + 1, right)
    elif fault == "line_before_any_rule":
        lines[at] = f"{right}\n{REST_OF_A_RULE}"
    elif fault == "take_in_rule":
        lines[at] = ""
        lines += [right, bad, "answer yes"]
    elif fault == "off_in_shipped_file":
        lines[at] = ""
        own = right
    else:
        lines[at] = right
    return "\n".join(lines), own


@pytest.mark.parametrize("by", ["", " hour by hour"])
def test_an_example_about_every_fact_is_accepted(by: str) -> None:
    """Whatever a line is about, what is shown beside it is right."""
    for fact in FACTS.values():
        for shown in (about(fact), over_days(fact)):
            lines = [right_line(word, "", shown) for word in ("while", "and", "let")]
            text = "\n".join([f"notes n for x{by}", *lines, "says x", "source y", "trial n"])
            text += "\n" + "\n".join([right_line("take", "", shown), "answer cannot tell"])
            found = read_rulebook([RuleFile("a", text)]).problems
            assert [str(problem) for problem in found if not problem.warning] == []


def test_an_example_of_every_kind_that_a_rule_can_want_is_accepted() -> None:
    kinds = {fact.kind for fact in FACTS.values()} | {Kind.NUMBER, Kind.TEMPERATURE_DIFFERENCE}
    for kind in kinds - {None}:
        text = f"notes n for x\n{right_line('while', '', of_kind(kind))}\nsays x\nsource y"
        assert read_rulebook([RuleFile("a", text)]).problems == ()


def test_wrong_words_and_wrong_units_of_one_line_come_at_once() -> None:
    """Only what cannot be parsed hides what else is wrong in a line."""
    text = (
        "opens a for feed\n  while  rian more than 3 mm or rain more than 5 X or wind more than"
        " $gale or grass is asleep or rain more than 5 F\n  says x\n  source y\n"
    )
    found = [p.what for p in read_rulebook([RuleFile("a", text)]).problems]
    assert found == [
        "no fact is called “rian”",
        "no unit is called “X”",
        "no setting is called “gale”",
        "grass is never “asleep”",
        "5 F is a difference of temperatures or a temperature, and a depth of water is wanted here",
    ]


def test_a_setting_that_was_meant_for_a_shipped_one_is_told() -> None:
    shipped = (
        "setting gale = 15 mph\nholds a for feed\n while wind more than $gale\n says x\n source y"
    )
    book = read_rulebook([RuleFile("a", shipped)], own=[RuleFile("b", "setting glae = 12 mph")])
    (problem,) = book.problems
    assert problem.warning
    assert problem.hint.split("\n")[1:] == [
        "Did you mean “gale”?",
        "A right line: setting gale = 12 mph",
    ]
    assert list(book.rules) == ["a"]


def test_unused_things_are_not_told_beside_a_mistake() -> None:
    """The mistake may be the misspelt use."""
    text = (
        "setting gale = 15 mph\nholds a for feed\n while wind more than $glae\n says x\n source y"
    )
    found = read_rulebook([RuleFile("a", text)]).problems
    assert [p.what for p in found] == ["no setting is called “glae”"]


@pytest.mark.parametrize(
    "lines",
    [
        ["air_max more than 80 F", "air_max less than 90 F"],
        ["air_max at least 80 F", "air_max at most 80 F"],
        ["air_max at least 50 F", "air_max at most 10 C"],
        ["air_max more than 80 F", "air_min less than 70 F"],
        ["mean of air_max over the 5 days to it more than 80 F", "air_max less than 70 F"],
        ["mean of rain over the 5 days to it more than 2 mm",
         "mean of rain over the 3 days to it less than 1 mm"],
        ["rain more than 1 in or air_max more than 90 F", "rain less than 0.5 in"],
        ["rain more than 1 in or rain less than 0.2 in", "rain more than 0.1 in"],
        ["not rain between 1 mm and 3 mm", "rain between 3 mm and 4 mm"],
        ["grass is active / greening-up", "not grass is active"],
        ["rain plus et0 more than 1 in", "rain plus et0 less than 2 in"],
    ],
)  # fmt: skip
def test_what_can_hold_together_is_no_contradiction(lines: list[str]) -> None:
    text = "notes n for x\n" + "".join(
        f"{word} {line}\n" for word, line in zip(("while", "and"), lines, strict=True)
    )
    assert read_rulebook([RuleFile("a", f"{text}says x\nsource y")]).problems == ()


@pytest.mark.parametrize(
    ("until", "told"),
    [
        ("warmth more than 60 F", False),
        ("grass is active", False),
        ("warmth more than 40 F or rain more than 1 in", True),
        ("warmth less than 60 F or warmth more than 55 F", True),
    ],
)
def test_only_an_until_that_surely_holds_with_while_is_told(until: str, told: bool) -> None:
    text = (
        "opens a for feed\nlet warmth be soil_temp at 2 in\nwhile warmth at least 50 F\n"
        f"until {until}\nsays x\nsource y"
    )
    assert bool(read_rulebook([RuleFile("a", text)]).problems) is told
