"""The open service's ensemble: the rain of many members, in one polite request.

Its weight counts members times quantities, so only what is used is asked for: rain. A 25 km model
steps by three or six hours and its hours are interpolated, so totals count and peaks do not.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import numpy as np

from advisor.language.words import later, tell
from advisor.series.ensemble import FEWEST_MEMBERS, Ensemble
from advisor.series.hourly import HOUR, Floats, Source
from advisor.weather.answer import HOURLY, read_rows
from advisor.weather.client import Client, covers, instant
from advisor.weather.errors import BadAnswer
from advisor.weather.variables import VARIABLES, Variable

ENSEMBLE_URL = "https://ensemble-api.open-meteo.com/v1/ensemble"

ENSEMBLE_MODEL = "ecmwf_ifs025_ensemble"
"""51 members over the whole world for 15 days (the service's documentation)."""

ASKED = ("precipitation",)
"""What members are asked for. They may also carry temperature, wind and gusts; nothing uses those
yet, and each would cost as much again."""

PAST_DAYS = 1
FORECAST_DAYS = 13
"""Days counted in GMT: today's local day whole everywhere, and two weeks in all, beyond which a
request weighs more."""

STEP = 3
SLOW_STEPS: Mapping[str, int] = {"ecmwf_aifs025_ensemble": 6}
"""Hours from one step of a model to the next, by the service's documentation; others have 3 or
less, and 3 is then no narrower than the truth."""


@dataclass(frozen=True)
class FetchedEnsemble:
    """What one fetch brought; `url` is the request without the key."""

    ensemble: Ensemble
    fetched_at: datetime
    provider: str
    url: str
    notes: tuple[str, ...]


@dataclass(frozen=True)
class OpenEnsemble(Client):
    """The client of the ensemble service, for one named `model`."""

    base_url: str = ENSEMBLE_URL
    model: str = ENSEMBLE_MODEL
    asked: tuple[str, ...] = ASKED
    step: int | None = None
    """The model's own step in hours; None: by the model's name."""

    def fetch(self, now: datetime) -> FetchedEnsemble:
        """All members from yesterday to twelve days from today. `now` is an instant with its zone.

        Raises Unreachable, BadAnswer (also for fewer members than are of use) or Misconfigured;
        ValueError for a `now` without a zone.
        """
        now = instant(now)
        base = self._address(later("The ensemble"), *self._wrong_request())
        parameters = self._parameters(
            hourly=",".join(self.asked),
            models=self.model,
            wind_speed_unit="ms",
            past_days=str(PAST_DAYS),
            forecast_days=str(FORECAST_DAYS),
        )
        with self._connected() as connected:
            received = self._get(connected, base, parameters)
        found: dict[str, tuple[str, int]] = {}

        def wanted(sent: Iterable[str]) -> list[Variable]:
            found.update(members_of(sent, self.asked, self.model))
            return [replace(VARIABLES[name], name=key, column=key)
                    for key, (name, _) in found.items()]  # fmt: skip

        rows = read_rows(
            received.body,
            received.status,
            received.content_type,
            section=HOURLY,
            wanted=wanted,
            now=now,
            secret=self.api_key,
            retry_after=received.retry_after,
        )
        midnight = now.replace(hour=0, minute=0, second=0, microsecond=0)
        covers(
            rows.times[0], rows.times[-1],
            midnight - timedelta(PAST_DAYS), midnight + timedelta(FORECAST_DAYS, hours=-1),
            grace=24 * HOUR, hint=tell("Look at this machine's clock."),
        )  # fmt: skip
        columns = _gathered(rows.columns, found)
        members = len(columns.get("rain", ()))
        if members < FEWEST_MEMBERS:
            raise BadAnswer(
                tell(
                    "The ensemble {model} has {count} members with rain for this place; at least"
                    " {fewest} are needed to count by.",
                    model=self.model,
                    count=members,
                    fewest=FEWEST_MEMBERS,
                )
            )
        out = sum(rows.dropped.values())
        what = "1 value" if out == 1 else f"{out} values"
        notes = (f"{what} of the ensemble could not be true.",) if out else ()
        ensemble = Ensemble(
            datetime.fromtimestamp(rows.times[0] - HOUR, UTC),
            columns,
            Source(self.provider, now),
            self.step or SLOW_STEPS.get(self.model, STEP),
        )
        url = str(base.copy_merge_params(parameters))
        return FetchedEnsemble(ensemble, now, self.provider, url, notes)

    def _wrong_request(self) -> Iterator[str]:
        if not re.fullmatch(r"[a-z0-9_]+", self.model):
            yield tell("the ensemble model's name is not one word of small letters, digits and _")


def members_of(keys: Iterable[str], asked: Sequence[str], model: str) -> dict[str, tuple[str, int]]:
    """Of an answer's keys those of members: to which variable of `asked` and which member each
    belongs, 0 for the control run.

    A key is a variable's name, then perhaps `_member` and a number, then perhaps `_` and the
    model; the longest name that fits is meant, since names hold digits and begin alike.
    """
    out: dict[str, tuple[str, int]] = {}
    for key in keys:
        for name in sorted(asked, key=len, reverse=True):
            if not key.startswith(name):
                continue
            rest = key[len(name) :].removesuffix(f"_{model}")
            number = re.fullmatch(r"_member([0-9]{1,3})", rest)
            if not rest or number:
                out[key] = (name, int(number[1]) if number else 0)
                break
    return out


def _gathered(
    columns: Mapping[str, Floats], found: Mapping[str, tuple[str, int]]
) -> dict[str, Floats]:
    """Our columns of shape (members, hours), of the members of which some rain is known."""
    by_name: dict[str, dict[int, Floats]] = {}
    for key, (name, member) in found.items():
        by_name.setdefault(VARIABLES[name].column, {}).setdefault(member, columns[key])
    rain = by_name.get("rain", {})
    members = sorted(member for member, hours in rain.items() if not np.isnan(hours).all())
    if not members:
        return {}
    unknown = np.full(len(rain[members[0]]), np.nan)
    return {
        name: np.stack([one.get(member, unknown) for member in members])
        for name, one in by_name.items()
    }
