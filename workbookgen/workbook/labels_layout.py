"""Where everything stands on the sheet Labels: inputs in the order of a pack, working to the right."""

from __future__ import annotations

from dataclasses import dataclass, field

from workbookgen.model.pack import MOST_CONDITIONS, MOST_WORDS
from workbookgen.nutrition.kitchen import Kitchen
from workbookgen.nutrition.pack import daily_values, declared_tags
from workbookgen.workbook.book import a1, block, quoted

SHEET = "Labels"
GROUP, LIMIT, HEAD, FIRST = 3, 4, 5, 6
PRODUCTS = 30
#: Nutrients of the compared product that conditions ask for.
COMPARED = ("ENERC_KCAL", "FAT", "FASAT", "NA", "SUGAR")
BASES = ("g_reference", "g_serving", "g_small", "g_hundred", "g_healthy")

#: key, heading, width, list offered, group heading
WORDS = (
    ("no", "No.", 4, "", ""),
    ("name", "Product", 26, "", "Product"),
    ("message", "What to mend", 32, "", ""),
    ("s_amount", "Serving, number", 8, "", "One serving"),
    ("s_unit", "Serving, unit", 10, "", ""),
    ("s_g", "Serving, g", 8, "", ""),
    *((f"w{i}", f"Word {i}", 17, "pack_word", "Words on the front of the pack" if i == 1 else "")
      for i in range(1, MOST_WORDS + 1)),
    ("compare", "Compared with", 24, "food_name", "How it is judged"),
    ("kind", "Kind of product", 10, "pack_kind", ""),
    ("reference", "Category of its reference amount", 26, "pack_racc", ""),
    ("salt", "Salt or sodium in it", 9, "list_known", "What the ingredient list says"),
    ("sugar", "Sugar in it", 9, "list_known", ""),
    ("fat", "Fat or oil in it", 9, "list_known", ""),
    ("contains", "Contains these allergens (words with commas)", 26, "", ""),
    ("checked", "All other allergens checked: not in it", 11, "list_yes", ""),
    ("diet", "Made from (words with commas)", 18, "", ""),
    ("group", "Group", 18, "list_group", "As a food in recipes"),
    ("state", "State", 9, "list_state", ""),
    ("role", "On the plate", 14, "list_role", ""),
    ("keep", "Cooks like", 14, "list_keep", ""),
)  # fmt: skip
#: Working columns before the nutrients: key, heading, width, number style.
READ = (
    ("r_name", "Name as read", 24, ""), ("r_sa", "Number as read", 8, "general"), ("r_su", "Unit as read", 10, ""),
    ("r_g", "Serving as read, g", 8, "general"), ("r_unit", "Row of unit", 7, "n0"), ("r_kind", "Kind, number", 7, "n0"),
    ("r_ref", "Row of category", 7, "n0"), ("r_cmp", "Row of compared food", 8, "n0"), ("d_raw", "g per mL", 8, "n3"),
    ("dens", "g per mL as used", 8, "n3"), ("r_ml", "Reference amount, mL", 8, "n0"),
    ("g_reference", "Reference amount, g", 9, "n1"), ("g_serving", "Serving, g", 9, "n1"),
    ("g_small", "50 g when small", 9, "n0"), ("g_hundred", "100 g", 9, "n0"), ("g_healthy", "Healthy amount, g", 9, "n1"),
    ("own", "Own unit (1 = yes)", 7, "n0"), ("alg_list", "Allergens as read", 20, ""), ("alg", "Allergen marks", 20, ""), ("odd", "Allergen words not known", 8, "n0"),
    ("bad", "Figures not read", 8, "n0"), ("e_low", "Energy by 4-9-4, least", 9, "n1"), ("e_high", "most", 9, "n1"),
    ("e_fit", "Energy fits (1 = yes)", 8, "n0"), ("p_bad", "Per cents that do not fit", 8, "n0"),
    ("problem", "Problem", 26, ""),
)  # fmt: skip
COMPARED_MORE = (
    ("c_share", "Compared: energy from fat, %"),
    ("c_cal", "Compared: low calorie"),
    ("c_fat", "Compared: low fat"),
)
SLOT = (
    ("n", "word no.", 7, "n0"), ("from", "from row", 7, "n0"), ("rows", "rows", 6, "n0"),
    *((f"s{k}", f"condition {k}", 14, "") for k in range(1, MOST_CONDITIONS + 1)),
    ("verdict", "verdict", 16, ""), ("pick", "decides", 7, "n0"), ("value", "measured", 9, "n2"), ("why", "reason", 40, ""),
)  # fmt: skip


@dataclass
class LabelsLayout:
    """Columns by key (zero-based); rows ``FIRST`` to ``last`` hold one product each."""

    tags: tuple[str, ...]
    percents: tuple[str, ...]
    quantities: tuple[str, ...]
    products: int = PRODUCTS
    col: dict[str, int] = field(default_factory=dict)
    widths: dict[int, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for key, _, width, *_ in WORDS:
            self._take(key, width)
        self.words_last = len(self.col) - 1
        for tag in self.tags:
            self._take("i_" + tag, 10.5)
            if tag in self.percents:
                self._take("ip_" + tag, 6)
        self.front_last = len(self.col) - 1
        self._take("gap1", 2)
        for key, _, width, _ in READ:
            self._take(key, width)
        for tag in self.tags:  # as read, in the order of the inputs
            self._take("a_" + tag, 8)
            if tag in self.percents:
                self._take("p_" + tag, 7)
        for prefix in ("v_", "lo_", "hi_"):
            for tag in self.tags:
                self._take(prefix + tag, 8)
        for tag in self.percents:
            self._take("f_" + tag, 6)
        for tag in COMPARED:
            self._take("c_" + tag, 9)
        for key, _ in COMPARED_MORE:
            self._take(key, 9)
        for number in range(1, len(self.quantities) + 1):
            self._take(f"q_{number}", 9)
        for slot in range(1, MOST_WORDS + 1):
            for key, _, width, _ in SLOT:
                self._take(f"{key}_{slot}", width)
        self._take("words", 50)
        self.last = FIRST + self.products - 1
        self.edge = self.last + 1

    def _take(self, key: str, width: float) -> None:
        self.widths[len(self.col)] = width
        self.col[key] = len(self.col)

    def cell(self, key: str, row: int) -> str:
        """A product's cell with its column fixed, such as ``$C12``."""
        return a1(row, self.col[key], fix_col=True)

    def across(self, first: str, last: str, row: int) -> str:
        """A run of cells of one product with fixed columns."""
        return f"{self.cell(first, row)}:{self.cell(last, row)}"

    def typed(self, key: str, index: int) -> str:
        """What was typed for product ``index`` (from 0), between the locked heading and the locked end row."""
        return f"INDEX({block(HEAD, self.col[key], self.edge, self.col[key])},{index + 2})"

    def outside(self, key: str) -> str:
        """All products of a column, for formulas on other sheets."""
        return f"{quoted(SHEET)}!{block(FIRST, self.col[key], self.last, self.col[key])}"

    def quantity(self, name: str) -> str:
        """Column key of a quantity."""
        return f"q_{self.quantities.index(name) + 1}"


def labels_layout(kitchen: Kitchen, products: int = PRODUCTS) -> LabelsLayout:
    """The layout for the nutrients a label may declare and the rules for words."""
    tags = declared_tags(kitchen.tables)
    values = daily_values(kitchen.tables)
    percents = tuple(t for t in tags if t in values and "%" + t in kitchen.tables.rounding)
    return LabelsLayout(tags, percents, tuple(q for q, _, _ in kitchen.pack_rules.quantities), products)
