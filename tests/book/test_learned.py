"""The shop's own words and settings: seen, amended and taken back like any record."""

import pytest

from defectlog.book.acts import writing
from defectlog.book.journal import history
from defectlog.book.learned import forget, learn, learned, settings, settle
from defectlog.book.tables import Word
from defectlog.book.undo import undo
from defectlog.errors import NotFound


def test_a_word_is_learned_amended_and_forgotten(book):
    for defect in ("gas-holes", "shrinkage-porosity"):
        with writing(book, "learn") as act:
            learn(act, "Pin  Holes", defect)
    assert learned(book) == {"pin holes": "shrinkage-porosity"}
    with writing(book, "forget") as act:
        forget(act, "pin-holes")
    assert learned(book) == {}
    undo(book)
    undo(book, 2)
    assert learned(book) == {"pin holes": "gas-holes"}
    assert [entry.what for entry in history(book, Word, "pin holes")][:2] == ["added", "amended"]


def test_a_word_never_learned_cannot_be_forgotten(book):
    with pytest.raises(NotFound), writing(book, "forget") as act:
        forget(act, "blows")


def test_settings_are_kept_changed_and_taken_out(book):
    with writing(book, "settings") as act:
        settle(act, "units", "us")
        settle(act, "currency", "EUR")
        settle(act, "units", "metric")
        settle(act, "currency", None)
        settle(act, "never there", None)
    assert settings(book) == {"units": "metric"}
