"""The look file: programme, palette, fonts, paper, logo, sheets, own texts. Missing keys fall back to templates/workbook.toml."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any

from workbookgen.catalogue.paths import data_path, template_path
from workbookgen.model.errors import BadInput
from workbookgen.workbook.contrast import too_weak
from workbookgen.workbook.own_texts import Sections, markdown_sections

SIGNATURES = (b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff")
SCREEN_DPI = 96.0


@dataclass(frozen=True, slots=True)
class Logo:
    """A picture with its size in screen pixels."""

    data: bytes
    name: str
    width: float
    height: float

    def fitted(self, room: Sequence[float]) -> tuple[float, float, float]:
        """Scale that fits the picture into (width, height), and the width and height it then has."""
        scale = min(room[0] / self.width, room[1] / self.height)
        return scale, self.width * scale, self.height * scale

    def options(self, scale: float, programme: str) -> dict[str, Any]:
        """What the writer needs to place the picture."""
        return {"image_data": BytesIO(self.data), "x_scale": scale, "y_scale": scale, "object_position": 2,
                "description": f"Logo of {programme}", "decorative": False}


class Look(dict[str, dict[str, Any]]):
    """Settings as written, by section and key, and what the files they name hold."""

    place: str = ""
    logo: Logo | None = None
    introduction: Sections
    disclaimer: Sections


@cache
def look_rules() -> dict[str, Any]:
    """Limits of data/look_rules.toml."""
    return tomllib.loads(data_path("look_rules.toml").read_text(encoding="utf-8"))


def load_look(path: Path | None = None) -> Look:
    """Settings of the built-in look, overlaid with ``path``; raises BadInput naming file, key and mend."""
    look = Look(tomllib.loads(template_path("workbook.toml").read_text(encoding="utf-8")))
    if path is not None:
        for section, values in _read(path).items():
            if section not in look or not isinstance(values, dict):
                raise BadInput(str(path), f"there is no section [{section}]; known: {', '.join(look)}")
            for key, value in values.items():
                if key not in look[section]:
                    raise BadInput(str(path), f"[{section}] has no key {key!r}; known: {', '.join(look[section])}")
                look[section][key] = value
    look.place = place = str(path or "workbook.toml")
    _check(look, place)
    folder = path.parent if path else template_path()
    look.logo = _logo(look["logo"]["file"], folder, place)
    look.introduction, look.disclaimer = (_own_text(look["texts"][key], key, folder, place) for key in ("introduction", "disclaimer"))
    return look


def _read(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except (OSError, UnicodeDecodeError) as error:
        raise BadInput(str(path), f"cannot be read ({error.__class__.__name__}); give a UTF-8 TOML file") from None
    except tomllib.TOMLDecodeError as error:
        raise BadInput(str(path), f"is not valid TOML: {error}") from None
    except RecursionError:
        raise BadInput(str(path), "the brackets are nested too deeply; a look file needs sections with plain keys") from None
    except ValueError:
        raise BadInput(str(path), "a number or date cannot be read; take it out or write it shorter") from None


def _check(look: Look, place: str) -> None:
    rules = look_rules()
    for key, most in rules["texts"].items():
        value = look["programme"][key]
        if not isinstance(value, str) or len(value) > most or not value.isprintable() or (key == "name" and not value.strip()):
            least = "1" if key == "name" else "0"
            raise BadInput(place, f"[programme] {key} = {_shown(value)} does not fit; write a text of {least} to {most} letters in one line")
    for name, colour in look["palette"].items():
        if not isinstance(colour, str) or not re.fullmatch("[0-9a-fA-F]{6}", colour):
            raise BadInput(place, f"[palette] {name} = {_shown(colour)} is not a colour; write six hexadecimal digits")
    for pair, ratio in too_weak(look["palette"]):
        front, back = (f"{key} = {look['palette'][key]!r}" for key in (pair.front, pair.back))
        raise BadInput(place, f"[palette] {front} on {back} ({pair.where}) has a contrast of {int(ratio * 100) / 100:g} : 1, less than {pair.least:g} : 1 "
                              "(WCAG 2.2); make one of them darker or the other lighter")
    if look["paper"]["size"] not in ("letter", "a4"):
        raise BadInput(place, f"[paper] size = {_shown(look['paper']['size'])}; choose letter or a4")
    body = look["fonts"]["body"]
    if not isinstance(body, str) or not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9 \-]*", body) or len(body) > rules["fonts"]["letters"]:
        raise BadInput(place, f"[fonts] body = {_shown(body)} is no name of a font; write one such as Arial, at most {rules['fonts']['letters']} letters")
    for key in ("size", "title_size"):
        low, high = rules["fonts"][key]
        if type(look["fonts"][key]) is not int or not low <= look["fonts"][key] <= high:
            raise BadInput(place, f"[fonts] {key} = {_shown(look['fonts'][key])}; write a whole number from {low} to {high}")
    out = look["sheets"]["leave_out"]
    if not isinstance(out, list) or not all(isinstance(name, str) for name in out):
        raise BadInput(place, f"[sheets] leave_out = {_shown(out)}; write a list of sheet names, such as [\"Partners\"]")
    for name in out:
        if name in rules["sheets"]["keep"]:
            raise BadInput(place, f"[sheets] leave_out names {name!r}, which every workbook keeps; take it out of the list")


def _shown(value: object) -> str:
    """A wrong value, short enough for a sentence."""
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."


def _bytes(name: object, key: str, folder: Path, place: str, most: int) -> bytes:
    """Content of a file a look file names, never more than ``most`` bytes; only plain files beside it or below."""
    if not isinstance(name, str):
        raise BadInput(place, f"{key} = {_shown(name)}; write the name of a file")
    target = (folder / name).resolve()
    if not target.is_relative_to(folder.resolve()):
        raise BadInput(place, f"{key} = {_shown(name)} lies outside the folder of the look file; copy it there and write its name")
    if not target.is_file():
        raise BadInput(place, f"{key} = {_shown(name)} is no file beside the look file; mend the name")
    try:
        with target.open("rb") as handle:
            data = handle.read(most + 1)
    except OSError as error:
        raise BadInput(place, f"{key} = {_shown(name)} cannot be read ({error.strerror}); mend its permissions") from None
    if len(data) > most:
        raise BadInput(place, f"{key} = {_shown(name)} has more than {most:,} bytes; make the file smaller")
    return data


def _logo(name: object, folder: Path, place: str) -> Logo | None:
    """The logo, read and measured; raises BadInput for anything but a PNG or JPEG of bearable size."""
    from xlsxwriter.image import Image

    if name == "":
        return None
    rules, key = look_rules()["logo"], "[logo] file"
    data = _bytes(name, key, folder, place, rules["bytes"])
    if not data.startswith(SIGNATURES):
        raise BadInput(place, f"{key} = {_shown(name)} is neither PNG nor JPEG; save it as one of them")
    try:
        image = Image(BytesIO(data))
        width, height, x_dpi, y_dpi = (float(x) for x in (image.width, image.height, image.x_dpi, image.y_dpi))
    except Exception as error:  # whatever a damaged file makes the reader stumble over
        raise BadInput(place, f"{key} = {_shown(name)} is damaged ({error.__class__.__name__}); save it anew") from None
    if not all(1 <= side <= rules["pixels"] for side in (width, height)) or x_dpi <= 0 or y_dpi <= 0:
        raise BadInput(place, f"{key} = {_shown(name)} measures {width:g} x {height:g} pixels; give 1 to {rules['pixels']} each way")
    return Logo(data, Path(str(name)).name, width * SCREEN_DPI / x_dpi, height * SCREEN_DPI / y_dpi)


def _own_text(name: object, key: str, folder: Path, place: str) -> Sections:
    """Sections of a Markdown file of the programme's own; nothing for an empty name."""
    if name == "":
        return []
    rules, where = look_rules()["own_texts"], f"[texts] {key}"
    try:
        text = _bytes(name, where, folder, place, rules["bytes"]).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BadInput(place, f"{where} = {_shown(name)} is not UTF-8; save it as UTF-8 text") from None
    sections = markdown_sections(text)
    lines = [line for heading, under in sections for line in (heading, *under)]
    if len(lines) > rules["lines"]:
        raise BadInput(place, f"{where} = {_shown(name)} has {len(lines)} paragraphs; at most {rules['lines']} fit")
    for line in lines:
        if len(line) > rules["letters"] or not line.isprintable():
            raise BadInput(place, f"{where} = {_shown(name)}: the paragraph {line[:30]!r}... is too long or holds unprintable signs; "
                                  f"keep each below {rules['letters']} letters")
    return sections
