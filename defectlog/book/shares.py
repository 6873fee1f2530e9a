"""Is the book on a network share? There two machines at once can damage it: what SQLite needs of a disc, locks and
memory shared between programs, a share does not give (https://www.sqlite.org/wal.html, https://www.sqlite.org/useovernet.html).
"""

import re
from contextlib import suppress
from pathlib import Path

from defectlog.errors import Problem

MOUNTS = Path("/proc/mounts")  # Linux; elsewhere nothing is known and nothing is said
OVER_A_NETWORK = frozenset(
    ["nfs", "nfs3", "nfs4", "cifs", "smb", "smb2", "smb3", "smbfs", "afs", "ncpfs", "ceph", "glusterfs", "lustre",
     "beegfs", "davfs", "9p", "fuse.sshfs", "fuse.rclone", "fuse.davfs", "fuse.davfs2", "fuse.glusterfs", "fuse.s3fs",
     "fuse.gvfsd-fuse", "fuse.google-drive-ocamlfuse"]
)  # fmt: skip


def network_share(path: Path) -> str:
    """The kind of share that a path lies on (cifs, nfs4 …), "" when it lies on a disc or nobody knows."""
    with suppress(OSError, RuntimeError):
        wanted = path.absolute().resolve()
        best, kind = -1, ""
        for line in MOUNTS.read_text(encoding="utf-8", errors="replace").splitlines():
            parts = line.split(" ")
            if len(parts) < 3:
                continue
            place = Path(unescaped(parts[1]))
            # Of several mounts on one place the last one counts.
            if len(place.parts) >= best and (wanted == place or place in wanted.parents):
                best, kind = len(place.parts), parts[2]
        return kind if kind in OVER_A_NETWORK else ""
    return ""


def unescaped(text: str) -> str:
    r"""Blanks and the like stand as three octal digits there: \040."""
    return re.sub(r"\\([0-7]{3})", lambda code: chr(int(code[1], 8)), text)


def share_problem(path: Path) -> Problem | None:
    """The warning for a book on a share, or None."""
    kind = network_share(path)
    if not kind:
        return None
    found = f"the book is on a network share ({kind}); two machines writing at once could damage it"
    rule = "one machine at a time, or keep the book on its own disc"
    return Problem("book-on-a-share", str(path), found, rule, "and make backups often: defectlog backup FILE")
