r"""The small markup of a book's texts: paragraphs, *emphasis*, lists. Everything else is literal text.

- an empty line parts paragraphs; other line ends are spaces
- ``*words*`` are emphasised; ``\*`` is a star and ``\\`` a backslash; a star that opens or closes nothing stays a star;
  doubled stars do what single ones do
- quotation marks are printed as they are written: a text is the teacher's own, and a straight mark may mean inches
- lines that begin with ``- `` are a list; lines that begin with ``1. ``, ``2. `` … a numbered one, which opens with 1

Source: chosen by us, after what people write in plain mail.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

_BULLET = re.compile(r"^\s{0,3}[-•]\s+(?=\S)")
_NUMBER = re.compile(r"^\s{0,3}(\d{1,3})[.)]\s+(?=\S)")
_MARKUP = re.compile(r"\\(?P<escaped>[\\*])|(?P<stars>\*\*?)(?=[^\s*])(?P<words>(?>\\[\\*]|[^*])+?)(?<!\s)(?P=stars)")
_ESCAPE = re.compile(r"\\([\\*])")


@dataclass(frozen=True, slots=True)
class Span:
    """A run of text, plain or emphasised."""

    text: str
    emphasis: bool = False


class BlockKind(StrEnum):
    """What a block of text is."""

    PARAGRAPH = "paragraph"
    LIST = "list"
    NUMBERED = "numbered list"


@dataclass(frozen=True, slots=True)
class Block:
    """A paragraph (one item) or a list (an item each entry); an item is a row of spans."""

    kind: BlockKind
    items: tuple[tuple[Span, ...], ...]

    @property
    def plain(self) -> str:
        """The text without its markup, an entry a line."""
        return "\n".join("".join(span.text for span in item) for item in self.items)


def parse_text(text: str) -> tuple[Block, ...]:
    """The blocks of a text, in reading order; an empty text gives none.

    >>> parse_text("Play *slowly*.")[0].items[0][1]
    Span(text='slowly', emphasis=True)
    """
    blocks: list[tuple[BlockKind, list[str]]] = []
    open_block = False
    for line in text.splitlines():
        if not line.strip():
            open_block = False
            continue
        kind, words = _line(line, blocks[-1][0] if blocks else None)
        if kind is None and open_block:
            blocks[-1][1][-1] += " " + words
        elif kind is not None and blocks and blocks[-1][0] is kind:
            blocks[-1][1].append(words)
        else:
            blocks.append((kind or BlockKind.PARAGRAPH, [words]))
        open_block = True
    return tuple(Block(kind, tuple(_spans(item) for item in items)) for kind, items in blocks)


def paragraph(text: str) -> Block:
    """One paragraph of literal text, no markup read."""
    return Block(BlockKind.PARAGRAPH, ((Span(text),),))


def _line(line: str, before: BlockKind | None) -> tuple[BlockKind | None, str]:
    """The list a line belongs to (None for running text) and its words without the list sign."""
    if found := _BULLET.match(line):
        return BlockKind.LIST, line[found.end() :].strip()
    if (found := _NUMBER.match(line)) and (found.group(1) == "1" or before is BlockKind.NUMBERED):
        return BlockKind.NUMBERED, line[found.end() :].strip()
    return None, line.strip()


def _spans(text: str) -> tuple[Span, ...]:
    """The plain and emphasised runs of an item; neighbours of one kind are joined."""
    joined: list[Span] = []
    for span in _runs(text):
        if joined and joined[-1].emphasis == span.emphasis:
            joined[-1] = Span(joined[-1].text + span.text, span.emphasis)
        elif span.text:
            joined.append(span)
    return tuple(joined)


def _runs(text: str) -> Iterator[Span]:
    end = 0
    for found in _MARKUP.finditer(text):
        yield Span(text[end : found.start()])
        escaped, words = found.group("escaped", "words")
        yield Span(escaped) if escaped else Span(_ESCAPE.sub(r"\1", words), emphasis=True)
        end = found.end()
    yield Span(text[end:])
