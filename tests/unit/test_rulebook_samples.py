"""One bad rule file for each fault: what is said of it, where, and how to mend it."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.rulebook.book import RuleFile
from advisor.rulebook.read import read_rulebook

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
        "0.5 in is a depth of water or a length; here a temperature is wanted, such as 50 F",
        "",
    ),
    (
        "wrong_kind_of_setting",
        6,
        11,
        "this compares a temperature with a difference of temperatures",
        "one kind",
    ),
    ("sum_of_temperatures", 6, 19, "do not go with “plus”", "difference"),
    ("scaled_temperature", 6, 19, "do not go with “times”", "cannot be scaled"),
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
    ("window_without_unit", 5, 56, "5 has no unit; write it like 30 days", ""),
    ("looks_ahead_over_watering", 6, 11, "cannot look ahead", "to it"),
    ("looks_ahead_over_state", 6, 21, "cannot look ahead", "to it"),
    ("looks_ahead_over_task", 6, 21, "cannot look ahead", "to it"),
    ("rise_over_one_day", 6, 37, "a rise needs a window of two or more", ""),
    ("counts_hours", 6, 21, "a day rule counts days", "number of days"),
    ("never_holds", 6, 11, "this condition can never hold", "Leave it out"),
    ("always_holds", 6, 11, "this condition always holds", "rain lies between 0.00 in"),
    ("empty_between", 6, 11, "this condition can never hold", "rain lies between"),
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
    ("once_in_hour_rule", 5, 3, "an hour rule has no “once”", "while and and"),
    ("hour_fact_in_day_rule", 5, 11, "leaf is told for hours, not for days", "hour by hour"),
    ("hours_of_a_day_fact", 4, 56, "soil_temp is told for days", "over the 2 days to it"),
    ("days_counted_over_hours", 4, 66, "days are counted over a window of days", "5 days"),
    ("let_of_an_hour_in_days", 5, 32, "“now” is of the hour", "Write out"),
    ("window_of_too_many_hours", 4, 40, "a window cannot span 241 hours", "1 to 240 hours"),
    ("hour_taken_for_a_day_rule", 7, 11, "leaf is told for hours, not for days", "hour rule"),
    ("take_of_day_fact_over_hours", 7, 45, "soil_temp is told for days", "over the 2 days"),
    ("until_in_hold", 7, 3, "only an opens rule has “until”", "while"),
    ("once_in_waters", 7, 3, "only an opens rule has “once”", "while"),
    ("waters_feed", 3, 19, "a waters rule is for watering only", "for watering"),
    ("opens_watering", 3, 18, "nothing opens watering", "waters sample"),
    ("misspelled_operator", 6, 21, "“leats” cannot stand here", "at least"),
    ("sign_for_operator", 6, 18, "“>=” is not used in rules", "at least"),
    ("sign_for_division", 6, 16, "“÷” is not used in rules", "divided by"),
    ("line_ends_early", 6, 26, "the line ends too early", "Write it like"),
    ("word_as_name", 3, 7, "“mean” is a word of the rule language", "spring-barrier"),
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
    ("trial_without_answer", 9, 1, "a trial has one “answer” line", "answer yes"),
    ("trial_with_strange_answer", 10, 11, "“maybe” is no answer", "cannot tell"),
    ("take_out_of_range", 10, 18, "rain is never -1 in", "0.00 in"),
    ("take_of_strange_word", 10, 19, "grass is never “green”", "greening-up"),
    ("take_of_word_as_number", 10, 18, "rain is a number, not a word", "52 F"),
    ("take_more_than", 10, 18, "a trial cannot take “more than”", "at least"),
    ("off_in_shipped_file", 9, 1, "only an owner's file switches a rule off", "out"),
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
