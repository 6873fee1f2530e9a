"""Text to clauses of stems. Expected readings are common sense of shop English, no source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from defectlog.diagnosis.words import LONGEST_TEXT, clauses_of, stem, stems_of


def said(text: str) -> list[list[str]]:
    return [[word.stem for word in clause.words] for clause in clauses_of(text) if clause.words]


def denied(text: str) -> set[str]:
    return {word.stem for clause in clauses_of(text) for word in clause.words if word.denied}


@pytest.mark.parametrize(
    "words",
    [
        "hole holes holed",
        "bubble bubbles bubbling bubbly",
        "crack cracks cracked cracking",
        "ram rams rammed ramming",
        "bake baked baking",
        "torn tore tear tearing",
        "mould mold moulds molds",
        "grey gray",
        "oxidised oxidized",
        "pit pits pitted pitting",
        "break broke broken",
        "riser feeder header risers",
    ],
)
def test_one_word_in_its_forms_and_spellings_has_one_stem(words: str) -> None:
    assert len({stem(word) for word in words.split()}) == 1


@pytest.mark.parametrize(
    ("one", "other"),
    [("cope", "core"), ("blow", "below"), ("shift", "shrink"), ("fill", "file"), ("fine", "fin"), ("part", "parting")],
)
def test_words_that_must_not_be_taken_for_each_other_keep_their_own_stem(one: str, other: str) -> None:
    assert stem(one) != stem(other)


def test_clauses_end_at_stops_and_contrasts() -> None:
    assert said("skin clean, then drill; hole but round - dark") == [
        ["skin", "clean"],
        ["drill"],
        ["hole"],
        ["round"],
        ["dark"],
    ]


def test_numbers_with_a_decimal_comma_or_point_stay_whole() -> None:
    assert said("2,5 mm. 3.2 mm") == [["2,5", "mm"], ["3.2", "mm"]]


@pytest.mark.parametrize(
    "no", ["no", "not", "isnt", "isn't", "isn’t", "wasnt", "never", "without", "cant see any", "free of"]
)
def test_every_way_of_denying_denies(no: str) -> None:
    assert "smooth" in denied(f"it {no} smooth")


@pytest.mark.parametrize(
    ("text", "outside"),
    [
        ("no sand and rough", "rough"),
        ("no sand, rough", "rough"),
        ("no sand but rough", "rough"),
        ("rough not round", "rough"),
        ("not only smooth", "smooth"),
        ("no doubt smooth", "smooth"),
    ],
)
def test_a_denial_reaches_only_its_own_words(text: str, outside: str) -> None:
    assert outside not in denied(text)


def test_a_denial_reaches_over_or() -> None:
    assert denied("isnt round or smooth") == {"round", "smooth"}


@pytest.mark.parametrize(
    ("text", "note", "kept"),
    [
        ("rough face, I think the sand was coarse", "think the sand was coarse", [["rough", "face"]]),
        ("pitted skin probably because of damp sand", "probably because of damp sand", [["pit", "skin"]]),
        ("core was damp I reckon, holes", "core was damp I reckon", [["hole"]]),
        ("lumps, must be the ramming", "must be the ramming", [["lump"]]),
    ],
)
def test_theories_are_kept_as_notes_and_not_as_looks(text: str, note: str, kept: list[list[str]]) -> None:
    assert [clause.note for clause in clauses_of(text) if clause.note] == [note]
    assert said(text) == kept


def test_a_reason_for_rejecting_is_no_theory() -> None:
    assert said("scrapped because of bubbles")[0] == ["scrap", "becaus", "bubbl"]


def test_maybe_before_a_number_is_a_size() -> None:
    assert said("holes maybe 5 mm") == [["hole", "mayb", "5", "mm"]]
    assert said("holes maybe gas") == [["hole"]]


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("draw in the heavy boss", "draw"),
        ("the draw of the pattern", "lift"),
        ("pattern drew badly", "lift"),
        ("cold metal", "cold"),
        ("cold morning", "chilly"),
        ("blow on the cope", "blow"),
        ("blew it out with the air line", "airline"),
        ("night shift", "turn"),
        ("dropped on the floor", "letfall"),
    ],
)
def test_words_with_two_meanings_are_settled_by_their_neighbours(text: str, meant: str) -> None:
    assert meant in said(text)[0]


def test_round_is_a_shape_or_a_place() -> None:
    assert said("round holes round the core") == [["round", "hole", "around", "core"]]
    assert said("edges all rounded") == [["edge", "all", "round"]]


def test_a_no_before_a_number_counts_and_does_not_deny() -> None:
    assert said("it is no 3") == [["number", "3"]]
    assert denied("no 2 every time") == set()


def test_what_ran_out_is_used_up_or_leaked() -> None:
    assert said("ran out of flux")[0] == ["lack", "out", "flux"]
    assert said("ran out of the joint")[0] == ["run", "out", "joint"]


def test_a_word_after_where_or_and_is_marked() -> None:
    words = clauses_of("dark skin where the sand and rough")[0].words
    assert [word.stem for word in words if word.joint] == ["sand", "rough"]


def test_in_belongs_to_the_verb_unless_a_noun_follows() -> None:
    assert said("sunk in") == [["sink", "-in"]]
    assert said("sunk in the face") == [["sink", "face"]]


def test_places_in_the_text_are_those_of_the_words() -> None:
    text = "Skin isn’t SMOOTH — İnside"
    for clause in clauses_of(text):
        for word in clause.words:
            assert text[word.start : word.end].isalpha() or "’" in text[word.start : word.end]


def test_only_the_first_pages_of_an_endless_text_are_read() -> None:
    assert all(word.end <= LONGEST_TEXT for clause in clauses_of("hole " * 5000) for word in clause.words)


@given(st.text())
def test_any_text_can_be_read(text: str) -> None:
    for clause in clauses_of(text):
        assert all(0 <= word.start < word.end <= len(text) for word in clause.words)
    assert isinstance(stems_of(text), tuple)
