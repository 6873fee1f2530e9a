"""New books, the invented shop, and sheets written by the test itself."""

from pathlib import Path

import pytest

from defectlog.book.open import open_book

SMALL_SHOP = Path(__file__).parent / "data" / "small-shop"


@pytest.fixture
def small_shop():
    return SMALL_SHOP


@pytest.fixture
def new_book(tmp_path):
    """A function that opens one more new book."""
    opened = []

    def new():
        opened.append(open_book(tmp_path / f"book-{len(opened)}.db"))
        return opened[-1]

    yield new
    for book in opened:
        book.close()


@pytest.fixture
def book(new_book):
    return new_book()


@pytest.fixture
def folder(tmp_path):
    """A function that writes sheets into a folder: folder(moulds="mould,pattern\\nM-1,P-1\\n")."""

    def write(name="sheets", **sheets):
        path = tmp_path / name
        path.mkdir(exist_ok=True)
        for sheet, text in sheets.items():
            (path / f"{sheet}.csv").write_bytes(text if isinstance(text, bytes) else text.encode())
        return path

    return write
