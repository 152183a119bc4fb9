"""Finds the templates: inside the installed package, or beside it in a checkout."""

from functools import cache
from pathlib import Path

from engraver.errors import ToolMissing

_PACKAGE = Path(__file__).resolve().parents[1]


@cache
def templates_folder(kind: str) -> Path:
    """The folder of one kind of templates: ``lilypond``, ``book`` or ``site``.

    Raises ToolMissing when the installation lacks it.
    """
    for folder in (_PACKAGE / "_templates" / kind, _PACKAGE.parent / "templates" / kind):
        if folder.is_dir():
            return folder
    raise ToolMissing(f"the templates for '{kind}' are not installed", hint="install engraver again")
