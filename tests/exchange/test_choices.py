"""The plain-text file of decisions."""

from __future__ import annotations

from pathlib import Path

import pytest

from workbookgen.exchange.choices import choice_key, load_choices, save_choices
from workbookgen.exchange.draft import draft_line
from workbookgen.exchange.draft_line import LineDrafter
from workbookgen.model.errors import BadInput, BadInputs

KNOWN = {"Milk, fat free": 1, "Milk, whole": 1}


def test_decisions_are_kept_with_remarks_and_replaced_in_place(tmp_path: Path) -> None:
    path = tmp_path / "choices.txt"
    path.write_text("# mine\nmilk -> Milk, whole\ncream -> Milk, whole\n", encoding="utf-8")
    choices = load_choices(path, KNOWN)
    choices.learn("milk", "Milk, fat free")
    choices.learn("cream", "Milk, whole")
    save_choices(path, choices)
    assert path.read_text(encoding="utf-8") == "# mine\ncream -> Milk, whole\nmilk -> Milk, fat free\n"
    assert load_choices(path, KNOWN).find("milk") == "Milk, fat free"


def test_nothing_is_written_when_nothing_was_decided(tmp_path: Path) -> None:
    path = tmp_path / "choices.txt"
    save_choices(path, load_choices(path, KNOWN))
    assert not path.exists()


def test_faulty_lines_are_named(tmp_path: Path) -> None:
    path = tmp_path / "choices.txt"
    path.write_text("milk Milk, whole\noat -> Oats\n", encoding="utf-8")
    with pytest.raises(BadInputs) as caught:
        load_choices(path, KNOWN)
    assert [error.place for error in caught.value.errors] == ["choices.txt, line 1", "choices.txt, line 2"]
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(BadInput, match="UTF-8"):
        load_choices(path, KNOWN)


def test_the_state_is_part_of_a_decision() -> None:
    assert choice_key(("black", "bean"), "rinsed") == "black bean [rinsed]"
    assert choice_key(("milk",), "") == "milk"


def test_a_decision_settles_the_food_next_time(drafter: LineDrafter) -> None:
    before = draft_line("1 cup milk", drafter)[0]
    assert before.line.review
    drafter.choices.learn(before.key, "Milk, fat free")
    after = draft_line("2 cups milk", drafter)[0]
    assert (after.line.food, after.line.review) == ("Milk, fat free", False)
    assert draft_line("1 cup 1% milk", drafter)[0].line.food == "Milk, low fat 1%"
