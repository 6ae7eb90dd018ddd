"""The season ahead as text, page and picture: nothing said that the document does not say."""

from __future__ import annotations

import re
from datetime import date
from html import unescape
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan_cases import files, granules, lawn, moment
from season_cases import past, season_given

from advisor.digest.ahead_page import render_page
from advisor.digest.ahead_picture import narrow, wide
from advisor.digest.ahead_text import render_ahead
from advisor.digest.ahead_view import season_view
from advisor.digest.words import columns
from advisor.plan.ahead import look_at_season
from advisor.plan.ahead_model import Ahead, Dates

SVG = "{http://www.w3.org/2000/svg}"
BAN = '[[ban]]\ntitle = "Winter rule"\nnutrients = ["nitrogen"]\nfrom = "11-16"\nto = "02-28"\n'
LONG = "A lawn with a title that is a good deal longer than any telephone is wide"


def made() -> Ahead:
    read = files(
        lawn(more=f'title = "{LONG}"'), lawn("back", grass="bermudagrass"),
        shelf=granules(more='bag = "20 lb"\nprice = 20'), more=BAN,
    )  # fmt: skip
    found = look_at_season(
        season_given(past((0, 3, 6, 9, 12, 15, 18, 21, 24, 27)), read=read),
        moment(date(2026, 1, 10)),
    )
    assert found is not None
    return found


AHEAD = made()


def test_lines_fit_a_terminal() -> None:
    assert max(columns(line) for line in render_ahead(AHEAD).split("\n")) <= 72


@pytest.mark.parametrize("draw", [wide, narrow])
def test_a_row_stands_inside_its_picture(draw: object) -> None:
    """Every box, stroke and word begins inside the picture."""
    drawing = draw(AHEAD)  # type: ignore[operator]
    root = ElementTree.fromstring(drawing.svg())
    boxes = [r for r in root.iter(SVG + "rect") if r.get("width") != "100%"]
    assert len(boxes) > 10
    for box in boxes:
        left, wide_ = float(box.get("x", "nan")), float(box.get("width", "nan"))
        assert left >= 0 and wide_ > 0 and left + wide_ <= drawing.width + 0.01
    for words in root.iter(SVG + "text"):
        assert 0 <= float(words.get("x", "nan")) <= drawing.width
        assert 0 < float(words.get("y", "nan")) <= drawing.height


def test_words_on_a_phone_are_no_smaller_than_twelve_units_of_360() -> None:
    drawing = narrow(AHEAD)
    assert drawing.width == 360
    sizes = [
        float(t.get("font-size", "0"))
        for t in ElementTree.fromstring(drawing.svg()).iter(SVG + "text")
    ]
    assert min(sizes) >= 12


def test_the_picture_says_its_finding_in_words() -> None:
    root = ElementTree.fromstring(wide(AHEAD).svg())
    (finding,) = (node.text for node in root if node.tag == SVG + "desc")
    assert finding is not None
    assert "Feeding about" in finding and LONG in finding


def test_a_later_date_stands_farther_right() -> None:
    """Strokes of the likely days, in the order of their dates."""
    first = AHEAD.lawns[0]
    strokes = [
        float(r.get("x", "0"))
        for r in ElementTree.fromstring(wide(AHEAD).svg()).iter(SVG + "rect")
        if r.get("width") == "3"
    ]
    dates = [window.opens.likely for window in first.windows]
    dates += [
        day.likely
        for mark in first.marks
        for day in sorted((d for d in (mark.starts, mark.ends) if d), key=lambda d: d.likely)
    ]
    there = strokes[: len(dates)]
    assert sorted(range(len(dates)), key=dates.__getitem__) == sorted(
        range(len(dates)), key=there.__getitem__
    )


def test_the_page_loads_nothing_and_runs_nothing() -> None:
    page = render_page(AHEAD)
    assert "<script" not in page and "@import" not in page and "url(" not in page
    assert not re.search(r'\b(?:src|href)="', page)
    assert "default-src 'none'" in page


def test_the_page_has_the_table_as_a_table() -> None:
    """Each window is a row with its dates, for whoever hears the page."""
    page = unescape(re.sub(r"<svg.*?</svg>", "", render_page(AHEAD), flags=re.DOTALL))
    view = season_view(AHEAD)
    for rows in view.lawns:
        for window in rows.windows:
            assert f'<tr><th scope="row"><b>{window.title}</b></th>\n<td>{window.likely}' in page
    assert page.count("<caption>") == sum(bool(r.windows) + bool(r.perhaps) for r in view.lawns)
    for text in view.assumes:
        assert text in page


@given(st.text(min_size=1, max_size=60))
def test_an_owners_words_never_break_out(words: str) -> None:
    lawns = tuple(one.model_copy(update={"title": words}) for one in AHEAD.lawns)
    ahead = AHEAD.model_copy(update={"lawns": lawns})
    page = render_page(ahead)
    for picture in (wide(ahead), narrow(ahead)):
        ElementTree.fromstring(picture.svg())
    assert page.count("<section>") == 2 and page.count("<svg") == 2
    assert "\x1b" not in render_ahead(ahead)


def test_few_years_say_so_everywhere() -> None:
    found = look_at_season(season_given(past((0, 5, 10, 15, 20))), moment(date(2026, 1, 10)))
    assert found is not None
    said = "in about 7 years of 10, the whole range of 5 years"
    assert said in " ".join(render_ahead(found).split())
    assert said in unescape(render_page(found))


def test_metric_dates_put_the_day_first() -> None:
    found = look_at_season(
        season_given(past([0] * 9), read=files(units="metric")), moment(date(2026, 1, 10))
    )
    assert found is not None
    assert "1 May" in render_ahead(found) and "May 1" not in render_ahead(found)


def test_a_date_beyond_the_picture_stays_at_its_edge() -> None:
    (first, *others) = AHEAD.lawns
    far = Dates(likely=date(2029, 1, 1), earliest=date(2028, 1, 1), latest=date(2030, 1, 1),
                holds=0.8, years=10, came=10)  # fmt: skip
    windows = tuple(w.model_copy(update={"opens": far}) for w in first.windows)
    lawns = (first.model_copy(update={"windows": windows}), *others)
    drawing = wide(AHEAD.model_copy(update={"lawns": lawns}))
    for box in ElementTree.fromstring(drawing.svg()).iter(SVG + "rect"):
        if box.get("width") != "100%":
            assert float(box.get("x", "nan")) + float(box.get("width", "nan")) <= 1000.01
