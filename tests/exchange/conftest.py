"""One drafter for all tests of this folder: the food table is read once."""

from __future__ import annotations

import pytest

from workbookgen.exchange.choices import Choices
from workbookgen.exchange.draft import load_kitchen
from workbookgen.exchange.draft_line import LineDrafter
from workbookgen.exchange.lexicon import Lexicon, load_lexicon
from workbookgen.nutrition.kitchen import Kitchen


@pytest.fixture(scope="session")
def kitchen() -> Kitchen:
    return load_kitchen()


@pytest.fixture(scope="session")
def words() -> Lexicon:
    return load_lexicon()


@pytest.fixture(scope="session")
def session_drafter(kitchen: Kitchen) -> LineDrafter:
    return LineDrafter(kitchen)


@pytest.fixture
def drafter(session_drafter: LineDrafter) -> LineDrafter:
    session_drafter.choices = Choices()
    return session_drafter
