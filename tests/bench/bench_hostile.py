"""Every hostile text × every field that holds text × every way of showing it: what was tried and what leaked.

python -m tests.bench.bench_hostile            all texts, about eight minutes
python -m tests.bench.bench_hostile emoji sql  some of them
"""

import sys
import tempfile
from pathlib import Path

from tests.hostile.strings import KEPT, REFUSED
from tests.hostile.test_hostile import refused_everywhere
from tests.hostile.trying import Tried, try_text


def main(names: list[str]) -> int:
    tried = Tried()
    for name in names or list(KEPT):
        with tempfile.TemporaryDirectory() as folder:
            try_text(name, KEPT[name], Path(folder), tried)
    for leak in tried.leaks:
        print(f"LEAK {leak}".encode("ascii", "backslashreplace").decode())
    taken = [line for name, text in REFUSED.items() for line in refused_everywhere(name, text)]
    for line in taken:
        print(line)
    shown = f"{tried.texts} texts × {tried.fields} fields of 7 kinds, {tried.outputs} outputs looked through"
    print(f"{shown}: {len(tried.leaks)} leaks")
    print(f"{len(REFUSED)} texts × {tried.fields} fields that no record keeps: {len(taken)} taken")
    return 1 if tried.leaks or taken else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
