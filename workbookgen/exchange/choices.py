"""Decisions a user has made before, in a plain text file that she may read and edit.

One decision a line: the food words of an ingredient line, an arrow, the food. ``#`` starts a remark.

    milk -> Milk, reduced fat 2%
    black beans [rinsed] -> Black beans, boiled
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from workbookgen.model.errors import BadInput, BadInputs
from workbookgen.model.place import put_bytes

ARROW = "->"
FILE_NAME = "choices.txt"
LARGEST = 1_000_000  # bytes; a decision takes about 50
HEADING = "# Decisions for drafting recipes: ingredient words -> food. Edit or delete lines freely.\n"


@dataclass
class Choices:
    """Foods by ingredient words; ``new`` holds what was decided in this run."""

    foods: dict[str, str] = field(default_factory=dict)
    new: dict[str, str] = field(default_factory=dict)

    def find(self, key: str) -> str | None:
        """The food decided for the words, if any."""
        return self.foods.get(key)

    def learn(self, key: str, food: str) -> None:
        """Remember a decision."""
        if self.foods.get(key) != food:
            self.foods[key] = self.new[key] = food


def choice_key(words: tuple[str, ...], state: str) -> str:
    """The words a decision is filed under: in the one spelling, with the state asked for."""
    return " ".join(words) + (f" [{state}]" if state else "")


def load_choices(path: Path | None, known: Mapping[str, object]) -> Choices:
    """Read the file at ``path`` (none: no decisions yet); ``known`` holds the foods by name.

    Raises ``BadInputs`` naming each line that cannot be used.
    """
    choices = Choices()
    if path is None or not path.is_file():
        return choices
    if path.stat().st_size > LARGEST:
        raise BadInput(
            path.name, f"the file is larger than {LARGEST // 1000:,} kB; delete what is no decision"
        )
    try:
        lines = path.read_text(encoding="utf-8-sig").splitlines()
    except UnicodeDecodeError as error:
        raise BadInput(path.name, "the file is not UTF-8 text; save it as UTF-8") from error
    errors: list[BadInput] = []
    for number, line in enumerate(lines, start=1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        words, arrow, food = (part.strip() for part in line.partition(ARROW))
        if not arrow or not words or not food:
            errors.append(
                BadInput(f"{path.name}, line {number}", 'write "words -> food", or start a remark with #')
            )
        elif food not in known:
            errors.append(
                BadInput(
                    f"{path.name}, line {number}", f'food "{food}" is not in the food table; mend its name'
                )
            )
        else:
            choices.foods[words] = food
    if errors:
        raise BadInputs(errors)
    return choices


def save_choices(path: Path, choices: Choices) -> None:
    """Write the file again: remarks and other lines stay, changed ones are replaced."""
    if not choices.new:
        return
    old = path.read_text(encoding="utf-8-sig").splitlines() if path.is_file() else [HEADING.rstrip()]
    kept = [
        line
        for line in old
        if line.partition(ARROW)[0].strip() not in choices.new or line.lstrip().startswith("#")
    ]
    added = [f"{words} {ARROW} {food}" for words, food in sorted(choices.new.items())]
    put_bytes(path, ("\n".join([*kept, *added]) + "\n").encode(), "another --choices")
