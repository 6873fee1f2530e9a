"""Is the book on a network share? Lists of mounts in the form of proc(5), written here."""

from pathlib import Path

import pytest

from defectlog.book import shares

LIST = """\
/dev/sda1 / ext4 rw,relatime 0 0
tmpfs /tmp tmpfs rw 0 0
//office/data /mnt/shop\\040data cifs rw,vers=3.0 0 0
/dev/sdb1 /mnt/shop\\040data/stick vfat rw 0 0
nas:/books /home/shop nfs4 rw 0 0
"""


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/var/book.db", ""),
        ("/mnt/shop data/book.db", "cifs"),
        ("/mnt/shop data/stick/book.db", ""),
        ("/home/shop/books/book.db", "nfs4"),
        ("/home/shopping/book.db", ""),
    ],
)
def test_the_innermost_mount_counts(tmp_path, monkeypatch, path, kind):
    (tmp_path / "mounts").write_text(LIST)
    monkeypatch.setattr(shares, "MOUNTS", tmp_path / "mounts")
    assert shares.network_share(Path(path)) == kind
    problem = shares.share_problem(Path(path))
    assert (problem is not None) == bool(kind)
    if problem is not None:
        assert (problem.code, kind in problem.found) == ("book-on-a-share", True)


def test_where_nothing_is_known_nothing_is_said(tmp_path, monkeypatch):
    monkeypatch.setattr(shares, "MOUNTS", tmp_path / "none")
    assert shares.share_problem(tmp_path / "book.db") is None
