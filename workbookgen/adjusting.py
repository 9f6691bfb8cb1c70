"""The command behind ``adjust``: read a recipe file, ask, print, write a variant."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from workbookgen.adjust.report import as_text
from workbookgen.adjust.run import Answer, adjust
from workbookgen.adjust.task import Request
from workbookgen.adjust.variant import as_variant, with_variant
from workbookgen.api import Cookbook, analyse, load
from workbookgen.model.errors import BadInput
from workbookgen.model.recipe import Recipe
from workbookgen.nutrition.dish import in_order, with_dishes
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.recipes.save import save_recipe

_PERCENT = re.compile(r"([0-9]*\.?[0-9]+)\s*%?")
MOST_PERCENT = 1000.0
MOST_ADDED = 10


@dataclass(frozen=True)
class Files:
    """Where results go: a recipe of its own, a copy of the recipe with a variant in it; may files be replaced?"""

    to: Path | None = None
    variant_in: Path | None = None
    overwrite: bool = False


def share_of(text: str) -> float | None:
    """A largest change such as "50%" as a share, None for "".

    >>> share_of("50%"), share_of("")
    (0.5, None)
    """
    if not text:
        return None
    match = _PERCENT.fullmatch(text.strip())
    if not match or not 0 < float(match[1]) <= MOST_PERCENT:
        raise BadInput("--max-change", f"'{text}' is not understood; write a per cent such as 50%")
    return float(match[1]) / 100


def adjust_file(source: Path, request: Request, files: Files, using: Sequence[Path] = (), foods: str = "kitchen") -> str:
    """The answer for a recipe file, in words; variants are written where ``files`` says so.

    Raises BadInput; nothing is written where the targets cannot hold.
    """
    if not 0 <= request.additions <= MOST_ADDED:
        raise BadInput("--add", f"{request.additions} new foods cannot be asked for; write 0 to {MOST_ADDED}")
    for option, path in (("--to", files.to), ("--variant-in", files.variant_in)):
        _check_target(option, path, source, files.overwrite)
    book, recipe = _open(source, using, foods)
    answer = adjust(_kitchen(book, recipe), analyse(book, recipe.title), request)
    return "\n".join([as_text(answer), *_write(answer, recipe, files)])


def _check_target(option: str, path: Path | None, source: Path, overwrite: bool) -> None:
    if path is None:
        return
    if path.resolve() == source.resolve():
        raise BadInput(option, f"{path} is the recipe itself; choose another file")
    if path.exists() and not overwrite:
        raise BadInput(option, f"{path} exists already; choose another file or add --overwrite")


def _open(source: Path, using: Sequence[Path], foods: str) -> tuple[Cookbook, Recipe]:
    """The recipe with the recipes it may use as foods."""
    if source.is_dir():
        raise BadInput(source.name or str(source), "this is a folder; name one recipe file in it")
    place = source.resolve()
    others = [path for path in using if path.resolve() != place]
    inside = any(path.is_dir() and path.resolve() == place.parent for path in others)
    book = load(*([] if inside else [source]), *others, foods=foods)
    for recipe in book:
        if Path(recipe.path).resolve() == place:
            return book, recipe
    raise BadInput(source.name, "this file holds no recipe; name a recipe file")


def _kitchen(book: Cookbook, recipe: Recipe) -> Kitchen:
    """Foods with the dishes of the book, as far as the recipe may use them."""
    dishes, _ = in_order(book.all)
    earlier = dishes[: dishes.index(recipe)] if recipe in dishes else dishes
    return with_dishes(book.kitchen, earlier, book.settings)[0]


def _write(answer: Answer, recipe: Recipe, files: Files) -> list[str]:
    told = []
    if answer.result is None:
        return ["", "Nothing was written."] if files.to or files.variant_in else []
    if files.to is not None:
        variant = replace(answer.result.recipe, path=str(files.to))
        save_recipe(variant, files.to)
        told.append(f"{files.to}: {variant.title}")
    if files.variant_in is not None:
        copy = with_variant(recipe, as_variant(answer.task.space, answer.result.choice))
        save_recipe(replace(copy, path=str(files.variant_in)), files.variant_in)
        told.append(f"{files.variant_in}: {recipe.title} with the variant '{copy.variants[-1].name}'")
    return ["", *told] if told else []
