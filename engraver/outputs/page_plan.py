"""How high exercises stand on the page, estimated before typesetting, and what that decides.

Heights of systems are known; those of headings and texts are estimated from their lengths. A wrong estimate costs
beauty and nothing else: the typesetter breaks pages where they are full, whatever is foretold here.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from engraver.outputs.neck_data import necks_height_mm
from engraver.score.page import PT_PER_MM, PageStyle

Data = Mapping[str, Any]

# What the template sets, in text sizes; measured on pages of the sample books, to a fifth of a millimetre.
_FIRST_LINE_EM, _LINE_EM, _PARAGRAPH_EM, _CHARACTER_EM = 0.72, 1.41, 0.22, 0.45
_CHAPTER_EM, _GAP_EM, _HEADING_EM, _SYSTEM_GAP_EM = 3.85, 2.3, 2.1, 1.2
_TITLE_LINE_EM, _TITLE_CHARACTER_EM, _REMARK_CHARACTER_EM, _TEMPO_EM = 1.8, 0.7, 0.46, 1.9
_TEXT_HEADING_EM, _TEXT_GAP_EM, _REASON_GAP_EM, _TEMPOS_EM = 1.9, 0.9, 0.9, 4.9
_LONE = 0.5
"""A last exercise that fills less of its page than this looks forgotten there (chosen by us)."""


class PagePlan:
    """The heights of a book's exercises on its pages, in mm."""

    def __init__(self, page: PageStyle, text_size_pt: float) -> None:
        self._page = page
        self._text_size_pt = text_size_pt
        self._em_mm = text_size_pt / PT_PER_MM
        self._room_mm = page.height_mm - page.top_mm - page.bottom_mm

    def is_long(self, exercise: Data) -> bool:
        """True for an exercise that needs a second page."""
        return self._exercise_mm(exercise) > self._room_mm

    def break_before(self, chapter_mm: float, items: Sequence[Data]) -> int | None:
        """The place before which a page ends early, so that the last exercise of a chapter is not alone on its page.

        `chapter_mm` is what stands before the first; None where nothing is to be gained.
        """
        pages = self._pages(chapter_mm, items)
        if len(pages) < 2 or len(pages[-1]) != 1 or len(pages[-2]) < 3:
            return None
        last, before = pages[-1][0], pages[-2][-1]
        heights = [self._item_mm(items[place]) for place in (before, last)]
        both = sum(heights) + self._em_mm * _GAP_EM
        alone = heights[1] < _LONE * self._room_mm
        return before if alone and both < self._room_mm and items[before]["kind"] == "exercise" else None

    def opening_mm(self, paragraphs: Sequence[Data]) -> float:
        """The height of a chapter's heading and texts."""
        lines = _LINE_EM - _FIRST_LINE_EM if paragraphs else 0.0
        return self._em_mm * (_CHAPTER_EM + lines) + self._texts_mm(paragraphs)

    def _pages(self, chapter_mm: float, items: Sequence[Data]) -> list[list[int]]:
        """The places of the items on each page, filled in turn."""
        pages: list[list[int]] = [[]]
        filled = chapter_mm
        for place, item in enumerate(items):
            height = self._item_mm(item)
            gap = self._em_mm * _GAP_EM if pages[-1] else 0.0
            if filled + gap + height > self._room_mm and (pages[-1] or filled > 0):
                pages.append([])
                filled = gap = 0.0
            pages[-1].append(place)
            filled += gap + height
        return [page for page in pages if page]

    def _item_mm(self, item: Data) -> float:
        if item["kind"] == "exercise":
            return self._exercise_mm(item)
        return self._em_mm * (_TEXT_HEADING_EM if item["title"] else 0.0) + self._texts_mm(item["paragraphs"])

    def _exercise_mm(self, exercise: Data) -> float:
        pictures = [*exercise["systems"], *exercise["pictures"]]
        music = sum(place["height_mm"] for place in pictures) + (len(pictures) - 1) * self._em_mm * _SYSTEM_GAP_EM
        texts = self._texts_mm(exercise["paragraphs"]) + (self._em_mm * _TEXT_GAP_EM if exercise["paragraphs"] else 0.0)
        return float(self._heading_mm(exercise) + texts + music + self._below_mm(exercise))

    def _heading_mm(self, exercise: Data) -> float:
        """The heading and the gap below it; a long title takes two lines."""
        beside = len(exercise["remark"]) * _REMARK_CHARACTER_EM + 1.0
        if exercise["tempo"]:
            beside += len(exercise["tempo"]["figures"]) * _REMARK_CHARACTER_EM + _TEMPO_EM
        room = max(1.0, self._page.line_width_mm / self._em_mm - beside)
        lines = -(-len(f"{exercise['number']}  {exercise['title']}") * _TITLE_CHARACTER_EM // room)
        return self._em_mm * (_HEADING_EM + (lines - 1) * _TITLE_LINE_EM)

    def _below_mm(self, exercise: Data) -> float:
        """Diagrams, reason and tempos; a lying diagram has the others at its side."""
        necks = necks_height_mm(exercise["necks"], self._text_size_pt, self._page.line_width_mm)
        lines = self._lines(len(exercise["reason"]))
        reason = _REASON_GAP_EM + _FIRST_LINE_EM + _LINE_EM * (lines - 1) if lines else 0.0
        words = self._em_mm * (reason + (_TEMPOS_EM if exercise["practice_bpms"] else 0.0))
        if any(neck["lying"] for neck in exercise["necks"]):
            return max(necks, words) + self._em_mm
        return words + (necks + self._em_mm if exercise["necks"] else 0.0)

    def _texts_mm(self, paragraphs: Sequence[Data]) -> float:
        if not paragraphs:
            return 0.0
        lines = sum(max(len(part["items"]), self._lines(part["length"])) for part in paragraphs)
        gaps = sum(len(part["items"]) for part in paragraphs) - 1
        return self._em_mm * (_FIRST_LINE_EM + _LINE_EM * (lines - 1) + _PARAGRAPH_EM * gaps)

    def _lines(self, characters: int) -> int:
        return -(-characters // max(1, int(self._page.line_width_mm / (self._em_mm * _CHARACTER_EM))))
