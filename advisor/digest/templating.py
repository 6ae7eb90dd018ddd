"""The templates of this package: always escaped, a missing name an error."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined, Template
from markupsafe import Markup

from advisor.language.words import tell, tell_as, tell_many


@cache
def template(name: str, unbroken: Callable[[str], str | Markup] = str) -> Template:
    """The template of that file name; `unbroken` is the filter for what one line must hold."""
    environment = Environment(
        loader=PackageLoader("advisor.digest"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["unbroken"] = unbroken
    environment.globals.update(tell=tell, tell_as=tell_as, tell_many=tell_many)
    return environment.get_template(name)
