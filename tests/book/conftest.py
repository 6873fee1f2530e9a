"""A new book for each test."""

import pytest

from defectlog.book.open import open_book


@pytest.fixture
def book(tmp_path):
    with open_book(tmp_path / "book.db") as opened:
        yield opened
