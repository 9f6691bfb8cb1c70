"""Rules of the handout: allergens, suitability, cautions, safe temperatures, keeping."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from workbookgen.model.food import Food

#: How an allergen stands on a list: in the Contains line, in a line of its own, or not at all.
LISTED, APART, NOT_LISTED = "list", "apart", "no"
US_LIST, EU_LIST = "us", "eu"


@dataclass(frozen=True, slots=True)
class Allergen:
    """An allergen by the id of the food table's markers, with its names and places on both lists.

    ``kinds`` is True where the line must name the kind (nut, fish, crustacean, cereal).
    """

    id: str
    name_us: str
    name_eu: str
    us: str
    eu: str
    kinds: bool
    source_id: str
    status: str
    source_eu: str
    status_eu: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class AllergenKind:
    """A kind of an allergen ("salmon" of fish), as markers write it and as a card prints it.

    ``words`` are whole words of a food's name that tell the kind where its marker does not; ``beside`` is
    another allergen of the same food that tells it.
    """

    allergen: str
    kind: str
    shown: str
    words: tuple[str, ...]
    beside: str
    source_id: str
    status: str


@dataclass(frozen=True, slots=True)
class Suitability:
    """A claim such as "vegan": what each word of the diet column says about it ("no", "?" or "")."""

    id: str
    name: str
    answers: Mapping[str, str]
    source_id: str
    status: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Trigger:
    """One thing that makes a caution fire.

    ``kind`` is "ingredient", "untreated" (mark ``key`` on a line), "amount" (nutrient ``key`` of one serving
    against ``limit``, in the nutrient's unit) or "share" (that amount as per cent of ``per``); ``sign`` is
    ">=", ">" or "<=".
    """

    caution: str
    kind: str
    key: str
    name: str
    sign: str
    limit: float
    per: float
    source_id: str
    status: str
    limit_source: str
    limit_status: str
    note: str = ""

    @property
    def of_nutrient(self) -> bool:
        """True when a figure decides, False when an ingredient does."""
        return self.kind in ("amount", "share")


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution with its words; ``answer`` is what the sheet shows when it fires. A ``card`` text of ""
    is not printed on cards. ``{why}`` in the texts stands for what set it off."""

    id: str
    answer: str
    title: str
    sheet: str
    card: str
    triggers: tuple[Trigger, ...]


@dataclass(frozen=True, slots=True)
class FoodSelector:
    """Which foods a rule is for; an empty condition always fits. ``words`` and ``but`` are whole words of
    the kitchen name, ``allergens`` a piece of the marker text."""

    groups: tuple[str, ...] = ()
    keep_groups: tuple[str, ...] = ()
    states: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    but: tuple[str, ...] = ()
    allergens: str = ""

    def fits(self, food: Food) -> bool:
        """True when every condition holds for ``food``."""
        return (
            (not self.groups or food.group in self.groups)
            and (not self.keep_groups or food.keep_group in self.keep_groups)
            and (not self.states or food.state in self.states)
            and (not self.words or any(has_word(food.name, word) for word in self.words))
            and not any(has_word(food.name, word) for word in self.but)
            and self.allergens in food.allergens
        )


def has_word(name: str, word: str) -> bool:
    """True when ``word`` (which may be several) stands as whole words in ``name``; capitals do not matter.

    >>> has_word("Almonds, raw", "almond"), has_word("Rice bran, dry", "rice bran")
    (False, True)
    """
    return f" {word} " in _whole_words(name)


@lru_cache(maxsize=1 << 14)  # every selector asks about every food of a table
def _whole_words(name: str) -> str:
    plain = "".join(ch if ch.isalnum() else " " for ch in name.lower())
    return f" {' '.join(plain.split())} "


@dataclass(frozen=True, slots=True)
class CautionFood:
    """Adds the caution mark ``mark`` to the foods that fit."""

    mark: str
    selector: FoodSelector
    source_id: str
    status: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Temperature:
    """Safe least internal temperature of raw animal foods; ``words`` is the whole line a card prints."""

    id: str
    name: str
    fahrenheit: float | None
    celsius: float | None
    words: str
    selector: FoodSelector
    source_id: str
    status: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Keeping:
    """How a kind of dish keeps: four texts in the order cool, refrigerate, freeze, reheat."""

    id: str
    name: str
    kind: str
    key: str
    lines: tuple[str, str, str, str]
    source_id: str
    status: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Handling:
    """A figure that texts print by name."""

    id: str
    value: float
    unit: str
    source_id: str
    status: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Safety:
    """All rules together; the empty one knows nothing and answers nothing."""

    allergens: tuple[Allergen, ...] = ()
    kinds: tuple[AllergenKind, ...] = ()
    list_of_set: Mapping[str, str] = field(default_factory=dict)
    suitability: tuple[Suitability, ...] = ()
    cautions: tuple[Caution, ...] = ()
    caution_foods: tuple[CautionFood, ...] = ()
    temperatures: tuple[Temperature, ...] = ()
    raw_handling: str = ""
    service: str = ""
    keeping: tuple[Keeping, ...] = ()
    handling: tuple[Handling, ...] = ()

    @property
    def triggers(self) -> tuple[Trigger, ...]:
        """Triggers of all cautions, those of one caution together."""
        return tuple(trigger for caution in self.cautions for trigger in caution.triggers)

    @property
    def line_marks(self) -> tuple[str, ...]:
        """Marks of a food that set off a caution, in the order of the rules."""
        return tuple(dict.fromkeys(t.key for t in self.triggers if not t.of_nutrient))

    @property
    def diet_words(self) -> tuple[str, ...]:
        """Words of the diet column that suitability rules know, "unknown" last."""
        return tuple(self.suitability[0].answers) if self.suitability else ()

    def allergen_list(self, reference_set: str) -> str:
        """"us" or "eu" for a set of reference values; the longer list when the set is not known."""
        return self.list_of_set.get(reference_set, EU_LIST)
