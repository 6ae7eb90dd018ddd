"""What the view tells and leaves out: each thing once, with whose it is, in an order to act on."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sample_plan import barrier, sample_plan, waiting, watering

from advisor.digest import evidence, together
from advisor.digest.doing import NONE_BESIDE
from advisor.digest.html import render_html
from advisor.digest.parts import Figure
from advisor.digest.text import render_text
from advisor.digest.view import view
from advisor.digest.words import applications_text
from advisor.plan.model import (
    Action,
    Condition,
    Evidence,
    Plan,
    SecondChoice,
    Sure,
    Unknown,
    Verdict,
    ZoneRun,
)
from advisor.plan.second import SAY_FIRST


def asked(text: str, value: str | None, limit: str | None, holds: bool | None) -> Evidence:
    margin = "1 off" if value and value[0].isdigit() and holds is not None else None
    words = text.removeprefix("not ")
    for compared in (" is ", " at least ", " more than "):
        words = words.split(compared)[0]
    bound = (limit or "").removeprefix("at least ").removeprefix("more than ")
    return Evidence(
        text=text, about=words, value=value, limit=limit, bound=bound, holds=holds, margin=margin,
        origin="forecast",
    )  # fmt: skip


def with_actions(*each: tuple[Action, ...]) -> Plan:
    """The sample with these actions for its lawns, in order."""
    lawns = tuple(
        lawn.model_copy(update={"actions": actions})
        for lawn, actions in zip(sample_plan().lawns, each, strict=True)
    )
    return sample_plan(lawns=lawns)


def shut(missing: str, line: str) -> Action:
    """A watering that waits, since less is missing than the line."""
    return waiting().model_copy(
        update={
            "task": "watering",
            "title": "Watering",
            "because": f"It waits for thirst; now {missing}, wanted at least {line}.",
            "brief": "It waits for thirst.",
            "evidence": (
                asked("missing at least line", missing, f"at least {line}", False),
                asked("not grass is winter-dormant", "active", "not winter-dormant", True),
            ),
            "look_again": None,
            "flag": "",
        }
    )


def balance(missing: str, line: str) -> tuple[Condition, ...]:
    return tuple(
        Condition(name=name, title=name, value=value, number=1, origin="balance")
        for name, value in (("depletion", missing), ("stress_line", line))
    )


def told(action: Action) -> list[tuple[str, str, str]]:
    """What is shown of the conditions that decided: about what, what was found, the limit."""
    return [
        (evidence.subject(one), evidence.value_text(one), evidence.limit_text(action, one))
        for one in evidence.shown(action)
    ]


def test_shut_window_tells_what_fails_or_is_not_known() -> None:
    wait = waiting().model_copy(
        update={
            "because": "Not yet.",
            "evidence": (
                asked("daylight is lengthening", "lengthening", "lengthening", True),
                asked("warmth at least 65 F", "45 °F", "at least 65 °F", False),
                asked("growth at least 0.4", None, "at least 0.4", None),
                asked("warmth more than 90 F", "45 °F", "more than 90 °F", False).model_copy(
                    update={"keyword": "until"}
                ),
            ),
        }
    )
    assert told(wait) == [
        ("warmth", "45 °F", "wants at least 65 °F"),
        ("growth", "not known", "wants at least 0.4"),
    ]
    assert evidence.lines(wait) == ("warmth: 45 °F, wants at least 65 °F",)


def test_hold_tells_what_holds_or_is_not_known() -> None:
    wait = waiting().model_copy(
        update={
            "because": "Rain may carry it off.",
            "evidence": (
                asked("soon more than 0.5 in", "1.02 in", "more than 0.50 in", True),
                asked("gusts more than 9 mph", None, "more than 9 mph", None),
                asked("soil is frozen / saturated", "frozen", "frozen or saturated", True),
            ),
        }
    )
    assert told(wait) == [
        ("soon", "1.02 in", "holds while more than 0.50 in"),
        ("gusts", "not known", "holds while more than 9 mph"),
        ("soil", "frozen", ""),
    ]


def test_numbers_of_the_sentence_are_not_told_again() -> None:
    one = asked("missing at least line", "0.98 in", "at least 0.56 in", True)
    assert evidence.told_by("It lacks 0.98 in; stress begins at 0.56 in.", one)
    assert not evidence.told_by("It lacks 10.98 in; stress begins at 0.56 in.", one)
    assert not evidence.told_by("It lacks 0.98 in.", one)


def test_at_most_three_numbers_stand_under_the_reason_and_no_words() -> None:
    conditions = (
        asked("daylight is lengthening", "lengthening", "lengthening", True),
        *(asked(f"fact{n} at least 1 in", "2 in", "at least 1 in", True) for n in "abcd"),
    )
    plan = with_actions((barrier().model_copy(update={"evidence": conditions}),), ())
    assert view(plan).numbers == tuple(
        Figure("2 in", f"fact{n}", "wants at least 1 in") for n in "abc"
    )


def test_where_the_reason_has_no_three_numbers_the_lawn_s_own_stand_in() -> None:
    """What the sentence has named already is not told again."""
    one = asked("growth at least 0.4", "46 %", "at least 40 %", True)
    named = barrier().model_copy(update={"evidence": (one,), "because": "0.30 in are missing."})
    lawn = sample_plan().lawns[0]
    figures = (
        *balance("0.30 in", "0.75 in"),
        Condition(name="soil_temp", title="Soil at 2 in", value="52 °F", number=11.1, origin="x"),
    )
    lawn = lawn.model_copy(update={"conditions": figures, "actions": (named,)})
    assert view(sample_plan(lawns=(lawn,))).numbers == (
        Figure("46 %", "growth", "wants at least 40 %"),
        Figure("52 °F", "Soil at 2 in", ""),
    )


def test_a_watering_s_numbers_are_what_to_give_and_how_long() -> None:
    zone = ZoneRun(
        name="front", title="Front sprinklers", minutes=42, runs=2, minutes_each=21,
        soak_minutes=60, text="2 runs of 21 min, 60 min apart",
    )  # fmt: skip
    plan = with_actions((watering().model_copy(update={"zones": (zone,)}),), ())
    head = plan.headline.model_copy(
        update={"task": "watering", "verdict": Verdict.WATER, "day": watering().day}
    )
    digest = view(plan.model_copy(update={"headline": head}))
    assert digest.numbers[:2] == (
        Figure("0.50 in", "water to give", ""),
        Figure("42 min", "Front sprinklers", "2 runs of 21 min, 60 min apart"),
    )
    assert "Water" not in [row.label for row in digest.hero]


def test_estimate_is_called_one_where_its_number_stands() -> None:
    guess = asked("warmth at least 50 F", "56 °F", "at least 50 °F", True)
    guess = guess.model_copy(update={"estimate": True})
    plan = with_actions((barrier().model_copy(update={"evidence": (guess,)}),), ())
    assert view(plan).numbers[0] == Figure("56 °F (estimate)", "warmth", "wants at least 50 °F")


def test_waits_that_differ_in_figures_shown_below_become_one() -> None:
    """Both lawns lack less than their line; the figures stand once, with each lawn."""
    plan = with_actions((shut("0.30 in", "0.75 in"),), (shut("0.31 in", "0.73 in"),))
    lawns = tuple(
        lawn.model_copy(update={"conditions": balance(*figures)})
        for lawn, figures in zip(
            plan.lawns, (("0.30 in", "0.75 in"), ("0.31 in", "0.73 in")), strict=True
        )
    )
    digest = view(plan.model_copy(update={"lawns": lawns}))
    assert [(wait.title, wait.why) for wait in digest.waits] == [
        ("Watering, both lawns", "It waits for thirst.")
    ]
    assert digest.stands[1].rows[0].text == "0.31 in of 0.73 in to stress"


def test_reason_of_two_tasks_is_told_once() -> None:
    """A feed and a seed wait for the same rain, and are looked at again on different days."""
    seed = waiting().model_copy(update={"title": "Seeding", "look_again": None})
    digest = view(with_actions((waiting(),), (seed,)))
    assert digest.waits[0].why.startswith("1.2 in may follow")
    assert digest.waits[1].why == "For the same reason as Spring feed."


def test_question_of_the_headline_is_told_once_and_rests_on_no_rule() -> None:
    plan = sample_plan()
    asked = plan.ask[0].text
    head = plan.headline.model_copy(
        update={
            "verdict": Verdict.WAIT,
            "task": "feed",
            "lawn": "back",
            "text": f"Wait: first say whether this was done. {asked}",
            "claim": "first say whether this was done",
            "because": asked,
        }
    )
    digest = view(plan.model_copy(update={"headline": head}))
    assert (digest.claim, digest.reason) == ("First say whether this was done", asked)
    assert digest.ask[0].text == "As said at the top."
    assert digest.numbers == ()


def test_figures_that_stand_nowhere_else_stay_in_the_sentence() -> None:
    digest = view(with_actions((shut("0.30 in", "0.75 in"),), (shut("0.31 in", "0.73 in"),)))
    assert [wait.title for wait in digest.waits] == [
        "Watering, Front lawn",
        "Watering, Back lawn under the limes",
    ]
    assert "now 0.31 in, wanted at least 0.73 in" in digest.waits[1].why


def test_lawns_of_one_task_have_one_list_of_steps_and_an_amount_each() -> None:
    dose = barrier().dose
    assert dose is not None
    back = dose.model_copy(
        update={
            "amount_text": "2.5 lb",
            "area_text": "1,650 ft2",
            "steps": ("Keep out of the strip.", "Weigh half, 1.2 lb, first.", "Water it in."),
        }
    )
    front = dose.model_copy(update={"steps": ("Weigh half, 2.7 lb, first.", "Water it in.")})
    other = barrier().model_copy(update={"dose": back})
    digest = view(
        with_actions((barrier().model_copy(update={"dose": front}),), (other, watering()))
    )
    part = digest.doing[0]
    assert part.steps == (
        "Back lawn under the limes: Keep out of the strip.",
        "Weigh half, 2.7 lb (Front lawn) or 1.2 lb (Back lawn under the limes), first.",
        "Water it in.",
    )
    assert [row.label for row in digest.hero] == ["Front lawn", "Back lawn under the limes", "Also"]
    assert digest.hero[1].text == "2.5 lb on 1,650 ft2"
    assert digest.hero[2].text == "Watering, Sat Apr 11"


def test_what_is_due_besides_the_headline_stands_in_date_order_with_its_hours() -> None:
    feed = barrier().model_copy(
        update={
            "task": "feed",
            "title": "Feeding",
            "day": date(2026, 4, 8),
            "start": "10:00",
            "end": "12:00",
        }
    )
    also = view(with_actions((barrier(), watering()), (feed,))).hero[-1]
    assert also.label == "Also"
    first, then = also.text.split("; ")
    assert first == "Feeding, Wed Apr 8, 10:00 to 12:00, Back lawn under the limes"
    assert then == "Watering, Sat Apr 11"


def test_further_waterings_of_a_week_are_one_list_with_one_line_how_sure() -> None:
    def one(day: int, fulfilling: int, because: str) -> Action:
        sure = Sure(text=f"{fulfilling} of 10 forecasts.", members=10, fulfilling=fulfilling)
        changed = {"day": date(2026, 4, day), "sure": sure, "because": because, "id": f"w{day}"}
        return watering().model_copy(update=changed)

    waters = (one(9, 9, "Dry by Friday."), one(11, 7, "Dry by Sunday."), one(13, 8, "Dry later."))
    plan = with_actions(waters, ())
    head = plan.headline.model_copy(
        update={"task": "watering", "verdict": Verdict.WATER, "day": waters[0].day,
                "text": "Water: Front lawn, Thu Apr 9. Dry by Friday."}
    )  # fmt: skip
    plan = plan.model_copy(update={"headline": head})
    (part,) = view(plan).doing
    assert [row.label.split(", ")[1] for row in part.amounts] == [
        "Sat Apr 11", "Mon Apr 13"
    ]  # fmt: skip
    assert not any(row.why for row in part.amounts)
    assert [row.text for row in part.facts if row.label == "How sure"] == [
        "The least sure is Front lawn, Sat Apr 11: 7 of 10 forecasts."
    ]
    assert part.why == ("Front lawn, Sat Apr 11: Dry by Sunday.",)
    for page in (render_text(plan), render_html(plan)):
        assert page.index("Mon Apr 13") < page.index("Caution:") < page.index("How sure")
        assert page.count("Caution:") == 1


def test_lawn_with_other_hours_says_so_beside_its_amount() -> None:
    late = barrier().model_copy(update={"start": "16:00", "end": "18:00"})
    digest = view(with_actions((barrier(),), (late,)))
    assert digest.hero[1].text.endswith(", 16:00 to 18:00")
    assert "16:00" not in digest.hero[0].text


def test_a_reason_that_another_lawn_does_not_share_says_whose_it_is() -> None:
    other = barrier().model_copy(update={"because": "Soil at 2 in has averaged 54 F."})
    digest = view(with_actions((barrier(),), (other,)))
    *_, whose, then = digest.doing[0].why
    assert whose == "Back lawn under the limes: Soil at 2 in has averaged 54 F."
    assert then == barrier().chosen[0]


def test_heat_load_is_told_above_zero_only() -> None:
    for number, told in ((0.0, False), (2.0, True)):
        heat = Condition(
            name="heat_load",
            title="Heat load",
            value=f"{number:.0f} °F·d",
            number=number,
            origin="",
        )
        lawn = sample_plan().lawns[0].model_copy(update={"conditions": (heat,)})
        rows = view(sample_plan(lawns=(lawn,))).stands[0].rows
        assert any(row.label == "Heat load" for row in rows) == told


def test_each_source_of_what_is_advised_stands_once() -> None:
    """Those of what waits are on the season page."""
    digest = view(with_actions((barrier(), waiting()), (barrier(), waiting())))
    assert [row.label for row in digest.sources] == ["spring-barrier"]


def test_lawns_beyond_the_top_have_their_amount_with_the_steps() -> None:
    lawns = tuple(
        sample_plan()
        .lawns[0]
        .model_copy(update={"name": f"l{n}", "title": f"Lawn {n}", "actions": (barrier(),)})
        for n in range(6)
    )
    digest = view(sample_plan(lawns=lawns))
    assert digest.hero[-1].text == "2 more, below"
    assert [row.label.split(",")[0] for row in digest.doing[0].amounts] == ["Lawn 4", "Lawn 5"]


@pytest.mark.parametrize("verdict", [Verdict.APPLY, Verdict.WATER])
def test_until_of_an_open_window_is_no_evidence_for_it(verdict: Verdict) -> None:
    action = barrier().model_copy(update={"verdict": verdict})
    assert all("soon" not in line for line in evidence.lines(action))


COMMON = st.lists(st.text("abcdef ", min_size=1).map(str.strip), unique=True, max_size=7)


@given(COMMON, st.lists(st.sets(st.integers(0, 6)), min_size=1, max_size=4))
def test_merged_steps_lose_nothing_and_keep_each_order(
    steps: list[str], kept: list[set[int]]
) -> None:
    """Each lawn's steps are there, in its own order, told plainly or with its name in front."""
    steps = [step for step in steps if step]
    lists = [
        (f"L{n}", tuple(step for place, step in enumerate(steps) if place in own))
        for n, own in enumerate(kept)
    ]
    merged = together.steps(lists)
    for name, own in lists:
        mine = [
            line.rpartition(": ")[2]
            for line in merged
            if ": " not in line or name in line.partition(": ")[0]
        ]
        assert mine == list(own)


def test_second_step_of_a_kind_stays_a_step_of_its_own() -> None:
    merged = together.steps(
        [("A", ("Wait 2 days.", "Wait 3 days.")), ("B", ("Wait 2 days.", "Wait 4 days."))]
    )
    assert merged == ("Wait 2 days.", "Wait 3 days (A) or 4 days (B).")


def test_what_could_not_be_told_alike_is_said_once() -> None:
    plan = sample_plan()
    why = "“humidity” is not known"
    alike = [Unknown(lawn=None, what=f"Feeding on {name}", why=why) for name in ("front", "back")]
    rows = view(plan.model_copy(update={"unknown": tuple(alike)})).unknown
    assert [row.label for row in rows] == ["Feeding on front and Feeding on back"]
    waits = waiting().model_copy(update={"because": f"Cannot tell: {why}."})
    told = with_actions((waits,), ())
    assert view(told.model_copy(update={"unknown": tuple(alike)})).unknown == ()


def test_that_nothing_else_suits_is_said_once_for_all() -> None:
    """Two lawns without a second choice, for two reasons; what has to be written down stays."""

    def told(*texts: str) -> str:
        each = [
            (watering().model_copy(
                update={"second": SecondChoice(text=t, say_first=t == SAY_FIRST)}
            ),)
            for t in texts
        ]  # fmt: skip
        (part,) = view(with_actions(*each)).doing
        return next(row.text for row in part.facts if row.label == "If that does not work")

    assert told("no day suits", "no permitted hours come before Saturday") == NONE_BESIDE
    assert SAY_FIRST in told("no day suits", SAY_FIRST)


def test_the_check_of_a_second_choice_is_said_once_for_all() -> None:
    """Where lawns differ too, and where one of them has none."""

    def told(*seconds: SecondChoice) -> str:
        each = [(watering().model_copy(update={"second": second}),) for second in seconds]
        (part,) = view(with_actions(*each)).doing
        return next(row.text for row in part.facts if row.label == "If that does not work")

    on = watering().day
    assert on is not None
    first, later = (
        SecondChoice(day=on + timedelta(n), start="04:00", end="08:00", text="x") for n in (1, 2)
    )
    for others in ((first, later), (first, first), (first, SecondChoice(text="no day suits."))):
        text = told(*others)
        assert text.count("same check") == 1
        assert text.endswith("; the same check holds that morning")
        assert ".;" not in text


def test_one_thing_is_told_in_the_singular() -> None:
    assert [applications_text(n) for n in (0, 1, 2)] == [
        "0 applications", "1 application", "2 applications",
    ]  # fmt: skip


@pytest.mark.parametrize(("on", "folded"), [(date(2026, 8, 9), True), (date(2026, 11, 8), False)])
def test_a_window_that_cannot_open_for_two_months_is_told_in_one_line(
    on: date, folded: bool
) -> None:
    shut = Evidence(
        text="daylight is lengthening", keyword="while", value="shortening",
        limit="lengthening", holds=False, margin=None, origin="the sun",
    )  # fmt: skip
    far = waiting().model_copy(update={"evidence": (shut,), "look_again": None, "flag": ""})
    plan = with_actions((far,), (far,)).model_copy(update={"on": on, "next": ()})
    (wait,) = view(plan).waits
    assert (wait.title == "Not before Mon Dec 21") is folded
    if folded:
        assert wait.why == "Spring feed, both lawns."
    noted = far.model_copy(update={"flag": "The window closes soon."})
    plan = with_actions((noted,), ()).model_copy(update={"on": on, "next": ()})
    assert view(plan).waits[0].flag == "The window closes soon."
