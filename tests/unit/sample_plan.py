"""A full plan for an invented place, so that tests of the digest need nothing that decides."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

from advisor.plan.model import (
    Action,
    Ask,
    Condition,
    DayAhead,
    Delivery,
    Dose,
    Evidence,
    Headline,
    LawnPlan,
    Next,
    Plan,
    SecondChoice,
    SiteName,
    Unknown,
    Verdict,
    Weather,
)

ON = date(2026, 4, 8)


def sample_dose() -> Dose:
    return Dose(
        product="spring-granules",
        title="Spring granules",
        analysis="24-0-6",
        amount=2.45,
        amount_unit="kg",
        amount_text="5.4 lb",
        area_m2=334.5,
        area_text="3,600 ft2, the lawn less a 10 ft strip along the pond",
        rate_text="1.5 lb/1000 ft2",
        limited_by="what the year has left of nitrogen",
        delivers=(
            Delivery(substance="nitrogen", g_per_m2=1.76, text="0.36 lb/1000 ft2 of nitrogen"),
            Delivery(substance="prodiamine", g_per_m2=0.04, text="0.5 lb/acre of prodiamine"),
        ),
        steps=(
            "Weigh half, 2.7 lb, and set the spreader low. Wear gloves and closed shoes.",
            "Walk the lawn north to south, then the other half east to west. Keep 10 ft from"
            " the pond.",
            "Sweep what lies on the path back onto the grass: it must not reach a drain.",
            "Water it in with 0.5 in within two days. Keep children and pets off until it is dry.",
        ),
    )


def barrier() -> Action:
    return Action(
        id="front-pre-emergent-1",
        task="pre-emergent",
        title="Spring barrier against weeds",
        verdict=Verdict.APPLY,
        rule="spring-barrier",
        because="Soil at 2 in has averaged 52.1 F; crabgrass sprouts from about 53 F.",
        reasons=("It feeds a little too, so no other feed is needed until June.",),
        evidence=(
            Evidence(
                text="warmth at least 50 F",
                about="warmth",
                bound="50 F",
                value="52.1 F",
                limit="at least 50 F",
                holds=True,
                margin="2.1 F above",
                origin="forecast model, corrected by your probe of Mon Apr 6",
            ),
            Evidence(
                text="days since pre-emergent more than 120 days",
                about="days since pre-emergent",
                bound="120 days",
                value="at least 190 days",
                limit="more than 120 days",
                holds=True,
                margin="70 days above",
                origin="journal",
            ),
            Evidence(
                text="soon more than 0.5 in",
                about="soon",
                bound="0.5 in",
                value="0.08 in",
                limit="more than 0.5 in",
                holds=False,
                margin="0.42 in below",
                origin="forecast",
            ),
        ),
        day=date(2026, 4, 9),
        start="07:00",
        end="10:00",
        closes=date(2026, 4, 25),
        go_line="Go if the grass is dry and no rain over 0.5 in is due within a day.",
        chosen=(
            "Thu Apr 9 is the first open day that nothing holds. Wed Apr 8 is not it: rain.",
            "07:00 to 10:00: the calmest dry hours, 5 at the most, with wind of 4 mph.",
        ),
        second=SecondChoice(
            day=date(2026, 4, 11), start="08:00", end="12:00", text="Sat Apr 11, 08:00 to 12:00"
        ),
        dose=sample_dose(),
        cautions=(
            "Keep children and pets off until it is dry.",
            "Read the label to its end before you open the bag.",
        ),
        source="regional extension calendar for cool-season lawns",
    )


def watering() -> Action:
    return Action(
        id="front-watering-1",
        task="watering",
        title="Watering",
        verdict=Verdict.WATER,
        rule="refill",
        because="The root zone lacks 0.61 in and no rain is due before Sunday.",
        evidence=(
            Evidence(
                text="depletion more than stress_line",
                about="depletion",
                bound="0.55 in",
                value="0.61 in",
                limit="more than 0.55 in",
                holds=True,
                margin="0.06 in above",
                origin="water balance since Wed Apr 1",
            ),
        ),
        day=date(2026, 4, 11),
        start="05:00",
        end="07:30",
        water_mm=12.7,
        water_text="0.5 in, 42 minutes in two turns",
        cautions=("Your district allows watering on Wednesday and Saturday only.",),
        source="FAO Irrigation and Drainage Paper 56",
    )


def waiting() -> Action:
    return Action(
        id="back-feed-1",
        task="feed",
        title="Spring feed",
        verdict=Verdict.WAIT,
        rule="downpour",
        because="1.2 in may follow within a day and carry it off.",
        evidence=(
            Evidence(
                text="growth at least 0.4",
                about="growth",
                bound="0.4",
                value=None,
                limit="at least 0.4",
                holds=None,
                margin=None,
                origin="two days of the air temperature are missing",
            ),
        ),
        look_again=date(2026, 4, 13),
        flag="The window closes on Apr 30; two dry days are needed before then.",
        source="common practice, no source",
    )


def sample_days() -> tuple[DayAhead, ...]:
    """A week of which the third day has no good hours."""
    rain = (0, 0.08, 0, 0, 1.2, 0.3, 0)
    return tuple(
        DayAhead(
            day=ON + timedelta(n),
            low=f"{41 + n} F",
            high=f"{60 + 2 * n} F",
            rain=f"{rain[n]:.2f} in",
            rain_chance=f"{(5, 30, 10, 10, 85, 60, 15)[n]} %",
            wind=f"{6 + n} mph",
            low_c=(9 + n) / 1.8,
            high_c=(28 + 2 * n) / 1.8,
            rain_mm=25.4 * rain[n],
            wind_m_s=(6 + n) * 0.44704,
            start=None if n == 2 else "08:00",
            end=None if n == 2 else "13:00",
        )
        for n in range(7)
    )


def sample_lawns() -> tuple[LawnPlan, ...]:
    return (
        LawnPlan(
            name="front",
            title="Front lawn",
            grass="tall-fescue",
            grass_class="cool-season",
            area_text="4,000 ft2",
            state="greening-up",
            conditions=(
                Condition(
                    name="soil_temp",
                    title="Soil at 2 in",
                    value="52.1 F",
                    number=11.2,
                    unit="C",
                    origin="model and probe",
                ),
                Condition(
                    name="water_left",
                    title="Water left in the root zone",
                    value="46 %",
                    number=0.46,
                    origin="water balance",
                    estimate=True,
                ),
            ),
            actions=(barrier(), watering()),
            notes=("Mow at 3 in; it has grown 1 in since Apr 3.",),
        ),
        LawnPlan(
            name="back",
            title="Back lawn under the limes",
            grass="fine-fescue",
            grass_class="cool-season",
            area_text="1,850 ft2",
            state="active",
            conditions=(
                Condition(
                    name="soil_temp",
                    title="Soil at 2 in",
                    value="49.6 F",
                    number=9.8,
                    unit="C",
                    origin="model",
                    estimate=True,
                ),
            ),
            actions=(waiting(),),
        ),
    )


def sample_plan(**changes: Any) -> Plan:
    """A plan with at least one of everything; `changes` replace fields of it, unchecked."""
    plan = Plan(
        site=SiteName(id="tern-hollow", title="Tern Hollow", zone="America/Chicago", units="us"),
        on=ON,
        decided_at=datetime(2026, 4, 8, 11, 0, tzinfo=UTC),
        cannot_tell=False,
        weather=Weather(
            provider="the Almswick weather office",
            attribution="Weather data by the Almswick weather office, CC BY 4.0.",
            attribution_url="https://weather.example/licence",
            fetched_at=datetime(2026, 4, 8, 8, 40, tzinfo=UTC),
            age_hours=2.3,
            stale=False,
            forecast_to=date(2026, 4, 18),
        ),
        headline=Headline(
            verdict=Verdict.APPLY,
            task="pre-emergent",
            lawn="front",
            day=date(2026, 4, 9),
            start="07:00",
            end="10:00",
            text="Apply: spring barrier, Front lawn, Thu Apr 9, 07:00 to 10:00. Soil at 2 in has"
            " averaged 52.1 F; crabgrass sprouts from about 53 F.",
            claim="spring barrier, Front lawn, Thu Apr 9, 07:00 to 10:00",
            because="Soil at 2 in has averaged 52.1 F; crabgrass sprouts from about 53 F.",
            subject="Apply: spring barrier, Thu Apr 9 and 1 more",
        ),
        lawns=sample_lawns(),
        days=sample_days(),
        ask=(
            Ask(
                lawn="back",
                lawn_title="Back lawn under the limes",
                task="iron",
                advised_on=date(2026, 4, 1),
                day=date(2026, 4, 3),
                text="Did you put down 2 lb of iron?",
                answers=(
                    "2026-04-03  back  applied 2 lb of greening-iron",
                    "2026-04-03  back  skipped iron",
                    "2026-04-03  back  not yet iron",
                ),
            ),
        ),
        next=(
            Next(
                lawn="front",
                lawn_title="Front lawn",
                task="grub-preventive",
                text="Grub preventive; buy it before the end of May",
                likely=date(2026, 6, 12),
                earliest=date(2026, 6, 2),
                latest=date(2026, 6, 24),
            ),
        ),
        unknown=(
            Unknown(
                lawn="back",
                what="days since wetting agent",
                why="the journal begins on Sun Mar 1 and names none before that",
            ),
        ),
        problems=(
            "journal.txt:14:13: there is no product “sping-granules”\n"
            "    2026-04-05  front   applied 5 lb of sping-granules\n"
            "                                       ^^^^^^^^^^^^^^\n"
            "  Did you mean “spring-granules”?",
        ),
        next_digest=date(2026, 4, 15),
    )
    return plan.model_copy(update=changes)
