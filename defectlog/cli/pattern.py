"""defectlog pattern: the pattern cards, one a revision."""

import typer

from defectlog.cli import records
from defectlog.cli.options import taking_fields, verb
from defectlog.records.kinds import Pattern

app = verb("Pattern cards: add, list, show, amend.")
NUMBER = typer.Argument(help="The pattern's number or name, as short as it is clear.")
REVISION = typer.Argument("", help="A revision, where there are several.", show_default=False)


@app.command()
@taking_fields(Pattern, leave_out=["pattern"], new=True)
def add(
    context: typer.Context,
    number: str = typer.Argument("", help="The pattern's number.", show_default=False),
    as_before: bool = typer.Option(False, "--as-before", help="What is not typed is as on the card in force."),
    *,
    typed: dict[str, str],
) -> None:
    """Write a pattern card, or a further revision of one.

    Example: defectlog pattern add P-104 --impressions 4 --casting-kg 0.42 --min-section-mm 5
    """
    records.add(context.obj, Pattern, number, typed, as_before=as_before)


@app.command("list")
def list_(
    context: typer.Context,
    limit: int = typer.Option(20, metavar="COUNT", help="How many, the newest first; 0 for all."),
) -> None:
    """The pattern cards.

    Example: defectlog pattern list
    """
    records.listing(context.obj, Pattern, limit)


@app.command()
def show(context: typer.Context, number: str = NUMBER, revision: str = REVISION) -> None:
    """The pattern card with what is worked out from it, what was made of it, its defects, causes and remedies.

    Example: defectlog pattern show P-104
    """
    records.show_pattern(context.obj, number, revision)


@app.command()
@taking_fields(Pattern)
def amend(
    context: typer.Context,
    number: str = NUMBER,
    which_revision: str = REVISION,
    why: str = typer.Option("", metavar="TEXT", help="Why it is changed; kept with the change.", show_default=False),
    *,
    typed: dict[str, str],
) -> None:
    """Correct a card; the old values stay in its history. An empty text clears a value: --note ''.

    Example: defectlog pattern amend P-104 --gate-mm2 240 --why "measured again"
    """
    records.amend(context.obj, Pattern, number, typed, why, which_revision)
