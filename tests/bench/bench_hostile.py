"""Every hostile text × every field that holds text × every way of showing it: what was tried and what leaked.

python -m tests.bench.bench_hostile            all texts, a quarter of an hour or more
python -m tests.bench.bench_hostile emoji sql  some of them
"""

import sys
import tempfile
from pathlib import Path

from tests.hostile.strings import KEPT, REFUSED
from tests.hostile.test_hostile import refused_everywhere
from tests.hostile.trying import TEXT_FIELDS, Tried, try_text


def main(names: list[str]) -> int:
    tried = Tried()
    chosen = names or list(KEPT)
    for number, name in enumerate(chosen, 1):
        print(f"\r{number} of {len(chosen)}", end="", file=sys.stderr, flush=True)
        with tempfile.TemporaryDirectory() as folder:
            try_text(name, KEPT[name], Path(folder), tried)
    print(file=sys.stderr)
    for leak in tried.leaks:
        print(f"LEAK {leak}".encode("ascii", "backslashreplace").decode())
    taken = [line for name, text in REFUSED.items() for line in refused_everywhere(name, text)]
    for line in taken:
        print(line)
    ways = ", ".join(f"{number:,} {way}" for way, number in tried.by_way.most_common())
    print(f"{tried.texts} texts × {tried.fields} fields × {tried.outputs // max(tried.texts, 1)} outputs")
    print(f"{tried.outputs:,} outputs looked through ({ways}): {len(tried.leaks)} leaks")
    print(f"{len(REFUSED)} texts × {len(TEXT_FIELDS)} fields that no record keeps: {len(taken)} taken")
    return 1 if tried.leaks or taken else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
