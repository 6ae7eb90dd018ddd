"""The catalogue of each language: brought up to date from the project's messages, and compiled.

python tests/language/catalogue.py                          # extract, merge, compile
python tests/language/catalogue.py --missing 4 FILE ...     # write what is untranslated as JSON
python tests/language/catalogue.py --take FILE ...          # take translations from such files

`--missing N` divides what is untranslated among N files, `untranslated-1.json` and on, or those
that are named. Each holds a list of {"context", "id", "plural", "where"}; whoever translates adds
"text", or, where there is a plural, "texts" with one for each form of the language. Placeholders,
such as {count}, stay as they are; so does {2 in}, which is a quantity that follows the owner's
units. A message that changes in the code is untranslated again.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterable, Sequence
from io import BytesIO
from pathlib import Path
from string import Formatter

from babel.messages import Catalog
from babel.messages.catalog import Message as Entry
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

ROOT = Path(__file__).parents[2]

if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))

from extracting import Message, messages  # noqa: E402

from advisor.language.speaking import LANGUAGES, SOURCE, Language  # noqa: E402
from advisor.language.words import DOMAIN  # noqa: E402

LOCALE = ROOT / "advisor" / "language" / "locale"
TRANSLATED = tuple(language for language in LANGUAGES if language != SOURCE)

Key = tuple[str | None, str]


class Stable(Catalog):
    """A catalogue whose head changes with nothing but its language."""

    @property
    def mime_headers(self) -> list[tuple[str, str]]:
        return [
            ("Project-Id-Version", DOMAIN),
            ("Language", str(self.locale_identifier)),
            ("Plural-Forms", self.plural_forms),
            ("MIME-Version", "1.0"),
            ("Content-Type", "text/plain; charset=utf-8"),
            ("Content-Transfer-Encoding", "8bit"),
        ]


def po_file(language: Language) -> Path:
    return LOCALE / language / "LC_MESSAGES" / f"{DOMAIN}.po"


def empty(language: Language) -> Stable:
    """A catalogue without messages."""
    head = f"# The words of Swardcast in another language: {language}.\n"
    head += "# Messages come from the project by tests/language/catalogue.py; write only msgstr."
    return Stable(locale=language, domain=DOMAIN, header_comment=head, fuzzy=False)


def extracted(language: Language, found: Iterable[Message] | None = None) -> Stable:
    """All messages of the project, untranslated."""
    made = empty(language)
    for one in messages() if found is None else found:
        text = one.id if one.plural is None else (one.id, one.plural)
        known = made.get(one.id, one.context)
        if known is not None and isinstance(known.id, tuple):
            text = known.id  # once it has a plural, it has it for all who tell it
        made.add(text, locations=[(one.where, None)], context=one.context)
    for entry in made:
        entry.flags.clear()  # a percent sign here is a percent sign, and {2 in} no Python
        entry.locations = sorted(set(entry.locations))
    return made


def stored(language: Language) -> Catalog:
    path = po_file(language)
    if not path.exists():
        return empty(language)
    with path.open("rb") as file:
        return read_po(file, locale=language, domain=DOMAIN)


def merged(language: Language, kept: Catalog, found: Catalog) -> Stable:
    """The messages of `found` with the translations that `kept` has of exactly these."""
    kept.update(found, no_fuzzy_matching=True, update_header_comment=False)
    made = empty(language)
    for entry in kept:
        if not entry.id:
            continue
        context, text = key(entry)
        known = found.get(text, context)
        places = known.locations if known is not None else []
        made.add(entry.id, entry.string, locations=places, context=context)
    for entry in made:
        entry.flags.clear()
    return made


def translated(entry: Entry) -> bool:
    return bool(entry.id) and all(strings(entry))


def strings(entry: Entry) -> tuple[str, ...]:
    """Its translation; of a plural each form."""
    several = isinstance(entry.string, (tuple, list))
    return tuple(entry.string) if several else (entry.string,)


def entries(catalogue: Catalog) -> list[Entry]:
    """Its messages without its head."""
    return [entry for entry in catalogue if entry.id]


def key(entry: Entry) -> Key:
    return entry.context, entry.id if isinstance(entry.id, str) else entry.id[0]


def compiled(language: Language, catalogue: Catalog) -> bytes:
    """The .mo of what is translated; the rest falls back to English."""
    made = empty(language)
    for entry in entries(catalogue):
        if translated(entry):
            made.add(entry.id, entry.string, context=entry.context)
    file = BytesIO()
    write_mo(file, made)
    return file.getvalue()


def as_po(catalogue: Catalog) -> bytes:
    file = BytesIO()
    write_po(file, catalogue, width=100, sort_output=True, include_lineno=False)
    return file.getvalue()


def write(language: Language, catalogue: Catalog) -> None:
    path = po_file(language)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(as_po(catalogue))
    path.with_suffix(".mo").write_bytes(compiled(language, catalogue))


# Translators


def placeholders(text: str) -> list[str]:
    """The names in braces, sorted. Raises ValueError for braces that do not match."""
    return sorted({name for _, name, _, _ in Formatter().parse(text) if name is not None})


def wanted_of(entry: Entry) -> list[set[str]]:
    """Placeholders of the message's forms. The first form of a translation may be as either, the
    others are as the last."""
    if isinstance(entry.id, tuple):
        return [set(placeholders(text)) for text in entry.id]
    return [set(placeholders(entry.id))]


def fault_of(entry: Entry, texts: Sequence[str], forms: int) -> str:
    """Why these are no translation of a message; empty where they are one."""
    if len(texts) != (forms if isinstance(entry.id, tuple) else 1):
        return "has another number of forms"
    if not all(isinstance(text, str) and text.strip() for text in texts):
        return "has an empty text"
    wanted = wanted_of(entry)
    for index, text in enumerate(texts):
        try:
            found = set(placeholders(text))
        except ValueError as error:
            return f"has braces that do not match ({error})"
        allowed = wanted if index == 0 else wanted[-1:]
        if found not in allowed:
            return f"has the placeholders {sorted(found)}, not {sorted(wanted[-1])}"
    return ""


def missing(catalogue: Catalog, files: Sequence[Path]) -> int:
    """Divide what is untranslated among files, those of one place together; returns how many."""
    left = [entry for entry in entries(catalogue) if not translated(entry)]
    left.sort(key=lambda entry: (entry.locations[0][0] if entry.locations else "", str(entry.id)))
    rows = [
        {
            "context": entry.context,
            "id": key(entry)[1],
            "plural": entry.id[1] if isinstance(entry.id, tuple) else None,
            "where": ", ".join(place for place, _ in entry.locations),
        }
        for entry in left
    ]
    share = -(-len(rows) // len(files))
    for index, path in enumerate(files):
        chunk = rows[index * share : (index + 1) * share]
        path.write_text(json.dumps(chunk, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")
    return len(rows)


def take(catalogue: Catalog, rows: Iterable[dict[str, object]]) -> list[str]:
    """Put translations into a catalogue; returns what was refused, a line each."""
    known = {key(entry): entry for entry in entries(catalogue)}
    refused = []
    for row in rows:
        entry = known.get((row.get("context") or None, str(row["id"])))  # type: ignore[arg-type]
        given = row.get("texts") or ([row["text"]] if row.get("text") else [])
        if not given:
            continue
        if entry is None:
            refused.append(f"“{row['id']}” is no message (any more)")
            continue
        texts = [str(text) for text in given]  # type: ignore[attr-defined]
        fault = fault_of(entry, texts, catalogue.num_plurals)
        if fault:
            refused.append(f"“{row['id']}” {fault}")
            continue
        entry.string = tuple(texts) if isinstance(entry.id, tuple) else texts[0]
    return refused


def main(words: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--language", choices=TRANSLATED, default=TRANSLATED[0])
    parser.add_argument("--missing", type=int, metavar="N", help="divide the untranslated in N")
    parser.add_argument("--take", action="store_true", help="take translations from the files")
    parser.add_argument("files", nargs="*", type=Path, metavar="FILE")
    asked = parser.parse_args(words)
    refused: list[str] = []
    for language in TRANSLATED:
        catalogue = merged(language, stored(language), extracted(language))
        if asked.take and language == asked.language:
            for path in asked.files:
                refused += take(catalogue, json.loads(path.read_text(encoding="utf-8")))
        write(language, catalogue)
        left = sum(not translated(entry) for entry in entries(catalogue))
        print(f"{language}: {len(entries(catalogue))} messages, {left} untranslated")
        if asked.missing and language == asked.language:
            files = asked.files or [
                Path(f"untranslated-{number + 1}.json") for number in range(asked.missing)
            ]
            if len(files) != asked.missing:
                parser.error(f"{asked.missing} files are wanted, {len(files)} are named")
            missing(catalogue, files)
            print("\n".join(str(path) for path in files))
    for line in refused:
        print(f"refused: {line}", file=sys.stderr)
    return 1 if refused else 0


if __name__ == "__main__":
    sys.exit(main())
