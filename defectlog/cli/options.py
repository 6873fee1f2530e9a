"""Options made from the fields of a record kind, so that a new column is an option of `add` and `amend` by itself."""

import inspect
from collections.abc import Callable, Iterable
from typing import Any, cast

import typer

from defectlog.records.fields import FieldSpec, fields_of
from defectlog.units import METRIC, US

Body = Callable[..., None]
SIGNS = {"number": "NUMBER", "count": "COUNT", "yes_no": "yes|no", "moment": "WHEN", "day": "DAY", "text": "TEXT"}


def verb(text: str = "", *, no_args_is_help: bool = True) -> typer.Typer:
    """The app of one verb with the settings that all share; `text`: its line on the help page."""
    return typer.Typer(
        help=text or None,
        rich_markup_mode=None,
        add_completion=False,
        no_args_is_help=no_args_is_help,
        context_settings={"help_option_names": ["-h", "--help"]},
    )


def taking_fields(kind: Any, *, leave_out: Iterable[str] = (), new: bool = False) -> Callable[[Body], Body]:
    """Gives a command an option for every field of `kind`; of a `new` record some are needed.

    The command's last parameter, `typed`, gets what was typed: field → text, only of options that were given.
    """
    specs = [spec for spec in fields_of(kind) if spec.name not in set(leave_out)]

    def made(body: Body) -> Body:
        own = [each for each in inspect.signature(body).parameters.values() if each.name != "typed"]

        def command(**given: Any) -> None:
            texts = {spec.name: given.pop(spec.name) for spec in specs}
            body(**given, typed={name: text for name, text in texts.items() if text is not None})

        parameters = [*own, *(parameter(spec, needed=new and spec.required) for spec in specs)]
        command.__name__, command.__doc__ = body.__name__, body.__doc__
        command.__annotations__ = {each.name: each.annotation for each in parameters}
        cast(Any, command).__signature__ = inspect.Signature(parameters)
        return command

    return made


def parameter(spec: FieldSpec, *, needed: bool) -> inspect.Parameter:
    option = typer.Option(
        None,
        "--" + spec.name.replace("_", "-"),
        metavar=sign_of(spec),
        help=help_of(spec, needed=needed),
        show_default=False,
    )
    return inspect.Parameter(spec.name, inspect.Parameter.KEYWORD_ONLY, default=option, annotation=str | None)


def sign_of(spec: FieldSpec) -> str:
    return "|".join(spec.choices) if spec.choices else SIGNS[spec.holds]


def help_of(spec: FieldSpec, *, needed: bool) -> str:
    """The meaning, and for a number the unit that it is in when none is typed with it."""
    unit = METRIC[spec.quantity].symbol if spec.holds == "number" else ""
    other = US.get(spec.quantity) if unit else None
    units = f", {unit}{f' or with its unit: 12 {other.symbol}' if other else ''}" if unit else ""
    must = "" if not needed else "; now when left out" if spec.holds == "moment" else " (needed)"
    return f"{spec.meaning}{units}{must}."
