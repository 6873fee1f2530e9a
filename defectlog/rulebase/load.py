"""From a folder of rule files to one RuleBase, with the shop's own folder laid over ours.

A file of the shop's with an id of ours replaces our file whole; a new id is added; our files are never edited.
"""

import os
import tomllib
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from defectlog.errors import Problem, RulesBroken
from defectlog.rulebase import shapes
from defectlog.rulebase.cache import Tables, remembered_tables
from defectlog.rulebase.reader import read_value, shortened_key

# How the place of a problem begins when the file lies in the shop's own folder.
SHOPS = "the shop's own "
# A shop's rule file is a page of text; anything larger is not a rule.
LARGEST_FILE = 1_000_000
LIST_FILES: dict[str, tuple[str, type]] = {
    "signs.toml": ("sign", shapes.Sign),
    "places.toml": ("place", shapes.Place),
    "cautions.toml": ("caution", shapes.Caution),
    "sources.toml": ("source", shapes.Source),
    "alloys.toml": ("alloy", shapes.Alloy),
    "refusals.toml": ("refusal", shapes.Refusal),
    "limits.toml": ("limit", shapes.Limit),
}
# Folders in which each file is one rule.
FOLDERS: dict[str, type] = {"defects": shapes.Defect, "causes": shapes.Cause, "told": shapes.Told}


def our_folder() -> Path:
    """Where the rules lie: DEFECTLOG_RULES, or inside the installed package, or beside it in a checkout."""
    named = os.environ.get("DEFECTLOG_RULES")
    if named:
        return Path(named)
    package = Path(__file__).parents[1]
    installed = package / "rules"
    return installed if installed.is_dir() else package.parent / "rules"


def load_rules(
    folder: Path | None = None, shop_folder: Path | None = None, cache_folder: Path | None = None
) -> shapes.RuleBase:
    """The rule base. Raises RulesBroken with every problem of every file at once.

    `cache_folder` keeps the parsed tables by content; it may be deleted at any time, and None keeps nothing.
    """
    problems: list[Problem] = []
    ours = gathered(folder or our_folder(), cache_folder, problems)
    shop = gathered(shop_folder, cache_folder, problems, whose=SHOPS) if shop_folder and shop_folder.is_dir() else {}
    base = RuleFiles(problems)
    base.take_all(ours, own=False)
    base.take_all(shop, own=True)
    if problems:
        raise RulesBroken(problems)
    return base.whole(str(shop_folder) if shop else "")


def gathered(folder: Path, cache_folder: Path | None, problems: list[Problem], whose: str = "") -> Tables:
    """Every readable rule file's table by its path inside the folder, in a fixed order; the others go to `problems`."""
    if not folder.is_dir():
        found = f"there is no rule folder at {folder}"
        raise RulesBroken(
            Problem("rules-missing", "rules", found, "allowed: a folder with sources.toml, defects/ and causes/")
        )
    problems.extend(stray_files(folder, whose))
    contents = {}
    for path in rule_paths(folder):
        name = path.relative_to(folder).as_posix()
        content = small_text(path, whose + name, problems)
        if content is not None:
            contents[name] = content

    def parse(name: str, content: bytes) -> dict[str, Any] | None:
        return parsed(whose + name, content, problems)

    return remembered_tables(contents, cache_folder, parse)


def rule_paths(folder: Path) -> Iterable[Path]:
    yield from (folder / name for name in LIST_FILES if (folder / name).is_file())
    yield from sorted((folder / "defects").glob("*.toml"))
    yield from sorted((folder / "told").glob("*.toml"))
    yield from sorted((folder / "causes").glob("*/*.toml"))


def stray_files(folder: Path, whose: str) -> Iterable[Problem]:
    """Files that nobody would read: a shop that writes its limits into limit.toml must hear of it."""
    for path in sorted(folder.glob("*.toml")):
        if path.name not in LIST_FILES:
            yield Problem(
                "rule-file-unknown", whose + path.name, "no list of that name", f"allowed: {', '.join(LIST_FILES)}"
            )
    for path in sorted((folder / "causes").glob("*.toml")):
        allowed = f"allowed: causes/<area>/{path.name}, with its area: {', '.join(shapes.AREAS)}"
        yield Problem("rule-file-unknown", f"{whose}causes/{path.name}", "a cause outside its area's folder", allowed)


def small_text(path: Path, where: str, problems: list[Problem]) -> bytes | None:
    try:
        if path.stat().st_size <= LARGEST_FILE:
            return path.read_bytes()
    except OSError as error:
        found = f"cannot be read: {error.strerror or error}"
        problems.append(Problem("rule-file-unreadable", where, found, "allowed: a file that you may read"))
        return None
    problems.append(Problem("rule-file-large", where, "over 1 MB", "allowed: rule files of up to 1 MB"))
    return None


def parsed(where: str, content: bytes, problems: list[Problem]) -> dict[str, Any] | None:
    """The TOML of a file; the mark that some Windows editors put before the text is passed over."""
    try:
        return tomllib.loads(content.decode("utf-8-sig"))
    except UnicodeDecodeError:
        problems.append(Problem("rule-not-text", where, "not UTF-8 text", "allowed: UTF-8 text"))
    except RecursionError:
        problems.append(Problem("rule-not-toml", where, "nested too deeply", "allowed: TOML; see rules/README.md"))
    except ValueError as error:  # TOMLDecodeError, and Python's own refusal of numbers of thousands of digits
        problems.append(Problem("rule-not-toml", where, str(error), "allowed: TOML; see rules/README.md"))
    return None


class RuleFiles:
    """Takes one file after another, later ones over earlier ones, gathering problems."""

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = problems
        self.by_kind: dict[type, dict[str, Any]] = {kind: {} for _, kind in LIST_FILES.values()}
        self.by_kind |= {kind: {} for kind in FOLDERS.values()}

    def take_all(self, tables: Tables, *, own: bool) -> None:
        """One folder's tables; an id stands once in a folder, and a later folder's replaces an earlier one's."""
        seen: dict[tuple[type, str], str] = {}
        for name, table in tables.items():
            for value, where in self.values_of(name, table, own=own):
                earlier = seen.setdefault((type(value), value.id), where)
                if earlier != where:
                    found = f"id {value.id!r} stands twice, first in {earlier}"
                    self.problems.append(Problem("rule-id-twice", where, found, "allowed: each id once"))
                self.by_kind[type(value)][value.id] = value

    def values_of(self, name: str, table: dict[str, Any], *, own: bool) -> Iterable[tuple[Any, str]]:
        if name in LIST_FILES:
            return self.rows_of(name, table, own=own)
        return self.one_of(name, table, SHOPS + name if own else name)

    def one_of(self, name: str, table: dict[str, Any], where: str) -> Iterable[tuple[Any, str]]:
        kind = FOLDERS[name.split("/")[0]]
        value = self.read(kind, table, where)
        if value is None:
            return
        stem = name.rsplit("/", 1)[-1].removesuffix(".toml")
        if value.id != stem:
            allowed = f"allowed: the file's own name, {stem!r}"
            self.problems.append(Problem("rule-id-wrong", where, f"id {value.id!r}", allowed))
        if kind is shapes.Cause and value.area != name.split("/")[1]:
            allowed = f"allowed: the folder's own name, {name.split('/')[1]!r}"
            self.problems.append(Problem("rule-area-wrong", where, f"area {value.area!r}", allowed))
        yield value, where

    def rows_of(self, name: str, table: dict[str, Any], *, own: bool) -> Iterable[tuple[Any, str]]:
        key, kind = LIST_FILES[name]
        rows = table.get(key, [])
        file = SHOPS + name if own else name
        if set(table) - {key} or not isinstance(rows, list):
            found = f"keys {sorted(map(shortened_key, table))[:8]}"
            self.problems.append(Problem("rule-key-unknown", file, found, f"allowed: [[{key}]] tables only"))
            return
        for number, row in enumerate(rows, start=1):
            where = f"{file}, {key} {number} {label_of(row)}".rstrip()
            value = self.read(kind, with_owner(row, own=own) if kind is shapes.Limit else row, where)
            if value is not None:
                yield value, where

    def read(self, kind: type, table: object, where: str) -> Any:
        try:
            return read_value(kind, table, where)
        except RulesBroken as broken:
            self.problems.extend(broken.problems)
            return None

    def whole(self, shop_folder: str) -> shapes.RuleBase:
        return shapes.RuleBase(
            defects=self.by_kind[shapes.Defect],
            causes=self.by_kind[shapes.Cause],
            signs=self.by_kind[shapes.Sign],
            places=self.by_kind[shapes.Place],
            limits=tuple(self.by_kind[shapes.Limit].values()),
            alloys=self.by_kind[shapes.Alloy],
            cautions=self.by_kind[shapes.Caution],
            sources=self.by_kind[shapes.Source],
            refusals=self.by_kind[shapes.Refusal],
            told=self.by_kind[shapes.Told],
            shop_folder=shop_folder,
        )


def label_of(row: object) -> str:
    """The id of a row, for a message about it."""
    found = row.get("id", "") if isinstance(row, dict) else ""
    return shortened_key(found) if isinstance(found, str) else ""


def with_owner(row: object, *, own: bool) -> object:
    """Whose limit it is says the folder, whatever the row says."""
    return row | {"own": own} if isinstance(row, dict) else row
