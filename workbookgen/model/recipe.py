"""Recipes as a cook writes them."""

from __future__ import annotations

from dataclasses import dataclass, field

WATER_FATES = ("absorbed", "stays", "poured off")
BASES = ("edible", "as purchased")
KINDS = ("food", "main dish", "meal")
LEGUMES_AS = ("protein", "vegetable")
CHANGES = ("replace", "leave out", "change amount", "add")


@dataclass(frozen=True, slots=True)
class IngredientLine:
    """One ingredient: ``amount`` of ``unit`` of ``food``.

    ``food`` is the kitchen name in the food table (or the title of another recipe), ``amount_text`` the
    amount as written. ``basis`` is "edible" or "as purchased"; ``share_eaten_pct`` 100 unless part stays
    on the plate or in the pan. ``water`` (liquids only): "absorbed", "stays" or "poured off". A range
    ("2-3") keeps both ends in ``amount_low`` and ``amount_high``, and ``amount`` is the chosen one; both are
    None for a plain amount. ``amount_text`` is "" when the file holds a bare number. ``section`` is a heading
    above this line. ``row`` is the line of the file (0 = unknown), for messages only.
    """

    food: str
    amount: float
    unit: str
    amount_text: str = ""
    basis: str = "edible"
    treatment: str = "none"
    share_eaten_pct: float = 100.0
    include: bool = True
    optional: bool = False
    role: str = ""
    water: str = ""
    note: str = ""
    section: str = ""
    held_back: bool = False
    garnish: bool = False
    amount_high: float | None = None
    review: bool = False
    candidates: tuple[str, ...] = ()
    amount_low: float | None = None
    row: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Target:
    """A wish such as FE >= 20 %DV: ``sign`` is ">=" or "<=", ``basis`` is "amount" (per serving) or "%DV".

    ``unit`` is the unit of an amount: as written in the file, the nutrient's own after
    ``recipes.check.resolve_recipe``; "" for %DV.
    """

    tag: str
    sign: str
    value: float
    basis: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Note:
    """A good-to-know sentence with the id of its source ("" = the author's own remark)."""

    text: str
    source: str = ""


@dataclass(frozen=True, slots=True)
class Change:
    """One step of a variant: ``do`` is "replace", "leave out", "change amount" or "add".

    It applies to every line of the recipe whose food is ``food``; "" or None leaves a part unchanged. An added
    food comes as a line of its own; ``water`` (for added liquids only) says what becomes of it.
    """

    do: str
    food: str
    with_food: str = ""
    amount: float | None = None
    unit: str = ""
    treatment: str = ""
    water: str = ""


@dataclass(frozen=True, slots=True)
class Variant:
    """A named set of changes to a recipe; with ``hold_back`` the lines held back for freezing are left out too."""

    name: str
    changes: tuple[Change, ...] = ()
    hold_back: bool = False


@dataclass(frozen=True, slots=True)
class Review:
    """Sign-off by a person: the check number is the one the recipe sheet showed when she signed."""

    reviewer: str = ""
    date: str = ""
    comment: str = ""
    check_number: float | None = None


@dataclass(frozen=True, slots=True)
class Recipe:
    """A recipe file.

    ``servings`` is the number the dish gives; or ``makes_cups`` with ``serving_g`` set when it is told in
    cups. ``serving_cups`` is a serving told in cups. ``cup_weight_g`` is one weighed cup of the finished
    dish, ``cooked_weight_g`` the weighed pot.
    ``variant_of`` is the title of the recipe this one was derived from, "" for a recipe file; it is not saved.
    ``kind`` is "food", "main dish" or "meal" (21 CFR 101.13(l), (m)); ``racc_g`` the reference amount.
    """

    title: str
    servings: float
    lines: tuple[IngredientLine, ...]
    serving_text: str = ""
    makes_cups: float | None = None
    serving_g: float | None = None
    cup_weight_g: float | None = None
    cooked_weight_g: float | None = None
    kind: str = "main dish"
    racc_g: float | None = None
    racc_text: str = ""
    prep_minutes: float | None = None
    cook_minutes: float | None = None
    method: tuple[str, ...] = ()
    storage: tuple[str, ...] = ()
    notes: tuple[Note, ...] = ()
    targets: tuple[Target, ...] = ()
    variants: tuple[Variant, ...] = ()
    plate_model: str = ""
    legumes_as: str = "protein"
    soup: bool = False
    may_contain: str = ""
    statements: tuple[str, ...] = ()
    switches: tuple[str, ...] = ()
    compare_with: str = ""
    component: bool = False
    counts_as: str = ""
    review: Review = field(default_factory=Review)
    version: str = "1"
    path: str = ""
    settings: tuple[tuple[str, str], ...] = ()
    serving_cups: float | None = None
    variant_of: str = ""
