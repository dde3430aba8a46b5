"""Cautions: at every step, each with its source, none that promises anything."""

from __future__ import annotations

import re

import pytest

from sortbench.engine.washing.cautions import PRACTICE, STEPS, cautions_for
from sortbench.model.errors import DataError


@pytest.mark.parametrize("step", STEPS)
def test_every_step_names_its_sources_and_defers_to_label_and_law(step: str) -> None:
    found = cautions_for(step)
    assert len(found) > 1
    assert all(each.step == step and each.words and each.source for each in found)
    assert "label" in found[-1].words
    assert "local rules and licensed practice come first" in found[-1].words


@pytest.mark.parametrize(
    ("step", "subjects"),
    [
        ("pull", ("mask", "electric", "Small parts", "children")),
        ("soak", ("not hot", "burns skin", "without bleach", "Never mix", "electric", "children")),
        ("rinse", ("40 °C",)),
        ("spin", ("plugs",)),
        ("scrub", ("Never mix", "solvents", "electric")),
        ("drying", ("oven", "0.3 %", "mould", "small parts")),
        (
            "treat",
            (
                *("Nothing is promised", "brittle", "Goggles", "gloves", "Fresh air", "lid", "metal", "Never mix"),
                *("UV lamps", "12 % w/w", "Label the container", "disposed"),
            ),
        ),
        ("photo", ("UV lamps",)),
    ],
)
def test_what_matters_is_said_where_it_matters(step: str, subjects: tuple[str, ...]) -> None:
    words = " ".join(each.words for each in cautions_for(step))
    assert [subject for subject in subjects if subject.lower() not in words.lower()] == []


def test_the_softening_range_has_its_source_and_the_limit_is_owned_as_a_judgement() -> None:
    source = next(each.source for each in cautions_for("soak") if "not hot" in each.words)
    # Generic ABS records: heat deflection 77-104 °C at 1.8 MPa, service limit 62-77 °C, Vicat 95 °C, use up to 60 °C.
    for figure in ("77-104 °C", "62-77 °C", "95 °C", "60 °C", "judgement", "no standard"):
        assert figure in source


def test_what_was_not_read_again_says_so() -> None:
    remembered = [each for step in STEPS for each in cautions_for(step) if "from memory" in each.source]
    assert len(remembered) >= 5
    nobody = [each for step in STEPS for each in cautions_for(step) if each.source == PRACTICE]
    assert nobody
    assert PRACTICE == "common practice, no source"


def test_no_dose_and_no_duration_of_a_treatment_is_given() -> None:
    words = " ".join(each.words for each in cautions_for("treat"))
    assert not re.search(r"\b[0-9]+ ?(hours|h|days|minutes|min) in (the|a) bath", words)
    assert "leave" not in words.lower()


def test_an_unknown_step_is_refused_with_the_known_ones() -> None:
    with pytest.raises(DataError, match="pull, soak"):
        cautions_for("polish")
