"""What the words of an answer come to: lines that the journal reads, or a reason."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.series.quantity import Kind
from advisor.site.answer_scan import Names, Says, scan
from advisor.site.answer_words import About, Known, Understood, is_taken, understand
from advisor.site.events import Advised
from advisor.site.facts import Rain
from advisor.site.journal import Journal, read_journal
from advisor.site.load import read_site
from advisor.site.problem import Problem
from advisor.site.sums import sums

SITE = """
id = "maple-corner"
title = "Maple Corner"
units = "us"
[place]
latitude = 35.93
longitude = -79.02
elevation = "480 ft"
zone = "America/New_York"
[[lawn]]
name = "front"
title = "Front lawn"
grass = "tall-fescue"
area = "4200 ft2"
soil = "clay-loam"
irrigated = true
[[lawn]]
name = "back"
title = "Back lawn (north)"
grass = "bermudagrass"
area = "1000 ft2"
soil = "sand"
"""
SHELF = """
[[product]]
name = "steady-green"
title = "Steady Green (slow)"
serves = ["feed"]
form = "granular"
analysis = "24-0-6"
rate = "3 lb/1000 ft2"
"""
JOURNAL = "journal from 2025-01-01\n"
SUNDAY, WEDNESDAY, SATURDAY = date(2025, 4, 6), date(2025, 4, 9), date(2025, 4, 12)
MAIL = "0123456789abcdef"
FILES = read_site({"site.toml": SITE, "shelf.toml": SHELF, "journal.txt": JOURNAL})


def about(
    task: str = "feed", lawn: str = "front", day: date = WEDNESDAY, issued: date = SUNDAY
) -> About:
    product, amount = ("steady-green", 2.45) if task == "feed" else (None, 12.7)
    title = {"front": "Front lawn", "back": "Back lawn (north)"}[lawn]
    advice = Advised(f"{task}/{lawn}/{day}", issued, lawn, task, product, day, amount)
    return About(advice, title, task, "Steady Green" if product else "")


FEED, WATER, BACK = about(), about("watering"), about(lawn="back")


def known(answers: str = "", journal: str = JOURNAL, today: date = SATURDAY) -> Known:
    lawns = {"front": "Front lawn", "back": "Back lawn (north)"}
    texts = {"journal.txt": journal, "answers.txt": answers}
    names: Names = {"feed": ("task", "feed"), "feeding": ("task", "feed")}
    return Known(lawns, FILES.shelf, texts, today, "us", names)


def said(words: str, *abouts: About, have: Known | None = None, on: date = SATURDAY) -> Understood:
    return understand(words, "", abouts or (FEED,), MAIL, on, have or known())


def lines(understood: Understood) -> list[str]:
    return [" ".join(line.partition("#")[0].split()) for line in understood.lines]


@pytest.mark.parametrize(
    ("words", "line"),
    [
        ("done", "2025-04-09 front done feed"),
        ("Done, thanks!", "2025-04-09 front done feed"),
        ("DONE.", "2025-04-09 front done feed"),
        ("It is done", "2025-04-09 front done feed"),
        ("done 5.4 lb", "2025-04-09 front applied 5.4 lb of steady-green"),
        ("done 5,4 lb", "2025-04-09 front applied 5.4 lb of steady-green"),
        ("Done 5.4 LB yesterday.", "2025-04-11 front applied 5.4 lb of steady-green"),
        ("Steady Green (slow), 5.4 lbs, done", "2025-04-09 front applied 5.4 lb of steady-green"),
        ("done on Thursday", "2025-04-10 front done feed"),
        ("done today", "2025-04-12 front done feed"),
        ("done 2025-04-08", "2025-04-08 front done feed"),
        ("done April 8", "2025-04-08 front done feed"),
        ("2025-04-10 front done feed", "2025-04-10 front done feed"),
        ("skipped", "2025-04-09 front skipped feed"),
        ("not yet", "2025-04-09 front not yet feed"),
        ("Not done yet, sorry" .replace(", sorry", ""), "2025-04-09 front not yet feed"),
        ("erledigt", "2025-04-09 front done feed"),
        ("gestern erledigt, danke", "2025-04-11 front done feed"),
        ("vorgestern 2,5 kg ausgebracht", "2025-04-10 front applied 2.5 kg of steady-green"),
        ("Am Donnerstag gemacht.", "2025-04-10 front done feed"),
        ("ausgelassen", "2025-04-09 front skipped feed"),
        ("Noch nicht", "2025-04-09 front not yet feed"),
        ("rain 0.42 in", "2025-04-12 all rain 0.42 in"),
        ("gauge: 0.42 in yesterday", "2025-04-11 all rain 0.42 in"),
        ("Regen 10,5 mm", "2025-04-12 all rain 10.5 mm"),
        ("54 F at 2 in, 08:00", "2025-04-12 front soil 54 F at 2 in, 08:00"),
        ("soil 54°F at 2 inches at 8:00 am", "2025-04-12 front soil 54 F at 2 in, 08:00"),
        ("Boden 12,5 °C in 5 cm Tiefe, 8 Uhr", "2025-04-12 front soil 12.5 C at 5 cm, 08:00"),
        ("watered 0.5 in", "2025-04-12 front watered 0.5 in"),
        ("gestern gegossen 12 mm", "2025-04-11 front watered 12 mm"),
        ("seen wilting", "2025-04-12 front seen wilting"),
        ("saw broad-leaved weeds", "2025-04-12 front seen broad-leaved-weeds"),
        ("Hallo,\nerledigt\nViele Grüße\nAda", "2025-04-09 front done feed"),
        ("done\n\nSent from my telephone", "2025-04-09 front done feed"),
    ],
)  # fmt: skip
def test_what_is_understood(words: str, line: str) -> None:
    found = said(words)
    assert lines(found) == [line]
    assert [one.understood for one in found.told] == [True]


@pytest.mark.parametrize(
    ("words", "why"),
    [
        ("I have not done it", "“not” is no word"),
        ("done?", "“?” is no word"),
        ("half done", "“half” is no word"),
        ("done tomorrow", "still to come"),
        ("done 2025-04-13", "still to come"),
        ("done 2025-02-30", "not in the calendar"),
        ("done 2025-03-01", "before the advice went out"),
        ("done 1,200 lb", "two ways"),
        ("done 5.4", "no unit"),
        ("done 5.4 F", "one quantity"),
        ("done 5.4 lb 6 lb", "one quantity"),
        ("done skipped", "more than one thing"),
        ("done today yesterday", "more than one day"),
        ("5.4 lb", "does not say what"),
        ("soil 54 F", "a depth"),
        ("soil 540 F at 2 in", "cannot be right"),
        ("rain", "one quantity"),
        ("seen", "what was seen"),
        ("skipped 5 lb", "goes with “done”"),
        ("done 08:00", "thermometer"),
        ("undo", "no answer by mail"),
        ("back: done", "advised nothing of the kind"),
        ("done 5.4 lb of mystery", "“mystery” is no word"),
        ("front applied 5.4 lb of steady-green with red-drum", "“red-drum” is no word"),
        ("x" * 500, "too long"),
        ("done\n" * 30, "more lines"),
        ("", "no words"),
        ("Thank you!", "no words"),
    ],
)  # fmt: skip
def test_what_is_not_understood_says_why(words: str, why: str) -> None:
    found = said(words)
    untaken = [one.text for one in found.told if not one.understood]
    assert any(why in text for text in untaken), found.told
    assert len(found.lines) <= words.count("done\n")


def test_a_word_beside_that_is_not_read_spoils_what_counts_less() -> None:
    """An amount too many counts too much, which keeps back; a “skipped” too many lets go."""
    assert lines(said("done\nbut it was windy")) == ["2025-04-09 front done feed"]
    for words in ("skipped", "not yet"):
        found = said(f"{words}\nor rather half of it")
        assert found.lines == () and len(found.told) == 2


def test_of_several_things_the_words_must_say_which() -> None:
    assert "several things" in said("done", FEED, BACK).told[0].text
    assert lines(said("back done", FEED, BACK)) == ["2025-04-09 back done feed"]
    assert lines(said("Back lawn (north): done 2 lb", FEED, BACK)) == [
        "2025-04-09 back applied 2 lb of steady-green"
    ]
    assert lines(said("both done", FEED, BACK)) == [
        "2025-04-09 front done feed", "2025-04-09 back done feed",
    ]  # fmt: skip
    assert "several things" in said("both done 3 lb", FEED, BACK).told[0].text
    assert lines(said("feeding skipped", FEED, WATER)) == ["2025-04-09 front skipped feed"]
    assert lines(said("done 5 lb", FEED, WATER)) == [
        "2025-04-09 front applied 5 lb of steady-green"
    ]
    assert lines(said("done 0.5 in", FEED, WATER)) == ["2025-04-09 front watered 0.5 in"]
    assert "which lawn" in said("54 F at 2 in", FEED, BACK).told[0].text
    assert lines(said("rain 0.1 in", FEED, BACK)) == ["2025-04-12 all rain 0.1 in"]


def test_water_is_done_as_advised_or_by_its_depth() -> None:
    assert lines(said("done", WATER)) == ["2025-04-09 front done watering"]
    assert lines(said("done 0.5 in yesterday", WATER)) == ["2025-04-11 front watered 0.5 in"]


def test_a_subject_speaks_where_the_body_has_no_words() -> None:
    found = understand("\n", "Re: skipped: feed, Front lawn", (FEED,), MAIL, SATURDAY, known())
    assert lines(found) == ["2025-04-09 front skipped feed"]
    found = understand("done", "skipped: feed", (FEED,), MAIL, SATURDAY, known())
    assert lines(found) == ["2025-04-09 front done feed"]
    assert understand("", "Apply: feed", (FEED,), MAIL, SATURDAY, known()).lines == ()


def test_an_amount_far_from_the_advice_counts_and_is_told() -> None:
    for words, told in (("done 54 lb", True), ("done 5.4 lb", False), ("done 1 lb", True)):
        found = said(words)
        assert len(found.lines) == 1
        assert ("5.4 lb was advised" in found.told[0].text) is told


class Story:
    """Answers that come one after another, each a mail of its own."""

    def __init__(self) -> None:
        self.have = known()
        self.mails = 0

    def say(self, words: str, one: About = FEED) -> list[str]:
        self.mails += 1
        found = understand(words, "", (one,), f"{self.mails:016x}", SATURDAY, self.have)
        assert is_taken(self.have.texts, f"{self.mails:016x}") is bool(found.lines)
        return lines(found)

    def nitrogen(self) -> tuple[float, float]:
        """At least and at most put down on the front this year [g/m2]."""
        assert FILES.site is not None
        journal = self.have.journal()
        counted = sums(FILES.site, FILES.shelf, journal, [FEED.advice], SATURDAY)
        return counted.total("front", "nitrogen", 2025)


def test_no_answer_counts_twice() -> None:
    story = Story()
    assert story.say("done") == ["2025-04-09 front done feed"]
    once = story.nitrogen()
    assert once[0] == once[1] > 0
    assert story.say("done") == story.say("skipped") == story.say("not yet") == []
    assert story.say("done 5.4 lb") == ["2025-04-09 front applied 5.4 lb of steady-green"]
    assert story.nitrogen() == pytest.approx(once, rel=0.02)
    assert story.say("done 6 lb") == story.say("done") == []


def test_undo_takes_back_the_newest_mail_and_no_other() -> None:
    story = Story()
    story.say("done 54 lb\nrain 0.3 in")
    assert story.say("undo") == [
        "2025-04-09 front undo 2025-04-09 applied 54 lb of steady-green",
        "2025-04-12 all undo 2025-04-12 rain 0.3 in",
    ]
    assert story.nitrogen()[0] == 0, "it is perhaps done again"
    assert story.say("undo") == []
    assert story.say("done 5.4 lb") == ["2025-04-09 front applied 5.4 lb of steady-green"]


def test_what_was_undone_can_be_said_again() -> None:
    story = Story()
    story.say("done")
    once = story.nitrogen()
    story.say("undo")
    assert story.say("done") == ["2025-04-09 front applied 5.4 lb of steady-green"]
    assert story.nitrogen() == pytest.approx(once, rel=0.02)


def test_what_was_skipped_and_done_after_all_is_done() -> None:
    story = Story()
    story.say("skipped")
    assert story.say("done 5.4 lb") == [
        "2025-04-09 front undo 2025-04-09 skipped feed",
        "2025-04-09 front applied 5.4 lb of steady-green",
    ]


def test_what_the_owner_wrote_of_the_day_is_not_counted_again() -> None:
    by_hand = JOURNAL + "2025-04-09  front  applied 5 lb of steady-green\n"
    found = said("done 5.4 lb", have=known(journal=by_hand))
    assert found.lines == () and "has “applied 5 lb of steady-green”" in found.told[0].text
    same = said("done 5 lb", have=known(journal=by_hand))
    assert same.lines == () and "says so already" in same.told[0].text


def test_newer_advice_is_not_answered_by_an_older_mail() -> None:
    """A digest of Tuesday moved it to Friday; “skipped” to the older one is dated before that."""
    replaced = replace(FEED, next_issued=date(2025, 4, 8))
    assert lines(said("skipped", replaced)) == ["2025-04-07 front skipped feed"]
    same_day = replace(FEED, next_issued=SUNDAY)
    assert "newer advice" in said("skipped", same_day).told[0].text


def test_a_deed_that_the_ledger_forgot_bears_its_amounts() -> None:
    forgotten = replace(FEED, announced=False)
    assert lines(said("done", forgotten)) == ["2025-04-09 front applied 5.4 lb of steady-green"]


def test_before_the_advised_day_it_was_done_on_the_day_of_the_mail() -> None:
    early = date(2025, 4, 7)
    assert lines(said("done", on=early, have=known(today=early))) == ["2025-04-07 front done feed"]


def test_a_dot_may_be_for_thousands_whoever_writes() -> None:
    assert scan("done 1.250 lb", SATURDAY, {}).wrong != ""
    assert scan("done 1.25 lb", SATURDAY, {}).wrong == ""
    assert scan("done 0.125 lb", SATURDAY, {}).wrong == ""


@given(st.text(max_size=300))
def test_no_text_makes_it_raise_and_each_line_is_read_back(words: str) -> None:
    _reads_back(said(words, FEED, BACK))


VOCABULARY = st.lists(
    st.sampled_from([
        "done", "skipped", "not yet", "undo", "rain", "soil", "seen", "wilting", "5.4 lb", "0.4 in",
        "54 F", "2 in", "yesterday", "today", "on Friday", "front", "back", "both", "feed",
        "thanks", "2025-04-10", "08:00", "\n", "#", "all", "watered", ",",
        "journal from", "applied", "not",
    ]),
    max_size=14,
)  # fmt: skip


@given(VOCABULARY)
def test_no_order_of_its_own_words_makes_a_line_of_another_kind(words: list[str]) -> None:
    _reads_back(said(" ".join(words), FEED, WATER, BACK))


def _reads_back(found: Understood) -> None:
    text = "".join(f"{line}\n" for line in found.lines)
    assert text.count("\n") == len(found.lines)
    journal = read_journal(
        {"journal.txt": JOURNAL, "answers.txt": text},
        lawns=["front", "back"], shelf=FILES.shelf, today=SATURDAY,
    )  # fmt: skip
    assert journal.unreadable == () and journal.questions == ()
    assert not [p for p in journal.problems if isinstance(p, Problem) and p.line]
    for entry in journal.entries:
        assert entry.lawn != "all" or isinstance(entry.what, Rain)
        assert SUNDAY <= entry.day <= SATURDAY or not hasattr(entry.what, "task")
    assert all(MAIL in line and "\r" not in line for line in found.lines)


@given(st.text(max_size=250))
def test_a_line_is_read_whole_or_not_at_all(text: str) -> None:
    line = scan(text, SATURDAY, {})
    assert line.wrong or all(isinstance(one, Says) for one in line.says)
    assert all(one.kinds() - {Kind.NUMBER} for one in line.amounts)


# What counts less than was advised is taken only where it can mean nothing else.


def waiting(*ids: str, closes: dict[str, set[str]] | None = None) -> Known:
    """A ledger for tests: `ids` wait for an answer; a line with a word closes what it maps to."""
    have = known()

    def still(journal: Journal) -> frozenset[str]:
        told = " ".join(entry.text for entry in journal.entries if entry.file == "answers.txt")
        gone = [closed for word, closed in (closes or {}).items() if word in told]
        return frozenset(set(ids).difference(*gone))

    have.waiting = still
    return have


@pytest.mark.parametrize("word", ["skipped", "not yet"])
def test_an_answer_never_closes_older_advice(word: str) -> None:
    """The line has no id: where the ledger would give it to another, it is not written."""
    meant = FEED.advice.id
    right = waiting(meant, "older", closes={word: {meant}})
    assert len(said(word, have=right).lines) == 1
    wrong = waiting("older", closes={word: {"older"}})
    assert said(word, have=wrong).lines == ()
    both = waiting(meant, "older", closes={word: {meant, "older"}})
    assert said(word, have=both).lines == ()
    idle = waiting("older")
    assert said(word, have=idle).lines == ()


def test_what_the_owner_wrote_down_is_not_counted_twice() -> None:
    """Answered by hand, on another day and with another amount."""
    for words in ("done", "done 5.4 lb"):
        assert said(words, have=waiting("older")).lines == ()
        assert len(said(words, have=waiting(FEED.advice.id)).lines) == 1


@pytest.mark.parametrize(
    "words",
    ["not yet\ndone 5.4 in yesterday", "skipped\ndone 2.4 lb 2025-03-01", "skipped\nrain 0.4 lb"],
)
def test_a_mail_of_which_a_line_is_refused_skips_nothing(words: str) -> None:
    found = said(words)
    assert found.lines == ()
    assert not any(one.understood for one in found.told)


@pytest.mark.parametrize(
    "words",
    [
        "skipped\nDanke\ndoch noch gemacht", "skipped\nThanks\nactually I did it",
        "not yet\ncheers\nP.S. Tom put it down on Saturday", "skipped\nthanks\nTom\ndone after all",
    ],
)  # fmt: skip
def test_words_below_a_farewell_are_read(words: str) -> None:
    assert said(words).lines == ()


@pytest.mark.parametrize("name", ["Tom", "Ada Merriweather", "Dr. A. Merriweather"])
def test_a_name_below_a_farewell_is_none_of_them(name: str) -> None:
    assert len(said(f"skipped\nThanks,\n{name}").lines) == 1


@pytest.mark.parametrize("words", ["I have to put down", "we have this to put down on friday"])
def test_what_is_still_to_be_done_is_not_done(words: str) -> None:
    assert said(words).lines == ()


def test_one_storm_told_by_two_is_one() -> None:
    have = known(answers="2025-04-11  all  rain 0.42 in  # by mail 0123456789abcdef to x\n")
    assert said("rain 0.40 in yesterday", have=have).lines == ()
    assert len(said("rain 0.40 in", have=have).lines) == 1
