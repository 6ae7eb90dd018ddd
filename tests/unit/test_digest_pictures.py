"""Pictures of soil, water and nutrients: they say what the data say, for every eye."""

from __future__ import annotations

import re
import zlib
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date, timedelta
from gettext import NullTranslations
from io import BytesIO
from itertools import combinations, pairwise
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import plan_cases as case
import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st
from past_years import ten_years
from PIL import Image

import advisor
from advisor.digest.drawing import INKS, Drawing
from advisor.digest.lettering import Room, Spot, text_width
from advisor.digest.nutrient_picture import nutrient_picture, used_by
from advisor.digest.palette import with_palette
from advisor.digest.pictures import Picture, pictures
from advisor.digest.plot import SIZE, round_steps
from advisor.digest.png import FAMILY, png
from advisor.digest.soil_picture import soil_picture
from advisor.digest.water_picture import water_picture
from advisor.language import words
from advisor.plan.compose import make_plan
from advisor.plan.curves_model import LawnCurves, NutrientCurve, SoilCurve, Threshold, WaterCurve
from advisor.plan.model import Plan

SVG = "{http://www.w3.org/2000/svg}"
FONTS = Path(advisor.__file__).parent / "digest" / "fonts"
TODAY = date(2026, 4, 1)
DAYS = tuple(TODAY + timedelta(n) for n in range(-10, 6))


def font(bold: bool) -> TTFont:
    return TTFont(FONTS / f"SwardcastSans-{'Bold' if bold else 'Regular'}.ttf")


FONT = {bold: font(bold) for bold in (False, True)}
CMAP = {bold: FONT[bold].getBestCmap() for bold in FONT}
ADVANCE = {bold: FONT[bold]["hmtx"].metrics for bold in FONT}


def real_width(said: str, size: float, bold: bool) -> float:
    """The width of words by the font file's own advances; ValueError for a letter it has not."""
    return sum(ADVANCE[bold][CMAP[bold][ord(letter)]][0] for letter in said) / 2048 * size


def soil(values: list[float | None], *thresholds: Threshold) -> SoilCurve:
    known = tuple(values)
    return SoilCurve(
        depth_m=0.0508, days=DAYS, low_c=known, high_c=known,
        coldest_c=tuple(v if v is None else v - 3 for v in known),
        warmest_c=tuple(v if v is None else v + 3 for v in known),
        thresholds=thresholds,
    )  # fmt: skip


BARRIER = Threshold(
    task="pre-emergent", rule="spring-barrier", setting="barrier-soil", celsius=10.0,
    wants="at least", shuts=False,
)  # fmt: skip


def finding(picture: Picture | None) -> str:
    assert picture is not None
    return picture.finding


def test_soil_says_since_when() -> None:
    """By hand: 8 C (46 F) for five days, then 11 C (52 F), and 13 C (55 F) at the end."""
    warm = [8.0] * 5 + [11.0] * 10 + [13.0]
    assert finding(soil_picture(soil(warm, BARRIER), TODAY, "us")) == (
        "Soil at 2 in: 52 °F today. Weed barrier from 50 °F: the soil has been warmer since Mar 27."
        " 55 °F expected by Apr 6. Since Mar 22 the days' means lay between 46 °F and 52 °F."
    )
    cold = [8.0] * 14 + [11.0, 11.0]
    said = finding(soil_picture(soil(cold, BARRIER), TODAY, "metric"))
    assert (
        "Weed barrier from 10.0 °C: the soil has been colder since 22 Mar, and by the forecast is"
        " warmer on 5 Apr."
    ) in said
    assert said.startswith("Soil at 5 cm: 8.0 °C today.")


def test_soil_with_holes() -> None:
    """A day that is not known parts the line, and may have been on the other side."""
    holes: list[float | None] = [11.0] * 16
    holes[4] = holes[5] = None
    picture = soil_picture(soil(holes, BARRIER), TODAY, "us")
    said = finding(picture)
    assert "2 days in between are not known." in said
    assert "the soil has been warmer since Mar 28." in said
    assert picture is not None
    strokes = [e for e in shapes(picture, "polyline") if "s-soil" in e.attrib["class"]]
    assert max(len(e.attrib["points"].split()) for e in strokes) < 11
    gone: list[float | None] = [11.0] * 10 + [None] * 6
    said = finding(soil_picture(soil(gone), TODAY, "us"))
    assert said.startswith("Soil at 2 in: today's temperature is not known.")
    assert "The days ahead are not known." in said
    assert soil_picture(soil([None] * 16), TODAY, "us") is None


def water(**changed: object) -> WaterCurve:
    many = (0.0,) * 16
    plain = {
        "days": DAYS, "depletion_low_mm": (5.0,) * 16, "depletion_high_mm": (5.0,) * 16,
        "stress_line_mm": (20.0,) * 16, "total_mm": 45.0, "rain_low_mm": many,
        "rain_high_mm": many, "irrigation_mm": many, "perhaps_mm": many, "planned_mm": many,
    }  # fmt: skip
    return WaterCurve.model_validate(plain | changed)


def row(**by_day: float) -> tuple[float, ...]:
    """Amounts by day from today on: d3=2.0, m2 is two days ago."""
    places = {int(name.replace("d", "").replace("m", "-")) + 10: mm for name, mm in by_day.items()}
    return tuple(places.get(i, 0.0) for i in range(16))


def test_water_says_its_sums() -> None:
    rain = row(m5=12.0, m2=3.0, d0=1.0, d4=2.5)
    curve = water(rain_low_mm=rain, rain_high_mm=rain, irrigation_mm=row(m8=10.0),
                  planned_mm=row(d2=8.0, d4=6.0))  # fmt: skip
    assert finding(water_picture(curve, TODAY, "metric")) == (
        "The root zone lacks 5.0 mm today; stress begins at 20.0 mm. Since 22 Mar: 15.0 mm of rain"
        " and 10.0 mm from sprinklers. Forecast up to 6 Apr: 3.5 mm of rain. Planned: 14.0 mm of"
        " water, first on 3 Apr. The grass does not come to lack water in that time."
    )


def test_water_says_what_is_not_known() -> None:
    high = tuple(5.0 + max(0, n - 9) * 3.5 for n in range(16))
    bound = (*(0.0,) * 4, None, *(0.0,) * 11)
    curve = water(depletion_high_mm=high, rain_high_mm=bound, perhaps_mm=row(m3=9.0))
    picture = water_picture(curve, TODAY, "metric")
    said = finding(picture)
    assert "lacks 5.0 mm to 8.5 mm today" in said
    assert "at least 0.0 mm of rain, some hours being unknown" in said
    assert "9.0 mm more was advised, and nobody said whether it was given." in said
    assert "The grass may lack water from 5 Apr on." in said
    assert picture is not None
    assert "?" in [text for text, *_ in texts(picture)]
    gone = (None,) * 16
    assert water_picture(water(depletion_low_mm=gone), TODAY, "us") is None
    half = (*(5.0,) * 9, *(None,) * 7)
    said = finding(water_picture(water(depletion_low_mm=half, depletion_high_mm=half), TODAY, "us"))
    assert said.startswith("How much water the root zone lacks today is not known.")


def nitrogen(*put_down: tuple[date, float | None, str], **changed: object) -> NutrientCurve:
    done = sum(grams or 0 for _, grams, sure in put_down if sure == "done")
    perhaps = sum(grams or 0 for _, grams, sure in put_down if sure == "perhaps done")
    plain = {
        "substance": "nitrogen", "year": 2026, "limit_g_m2": 15.0, "limit_by": "owner",
        "put_down": [{"day": d, "g_per_m2": g, "certainty": c} for d, g, c in put_down],
        "low_g_m2": done, "high_g_m2": done + perhaps, "days": (), "curve_g_m2": (),
    }  # fmt: skip
    return NutrientCurve.model_validate(plain | changed)


EVENTS = (
    (date(2026, 3, 2), 4.0, "done"),
    (date(2026, 3, 28), 2.0, "perhaps done"),
    (date(2026, 4, 4), 3.0, "planned"),
)


def test_nutrients_say_what_was_put_down() -> None:
    said = finding(nutrient_picture((nitrogen(*EVENTS),), TODAY, "metric"))
    assert said == (
        "Nitrogen put down in 2026: 4.0 g/m², with what was perhaps done 6.0 g/m², of at most 15.0"
        " g/m². 3.0 g/m² of nitrogen is planned for 4 Apr. What usual growth uses is not known:"
        " there are too few past years."
    )
    known = nitrogen(EVENTS[0], days=(date(2026, 3, 31), date(2026, 4, 30)), curve_g_m2=(1.0, 4.0))
    assert "Usual growth has used 1.1 g/m² by now." in finding(
        nutrient_picture((known,), TODAY, "metric")
    )
    vague = nitrogen((date(2026, 3, 2), None, "done"), high_g_m2=None)
    assert "Nitrogen put down in 2026: nobody knows how much, of at most 15.0 g/m²." in finding(
        nutrient_picture((vague,), TODAY, "metric")
    )


def test_phosphorus_stands_below_where_law_limits_it() -> None:
    law = nitrogen(substance="phosphorus", limit_g_m2=1.0, limit_by="law", low_g_m2=0.4,
                   high_g_m2=0.4)  # fmt: skip
    picture = nutrient_picture((nitrogen(), law), TODAY, "metric")
    assert picture is not None
    assert "Phosphorus put down in 2026: 0.4 g/m² of at most 1.0 g/m²." in picture.finding
    assert "phosphorus 0.4 g/m² of 1.0 g/m²" in [text for text, *_ in texts(picture)]
    used, all_ = (float(e.attrib["width"]) for n in ("f-other", "f-grid")
                  for e in shapes(picture, "rect") if e.attrib["class"] == n)  # fmt: skip
    assert used / all_ == pytest.approx(0.4, abs=1e-3)
    assert nutrient_picture((), TODAY, "us") is None


def test_growth_between_the_ends_of_months() -> None:
    """On a straight line: half of March after 15.5 of its 31 days."""
    ends = (date(2026, 1, 31), date(2026, 2, 28), date(2026, 3, 31))
    curve = nitrogen(days=ends, curve_g_m2=(0.0, 1.0, 4.1))
    assert used_by(curve, date(2026, 2, 28)) == pytest.approx(1.0)
    assert used_by(curve, date(2026, 3, 10)) == pytest.approx(2.0)
    assert used_by(curve, date(2026, 4, 1)) is None


# All that a digest may show, in more than one language.


class Longer(NullTranslations):
    """A language whose words have accents and are longer by two fifths."""

    def gettext(self, message: str) -> str:
        parts = re.split(r"(\{[^}]*\})", message)
        accents = str.maketrans("aeioucnszAEIOU", "äéïöüčñšžÄÉÏÖÜ")
        out = "".join(p if p.startswith("{") else p.translate(accents) for p in parts)
        letters = sum(len(p) for p in parts if not p.startswith("{"))
        return out + "ßèlôngêrwördsånd"[: max(1, int(0.4 * letters))]

    def ngettext(self, one: str, other: str, n: int) -> str:
        return self.gettext(one if n == 1 else other)

    def pgettext(self, _context: str, message: str) -> str:
        return self.gettext(message)


def plans() -> Iterator[tuple[str, Plan]]:
    """Spring, a dry spell, holes in the weather, a year's limits by law."""
    lawns = (case.lawn(more=f"{case.GENEROUS}\nirrigated = true"),
             case.lawn("back", grass="bermudagrass"))  # fmt: skip
    journal = (
        "journal from 2026-01-01\n2026-04-20  all  applied 10 lb of granules 28-3-6\n"
        "2026-05-02  all  watered 0.6 in\n2026-05-09  front  watered 0.4 in\n"
    )
    soil_rule = (
        "opens warm-feed for feed\n  while mean of soil_temp at 4 in over the 5 days to it"
        " between 58 F and 70 F\n  says Warm.\n  source made up\n"
    )
    rules = case.book(soil_rule, case.waters())
    rng = np.random.default_rng(3)
    swinging = {n: 14 + 4 * float(np.sin(n / 4)) for n in range(-45, 10)}
    usual = case.weather(
        past=45, rain={-40: 50.0, -20: 20.0, -7: 6.0, 4: 9.0}, soil_temp_0=swinging,
        soil_temp_6=swinging, soil_temp_18=swinging, radiation=rng.uniform(0, 700, 45 * 24 + 240),
    )  # fmt: skip
    hole = {-22: np.nan, -21: np.nan, -9: np.nan}
    holes = case.weather(
        past=45, rain={-30: 9.0}, air_temp=hole, soil_temp_0=hole, soil_temp_6=hole
    )
    holes.columns["rain"][24 * 20 : 24 * 26] = np.nan
    law = (
        '[[ordinance]]\ntitle = "Made-up rule"\nnitrogen_year = "2 lb/1000 ft2"\n'
        'phosphate_year = "0.5 lb/1000 ft2"\n'
    )
    asked = [
        case.advice(case.TODAY - timedelta(4), task="watering", product=None, amount=11.0),
        case.advice(case.TODAY - timedelta(2)),
    ]
    for units in ("us", "metric"):
        read = case.files(*lawns, journal=journal, units=units)
        yield (
            f"{units} usual",
            make_plan(replace(case.given(read, rules, usual), past=ten_years()), case.NOW),
        )
        yield f"{units} holes", case.decide(read, rules, holes, asked)
        under = case.files(*lawns, journal="journal from 2026-03-01\n", more=law, units=units)
        yield f"{units} law", case.decide(under, rules, usual, asked)


PLANS = dict(plans())


@pytest.fixture(params=["en", "longer"])
def language(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    if request.param == "longer":
        monkeypatch.setattr(words, "_catalogue", lambda _language: Longer())
        return "de"
    return "en"


def drawn(plan: Plan, language: str) -> Iterator[Picture]:
    site = plan.site.model_copy(update={"language": language})
    spoken = plan.model_copy(update={"site": site})
    for lawn in plan.lawns:
        yield from pictures(spoken, lawn.name)


def shapes(picture: Picture, name: str, ground: str = "light") -> list[ElementTree.Element]:
    return list(ElementTree.fromstring(picture.drawing.svg(ground)).iter(SVG + name))


def texts(picture: Picture) -> Iterator[tuple[str, float, float, float, float, float]]:
    """Each text with the box that the font of the PNG gives it, and its size."""
    for element in shapes(picture, "text"):
        said, size = element.text or "", float(element.attrib["font-size"])
        bold = element.attrib.get("font-weight") == "bold"
        width = real_width(said, size, bold)
        at = {"start": 0.0, "middle": width / 2, "end": width}[element.attrib["text-anchor"]]
        x, y = float(element.attrib["x"]) - at, float(element.attrib["y"])
        # Capital height and descender of DejaVu Sans: 0.73 and 0.24 of the size.
        yield said, x, y - 0.73 * size, x + width, y + 0.24 * size, size


@pytest.mark.parametrize("name", PLANS)
def test_words_cover_no_words(name: str, language: str) -> None:
    """Measured with the font's own advances; all lie within the picture and are large enough."""
    found = list(drawn(PLANS[name], language))
    assert len(found) == 6
    for picture in found:
        boxes = list(texts(picture))
        assert len(boxes) >= 7
        for said, left, top, right, bottom, size in boxes:
            assert size >= 12, said
            assert left >= 0, said
            assert right <= picture.drawing.width == 360, said
            assert 0 <= top < bottom <= picture.drawing.height, said
        for one, other in combinations(boxes, 2):
            apart = (
                one[1] >= other[3] or other[1] >= one[3] or one[2] >= other[4] or other[2] >= one[4]
            )
            assert apart, (picture.name, one, other)


@pytest.mark.parametrize("name", PLANS)
def test_each_ground_is_a_document_of_its_own(name: str, language: str) -> None:
    """Well-formed, with its finding, and nothing that is loaded or run."""
    for picture in drawn(PLANS[name], language):
        for ground in ("light", "dark", "both"):
            svg = picture.drawing.svg(ground)
            root = ElementTree.fromstring(svg)
            assert root.attrib["aria-label"] == picture.finding
            assert root.findtext(SVG + "desc") == picture.finding
            assert not re.search(r"href|url\(|<script|<image|@import|foreignObject|\son\w+=", svg)
            assert ("@media" in svg) == (ground == "both")
            assert "{" not in picture.finding


@pytest.mark.parametrize("name", PLANS)
def test_no_fact_is_in_a_picture_alone(name: str) -> None:
    """Each quantity that a picture has beside a line, its finding has too, or the axis."""
    for picture in drawn(PLANS[name], "en"):
        if picture.name == "water":
            continue  # its bars bear the amount of a day, the finding their sum
        for said, *_ in texts(picture):
            number = re.search(r"\d+(\.\d+)? (°F|°C|lb/1000 ft²|g/m²)$", said)
            if number and said != number.group():
                assert number.group() in picture.finding, said


def test_an_owner_s_words_are_not_in_it() -> None:
    """Scripts that the font lacks, and markup, stay outside: no title of a lawn is drawn."""
    title = "Rasen <b> 芝生"
    read = case.files(case.lawn(more=f'{case.GENEROUS}\ntitle = "{title}"'))
    for picture in pictures(case.decide(read), "front"):
        svg = picture.drawing.svg()
        assert "芝" not in svg + picture.finding + picture.title
        assert "Rasen" not in svg


def test_no_curves_no_pictures() -> None:
    plan = case.without_weather(case.files())
    assert pictures(plan, "front") == ()
    assert pictures(case.decide(), "elsewhere") == ()


# Colours.

# Machado, Oliveira and Fernandes (2009), IEEE TVCG 15(6), severity 1.0, linear RGB; from memory.
# The rows of each add up to one, as those of the paper do: white stays white.
SIGHT = {
    "usual": np.eye(3),
    "protanopia": np.array([[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216],
                            [-0.003882, -0.048116, 1.051998]]),
    "deuteranopia": np.array([[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413],
                              [-0.011820, 0.042940, 0.968881]]),
    "tritanopia": np.array([[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602],
                            [0.004733, 0.691367, 0.303900]]),
    "none": np.tile([0.2126, 0.7152, 0.0722], (3, 1)),
}  # fmt: skip


def linear(colour: str) -> np.ndarray:
    parts = np.array([int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)])
    return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


def seen(ink: str, which: int, sight: str) -> np.ndarray:
    return np.clip(SIGHT[sight] @ linear(INKS[ink][which]), 0, 1)


def luminance(rgb: np.ndarray) -> float:
    return float(rgb @ [0.2126, 0.7152, 0.0722])


def contrast(one: np.ndarray, other: np.ndarray) -> float:
    """WCAG 2.2, definition of contrast ratio."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def lab(rgb: np.ndarray) -> np.ndarray:
    """CIE L*a*b* under D65, from linear sRGB (IEC 61966-2-1)."""
    matrix = np.array(
        [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
    )
    t = matrix @ rgb / np.array([0.9505, 1.0, 1.089])
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


TEXT_ON = [
    *((ink, ground) for ink in ("ink", "faint", "soil", "apply", "water", "other")
      for ground in ("ground", "ahead")),
    ("water", "tank"), ("stress", "tank"), ("stress", "maybe"), ("water", "maybe"),
]  # fmt: skip
"""Words, and the ground or rim that they stand on."""


@pytest.mark.parametrize("which", [0, 1], ids=["light", "dark"])
def test_contrast(which: int) -> None:
    """WCAG 2.2: 4.5 to 1 for words (1.4.3), 3 to 1 for a graphic (1.4.11), to any eye."""
    for ink, ground in TEXT_ON:
        assert contrast(seen(ink, which, "usual"), seen(ground, which, "usual")) >= 4.5, (
            ink,
            ground,
        )
        for sight in SIGHT:
            assert contrast(seen(ink, which, sight), seen(ground, which, sight)) >= 3, (ink, sight)
    for ink, band in (("soil", "soil-band"), ("apply", "apply-band"), ("ink", "soil-band")):
        for sight in SIGHT:
            assert contrast(seen(ink, which, sight), seen(band, which, sight)) >= 3, (ink, sight)


BESIDE = {
    "soil": [("soil", "ink")],
    "water": [("water", "stress"), ("water", "other"), ("other", "stress")],
    "nutrients": [("apply", "ink"), ("apply", "faint"), ("faint", "ink")],
}
"""Inks of lines and bars that a picture has side by side."""


@pytest.mark.parametrize("which", [0, 1], ids=["light", "dark"])
def test_eyes_that_see_fewer_colours(which: int) -> None:
    """Inks of one picture differ by 10 in CIE L*a*b* to eyes that lack one sort of cones (2.3 is
    just noticed: Mahy, Van Eycken and Oosterlinck 1994), or else their shapes do: see below."""
    by_shape = {("water", "other"), ("apply", "faint")}
    for pair in (pair for pairs in BESIDE.values() for pair in pairs):
        for sight in ("usual", "protanopia", "deuteranopia", "tritanopia"):
            one, other = (lab(seen(ink, which, sight)) for ink in pair)
            far = float(np.linalg.norm(one - other))
            assert far >= 10 or pair in by_shape, (pair, sight, far)


def test_shapes_tell_what_colours_do() -> None:
    """Sprinklers have a hat and planned water is hollow; the growth curve is dotted."""
    plan = PLANS["us usual"]
    _, tank, year = pictures(plan, "front")
    hats = [e for e in shapes(tank, "rect") if e.attrib.get("height") == "2"]
    given_ = [mm for mm in plan.curves[0].water.irrigation_mm if mm]
    assert len(hats) == len(given_) == 2
    hollow = [e for e in shapes(tank, "polyline") if e.attrib.get("stroke-dasharray") == "2 1.5"]
    assert len(hollow) == len([mm for mm in plan.curves[0].water.planned_mm if mm]) > 0
    faint = [e for e in shapes(year, "polyline") if e.attrib["class"] == "s-faint"]
    assert any(e.attrib.get("stroke-dasharray") == "1 3.2" for e in faint)


def test_what_is_ahead_looks_different() -> None:
    """The line of the days to come is dashed, on ground of its own."""
    soil_, tank, _ = pictures(PLANS["us usual"], "front")
    for picture, ink in ((soil_, "s-soil"), (tank, "s-water")):
        thick = [e for e in shapes(picture, "polyline")
                 if e.attrib["class"] == ink and float(e.attrib["stroke-width"]) > 2]  # fmt: skip
        assert {"stroke-dasharray" in e.attrib for e in thick} == {True, False}
        assert [e for e in shapes(picture, "rect") if e.attrib["class"] == "f-ahead"]


# Letters and PNG.


def test_the_font_has_every_letter(monkeypatch: pytest.MonkeyPatch) -> None:
    """What pictures say in English, and what German and its neighbours write."""
    used = {letter for plan in PLANS.values() for picture in drawn(plan, "en")
            for said, *_ in texts(picture) for letter in said}  # fmt: skip
    monkeypatch.setattr(words, "_catalogue", lambda _language: Longer())
    used |= {letter for picture in drawn(PLANS["metric law"], "de")
             for said, *_ in texts(picture) for letter in said}  # fmt: skip
    assert len(used) > 50
    for bold in CMAP:
        assert used | set("äöüÄÖÜßéèñç°²–—’“”„…−×·≤≥→↑↓€%½") <= {chr(code) for code in CMAP[bold]}
        names = {str(one) for one in FONT[bold]["name"].names if one.nameID in (1, 3, 4, 6)}
        assert not re.search("vera|bitstream|arev|tavmjong", " ".join(names).lower())
        assert FONT[bold]["name"].getDebugName(1) == FAMILY
        assert "Permission is hereby granted" in (FONT[bold]["name"].getDebugName(13) or "")
    assert sum(path.stat().st_size for path in FONTS.glob("*.ttf")) <= 120 * 1024
    assert "Permission is hereby granted, free of charge" in (FONTS / "LICENSE").read_text("utf-8")


@pytest.mark.parametrize("bold", [False, True])
def test_the_estimate_is_no_less_than_the_font(bold: bool) -> None:
    """Of each letter, but for the sign of a thousandth, which no picture has."""
    for letter in {chr(code) for code in CMAP[bold]} - {"‰"}:
        assert text_width(letter, SIZE, bold) >= real_width(letter, SIZE, bold), letter


def test_png() -> None:
    """A PNG by its signature, 720 pixels across, small, and the same each time."""
    for name, plan in PLANS.items():
        for picture in pictures(plan, "front"):
            for ground in ("light", "dark"):
                svg = picture.drawing.svg(ground)
                made = png(svg)
                assert made.startswith(b"\x89PNG\r\n\x1a\n")
                image = Image.open(BytesIO(made))
                assert image.size == (720, round(2 * picture.drawing.height))
                assert len(made) <= 20 * 1024, (name, picture.name)
                png.cache_clear()
                assert png(svg) == made


def test_words_are_drawn() -> None:
    """Without its font a renderer draws no letter: words darken a picture of nothing else."""
    empty, full = Drawing(360, 40, "t", "f"), Drawing(360, 40, "t", "f")
    full.text(10, 25, "Äöß 56 °F", size=20)
    plain, dark = (
        np.asarray(Image.open(BytesIO(png(one.svg("light")))).convert("L")) for one in (empty, full)
    )
    assert plain.min() == plain.max() == 255
    assert (dark < 128).sum() > 1000
    night = np.asarray(Image.open(BytesIO(png(empty.svg("dark")))).convert("L"))
    assert night.max() < 40


def png_of(image: Image.Image) -> bytes:
    out = BytesIO()
    image.save(out, "PNG")
    return out.getvalue()


@given(st.integers(1, 9), st.integers(1, 9), st.integers(0, 2**32 - 1), st.booleans())
def test_a_palette_keeps_the_pixels(width: int, height: int, seed: int, smooth: bool) -> None:
    """Beside Pillow: with no more colours than the palette holds, every pixel is what it was.
    Pillow chooses among all five filters."""
    rng = np.random.default_rng(seed)
    made = rng.integers(0, 255, (height, width, 4)).astype(np.uint8)
    if smooth:
        made = (np.cumsum(np.cumsum(made % 4, axis=0), axis=1) % 256).astype(np.uint8)
    made[:, :, 3] = 255
    small = with_palette(png_of(Image.fromarray(made)), 256)
    back = np.asarray(Image.open(BytesIO(small)).convert("RGBA"))
    np.testing.assert_array_equal(back, made)


def test_a_palette_of_few_takes_the_nearest() -> None:
    grey = np.zeros((1, 12, 4), dtype=np.uint8)
    grey[0, :, :3] = np.array([0] * 5 + [200] * 5 + [40, 190])[:, None]
    grey[:, :, 3] = 255
    back = np.asarray(
        Image.open(BytesIO(with_palette(png_of(Image.fromarray(grey)), 2))).convert("L")
    )
    assert back[0].tolist() == [0] * 5 + [200] * 5 + [0, 200]


@pytest.mark.parametrize("wrong", [b"", b"GIF89a", zlib.compress(b"x")])
def test_what_is_no_png_is_refused(wrong: bytes) -> None:
    with pytest.raises(ValueError, match="no PNG"):
        with_palette(wrong)
    with pytest.raises(ValueError, match="RGBA"):
        with_palette(png_of(Image.new("L", (2, 2))))


# Places for labels.


def test_a_label_keeps_off_words_and_lines() -> None:
    room = Room((0, 0, 100, 100))
    high, low = Spot(10, 20), Spot(10, 60)
    room.line([(0, 16), (100, 16)])
    assert room.best("abc", [high, low], 12) == low
    assert room.best("abc", [low], 12) is None
    assert room.best("abc", [Spot(95, 20)], 12) is None
    assert room.best("abc", [high], 12) == high


@given(st.floats(-60, 60), st.floats(1, 80), st.integers(3, 5))
def test_round_steps(low: float, width: float, most: int) -> None:
    """A few values of one step, all inside, as many as there is room for of that step."""
    steps = round_steps(low, low + width, most)
    assert len(steps) <= most
    assert all(low - 1e-6 <= step <= low + width + 1e-6 for step in steps)
    assert len({round(b - a, 6) for a, b in pairwise(steps)}) <= 1


@given(st.data())
def test_whatever_is_known_is_drawn(data: st.DataObject) -> None:
    """Any curve makes a picture or none, and the finding tells today's value where it is known."""
    value = st.one_of(st.none(), st.floats(-20, 40).map(lambda one: round(one, 2)))
    values = data.draw(st.lists(value, min_size=16, max_size=16))
    picture = soil_picture(soil(values, BARRIER), TODAY, "metric")
    assert (picture is None) == (sum(one is not None for one in values) < 2)
    if picture is not None:
        ElementTree.fromstring(picture.drawing.svg())
        assert ("today's temperature is not known" in picture.finding) == (values[10] is None)


def test_lawn_curves_are_what_pictures_take() -> None:
    """The plan's own part, read back from its JSON, draws the same."""
    plan = PLANS["metric holes"]
    again = Plan.model_validate_json(plan.model_dump_json(by_alias=True))
    assert isinstance(again.curves[0], LawnCurves)
    draw: Callable[[Plan], list[str]] = lambda p: [o.drawing.svg() for o in pictures(p, "back")]  # noqa: E731
    assert draw(again) == draw(plan)
