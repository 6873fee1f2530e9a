"""defectlog sand: the mulled batches."""

import typer

from defectlog.cli import records
from defectlog.cli.options import taking_fields, verb
from defectlog.records.kinds import Sand

app = verb("Sand batches: add, list, show, amend.")
NUMBER = typer.Argument(help="The number of the batch, as short as it is clear.")


@app.command()
@taking_fields(Sand, leave_out=["sand"], new=True)
def add(
    context: typer.Context,
    number: str = typer.Argument("", help="The number of the batch.", show_default=False),
    *,
    typed: dict[str, str],
) -> None:
    """Write a mulled batch; mixed now when no time is typed.

    Example: defectlog sand add S-31 --compactability-pct 42 --moisture-pct 3.4 --squeeze holds
    """
    records.add(context.obj, Sand, number, typed)


@app.command("list")
def list_(
    context: typer.Context,
    since: str = typer.Option(
        "", metavar="DAY", help="Only from this day on: mon, 9 mar, 2026-03-09.", show_default=False
    ),
    limit: int = typer.Option(20, metavar="COUNT", help="How many, the newest first; 0 for all."),
) -> None:
    """The sand batches.

    Example: defectlog sand list --since 2026-03-01
    """
    records.listing(context.obj, Sand, limit, since)


@app.command()
def show(context: typer.Context, number: str = NUMBER) -> None:
    """One batch with its moulds and what became of them.

    Example: defectlog sand show S-31
    """
    records.show(context.obj, Sand, number)


@app.command()
@taking_fields(Sand)
def amend(
    context: typer.Context,
    number: str = NUMBER,
    why: str = typer.Option("", metavar="TEXT", help="Why it is changed; kept with the change.", show_default=False),
    *,
    typed: dict[str, str],
) -> None:
    """Correct or complete one batch; the old values stay in its history. An empty text clears a value: --note ''.

    Example: defectlog sand amend S-31 --permeability 95
    """
    records.amend(context.obj, Sand, number, typed, why)
