"""Commands: parse, call, print. Heavy imports wait until a command needs them."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

from workbookgen.model.errors import BadInput

BAD_INPUT = 2
DEMO_FILE = "tuesday-table.xlsx"
_FOODS = click.option("--foods", default="kitchen", metavar="TABLE",
                      help="Food table: kitchen (default), usda (the whole national table) or an imported folder.")
_ONE_TABLE = click.option("--foods", default="", metavar="TABLE",
                          help="Look into one table only: kitchen, usda or an imported folder.")


class _Group(click.Group):
    """Turns bad input into one sentence per fault and exit code 2."""

    def main(self, *args: Any, **kwargs: Any) -> Any:
        try:
            return super().main(*args, **kwargs)
        except BadInput as error:
            click.echo(str(error), err=True)
            sys.exit(BAD_INPUT)


@click.group(cls=_Group, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(package_name="workbookgen")
def main() -> None:
    """Build Excel workbooks with live, sourced nutrition figures for recipes.

    Without Python, colleagues open, change, print and audit what this builds.
    """


def _progress(text: str) -> None:
    """Say what happens, on a terminal only."""
    if sys.stderr.isatty():
        click.echo(text + " ...", err=True)


@main.command()
@click.argument("recipes", nargs=-1, type=click.Path(path_type=Path), metavar="[RECIPE.toml | FOLDER ...]")
@click.option("--out", type=click.Path(path_type=Path),
              help=f"File to write (default {DEMO_FILE} for the demo).")
@click.option("--each", type=click.Path(path_type=Path), metavar="FOLDER",
              help="Write one workbook per recipe into this folder, side by side on all cores.")
@click.option("--style", type=click.Path(path_type=Path),
              help="Look file: programme, palette, fonts, paper, logo, sheets, own texts.")
@_FOODS
def build(recipes: tuple[Path, ...], out: Path | None, each: Path | None, style: Path | None, foods: str) -> None:
    """Build a workbook from recipe files or folders; without any, the demo."""
    from workbookgen.session import build_file

    if each is not None:
        if out is not None:
            raise BadInput("build", "--out names one file, --each a folder of many; give one of the two")
        _build_each(recipes, each, style, foods)
        return

    built = build_file(recipes, out, style, foods, _progress)
    click.echo(f"{built.path}: {built.recipes} recipes, {built.formulas:,} formulas")


def _build_each(recipes: tuple[Path, ...], folder: Path, style: Path | None, foods: str) -> None:
    """Build one workbook per recipe with a bar on a terminal; exit code 2 when one failed."""
    from rich.console import Console
    from rich.progress import Progress

    from workbookgen.each import build_each

    console = Console(stderr=True)
    with Progress(console=console, transient=True, disable=not console.is_terminal) as bar:
        task = bar.add_task("workbooks", total=None)
        result = build_each(recipes, folder, style, foods, lambda done, of: bar.update(task, completed=done, total=of))
    for built in result.built:
        click.echo(f"{built.path}: {built.formulas:,} formulas")
    for sentence in result.failures:
        click.echo(sentence, err=True)
    click.echo(f"{len(result.built)} workbooks, {len(result.failures)} recipes failed")
    if result.failures:
        sys.exit(BAD_INPUT)


@main.command()
@click.argument("recipe", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="JSON; keys are INFOODS tagnames.")
@_FOODS
def analyse(recipe: Path, as_json: bool, foods: str) -> None:
    """Print the figures of one recipe: the same numbers the workbook shows."""
    from workbookgen.session import analyse_file

    click.echo(analyse_file(recipe, as_json, foods))


@main.command()
@click.argument("workbook", type=click.Path(path_type=Path))
@click.option("--engine", default="default", show_default=True,
              type=click.Choice(["default", "formulas", "formualizer", "libreoffice", "ironcalc", "all"]),
              help="Which engine recalculates; all needs LibreOffice installed.")
def verify(workbook: Path, engine: str) -> None:
    """Recalculate a workbook with independent engines and compare every stored value."""
    from workbookgen.verify import run

    code, text = run(workbook, engine, progress=_progress)
    click.echo(text)
    sys.exit(code)


@main.command()
@click.argument("source", type=click.Path(path_type=Path))
@click.option("--to", "out", type=click.Path(path_type=Path), metavar="RECIPE.toml",
              help="Recipe file to write (default: the source's name with .toml).")
@click.option("--which", default="", metavar="N|TITLE", help="Which of several recipes in the source.")
@click.option("--ask", is_flag=True, help="Ask about open lines; only on a terminal.")
@click.option("--choices", type=click.Path(path_type=Path), metavar="FILE",
              help="Earlier decisions (default: choices.txt beside the recipe file).")
@click.option("--overwrite", is_flag=True, help="Replace the recipe file if it exists.")
def draft(
    source: Path, out: Path | None, which: str, ask: bool, choices: Path | None, overwrite: bool
) -> None:
    """Draft a recipe file from a text, a saved web page or JSON; lines to decide are marked review."""
    from workbookgen.exchange.draft import draft_file

    target = out or source.with_suffix(".toml")
    click.echo(draft_file(source, target, ask, which, choices, overwrite=overwrite))


@main.command()
@click.argument("recipe", type=click.Path(path_type=Path), metavar="RECIPE.toml")
@click.option("--choices", type=click.Path(path_type=Path), metavar="FILE",
              help="Where decisions are kept (default: choices.txt beside the recipe file).")
def learn(recipe: Path, choices: Path | None) -> None:
    """Remember the foods you decided on in a drafted recipe file, for the next draft."""
    from workbookgen.exchange.draft import learn_file

    click.echo(learn_file(recipe, choices))


@main.command()
@click.option("--published", type=click.Path(path_type=Path), metavar="RECIPES.json",
              help="Also measure over the ingredient descriptions of published recipes.")
@click.option("--lines", type=click.Path(path_type=Path), metavar="LINES.csv",
              help="Lines of your own with their right answers, instead of the practice lines.")
@click.option("--answers", type=click.Path(path_type=Path), metavar="ANSWERS.csv",
              help="Right answers for --published.")
def accuracy(published: Path | None, lines: Path | None, answers: Path | None) -> None:
    """Measure how well drafting reads ingredient lines: foods, grams, what goes to review."""
    from workbookgen.exchange.accuracy import accuracy_report

    click.echo(accuracy_report(published, lines, answers))


@main.command()
@click.argument("source", type=click.Path(path_type=Path), metavar="RECIPE.toml | WORKBOOK.xlsx")
@click.option("--format", "form", required=True, metavar="json-ld|csv|md|pdf",
              help="schema.org JSON-LD, all nutrients as CSV, a Markdown page, or printed cards.")
@click.option("--out", type=click.Path(path_type=Path),
              help="File to write (default: print the text; a PDF is named after the source).")
@click.option("--using", multiple=True, type=click.Path(path_type=Path), metavar="PATH",
              help="File or folder with recipes that this one uses as foods.")
@click.option("--style", type=click.Path(path_type=Path), help="Look file, for pdf.")
@_FOODS
def export(
    source: Path, form: str, out: Path | None, using: tuple[Path, ...], style: Path | None, foods: str
) -> None:
    """Export a recipe in another format, or the cards of a workbook as PDF (through LibreOffice)."""
    from workbookgen.export import export_file

    click.echo(export_file(source, form, out, foods, using, style, _progress))


@main.command()
@click.argument("recipe", type=click.Path(path_type=Path), metavar="RECIPE.toml")
@click.option("--target", "targets", multiple=True, metavar="TEXT",
              help='Such as "FE >= 20 %DV", "NA <= 480 mg", "ENERC_KCAL 400..550", "plate within 5", '
                   '"serving weight >= 350 g", "cost <= 2.50", "protein score >= 1". '
                   "Without any, the recipe's own targets.")
@click.option("--statement", "statements", multiple=True, metavar="WORDS",
              help="A statement that is to hold, such as \"good source of fiber\".")
@click.option("--keep", multiple=True, metavar="FOOD", help="An ingredient that must not change.")
@click.option("--max-change", default="", metavar="PERCENT", help="Largest change of an amount, such as 50%.")
@click.option("--add", "additions", default=0, show_default=True, metavar="N", help="How many foods may be added.")
@click.option("--swap", is_flag=True, help="Let sibling foods stand in, such as beans canned without salt.")
@click.option("--consider", multiple=True, metavar="FOOD", help="A food to think of beyond the list (with --add).")
@click.option("--allow", multiple=True, metavar="FOOD|CAUTION",
              help="Let a food in, or a caution fire, that would otherwise stay out.")
@click.option("--using", multiple=True, type=click.Path(path_type=Path), metavar="PATH",
              help="File or folder with recipes that this one uses as foods.")
@click.option("--to", type=click.Path(path_type=Path), metavar="VARIANT.toml",
              help="Write the adjusted recipe as a recipe of its own.")
@click.option("--variant-in", type=click.Path(path_type=Path), metavar="COPY.toml",
              help="Write a copy of the recipe that holds the changes as a variant.")
@click.option("--overwrite", is_flag=True, help="Replace files that exist.")
@_FOODS
def adjust(
    recipe: Path, targets: tuple[str, ...], statements: tuple[str, ...], keep: tuple[str, ...], max_change: str,
    additions: int, swap: bool, consider: tuple[str, ...], allow: tuple[str, ...], using: tuple[Path, ...],
    to: Path | None, variant_in: Path | None, overwrite: bool, foods: str,
) -> None:  # fmt: skip
    """Find the least change of a recipe that reaches targets, on amounts a kitchen can measure."""
    from workbookgen.adjust.task import Request
    from workbookgen.adjusting import Files, adjust_file, share_of

    request = Request(targets, statements, keep, share_of(max_change), allow, additions, swap, consider)
    click.echo(adjust_file(recipe, request, Files(to, variant_in, overwrite), using, foods))


@main.command()
@click.argument("workbook", type=click.Path(path_type=Path), metavar="EDITED.xlsx")
@click.option("--to", "folder", required=True, type=click.Path(path_type=Path), metavar="FOLDER",
              help="Folder to write recipe files and tables to.")
@click.option("--personal", is_flag=True, help="Read sheets with data of a person, too.")
@click.option("--overwrite", is_flag=True, help="Replace files that exist.")
@_FOODS
def extract(workbook: Path, folder: Path, personal: bool, overwrite: bool, foods: str) -> None:
    """Read a workbook that colleagues changed back into recipe files; tell every change."""
    from workbookgen.roundtrip.run import extract_file

    click.echo(extract_file(workbook, folder, personal, overwrite, foods))


@main.command()
@click.argument("workbook", type=click.Path(path_type=Path), metavar="EDITED.xlsx")
@click.option("--out", required=True, type=click.Path(path_type=Path), metavar="NEW.xlsx", help="Workbook to write.")
@click.option("--style", type=click.Path(path_type=Path), help="Look file (default: the look of the workbook).")
@_FOODS
def refresh(workbook: Path, out: Path, style: Path | None, foods: str) -> None:
    """Build a workbook that colleagues changed anew, on this or another food table, with every edit kept."""
    from workbookgen.roundtrip.run import refresh_file

    click.echo(refresh_file(workbook, out, foods, style))


@main.command()
@click.argument("one", type=click.Path(path_type=Path), metavar="A.xlsx")
@click.argument("other", type=click.Path(path_type=Path), metavar="B.xlsx")
def diff(one: Path, other: Path) -> None:
    """Tell what two workbooks say differently of their recipes: figures, and verdicts that flip."""
    from workbookgen.roundtrip.run import diff_files

    click.echo(diff_files(one, other))


@main.command()
@click.argument("workbook", type=click.Path(path_type=Path), metavar="FILE.xlsx")
@click.option("--json", "json_file", type=click.Path(path_type=Path), metavar="FILE", help="Write the page as JSON, too.")
def audit(workbook: Path, json_file: Path | None) -> None:
    """Tell on one page what a reviewer must know of a workbook; exit code 1 when figures may mislead."""
    from workbookgen.roundtrip.run import audit_file

    code, text = audit_file(workbook, json_file)
    click.echo(text)
    sys.exit(code)


@main.group()
def foods() -> None:
    """Find foods, show what is known of one, import other food tables."""


@foods.command()
@click.argument("text", nargs=-1, required=True)
@_ONE_TABLE
def find(text: tuple[str, ...], foods: str) -> None:
    """Search names, synonyms and descriptions; slips of the finger are allowed."""
    from workbookgen.lookup import find_text

    click.echo(find_text(" ".join(text), foods))


@foods.command()
@click.argument("name", nargs=-1, required=True)
@_ONE_TABLE
def show(name: tuple[str, ...], foods: str) -> None:
    """Print one food by name, id or source number: figures, provenance, household measures."""
    from workbookgen.lookup import show_text

    click.echo(show_text(" ".join(name), foods))


@foods.command("import")
@click.argument("path", type=click.Path(path_type=Path))
@click.option("--to", required=True, type=click.Path(path_type=Path), help="Folder or .csv file to write.")
@click.option("--select", type=click.Path(path_type=Path), help="List of food numbers, one a line; only these.")
@click.option("--rules", type=click.Path(path_type=Path),
              help="Rule table for group, state, role and flags that goes before the built-in one.")
@click.option("--keep-good", is_flag=True, help="Leave faulty rows out instead of stopping.")
def import_(path: Path, to: Path, select: Path | None, rules: Path | None, keep_good: bool) -> None:
    """Import a food table: FoodData Central CSV, USDA SR ASCII (folder or zip) or a filled CSV template."""
    from workbookgen.catalogue.importers.run import import_foods

    click.echo(import_foods(path, to, select, rules, keep_good), nl=False)
    click.echo(f"written to {to}; build with --foods {to}")


if __name__ == "__main__":
    main()
