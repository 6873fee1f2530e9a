"""Photos beside the book: kept once, by what is in them, and there with every backup."""

import pytest

from defectlog.book.acts import writing
from defectlog.book.checking import check_book
from defectlog.book.photos import LARGEST, copy_photos, folder_of, keep, photos_in, read_photo
from defectlog.errors import BadInput, BookUnusable, NotFound
from defectlog.records.kinds import Finding, Mould, Pattern
from tests.book.test_pictures import SECRET, exif, jpeg, png


@pytest.fixture
def picture(tmp_path):
    path = tmp_path / "IMG_0001.JPG"
    path.write_bytes(jpeg(exif(6)))
    return path


def test_a_photo_is_kept_once_by_what_is_in_it(book, picture, tmp_path):
    same = tmp_path / "copy.jpg"
    same.write_bytes(picture.read_bytes() + SECRET)
    one, other = read_photo(picture), read_photo(same)
    assert one == other
    assert one.name.endswith(".jpg")
    assert keep(book.path, one) == keep(book.path, other) == folder_of(book.path) / one.name
    assert [path.name for path in folder_of(book.path).iterdir()] == [one.name]
    assert SECRET not in (folder_of(book.path) / one.name).read_bytes()


@pytest.mark.parametrize(
    ("content", "code"),
    [(b"x" * (LARGEST + 1), "photo-large"), (b"GIF89a", "photo-not-a-picture"), (b"", "photo-not-a-picture")],
)
def test_what_is_not_taken_is_said(tmp_path, content, code):
    path = tmp_path / "x.jpg"
    path.write_bytes(content)
    with pytest.raises(BadInput) as caught:
        read_photo(path)
    assert caught.value.problems[0].code == code


def test_no_file_and_no_folder_to_keep_it_in(book, picture, tmp_path):
    with pytest.raises(NotFound):
        read_photo(tmp_path / "none.jpg")
    folder_of(book.path).write_text("in the way")
    with pytest.raises(BookUnusable) as caught:
        keep(book.path, read_photo(picture))
    assert caught.value.problems[0].code == "photo-not-kept"


def test_check_finds_a_photo_that_is_gone_or_was_changed(book, picture, tmp_path):
    photo = read_photo(picture)
    keep(book.path, photo)
    with writing(book, "start") as act:
        act.add(Pattern(pattern="P-1", impressions=1))
        act.add(Mould(mould="M-1", pattern="P-1"))
        act.add(Finding(mould="M-1", seen="holes", photo=photo.name))
        act.add(Finding(mould="M-1", seen="as on the board", photo="see the board"))

    def codes():
        return [problem.code for problem in check_book(book) if problem.code.startswith("photo")]

    assert codes() == []
    path = folder_of(book.path) / photo.name
    path.write_bytes(png())
    assert codes() == ["photo-changed"]
    assert copy_photos(book.path, tmp_path / "copy.db") == (0, (photo.name,))
    path.unlink()
    assert codes() == ["photo-missing"]


def test_only_photos_of_ours_are_copied(book, picture, tmp_path):
    photo = read_photo(picture)
    keep(book.path, photo)
    (folder_of(book.path) / "notes.txt").write_text("mine")
    assert copy_photos(book.path, tmp_path / "copy.db") == (1, ())
    assert [path.name for path in photos_in(tmp_path / "copy.db.photos")] == [photo.name]
    assert [path.name for path in (tmp_path / "copy.db.photos").iterdir()] == [photo.name]
