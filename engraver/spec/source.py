"""A YAML file as plain values, with a place (line and column) for every key and every value."""

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from engraver.errors import Place, SpecError, SpecErrors
from engraver.tables.yaml_reader import yaml_reader

Path_ = tuple[str | int, ...]
Mark = Any  # the parser's own, by line and column
MOST_BYTES = 20_000_000
MOST_NODES = 600_000
DEEPEST = 24
MOST_BRACKETS = 500
_NESTED_DASHES = re.compile(rf"(?:[-?][ \t]+){{{MOST_BRACKETS}}}")


@dataclass(frozen=True, slots=True)
class Source:
    """The values of a book file. `marks` gives where the value at a path stands, `key_marks` where its key does."""

    file: str
    value: Any
    marks: dict[Path_, Mark] = field(repr=False)
    key_marks: dict[Path_, Mark] = field(repr=False)

    def place(self, path: Path_, of_key: bool = False) -> Place:
        """The place of a value (or of its key); of the nearest thing around it when the path is not in the file."""
        if of_key and path in self.key_marks:
            return _place(self.file, self.key_marks[path])
        while path and path not in self.marks:
            path = path[:-1]
        return _place(self.file, self.marks[path]) if path in self.marks else Place(self.file)


def read_source(path: Path) -> Source:
    """The book file at `path`. Raises SpecError for a missing file and SpecErrors for broken YAML."""
    name = str(path)
    try:
        if path.stat().st_size > MOST_BYTES:
            raise SpecError(f"the file is larger than {MOST_BYTES // 1_000_000} MB", Place(name), "split the book")
        text = path.read_text("utf-8-sig")
    except FileNotFoundError as error:
        raise SpecError("there is no such file", Place(name), "check the name and the folder") from error
    except IsADirectoryError as error:
        raise SpecError("this is a folder, not a book file", Place(name), "name a .yaml file") from error
    except UnicodeDecodeError as error:
        line = error.object[: error.start].count(b"\n") + 1
        raise SpecError("the file is not UTF-8 text", Place(name, line), "save it as UTF-8 in your editor") from error
    except OSError as error:
        raise SpecError(f"the file cannot be read ({error.strerror})", Place(name)) from error
    return parse_source(text, name)


def parse_source(text: str, name: str) -> Source:
    """The book in a string, under a file name for messages. Raises SpecErrors."""
    try:
        root = _composed(text)
    except MarkedYAMLError as error:
        raise _unreadable(error, name) from error
    except (YAMLError, RecursionError, ValueError) as error:
        place = Place(name)
        told = " ".join(str(error).split())[:200]
        raise SpecError(f"{_UNREADABLE}: {told}", place, _ANY_SLIP) from error
    if root is None:
        raise SpecError("the book is empty", Place(name), "write at least 'title:' and 'chapters:'")
    reader = _Reader(name)
    value = reader.convert(root, (), 0)
    if reader.errors:
        raise SpecErrors(tuple(reader.errors))
    return Source(name, value, reader.marks, reader.key_marks)


def _composed(text: str) -> Node | None:
    """The node tree.

    The compiled parser is several times faster; what it refuses is read again, and explained, by the other, which
    knows the newer syntax.
    """
    root: Node | None
    if not _is_deep(text):
        try:
            root = yaml_reader().compose(text)
        except (YAMLError, ValueError):
            pass
        else:
            return root
    root = yaml_reader(pure=True).compose(text)
    return root


def _is_deep(text: str) -> bool:
    """True for text nested so deeply that the compiled parser could run out of stack."""
    depth = deepest = 0
    for bracket in re.findall(r"[\[\]{}]", text):
        depth += 1 if bracket in "[{" else -1
        deepest = max(deepest, depth)
    return deepest > MOST_BRACKETS or _NESTED_DASHES.search(text) is not None


_UNREADABLE = "this is not readable YAML"
_ANY_SLIP = "check the indentation, the colon after each name, and quotes and brackets that stay open"
_SLIPS = (
    (r"\\t|\btab", "a tab stands here", "indent with spaces, never with tabs"),
    (
        r"mapping values are not allowed",
        "a colon stands where none can",
        "put words that hold a colon in quotes, and let the names of one group line up",
    ),
    (
        r"expected <block end>",
        "the line does not line up with the others of its group",
        "indent it like the first of them; a list item begins with a hyphen",
    ),
    (r"found character '(.)' that cannot start", "words cannot begin with '{}'", "put them in quotes"),
    (r"could not find expected ':'", "a name without its colon", "write 'name: value'"),
    (r"(?:alias|anchor)", "words cannot begin with '*' or '&'", "put them in quotes"),
    (
        r"expected ',' or '([\]}}])'",
        "a bracket opens in line {line} and is not closed before this",
        "close it with '{}', and part its values by commas",
    ),
)  # fmt: skip
"""What the parser says, and how a teacher is told; `{}` is what the pattern caught, `{line}` where the matter began."""


def _unreadable(error: MarkedYAMLError, name: str) -> SpecError:
    """The parser's refusal in a teacher's words, at its place."""
    problem = " ".join(str(error.problem or error.context).split())
    mark = error.problem_mark or error.context_mark
    if error.context_mark and "quoted scalar" in str(error.context):
        told = f"{_UNREADABLE}: the quotation mark that opens here is never closed"
        return SpecError(told, _place(name, error.context_mark), "close it, and write a mark inside the words twice")
    place = _place(name, mark) if mark else Place(name)
    line = error.context_mark.line + 1 if error.context_mark else place.line
    for pattern, what, hint in _SLIPS:
        if found := re.search(pattern, problem):
            caught = found.groups() or ("",)
            return SpecError(f"{_UNREADABLE}: {what.format(*caught, line=line)}", place, hint.format(*caught))
    return SpecError(f"{_UNREADABLE}: {problem}", place, _ANY_SLIP)


class _Reader:
    """Turns YAML nodes into plain values and remembers where each stood."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.marks: dict[Path_, Mark] = {}
        self.key_marks: dict[Path_, Mark] = {}
        self.errors: list[SpecError] = []
        self.count = 0

    def convert(self, node: Node, path: Path_, depth: int) -> Any:
        self.count += 1
        if self.count > MOST_NODES or depth > DEEPEST:
            what = "too many values" if self.count > MOST_NODES else "values nested too deeply"
            raise SpecError(what, self._place(node), "repeated anchors may be the cause; write the values out")
        self.marks[path] = node.start_mark
        if isinstance(node, MappingNode):
            return self._mapping(node, path, depth)
        if isinstance(node, SequenceNode):
            return [self.convert(item, (*path, index), depth + 1) for index, item in enumerate(node.value)]
        assert isinstance(node, ScalarNode)
        return self._scalar(node)

    def _mapping(self, node: MappingNode, path: Path_, depth: int) -> dict[Any, Any]:
        out: dict[Any, Any] = {}
        for key_node, value_node in node.value:
            if not isinstance(key_node, ScalarNode):
                self.errors.append(
                    SpecError("a name must stand before the colon", self._place(key_node), "write 'name: value'")
                )
                continue
            key = self._scalar(key_node)
            key = key if isinstance(key, int) and not isinstance(key, bool) else str(key_node.value)
            if key in out:
                self.errors.append(
                    SpecError(f"'{key}' is written twice here", self._place(key_node), "keep one of the two")
                )
                continue
            self.key_marks[(*path, key)] = key_node.start_mark
            out[key] = self.convert(value_node, (*path, key), depth + 1)
        return out

    def _scalar(self, node: ScalarNode) -> Any:
        tag, text = str(node.tag).rsplit(":", 1)[-1], node.value
        try:
            if tag == "int":
                return int(text.replace("_", ""), 0)
            if tag == "float":
                return float(text)
        except ValueError:
            return text
        if tag == "bool":
            return text.lower() == "true"
        return None if tag == "null" else text

    def _place(self, node: Node) -> Place:
        return _place(self.file, node.start_mark)


def _place(file: str, mark: Mark) -> Place:
    """A mark of the parser, which counts from 0, as a place."""
    return Place(file, mark.line + 1, mark.column + 1)
