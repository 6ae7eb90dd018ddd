"""The picture of a replayed season: everything in its place, in words too, and escaped."""

from __future__ import annotations

import re
from itertools import pairwise
from xml.etree import ElementTree

import plan_cases as case
import pytest
import replay_cases as again

from advisor.digest.replay_page import render_page
from advisor.digest.replay_text import render_replay
from advisor.digest.timeline import timeline
from advisor.plan.model import SiteName
from advisor.plan.replay_compare import compare
from advisor.plan.replay_model import Replay, Run

SVG = "{http://www.w3.org/2000/svg}"
LAWNS = (
    case.lawn(more=f'{case.GENEROUS}\ntitle = "Front <b>&</b> side"\nirrigated = true'),
    case.lawn("back", area="2345 ft2"),
)


@pytest.fixture(scope="module")
def replay() -> Replay:
    read = case.files(
        *LAWNS,
        shelf=case.granules(more='interval = "14 days"'),
        journal=again.JOURNAL_TEXT + "2026-01-01  back  last feed 2025-09-01\n",
        today=None,
    )
    series = again.truth(gust=dict.fromkeys(range(5, 40), 9.0), humidity={9: 0.95, 12: 0.95})
    rules = case.book(case.opens(at_least=6.0), case.holds(), case.waters())
    issued = again.lived(series, rules, read=read, sight="issued", looks_again=False)
    perfect = again.lived(series, rules, read=read)
    runs: tuple[Run, ...] = (issued, perfect)
    return Replay(
        site=SiteName(id="made-up", title="Made-up <place>", zone=case.ZONE, units="us"),
        first=again.FIRST,
        last=again.LAST,
        owner="obeys",
        rules="made up",
        against=None,
        weather="made up",
        invented=True,
        assumed=(),
        runs=runs,
        compared=(compare(runs, 0, 1, "us", days_only=True),),
    )


@pytest.mark.parametrize(("narrow", "width"), [(False, 960), (True, 360)])
def test_all_of_it_lies_within_the_picture(replay: Replay, narrow: bool, width: int) -> None:
    root = ElementTree.fromstring(timeline(replay, narrow=narrow))
    _, _, wide, tall = (float(part) for part in root.attrib["viewBox"].split())
    assert wide == width
    for box in root.iter(f"{SVG}rect"):
        if box.get("width") != "100%":
            x, y = float(box.attrib["x"]), float(box.attrib["y"])
            assert x >= 0 and x + float(box.attrib["width"]) <= wide + 4
            assert y >= 0 and y + float(box.attrib["height"]) <= tall
    for words in root.iter(f"{SVG}text"):
        size = float(words.attrib["font-size"])
        assert size >= 11  # a phone shows the narrow picture one to one
        x, length = float(words.attrib["x"]), 0.62 * size * len(words.text or "")
        left = {"start": x, "end": x - length, "middle": x - length / 2}[
            words.attrib["text-anchor"]
        ]
        assert left >= -2 and left + length <= wide + 2, words.text
        assert 0 < float(words.attrib["y"]) <= tall


@pytest.mark.parametrize("narrow", [False, True])
def test_words_of_one_lane_do_not_cover_each_other(replay: Replay, narrow: bool) -> None:
    root = ElementTree.fromstring(timeline(replay, narrow=narrow))
    lines: dict[float, list[tuple[float, float]]] = {}
    for words in root.iter(f"{SVG}text"):
        size, x = float(words.attrib["font-size"]), float(words.attrib["x"])
        length = 0.5 * size * len(words.text or "")
        start = x - length if words.attrib["text-anchor"] == "end" else x
        lines.setdefault(float(words.attrib["y"]), []).append((start, start + length))
    for found in lines.values():
        rising = sorted(found)
        assert all(one[1] <= other[0] for one, other in pairwise(rising))


def test_each_application_and_each_digest_has_its_mark(replay: Replay) -> None:
    root = ElementTree.fromstring(timeline(replay))
    dots = list(root.iter(f"{SVG}circle"))
    put = [line for run in replay.runs for line in run.done if line.product]
    assert len(dots) == len(put) > 2
    notes = [note.text or "" for note in root.iter(f"{SVG}title")]
    for week in replay.runs[0].weeks:
        assert any(note.startswith(f"{week.on}: ") for note in notes)
    finding = root.find(f"{SVG}desc")
    assert finding is not None and "applications" in (finding.text or "")


def test_what_an_owner_wrote_is_escaped(replay: Replay) -> None:
    page = render_page(replay)
    assert "<b>&</b>" not in page and "Made-up <place>" not in page
    assert "Made-up &lt;place&gt;" in page and "<script" not in page
    assert not re.search(r"(src|href)=", page)


def test_page_and_text_tell_the_same_weeks(replay: Replay) -> None:
    page, text = render_page(replay), render_replay(replay)
    for week in replay.runs[0].weeks:
        assert str(week.on) in page and str(week.on) in text
    assert "This flatters" in page and "This flatters" in text


def test_the_page_loads_nothing_and_runs_nothing(replay: Replay) -> None:
    page = render_page(replay)
    assert "default-src 'none'" in page
    assert not re.search(r"<script|<link|<img|@import|url\(|src=", page)
