"""The lint finds what it should and leaves the proven patterns alone."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import xlsxwriter
from verify_books import one_sheet, rewrite

from workbookgen.model.errors import BadInput
from workbookgen.verify.lint import Finding, lint, render_findings
from workbookgen.verify.rules import load_rules

NAMED = {"food_FE": "=S!$F$1:$F$9", "one_cell": "=S!$F$1"}


def formula_rules(tmp_path: Path, formula: str) -> dict[str, tuple[Finding, ...]]:
    """Rules broken by one formula in S!A1, among some defined names."""
    book = xlsxwriter.Workbook(str(tmp_path / "a.xlsx"))
    sheet = book.add_worksheet("S")
    book.add_worksheet("T")
    for name, text in NAMED.items():
        book.define_name(name, text)
    book.define_name("S!own", "=S!$G$1:$G$2")
    sheet.write_formula("A1", formula, None, 1)
    book.close()
    return {group.rule: group.findings for group in lint(tmp_path / "a.xlsx")}


BAD = [
    ("banned function", "=SUM(OFFSET(B1,1,1))"),
    ("banned function", '=INDIRECT("B1")'),
    ("banned function", "=TODAY()"),
    ("banned function", "=_xlfn.XLOOKUP(B1,B2:B9,C2:C9)"),
    ("banned function", "=_xlfn._xlws.FILTER(B1:B9,C1:C9)"),
    ("banned function", '=_xlfn.TEXTJOIN(" ",TRUE,B1:B9)'),
    ("banned function", "=MROUND(B1,10)"),
    ("banned function", "=ROW()"),
    ("function not proven", "=PMT(B1,B2,B3)"),
    ("double minus", "=SUMPRODUCT(--(B1:B9=1))"),
    ("whole column or row", "=SUM(B:B)"),
    ("whole column or row", "=SUM(T!2:2)"),
    ("structured reference", "=SUM(Table1[Amount])"),
    ("several sheets or another workbook", "=SUM(S:T!B1)"),
    ("several sheets or another workbook", "=[1]T!B1"),
    ("joined references", "=SUM(B1:INDEX(B1:B9,2))"),
    ("scalar function over a range in SUMPRODUCT", "=SUMPRODUCT(LEN(B1:B9))"),
    ("scalar function over a range in SUMPRODUCT", '=SUMPRODUCT((LEFT(food_FE,1)="a")*1)'),
    ("scalar function over a range in SUMPRODUCT", "=SUMPRODUCT(ROUND((B1:B9)*2,0)*C1:C9)"),
    ("scalar function over a range in SUMPRODUCT", "=SUMPRODUCT(ISNUMBER(B1:B9)*1)"),
    ("wildcard in a criterion", '=SUMIF(B1:B9,"?",C1:C9)'),
    ("wildcard in a criterion", '=COUNTIF(B1:B9,"a*")'),
    ("wildcard in a criterion", '=COUNTIFS(B1:B9,"<>")'),
    ("TEXT with a decimal format", '=TEXT(B1,"0.0")'),
    ("TEXT with a decimal format", '=TEXT(B1,"#,##0")'),
    ("INDEX of a whole row or column", "=SUM(INDEX(B1:C9,0,2))"),
    ("IFERROR without a look-up", "=IFERROR(B1/C1,0)"),
    ("constant in formula", "=B1*17"),
    ("constant in formula", "=ROUND(B1,2)+0.5"),
    ("constant in formula", "=IF(LEN(B1)>77,1,0)"),
    ("unknown name", "=nobody+1"),
    ("name of one sheet in a formula", "=SUM(own)"),
    ("name of one sheet in a formula", "=SUM(S!own)"),
    ("dynamic array notation", "=@B1:B9"),
    ("not plain formula text", "=B1+#REF!"),
    ("formula too long", "=" + "+".join(["B1"] * 3000)),
    ("text in formula too long", '="' + "x" * 256 + '"'),
    ("nested too deep", "=" + "ABS(" * 65 + "B1" + ")" * 65),
]


@pytest.mark.parametrize(("rule", "formula"), BAD, ids=[f"{rule}: {text[:40]}" for rule, text in BAD])
def test_formula_that_breaks_a_rule_is_found_with_its_cell(tmp_path: Path, rule: str, formula: str) -> None:
    found = formula_rules(tmp_path, formula)
    assert rule in found
    assert {(each.sheet, each.cell) for each in found[rule]} == {("S", "A1")}


GOOD = [
    "=IF(ISTEXT(INDEX($B$11:$B$42,$A12+1)),IF(LEN(B1)>100,1,0),0)",
    "=IFERROR(MATCH(B1,food_FE,0),0)",
    '=IFERROR(IF(ISTEXT(INDEX(food_FE,MATCH(B1&"|"&C1,food_FE,0))),1,0),"")',
    '=SUMPRODUCT((B1:B9="?")*C1:C9)',
    "=SUMPRODUCT(MAX((B1:B9=C1)*(D1:D9)))",
    "=SUMPRODUCT((B1:B9=ROUND(C1,9))*D1:D9)",
    "=SUMPRODUCT((INDEX(food_FE,MATCH(B1,C1:C9,0))=B1:B9)*1)",
    "=SUMPRODUCT(ROUND(one_cell,9)*(B1:B9=1))",
    '=COUNTIF(B1:B9,">0")',
    '=ROUND(ROUND(B1*10,9),0)/10&" g, 12 of 55?"',
    '=TEXT(ROUND(B1,0),"0")',
    "=MID(B1,3,200)",
    "=IF(A1-(-1)>0,-1,1)",
    "=" + "ABS(" * 64 + "B1" + ")" * 64,
    '="' + "x" * 255 + '"',
]


@pytest.mark.parametrize("formula", GOOD, ids=[text[:50] for text in GOOD])
def test_proven_pattern_is_left_alone(tmp_path: Path, formula: str) -> None:
    assert formula_rules(tmp_path, formula) == {}


@pytest.mark.parametrize("function", sorted(load_rules("lint_rules")["sumproduct"]["scalar"]))
def test_every_scalar_function_over_a_range_in_sumproduct_is_found(tmp_path: Path, function: str) -> None:
    rule = "scalar function over a range in SUMPRODUCT"
    assert rule in formula_rules(tmp_path, f"=SUMPRODUCT({function}(B1:B9)*1)")
    assert rule not in formula_rules(tmp_path, f"=SUMPRODUCT({function}(B1)*1)")


def test_every_banned_function_is_found(tmp_path: Path) -> None:
    for function in load_rules("lint_rules")["banned"]:
        assert "banned function" in formula_rules(tmp_path, f"={function}(B1)"), function


def test_clean_book_of_patterns_has_no_findings(patterns: Path) -> None:
    assert lint(patterns) == []
    assert render_findings([]) == "No findings."


def build(path: Path, make: Callable[[Any, Any], Any]) -> dict[str, tuple[Finding, ...]]:
    """Findings in a book that ``make`` fills, by rule."""
    book = xlsxwriter.Workbook(str(path))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # XlsxWriter warns of some of the faults made here
        make(book, book.add_worksheet("S"))
    book.close()
    return {group.rule: group.findings for group in lint(path)}


def validation(**options: Any) -> Callable[[Any, Any], Any]:
    return lambda book, sheet: sheet.data_validation(
        "B2:B4", {"validate": "list", "source": "=$A$1:$A$9", **options}
    )


PACKAGE: list[tuple[str, Callable[[Any, Any], Any]]] = [
    ("hidden sheet", lambda book, sheet: book.add_worksheet("T").hide()),
    ("hidden sheet", lambda book, sheet: book.add_worksheet("T").very_hidden()),
    ("unsafe character in a tab", lambda book, sheet: book.add_worksheet("50% more")),
    ("unsafe character in a tab", lambda book, sheet: book.add_worksheet("Bob's")),
    ("reserved tab name", lambda book, sheet: book.add_worksheet("Histor_")),
    ("name that is no plain range", lambda book, sheet: book.define_name("five", "=5")),
    ("name that is no plain range", lambda book, sheet: book.define_name("tot", "=SUM(S!$A$1:$A$2)")),
    ("unsafe defined name", lambda book, sheet: book.define_name("a.b", "=S!$A$1")),
    (
        "dynamic array metadata",
        lambda book, sheet: sheet.write_dynamic_array_formula("A1:A1", "=ABS(B1)", None, 1),
    ),
    (
        "part that must not be there",
        lambda book, sheet: sheet.write_dynamic_array_formula("A1", "=ABS(B1)", None, 1),
    ),
    ("array formula", lambda book, sheet: sheet.write_array_formula("A1:A2", "{=B1:B2*2}", None, 1)),
    ("part that must not be there", lambda book, sheet: sheet.add_table("A1:B3")),
    ("error value", lambda book, sheet: sheet.write_formula("A1", "=NA()", None, "#N/A")),
    ("banned function", validation(source="=OFFSET($A$1,1,0,5)")),
    ("unknown name", validation(source="=nobody")),
    (
        "banned function",
        lambda book, sheet: sheet.conditional_format("A1:A9", {"type": "formula", "criteria": "=A1>TODAY()"}),
    ),
]


@pytest.mark.parametrize(
    ("rule", "make"), PACKAGE, ids=[f"{n} {rule}" for n, (rule, _) in enumerate(PACKAGE)]
)
def test_workbook_that_breaks_a_rule_is_found(
    tmp_path: Path, rule: str, make: Callable[[Any, Any], Any]
) -> None:
    path = tmp_path / "a.xlsx"
    found = build(path, make)
    if rule == "reserved tab name":  # XlsxWriter refuses the name, so it is put in afterwards
        rewrite(path, "xl/workbook.xml", 'name="Histor_"', 'name="History"')
        found = {group.rule: group.findings for group in lint(path)}
    assert rule in found


def test_validation_may_join_references_and_hold_figures(tmp_path: Path) -> None:
    source = "=INDEX($A$1:$A$99,17):INDEX($A$1:$A$99,33+4)"
    assert build(tmp_path / "a.xlsx", validation(source=source)) == {}


def test_validation_may_list_what_starts_as_typed(tmp_path: Path) -> None:
    start = 'MATCH(B2&"*",$A$1:$A$99,0)'
    source = f'=INDEX($A$1:$A$99,{start}):INDEX($A$1:$A$99,{start}+COUNTIF($A$1:$A$99,B2&"*")-1)'
    assert build(tmp_path / "a.xlsx", validation(source=source)) == {}


LONG = [
    ("prompt", 'prompt="short"', 'prompt="{}"', 255, "validation message too long"),
    ("error", 'error="short"', 'error="{}"', 224, "validation message too long"),
    ("prompt title", 'promptTitle="short"', 'promptTitle="{}"', 32, "validation message too long"),
    ("error title", 'errorTitle="short"', 'errorTitle="{}"', 32, "validation message too long"),
    (
        "formula",
        "<formula1>$A$1:$A$9</formula1>",
        '<formula1>"{}"</formula1>',
        253,
        "validation formula too long",
    ),
    ("header", "<oddHeader>short</oddHeader>", "<oddHeader>{}</oddHeader>", 255, "header or footer too long"),
    ("footer", "<oddFooter>short</oddFooter>", "<oddFooter>{}</oddFooter>", 255, "header or footer too long"),
]


@pytest.mark.parametrize(
    ("old", "new", "most", "rule"), [case[1:] for case in LONG], ids=[case[0] for case in LONG]
)
def test_texts_round_the_cells_may_have_the_most_and_no_more(
    tmp_path: Path, old: str, new: str, most: int, rule: str
) -> None:
    def make(book: Any, sheet: Any) -> None:
        words = dict.fromkeys(("input_title", "input_message", "error_title", "error_message"), "short")
        validation(**words)(book, sheet)
        sheet.set_header("short")
        sheet.set_footer("short")

    path = tmp_path / "a.xlsx"
    assert build(path, make) == {}
    part = "xl/worksheets/sheet1.xml"
    full = new.format("x" * most)
    rewrite(path, part, old, full)
    assert lint(path) == []
    rewrite(path, part, full, new.format("x" * (most + 1)))
    assert [group.rule for group in lint(path)] == [rule]


def test_escaped_line_feed_counts_as_one_character(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    build(path, validation(input_message="short"))
    rewrite(path, "xl/worksheets/sheet1.xml", 'prompt="short"', 'prompt="' + "_x000a_" * 255 + '"')
    assert lint(path) == []


def test_tab_may_have_31_characters(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    assert build(path, lambda book, sheet: book.add_worksheet("T" * 31)) == {}
    rewrite(path, "xl/workbook.xml", "T" * 31, "T" * 32)
    assert [group.rule for group in lint(path)] == ["tab too long"]


def test_tabs_and_names_must_differ_by_more_than_capitals(tmp_path: Path) -> None:
    def make(book: Any, sheet: Any) -> None:
        book.add_worksheet("Other")
        book.define_name("alpha", "=S!$A$1")
        book.define_name("beta", "=S!$A$1")

    path = tmp_path / "a.xlsx"
    assert build(path, make) == {}
    rewrite(path, "xl/workbook.xml", 'name="Other"', 'name="s"')
    rewrite(path, "xl/workbook.xml", 'name="beta"', 'name="ALPHA"')
    assert [group.rule for group in lint(path)] == ["name defined twice", "tab name used twice"]


@pytest.mark.parametrize("name", ["AB12", "R1C1", "r", "TRUE"])
def test_names_that_look_like_cells_are_unsafe(tmp_path: Path, name: str) -> None:
    path = tmp_path / "a.xlsx"
    build(path, lambda book, sheet: book.define_name("alpha", "=S!$A$1"))
    rewrite(path, "xl/workbook.xml", 'name="alpha"', f'name="{name}"')
    assert [group.rule for group in lint(path)] == ["unsafe defined name"]


def test_macro_part_and_content_type_are_found(tmp_path: Path) -> None:
    import zipfile

    path = one_sheet(tmp_path / "a.xlsx", {"A1": ("=1+1", 2)})
    with zipfile.ZipFile(path, "a") as package:
        package.writestr("xl/vbaProject.bin", b"")
        package.writestr("xl/externalLinks/externalLink1.xml", b"<a/>")
    rewrite(path, "[Content_Types].xml", "spreadsheetml.sheet.main", "macroEnabled.main")
    groups = {group.rule: group.findings for group in lint(path)}
    details = " ".join(finding.detail for finding in groups["part that must not be there"])
    assert "macros (xl/vbaProject.bin)" in details
    assert "links to other workbooks" in details
    assert "says it holds macros" in details


def test_formula_without_stored_value_is_found(tmp_path: Path) -> None:
    path = one_sheet(tmp_path / "a.xlsx", {"A1": ("=1+1", 2)})
    rewrite(path, "xl/worksheets/sheet1.xml", "<v>2</v>", "")
    (group,) = lint(path)
    assert group.rule == "formula without a stored value"
    assert group.findings == (Finding("S", "A1", "=1+1"),)


def test_findings_are_grouped_counted_and_shortened(tmp_path: Path) -> None:
    formulas: dict[str, tuple[str, Any]] = {f"A{row}": (f"=B{row}*17", 0) for row in range(1, 31)}
    text = render_findings(lint(one_sheet(tmp_path / "a.xlsx", {**formulas, "C1": ("=TODAY()", 1)})))
    lines = text.splitlines()
    assert "constant in formula: 30" in lines
    assert "  S!A20: 17" in lines
    assert "  S!A21: 17" not in lines
    assert "  and 10 more" in lines
    assert lines[-1] == "31 findings"


def test_missing_file_raises_bad_input(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="no such file"):
        lint(tmp_path / "none.xlsx")


def test_missing_rule_file_raises_bad_input() -> None:
    with pytest.raises(BadInput, match="missing from this copy"):
        load_rules("no_such_rules")


def test_no_function_is_both_banned_and_proven() -> None:
    rules = load_rules("lint_rules")
    assert not set(rules["banned"]) & set(rules["proven"]["functions"])
    assert all(
        limit["source"] and limit["status"] in ("seen", "memory") for limit in rules["limits"].values()
    )
