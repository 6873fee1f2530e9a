"""Words to places, on the real rule base."""

import pytest

from defectlog.diagnosis.places_in_text import places_of
from tests.diagnosis.small_rules import real_rules

PLACES = sorted(real_rules().places)


@pytest.mark.parametrize("place", PLACES)
def test_every_way_of_naming_a_place_is_read_as_that_place(place: str) -> None:
    for says in real_rules().places[place].says:
        assert place in places_of(f"holes {says}", real_rules()), says


@pytest.mark.parametrize(
    ("text", "places"),
    [
        ("holes on the top face", {"cope-face"}),
        ("underside", {"drag-face"}),
        ("not at the gate", set()),
        ("grains round the small core", {"around-core"}),
        ("opposite the gate", {"far-from-gate"}),
        ("thin part of it", {"thin-section"}),
        ("round holes", set()),
        ("just under the skin", {"below-skin"}),
    ],
)
def test_readings(text: str, places: set[str]) -> None:
    assert set(places_of(text, real_rules())) == places


@pytest.mark.parametrize(("typed", "never"), [("core", "cope-face"), ("cope", "around-core"), ("cope", "drag-face")])
def test_cope_drag_and_core_never_swap(typed: str, never: str) -> None:
    assert never not in places_of(f"holes in the {typed}", real_rules())
