"""defectlog mould: the moulds, one by one or as a run."""

import typer

from defectlog.cli import records
from defectlog.cli.options import taking_fields, verb
from defectlog.records.kinds import Mould

app = verb("Moulds and runs of moulds: add, list, show, amend.")
MOULDS = typer.Argument(help="M-231, several, or a range M-225..M-236.")


@app.command()
@taking_fields(Mould, leave_out=["mould"], new=True)
def add(
    context: typer.Context,
    number: str = typer.Argument("", help="Its number, or M-225..M-236; the next number when left out."),
    count: int = typer.Option(1, metavar="COUNT", help="How many, numbered on from the first."),
    *,
    typed: dict[str, str],
) -> None:
    """Write a mould, or a run of them, in one act.

    Example: defectlog mould add M-225 --count 12 --pattern P-104 --sand S-31
    """
    records.add_moulds(context.obj, number, count, typed)


@app.command("list")
def list_(
    context: typer.Context,
    pattern: str = typer.Option("", metavar="TEXT", help="Only of this pattern.", show_default=False),
    heat: str = typer.Option("", metavar="TEXT", help="Only of this heat.", show_default=False),
    sand: str = typer.Option("", metavar="TEXT", help="Only of this sand batch.", show_default=False),
    since: str = typer.Option(
        "", metavar="DAY", help="Only cast from this day on: mon, 9 mar, 2026-03-09.", show_default=False
    ),
    limit: int = typer.Option(20, metavar="COUNT", help="How many, the newest first; 0 for all."),
) -> None:
    """The moulds.

    Example: defectlog mould list --pattern P-104
    """
    records.listing(context.obj, Mould, limit, since, pattern=pattern, heat=heat, sand=sand)


@app.command()
def show(context: typer.Context, number: str = typer.Argument(help="The mould: M-231, or 231.")) -> None:
    """One mould, what was found on it, and what is worked out from it.

    Example: defectlog mould show M-231
    """
    records.show(context.obj, Mould, number)


@app.command()
@taking_fields(Mould)
def amend(
    context: typer.Context,
    moulds: list[str] = MOULDS,
    why: str = typer.Option("", metavar="TEXT", help="Why it is changed; kept with the change.", show_default=False),
    *,
    typed: dict[str, str],
) -> None:
    """Add what is known later (the pouring), or correct; the old values stay in the history.

    A pour order is numbered on from mould to mould. An empty text clears a value: --note ''.

    Example: defectlog mould amend M-225..M-236 --heat H-7 --poured-at now --pour-c 715
    """
    records.amend(context.obj, Mould, " ".join(moulds), typed, why)
