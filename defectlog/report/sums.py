"""Shop sums on paper: the list, what one needs, and the answer with its formula, source and remarks."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from defectlog import units
from defectlog.foundry.registry import SUMS, SumAnswer, bounds, window_text
from defectlog.foundry.sum_shape import LIST, TEXT, Input, Sum
from defectlog.report.page import Block, Bullets, Heading, Page, Text, next_step
from defectlog.report.shell import shell_command

FIGURES = 4
Groups = Iterable[tuple[str, tuple[Sum, ...]]]


def figures(value: float, digits: int = FIGURES) -> str:
    """Four figures and never a power of ten: "124.6", "19808", "0.0001"."""
    text = f"{value:.{digits}g}"
    if "e" in text:
        text = f"{value:.0f}" if abs(value) >= 1 else f"{value:.{digits + 4}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def sums_page(groups: Groups) -> Page:
    blocks: list[Block] = []
    for title, sums in groups:
        blocks.append(Heading(title))
        wide = max(len(each.name) for each in sums)
        blocks += [Text(f"{each.name.ljust(wide)}  {each.title}") for each in sums]
    blocks.append(Heading("To use one"))
    blocks.append(next_step("defectlog sums choke-area", "what it needs"))
    blocks.append(next_step("defectlog sums choke-area poured_kg=2 fill_s=5 head_mm=150", "its answer"))
    return tuple(blocks)


def sums_json(groups: Groups) -> list[dict[str, str]]:
    return [{"name": each.name, "title": each.title, "group": group} for group, sums in groups for each in sums]


def needs_page(chosen: Sum, system: str) -> Page:
    """What the sum needs. Bounds are in the unit that a bare number is in; with "us" the US ones stand behind."""
    blocks: list[Block] = [Heading(f"{chosen.title} ({chosen.name})"), Text(chosen.formula, indent=2)]
    blocks.append(Bullets(tuple(need_text(each, system) for each in chosen.inputs)))
    blocks.append(Text(f"Source: {chosen.source}", tone="quiet"))
    if chosen.window:
        blocks.append(
            Text(f"Usual: {window_text(chosen, chosen.window, system)} ({chosen.window.source})", tone="quiet")
        )
    if chosen.caution:
        blocks.append(Text(chosen.caution, tone="caution"))
    blocks.append(Text('A bare number is in the unit given; others with their unit, as in "4 in".', tone="quiet"))
    needed = [f"{each.key}=…" for each in chosen.inputs if each.default is None]
    blocks.append(next_step(" ".join(["defectlog sums", chosen.name, *(needed or ["KEY=…"])]), "type"))
    return tuple(blocks)


def need_text(each: Input, system: str) -> str:
    """ "poured_kg: metal poured into the mould; 0.001 to 10000 kg; needed"."""
    return f"{each.key}: {each.meaning}; {allowed(each, system)}; {if_left_out(each)}"


def if_left_out(each: Input) -> str:
    if each.default is None:
        return "needed"
    return f"{each.default} when left out" if each.default else "may be left out"


def allowed(each: Input, system: str) -> str:
    if each.quantity == TEXT:
        return "one of " + ", ".join(each.choices)
    said = f"numbers in a row, each {bounds(each)}" if each.quantity == LIST else bounds(each)
    other = units.US.get(each.quantity) if system == "us" else None
    if other is None or each.least is None or each.most is None:
        return said
    ends = (units.to_us(end, each.quantity) for end in (each.least, each.most))
    return f"{said} ({' to '.join(figures(end, 3) for end in ends)} {other.symbol})"


def needs_json(chosen: Sum) -> dict[str, Any]:
    """Bounds in metric units; `default` null where the input is needed, "" where it may be left out."""
    return {
        "name": chosen.name,
        "title": chosen.title,
        "inputs": [
            {
                "key": each.key,
                "meaning": each.meaning,
                "quantity": each.quantity,
                "unit": unit_of(each),
                "least": each.least,
                "most": each.most,
                "default": each.default,
                "choices": list(each.choices),
            }
            for each in chosen.inputs
        ],
        "formula": chosen.formula,
        "source": chosen.source,
        "usual": [chosen.window.low, chosen.window.high] if chosen.window else None,
        "caution": chosen.caution or None,
    }


def unit_of(each: Input) -> str:
    """What a bare number is in; "" for words and plain numbers."""
    return each.unit or ("" if each.quantity in (TEXT, LIST) else units.METRIC[each.quantity].symbol)


def question(each: Input) -> str:
    """As it is asked at a terminal: "metal poured into the mould, kg [Enter for 2]?"."""
    unit = f", {unit_of(each)}" if unit_of(each) else ""
    choices = f" ({', '.join(each.choices)})" if each.choices else ""
    enter = "" if each.default is None else f" [Enter for {each.default}]" if each.default else " [Enter to leave out]"
    return f"{each.meaning}{unit}{choices}{enter}?"


def answer_page(answer: SumAnswer) -> Page:
    return tuple(answer_blocks(answer))


def answer_blocks(answer: SumAnswer) -> Iterator[Block]:
    value = f"{figures(answer.value)} {answer.unit}".strip()
    yield Text(f"{answer.title}: {value}", tone="strong")
    yield Text(f"from {', '.join(given(answer))}", indent=2)
    yield Text(f"formula: {answer.formula}", indent=2)
    yield Text(f"source: {answer.source}", indent=2)
    caution = SUMS[answer.name].caution
    for remark in answer.remarks:
        if remark == caution:
            yield Text(remark, tone="caution")
        else:
            yield Text(remark, indent=2)


def given(answer: SumAnswer) -> Iterator[str]:
    """Every input as it was understood, with its unit: "head_mm 101.6 mm"."""
    for each in SUMS[answer.name].inputs:
        if each.key in answer.inputs:
            yield f"{each.key} {input_text(each, answer.inputs[each.key])}"


def input_text(each: Input, value: Any) -> str:
    if each.quantity == TEXT:
        return str(value)
    if each.quantity == LIST:
        return " ".join(figures(number) for number in value)
    factor = units.SPELLINGS[each.unit].factor if each.unit else 1.0
    return f"{figures(value / factor)} {unit_of(each)}".strip()


def again_command(chosen: Sum, typed: Mapping[str, str]) -> str:
    """What to type for the same answer without the questions."""
    return shell_command("sums", chosen.name, *(f"{key}={text}" for key, text in typed.items() if text))
