"""Shop sums as they are typed: the list, what one needs, the answer, and everything that can be typed wrong."""

import json
import re
from pathlib import Path

import pytest

from defectlog.cli.session import Session
from defectlog.foundry.registry import SUMS
from tests.cli.conftest import Typing


def test_alone_it_lists_every_sum_by_group_with_one_line_each(typed: Typing) -> None:
    answer = typed("sums")
    assert answer.code == 0
    assert answer.err == ""
    assert {"Sand", "Gating, freezing and feeding", "Melt, pattern, yield and money"} <= set(answer.out.splitlines())
    for name, each in SUMS.items():
        assert re.search(rf"^{name} +{re.escape(each.title)}$", answer.out, re.MULTILINE)


def test_the_list_in_json(typed: Typing) -> None:
    listed = json.loads(typed("sums --json").out)
    assert {row["name"] for row in listed} == set(SUMS)
    assert set(listed[0]) == {"name", "title", "group"}


def test_a_name_alone_shows_what_it_needs(typed: Typing) -> None:
    answer = typed("sums choke-area")
    assert answer.code == 0
    said = " ".join(answer.out.split())
    assert "poured_kg: metal poured into the mould; 0.001 to 10000 kg; needed" in said
    assert "discharge: share of the ideal flow that passes; 0.1 to 1; 0.8 when left out" in said
    assert "weight / (density × time × discharge × √(2 × g × head))" in said
    assert "Source: Heine, Loper & Rosenthal ch. 9" in said
    assert answer.out.endswith("type: defectlog sums choke-area poured_kg=… fill_s=… head_mm=…\n")


def test_what_it_needs_in_us_units_stands_beside(typed: Typing) -> None:
    assert "1 to 5000 mm (0.0394 to 197 in); needed" in " ".join(typed("sums choke-area --units us").out.split())


@pytest.mark.parametrize("name", SUMS)
def test_every_sum_says_what_it_needs_in_both_ways(typed: Typing, name: str) -> None:
    page = typed(f"sums {name}")
    assert page.code == 0
    needs = json.loads(typed(f"sums {name} --json").out)
    assert [each["key"] for each in needs["inputs"]] == [each.key for each in SUMS[name].inputs]
    assert all(each["key"] in page.out for each in needs["inputs"])


def test_the_example_of_the_help_page_works(typed: Typing) -> None:
    found = re.search(r"Example: defectlog (.*?)\n\s*\n", typed("sums -h").out, re.DOTALL)
    assert found
    answer = typed(" ".join(found[1].split()))
    assert answer.code == 0
    assert answer.out.startswith("Choke area for a filling time: 121.4 mm²\n")


def test_an_answer_comes_with_its_formula_source_and_inputs(typed: Typing) -> None:
    """The check value choke-area-al: 2 kg in 5 s under 142.5 mm need 124.6 mm²."""
    answer = typed("sums choke-area poured_kg=2 fill_s=5 head_mm=142.5")
    said = " ".join(answer.out.split())
    assert "Choke area for a filling time: 124.6 mm²" in said
    assert "poured_kg 2 kg, fill_s 5 s, head_mm 142.5 mm, discharge 0.8, density_kg_m3 2400 kg/m³" in said
    assert "formula: weight" in said and "source: Heine" in said


def test_the_answer_in_json(typed: Typing) -> None:
    answer = json.loads(typed("sums --json choke-area poured_kg=2 fill_s=5 head_mm=142.5").out)
    assert set(answer) == {"name", "value", "unit", "inputs", "formula", "source", "remarks"}
    assert answer["value"] == pytest.approx(124.595, rel=1e-4)
    assert answer["inputs"]["head_mm"] == 142.5


def test_units_go_in_with_the_value_and_come_out_as_asked(typed: Typing) -> None:
    """0.193 in² are 124.6 mm²: NIST SP 811, 1 in² = 645.16 mm²."""
    answer = typed('sums choke-area poured_kg="4.40925 lb" fill_s=5 head_mm="5.61024 in" --units us')
    assert answer.out.startswith("Choke area for a filling time: 0.1931 in²\n")


def test_a_unit_typed_apart_belongs_to_the_value_before_it(typed: Typing) -> None:
    assert "head_mm 101.6 mm" in typed("sums sprue-velocity head_mm=4 in").out


def test_numbers_in_a_row_need_no_quotes(typed: Typing) -> None:
    """The check value gfn-worked-173."""
    answer = typed("sums grain-fineness retained=0 0 0 0 0.2 0.65 1.2 2.25 8.55 11.05 10.9 9.3")
    assert answer.out.startswith("AFS grain fineness number: 172.8\n")


def test_a_key_without_its_unit_is_taken_and_said(typed: Typing) -> None:
    answer = typed("sums sprue-velocity head=250")
    assert answer.code == 0
    assert answer.err == "taking head_mm for 'head'\n"
    assert answer.out.startswith("Speed at the foot of the sprue: 2.215 m/s\n")


def test_outside_the_usual_window_it_says_so(typed: Typing) -> None:
    said = " ".join(typed("sums gate-velocity choke_mm2=110 gate_mm2=210 head_mm=150").out.split())
    assert "outside what is usual, at most 0.5 m/s (Campbell" in said


def test_dangerous_work_carries_its_caution(typed: Typing) -> None:
    said = " ".join(typed("sums lift area_mm2=40000 head_mm=100").out.split())
    assert "CAUTION: Lift weights and copes by the rules of your own shop" in said
    assert "CAUTION: Lift weights" in " ".join(typed("sums lift").out.split())


def test_a_large_answer_has_no_power_of_ten(typed: Typing) -> None:
    """20 mm square at 0.5 m/s: the check value reynolds-reference-nu."""
    assert typed("sums reynolds velocity_m_s=0.5 width_mm=20 depth_mm=20").out.startswith(
        "Reynolds number of a full channel: 19808\n"
    )


def test_a_wrong_name_gets_the_nearest_and_exit_2(typed: Typing) -> None:
    answer = typed("sums mostiure wet_g=50")
    assert answer.code == 2
    assert answer.out == ""
    assert "there is no sum 'mostiure'" in answer.err
    assert "type: defectlog sums moisture" in answer.err


def test_a_word_of_the_title_finds_the_sum(typed: Typing) -> None:
    assert "type: defectlog sums choke-area" in typed("sums choke").err


@pytest.mark.parametrize("name", ["Choke_Area", "choke area", "CHOKE-AREA"])
def test_case_and_hyphens_do_not_matter(typed: Typing, name: str) -> None:
    assert typed("sums", name).out.startswith("Choke area for a filling time (choke-area)")


def test_every_problem_is_said_at_once(typed: Typing) -> None:
    answer = typed("sums choke-area 7 pourd_kg=2 fill_s=0 head_mm=tall discharge=5 discharge=0.5")
    assert answer.code == 2
    assert answer.out == ""
    for said in (
        "'7' has no key",
        "type it as: poured_kg=7",
        "unknown input 'pourd_kg'",
        "did you mean 'poured_kg'?",
        "poured_kg is missing",
        "allowed: 0.1 to 3600 s",
        "'tall' is not a number",
        "discharge is given twice",
    ):
        assert said in answer.err
    assert "Traceback" not in answer.err


@pytest.mark.parametrize("value", ["1,250", "5 C", "-3", "1e999", "nan", "", "=1+1", "[red]5[/red]"])
def test_values_that_are_none_are_refused_with_what_is_allowed(typed: Typing, value: str) -> None:
    answer = typed("sums", "sprue-velocity", f"head_mm={value}")
    assert answer.code == 2
    assert "allowed: " in answer.err


def test_a_decimal_comma_is_taken(typed: Typing) -> None:
    assert "head_mm 142.5 mm" in typed("sums sprue-velocity head_mm=142,5").out


def test_what_cannot_be_together_is_refused_with_the_formula(typed: Typing) -> None:
    answer = typed("sums moisture wet_g=47.5 dry_g=50")
    assert answer.code == 2
    assert "formula: (wet − dry) / wet × 100" in answer.err


@pytest.mark.parametrize("hostile", ["\x1b[31mred\x07", "[bold]x[/bold]", "<b>x</b>", "\u202eabc", "a\x00b"])
def test_hostile_text_is_shown_and_never_obeyed(typed: Typing, hostile: str) -> None:
    for answer in (typed("sums", hostile), typed("sums", "moisture", f"{hostile}={hostile}")):
        assert answer.code == 2
        assert "\x1b" not in answer.err and "\x07" not in answer.err and "\u202e" not in answer.err
        assert "\x00" not in answer.err


def answering(monkeypatch: pytest.MonkeyPatch, *answers: str) -> list[str]:
    """At a terminal, with these lines typed; the questions as they were asked."""
    asked: list[str] = []
    lines = iter(answers)

    def ask(_session: Session, question: str) -> str:
        asked.append(question)
        return next(lines)

    monkeypatch.setattr(Session, "can_ask", lambda _session: True)
    monkeypatch.setattr(Session, "ask", ask)
    return asked


def test_at_a_terminal_it_asks_one_at_a_time(typed: Typing, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = answering(monkeypatch, "2", "5", "142.5", "", "")
    answer = typed("sums choke-area")
    assert answer.code == 0
    assert asked == [
        "metal poured into the mould, kg?",
        "filling time wanted, s?",
        "height of metal above the gate, mm?",
        "share of the ideal flow that passes [Enter for 0.8]?",
        "density of the liquid metal, kg/m³ [Enter for 2400]?",
    ]
    assert "Choke area for a filling time: 124.6 mm²" in answer.out
    assert answer.out.endswith("defectlog sums choke-area poured_kg=2 fill_s=5 head_mm=142.5\n")


def test_an_answer_that_cannot_be_is_asked_for_again(typed: Typing, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = answering(monkeypatch, "tall", "", "9000", "10 in")
    answer = typed("sums sprue-velocity")
    assert asked == ["height of metal above the gate, mm?"] * 4
    assert "'tall' is not a number" in answer.err
    assert "head_mm is missing" in answer.err
    assert "allowed: 1 to 5000 mm" in answer.err
    assert answer.out.endswith('defectlog sums sprue-velocity "head_mm=10 in"\n')


def test_json_never_asks(typed: Typing, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin.isatty", lambda: True)
    assert json.loads(typed("sums choke-area --json").out)["name"] == "choke-area"


def test_no_book_is_made_for_a_sum(typed: Typing, book_path: Path) -> None:
    typed("sums sprue-velocity head_mm=250")
    assert not book_path.exists()
