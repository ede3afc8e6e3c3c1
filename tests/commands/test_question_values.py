"""Answers to a question with choices: by number or by name, and what is neither."""

from __future__ import annotations

import pytest

from decalgen.commands.question_values import chosen, free
from decalgen.commands.questions import Question
from decalgen.core.errors import DecalgenError

ASKED = Question(("film",), "Which film?", choices=(("clear", "see-through"), ("white", "opaque")))


@pytest.mark.parametrize("typed", ["2", "white", " WHITE "])
def test_a_choice_is_named_by_its_number_or_its_name(typed: str) -> None:
    assert chosen(ASKED, typed) == "white"


@pytest.mark.parametrize("typed", ["0", "3", "²", "२", "grey", ""])
def test_what_is_neither_is_refused_with_a_fix(typed: str) -> None:
    """A digit of another script, or a raised one, is no number here."""
    with pytest.raises(DecalgenError) as caught:
        chosen(ASKED, typed)
    assert caught.value.fix


def test_a_name_that_differs_in_capitals_alone_is_not_free() -> None:
    assert free("Door", ["door", "Door 2"]) == "Door 3"
    assert free("Door", ["hood"]) == "Door"
