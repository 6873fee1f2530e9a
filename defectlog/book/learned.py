"""What the book has learned from the shop: its own words for defects, and what it has settled once.

Both are rows like any other: seen in the journal, taken back by undo.
"""

from defectlog.book.acts import Act
from defectlog.book.open import Book
from defectlog.book.rows import row_of
from defectlog.book.tables import Setting, Word, table_of
from defectlog.records.cells import folded


def learn(act: Act, word: str, defect: str) -> None:
    """From now on the shop's `word` means the defect with this id; a word it had learned otherwise is amended."""
    put(act, Word(word=folded(word), defect=defect))


def forget(act: Act, word: str) -> None:
    """Raises NotFound when the word was never learned."""
    act.withdraw(Word, folded(word))


def learned(book: Book) -> dict[str, str]:
    """The shop's words, folded (records.cells.folded) → defect id."""
    return dict(book.rows("SELECT word, defect FROM word WHERE withdrawn_by IS NULL ORDER BY word"))


def settle(act: Act, name: str, value: str | None) -> None:
    """Keep a setting; None takes it out again."""
    if value is not None:
        put(act, Setting(name=name, value=value))
    elif row_of(act.book, table_of(Setting), (name,)) is not None:
        act.withdraw(Setting, name)


def settings(book: Book) -> dict[str, str]:
    """Name → value of everything that was settled."""
    return dict(book.rows("SELECT name, value FROM setting WHERE withdrawn_by IS NULL ORDER BY name"))


def put(act: Act, record: Word | Setting) -> None:
    table = table_of(type(record))
    name = record.word if isinstance(record, Word) else record.name
    if row_of(act.book, table, (name,)) is None:
        act.add(record)
    elif isinstance(record, Word):
        act.amend(Word, name, {"defect": record.defect})
    else:
        act.amend(Setting, name, {"value": record.value})
