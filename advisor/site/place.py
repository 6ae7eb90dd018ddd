"""The site as its owner states it in site.toml: place, people, mail; its lawns are in `lawns`.

Keys are the owner's; fields are named with their unit. `description` and `examples` of each field
are what messages, the commented sample and the reference page show.
"""

from __future__ import annotations

import re
from datetime import date
from typing import Annotated, Literal
from zoneinfo import ZoneInfo

from pydantic import AfterValidator, Field

from advisor.language.speaking import Language
from advisor.site.amounts import ElevationM
from advisor.site.fields import (
    Address,
    Day,
    Line,
    Name,
    Table,
    Weekday,
    WrongTextError,
)
from advisor.site.free_time import FreeTime
from advisor.site.irrigation import SprinklerZone
from advisor.site.law import Ban, Ordinance, WateringLaw, WateringTimes
from advisor.site.lawns import Lawn
from advisor.site.mailbox import Answers, Credential, Host, Login, Variable
from advisor.site.spreaders import Sprayer, Spreader
from advisor.site.zones import zone_name


def _web_address(text: str) -> str:
    if not re.fullmatch(r"https?://[A-Za-z0-9.\[\]:_-]+(/[A-Za-z0-9._~/-]*)?", text):
        raise WrongTextError(
            "a web address was expected, with nothing after ? and no name or password in it,"
            " such as https://weather.example.org/v1"
        )
    return text


def _folder(text: str) -> str:
    parts = text.split("/")
    if not all(re.fullmatch(r"[A-Za-z0-9._-]+", part) and set(part) != {"."} for part in parts):
        raise WrongTextError("a folder inside the site's folder was expected, such as weather")
    return text


def _hour(text: str) -> str:
    if not re.fullmatch(r"([01][0-9]|2[0-3]):[0-5][0-9]", text):
        raise WrongTextError("a time of day was expected, such as 06:00")
    if text < "04:00":
        raise WrongTextError(
            "from 00:00 to 03:59 a change of clocks can leave an hour out; choose 04:00 or later"
        )
    return text


class Place(Table):
    """Where the site lies. South and west are negative."""

    latitude: float = Field(ge=-90, le=90, examples=[35.93], description="degrees, north positive")
    longitude: float = Field(
        ge=-180, le=180, examples=[-79.02], description="degrees, east positive"
    )
    elevation_m: ElevationM = Field(
        alias="elevation", examples=["480 ft"], description="above the sea"
    )
    zone: Annotated[str, AfterValidator(zone_name)] = Field(
        examples=["America/New_York"], description="time zone, by its IANA name"
    )

    house: int | None = Field(
        default=None,
        ge=1,
        le=1_000_000,
        examples=[117],
        description="house number, where watering days go by odd and even ones",
    )

    @property
    def zone_info(self) -> ZoneInfo:
        return ZoneInfo(self.zone)


class DigestTimes(Table):
    """When the weekly digest goes out, by the site's clock."""

    weekday: Weekday = Field(default="sunday", examples=["sunday"], description="day of the digest")
    hour: Annotated[str, AfterValidator(_hour)] = Field(
        default="06:00", examples=["06:00"], description="time of the digest, 04:00 or later"
    )
    alerts: bool = Field(
        default=True,
        examples=[True],
        description="a note between two digests, when a newer forecast takes something back or asks"
        " for water",
    )
    ping: Annotated[str, AfterValidator(_web_address)] | None = Field(
        default=None,
        examples=["https://monitor.example.org/lawn"],
        description="address of a monitor, asked for hourly while nothing is overdue",
    )


OFF = "off"
"""What an owner writes in place of a model to have no ensemble."""


class WeatherFrom(Table):
    """Where forecasts come from; all optional."""

    base_url: Annotated[str, AfterValidator(_web_address)] | None = Field(
        default=None, examples=["https://weather.example.org"], description="address of the service"
    )
    archive_url: Annotated[str, AfterValidator(_web_address)] | None = Field(
        default=None,
        examples=["https://weather.example.org/v1/archive"],
        description="address of the archive of past weather; with base_url alone none is asked",
    )
    key_env: Variable | None = Field(
        default=None,
        examples=["WEATHER_KEY"],
        description="environment variable that holds the key",
    )
    key_file: Line | None = Field(
        default=None, examples=["/etc/swardcast/weather-key"], description="file that holds the key"
    )
    key_credential: Credential | None = Field(
        default=None, examples=["weather-key"], description="systemd credential that holds the key"
    )
    soil_model: Credential | None = Field(
        default=None,
        examples=["best_match"],
        description="weather model to take soil values from; best-match asks for all at once",
    )
    ensemble_url: Annotated[str, AfterValidator(_web_address)] | None = Field(
        default=None,
        examples=["https://weather.example.org/v1/ensemble"],
        description="address of the ensemble service; with base_url alone none is asked",
    )
    ensemble_model: Credential | None = Field(
        default=None,
        examples=["ecmwf_ifs025_ensemble"],
        description="ensemble to count by how sure a day is; off asks for none",
    )
    watches: Literal["us-national-service"] | None = Field(
        default=None,
        examples=["us-national-service"],
        description="who is asked for storm watches and warnings; nobody if not given",
    )
    recorded: Annotated[str, AfterValidator(_folder)] | None = Field(
        default=None,
        examples=["weather"],
        description="folder of recorded weather in the site's folder, in place of a service",
    )

    @property
    def no_ensemble(self) -> bool:
        """Whether the owner wants none."""
        return (self.ensemble_model or "").casefold() == OFF


class Mail(Login):
    """Who writes, who reads, and the server or Maildir that the mail goes through."""

    sender: Address = Field(
        alias="from", examples=["lawn@example.org"], description="address the mail comes from"
    )
    to: tuple[Address, ...] = Field(
        strict=False,
        min_length=1,
        examples=[["someone@example.org"]],
        description="people to write to",
    )
    server: Host | None = Field(
        default=None, examples=["mail.example.org"], description="SMTP server"
    )
    port: int | None = Field(
        default=None,
        ge=1,
        le=65535,
        examples=[465],
        description="465 for tls, 587 for starttls, else 25",
    )
    maildir: Line | None = Field(
        default=None, examples=["mail"], description="folder to deliver into, in place of a server"
    )

    @property
    def port_used(self) -> int:
        return self.port or {"tls": 465, "starttls": 587, "none": 25}[self.security]


class Demo(Table):
    """A site that runs on recorded weather names its own today."""

    today: Day = Field(examples=[date(2025, 9, 11)], description="the demo's today")


class Site(Table):
    """One property: what site.toml says."""

    id: Name = Field(examples=["maple-corner"], description="name of the site; for ever")
    title: Line = Field(examples=["Maple Corner"], description="the name for people")
    units: Literal["us", "metric"] = Field(examples=["us"], description="units for reading")
    language: Language = Field(
        default="en", examples=["de"], description="language of digests and pages: en or de"
    )
    place: Place = Field(description="where it lies")
    digest: DigestTimes = Field(default=DigestTimes(), description="when the digest goes out")
    weather: WeatherFrom = Field(default=WeatherFrom(), description="where forecasts come from")
    mail: Mail | None = Field(default=None, description="whom to write to")
    answers: Answers | None = Field(default=None, description="where answers by mail arrive")
    demo: Demo | None = Field(default=None, description="only for a site on recorded weather")
    lawns: tuple[Lawn, ...] = Field(alias="lawn", strict=False, min_length=1)
    bans: tuple[Ban, ...] = Field(default=(), alias="ban", strict=False)
    ordinances: tuple[Ordinance, ...] = Field(default=(), alias="ordinance", strict=False)
    watering_rules: tuple[WateringTimes, ...] = Field(
        default=(), alias="watering", strict=False, description="when watering is allowed"
    )
    zones: tuple[SprinklerZone, ...] = Field(default=(), alias="zone", strict=False)
    spreaders: tuple[Spreader, ...] = Field(default=(), alias="spreader", strict=False)
    sprayers: tuple[Sprayer, ...] = Field(default=(), alias="sprayer", strict=False)
    free: FreeTime = Field(default=FreeTime(), description="when you can work on the lawn")

    @property
    def watering(self) -> WateringLaw:
        """When watering is allowed: what all rules on it come to."""
        return WateringLaw(self.watering_rules, self.place.house)

    def lawn(self, name: str) -> Lawn:
        """The lawn of that name; KeyError if there is none."""
        for lawn in self.lawns:
            if lawn.name == name:
                return lawn
        raise KeyError(name)
