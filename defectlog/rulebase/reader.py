"""A TOML table to a frozen value of the rule base, or every problem in it at once.

The dataclasses of `shapes` are the schema: unknown keys are refused with the nearest known key, and a text where
a list belongs, or a `true` where a number belongs, is named by its file and key path. Each annotation is turned once
into a small function that fits a value to it, because a start reads some twenty thousand values.
"""

import dataclasses
import re
import reprlib
import types
import typing
from collections.abc import Callable, Mapping
from functools import cache
from typing import Any, TypeVar, Union

from defectlog.errors import Problem, RulesBroken

T = TypeVar("T")
# Where a value stands: the name of a file or row, or the place of its table with its own key or place in a list.
# Put in words only for a problem.
Where: typing.TypeAlias = "str | tuple[Where, str | int]"
Fitter = Callable[[Any, Where, list[Problem]], Any]
PLAIN_NAMES = {str: "text in quotes", float: "a number", int: "a whole number", bool: "true or false"}
# What a terminal would obey instead of showing: control characters other than tab and line end, and the marks that
# turn the direction of writing.
UNSHOWABLE = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069]")
LARGEST_NUMBER = 1e15


class Short(reprlib.Repr):
    """`repr` for messages: a few words of whatever was found, however long, deep or large it is."""

    def __init__(self) -> None:
        super().__init__()
        self.maxstring = self.maxother = 60
        self.maxlevel = self.maxdict = self.maxlist = 3

    def repr_int(self, x: int, level: int) -> str:  # noqa: ARG002 -- the signature is the base class's
        return repr(x) if abs(x) < 10**20 else "a number of over twenty digits"


SHORT = Short()


def read_value(kind: type[T], table: object, where: str) -> T:
    """`table` as a `kind`. Raises RulesBroken with every problem, each with `where` and its key path."""
    problems: list[Problem] = []
    value = builder(typing.cast(type, kind))(table, where, problems)
    if problems:
        raise RulesBroken(problems)
    return typing.cast(T, value)


@cache
def fields_and_fitters(kind: type) -> dict[str, tuple[Fitter, bool]]:
    """{name: (its fitter, whether it is required)} of a dataclass's fields, in their order."""
    hints = typing.get_type_hints(kind)
    return {
        item.name: (
            fitter(hints[item.name]),
            item.default is dataclasses.MISSING and item.default_factory is dataclasses.MISSING,
        )
        for item in dataclasses.fields(kind)
    }


@cache
def builder(kind: type) -> Fitter:
    def build(table: Any, where: Where, problems: list[Problem]) -> object:
        known = fields_and_fitters(kind)
        if not isinstance(table, dict):
            problems.append(wrong(where, table, "a table of keys"))
            return None
        values = {}
        for key, value in table.items():
            if key in known:
                values[key] = known[key][0](value, (where, key), problems)
            else:
                problems.append(unknown_key(key, known, where))
        if len(values) < len(known):
            problems.extend(missing_keys(kind, known, values, where))
        return None if problems else kind(**values)

    return build


@cache
def fitter(hint: Any) -> Fitter:
    """The function that gives a value as the annotation `hint` wants it, adding a problem where it does not fit."""
    origin = typing.get_origin(hint)
    if origin in (Union, types.UnionType):
        return fitter(next(part for part in typing.get_args(hint) if part is not type(None)))
    if origin is tuple:
        return list_fitter(fitter(typing.get_args(hint)[0]))
    if origin is not None and issubclass(origin, Mapping):
        return map_fitter(fitter(typing.get_args(hint)[1]))
    if dataclasses.is_dataclass(hint):
        return builder(typing.cast(type, hint))
    return {str: fitted_text, float: fitted_number}.get(hint) or plain_fitter(hint)


def list_fitter(fit_item: Fitter) -> Fitter:
    def fit(value: Any, where: Where, problems: list[Problem]) -> tuple[object, ...]:
        if not isinstance(value, list):
            problems.append(wrong(where, value, "a list in square brackets"))
            return ()
        if fit_item is fitted_text and are_plain_texts(value):
            return tuple(value)
        return tuple([fit_item(item, (where, index), problems) for index, item in enumerate(value, start=1)])

    return fit


def map_fitter(fit_item: Fitter) -> Fitter:
    def fit(value: Any, where: Where, problems: list[Problem]) -> dict[str, object]:
        if not isinstance(value, dict):
            problems.append(wrong(where, value, "a table of keys"))
            return {}
        return {key: fit_item(item, (where, key), problems) for key, item in value.items()}

    return fit


def plain_fitter(wanted: type) -> Fitter:
    def fit(value: Any, where: Where, problems: list[Problem]) -> object:
        if type(value) is not wanted:
            problems.append(wrong(where, value, PLAIN_NAMES[wanted]))
        return value

    return fit


def fitted_text(value: Any, where: Where, problems: list[Problem]) -> object:
    if type(value) is not str:
        problems.append(wrong(where, value, PLAIN_NAMES[str]))
    elif not value.strip():
        problems.append(wrong(where, value, "text that is not empty; leave the key out instead"))
    elif not value.isprintable() and UNSHOWABLE.search(value):
        problems.append(wrong(where, value, "text without control characters"))
    return value


def are_plain_texts(values: list[Any]) -> bool:
    """Whether `fitted_text` would take every one of them; most of a rule base is long lists of good texts."""
    try:
        return "".join(values).isprintable() and all(map(str.strip, values))
    except TypeError:
        return False


def fitted_number(value: Any, where: Where, problems: list[Problem]) -> object:
    """A whole number will do. What is not finite, or beyond anything that is measured, is refused."""
    if type(value) not in (float, int):
        problems.append(wrong(where, value, PLAIN_NAMES[float]))
    elif not abs(value) <= LARGEST_NUMBER:  # written so that what is no number at all is caught with it
        problems.append(wrong(where, value, "a plain number, of up to fifteen digits"))
    else:
        return float(value)
    return value


def wrong(where: Where, value: object, allowed: str) -> Problem:
    return Problem("rule-value-wrong", in_words(where), f"{shortened(value)} does not fit here", f"allowed: {allowed}")


def in_words(where: Where) -> str:
    """ "causes/sand/x.toml, remedies[2], cost". In a loop, because the chain may be longer than calls may nest."""
    parts: list[str] = []
    while isinstance(where, tuple):
        where, inner = where
        parts.append(f"[{inner}]" if isinstance(inner, int) else f", {shortened_key(inner)}")
    return where + "".join(reversed(parts))


def shortened(value: object) -> str:
    return SHORT.repr(value)


def shortened_key(key: str) -> str:
    text = UNSHOWABLE.sub("?", key)
    return text if len(text) <= 60 else text[:57] + "…"


def missing_keys(
    kind: type, known: Mapping[str, tuple[Fitter, bool]], values: Mapping[str, object], where: Where
) -> list[Problem]:
    return [
        Problem(
            "rule-key-missing", in_words(where), f"{name!r} is missing", f"allowed: every {kind.__name__} has {name!r}"
        )
        for name, (_, required) in known.items()
        if required and name not in values
    ]


def unknown_key(key: str, known: Mapping[str, object], where: Where) -> Problem:
    from rapidfuzz import process  # only for a key that is wrong

    nearest = process.extractOne(key, list(known), score_cutoff=60)
    hint = f"did you mean {nearest[0]!r}?" if nearest else ""
    return Problem(
        "rule-key-unknown", in_words(where), f"unknown key {shortened_key(key)!r}", f"allowed: {', '.join(known)}", hint
    )
