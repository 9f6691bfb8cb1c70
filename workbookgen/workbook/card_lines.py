"""The working of a card, beneath the page: each ingredient line in kitchen words, and the rows it prints on.

A line takes one printed row, one more for a heading above it, and up to two more when its text is long. Rows
("slots") look up the line they belong to, so excluded and empty lines leave no gap.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from workbookgen.nutrition.card_words import LineWords
from workbookgen.workbook.book import LOOKUP, Sheet, Value, a1, block, quoted
from workbookgen.workbook.card_plan import MOST_ROWS
from workbookgen.workbook.card_texts import LONGEST_NOTE
from workbookgen.workbook.recipe_layout import FIRST_LINE, RecipeLayout
from workbookgen.workbook.recipe_panel import metric_text
from workbookgen.workbook.words import tidy

LONGEST_HEADING = 60
#: key, heading, number style
COLUMNS = (
    ("no", "No.", "n0"), ("food", "Food", ""), ("shown", "Printed (1 = yes)", "n0"), ("heading", "Heading", ""),
    ("current", "Heading in force", ""), ("head", "Heading printed", ""), ("last", "Last printed", ""),
    ("unit", "Unit", ""), ("cut", "Unit's name ends", "n0"), ("one", "One", ""), ("many", "Many", ""),
    ("u", "Row in units", "n0"), ("kind", "Kind", ""), ("a", "Amount scaled", "n3"), ("q", "mL, g or pieces", "n3"),
    ("k", "Kitchen unit", "n0"), ("s", "Of that unit", "n3"), ("v", "Nearest", "n0"), ("z", "Rounded", "n3"),
    ("w", "Not above", "n0"), ("down", "Too far off (1 = yes)", "n0"), ("kept", "Kept", "n3"), ("s2", "Rest, finer unit", "n3"),
    ("v2", "Nearest", "n0"), ("z2", "Rounded", "n3"), ("use", "One unit down (1 = yes)", "n0"), ("t1", "First part", ""),
    ("t2", "Second part", ""), ("household", "Household", ""), ("g", "Weight, g", "n1"), ("weight", "Weight in words", ""),
    ("metric", "Metric", ""), ("main", "Printed amount", ""), ("beside", "Printed beside", ""), ("desc", "Text", ""),
    *((f"{key}{k}", f"{head} {k}", "") for k in range(1, MOST_ROWS + 1) for key, head in (("d", "Row"), ("rest", "Left over after row"))),
    ("rows", "Rows", "n0"), ("end", "Last row", "n0"),
)


@dataclass
class CardWork:
    """Rows and fixed cells of the working beneath a card."""

    sheet: Sheet
    recipe: Sheet
    lay: RecipeLayout
    first: int
    words: dict[str, str] = field(default_factory=dict)
    cells: dict[str, str] = field(default_factory=dict)

    @property
    def last(self) -> int:
        return self.first + self.lay.lines - 1

    def col(self, key: str) -> int:
        return next(i for i, (k, *_) in enumerate(COLUMNS) if k == key)

    def at(self, key: str, row: int) -> str:
        return a1(row, self.col(key), fix_col=True)

    def column(self, key: str) -> str:
        return block(self.first, self.col(key), self.last, self.col(key))

    def theirs(self, address: str) -> str:
        """An address on the recipe sheet."""
        return f"{quoted(self.recipe.name)}!{address}"


def put_card_lines(work: CardWork, known: list[LineWords] | None) -> None:
    """Lay out the table of lines; ``known`` holds what the core says of each line that is written."""
    sheet = work.sheet
    sheet.put(work.first - 2, 0, "Ingredient lines in kitchen words (scaled)", "label")
    for i, (_, head, _) in enumerate(COLUMNS):
        sheet.put(work.first - 1, i, head, "workhead")
    sheet.heights[work.first - 1] = 40
    for i in range(work.lay.lines):
        line = known[i] if known is not None and i < len(known) else None
        _put_line(work, work.first + i, i, line, known is not None)


def _put_line(work: CardWork, row: int, i: int, known: LineWords | None, built: bool) -> None:
    sheet = work.sheet
    c = {key: work.at(key, row) for key, *_ in COLUMNS}
    formulas = {**_texts(work, c, row, i), **_ladder(work, c), **_printed(work, c, row, i)}
    sheet.put(row, 0, i + 1, "work n0")
    core: dict[str, Value] = {}
    if known is not None:
        core = {"shown": known.shown, "a": known.scaled, "household": known.household, "g": known.grams,
                "weight": known.weight, "metric": known.metric}
    elif built:
        core = {"shown": 0, "a": 0.0}
    for key, _, style in COLUMNS[1:]:
        sheet.formula(row, work.col(key), formulas[key], core.get(key, LOOKUP), f"work {style}".strip())


def _texts(work: CardWork, c: dict[str, str], row: int, i: int) -> dict[str, str]:
    """Food, headings and unit as read from the recipe sheet."""
    lay, at = work.lay, row - work.first

    def read(key: str) -> str:
        return work.theirs(lay.at(key, FIRST_LINE + at))

    heading = f"INDEX({work.theirs(lay.guarded('heading'))},{c['no']}+1)"
    before = {key: work.at(key, row - 1) if i else '""' for key in ("current", "last")}
    mark, count = read("r_mark"), read("r_count")
    return {
        "food": f'={read("r_food")}&""',
        "shown": f'=IF({c["food"]}="",0,IF(AND({count}=0,{mark}=""),0,1))',
        "heading": f'=IF(ISTEXT({heading}),LEFT({tidy(heading)},{LONGEST_HEADING}),"")',
        "current": f'=IF({c["heading"]}<>"",{c["heading"]},{before["current"]})',
        "head": f'=IF({c["shown"]}=0,"",IF({c["current"]}={before["last"]},"",{c["current"]}))',
        "last": f'=IF({c["shown"]}=1,{c["current"]},{before["last"]})',
        "unit": f'={read("r_unit")}&""',
        "cut": f'=MIN(FIND(",",{c["unit"]}&","),FIND(" (",{c["unit"]}&" ("))',
        "one": f'=LEFT({c["unit"]},{c["cut"]}-1)',
        "many": _many(c),
        "u": f'=IF({c["one"]}="",0,IFERROR(MATCH({c["one"]},unit_name,0),0))',
        "kind": f'=IF({c["u"]}=0,"piece",INDEX(unit_kind,{c["u"]}))',
        "a": f'=IF(ISNUMBER({read("r_amount")}),{read("r_amount")}*{work.cells["scale"]},0)',
        "g": f'={read("purchased")}*{work.cells["scale"]}',
        "desc": _description(work, c, mark, count, read),
    }


def _many(c: dict[str, str]) -> str:
    many = f'IFERROR(INDEX(plu_many,MATCH({c["unit"]},plu_one,0)),{c["unit"]})'
    return f'=LEFT({many},MIN(FIND(",",{many}&","),FIND(" (",{many}&" ("))-1)'


def _description(work: CardWork, c: dict[str, str], mark: str, count: str,
                 read: Callable[[str], str]) -> str:
    """Food, what the unit adds ("chopped"), the mark in words, the note, and what cannot be understood."""
    w = work.words
    tail = f'SUBSTITUTE(SUBSTITUTE(MID({c["unit"]},{c["cut"]}+2,100),")","")," (",", ")'
    note = f"INDEX({work.theirs(work.lay.guarded('note'))},{c['no']}+1)"
    noted = f'IF(ISTEXT({note}),IF({tidy(note)}="","","; "&LEFT({tidy(note)},{LONGEST_NOTE})),"")'
    marks = "".join(f'&IF({mark}="{m}","; "&{w[m]},"")' for m in ("optional", "garnish", "hold back"))
    problem = read("problem")
    return (f'=IF({c["shown"]}=0,"",{c["food"]}&IF({tail}="",""," ("&{tail}&")"){marks}&IF({count}=0,"; "&{w["not counted"]},"")'
            f'&{noted}&IF({problem}="",""," "&{w["mend"]}))')


def _ladder(work: CardWork, c: dict[str, str]) -> dict[str, str]:
    """From the scaled amount to kitchen fractions: nutrition/fractions.py in formulas."""
    size, finer = f'INDEX(kst_size,{c["k"]})', f'MAX(1,{c["k"]}-1)'
    part = f'ROUND({c["s"]}-INT({c["s"]}),9)'
    part2 = f'ROUND({c["s2"]}-INT({c["s2"]}),9)'
    cls, cls2 = f'INDEX(kst_class,{c["k"]})*10', f"INDEX(kst_class,{finer})*10"

    def number(s: str, row: str) -> str:
        text = f"INDEX(kfr_text,{row})"
        return f'IF({text}="+",(INT({s})+1)&"",IF(INT({s})=0,{text},INT({s})&IF({text}="",""," "&{text})))'

    def named(value: str, row: str, piece: bool) -> str:
        many, one = f"INDEX(kst_many,{row})", f"INDEX(kst_one,{row})"
        if piece:
            many, one = (f'IF({c["kind"]}="piece",{c[word]},{table})' for word, table in (("many", many), ("one", one)))
        return f'IF({value}>1,{many},{one})'

    split = f'INDEX(kst_split,{c["k"]})'
    return {
        "q": f'={c["a"]}*IF({c["u"]}=0,1,INDEX(unit_factor,MAX(1,{c["u"]})))',
        "k": f'=IF({c["kind"]}="volume",MATCH(ROUND({c["q"]},9),kst_from_volume,1),IF({c["kind"]}="mass",'
             f'ROWS(kst_from_volume)+MATCH(ROUND({c["q"]},9),kst_from_mass,1),ROWS(kst_kind)))',
        "s": f'=ROUND({c["q"]}/{size},9)',
        "v": f"=MATCH({cls}+{part},kfr_near,1)",
        "z": f'=INT({c["s"]})+INDEX(kfr_value,{c["v"]})',
        "w": f'=IF(INDEX(kst_part,{c["k"]})=1,MATCH({cls}+{part},kfr_floor,1),MATCH({cls},kfr_floor,1))',
        "down": f'=IF(AND(INDEX(kst_finer,{c["k"]})=1,{c["s"]}>0),IF(ROUND(ABS({c["z"]}-{c["s"]})*100/{c["s"]},9)>const_kitchen_off,1,0),0)',
        "kept": f'=IF(AND({c["down"]}=1,{split}>0,{c["s"]}>={split}),INT({c["s"]})+INDEX(kfr_value,{c["w"]}),0)',
        "s2": f'=IF({c["down"]}=0,0,ROUND(MAX(0,{c["q"]}-{c["kept"]}*{size})/INDEX(kst_size,{finer}),9))',
        "v2": f"=MATCH({cls2}+{part2},kfr_near,1)",
        "z2": f'=INT({c["s2"]})+INDEX(kfr_value,{c["v2"]})',
        "use": f'=IF({c["down"]}=0,0,IF(ROUND(ABS({c["kept"]}*{size}+{c["z2"]}*INDEX(kst_size,{finer})-{c["q"]}),9)'
               f'<ROUND(ABS({c["z"]}*{size}-{c["q"]}),9),1,0))',
        "t1": f'=IF({c["use"]}=1,IF({c["kept"]}=0,"",{number(c["s"], c["w"])}&" "&{named(c["kept"], c["k"], False)}),'
              f'IF({c["z"]}=0,"",{number(c["s"], c["v"])}&" "&{named(c["z"], c["k"], True)}))',
        "t2": f'=IF(OR({c["use"]}=0,{c["z2"]}=0),"",{number(c["s2"], c["v2"])}&" "&{named(c["z2"], finer, False)})',
        "household": f'=IF({c["q"]}<=0,"0",IF(AND({c["t1"]}="",{c["t2"]}=""),INDEX(kst_least,{c["k"]}),TRIM({c["t1"]}&'
                     f'IF(AND({c["t1"]}<>"",{c["t2"]}<>""),INDEX(kst_join,{c["k"]}),"")&{c["t2"]})))',
    }


def _printed(work: CardWork, c: dict[str, str], row: int, i: int) -> dict[str, str]:
    """What the page shows of the line, and the rows it takes."""
    metric = f'{work.cells["units"]}="metric"'
    poured = f'AND({c["kind"]}="volume",ISNUMBER(MATCH({c["food"]},pour_food,0)))'
    cap = work.cells["capacity"]

    def cut(text: str) -> str:
        """Where the text must break to fit a row: at its last blank, or anywhere in a long word."""
        head = f"LEFT({text},{cap}+1)"
        blanks = f'(LEN({head})-LEN(SUBSTITUTE({head}," ","")))'
        return (f'IF(LEN({text})<={cap},LEN({text}),IF({blanks}=0,{cap},FIND(CHAR(1),SUBSTITUTE({head}," ",CHAR(1),'
                f'MAX(1,{blanks})))-1))')

    def rest(text: str, part: str) -> str:
        return f'TRIM(MID({text},LEN({part})+1,1000))'

    before = work.at("end", row - 1) if i else "0"
    texts = [c["desc"], *(c[f"rest{k}"] for k in range(1, MOST_ROWS))]
    return {
        "weight": f'=IF({c["g"]}=0,"",{metric_text(c["g"], "weight")})',
        "metric": f'=IF({c["kind"]}="piece",{c["household"]},IF({poured},{metric_text(c["q"], "metric_ml")},'
                  f'IF({c["g"]}=0,{c["household"]},{metric_text(c["g"], "metric_g")})))',
        "main": f'=IF({c["shown"]}=0,"",IF({metric},{c["metric"]},{c["household"]}))',
        "beside": f'=IF(OR({c["shown"]}=0,{c["weight"]}={c["main"]}),"",IF({metric},IF(OR({c["kind"]}="piece",{poured}),'
                  f'{c["weight"]},""),{c["weight"]}))',
        **{key: formula for k in range(1, MOST_ROWS + 1) for key, formula in (
            (f"d{k}", f'=LEFT({texts[k - 1]},{cut(texts[k - 1])})'), (f"rest{k}", f'={rest(texts[k - 1], c[f"d{k}"])}'))},
        "rows": f'=IF({c["shown"]}=0,0,1+IF({c["head"]}="",0,1)' + "".join(
            f'+IF({c[f"d{k}"]}="",0,1)' for k in range(2, MOST_ROWS + 1)) + ")",
        "end": f'={before}+{c["rows"]}',
    }


@dataclass(frozen=True, slots=True)
class Slot:
    """Cells of one printed row: its number, its place within its line (0 = heading), three texts."""

    number: str
    place: str
    amount: str
    text: str
    beside: str


def put_slots(work: CardWork, first: int, count: int) -> list[Slot]:
    """Lay out the table of printed rows under ``first``; the last row says so when more are needed."""
    sheet = work.sheet
    sheet.put(first - 2, 0, "Printed rows", "label")
    for i, head in enumerate(("Row", "Line", "Place in the line (0 = heading)", "Amount", "Text", "Beside")):
        sheet.put(first - 1, i, head, "workhead")
    ends = work.column("end")
    total = a1(work.last, work.col("end"), True, True)
    slots = []
    for i in range(count):
        row = first + i
        no, line, place = (a1(row, k, fix_col=True) for k in range(3))
        at = f"MAX(1,{line})"

        def pick(key: str, at: str = at) -> str:
            return f"INDEX({work.column(key)},{at})"

        more = f"{total}>{a1(first + count - 1, 0, True, True)}"
        further = ",".join(f'"   "&{pick(f"d{k}")}' for k in range(2, MOST_ROWS + 1))
        text = f'IF({line}=0,"",IF({place}=0,{pick("head")},CHOOSE(MAX(1,{place}),{pick("d1")},{further})))'
        if i == count - 1:
            text = f'IF({more},{work.words["more"]},{text})'
        main = f'{place}=1' if i < count - 1 else f'AND({place}=1,{total}<={no})'
        sheet.put(row, 0, i + 1, "work n0")
        sheet.formula(row, 1, f'=IF({no}>{total},0,COUNTIF({ends},"<"&{no})+1)', LOOKUP, "work n0")
        sheet.formula(row, 2, f'=IF({line}=0,"",{no}-({pick("end")}-{pick("rows")})-IF({pick("head")}="",0,1))', LOOKUP, "work n0")
        sheet.formula(row, 3, f'=IF({line}=0,"",IF({main},{pick("main")},""))', LOOKUP, "work")
        sheet.formula(row, 4, f"={text}", LOOKUP, "work")
        sheet.formula(row, 5, f'=IF({line}=0,"",IF({main},{pick("beside")},""))', LOOKUP, "work")
        slots.append(Slot(a1(row, 0, True, True), *(a1(row, k, True, True) for k in range(2, 6))))
    return slots
