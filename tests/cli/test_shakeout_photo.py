"""A photo with what was seen: cleaned, kept beside the book, named in the finding."""

import pytest

from defectlog.book.photos import folder_of
from tests.book.test_pictures import SECRET, exif, jpeg
from tests.cli.small_shop import acts_written, fill, findings


@pytest.fixture
def shop(typed, book_path):
    fill(book_path)
    return typed


@pytest.fixture
def picture(tmp_path):
    path = tmp_path / "IMG 1.jpg"
    path.write_bytes(jpeg(exif(6)))
    return path


def test_a_photo_is_kept_clean_and_named_by_the_finding(shop, book_path, picture):
    answer = shop("shakeout", "M-231", "--scrap", "1", "--seen", "round holes", "--photo", str(picture))
    assert answer.code == 0, answer.err
    [finding] = findings(book_path, "M-231")
    [kept] = folder_of(book_path).iterdir()
    assert finding.photo == kept.name
    assert SECRET not in kept.read_bytes()
    assert shop("check").code == 0


def test_what_is_refused_leaves_no_photo_and_no_act(shop, book_path, picture):
    before = acts_written(book_path)
    for line in (["--good"], ["--scrap", "99"], ["--scrap", "1", "--dry-run"], ["--is", "dross"]):
        shop("shakeout", "M-231", *line, "--photo", str(picture))
        assert not folder_of(book_path).exists(), line
    assert acts_written(book_path) == before


@pytest.mark.parametrize(("content", "said"), [(b"GIF89a", "this is no picture"), (None, "there is no file")])
def test_what_is_no_picture_is_said_before_anything_is_written(shop, book_path, tmp_path, content, said):
    path = tmp_path / "x.jpg"
    if content is not None:
        path.write_bytes(content)
    before = acts_written(book_path)
    answer = shop("shakeout", "M-231", "--scrap", "1", "--photo", str(path))
    assert answer.code == 2
    assert said in answer.err
    assert acts_written(book_path) == before


def test_after_a_crash_the_same_words_again_are_written_once(shop, book_path, monkeypatch):
    """The program is stopped when the act is in and its answer is not out."""

    def stopped(*_):
        raise KeyboardInterrupt

    line = "shakeout M-231 --scrap 1 --seen 'round holes'"
    with monkeypatch.context() as crash:
        crash.setattr("defectlog.cli.shakeout.Log.answer", stopped)
        assert shop(line).code == 130
    monkeypatch.setattr("defectlog.book.unanswered.runs", lambda _: False)
    answer = shop(line)
    assert answer.code == 0
    assert len(findings(book_path, "M-231")) == 1
    assert shop(line).code == 0
    assert len(findings(book_path, "M-231")) == 2
