"""When turf insects reach a stage, by degree-days: timing and pressure, never a diagnosis.

A lawn has an insect when somebody has found it there. Where the source gives no total that we have
read, the row says so and every stage is unknown.
"""

from __future__ import annotations

from advisor.turf.stages import AirHeat, Mark, SoilTurn, Timetable, Trust


def _f(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


BLACK_TURFGRASS_ATAENIUS = AirHeat(
    "black turfgrass ataenius, eggs of the overwintered adults",
    13.0,
    None,
    "simple",
    (3, 1),  # from memory: 1 March to 1 April
    Timetable(
        "Wegner and Niemczyk 1981: 100 to 150 C d",
        may_begin=Mark(100.0, Trust.READ),
        told_to=150.0,
    ),
)

BLUEGRASS_BILLBUG = AirHeat(
    "bluegrass billbug, adults, eastern states",
    10.0,
    None,
    "simple",
    (3, 1),
    Timetable(
        "extension, eastern states: first adults 280 to 352 F d, 30 % 560 to 624, larvae 925 to "
        "1035 (the last two from memory)",
        may_begin=Mark(280 / 1.8, Trust.READ),
        major=Mark(560 / 1.8, Trust.MEMORY),
        over=Mark(925 / 1.8, Trust.MEMORY),
        told_to=1035 / 1.8,
    ),
)
"""Its over means that most have become larvae in the plant."""

BILLBUGS_UTAH = AirHeat(
    "billbugs, adults, Utah",
    5.0,
    None,
    "simple",
    (1, 13),
    Timetable(
        "Ramirez and Dupuy 2015: first 39 to 111 C d, 30 % 459 to 484, peak 768 to 838",
        may_begin=Mark(39.0, Trust.READ),
        major=Mark(459.0, Trust.READ),
        told_to=838.0,
    ),
)

BILLBUG_SOIL = SoilTurn(
    "bluegrass billbug, adults about, Virginia orchardgrass",
    0.0254,
    1,
    (1, 1),
    Timetable(
        "extension, Virginia: adults active at 67 to 69 F",
        may_begin=Mark(_f(67), Trust.READ),
        told_to=_f(69),
    ),
)

JAPANESE_BEETLE = AirHeat(
    "Japanese beetle, adults",
    10.0,
    _f(100),
    "sine",
    (1, 1),
    Timetable(
        "extension, at second hand: traps catch from about 921 F d, first adults about 971",
        may_begin=Mark(921 / 1.8, Trust.SECOND_HAND),
        told_to=971 / 1.8,
    ),
)

JAPANESE_BEETLE_MINNESOTA = AirHeat(
    "Japanese beetle, a tenth of the catch",
    15.0,
    21.7,
    "modified",  # "simple average" with an upper limit; that it holds both ends is our reading
    (1, 1),
    Timetable(
        "Ebbenga, Hanson, Burkness and Hutchison 2022, Frontiers in Insect Science 2: limits and "
        "biofix read, its total not"
    ),
)

MASKED_CHAFERS = AirHeat(
    "masked chafers, pupae",
    10.8,
    None,
    "simple",
    (1, 1),
    Timetable("extension, Kentucky: threshold of pupation; no total, eggs hatch by early August"),
)

INSECTS = (
    BLACK_TURFGRASS_ATAENIUS,
    BLUEGRASS_BILLBUG,
    BILLBUGS_UTAH,
    JAPANESE_BEETLE,
    JAPANESE_BEETLE_MINNESOTA,
    MASKED_CHAFERS,
)
"""All rows that run on air; `stages` of each tells how far it has come."""
