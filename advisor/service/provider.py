"""What a site's weather is asked with: where it lies, and the owner's key."""

from __future__ import annotations

from collections.abc import Mapping

from advisor.language.words import tell
from advisor.post.secrets import SecretError, read_password
from advisor.site.place import Site
from advisor.weather.client import Place
from advisor.weather.errors import Misconfigured


def asked_place(site: Site) -> Place:
    """Where the weather is wanted."""
    return Place(site.place.latitude, site.place.longitude, site.place.elevation_m)


def weather_key(site: Site, environment: Mapping[str, str]) -> str | None:
    """The owner's key for the weather service; None without one. Raises Misconfigured."""
    wanted = site.weather
    if not (wanted.key_credential or wanted.key_file or wanted.key_env):
        return None
    try:
        return read_password(
            credential=wanted.key_credential,
            file=wanted.key_file,
            env=wanted.key_env,
            environ=environment,
        )
    except SecretError as error:
        raise Misconfigured(tell("The weather service's key: {error}", error=error)) from error
