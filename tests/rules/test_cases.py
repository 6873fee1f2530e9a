"""Every defect and every cause has a case that must bring it up first, and one that must bring a rival up first.

The records are invented. `source` in a file names the publication that says what its story turns on, or says that
it is common practice or made up; no figure of a case stands for a measurement.
"""

import dataclasses
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from defectlog.diagnosis.evidence import HEAT_READINGS, MOULD_READINGS, PATTERN_READINGS, SAND_READINGS
from defectlog.diagnosis.identify import ANSWERS as IDENTIFY_ANSWERS
from defectlog.diagnosis.identify import identify
from defectlog.errors import RulesBroken
from defectlog.rulebase import cases, shapes
from defectlog.rulebase.cases import Cases, CauseCase, DefectCase, load_cases
from defectlog.rulebase.catalogue import in_force
from defectlog.rulebase.lint_cases import ANSWERS, SIDES, check_cases
from defectlog.rulebase.load import load_rules
from defectlog.rulebase.reading_names import COMPUTED
from tests.rules.case_books import ask, book_of

RULES = Path(__file__).parents[2] / "rules"
CASES = RULES / "cases"
# First by a step and not by a hair: the second has at most this part of the first's share.
SECOND_AT_MOST = 1 / 1.2


@cache
def shipped() -> shapes.RuleBase:
    return load_rules(RULES)


@cache
def all_cases() -> Cases:
    return load_cases(CASES, shipped())


CAUSES = sorted(cause.id for cause in in_force(shipped().causes.values()))
DEFECTS = sorted(defect.id for defect in in_force(shipped().defects.values()))


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("id", CAUSES)
def test_a_cause_comes_first_where_it_must_and_its_rival_where_it_must_not(id: str, side: str) -> None:
    for case in getattr(all_cases().causes[id], side):
        (answer,) = ask(case, shipped()).defects
        ranked = [(cause.cause.id, round(cause.share, 3)) for cause in answer.causes[:4]]
        first, second = answer.causes[:2]
        assert first.cause.id == (case.first or id), (case.story, ranked)
        assert second.share <= SECOND_AT_MOST * first.share, (case.story, ranked)
        assert answer.stands_out > 0.5, case.story


@pytest.mark.parametrize("id", DEFECTS)
def test_a_defect_comes_first_where_it_must_and_its_rival_where_it_must_not(id: str) -> None:
    """And where it must come up, the words settle it: one answer may be given."""
    for side in SIDES:
        for case in getattr(all_cases().defects[id], side):
            found = identify(case.says, shipped(), case.answers)
            assert found.defects[0].defect == (case.first or id), (case.says, found.defects)
            assert side == "must_not" or not found.undecided, (case.says, found.defects)


def test_every_rule_in_force_has_a_file_and_nothing_in_it_is_wrong() -> None:
    assert [str(problem) for problem in check_cases(all_cases(), shipped())] == []


def test_every_file_belongs_to_a_rule() -> None:
    assert {path.stem for path in CASES.iterdir()} == all_cases().defects.keys() | all_cases().causes.keys()
    assert not shipped().defects.keys() & shipped().causes.keys()


def test_no_story_is_told_twice_in_a_file() -> None:
    for id, file in all_cases().causes.items():
        stories = [case.story for side in SIDES for case in getattr(file, side)]
        assert len(set(stories)) == len(stories), id


def test_readings_stand_where_the_reasoning_looks_for_them() -> None:
    """`level_of` and the lists of defectlog.diagnosis.evidence are kept apart, because rules know no diagnosis."""
    lists = {"sand": SAND_READINGS, "heat": HEAT_READINGS, "mould": MOULD_READINGS, "pattern": PATTERN_READINGS}
    for level, names in lists.items():
        assert {cases.level_of(name) for name in names} == {level}
    assert {name: cases.level_of(name) for name in COMPUTED} == dict.fromkeys(COMPUTED, "pattern") | {
        "stood_h": "mould"
    }
    assert ANSWERS == IDENTIFY_ANSWERS


def test_the_readme_explains_every_field_and_shows_a_case_as_it_stands() -> None:
    readme = (RULES / "README.md").read_text(encoding="utf-8").split("## Cases", 1)[1].split("\n## ", 1)[0]
    example = tomllib.loads(readme.split("```")[1])
    file = tomllib.loads((CASES / "sand-too-wet.toml").read_text(encoding="utf-8"))
    assert example["must_bring_up"] == file["must_bring_up"]
    for kind in (CauseCase, DefectCase, cases.Found, cases.Row):
        for item in dataclasses.fields(kind):
            assert f"`{item.name}`" in readme or item.name == "readings", item.name


# ---- the book that a case becomes

TWO_BATCHES = """
[[must_bring_up]]
story = "One wet batch."
source = "made up"
defect = "gas-holes"
seen = ["round holes", "steam"]
throughout = { skimmed = true, pour_c = 715 }
by = "sand"
units = [
    { moulds = 7, bad = 3, moisture_pct = 5.4 },
    { moulds = 6, bad = 0, moisture_pct = 3.6 },
]
"""


def case_in(folder: Path, text: str) -> CauseCase:
    (folder / "sand-too-wet.toml").write_text("must_not = []\n" + text)
    (case,) = load_cases(folder, shipped()).causes["sand-too-wet"].must_bring_up
    return case


def test_rows_become_moulds_with_their_readings(tmp_path: Path) -> None:
    history = book_of(case_in(tmp_path, TWO_BATCHES)).history
    assert len(history.moulds) == 13
    assert {sand.moisture_pct for sand in history.sands.values()} == {5.4, 3.6}
    assert {heat.skimmed for heat in history.heats.values()} == {True}
    assert {mould.pour_c for mould in history.moulds} == {715.0}
    assert [finding.seen for finding in history.findings] == ["round holes", "steam", "round holes"]
    batches = {mould.mould: mould.sand for mould in history.moulds}
    assert len({batches[finding.mould] for finding in history.findings}) == 1


def test_nothing_else_sorts_the_bad_moulds(tmp_path: Path) -> None:
    """Three bad moulds of one batch go to three heats, and to both moulders as evenly as three can."""
    history = book_of(case_in(tmp_path, TWO_BATCHES)).history
    of_mould = {mould.mould: mould for mould in history.moulds}
    bad = [of_mould[finding.mould] for finding in history.findings]
    assert len({mould.heat for mould in bad}) == 3
    assert len({mould.moulder for mould in bad}) == 2


def test_by_impression_a_row_is_an_impression(tmp_path: Path) -> None:
    text = """
[[must_bring_up]]
story = "Number 2."
source = "made up"
defect = "misrun"
plate = 2
by = "impression"
units = [{ moulds = 5, bad = 0 }, { moulds = 5, bad = 3 }]
"""
    history = book_of(case_in(tmp_path, text)).history
    assert [mould.castings for mould in history.moulds] == [2] * 5
    assert [(finding.impression, finding.castings) for finding in history.findings] == [(2, 1)] * 3


# ---- files that are wrong


def problems_of(folder: Path, files: dict[str, str]) -> list[str]:
    for name, text in files.items():
        (folder / name).write_text(text)
    with pytest.raises(RulesBroken) as broken:
        load_cases(folder, shipped())
    return [str(problem) for problem in broken.value.problems]


def test_stray_files_are_all_named(tmp_path: Path) -> None:
    strays = {"gas-hole.toml": "must_not = []\n", "notes.txt": "", "drop.tml": ""}
    problems = problems_of(tmp_path, strays)
    assert len(problems) == 3
    assert all(any(name in problem for problem in problems) for name in strays)


def test_every_misspelt_key_is_named_with_its_place(tmp_path: Path) -> None:
    wrong = TWO_BATCHES.replace("seen", "sean").replace("moulds = 7", 'moulds = "7"')
    problems = problems_of(tmp_path, {"sand-too-wet.toml": "must_not = []\n" + wrong, "drop.toml": "must_not = 3"})
    assert any("sean" in problem and "seen" in problem for problem in problems)
    assert any("units[1], moulds" in problem for problem in problems)
    assert any("drop.toml" in problem and "must_bring_up" in problem for problem in problems)


def test_a_folder_that_is_not_there_holds_no_cases(tmp_path: Path) -> None:
    assert load_cases(tmp_path / "cases", shipped()) == Cases({}, {})
    codes = {problem.code for problem in check_cases(Cases({}, {}), shipped())}
    assert codes == {"case-missing"}


ONE_WET_BATCH = CauseCase(
    story="One wet batch.",
    source="made up",
    defect="gas-holes",
    by="sand",
    units=(cases.Row(6, 4, readings={"moisture_pct": 5.4}),),
)


def cause_case(**changes: Any) -> CauseCase:
    return dataclasses.replace(ONE_WET_BATCH, **changes)


def codes_of(case: CauseCase, side: str = "must_bring_up") -> set[str]:
    sides = {"must_bring_up": (cause_case(),), "must_not": (cause_case(first="gassy-melt"),), side: (case,)}
    found = check_cases(Cases({}, {"sand-too-wet": cases.CauseCases(**sides)}), shipped())
    return {problem.code for problem in found} - {"case-missing"}


def test_a_sound_case_is_not_complained_of() -> None:
    assert codes_of(cause_case()) == set()


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"source": "somebody"}, "case-source"),
        ({"first": "gassy-melt"}, "case-first"),
        ({"defect": "gas-hole"}, "case-record"),
        ({"by": "batch"}, "case-record"),
        ({"units": ()}, "case-record"),
        ({"by": "impression", "plate": 3}, "case-record"),
        ({"units": (cases.Row(3, 4),)}, "case-record"),
        ({"units": (cases.Row(3, 2, castings=2),)}, "case-record"),
        ({"units": (cases.Row(3, 2, readings={"wetness": 4.0}),)}, "case-record"),
        ({"units": (cases.Row(3, 2, readings={"pour_c": 700.0}),)}, "case-record"),
        ({"throughout": {"wetness": 4.0}}, "case-record"),
        ({"found_before": (cases.Found("wet", "confirmed"),)}, "case-record"),
    ],
    ids=lambda value: "-".join(value) if isinstance(value, dict) else value,
)
def test_what_cannot_be_put_to_the_rules_is_named(changes: dict[str, object], code: str) -> None:
    assert codes_of(cause_case(**changes)) == {code}


@pytest.mark.parametrize("first", ["", "sand-too-wet", "wet-sand"])
def test_a_case_that_must_not_names_a_rival(first: str) -> None:
    assert codes_of(cause_case(first=first), "must_not") == {"case-first"}


def test_answers_are_to_signs_that_exist() -> None:
    case = DefectCase("made up", "a hole", answers={"wall-smooth": "perhaps", "wall-soft": "yes"})
    file = cases.DefectCases((case,), (DefectCase("made up", "a crack", first="hot-tear"),))
    found = check_cases(Cases({"gas-holes": file}, {}), shipped())
    assert [problem.code for problem in found if problem.code != "case-missing"] == ["case-answer"] * 2
