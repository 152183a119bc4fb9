"""The YAML reader of books and tables: the library's compiled one, which asks only once what kind a word is."""

from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.nodes import ScalarNode
from ruamel.yaml.resolver import VersionedResolver


class _Resolver(VersionedResolver):
    """Tells numbers, truths and texts apart; most of a book's words come again and again."""

    def __init__(self, *args: Any, **named: Any) -> None:
        super().__init__(*args, **named)
        self._known: dict[tuple[str, tuple[bool, bool]], Any] = {}

    def resolve(self, kind: Any, value: Any, implicit: Any) -> Any:
        """The tag of a node, as the library finds it."""
        if kind is not ScalarNode:
            return super().resolve(kind, value, implicit)
        key = (value, implicit)
        if key not in self._known:
            self._known[key] = super().resolve(kind, value, implicit)
        return self._known[key]


def yaml_reader(pure: bool = False) -> YAML:
    """A reader of plain values; `pure` is the slower one in Python, which knows the newer syntax."""
    reader = YAML(typ="safe", pure=pure)
    reader.Resolver = _Resolver
    return reader
