"""Where the data and template files are, in a source tree and in an installed copy alike."""

from __future__ import annotations

from pathlib import Path

from workbookgen.model.errors import BadInput

_PACKAGE = Path(__file__).resolve().parent.parent


def _folder(inside: str, beside: str) -> Path:
    """The folder shipped inside the package, or else the one that lies beside it in a source tree."""
    for candidate in (_PACKAGE / inside, _PACKAGE.parent / beside):
        if candidate.is_dir():
            return candidate
    raise BadInput(beside, f"the folder '{beside}' is missing from this copy; install the package again")


def data_path(*parts: str) -> Path:
    """Path of a file or folder below ``data/`` (in a wheel: ``workbookgen/_data``).

    Raises ``BadInput`` when the folder itself is missing; the file named by ``parts`` need not exist.
    """
    return _folder("_data", "data").joinpath(*parts)


def template_path(*parts: str) -> Path:
    """Path of a file or folder below ``templates/`` (in a wheel: ``workbookgen/_templates``).

    Raises ``BadInput`` when the folder itself is missing; the file named by ``parts`` need not exist.
    """
    return _folder("_templates", "templates").joinpath(*parts)
