"""A backup in the place of the book, on the command line."""


def test_a_book_that_was_lost_comes_back(typed, tmp_path, book_path):
    typed("pattern add P-1 --impressions 4")
    copy = str(tmp_path / "copy.db")
    typed("backup", copy)
    for file in book_path.parent.glob("shop.db*"):
        file.unlink()
    answer = typed("restore", copy)
    assert answer.code == 0
    assert "restored" in answer.out
    assert typed("pattern show P-1").code == 0


def test_acts_that_are_not_in_the_backup_are_not_lost_without_a_word(typed, tmp_path):
    typed("pattern add P-1 --impressions 4")
    copy = str(tmp_path / "copy.db")
    typed("backup", copy)
    typed("heat add H-7")
    answer = typed("restore", copy)
    assert answer.code == 2
    assert "1 act of this book is not in the backup" in answer.err
    assert typed("heat show H-7").code == 0
    assert "heat add H-7" in answer.err
    forced = typed("restore", copy, "--force")
    assert forced.code == 0
    assert "what was here before is kept" in forced.out
    assert typed("heat show H-7").code == 2


def test_a_file_that_is_no_book_is_refused(typed, tmp_path):
    other = tmp_path / "letter.txt"
    other.write_text("no book")
    answer = typed("restore", str(other))
    assert answer.code == 3
    assert "not a record book" in answer.err
