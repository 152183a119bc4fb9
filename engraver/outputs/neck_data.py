"""Neck diagrams as the data that the page template draws from, with the words read in their place."""

from collections.abc import Mapping, Sequence
from itertools import groupby
from typing import Any

from engraver.fretboard.numerals import position_numeral
from engraver.score.diagrams import Diagram, Dot
from engraver.score.page import PT_PER_MM
from engraver.tables.words import Words

LANDMARKS = (1, 3, 5, 7, 9, 12, 15, 17, 19, 21, 24)
"""Frets named under a lying neck, where guitars carry marks (common practice); the first one shown is always named."""
_UNIT_EM = 1.06  # a string distance in text sizes, and what a diagram takes beside its board, as the template draws it
_LYING_ROOM, _GRIP_ROOM, _GRIP_WIDTH_ROOM, _GRIP_FRET = 1.05, 2.65, 2.2, 1.3


def neck_data(diagram: Diagram, number: str, printed: Words) -> dict[str, Any]:
    """All that the template draws: strings, frets, dots, barres, numerals; and the alternative text."""
    first, last = diagram.first_fret, diagram.last_fret
    return {
        "strings": diagram.strings,
        "first_fret": first,
        "frets": last - first + 1,
        "lying": diagram.lying,
        "mirrored": diagram.mirrored,
        "numerals": [[fret, position_numeral(fret)] for fret in _named_frets(diagram)],
        "dots": [{"string": d.string, "fret": d.fret, "finger": d.finger, "root": d.is_root} for d in diagram.dots],
        "barres": [{"fret": b.fret, "low": b.low, "high": b.high} for b in diagram.barres],
        "has_open": any(dot.fret == 0 for dot in diagram.dots),
        "label": diagram.label,
        "alt": neck_words(diagram, number, printed),
    }


def necks_height_mm(necks: Sequence[Mapping[str, Any]], text_size_pt: float, line_width_mm: float) -> float:
    """About how high the diagrams of an exercise stand on the page: lying ones one below the other, grips in rows."""
    unit_mm = text_size_pt * _UNIT_EM / PT_PER_MM
    lying = sum((neck["strings"] + _LYING_ROOM for neck in necks if neck["lying"]), start=0.0)
    grips = [neck for neck in necks if not neck["lying"]]
    if not grips:
        return lying * unit_mm
    in_a_row = max(1, int(line_width_mm / (unit_mm * (grips[0]["strings"] + _GRIP_WIDTH_ROOM))))
    frets: int = max(neck["frets"] for neck in grips)
    rows = -(-len(grips) // in_a_row)
    return (lying + rows * (frets * _GRIP_FRET + _GRIP_ROOM)) * unit_mm


def _named_frets(diagram: Diagram) -> tuple[int, ...]:
    """The frets that carry a numeral: the first of a grip, the landmarks of a line."""
    first, last = diagram.first_fret, diagram.last_fret
    if not diagram.lying:
        return (first,)
    return (first, *(fret for fret in range(first + 2, last + 1) if fret in LANDMARKS))


def neck_words(diagram: Diagram, number: str, printed: Words) -> str:
    """What is read aloud in place of a diagram: every string from the lowest, every place with its finger."""
    strings = [
        printed.alt.neck_string.format(string=string, places=", ".join(_place(dot, printed) for dot in dots))
        for string, dots in groupby(diagram.dots, key=lambda dot: dot.string)
    ]
    text = printed.alt.neck_diagram.format(
        number=number, lowest=diagram.first_fret, highest=diagram.last_fret, strings="; ".join(strings)
    )
    return f"{diagram.label}: {text}" if diagram.label else text


def _place(dot: Dot, printed: Words) -> str:
    pattern = printed.alt.neck_finger if dot.finger else printed.alt.neck_fret
    place = pattern.format(fret=dot.fret, finger=dot.finger) if dot.fret else printed.alt.neck_open
    return printed.alt.neck_root.format(place=place) if dot.is_root else place
