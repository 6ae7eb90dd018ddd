"""The catalogues hold the project's messages, whole, and what is compiled is what is written."""

from __future__ import annotations

import json
from gettext import GNUTranslations
from io import BytesIO
from pathlib import Path

import pytest
from babel import Locale
from babel.messages import Catalog
from babel.messages.mofile import read_mo
from babel.messages.plurals import get_plural
from catalogue import (
    TRANSLATED,
    as_po,
    compiled,
    entries,
    extracted,
    fault_of,
    key,
    merged,
    missing,
    po_file,
    stored,
    strings,
    take,
    translated,
)
from extracting import Message, NotLiteralError, in_python, in_template, messages

from advisor.language.speaking import Language

MAKE = "run python tests/language/catalogue.py"

each_language = pytest.mark.parametrize("language", TRANSLATED)


def shapes(catalogue: Catalog) -> set[tuple[object, ...]]:
    return {(entry.context, entry.id, tuple(p for p, _ in entry.locations))
            for entry in entries(catalogue)}  # fmt: skip


@each_language
def test_the_catalogue_holds_exactly_the_messages_of_the_project(language: Language) -> None:
    assert shapes(stored(language)) == shapes(extracted(language)), MAKE


@each_language
def test_what_is_compiled_is_what_is_written(language: Language) -> None:
    """Read by Babel; each entry of the .mo is a translated one of the .po, and none is left out."""
    with po_file(language).with_suffix(".mo").open("rb") as file:
        found = read_mo(file)
    there = {key(entry): strings(entry) for entry in entries(found)}
    assert there == {
        key(entry): strings(entry) for entry in entries(stored(language)) if translated(entry)
    }, MAKE


@each_language
def test_placeholders_and_forms_are_those_of_the_message(language: Language) -> None:
    catalogue = stored(language)
    faults = [
        f"{entry.id} {fault}"
        for entry in entries(catalogue)
        if translated(entry)
        and (fault := fault_of(entry, _texts(entry.string), catalogue.num_plurals))
    ]
    assert faults == []


def _texts(string: object) -> list[str]:
    return [string] if isinstance(string, str) else list(string)  # type: ignore[call-overload]


@each_language
def test_plural_forms_are_those_of_the_language(language: Language) -> None:
    """CLDR by Babel: as many forms as its plural rule for whole numbers, and the same choice."""
    catalogue = stored(language)
    assert catalogue.num_plurals == get_plural(language).num_plurals
    rule = Locale.parse(language).plural_form
    days = extracted(language, [Message("{count} day", "x.py", None, "{count} days")])
    (entry,) = entries(days)
    entry.string = ("one", "other")
    told = GNUTranslations(BytesIO(compiled(language, days)))
    assert [told.ngettext("{count} day", "{count} days", n) for n in range(200)] == [
        rule(n) for n in range(200)
    ]


@each_language
def test_every_message_is_translated(language: Language) -> None:
    assert [key(entry) for entry in entries(stored(language)) if not translated(entry)] == []


@each_language
def test_the_file_is_written_the_same_each_time(language: Language) -> None:
    again = merged(language, stored(language), extracted(language))
    assert as_po(again) == po_file(language).read_bytes(), MAKE
    assert b"fuzzy" not in as_po(again)


def _of(*found: Message) -> Catalog:
    return extracted(TRANSLATED[0], found)


def test_messages_are_read_from_calls() -> None:
    code = """
tell("one {a}" if x else "other {a}", a=1)
tell("put " "together")
tell_many("{count} day", "{count} days", n)
tell_as("verb", "water")
NAMES = {"a": later("first"), "b": later("second")}
tell(NAMES[x])
tell(NAME)
other("not told")
"""
    assert sorted(in_python(code, "x.py"), key=str) == sorted(
        [
            Message("one {a}", "x.py"),
            Message("other {a}", "x.py"),
            Message("put together", "x.py"),
            Message("{count} day", "x.py", None, "{count} days"),
            Message("water", "x.py", "verb"),
            Message("first", "x.py"),
            Message("second", "x.py"),
        ],
        key=str,
    )


@pytest.mark.parametrize(
    "call", ['tell(f"{a} days")', 'tell("a" + b)', 'tell_many("day")', "tell(1)"]
)
def test_words_that_cannot_be_extracted_are_refused(call: str) -> None:
    with pytest.raises(NotLiteralError):
        list(in_python(call, "x.py"))


def test_messages_are_read_from_templates(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("extracting.ROOT", tmp_path)
    page = tmp_path / "page.html.j2"
    page.write_text(
        '<p>{{ tell("How to do it") }}</p>{% if a %}{{ tell_as("noun", "water") }}{% endif %}'
        '{{ tell_many("{count} lawn", "{count} lawns", n) }}{{ other("x") }}'
    )
    assert list(in_template(page)) == [
        Message("How to do it", "page.html.j2"),
        Message("water", "page.html.j2", "noun"),
        Message("{count} lawn", "page.html.j2", None, "{count} lawns"),
    ]


def test_rules_and_facts_are_among_the_messages() -> None:
    found = {(one.context, one.id) for one in messages()}
    assert (
        None,
        "Soil at {2 in} has reached {barrier-soil}: {soil_warmth} of late, {soil_warmth_ahead} in"
        " the days ahead. Crabgrass sprouts from about {crabgrass-soil}.",
    ) in found
    assert ("what a condition is about", "soil warmth") in found
    assert ("what a condition is about", "days since pre-emergent") in found
    assert ("grass", "heat-stressed") in found
    assert ("stage", "may-begin") in found


def test_a_changed_message_is_untranslated_and_an_old_one_is_dropped() -> None:
    kept = _of(Message("The lawn is dry.", "a.py"), Message("Gone.", "a.py"))
    for entry in entries(kept):
        entry.string = "…"
    made = merged(
        "de", kept, _of(Message("The lawn is dry.", "b.py"), Message("The lawn is very dry.", "b"))
    )
    assert {key(entry): entry.string or "" for entry in entries(made)} == {
        (None, "The lawn is dry."): "…",
        (None, "The lawn is very dry."): "",
    }
    assert b"Gone." not in as_po(made)


def test_one_word_in_two_senses_is_two_messages() -> None:
    made = _of(Message("dry", "a", "leaf"), Message("dry", "a", "soil"), Message("dry", "a"))
    assert {key(entry) for entry in entries(made)} == {
        ("leaf", "dry"), ("soil", "dry"), (None, "dry"),
    }  # fmt: skip


def test_chunks_hold_all_that_is_missing_and_come_back(tmp_path: Path) -> None:
    made = _of(
        Message("Feed {lawn}.", "a.py"),
        Message("dry", "a.py", "leaf"),
        Message("{count} day", "b.py", None, "{count} days"),
    )
    files = [tmp_path / "1.json", tmp_path / "2.json"]
    assert missing(made, files) == 3
    rows = [row for path in files for row in json.loads(path.read_text())]
    assert sorted((row["id"], row["context"], row["plural"], row["where"]) for row in rows) == [
        ("Feed {lawn}.", None, None, "a.py"),
        ("dry", "leaf", None, "a.py"),
        ("{count} day", None, "{count} days", "b.py"),
    ]
    texts = {
        "Feed {lawn}.": {"text": "{lawn} düngen."},
        "dry": {"text": "trocken"},
        "{count} day": {"texts": ["{count} Tag", "{count} Tage"]},
    }
    assert take(made, [row | texts[row["id"]] for row in rows]) == []
    assert missing(made, files) == 0
    assert {key(entry)[1]: entry.string for entry in entries(made)} == {
        "Feed {lawn}.": "{lawn} düngen.",
        "dry": "trocken",
        "{count} day": ("{count} Tag", "{count} Tage"),
    }


@pytest.mark.parametrize(
    "row",
    [
        {"id": "Feed {lawn}.", "text": "Düngen."},
        {"id": "Feed {lawn}.", "text": "{rasen} düngen."},
        {"id": "Feed {lawn}.", "text": "{lawn düngen."},
        {"id": "Feed {lawn}.", "texts": ["{lawn}", "{lawn}"]},
        {"id": "{count} day", "text": "{count} Tage"},
        {"id": "{count} day", "texts": ["{count} Tag", "Tage"]},
        {"id": "{count} day", "texts": ["ein Tag", " "]},
        {"id": "Nobody says this.", "text": "Niemand sagt das."},
    ],
)
def test_a_translation_that_does_not_fit_is_refused(row: dict[str, object]) -> None:
    made = _of(Message("Feed {lawn}.", "a"), Message("{count} day", "a", None, "{count} days"))
    assert len(take(made, [row])) == 1
    assert not any(translated(entry) for entry in entries(made))
