"""The house: who may import whom, what the pure rooms may not touch, what the quick commands may not load."""

import ast
import os
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "defectlog"
# Reading order is import order: each room sees only the rooms before it.
ROOMS = (
    "errors",
    "units",
    "dates",
    "records",
    "rulebase",
    "foundry",
    "diagnosis",
    "review",
    "book",
    "sheets",
    "report",
    "jobs",
    "cli",
)
PURE = ("records", "foundry", "diagnosis", "review")
# Modules with which a room would read a file, ask the clock, open a database or talk to somebody.
NOT_IN_PURE_ROOMS = {
    "os",
    "io",
    "pathlib",
    "sqlite3",
    "sys",
    "time",
    "subprocess",
    "logging",
    "rich",
    "typer",
    "random",
}
CALLS_NOT_IN_PURE_ROOMS = {"print", "open", "input"}
HEAVY = ("pandas", "sqlite_utils", "pydantic", "scipy", "statsmodels", "sklearn", "xlsxwriter", "python_calamine")


def modules() -> list[Path]:
    return sorted(PACKAGE.rglob("*.py"))


def room_of(path: Path) -> str:
    first = path.relative_to(PACKAGE).parts[0]
    return first.removesuffix(".py")


def imports_of(path: Path) -> list[str]:
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found += [name.name for name in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            found.append(node.module)
    return found


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_a_module_imports_only_from_rooms_before_its_own(path: Path) -> None:
    room = room_of(path)
    if room not in ROOMS:
        assert room in ("__init__", "__main__")
        return
    for name in imports_of(path):
        if name.startswith("defectlog."):
            other = name.split(".")[1]
            assert ROOMS.index(other) <= ROOMS.index(room), f"{room} imports {name}"


def test_no_module_is_imported_in_a_circle() -> None:
    graph = {}
    for path in modules():
        name = "defectlog." + ".".join(path.relative_to(PACKAGE).with_suffix("").parts)
        graph[name.removesuffix(".__init__")] = {item for item in imports_of(path) if item.startswith("defectlog.")}
    done: set[str] = set()

    def visit(name: str, above: tuple[str, ...]) -> None:
        assert name not in above, " → ".join((*above, name))
        if name in done:
            return
        for other in graph.get(name, ()):
            visit(other, (*above, name))
        done.add(name)

    for name in graph:
        visit(name, ())


@pytest.mark.parametrize("path", [path for path in modules() if room_of(path) in PURE], ids=lambda path: path.name)
def test_the_pure_rooms_touch_no_file_clock_database_or_screen(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert not {name.split(".")[0] for name in imports_of(path)} & NOT_IN_PURE_ROOMS
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            if isinstance(node.func, ast.Name):
                assert node.func.id not in CALLS_NOT_IN_PURE_ROOMS, f"line {node.lineno}"
            if isinstance(node.func, ast.Attribute):
                assert node.func.attr not in ("today", "now", "utcnow"), f"line {node.lineno}"


def loaded_by(arguments: list[str], folder: Path) -> set[str]:
    """Every module that one run of the program loads, in a process of its own."""
    code = (
        "import sys\n"
        "from defectlog.cli.main import run\n"
        f"code = run({arguments!r})\n"
        "print('MODULES', code, ' '.join(sorted(sys.modules)), file=sys.stderr)\n"
    )
    environment = {**os.environ, "XDG_CACHE_HOME": str(folder), "PYTHONWARNINGS": "error", "DEFECTLOG_DEBUG": "1"}
    result = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, env=environment, check=True, cwd=folder
    )
    last = [line for line in result.stderr.splitlines() if line.startswith("MODULES")][-1].split()
    assert last[1] == "0", result.stderr
    return set(last[2:])


@pytest.fixture(scope="module")
def quick_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    from defectlog.cli.main import run
    from defectlog.jobs.invented_shop import write_sheets

    folder = tmp_path_factory.mktemp("quick")
    write_sheets(folder / "sheets")
    assert run(["--book", str(folder / "shop.db"), "import", str(folder / "sheets")]) == 0
    return folder / "shop.db"


@pytest.mark.parametrize(
    "arguments",
    [["--help"], ["why", "P-104"], ["why", "P-104", "--json"], ["shakeout", "M-0003", "--good"]],
    ids=["help", "why", "why in JSON", "shakeout"],
)
def test_the_quick_commands_load_nothing_heavy(arguments: list[str], quick_book: Path, tmp_path: Path) -> None:
    loaded = loaded_by(["--book", str(quick_book), *arguments], tmp_path)
    assert not {name for name in loaded if name.split(".")[0] in HEAVY}
    assert "rich.console" not in loaded  # drawn only on a terminal


def test_shakeout_does_not_even_load_numpy(quick_book: Path, tmp_path: Path) -> None:
    loaded = loaded_by(["--book", str(quick_book), "shakeout", "M-0002", "--scrap", "1", "--defect", "dross"], tmp_path)
    assert "numpy" not in loaded
