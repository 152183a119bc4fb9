"""Hairpins of a MusicXML part: wedges, and the words *cresc.* and *dim.* with or without dashes.

Source: MusicXML 4.0 schema, types wedge, dashes and words.
"""

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

from engraver.reading.music import ReadSpanEnd, SpanKind
from engraver.theory.passage import Hairpin

if TYPE_CHECKING:
    from lxml.etree import _Element

_WEDGES = {"crescendo": True, "diminuendo": False, "stop": None}
_LONGEST_WORD = len("decrescendo")
_WORDS = {"cresc": True, "dim": False, "decresc": False}


def span_ends_of(direction: "_Element", onset: Fraction) -> Iterable[ReadSpanEnd]:
    """Where hairpins begin or stop in a direction. Words without dashes have no end of their own."""
    grows = _by_words(direction)
    dashed = False
    for part in direction.iterfind("direction-type/*"):
        number, kind = part.get("number", "1"), part.get("type", "")
        if part.tag == "wedge" and kind in _WEDGES:
            yield ReadSpanEnd(SpanKind.WEDGE, number, onset, _WEDGES[kind])
        elif part.tag == "dashes" and kind == "stop":
            yield ReadSpanEnd(SpanKind.DASHES, number, onset)
        elif part.tag == "dashes" and kind == "start" and grows is not None:
            dashed = True
            yield ReadSpanEnd(SpanKind.DASHES, number, onset, grows)
    if grows is not None and not dashed:
        yield ReadSpanEnd(SpanKind.WORD, "", onset, grows)


def _by_words(direction: "_Element") -> bool | None:
    """True for *cresc.*, False for *dim.*, None for other words or none."""
    for words in direction.iterfind("direction-type/words"):
        first = (words.text or "").strip().lower().split(" ")[0]
        for name, grows in _WORDS.items():
            if first.startswith(name) and len(first) <= _LONGEST_WORD:
                return grows
    return None


def hairpins_of(ends: Sequence[ReadSpanEnd], signs: Sequence[Fraction], last: Fraction) -> tuple[Hairpin, ...]:
    """The hairpins between their ends, in order of time; one without end lasts to the next sign of loudness or hairpin.

    Ends of one time stand in the order of the file. `signs` are the onsets of signs of loudness in order, `last` is
    where the music ends.
    """
    ordered = sorted(ends, key=lambda end: end.onset_quarters)
    starts = [end.onset_quarters for end in ordered if end.grows is not None]
    stops = sorted({*signs, *starts, last})
    running: dict[tuple[SpanKind, str], ReadSpanEnd] = {}
    found: list[Hairpin] = []
    for end in ordered:
        key = (end.kind, end.number)
        begun = running.pop(key, None)
        if begun is not None:
            found += _between(begun, end.onset_quarters)
        if end.grows is not None and end.kind is not SpanKind.WORD:
            running[key] = end
        elif end.grows is not None:
            found += _between(end, _next(stops, end.onset_quarters))
    for begun in running.values():
        found += _between(begun, _next(stops, begun.onset_quarters))
    return tuple(sorted(found, key=lambda hairpin: (hairpin.start_quarters, -hairpin.end_quarters)))


def _between(begun: ReadSpanEnd, end: Fraction) -> Iterable[Hairpin]:
    if begun.grows is not None and end > begun.onset_quarters:
        words = begun.kind is not SpanKind.WEDGE
        yield Hairpin(begun.onset_quarters, end, begun.grows, words, begun.kind is SpanKind.DASHES)


def _next(stops: Sequence[Fraction], onset: Fraction) -> Fraction:
    place = bisect_right(stops, onset)
    return stops[place] if place < len(stops) else onset
