"""Finding foods by parts of their names."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from workbookgen.nutrition.find import RESULTS, find, rank, search_words
from workbookgen.nutrition.kitchen import Kitchen


def test_words_may_stand_in_any_order(kitchen: Kitchen) -> None:
    names = [f.name for f in find(kitchen.table.foods, "bean black")]
    assert names
    assert all("lack bean" in name for name in names)


def test_names_that_begin_so_come_first(kitchen: Kitchen) -> None:
    found = find(kitchen.table.foods, "oat")
    ranks = [rank("oat", search_words(f.name, f.synonyms)) for f in found]
    assert ranks == sorted(ranks)
    assert len(find(kitchen.table.foods, "a")) == RESULTS


def test_other_names_are_searched_too(kitchen: Kitchen) -> None:
    food = next(f for f in kitchen.table.foods if f.synonyms and f.synonyms.split()[0].lower() not in f.name.lower())
    assert food in [f for f in kitchen.table.foods if rank(food.synonyms.split(";")[0], search_words(f.name, f.synonyms))]


@given(st.text(max_size=70))
def test_any_query_gives_an_answer(kitchen: Kitchen, query: str) -> None:
    assert len(find(kitchen.table.foods[:50], query)) <= RESULTS
