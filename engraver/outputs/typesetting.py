"""Runs the typesetter over a template and its data, and tells what went wrong in a teacher's words."""

import json
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any, Final

from engraver.errors import OutputError, ToolMissing
from engraver.outputs.templates_folder import templates_folder

_STANDARD: Final = "ua-1"  # PDF/UA-1, ISO 14289-1: tagged, titled, with alternative texts
_NO_FONT = re.compile(r"the text `(\".*?\")` could not be displayed", re.DOTALL)
_RUST_ESCAPE = re.compile(r"\\u\{([0-9a-f]+)\}")
_SHOWN_CHARACTERS = 60


def run_typesetter(template: str, data: dict[str, Any], look: str = "serif") -> bytes:
    """The tagged PDF of a template of the book folder, which reads `data`, in the faces and lines of a `look`.

    Raises OutputError for anything the typesetter refuses or warns of, and names the text that holds a character
    no font can show.
    """
    import typst

    folder = templates_folder("book")
    try:
        pdf, warnings = typst.compile_with_warnings(
            str(folder / template),
            root=str(folder),
            font_paths=[str(font_folder())],
            ignore_system_fonts=True,
            sys_inputs={"data": json.dumps(data, ensure_ascii=False), "look": look},
            format="pdf",
            pdf_standards=_STANDARD,
            timestamp=0,
        )
    except typst.TypstError as error:
        raise _explained(error.message, error.diagnostic, data) from error
    if warnings:
        raise OutputError(f"the typesetter warns: {'; '.join(warning.message for warning in warnings)}")
    return bytes(pdf)


@cache
def font_folder() -> Path:
    """The fonts that come with the music engraver, so that words and music share one hand.

    Raises ToolMissing when they are not there.
    """
    import lilypond

    root = Path(lilypond.executable()).resolve().parent.parent
    for folder in sorted(root.glob("share/lilypond/*/fonts/otf")):
        return folder
    raise ToolMissing("the text fonts are missing", hint="install the package lilypond again")


def _explained(message: str, diagnostic: str, data: dict[str, Any]) -> OutputError:
    """The typesetter's refusal in a teacher's words."""
    if not (found := _NO_FONT.search(message)):
        return OutputError(f"the page could not be typeset: {diagnostic.strip() or message}")
    character = _unescaped(found.group(1))
    where = next((text for text in _texts(data) if character in text), character)
    shown = where.replace("\u200b", "")
    if len(shown) > _SHOWN_CHARACTERS:
        start = max(0, shown.find(character) - _SHOWN_CHARACTERS // 2)
        shown = "…" + shown[start : start + _SHOWN_CHARACTERS] + "…"
    codes = " ".join(f"U+{ord(sign):04X}" for sign in character)
    return OutputError(
        f"no font of the book can show '{character}' ({codes}), in the text '{shown}'",
        hint="leave the character out or write it in another way",
    )


def _unescaped(quoted: str) -> str:
    r"""The text inside a quoted and escaped report of the typesetter, such as ``"\u{7}"``."""
    return str(json.loads(_RUST_ESCAPE.sub(lambda found: json.dumps(chr(int(found.group(1), 16)))[1:-1], quoted)))


def _texts(data: Any) -> Iterator[str]:
    """Every text of the data, in reading order."""
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict):
        for value in data.values():
            yield from _texts(value)
    elif isinstance(data, list):
        for value in data:
            yield from _texts(value)
