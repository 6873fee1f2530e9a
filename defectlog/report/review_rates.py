"""The shop's own rates, said back after they were set."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from defectlog.report.page import Block, Page, Text, next_step, table
from defectlog.report.shell import shell_command


@dataclass(frozen=True, slots=True)
class RatesKept:
    """`rates`: all that are kept now, by name; `act` is 0 when nothing changed."""

    act: int
    rates: Mapping[str, str]


def rates_page(kept: RatesKept) -> Page:
    return tuple(rates_blocks(kept))


def rates_blocks(kept: RatesKept) -> Iterator[Block]:
    if kept.rates:
        yield table(("rate", "the shop's own"), kept.rates.items(), right=(1,))
    else:
        yield Text("No rate is kept: scrap is not costed.")
    if kept.act:
        yield Text(f"undo: {shell_command('undo', str(kept.act))}", tone="quiet")
    else:
        yield Text("nothing was changed")
    yield next_step(shell_command("review"), "next")


def rates_json(kept: RatesKept) -> dict[str, Any]:
    return {"act": kept.act or None, "rates": dict(kept.rates)}
