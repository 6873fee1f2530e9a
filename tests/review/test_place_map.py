"""The place map: every casting in exactly one cell, every impression of the plate in a row. Invented castings."""

from hypothesis import given
from hypothesis import strategies as some

from defectlog.review.place_map import place_maps
from tests.review.months import charge

impressions = some.one_of(some.none(), some.integers(1, 6))
places = some.sampled_from(["cope-face", "near-gate", ""])
charges = some.builds(
    lambda impression, place, castings, pattern: charge(
        castings=castings, impression=impression, impressions=4, place=place, pattern=pattern
    ),
    impressions,
    places,
    some.integers(1, 3),
    some.sampled_from(["P-104", "P-7"]),
)


def test_rows_are_the_impressions_and_columns_the_places_fullest_first() -> None:
    (only,) = place_maps(
        [
            charge(impression=3, impressions=4, place="near-gate"),
            charge(impression=3, impressions=4, place="near-gate", castings=2),
            charge(impression=1, impressions=4, place="cope-face"),
            charge(impressions=4),
        ]
    )
    assert only.rows == (1, 2, 3, 4, None)
    assert only.columns == ("near-gate", "cope-face", "")
    assert only.castings == {(3, "near-gate"): 3, (1, "cope-face"): 1, (None, ""): 1}
    assert (only.row_total(3), only.column_total("near-gate"), only.total) == (3, 3, 5)


def test_an_impression_that_the_card_has_not_gets_a_row_all_the_same() -> None:
    (only,) = place_maps([charge(impression=6, impressions=2)])
    assert only.rows == (1, 2, 6)


@given(some.lists(charges, max_size=30))
def test_no_casting_is_lost_and_none_counted_twice(rows: list) -> None:
    maps = place_maps(rows)
    assert sum(item.total for item in maps) == sum(row.castings for row in rows)
    for item in maps:
        assert sum(item.row_total(row) for row in item.rows) == item.total
        assert sum(item.column_total(column) for column in item.columns) == item.total
