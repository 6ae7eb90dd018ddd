"""The subject and the one sentence: short, the verdict first, the most urgent action in it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from plan_cases import (
    BARRIER,
    GENEROUS,
    TODAY,
    advice,
    book,
    decide,
    files,
    granules,
    holds,
    lawn,
    opens,
    waters,
    weather,
)

from advisor.plan.headline import SUBJECT_LENGTH, headline
from advisor.plan.model import Action, Ask, LawnPlan, Verdict
from advisor.plan.words import TASK_SHORT, TASK_TITLES
from advisor.site.place import Site
from advisor.site.words import TASKS

SITE = files().site
assert SITE is not None
PLACE: Site = SITE


def do(task: str = "feed", day: int = 0, closes: int | None = None) -> Action:
    """An action so many days from today."""
    return Action(
        id=f"{task}/{day}",
        task=task,
        title=TASK_TITLES[task],
        verdict=Verdict.WATER if task == "watering" else Verdict.APPLY,
        rule="made-up",
        because="Because of 12 °C.",
        day=TODAY + timedelta(day),
        start="07:00",
        end="12:00",
        closes=None if closes is None else TODAY + timedelta(closes),
    )


def wait(task: str = "feed", look_again: int | None = None) -> Action:
    return Action(
        id=task, task=task, title=TASK_TITLES[task], verdict=Verdict.WAIT, rule="made-up",
        because="The soil is cold.",
        look_again=None if look_again is None else TODAY + timedelta(look_again),
    )  # fmt: skip


def on(*actions: Action, title: str = "Front", name: str = "front") -> LawnPlan:
    return LawnPlan(
        name=name, title=title, grass="tall-fescue", grass_class="cool-season", area_text="1 ft²",
        state="active", conditions=(), actions=tuple(actions),
    )  # fmt: skip


def ask(title: str = "Front", task: str = "feed") -> Ask:
    return Ask(
        lawn="front", lawn_title=title, task=task, advised_on=TODAY, day=TODAY,
        text="Feeding on Front was advised.", answers=("a", "b", "c"),
    )  # fmt: skip


titles = st.text(st.characters(categories=["L", "N", "P", "Zs"]), min_size=1, max_size=200)
offers = st.builds(
    do, st.sampled_from(sorted(TASKS)), st.integers(0, 6), st.none() | st.integers(0, 9)
)


@settings(max_examples=150, deadline=None, phases=(Phase.explicit, Phase.generate))
@given(st.lists(st.tuples(titles, st.lists(offers, max_size=4)), min_size=1, max_size=4))
def test_subject_is_short_whatever_the_titles(lawns: Sequence[tuple[str, list[Action]]]):
    """At most 50 characters, the verdict first, and the count of others at the end."""
    plans = [on(*acts, title=title, name=f"l{i}") for i, (title, acts) in enumerate(lawns)]
    found = headline(PLACE, plans, ())
    assert len(found.subject) <= SUBJECT_LENGTH == 50
    assert found.subject.startswith(f"{found.verdict.value.capitalize()}: ")
    assert found.text.startswith(f"{found.verdict.value.capitalize()}: ")
    different = {(a.task, a.day) for _, acts in lawns for a in acts}
    if len(different) > 1:
        assert found.subject.endswith(f", and {len(different) - 1} more")


@settings(max_examples=60, deadline=None, phases=(Phase.explicit, Phase.generate))
@given(titles, st.sampled_from(sorted(TASKS)))
def test_subject_of_a_question_is_short(title: str, task: str):
    """A question about a lawn of any title is at most 50 characters, and still a question."""
    found = headline(PLACE, [on(wait())], [ask(title, task)])
    assert len(found.subject) <= 50
    assert found.subject.endswith("?")


@pytest.mark.parametrize("task", sorted(TASKS))
def test_subject_says_task_and_day(task: str):
    """A plain subject is whole: verdict, task, lawn and day."""
    found = headline(PLACE, [on(do(task))], ())
    what = "" if task == "watering" else f"{TASK_SHORT[task]}, "
    verb = "Water" if task == "watering" else "Apply"
    assert found.subject == f"{verb}: {what}Front, Wed May 13"


@pytest.mark.parametrize(
    ("actions", "first"),
    [
        ([do("feed", 0), do("pre-emergent", 2, closes=3)], "pre-emergent"),
        ([do("feed", 0, closes=5), do("pre-emergent", 2, closes=3)], "pre-emergent"),
        ([do("feed", 0, closes=0), do("watering", 0)], "watering"),
        ([do("watering", 4), do("feed", 1)], "watering"),
        ([do("watering", 4), do("feed", 1, closes=2)], "feed"),
        ([do("feed", 3), do("iron", 1)], "iron"),
        ([do("feed", 2), wait("iron")], "feed"),
    ],
)
def test_nearest_date_that_cannot_be_made_good(actions: list[Action], first: str):
    """What is lost soonest leads; without an end the earlier day; a wait never leads an action."""
    assert headline(PLACE, [on(*actions)], ()).task == first
    assert headline(PLACE, [on(*reversed(actions))], ()).task == first


def test_more_are_counted():
    """The same on two lawns is one thing; two other things are two more."""
    both = [on(do("feed")), on(do("feed"), do("iron", 1), do("lime", 6), title="Back")]
    found = headline(PLACE, both, ())
    assert found.subject == "Apply: feed, both lawns, Wed May 13, and 2 more"


def test_hours_stand_in_the_sentence():
    """The sentence has the hours, and the reason with its numbers."""
    text = headline(PLACE, [on(do())], ()).text
    assert "07:00 to 12:00" in text
    assert "12 °C" in text


def test_metric_sites_read_dates_their_way():
    """Elsewhere than in the United States the day stands before the month."""
    site = files(units="metric").site
    assert site is not None
    assert headline(site, [on(do())], ()).subject == "Apply: feed, Front, Wed 13 May"


def test_wait_names_reason_and_when_to_look_again():
    """Nothing to do: the wait that may end soonest gives the reason and its day."""
    found = headline(PLACE, [on(wait("iron", 6), wait("feed", 2))], ())
    assert found.verdict is Verdict.WAIT
    assert found.task == "feed"
    assert "The soil is cold." in found.text
    assert "Fri May 15" in found.text


def test_a_window_that_is_held_leads_one_that_is_only_looked_at_again():
    """What would be done but for rain or heat is what its owner wonders about."""
    held = wait("lime").model_copy(update={"held": True, "because": "Rain would carry it off."})
    found = headline(PLACE, [on(wait("feed", 1), held)], ())
    assert found.task == "lime"
    assert found.because == "Lime, Front: Rain would carry it off."


def test_a_window_that_closes_unused_leads_and_says_so():
    flagged = wait("lime").model_copy(update={"held": True, "flag": "It closes on Friday."})
    other = wait("feed", 1).model_copy(update={"held": True})
    found = headline(PLACE, [on(other, flagged)], ())
    assert found.task == "lime"
    assert found.because == "Lime, Front: The soil is cold. It closes on Friday."


def test_a_quiet_week_has_no_single_reason():
    """Where nothing is held and nothing may change soon, no task leads; all is told below."""
    found = headline(PLACE, [on(wait("feed"), wait("lime"))], ())
    assert (found.verdict, found.task, found.lawn) == (Verdict.WAIT, None, None)
    assert found.claim == "put nothing down this week"
    assert found.because == "No window is open on any lawn this week."


def test_a_reason_that_another_lawn_does_not_share_says_whose_it_is():
    other = do().model_copy(update={"because": "Because of 15 °C."})
    alike, apart = [on(do()), on(do(), title="Back")], [on(do()), on(other, title="Back")]
    assert headline(PLACE, alike, ()).because == "Because of 12 °C."
    assert headline(PLACE, apart, ()).because == "Front: Because of 12 °C."


def test_nothing_at_all():
    """A site without rules waits, and says why."""
    found = headline(PLACE, [on()], ())
    assert (found.verdict, found.task) == (Verdict.WAIT, None)


def test_cannot_tell_goes_before_all():
    """Without fresh weather the verdict is wait and the words are “cannot tell”."""
    found = headline(PLACE, [on(do())], [ask()], cannot_tell="No forecast.")
    assert found.verdict is Verdict.WAIT
    assert "cannot tell" in found.text
    assert "cannot tell" in found.subject


def test_whole_plans_have_the_subject_they_should():
    """Through the whole plan: apply, water, wait and a question."""
    read = files(shelf=granules(more='interval = "30 days"') + BARRIER)
    assert decide(read).headline.subject == "Apply: feed, front, Wed May 13"
    dry = weather(rain={-12: 60.0})
    found = decide(files(lawn(more=GENEROUS)), book(waters()), dry).headline
    assert found.subject.startswith("Water: front, Wed May 13, and ")
    held = decide(read, book(opens(), holds()), weather(humidity=0.95)).headline
    assert held.subject == "Wait: put nothing down this week"
    assert "Too humid" in held.text
    asked = decide(read, advised=[advice(date(2026, 5, 10))]).headline
    assert asked.subject == "Wait: was the feed done on front?"
