"""defectlog shakeout MOULDS"""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from defectlog.cli.session import Session
from defectlog.errors import BadInput, Problem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from defectlog.book.open import Book
    from defectlog.book.photos import Photo
    from defectlog.jobs.shakeout import Told
    from defectlog.report.shakeout_answers import ShakenOut
    from defectlog.rulebase.shapes import RuleBase

app = typer.Typer(
    rich_markup_mode=None,
    add_completion=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


@app.command()
def shakeout(
    context: typer.Context,
    moulds: Annotated[list[str] | None, typer.Argument(help="M-231, several, or a range M-225..M-240.")] = None,
    good: bool = typer.Option(False, "--good", help="Broken out, and nothing bad."),
    scrap: str = typer.Option("", "--scrap", metavar="N", help="Castings scrapped, of each mould."),
    rework: str = typer.Option("", "--rework", metavar="N", help="Castings to rework."),
    use_as_is: str = typer.Option("", "--use-as-is", metavar="N", help="Castings used as they are."),
    undecided: str = typer.Option("", "--undecided", metavar="N", help="Castings put aside."),
    impression: str = typer.Option("", "--impression", metavar="K", help="Which impression; several: 3,4."),
    defect: str = typer.Option("", "--defect", help="What you call it."),
    seen: str = typer.Option("", "--seen", help="What it looks like, in your words."),
    place: str = typer.Option("", "--place", help="Where on the casting."),
    found: str = typer.Option("", "--found", help="shakeout, fettling, inspection, machining, test or customer."),
    found_at: str = typer.Option("", "--found-at", help="When it was found: now, yesterday, 2026-03-09T14:20."),
    by: str = typer.Option("", "--by", help="Who found it."),
    note: str = typer.Option("", "--note", help="Anything else."),
    photo: Annotated[Path | None, typer.Option("--photo", help="A picture of it: JPEG, PNG or WebP.")] = None,
    secondary: bool = typer.Option(False, "--secondary", help="A second defect on a casting already charged."),
    named: str = typer.Option("", "--is", help="Name the defect of what was only described before."),
    sheet: Annotated[Path | None, typer.Option("--sheet", help="A day's paper tally, typed in as CSV.")] = None,
    token: str = typer.Option("", "--token", help="An id of your own: the same one twice writes once."),
    dry_run: bool = typer.Option(False, "--dry-run", help="Say what would be written, and write nothing."),
) -> None:
    """Log what came out of the sand. With nothing but a mould it asks; it never asks for a cause.

    Example: defectlog shakeout M-231 --scrap 1 --impression 3 --seen "round shiny holes" --place "cope near gate"
    """
    from defectlog.book.unanswered import own_id
    from defectlog.jobs.shakeout_flags import told_by_flags

    session: Session = context.obj
    flags = {
        "scrap": scrap,
        "rework": rework,
        "use as is": use_as_is,
        "undecided": undecided,
        "impression": impression,
        "defect": defect or named,
        "seen": seen,
        "place": place,
        "found": found,
        "found_at": found_at,
        "by": by,
        "note": note,
    }
    told = told_by_flags(" ".join(moulds or []), flags, session.now(), good=good, secondary=secondary)
    if photo is not None:
        refuse_photo(good=good, elsewhere=bool(sheet or named))
    with own_id(session.path(), session.command) as own:
        how = Log(session, token or own, dry_run, photo)
        if sheet is not None:
            how.sheet(sheet, told)
        elif named:
            how.name_seen(told)
        else:
            how.told(told)
        sys.stdout.flush()


def refuse_photo(*, good: bool, elsewhere: bool) -> None:
    """A photo is of something bad that is told here and now."""
    if good or elsewhere:
        found = "a photo goes with what is told of a bad casting on this line"
        step = 'such as: defectlog shakeout M-231 --scrap 1 --seen "round holes" --photo hole.jpg'
        raise BadInput(
            Problem(
                "photo-of-nothing",
                "--photo",
                found,
                "allowed beside: --scrap, --rework, --use-as-is, --undecided",
                step,
            )
        )


class Log:
    """How to write: the session, the client's token, a photo, or only to say what would be written."""

    def __init__(self, session: Session, token: str | None, dry_run: bool, photo: Path | None = None) -> None:
        self.session = session
        self.token = token
        self.dry_run = dry_run
        self.photo = photo

    def told(self, told: "Told") -> None:
        from dataclasses import replace

        from defectlog.jobs.shakeout import shake_out
        from defectlog.jobs.shakeout_flags import nothing_told, tells_something, words_unquoted

        session = self.session
        asking = not tells_something(told)
        if not told.moulds or (asking and not session.can_ask()):
            raise BadInput(nothing_told(told.moulds))
        photo = self.read_photo()
        rules = self.rules()
        with session.open() as book:
            several: Sequence[Told] = self.asked(book, rules, told) if asking else [told]
            if not several:
                session.say("nothing was told, so nothing was written")
                return
            if photo is not None:
                several = [replace(one, photo=photo.name) for one in several]
            try:
                answer = shake_out(
                    book,
                    rules,
                    several,
                    command=session.command,
                    now=session.now(),
                    who=told.by or session.who(),
                    token=self.token,
                    photo=photo,
                    dry_run=self.dry_run,
                )
            except BadInput as error:
                raise BadInput([*error.problems, *words_unquoted(told, error.problems)]) from None
        self.answer(answer, rules)

    def read_photo(self) -> "Photo | None":
        if self.photo is None:
            return None
        from defectlog.book.photos import read_photo

        return read_photo(self.photo)

    def asked(self, book: "Book", rules: "RuleBase", told: "Told") -> "Sequence[Told]":
        from defectlog.cli.shakeout_questions import Questions

        return Questions(self.session, book, rules).about(told)

    def name_seen(self, told: "Told") -> None:
        from defectlog.jobs.naming_seen import name_seen
        from defectlog.jobs.shakeout_flags import nothing_told

        if not told.moulds:
            raise BadInput(nothing_told(""))
        rules = self.rules()
        with self.session.open() as book:
            answer = name_seen(
                book,
                rules,
                told.moulds,
                told.defect,
                told.impressions,
                command=self.session.command,
                today=self.session.today(),
                who=told.by or self.session.who(),
                token=self.token,
                dry_run=self.dry_run,
            )
        self.answer(answer, rules)

    def sheet(self, path: Path, told: "Told") -> None:
        from defectlog.jobs.shakeout_flags import beside_sheet
        from defectlog.jobs.tally import log_sheet

        if (problem := beside_sheet(told)) is not None:
            raise BadInput(problem)
        rules = self.rules()
        with self.session.open() as book:
            answer = log_sheet(
                book,
                rules,
                path,
                command=self.session.command,
                now=self.session.now(),
                who=told.by or self.session.who(),
                usual=told,
                dry_run=self.dry_run,
            )
        self.answer(answer, rules)

    def rules(self) -> "RuleBase":
        from defectlog.jobs.rules import the_rules

        return the_rules(self.session.path())

    def answer(self, answer: "ShakenOut", rules: "RuleBase") -> None:
        from defectlog.report.shakeout import shakeout_json, shakeout_page

        self.session.answer(lambda: shakeout_json(answer), lambda: shakeout_page(answer, rules))
