"""What a product leaves on paving."""

from __future__ import annotations

from plan_cases import action, decide, files, granules, weather

from advisor.plan.staining import staining_step

DOSE = weather(rain={-3: 50.0})


def test_iron_granules_come_off_paving_before_any_water() -> None:
    """Shaddox and Unruh 2018: iron granules left on concrete and then wetted make rust spots."""
    for stated in ('iron = "2%"', 'derived_from = "urea, ferrous sulfate"'):
        (product,) = files(shelf=granules(more=stated)).shelf.products
        (step,) = staining_step(product)
        assert "rust" in step
        assert "dry" in step


def test_a_spray_is_rinsed_off() -> None:
    shelf = (
        granules(rate="6 fl oz/1000 ft2", more='iron = "5%"\ndensity = "1.2 kg/L"')
        .replace("granular", "liquid")
    )  # fmt: skip
    (step,) = staining_step(files(shelf=shelf).shelf.products[0])
    assert "rinse" in step


def test_without_iron_nothing_is_said() -> None:
    (product,) = files(shelf=granules(more='derived_from = "urea, potash"')).shelf.products
    assert staining_step(product) == ()


def test_the_step_stands_right_after_the_sweeping() -> None:
    found = action(decide(files(shelf=granules(more='iron = "2%"')), series=DOSE)).dose
    assert found is not None
    sweep = next(place for place, step in enumerate(found.steps) if step.startswith("Sweep"))
    assert "rust spots" in found.steps[sweep + 1]
