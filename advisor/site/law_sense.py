"""Whether what an owner states of the local law makes sense together, and with the lawns."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from advisor.site.fields import NAME, MonthDay, word_hint
from advisor.site.law import Ban, Ordinance, WateringTimes
from advisor.site.lawns import Lawn
from advisor.site.place import Place, WeatherFrom
from advisor.site.problem import nearest
from advisor.site.reading import Raw, good_tables, quietly, tables
from advisor.site.toml_lines import Path
from advisor.site.under_law import distance_law, strip_m2

OF_LAWNS = ("ban", "ordinance", "watering")
"""Tables that may name the lawns that they cover."""


def check_law(raw: Raw, lawns: Sequence[str]) -> None:
    """Note what does not make sense in the tables of the law; `lawns` are the lawns' names."""
    for key in OF_LAWNS:
        for index, table in enumerate(tables(raw, key)):
            listed = table.get("lawns") if isinstance(table, dict) else None
            for place, name in enumerate(listed if isinstance(listed, list) else ()):
                if isinstance(name, str) and NAME.fullmatch(name) and name not in lawns:
                    hint = word_hint(name, [known for known in lawns if known])
                    raw.at((key, index, "lawns", place), f"no lawn is called “{name}”", hint)
    for path, ban in good_tables(Ban, raw, "ban"):
        _check_season(raw, path, ban.first, ban.last)
        if not (ban.nutrients or ban.tasks or ban.actives):
            raw.at_key(path, "this ban bans nothing", 'Write: nutrients = ["nitrogen"]')
        if ban.unless and "phosphorus" not in ban.nutrients:
            raw.at(
                (*path, "unless"),
                "unless: only phosphorus is freed by a soil test or a first season",
                'Add it: nutrients = ["phosphorus"]',
            )
    for path, law in good_tables(Ordinance, raw, "ordinance"):
        _check_distances(raw, path, law)
        _check_limits(raw, path, law)
    house = quietly(Place, raw.data.get("place"))
    for path, rule in good_tables(WateringTimes, raw, "watering"):
        _check_season(raw, path, rule.first, rule.last)
        if rule.houses is not None and house is not None and house.house is None:
            raw.at(
                (*path, "houses"),
                "houses: the number of your house is not stated",
                "Write under [place]: house = 117",
            )
    _check_strips(raw)
    _check_watches(raw)


def _check_season(raw: Raw, path: Path, first: MonthDay | None, last: MonthDay | None) -> None:
    if (first is None) is (last is None):
        return
    missing = "from" if first is None else "to"
    right = "06-01" if first is None else "09-30"
    raw.at_key(path, f"“{missing}” is missing", f'Write: {missing} = "{right}"')


def _check_distances(raw: Raw, path: Path, law: Ordinance) -> None:
    full, guarded = law.from_water_m, law.from_water_guarded_m
    if guarded is None:
        return
    if full is None:
        raw.at(
            (*path, "from_water_guarded"),
            "from_water_guarded: the distance without a deflector is missing",
            'Write: from_water = "10 ft"',
        )
    elif guarded > full:
        raw.at(
            (*path, "from_water_guarded"),
            "from_water_guarded: it cannot be more than from_water",
            "It is the lesser distance, where a deflector or a drop spreader is used.",
        )


LIMITS = {
    "nitrogen": ("slow_release", "nitrogen_once", "soluble_once", "nitrogen_year"),
    "phosphorus": ("phosphate_once", "phosphate_year"),
}
"""Keys that limit a nutrient: a law that states one has to speak of that nutrient."""


def _check_limits(raw: Raw, path: Path, law: Ordinance) -> None:
    for nutrient, keys in LIMITS.items():
        if nutrient in law.nutrients:
            continue
        for key in keys:
            if (*path, key) in raw.spots.keys:
                raw.at_key(
                    (*path, key),
                    f"{key}: {law.title} limits {nutrient}, and its nutrients do not name it",
                    f'Add it to nutrients: "{nutrient}"',
                )


def check_banned(raw: Raw, actives: Collection[str]) -> None:
    """Warn of a ban on an active ingredient that nothing carries, where one of `actives`, which
    the shelf has, is called nearly so: written otherwise it would be free."""
    for path, ban in good_tables(Ban, raw, "ban"):
        for index, name in enumerate(ban.actives):
            near = "" if name in actives else nearest(name, actives)
            if near:
                raw.at(
                    (*path, "actives", index),
                    f"no product on the shelf carries “{name}”",
                    near,
                    warning=True,
                )


def _check_strips(raw: Raw) -> None:
    """Each lawn beside the distances that the laws keep from water."""
    laws = [law for _, law in good_tables(Ordinance, raw, "ordinance")]
    for path, lawn in good_tables(Lawn, raw, "lawn"):
        asking = distance_law(laws, lawn)
        if asking is None:
            continue
        if strip_m2(laws, lawn) >= lawn.area_m2:
            raw.at(
                (*path, "shore"),
                f"shore: the distance from water that {asking.title} asks for leaves nothing of"
                " this lawn",
                "Look at its length, and at its area.",
            )
        elif lawn.shore_m is None and not lawn.setback_m2:
            raw.at_key(
                path,
                f"how much of {lawn.name} lies along water is not stated, and {asking.title} keeps"
                " a distance from it",
                'Write: shore = "60 ft", or "0 ft" where there is none.',
                warning=True,
            )


def _check_watches(raw: Raw) -> None:
    """A service for storm watches that is named where it is of no use."""
    weather = quietly(WeatherFrom, raw.data.get("weather"))
    if weather is None or weather.watches is None:
        return
    place = ("weather", "watches")
    storms = any(law.storms for _, law in good_tables(Ordinance, raw, "ordinance"))
    if not storms:
        raw.at_key(
            place,
            "watches: nobody is asked, since no ordinance here speaks of storms",
            "Write in one: storms = true",
            warning=True,
        )
    elif weather.recorded is not None:
        raw.at_key(
            place,
            "watches: no service knows them for recorded weather, so all that the law covers is"
            " held",
            "Take it out; the journal's lines tell: watch until 2026-09-10",
            warning=True,
        )
