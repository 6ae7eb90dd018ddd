"""What pydantic found wrong with the shape of a table, in the words of the owner's file."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar, get_args

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from advisor.site.fields import WrongTextError, word_hint
from advisor.site.problem import nearest
from advisor.site.reading import Raw
from advisor.site.toml_lines import Path, Spot

_WANTED = {
    "float": "a number",
    "int": "a whole number",
    "string": "text in quotes",
    "bool": "true or false, without quotes",
    "tuple": "a list in square brackets",
    "list": "a list in square brackets",
    "dict": "a table in braces",
    "model": "a table",
    "dataclass": "a table",
}

SEVERAL = ("lawn", "ban", "ordinance", "product", "spreader", "sprayer", "zone")
"""Tables of which a file may have several."""

_BOUNDS = {"ge": "at least", "gt": "more than", "le": "at most", "lt": "less than"}

Model = TypeVar("Model", bound=BaseModel)


def keys_of(model: type[BaseModel]) -> dict[str, FieldInfo]:
    """The owner's keys of a table, each with its field."""
    return {info.alias or name: info for name, info in model.model_fields.items()}


def written(value: object) -> str:
    """A value as TOML writes it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, list | tuple):
        return f"[{', '.join(written(item) for item in value)}]"
    if isinstance(value, Mapping):
        return f"{{ {', '.join(f'{key} = {written(item)}' for key, item in value.items())} }}"
    return str(value)


def check_shape(model: type[Model], data: object, raw: Raw, path: Path = ()) -> Model | None:
    """`data`, which stands at `path` of the file, as a `model`; or None, and every mistake of it
    noted in `raw`."""
    try:
        return model.model_validate(data)
    except ValidationError as error:
        for one in error.errors(include_url=False):
            _note(model, raw, path, one)
    return None


def _inner_model(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((found for part in get_args(annotation) if (found := _inner_model(part))), None)


def _field_at(model: type[BaseModel], path: Path) -> tuple[type[BaseModel], FieldInfo | None]:
    """The table that a path ends in, and the field that it names there, if any."""
    field: FieldInfo | None = None
    for part in path:
        if isinstance(part, int):
            continue
        if field is not None:
            inner = _inner_model(field.annotation)
            if inner is None:
                break
            model = inner
        field = keys_of(model).get(part)
        if field is None:
            break
    return model, field


def _note(model: type[BaseModel], raw: Raw, base: Path, error: ErrorDetails) -> None:
    inside = tuple(part for part in error["loc"] if part != "[key]")
    path = (*base, *inside)
    kind = error["type"]
    table, field = _field_at(model, inside)
    name = next((part for part in reversed(path) if isinstance(part, str)), "")
    right = _right(name, field, of_table=keys_of(table).get(name) is not field)
    if kind == "missing":
        if name not in raw.half_read:
            raw.at_key(path[:-1], f"“{name}” is missing{_in(path[:-1])}", f"Write: {right}")
    elif kind == "extra_forbidden":
        known = [key for key in keys_of(table) if not _states(raw, path[:-1], key)]
        near = nearest(name, known) or nearest(name, keys_of(table))
        hint = near or f"Keys here: {', '.join(keys_of(table))}."
        raw.at_key(path, f"no key is called “{name}”{_in(path[:-1])}", hint)
    elif kind == "value_error":
        wrong = error["ctx"]["error"]
        column, hint = (wrong.column, wrong.hint) if isinstance(wrong, WrongTextError) else (0, "")
        what, spot = f"{name}: {wrong}", _within(raw, path, column)
        if "[key]" in error["loc"]:
            what, spot = str(wrong), raw.spots.of_key(path)
        raw.problem(spot, what, hint or f"Right: {right}")
    elif kind == "literal_error":
        words = _literal_words(field)
        given = error["input"]
        hint = word_hint(given, words) if isinstance(given, str) else f"Known: {', '.join(words)}."
        raw.at(path, f"{name}: {written(given)[:80]} is no word that is known here", hint)
    else:
        _note_type(raw, path, name, right, error)


def _note_type(raw: Raw, path: Path, name: str, right: str, error: ErrorDetails) -> None:
    kind, given = error["type"], error["input"]
    wanted = _WANTED.get(kind.partition("_")[0])
    if kind == "too_short":
        # A list whose items are all wrong is not empty; they have their own messages.
        if not given:
            raw.at(path, f"{name}: at least one is wanted", f"Write: {right}")
    elif name in SEVERAL and isinstance(given, dict):
        raw.at_key(path, f"[{name}] stands for one of several", f"Write it as [[{name}]].")
    elif wanted and "_type" in kind:
        raw.at(path, f"{name}: {wanted} was expected", f"Right: {right}")
    else:
        limits = error.get("ctx", {})
        bounds = ", ".join(f"{_BOUNDS[key]} {limits[key]}" for key in _BOUNDS if key in limits)
        said = f"it must be {bounds}" if bounds else error["msg"]
        raw.at(path, f"{name}: {said}", f"Right: {right}")


def _within(raw: Raw, path: Path, column: int) -> Spot | None:
    """The place of a character of a value on one line; the whole value for its first."""
    spot = raw.spots.values.get(path)
    if spot is None or not 0 < column < spot.width - 2:
        return spot or raw.spots.of_value(path)
    return Spot(spot.line, spot.column + 1 + column, spot.width - 2 - column)


def _right(name: str, field: FieldInfo | None, *, of_table: bool = False) -> str:
    """A right line for a field; `of_table`: for one value of the table that it is."""
    if field is None:
        return name
    if field.examples:
        example = field.examples[0]
        if of_table and isinstance(example, dict):
            example = next(iter(example.values()))
        return f"{name} = {written(example)}"
    return f"[[{name}]]" if name in SEVERAL else f"[{name}]"


def _in(path: Path) -> str:
    names = [part for part in path if isinstance(part, str)]
    if not names:
        return ""
    return f" in [[{names[0]}]]" if isinstance(path[-1], int) else f" in [{'.'.join(names)}]"


def _states(raw: Raw, path: Path, key: str) -> bool:
    return (*path, key) in raw.spots.keys


def _literal_words(field: FieldInfo | None) -> tuple[str, ...]:
    def words(annotation: Any) -> tuple[str, ...]:
        found: tuple[str, ...] = ()
        for part in get_args(annotation):
            found += (part,) if isinstance(part, str) else words(part)
        return found

    return words(field.annotation) if field else ()
