"""Turns what the models refuse into a teacher's sentence: what was found, and what to write instead."""

import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from engraver.spec.fields import closest

Sentence = tuple[str, str]


def _shown(value: Any) -> str:
    """The value found, short enough for one line."""
    if isinstance(value, dict):
        return "a group of fields"
    if isinstance(value, list | tuple):
        return f"a list of {len(value)}"
    if value is None:
        return "nothing"
    text = " ".join(str(value).split())
    return f"'{text[:57]}…'" if len(text) > 60 else f"'{text}'"


def _wanted(what: str) -> Callable[[str, Any, Mapping[str, Any]], Sentence]:
    return lambda name, value, _: (f"{name} is {_shown(value)}", f"write {what}")


def _bound(words: str, key: str) -> Callable[[str, Any, Mapping[str, Any]], Sentence]:
    return lambda name, value, context: (f"{name} is {_shown(value)}", f"write a number {words} {context[key]:g}")


def _literal(name: str, value: Any, context: Mapping[str, Any]) -> Sentence:
    known = [part.strip().strip("'") for part in str(context["expected"]).replace(" or ", ", ").split(", ")]
    hint = closest(str(value), known)
    group = EXAMPLES.get(name.strip("'"))
    return f"{name} is {_shown(value)}", f"{hint}, or {group}" if group else hint


def _length(words: str, key: str) -> Callable[[str, Any, Mapping[str, Any]], Sentence]:
    def sentence(name: str, value: Any, context: Mapping[str, Any]) -> Sentence:
        count = len(value) if isinstance(value, list | tuple | str | dict) else 0
        what = "characters" if isinstance(value, str) else "values"
        return f"{name} holds {count:,} {what}", f"write {words} {context[key]:,}"

    return sentence


def _list(name: str, value: Any, _: Mapping[str, Any]) -> Sentence:
    if value is None:
        return f"{name} is empty", "write a list under it, each of its lines with a hyphen and a space before it: - …"
    parts = re.split(r"[\s,]+", str(value).strip()) if isinstance(value, str) else [_shown(value).strip("'")]
    example = ", ".join(parts) if isinstance(value, str | int | float) else "first, second"
    return f"{name} is {_shown(value)}", f"write a list in brackets: [{example}]"


EXAMPLES = {
    "defaults": "{octaves: 2, rhythm: quavers}",
    "editions": "{student: {}, teacher: {style: {reasons: true}}}",
    "instrument": "{tuning: standard, scale_length_mm: 650}",
    "left_hand": "{position: 2}",
    "paper": "{width_mm: 230, height_mm: 310}",
    "pins": "{3: {string: 2, finger: 1}}",
    "player": "{reach_mm: 98}",
    "right_hand": "{alternate: [i, m]}",
    "start": "{string: 6, finger: 2}",
    "style": "{notation: staff}",
    "tempo": "{from: 60, to: 80}",
}
"""A group as it is written, for fields that are groups; nothing in them is a recommendation."""


def _group(name: str, value: Any, _: Mapping[str, Any]) -> Sentence:
    example = EXAMPLES.get(name.strip("'"), "{name: value}")
    return f"{name} is {_shown(value)}", f"write a group of fields: {example}"


_whole = _wanted("a whole number")
_number = _wanted("a number")
_text = _wanted("words")
_truth = _wanted("true or false")

SENTENCES: Mapping[str, Callable[[str, Any, Mapping[str, Any]], Sentence]] = {
    "invalid_key": lambda _name, value, _context: (
        f"{_shown(value)} stands where a name belongs",
        "write 'name: value'",
    ),
    "missing": lambda name, _value, _context: (f"{name} is missing", f"add '{name.strip(chr(39))}: …'"),
    "bool_parsing": _truth,
    "bool_type": _truth,
    "dict_type": _group,
    "model_type": _group,
    "model_attributes_type": _group,
    "float_parsing": _number,
    "float_type": _number,
    "finite_number": _number,
    "int_from_float": _whole,
    "int_parsing": _whole,
    "int_parsing_size": _whole,
    "int_type": _whole,
    "list_type": _list,
    "tuple_type": _list,
    "string_type": _text,
    "string_unicode": _text,
    "greater_than_equal": _bound("from", "ge"),
    "less_than_equal": _bound("up to", "le"),
    "literal_error": _literal,
    "enum": _literal,
    "string_too_long": _length("at most", "max_length"),
    "string_too_short": _length("at least", "min_length"),
    "too_long": _length("at most", "max_length"),
    "too_short": _length("at least", "min_length"),
    "string_pattern_mismatch": lambda name, value, _: (
        f"{name} is {_shown(value)}",
        "write small letters, digits and hyphens: g-major-2"
        if "id" in name
        else "use letters, digits, spaces and hyphens",
    ),
}
"""One sentence for every kind of refusal the models can give; a test holds it complete."""


def sentence(error: Mapping[str, Any], fields: Iterable[str]) -> Sentence:
    """What is wrong, and what to write instead, for one refusal of the models.

    `fields` are the names that were allowed where an unknown one stands.
    """
    path = [part for part in error["loc"] if isinstance(part, str) and not is_internal(part)]
    name = f"'{path[-1]}'" if path else "this"
    name = "the name" if error["loc"][-1:] == ("[key]",) and not isinstance(error.get("input"), int) else name
    kind, context = error["type"], error.get("ctx", {})
    if kind == "teacher":
        return str(context["message"]), str(context["hint"])
    if kind == "extra_forbidden":
        unknown = str(error["loc"][-1])
        return f"there is no field '{unknown}' here", closest(unknown, fields)
    return SENTENCES[kind](name, error.get("input"), context)


def is_internal(part: str) -> bool:
    """True for pydantic's own names of union branches and keys, such as `constrained-int` or `tuple[int, ...]`."""
    return "[" in part or part in ("int", "str", "float", "OwnPaper") or part.startswith(("constrained-", "function-"))
