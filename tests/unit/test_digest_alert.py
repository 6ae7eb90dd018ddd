"""The note that takes something back: its subject, its words, its page, and its size."""

from __future__ import annotations

import html
import re
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markupsafe import escape
from sample_plan import ON, sample_plan, watering

from advisor.digest.alert import Alert, alert_purpose, render_alert
from advisor.digest.answering import Answering, Asked
from advisor.digest.html import BUDGET, encoded_size
from advisor.digest.mail import LONGEST_SUBJECT, build_mail, mail_bytes
from advisor.digest.words import WIDTH, columns
from advisor.plan.model import Sure
from advisor.plan.needed import Needed
from advisor.plan.recant import TakenBack
from advisor.plan.words import TASK_SHORT
from advisor.site.events import Advised

THURSDAY = date(2026, 4, 9)


def taken(
    lawn: str = "front", task: str = "pre-emergent", day: date = THURSDAY, **changes: object
) -> TakenBack:
    title = {"front": "Front lawn", "back": "Back lawn under the limes"}[lawn]
    advised = Advised(f"{task}/{lawn}/{day}", date(2026, 4, 5), lawn, task, "granules", day, 2.4)
    one = TakenBack(
        advised,
        title,
        "Spring barrier against weeds",
        "0.80 in may follow within a day and carry it off.",
        date(2026, 4, 13),
    )
    return replace(one, **changes)  # type: ignore[arg-type]


def rendered(*found: TakenBack) -> Alert:
    return render_alert(sample_plan(), found or (taken(),))


def page_text(page: str) -> str:
    """What a reader of the page sees, as one line."""
    body = re.sub(r"(?s)<style>.*?</style>|<title>.*?</title>", "", page)
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", body)).split())


def test_the_subject_says_what_and_when():
    """The verdict, the task, the lawn and the day, in what a phone shows."""
    alert = rendered()
    assert alert.subject == "Wait after all: weed barrier, Thu Apr 9"  # with its lawn: 51
    assert rendered(taken(task="feed")).subject == "Wait after all: feed, Front lawn, Thu Apr 9"
    both = rendered(taken(task="feed"), taken("back", "feed"))
    assert both.subject == "Wait after all: feed, both lawns, Thu Apr 9"
    several = rendered(taken(task="feed"), taken(task="iron", day=date(2026, 4, 10)))
    assert several.subject == "Wait after all: feed, Thu Apr 9, and 1 more"


@pytest.mark.parametrize("task", [*TASK_SHORT, "a-task-of-another-release-with-a-long-name-to-it"])
def test_no_subject_is_longer_than_a_phone_shows(task: str) -> None:
    for found in ((taken(task=task),), (taken(task=task), taken(task="lime", day=ON))):
        subject = rendered(*found).subject
        assert len(subject) <= LONGEST_SUBJECT
        assert subject.startswith("Wait after all: ")


def test_both_parts_say_the_same():
    """What, why, when to look again, when it was advised, and the next digest; in both parts."""
    alert = rendered()
    for text in (" ".join(alert.text.split()), page_text(alert.html)):
        for said in (
            "Wait after all",
            "Weed barrier, Front lawn, not on Thu Apr 9 as announced",
            "0.80 in may follow within a day and carry it off.",
            "Look again Mon Apr 13.",
            "takes back advice of Sun Apr 5",
            "The next digest comes on Wed Apr 15.",
            "Nothing else is taken back by this note.",
            "Weather data by the Almswick weather office, CC BY 4.0.",
        ):
            assert said in text


def test_another_day_is_offered_with_its_hours():
    alert = rendered(taken(moved=True, instead=date(2026, 4, 11), start="07:00", end="10:00"))
    said = "It is now advised for Sat Apr 11, 07:00 to 10:00."
    assert said in " ".join(alert.text.split())
    assert said in page_text(alert.html)


def test_lawns_that_share_a_reason_are_told_once():
    alert = rendered(taken(), taken("back"))
    assert alert.text.count("0.80 in may follow") == 1
    assert "Weed barrier, both lawns, not on Thu Apr 9" in " ".join(alert.text.split())


def test_what_is_taken_back_alone_has_no_title_below_the_claim():
    """Of two things each has its own, unless they are told together."""
    two = taken(), taken("back", "feed", title="Feeding")
    for found, titles in (((taken(),), 0), (two, 2)):
        alert = rendered(*found)
        assert alert.text.count("WAIT: ") == titles
        assert page_text(alert.html).count("WAIT ") == titles


def test_a_day_that_the_reason_names_is_not_told_again():
    alert = rendered(taken(because="Not before Mon Apr 13, as the forecast stands."))
    assert "Look again" not in alert.text


def test_the_text_keeps_to_its_columns():
    lines = rendered(taken(), taken("back", "feed")).text.splitlines()
    assert all(columns(line) <= WIDTH for line in lines)


def test_hostile_texts_stay_text():
    """Markup is shown and not obeyed, control characters are gone, and the subject is one line."""
    bad = "<script>alert(1)</script>\x1b[31m\u202e"
    plan = sample_plan()
    plan = plan.model_copy(update={"site": plan.site.model_copy(update={"title": bad})})
    alert = render_alert(plan, [taken(because=bad, title=bad, lawn_title=bad + "\nBcc: a@b.c")])
    assert "<script>" not in alert.html
    assert "&lt;script&gt;" in alert.html
    whole = alert.subject + alert.text + alert.html
    assert not re.search("[\x00-\x09\x0b-\x1f\u202e]", whole)
    assert "\n" not in alert.subject


def test_the_page_loads_nothing_and_runs_nothing():
    page = rendered().html
    assert not re.search(r"<(script|img|link|iframe|form)|url\(|@import|src=", page)


def test_a_flood_stays_within_the_digest_s_size():
    """Hundreds of things taken back: the page is shortened and says so, the text has them all."""
    found = [
        taken(task="feed", day=date(2026, 5, 1 + n % 28), because=f"{n} " + "é" * 900)
        for n in range(200)
    ]
    alert = rendered(*found)
    assert encoded_size(alert.html) <= BUDGET
    assert "more stand in the mail's plain text" in page_text(alert.html)
    assert alert.text.count("WAIT: ") == 200


def test_nothing_taken_back_is_no_alert():
    with pytest.raises(ValueError, match="at least one"):
        render_alert(sample_plan(), [])


def test_a_purpose_is_that_of_its_things():
    """The same things, in any order, are the same alert; others are another."""
    one, two = taken(), taken("back")
    assert alert_purpose([one, two]) == alert_purpose([two, one])
    assert alert_purpose([one]) != alert_purpose([two])
    assert re.fullmatch(r"alert-[0-9a-f]{16}", alert_purpose([one]))


def test_an_alert_travels_as_the_digest_does():
    """A mail of its own identity, other than the digest's of that day."""
    plan, alert = sample_plan(), rendered()
    ids = set()
    for purpose in ("digest", alert_purpose([taken()])):
        mail = build_mail(
            plan,
            sender="lawn@example.org",
            recipient="someone@example.net",
            text=alert.text,
            html=alert.html,
            purpose=purpose,
        )
        assert mail_bytes(mail).isascii()
        ids.add(mail["Message-ID"])
    assert len(ids) == 2


@settings(max_examples=30, deadline=None)
@given(st.text(max_size=60), st.text(max_size=300), st.sampled_from(["us", "metric"]))
def test_any_words_make_an_alert(title: str, because: str, units: str) -> None:
    """Whatever stands in the plan: a short subject, a text, and a page within its size."""
    plan = sample_plan()
    plan = plan.model_copy(update={"site": plan.site.model_copy(update={"units": units})})
    alert = render_alert(plan, [taken(title=title, because=because, lawn_title=title)])
    assert len(alert.subject) <= LONGEST_SUBJECT
    assert alert.text.endswith("\n")
    assert encoded_size(alert.html) <= BUDGET


def water(lawn: str = "front", day: date = THURSDAY, **changes: object) -> Needed:
    title = {"front": "Front lawn", "back": "Back lawn under the limes"}[lawn]
    known = {
        "day": day,
        "go_line": "Leave it if more than a quarter of this fell.",
        "sure": Sure(text="9 of 10 forecasts bring too little rain to do without this water."),
        "flag": "The hours allowed have room for 0.5 in of 0.6 in",
        **changes,
    }
    return Needed(lawn, title, watering().model_copy(update=known), day)


def test_water_says_all_that_is_needed_to_give_it():
    """Where, when, how much, how long, why, what to look at, what to mind and what to write down;
    in both parts, and calmly."""
    alert = render_alert(sample_plan(), (), [water()])
    assert alert.subject == "Water after all: Front lawn, Thu Apr 9"
    for text in (" ".join(alert.text.split()), page_text(alert.html)):
        for said in (
            "Water after all",
            "Front lawn, Thu Apr 9, 05:00 to 07:30, 0.50 in",
            "no digest has told of it",
            "0.5 in, 42 minutes in two turns",
            "The root zone lacks 0.61 in",
            "Leave it if more than a quarter of this fell.",
            "9 of 10 forecasts",
            "The hours allowed have room for 0.5 in of 0.6 in.",
            "Your district allows watering on Wednesday and Saturday only.",
            "2026-04-09 front done watering",
            "Nothing is taken back by this note.",
            "The next digest comes on Wed Apr 15.",
        ):
            assert said in " ".join(text.replace("  ", " ").split())
        assert "Wait" not in text
        assert "Nothing else" not in text
    assert alert.text.startswith("Water after all: Front lawn, Thu Apr 9, 05:00 to 07:30")
    assert all(columns(line) <= WIDTH for line in alert.text.splitlines())


def test_what_comes_first_leads():
    """The other is told below it, and counted."""
    later, sooner = date(2026, 4, 10), ON
    leads = render_alert(sample_plan(), [taken(task="feed", day=later)], [water()])
    assert leads.subject == "Water after all: Front lawn, Thu Apr 9, and 1 more"
    assert "WAIT: " in leads.text
    assert "Nothing else is taken back" in leads.text
    follows = render_alert(sample_plan(), [taken(task="feed", day=sooner)], [water()])
    assert follows.subject == "Wait after all: feed, Wed Apr 8, and 1 more"
    assert "WATER: Front lawn, Thu Apr 9, 05:00 to 07:30" in follows.text
    both = render_alert(sample_plan(), (), [water(), water("back")])
    assert both.subject == "Water after all: both lawns, Thu Apr 9"


def test_water_has_a_purpose_of_its_own():
    """The same water is the same alert; with what else it says it is another."""
    other = water("back", id="watering/back/2026-04-09")
    assert alert_purpose([], [water(), other]) == alert_purpose([], [other, water()])
    assert alert_purpose([], [other]) != alert_purpose([], [water()])
    purposes = {
        alert_purpose([taken()]), alert_purpose([taken()], [water()]), alert_purpose([], [water()])
    }  # fmt: skip
    assert len(purposes) == 3


@settings(max_examples=30, deadline=None)
@given(st.text(max_size=60), st.text(max_size=300), st.integers(0, 3), st.integers(1, 60))
def test_any_words_make_a_note_of_water(title: str, because: str, backs: int, waters: int) -> None:
    """A short subject, one line of it, and a page within its size, whatever the texts."""
    found = [replace(water(because=because, go_line=because), lawn_title=title)] * waters
    alert = render_alert(sample_plan(), [taken(because=because)] * backs, found)
    assert len(alert.subject) <= LONGEST_SUBJECT
    assert "after all: " in alert.subject
    assert encoded_size(alert.html) <= BUDGET
    assert not re.search("[\x00-\x09\x0b-\x1f\u202e]", alert.subject + alert.text + alert.html)


def test_the_water_of_an_alert_can_be_answered_by_mail() -> None:
    one = water()
    token = "sw1" + "abcdefgh" * 5
    answers = Answering(
        "lawn@example.org", {one.action.id: Asked(token, "watering", one.lawn_title)}
    )
    alert = render_alert(sample_plan(), (), [one], answers)
    (link,) = answers.links(one.action.id)
    assert link.label == "done" and token in " ".join(alert.text.split())
    assert str(escape(link.url)) in alert.html
    assert "mailto:" not in render_alert(sample_plan(), (), [one]).html
