"""Short exercises side by side: two that each take less than half a line share a row of the page."""

from collections.abc import Mapping, Sequence
from typing import Any

from engraver.outputs.page_plan import title_em
from engraver.score.page import PT_PER_MM

Data = dict[str, Any]

GUTTER_MM = 8.0
"""Between the two of a row (chosen by us)."""
_TITLE_LINES = 1.8
"""A title may take so many lines of its column, by its estimated width (chosen by us)."""
_BESIDE = ("paragraphs", "tempo", "remark", "reason", "practice_bpms", "necks", "pictures")
"""What an exercise may not have beside its heading and its music, to be one of two."""


def in_pairs(items: Sequence[Data], line_width_mm: float, text_size_pt: float) -> list[Data]:
    """The items of a chapter, neighbours that fit beside each other made one row, in their order.

    Source: chords and cadences in two columns are common practice in chord tables; when, chosen by us.
    """
    half_mm = (line_width_mm - GUTTER_MM) / 2
    rows: list[Data] = []
    for item in items:
        if rows and "items" not in rows[-1] and all(_is_short(one, half_mm, text_size_pt) for one in (rows[-1], item)):
            rows[-1] = {"kind": "pair", "items": [rows[-1], item], "column_mm": half_mm, "before_mm": 0.0}
        else:
            rows.append(item)
    return rows


def _is_short(item: Mapping[str, Any], half_mm: float, text_size_pt: float) -> bool:
    if item["kind"] != "exercise" or any(item[field] for field in _BESIDE) or len(item["systems"]) != 1:
        return False
    title_mm = title_em(item["number"], item["title"]) * text_size_pt / PT_PER_MM
    return item["systems"][0]["width_mm"] <= half_mm and title_mm <= _TITLE_LINES * half_mm
