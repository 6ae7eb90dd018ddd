"""A label's nitrogen: what counts as slow, and how each contradiction is told."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from site_samples import SITE

from advisor.site.load import SiteFiles, read_site
from advisor.site.nitrogen import (
    FORMS,
    KNOWN_WORDS,
    MATERIALS,
    Slow,
    material,
    printed_words,
    slow_bounds,
    slow_share,
)
from advisor.site.problem import Problem
from advisor.site.shelf import Product


def shelf(stated: str, analysis: str = "24-0-6") -> SiteFiles:
    text = (
        '[[product]]\nname = "bag"\nserves = ["feed"]\nform = "granular"\n'
        f'analysis = "{analysis}"\nrate = "3 lb/1000 ft2"\n{stated}\n'
    )
    return read_site({"site.toml": SITE, "shelf.toml": text, "journal.txt": ""})


def product(stated: str, analysis: str = "24-0-6") -> Product:
    files = shelf(stated, analysis)
    assert files.errors == (), "\n".join(map(str, files.errors))
    return files.shelf.products[0]


def error(stated: str) -> Problem:
    files = shelf(stated)
    assert len(files.errors) == 1, "\n".join(map(str, files.errors))
    assert files.shelf.products == ()
    return files.errors[0]


def warnings(stated: str) -> list[Problem]:
    files = shelf(stated)
    assert files.errors == ()
    return [problem for problem in files.problems if problem.file == "shelf.toml"]


def test_a_share_without_quotes_is_answered_with_a_right_line() -> None:
    found = error("nitrogen = { urea = 24 }")
    assert found.what.startswith("urea: text in quotes was expected")
    assert found.hint == 'Right: urea = "12%"'


@pytest.mark.parametrize(
    ("stated", "slow"),
    [
        # What the law calls slow-release is what a label states as such; all else is quick.
        ('nitrogen = { urea = "9%", ammoniacal = "3%", coated-urea = "12%" }', 0.5),
        ('nitrogen = { urea = "12%", polymer-coated-urea = "6%", sulfur-coated-urea = "6%" }', 0.5),
        ('nitrogen = { urea = "18%", slowly-available = "2%", water-insoluble = "4%" }', 0.25),
        ('nitrogen = { controlled-release = "24%" }', 1.0),
        ('nitrogen = { urea = "4%", stabilized-urea = "20%" }', 0.0),
        ('nitrogen = { nitrate = "6%", ammoniacal = "12%", water-soluble = "6%" }', 0.0),
        # A material that holds quick nitrogen too is slow only as far as the label says.
        ('nitrogen = { urea = "12%", methylene-urea = "12%" }', 0.0),
        ('nitrogen = { urea = "12%", methylene-urea = "12%" }\nslow_release = "40%"', 0.4),
        ('nitrogen = { natural-organic = "24%" }\nslow_release = "75%"', 0.75),
        # Words without a number make nothing slow.
        ('derived_from = "polymer-coated urea, methylene urea, IBDU, feather meal"', 0.0),
        ('derived_from = "polymer-coated urea, urea"\nslow_release = "35%"', 0.35),
        ('slow_release = "50%"', 0.5),
        ("", 0.0),
    ],
)
def test_slow_share(stated: str, slow: float) -> None:
    assert product(stated).slow_release == pytest.approx(slow)


def test_slow_share_of_a_label_in_rounded_figures() -> None:
    """10.4 of 30 % is 34.7 %: a label that prints 35 % says the same, and the lesser counts."""
    found = product('nitrogen = { urea = "19.6%", coated-urea = "10.4%" }\nslow_release = "35%"',
                    analysis="30-0-4")  # fmt: skip
    assert found.slow_release == pytest.approx(10.4 / 30)


def test_stated_and_worked_out_that_differ_name_both() -> None:
    found = error('nitrogen = { urea = "12%", coated-urea = "12%" }\nslow_release = "60%"')
    assert "60 %" in found.what
    assert "50 %" in found.what


def test_more_slow_than_its_forms_can_be() -> None:
    found = error('nitrogen = { urea = "12%", ureaform = "12%" }\nslow_release = "60%"')
    assert "0 % to 50 %" in found.what


def test_forms_that_do_not_add_up() -> None:
    found = error('nitrogen = { urea = "9%", coated-urea = "12%" }')
    assert "21 %" in found.what
    assert "24 %" in found.what


def test_forms_without_an_analysis() -> None:
    text = (
        '[[product]]\nname = "bag"\nserves = ["iron"]\nform = "granular"\niron = "2%"\n'
        'rate = "3 lb/1000 ft2"\nnitrogen = { urea = "12%" }\n'
    )
    files = read_site({"site.toml": SITE, "shelf.toml": text, "journal.txt": ""})
    assert [problem.hint for problem in files.errors] == ['Write: analysis = "24-0-6"']


def test_a_form_that_is_not_known_has_its_nearest() -> None:
    found = error('nitrogen = { urea = "12%", coated-uria = "12%" }')
    assert found.what == "“coated-uria” is no form of nitrogen that is known"
    assert found.text[found.column - 1 :].startswith("coated-uria")
    assert "coated-urea" in found.hint


def test_a_word_that_is_not_known_has_its_nearest_and_makes_nothing_slow() -> None:
    (found,) = warnings('derived_from = "polimer coated urea, urea"')
    assert found.warning
    assert "polymer coated urea" in found.hint


def test_slow_release_of_nothing_slow() -> None:
    found = error('derived_from = "urea, muriate of potash"\nslow_release = "50%"')
    assert "50 %" in found.what
    assert "derived_from" in found.what


def test_quick_for_want_of_a_number_is_told() -> None:
    (found,) = warnings('nitrogen = { urea = "12%", ibdu = "12%" }')
    assert "counts as quick" in found.what


def test_label_words() -> None:
    """As labels print them: capitals, hyphens, stars, a full stop, British spelling."""
    printed = "Derived from: Polymer-Coated Sulphur-Coated Urea*, Urea, and Muriate of Potash."
    assert [material(word) for word in printed_words(printed)] == [
        "polymer-coated-sulfur-coated-urea",
        "urea",
        "potassium-chloride",
    ]
    assert [material(word) for word in printed_words("meat and bone meal; urea and DAP")] == [
        "natural-organic",
        "urea",
        "ammonium-phosphate",
    ]


def test_every_known_word_is_read_back() -> None:
    for word in KNOWN_WORDS:
        assert [material(one) for one in printed_words(word.title())] == [material(word)]
    assert set(FORMS) & set(MATERIALS) >= {form for form in FORMS if FORMS[form].slow is not
                                           Slow.NONE} - {"slowly-available", "controlled-release",
                                                         "water-insoluble"}  # fmt: skip


parts = st.dictionaries(st.sampled_from(sorted(FORMS)), st.floats(0.0001, 0.2), max_size=5)
shares = st.floats(0, 1)


@given(parts, shares, st.none() | shares)
def test_slow_share_is_a_share_and_no_more_than_stated(
    forms: dict[str, float], total: float, stated: float | None
) -> None:
    """Between 0 and 1, never above what is stated nor above what the forms can be."""
    found = slow_share(total, forms, stated)
    assert 0 <= found <= 1
    if stated is not None:
        assert found <= stated
    if forms:
        assert found <= slow_bounds(total, forms)[1]


@given(parts, shares)
def test_quick_nitrogen_only_lowers_the_share(forms: dict[str, float], more: float) -> None:
    total = sum(forms.values())
    before = slow_share(total, forms, None)
    quick = forms.get("urea", 0.0) + more
    assert slow_share(total + more, {**forms, "urea": quick}, None) <= before + 1e-12


@given(st.text(max_size=60), st.none() | st.integers(0, 100))
def test_words_never_raise_the_share(words: str, stated: int | None) -> None:
    """Whatever stands under “derived from”, the share is what it is without."""
    kept = f"{stated}%" if stated is not None else None
    made = Product.model_validate(
        {"name": "bag", "serves": ["feed"], "form": "granular", "analysis": "24-0-6"}
        | ({"slow_release": kept} if kept else {})
        | ({"derived_from": words} if words.strip() and words.isprintable() else {})
    )
    assert made.slow_release == pytest.approx((stated or 0) / 100)
