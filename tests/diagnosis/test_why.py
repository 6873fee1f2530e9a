"""The whole answer on small books, and what must not change it."""

import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from statsmodels.stats.proportion import proportion_confint

from defectlog.diagnosis.looks import Look
from defectlog.diagnosis.why import Asked, DefectAnswer, diagnose
from defectlog.records.histories import PatternHistory, Seen
from defectlog.review.pattern_rate import rate_of
from tests.diagnosis.small_books import (
    COLD,
    DAMP_LADLE,
    GAS,
    NO_FLOW_OFF,
    ONE_GATE,
    TODAY,
    WET,
    card,
    cause,
    favouring,
    history,
    mould,
    rules,
    seen,
    usual,
    verdict,
    wet_sand_book,
)

STANDING = (WET, COLD, DAMP_LADLE, NO_FLOW_OFF, ONE_GATE)
WET_SAND = wet_sand_book()
RULES = rules(*STANDING)


def read_look(finding: Seen) -> Look:
    return Look({"smooth": True} if finding.seen else {}, (finding.place,) if finding.place else ())


def asked(book: PatternHistory, known=RULES, shop=None, **more) -> DefectAnswer:
    diagnosis = diagnose(book, shop or usual(), known, Asked(today=TODAY, **more), read_look)
    assert len(diagnosis.defects) == 1
    return diagnosis.defects[0]


def shares(answer: DefectAnswer) -> dict[str, float]:
    return {item.cause.id: item.share for item in answer.causes}


def test_three_wet_batches_of_twelve_and_all_the_scrap_in_them() -> None:
    answer = asked(WET_SAND)
    assert (answer.defect, answer.castings, answer.moulds) == (GAS, 18, 9)
    first = answer.causes[0]
    assert first.cause.id == "sand-too-wet"
    assert first.share > 0.8
    assert answer.stands_out > 0.99
    assert first.speaks_for[0].startswith(("moisture above 4.5 %", "18 bad castings"))
    assert first.rows == ()


def test_the_parts_are_in_the_order_of_the_ranking() -> None:
    totals = [item.parts.total for item in asked(WET_SAND).causes]
    assert totals == sorted(totals, reverse=True)


def test_shares_and_what_is_unexplained_are_one_whole() -> None:
    answer = asked(WET_SAND)
    assert sum(shares(answer).values()) + answer.unexplained == pytest.approx(1.0)


def test_a_sound_pattern_has_nothing_to_explain() -> None:
    diagnosis = diagnose(history([mould("M1")]), usual(), RULES, Asked(today=TODAY), read_look)
    assert (diagnosis.defects, diagnosis.others, diagnosis.castings) == ((), {}, 4)


def test_a_book_with_no_moulds_at_all_has_nothing_either() -> None:
    diagnosis = diagnose(history([]), usual(), RULES, Asked(today=TODAY, defect=GAS), read_look)
    assert (diagnosis.defects, diagnosis.moulds) == ((), 0)


def test_two_bad_castings_among_many_do_not_stand_out() -> None:
    moulds = [mould(f"M{n}", n % 15 + 1, sand=f"S{n % 15}", heat=f"H{n % 15}") for n in range(60)]
    answer = asked(history(moulds, [seen("M7"), seen("M31")]))
    assert answer.stands_out < 0.5
    assert max(shares(answer).values()) < 0.3


def test_always_the_same_impression_speaks_for_its_gate() -> None:
    moulds = [mould(f"M{n}", n % 12 + 1, sand=f"S{n % 12}", heat=f"H{n % 12}") for n in range(48)]
    answer = asked(history(moulds, [seen(f"M{n}", impression=3) for n in range(0, 48, 3)]))
    assert answer.causes[0].cause.id == "one-gate-bad"
    assert answer.same_place is not None
    assert answer.same_place.impressions[3] == 16


def test_the_commonest_defect_is_gone_into_and_the_others_are_counted() -> None:
    book = history(
        WET_SAND.moulds,
        [*WET_SAND.findings, seen("M1-1", 2, defect="misrun"), seen("M4-1", 1, defect="")],
        WET_SAND.sands.values(),
    )
    diagnosis = diagnose(book, usual(), RULES, Asked(today=TODAY), read_look)
    assert [answer.defect for answer in diagnosis.defects] == [GAS]
    assert diagnosis.others == {"misrun": (2, 1)}
    assert diagnosis.not_settled == 1
    narrowed = diagnose(book, usual(), RULES, Asked(today=TODAY, defect="misrun"), read_look)
    assert [answer.defect for answer in narrowed.defects] == ["misrun"]
    assert narrowed.others == {GAS: (18, 9)}
    every = diagnose(book, usual(), RULES, Asked(today=TODAY, most_defects=9), read_look)
    assert [answer.defect for answer in every.defects] == [GAS, "misrun"]


def test_a_defect_that_no_cause_explains_is_answered_all_the_same() -> None:
    book = history([mould(f"M{n}", n) for n in range(1, 9)], [seen("M3", 3, defect="a-shops-own")])
    answer = asked(book)
    assert answer.causes == ()
    assert answer.unexplained == 1.0


def test_a_cause_confirmed_before_rises_and_can_be_left_out() -> None:
    shop = usual(verdicts=(verdict(DAMP_LADLE.id), verdict(WET.id, "ruled out"), verdict(WET.id, defect="misrun")))
    plain, told = shares(asked(WET_SAND)), shares(asked(WET_SAND, shop=shop))
    assert told[DAMP_LADLE.id] > plain[DAMP_LADLE.id]
    assert 0 < told[WET.id] < plain[WET.id]
    without = asked(WET_SAND, shop=shop, with_history=False)
    assert shares(without) == pytest.approx(plain)
    assert not any("ruled out" in text for item in without.causes for text in item.speaks_against)


def test_a_verdict_is_told_from_the_day_it_was_given() -> None:
    told = {
        day: [text for item in asked(WET_SAND, shop=usual(verdicts=(verdict(WET.id, on=day),))).causes
              for text in item.speaks_for if text.startswith("confirmed")]
        for day in (TODAY, TODAY.replace(day=2))
    }  # fmt: skip
    assert [len(texts) for texts in told.values()] == [1, 0]


def test_looks_and_places_move_weight() -> None:
    sees = rules(replace(DAMP_LADLE, favoured_by=favouring({"smooth": "strong"}, {"cope": "strong"})), WET, COLD)
    plain = history(WET_SAND.moulds, WET_SAND.findings, WET_SAND.sands.values())
    shiny = history(
        WET_SAND.moulds,
        [replace(finding, seen="shiny", place="cope") for finding in WET_SAND.findings],
        WET_SAND.sands.values(),
    )
    assert shares(asked(shiny, sees))[DAMP_LADLE.id] > shares(asked(plain, sees))[DAMP_LADLE.id]
    assert asked(shiny, sees).places == {"cope": 18}


def test_one_cause_is_explained_down_to_its_rows() -> None:
    by_cause = {item.cause.id: item.rows for item in asked(WET_SAND, explain=WET.id).causes}
    assert len(by_cause[WET.id]) == 12
    assert by_cause[COLD.id] == ()


def test_the_pattern_does_not_set_its_own_standard() -> None:
    """The shop's counts hold this pattern's own castings; they are taken off before the usual rate is formed."""
    alone = usual(bad=18, castings=144)
    with_others = usual(bad=18 + 40, castings=144 + 4000)
    assert asked(WET_SAND, shop=alone).stands_out > 0.99
    assert asked(WET_SAND, shop=with_others).stands_out > 0.99


# What must not change the answer. Few examples each: every one is a whole diagnosis.


@settings(max_examples=8, deadline=None)
@given(st.randoms(use_true_random=False))
def test_the_order_of_the_rows_does_not_matter(dice: random.Random) -> None:
    moulds, findings = list(WET_SAND.moulds), list(WET_SAND.findings)
    dice.shuffle(moulds)
    dice.shuffle(findings)
    assert shares(asked(history(moulds, findings, WET_SAND.sands.values()))) == pytest.approx(shares(asked(WET_SAND)))


@settings(max_examples=8, deadline=None)
@given(st.permutations(range(1, 13)))
def test_the_numbers_of_batches_and_moulds_do_not_matter(numbers: list[int]) -> None:
    batch = {f"S{n}": f"batch {new}" for n, new in enumerate(numbers, start=1)}
    name = {item.mould: f"P1/{numbers[n % 12]}/{n}" for n, item in enumerate(WET_SAND.moulds)}
    renamed = history(
        [replace(item, mould=name[item.mould], sand=batch[item.sand or ""]) for item in WET_SAND.moulds],
        [replace(finding, mould=name[finding.mould]) for finding in WET_SAND.findings],
        [replace(item, sand=batch[item.sand]) for item in WET_SAND.sands.values()],
    )
    assert shares(asked(renamed)) == pytest.approx(shares(asked(WET_SAND)))


@settings(max_examples=8, deadline=None)
@given(st.lists(st.integers(1, 4), min_size=4, max_size=4))
def test_a_count_written_down_in_two_findings_is_the_same_count(counts: list[int]) -> None:
    """Castings with no impression on record: one line of three, or a line of two and one of one."""
    moulds = [mould(f"M{n}", n, sand=f"S{n}", heat=f"H{n}") for n in range(1, 13)]
    whole = [seen(f"M{n}", count) for n, count in enumerate(counts, start=3)]
    parted = [
        seen(f"M{n}", part)
        for n, count in enumerate(counts, start=3)
        for part in (count - count // 2, count // 2)
        if part
    ]
    one, other = asked(history(moulds, whole)), asked(history(moulds, parted))
    assert shares(one) == pytest.approx(shares(other))
    assert (one.castings, one.moulds) == (other.castings, other.moulds)


@settings(max_examples=8, deadline=None)
@given(st.integers(1, 30))
def test_sound_moulds_with_no_readings_raise_no_cause_by_its_readings(extra: int) -> None:
    """They may move what the spread says; what a reading adds is about the moulds that have one."""
    alike = rules(WET, replace(WET, id="wet-by-another-name", reading=None), COLD)
    more = [mould(f"X{n}", 13 + n % 5) for n in range(extra)]
    before = {item.cause.id: item.parts.readings for item in asked(WET_SAND, alike).causes}
    after_book = history([*WET_SAND.moulds, *more], WET_SAND.findings, WET_SAND.sands.values())
    after = {item.cause.id: item.parts.readings for item in asked(after_book, alike).causes}
    assert after["wet-by-another-name"] == before["wet-by-another-name"] == 0.0
    assert max(after, key=lambda cause: after[cause]) == max(before, key=lambda cause: before[cause]) == WET.id
    assert after[WET.id] == pytest.approx(before[WET.id], abs=1.0)


def test_a_cause_that_leaves_no_reading_is_not_touched_by_readings_of_others() -> None:
    unread = history(WET_SAND.moulds, WET_SAND.findings)
    for book in (WET_SAND, unread):
        parts = {item.cause.id: item.parts for item in asked(book).causes}
        assert parts[DAMP_LADLE.id].readings == 0.0
    assert parts[WET.id].readings == pytest.approx(0.0, abs=1e-9)


def test_the_scale_of_a_reading_does_not_matter() -> None:
    """Moisture in parts of a thousand, limit and softness too."""
    by_thousand = tuple(
        replace(limit, value=limit.value * 10, softness=limit.softness * 10)
        if limit.reading == "moisture_pct"
        else limit
        for limit in RULES.limits
    )
    book = history(
        WET_SAND.moulds,
        WET_SAND.findings,
        [replace(item, moisture_pct=(item.moisture_pct or 0.0) * 10) for item in WET_SAND.sands.values()],
    )
    assert shares(asked(book, rules(*STANDING, limits=by_thousand))) == pytest.approx(shares(asked(WET_SAND)))


def test_a_reading_parts_its_cause_from_those_that_nothing_can_show() -> None:
    """Seven causes act at the sand batch. With the moisture on record one is named; without, they are one answer."""
    known = rules(WET, *[cause(f"unseen-{n}", "sand") for n in range(6)])
    read, unread = asked(WET_SAND, known), asked(history(WET_SAND.moulds, WET_SAND.findings), known)
    assert (read.causes[0].cause.id, read.causes[0].cannot_be_told_from) == (WET.id, ())
    assert all(len(item.cannot_be_told_from) == 6 for item in unread.causes)
    assert shares(unread)[WET.id] == pytest.approx(shares(unread)["unseen-0"])


@pytest.mark.parametrize("scrapped", [0, 1, 7, 30])
def test_the_rate_beside_the_answer_is_wilsons_where_castings_fail_by_themselves(scrapped: int) -> None:
    """statsmodels.stats.proportion.proportion_confint(method="wilson"); one casting a mould, so nothing clusters."""
    book = history(
        [mould(f"M{n}", n % 20 + 1, castings=1) for n in range(120)],
        [seen(f"M{n}", finding=n) for n in range(scrapped)],
        cards=[card(impressions=1)],
    )
    rate = rate_of(book)
    assert rate.interval is not None
    np.testing.assert_allclose(
        (rate.interval.low, rate.interval.high), proportion_confint(scrapped, 120, method="wilson"), atol=1e-12
    )
