"""The shop's words made ready: the stems of everything the rule base has words for, kept between two runs.

Working them out takes 30 ms, reading them back 3. The file is named by what it was made from and may be deleted.
"""

from pathlib import Path

from defectlog import __version__
from defectlog.diagnosis import phrase_index, words
from defectlog.jobs.rules import cache_folder
from defectlog.rulebase.cache import fingerprint, keep, read_tables
from defectlog.rulebase.shapes import RuleBase


def ready_words(rules: RuleBase) -> None:
    """After this, reading a text for signs, places and names is quick."""
    folder = cache_folder()
    place = folder / f"rules-words-{made_from(rules)}.json" if folder else None
    known = read_tables(place) if place else None
    stems = known.get("stems") if known else None
    if stems is None or not all(says in stems for _, _, says, _ in phrase_index.rule_says(rules)):
        stems = phrase_index.all_stems(rules)
        if place:
            keep({"stems": stems}, place)
    phrase_index.index_of(rules, stems)


def made_from(rules: RuleBase) -> str:
    """Names the words of the rule base and the way of working out their stems."""
    says = "\n".join(says for _, _, says, _ in phrase_index.rule_says(rules))
    method = Path(words.__file__).stat()
    return fingerprint({"says": says.encode(), "by": f"{__version__} {method.st_size} {method.st_mtime_ns}".encode()})
