"""How cells look: a style is a few words ("input amount"), each word a set of XlsxWriter properties."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from workbookgen.workbook.card_styles import card_words

Look = Mapping[str, Any]


def words(palette: Mapping[str, str], fonts: Mapping[str, Any]) -> dict[str, Look]:
    """The vocabulary of styles. Later words of a style win over earlier ones."""
    c = {name: "#" + value for name, value in palette.items()}
    thin = {"bottom": 1, "bottom_color": c["line"]}
    frame = {"border": 7, "border_color": c["honey_line"]}
    return {
        "": {},
        "title": {"font_size": fonts["title_size"], "bold": True, "font_color": c["paper"], "bg_color": c["spruce"],
                  "valign": "vcenter"},
        "titleline": {"font_color": c["paper"], "bg_color": c["spruce"], "valign": "vcenter"},
        "purpose": {"italic": True, "font_color": c["ink"], "valign": "top", "text_wrap": True},
        "link": {"font_color": c["spruce"], "underline": 1},
        "titlelink": {"font_color": c["paper"], "bg_color": c["spruce"], "underline": 1, "valign": "vcenter"},
        "section": {"bold": True, "font_size": fonts["size"] + 2, "font_color": c["spruce"], "bottom": 2,
                    "bottom_color": c["spruce"]},
        "jump": {"font_size": fonts["size"] - 1, "bold": False, "underline": 1},
        "head": {"bold": True, "bg_color": c["leaf"], "text_wrap": True, "valign": "vcenter", "border": 1,
                 "border_color": c["line"]},
        "workhead": {"bold": True, "bg_color": c["mist"], "text_wrap": True, "valign": "vcenter", "border": 1,
                     "border_color": c["line"], "font_size": fonts["size"] - 1},
        "label": {"bold": True, "font_color": c["ink"]},
        "hint": {"italic": True, "font_size": fonts["size"] - 2, "font_color": c["ink"], "valign": "top",
                 "text_wrap": True},
        "input": {"bg_color": c["honey"], "locked": False, "valign": "vcenter", "indent": 1, **frame},
        "locked": {"locked": True},
        "fixed": {"bg_color": c["oat"], "valign": "vcenter", "indent": 1, **thin},
        "calc": {"valign": "vcenter", "indent": 1, **thin},
        "work": {"font_size": fonts["size"] - 1, "font_color": c["ink"], "bg_color": c["mist"], "valign": "vcenter"},
        "edge": {"top": 1, "top_color": c["spruce"], "font_size": fonts["size"] - 2, "italic": True},
        "total": {"bold": True, "top": 1, "top_color": c["spruce"], "valign": "vcenter"},
        "tile": {"bold": True, "font_size": fonts["size"] + 4, "align": "center", "valign": "vcenter",
                 "left": 1, "right": 1, "left_color": c["line"], "right_color": c["line"]},
        "tilehead": {"align": "center", "valign": "bottom", "font_size": fonts["size"] - 1, "top": 2,
                     "top_color": c["spruce"], "left": 1, "right": 1, "left_color": c["line"],
                     "right_color": c["line"]},
        "tilefoot": {"align": "center", "valign": "top", "font_size": fonts["size"] - 1, "bottom": 1,
                     "bottom_color": c["line"], "left": 1, "right": 1, "left_color": c["line"],
                     "right_color": c["line"]},
        "attention": {"bold": True, "font_color": c["rust"], "text_wrap": True, "valign": "top"},
        "message": {"font_color": c["rust"], "text_wrap": True, "valign": "vcenter", "font_size": fonts["size"] - 1,
                    "left": 5, "left_color": c["paper"]},
        "wrap": {"text_wrap": True, "valign": "top"},
        "flow": {"text_wrap": True, "valign": "vcenter"},
        "small": {"font_size": fonts["size"] - 1},
        "bold": {"bold": True},
        "struck": {"font_strikeout": True, "font_color": c["rust"]},
        "nears": {"italic": True, "bg_color": c["mist"]},
        "fails": {"bold": True, "font_color": c["paper"], "bg_color": c["rust"]},
        "holds": {"bold": True, "font_color": c["spruce"], "bg_color": c["leaf"]},
        "centre": {"align": "center", "indent": 0},
        "right": {"align": "right"},
        "left": {"align": "left", "indent": 1},
        "z0": {"num_format": "#,##0;-#,##0;", "align": "right"},
        "z2": {"num_format": "#,##0.00;-#,##0.00;", "align": "right"},
        "aislerule": {"top": 1, "top_color": c["spruce"]},
        "listrule": {"bottom": 1, "bottom_color": c["line"]},
        "z1": {"num_format": "#,##0.0;-#,##0.0;", "align": "right"},
        "amount": {"num_format": "# ??/??", "align": "right"},
        "n0": {"num_format": "#,##0", "align": "right"},
        "n1": {"num_format": "#,##0.0", "align": "right"},
        "n2": {"num_format": "#,##0.00", "align": "right"},
        "n3": {"num_format": "#,##0.000", "align": "right"},
        "plus0": {"num_format": "+#,##0;-#,##0;0", "align": "right"},
        "plus1": {"num_format": "+#,##0.0;-#,##0.0;0.0", "align": "right"},
        "plus2": {"num_format": "+#,##0.00;-#,##0.00;0.00", "align": "right"},
        "whole": {"num_format": "0", "align": "left"},
        "calm": {"font_color": c["ink"], "italic": True},
        "pct": {"num_format": "0\" %\"", "align": "right"},
        "share": {"num_format": "0 %", "align": "right"},
        "general": {"num_format": "General", "align": "right"},
        "limit": {"num_format": '[>1000000]"no limit";General', "align": "right"},
        "text": {"num_format": "@"},
        **card_words(c),
    }


class Styles:
    """Formats of one XlsxWriter workbook, made once per distinct style."""

    def __init__(self, workbook: Any, palette: Mapping[str, str], fonts: Mapping[str, Any]) -> None:
        self._workbook = workbook
        self._words = words(palette, fonts)
        self._base = {"font_name": fonts["body"], "font_size": fonts["size"], "font_color": "#" + palette["ink"]}
        self._made: dict[str, Any] = {}

    def properties(self, style: str) -> dict[str, Any]:
        """All properties of a style; raises KeyError for a word that is not in the vocabulary."""
        merged = dict(self._base)
        for word in style.split():
            merged |= self._words[word]
        return merged

    def __call__(self, style: str) -> Any:
        if style not in self._made:
            self._made[style] = self._workbook.add_format(self.properties(style))
        return self._made[style]
