"""The scan for places finds each value of a TOML text where the standard library read it."""

from __future__ import annotations

import json
import tomllib

from hypothesis import given
from hypothesis import strategies as st

from advisor.site.toml_lines import Path, Spot, spots

LEAVES = st.one_of(st.integers(0, 99), st.booleans(), st.text("ab ,]}#=\"'[", max_size=5))
KEYS = st.text("abc-_1", min_size=1, max_size=4)
VALUES = st.recursive(
    LEAVES,
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(KEYS, inner, max_size=3)),
    max_leaves=6,
)
TABLES = st.dictionaries(KEYS, VALUES, max_size=3)


def as_toml(value: object) -> str:
    """A value as TOML writes it; a string of JSON is one of TOML."""
    if isinstance(value, list):
        return "[ " + ", ".join(map(as_toml, value)) + " ]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {as_toml(item)}" for key, item in value.items()) + " }"
    return json.dumps(value)


def leaves(value: object, path: Path = ()) -> list[tuple[Path, object]]:
    if isinstance(value, list):
        return [leaf for n, item in enumerate(value) for leaf in leaves(item, (*path, n))]
    if isinstance(value, dict):
        return [leaf for key, item in value.items() for leaf in leaves(item, (*path, key))]
    return [(path, value)]


@given(TABLES, st.lists(TABLES, max_size=3))
def test_what_stands_at_the_place_of_a_path_is_the_value_of_that_path(
    top: dict[str, object], many: list[dict[str, object]]
) -> None:
    text = "".join(f"{key} = {as_toml(value)}\n" for key, value in top.items())
    for table in many:
        text += "[[zz]]\n# note = 3\n"
        text += "".join(f"  {key} = {as_toml(value)} # x\n" for key, value in table.items())
    places = spots(text)
    for path, value in leaves(tomllib.loads(text)):
        spot = places.values[path]
        line = text.split("\n")[spot.line - 1]
        stands = line[spot.column - 1 : spot.column - 1 + spot.width]
        assert tomllib.loads(f"x = {stands}")["x"] == value


def test_headers_dotted_keys_and_long_strings_are_followed() -> None:
    text = '''a.b = 1
[x]
"q r" = [
  1,  # one
  2,
]
[[l]]
n = """a
[y]
b"""
[[l]]
[l.s]
m = 'x'
[[l.t]]
o = 1
[[l.t]]
o = 2
'''
    places = spots(text)
    assert places.values["a", "b"] == Spot(1, 7, 1)
    assert places.values["x", "q r", 1] == Spot(5, 3, 1)
    assert places.values["l", 0, "n"].line == 8
    assert places.values["l", 1, "s", "m"] == Spot(13, 5, 3)
    assert places.values["l", 1, "t", 1, "o"] == Spot(17, 5, 1)
    assert places.keys["l", 1] == Spot(11, 1, 5)
    assert ("y",) not in places.keys


@given(st.text("[]{}=\"'.,\n #\\ab1", max_size=60))
def test_the_scan_ends_on_any_text(text: str) -> None:
    lines = text.count("\n") + 1
    assert all(1 <= spot.line <= lines for spot in spots(text).keys.values())
