"""The shelf: the products that the owner has, as their labels state them in shelf.toml."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from advisor.language.words import later
from advisor.series.quantity import Kind
from advisor.site.amounts import (
    ActiveGM2,
    Amount,
    Celsius,
    DryHours,
    IntervalDays,
    KgPerL,
    PackAmount,
    Percent,
    RateAmount,
    Share,
    SprayLM2,
    WaterMm,
    WindMS,
)
from advisor.site.fields import GrassOrClass, Line, Name, Table, Task, WrongTextError, as_text
from advisor.site.nitrogen import NitrogenForm, material, printed_words, slow_share

PHOSPHORUS_IN_P2O5 = 0.4364
POTASSIUM_IN_K2O = 0.8301
"""Elements in the oxides of a label, by mass (from the atomic masses of the elements)."""

PESTICIDE_TASKS = ("pre-emergent", "grub-preventive", "broadleaf-herbicide")
"""Tasks that only a pesticide serves."""


@dataclass(frozen=True)
class Analysis:
    """N, P2O5 and K2O of a label as fractions by mass; `text` as it is printed."""

    text: str
    nitrogen: float
    phosphate: float
    potash: float


def read_analysis(text: str) -> Analysis:
    """Read a label's N-P-K such as 24-0-6. Raises WrongTextError."""
    number = r"([0-9]{1,2}(?:\.[0-9]{1,2})?)"
    match = re.fullmatch(rf"{number}-{number}-{number}", text.strip())
    if match is None:
        raise WrongTextError("the three numbers of a label were expected, such as 24-0-6")
    parts = [float(part) / 100 for part in match.groups()]
    if sum(parts) > 1:
        raise WrongTextError(f"{text.strip()} adds up to more than 100 %")
    return Analysis(match.group(), *parts)


def _analysis(value: object) -> object:
    if isinstance(value, Analysis):
        return value
    return read_analysis(as_text(value, '"24-0-6"'))


class Product(Table):
    """One product. What its label says and the shelf does not stays unknown, and is not assumed."""

    name: Name = Field(examples=["spring-granules"], description="used in the journal; for ever")
    title: Line | None = Field(
        default=None, examples=["Spring granules 24-0-6"], description="the name for people"
    )
    serves: tuple[Task, ...] = Field(
        strict=False, min_length=1, examples=[["feed"]], description="the tasks that it serves"
    )
    form: Literal["granular", "liquid"] = Field(
        examples=["granular"], description="how it is put down"
    )
    analysis: Annotated[Analysis, BeforeValidator(_analysis)] | None = Field(
        default=None, examples=["24-0-6"], description="N-P2O5-K2O in percent"
    )
    slow_release_stated: Share | None = Field(
        default=None,
        alias="slow_release",
        examples=["50%"],
        description="share of the nitrogen that is slow-release; worked out where its forms tell",
    )
    nitrogen: dict[NitrogenForm, Percent] = Field(
        default={},
        examples=[{"urea": "12%", "coated-urea": "12%"}],
        description="forms of its nitrogen, in percent of the product; they add up to the analysis",
    )
    derived_from: Line | None = Field(
        default=None,
        examples=["polymer-coated urea, urea, muriate of potash"],
        description="the label's words “derived from”, with commas between them",
    )
    iron: Share = Field(default=0.0, examples=["2%"], description="iron by weight")
    actives: dict[Name, Percent] = Field(
        default={},
        examples=[{"prodiamine": "0.38%"}],
        description="active ingredients by weight; with any, it is a pesticide or a wetting agent",
    )
    actives_year_g_m2: dict[Name, ActiveGM2] = Field(
        default={},
        alias="actives_year",
        examples=[{"prodiamine": "1.5 lb/acre"}],
        description="most of an active ingredient in a year, where the label limits that",
    )
    grasses: tuple[GrassOrClass, ...] = Field(
        default=(),
        strict=False,
        examples=[["cool-season"]],
        description="grasses or classes that the label allows; an empty list allows all",
    )
    rate: RateAmount | None = Field(
        default=None, examples=["3 lb/1000 ft2"], description="most product in one application"
    )
    rate_year: RateAmount | None = Field(
        default=None, examples=["6 lb/1000 ft2"], description="most product in a year"
    )
    carrier_l_m2: SprayLM2 | None = Field(
        default=None,
        alias="carrier",
        examples=["1 gal/1000 ft2"],
        description="spray that the label wants on the area, water and product together",
    )
    interval_days: IntervalDays | None = Field(
        default=None,
        alias="interval",
        examples=["60 days"],
        description="least time between two applications",
    )
    water_in_mm: WaterMm | None = Field(
        default=None, alias="water_in", examples=["0.5 in"], description="water after application"
    )
    dry_hours: DryHours | None = Field(
        default=None, examples=["4 hours"], description="how long it must stay dry"
    )
    rain_hold_mm: WaterMm | None = Field(
        default=None,
        alias="rain_hold",
        examples=["0.5 in"],
        description="rain within a day that would ruin it",
    )
    air_max_c: Celsius | None = Field(
        default=None, alias="air_max", examples=["85 F"], description="too hot above this"
    )
    wind_max_m_s: WindMS | None = Field(
        default=None, alias="wind_max", examples=["10 mph"], description="too windy above this"
    )
    seeding_interval_days: IntervalDays | None = Field(
        default=None,
        alias="seeding_interval",
        examples=["16 weeks"],
        description="least time between it and seeding",
    )
    reentry: Line | None = Field(
        default=None, examples=["until the spray has dried"], description="when to walk on it again"
    )
    signal_word: Literal["none", "caution", "warning", "danger"] | None = Field(
        default=None, examples=["caution"], description="the label's signal word"
    )
    restricted_use: bool | None = Field(
        default=None, examples=[False], description="whether only licensed people may use it"
    )
    density_kg_l: KgPerL | None = Field(
        default=None,
        alias="density",
        examples=["10.4 lb/gal"],
        description="weight per volume of a liquid",
    )
    bag: PackAmount | None = Field(
        default=None, examples=["40 lb"], description="what one bag or bottle holds"
    )
    price: float | None = Field(
        default=None, ge=0, le=1e6, examples=[32.0], description="price of one bag or bottle"
    )

    @property
    def shown(self) -> str:
        """The name for people."""
        return self.title or self.name

    @property
    def is_pesticide(self) -> bool:
        """Whether its label's figures are the law: it has actives, or serves such a task."""
        return bool(self.actives) or any(task in PESTICIDE_TASKS for task in self.serves)

    @property
    def nitrogen_fraction(self) -> float:
        return self.analysis.nitrogen if self.analysis else 0.0

    @property
    def slow_release(self) -> float:
        """Share of the nitrogen that counts as slow-release, 0 to 1; what is not told is quick."""
        return slow_share(self.nitrogen_fraction, self.nitrogen, self.slow_release_stated)

    @property
    def materials(self) -> frozenset[str]:
        """What it was made of, in the words of `nitrogen.MATERIALS`, as far as that is known."""
        found = map(material, printed_words(self.derived_from or ""))
        return frozenset(name for name in found if name is not None)

    @property
    def soluble_fraction(self) -> float:
        """Water-soluble nitrogen by mass: all of it but what the label calls slow-release."""
        return self.nitrogen_fraction * (1 - self.slow_release)

    @property
    def measured_in(self) -> Literal["kg", "L"]:
        """What it is weighed or measured out in: by its rate, else by its form."""
        if self.rate is not None:
            return "kg" if self.rate.kind is Kind.MASS_PER_AREA else "L"
        return "L" if self.form == "liquid" else "kg"

    @property
    def kinds(self) -> frozenset[str]:
        """What it is and carries, in the words of `PRODUCT_KINDS`.

        Granules whose label asks for neither water nor dry hours count as granules to water in,
        those that stay dry first and are watered in later as both; nitrogen that the label does not
        call slow-release counts as quick.
        """
        kinds = {"spray"}
        if self.form == "granular":
            kinds = {"granules-to-water-in"}
            if self.dry_hours is not None:
                kinds = {"granules-on-the-leaf"}
                if self.water_in_mm is not None:
                    kinds.add("granules-to-water-in")
        if self.soluble_fraction > 0.5 * self.nitrogen_fraction:
            kinds.add("quick-nitrogen")
        if self.analysis is not None and self.analysis.phosphate > 0:
            kinds.add("phosphorus")
        return frozenset(kinds)

    def allowed_on(self, grass: str, grass_class: str) -> bool:
        """Whether the label names that grass or its class, or names none."""
        return not self.grasses or grass in self.grasses or grass_class in self.grasses

    def missing_label_figures(self) -> tuple[str, ...]:
        """Keys of the figures without which it may not be put down, in the label's order."""
        missing = [key for key in _PESTICIDE_KEYS if self.is_pesticide and not self._states(key)]
        if not self.is_pesticide and self.rate is None and self.nitrogen_fraction == 0:
            missing.append("rate")
        if self._needs_density and self.density_kg_l is None:
            missing.append("density")
        return tuple(missing)

    def grams(self, amount: Amount) -> float | None:
        """Mass in g of an amount of product (or g/m2 of a rate); None where density is wanted."""
        if amount.kind is Kind.MASS:
            return amount.value * 1000
        if amount.kind is Kind.MASS_PER_AREA:
            return amount.value
        return None if self.density_kg_l is None else amount.value * self.density_kg_l * 1000

    def in_its_measure(self, amount: Amount) -> float | None:
        """An amount of product in `measured_in` (kg or L); None where density is wanted."""
        kind = Kind.MASS if self.measured_in == "kg" else Kind.VOLUME
        if amount.kind is kind:
            return amount.value
        if self.density_kg_l is None:
            return None
        return (
            amount.value * self.density_kg_l
            if kind is Kind.MASS
            else amount.value / self.density_kg_l
        )

    def nutrients_per(self, g_m2: float) -> dict[str, float]:
        """What `g_m2` of product brings, in g/m2: the four nutrients as elements, each active."""
        label = self.analysis or Analysis("0-0-0", 0.0, 0.0, 0.0)
        brings = {
            "nitrogen": label.nitrogen,
            "phosphorus": label.phosphate * PHOSPHORUS_IN_P2O5,
            "potassium": label.potash * POTASSIUM_IN_K2O,
            "iron": self.iron,
        } | self.actives
        return {name: share * g_m2 for name, share in brings.items()}

    @property
    def _needs_density(self) -> bool:
        by_weight = self.analysis is not None or self.iron > 0 or bool(self.actives)
        return self.measured_in == "L" and by_weight

    def _states(self, key: str) -> bool:
        if key == "actives":
            return bool(self.actives)
        if key == "grasses":
            return "grasses" in self.model_fields_set
        return getattr(self, {"interval": "interval_days"}.get(key, key)) is not None


_PESTICIDE_KEYS = (
    "actives",
    "grasses",
    "rate",
    "rate_year",
    "interval",
    "reentry",
    "signal_word",
    "restricted_use",
)

LABEL_WORDS: dict[str, str] = {
    "actives": later("the active ingredients and their percentages"),
    "grasses": later("the grasses that it may be used on"),
    "rate": later("the most product in one application"),
    "rate_year": later("the most product in a year"),
    "interval": later("the least time between two applications"),
    "reentry": later("when people and pets may go on the lawn again"),
    "signal_word": later("the signal word"),
    "restricted_use": later("whether it is for licensed people only"),
    "density": later("the weight per volume, without which nothing by weight can be counted"),
}
"""Each key of `missing_label_figures`, as what to look up on the label; to be told."""


@dataclass(frozen=True)
class Shelf:
    """The products by name, and the names of those whose tables have mistakes."""

    products: tuple[Product, ...] = ()
    broken: tuple[str, ...] = ()

    def get(self, name: str) -> Product | None:
        return next((product for product in self.products if product.name == name), None)

    def serving(self, task: str) -> tuple[Product, ...]:
        """The products that serve a task, in the shelf's order."""
        return tuple(product for product in self.products if task in product.serves)
