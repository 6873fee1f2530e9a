"""A sum as somebody types it: its name, its key=value words, and the values worked out."""

from collections.abc import Sequence
from dataclasses import dataclass

from rapidfuzz import process

from defectlog.errors import BadInput, NotFound, Problem
from defectlog.foundry.registry import SUMS, SumAnswer, missing_input, value_of, values_of, work_out
from defectlog.foundry.sum_shape import Input, Sum
from defectlog.foundry.sums_gating import GATING_SUMS
from defectlog.foundry.sums_metal import METAL_SUMS
from defectlog.foundry.sums_sand import SAND_SUMS

GROUPS: tuple[tuple[str, tuple[Sum, ...]], ...] = (
    ("Sand", SAND_SUMS),
    ("Gating, freezing and feeding", GATING_SUMS),
    ("Melt, pattern, yield and money", METAL_SUMS),
)
MOST_NAMED = 4
WORTH_NAMING = 50


@dataclass(frozen=True, slots=True)
class SumTyped:
    """The sum, its inputs as texts by key, and what was taken for what."""

    sum: Sum
    typed: dict[str, str]
    said: tuple[str, ...] = ()


def sum_called(name: str) -> Sum:
    """By its name, in any case, with blanks or underscores for the hyphens. Raises NotFound with the nearest."""
    wanted = "-".join(name.lower().replace("_", " ").replace("-", " ").split())
    if wanted in SUMS:
        return SUMS[wanted]
    titles = {key: f"{key.replace('-', ' ')} {each.title.lower()}" for key, each in SUMS.items()}
    by_name = process.extract(wanted, list(SUMS), limit=MOST_NAMED, score_cutoff=WORTH_NAMING)
    by_title = [key for key, title in titles.items() if wanted and wanted.replace("-", " ") in title]
    near = list(dict.fromkeys([*by_title, *(key for key, _, _ in by_name)]))[:MOST_NAMED]
    allowed = f"nearest: {', '.join(near)}" if near else f"allowed: {', '.join(SUMS)}"
    step = f"type: defectlog sums {near[0]}" if near else "to see them all: defectlog sums"
    raise NotFound(Problem("sum-unknown", "sums", f"there is no sum {name!r}", allowed, step))


def work_out_typed(name: str, words: Sequence[str], system: str) -> tuple[SumAnswer, tuple[str, ...]]:
    """The answer in `system`, and what was taken for what. Raises BadInput with every problem at once."""
    typed, problems = inputs_typed(sum_called(name), words)
    try:
        values_of(typed.sum, typed.typed)
    except BadInput as error:
        problems.extend(error.problems)
    if problems:
        raise BadInput(problems)
    return work_out(typed.sum.name, typed.typed, system), typed.said


def inputs_typed(chosen: Sum, words: Sequence[str]) -> tuple[SumTyped, list[Problem]]:
    """`key=value` words; what stands without a key belongs to the value before it ("head_mm=4 in").

    A key may lack its unit ending (choke for choke_mm2) where only one begins so.
    """
    pairs, problems = pairs_in(chosen, words)
    typed: dict[str, str] = {}
    said: list[str] = []
    for key, value in pairs:
        full = full_key(chosen, key)
        if full in typed:
            found = f"{full} is given twice"
            problems.append(Problem("sum-input-twice", f"sums {chosen.name}", found, "allowed: each once"))
        elif full != key:
            said.append(f"taking {full} for {key!r}")
        typed[full] = value
    return SumTyped(chosen, typed, tuple(said)), problems


def pairs_in(chosen: Sum, words: Sequence[str]) -> tuple[list[tuple[str, str]], list[Problem]]:
    pairs: list[tuple[str, str]] = []
    problems: list[Problem] = []
    for word in words:
        key, equals, value = word.partition("=")
        if equals:
            pairs.append((key.strip(), value.strip()))
        elif pairs:
            pairs[-1] = (pairs[-1][0], f"{pairs[-1][1]} {word.strip()}".strip())
        else:
            example = next((each.key for each in chosen.inputs), "key")
            step = f"type it as: {example}={word}" if is_bare(word) else f"type it as: {example}=…"
            allowed = f"allowed: {', '.join(each.key for each in chosen.inputs)}, each as KEY=VALUE"
            problems.append(Problem("sum-key-missing", f"sums {chosen.name}", f"{word!r} has no key", allowed, step))
    return pairs, problems


def is_bare(word: str) -> bool:
    return word.replace(".", "", 1).isdigit()


def full_key(chosen: Sum, key: str) -> str:
    keys = [each.key for each in chosen.inputs]
    wanted = key.lower().replace("-", "_")
    if wanted in keys:
        return wanted
    beginning = [each for each in keys if each.startswith(f"{wanted}_")]
    return beginning[0] if wanted and len(beginning) == 1 else key


def check_answer(chosen: Sum, each: Input, text: str) -> None:
    """Raises BadInput for an answer that cannot be taken; an empty one takes the default where there is one."""
    if text:
        value_of(each, text, each.key)
    elif each.default is None:
        raise BadInput(missing_input(chosen, each))
