"""defectlog sums [NAME [KEY=VALUE …]]"""

from typing import TYPE_CHECKING

import typer

from defectlog.cli.options import verb
from defectlog.cli.session import Session
from defectlog.errors import BadInput

if TYPE_CHECKING:
    from defectlog.foundry.sum_shape import Input, Sum

app = verb(no_args_is_help=False)


@app.command()
def sums(
    context: typer.Context,
    name: str = typer.Argument("", help="Which sum; without it they are listed.", show_default=False),
    values: list[str] = typer.Argument(None, metavar="KEY=VALUE", help="What it needs.", show_default=False),
) -> None:
    """Shop arithmetic: sand, gating, freezing and feeding, melt, pattern, yield, money. With a name alone it says what
    it needs, and asks for it at a terminal.

    Example: defectlog sums choke-area poured_kg=2 fill_s=5 head_mm=150
    """
    from defectlog.jobs.sums import GROUPS, sum_called, work_out_typed
    from defectlog.report.sums import answer_page, needs_json, needs_page, sums_json, sums_page

    session: Session = context.obj
    if not name:
        session.answer(lambda: sums_json(GROUPS), lambda: sums_page(GROUPS))
        return
    if values:
        answer, said = work_out_typed(name, values, session.units)
        for text in said:
            session.say(text)
        session.answer(answer.as_json, lambda: answer_page(answer))
        return
    chosen = sum_called(name)
    session.answer(lambda: needs_json(chosen), lambda: needs_page(chosen, session.units))
    if session.can_ask():
        ask_for_values(session, chosen)


def ask_for_values(session: Session, chosen: "Sum") -> None:
    """One at a time, then the answer and what to type for it next time."""
    from defectlog.foundry.registry import work_out
    from defectlog.report.page import next_step
    from defectlog.report.sums import again_command, answer_page

    typed = {each.key: asked(session, chosen, each) for each in chosen.inputs}
    answer = work_out(chosen.name, typed, session.units)
    again = again_command(chosen, typed)
    session.show((*answer_page(answer), next_step(again, "the same without the questions")))


def asked(session: Session, chosen: "Sum", each: "Input") -> str:
    """Asked until it can be taken; Enter takes the default; Ctrl-C stops."""
    from defectlog.jobs.sums import check_answer
    from defectlog.report.sums import question

    while True:
        text = session.ask(question(each))
        try:
            check_answer(chosen, each, text)
        except BadInput as error:
            session.say(str(error))
            continue
        return text
