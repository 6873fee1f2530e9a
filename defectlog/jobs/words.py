"""The shop's words made ready: what everything that the rule base has words for comes to, kept between two runs.

Working it out takes a third of a second, reading it back a few milliseconds. The file is named by what it was made from
and may be deleted.
"""

from pathlib import Path
from typing import Any

from defectlog import __version__
from defectlog.diagnosis import spellings, words
from defectlog.diagnosis.rule_words import Prepared, are_ready, prepared, rule_says, words_of
from defectlog.diagnosis.tellings import reports_of
from defectlog.jobs.rules import cache_folder
from defectlog.rulebase.cache import fingerprint, keep, read_tables
from defectlog.rulebase.shapes import RuleBase


def ready_words(rules: RuleBase) -> None:
    """After this, reading a text for signs, places and names is quick."""
    if are_ready(rules):
        return
    folder = cache_folder()
    place = folder / f"rules-words-{made_from(rules)}.json" if folder else None
    known = read_tables(place) if place else None
    if known is None or not is_whole(known, rules):
        fresh = prepared(rules)
        known = {"stems": dict(fresh.stems), "counts": dict(fresh.counts)}
        if place:
            keep(known, place)
    words_of(rules, Prepared(known["stems"], known["counts"]))


def is_whole(known: dict[str, dict[str, Any]], rules: RuleBase) -> bool:
    stems = known.get("stems", {})
    return bool(known.get("counts")) and all(says in stems for _, _, says, _ in rule_says(rules))


def made_from(rules: RuleBase) -> str:
    """Names the words of the rule base and the way of working out their stems."""
    says = "\n".join(says for _, _, says, _ in rule_says(rules))
    told = "\n".join(
        f"{defect.id}: {report}" for defect in rules.defects.values() for report in reports_of(defect, rules)
    )
    method = " ".join(stamp(Path(str(module.__file__))) for module in (words, spellings))
    return fingerprint({"says": says.encode(), "told": told.encode(), "by": f"{__version__} {method}".encode()})


def stamp(file: Path) -> str:
    """Changes when the file does."""
    found = file.stat()
    return f"{found.st_size} {found.st_mtime_ns}"
