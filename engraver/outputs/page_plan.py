"""How high exercises stand on the page, estimated before typesetting, and what that decides.

Heights of systems are known; those of headings and texts are estimated from their lengths. A wrong estimate costs
beauty and nothing else: the typesetter breaks pages where they are full, whatever is foretold here.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from engraver.outputs.neck_data import necks_height_mm
from engraver.score.page import PT_PER_MM, PageStyle

Data = Mapping[str, Any]

# What the template sets, in text sizes; measured on pages of the sample books, to a fifth of a millimetre.
_FIRST_LINE_EM, _LINE_EM, _PARAGRAPH_EM, _CHARACTER_EM = 0.72, 1.41, 0.22, 0.45
_CHAPTER_EM, _CHAPTER_TEXT_EM, _GAP_EM, _HEADING_EM, _SYSTEM_GAP_EM = 3.96, 1.5, 2.3, 2.06, 1.2
_TITLE_LINE_EM, _TITLE_SIZE, _REMARK_CHARACTER_EM, _TEMPO_EM = 1.8, 1.3, 0.46, 1.9
_NUMBER_EM, _NUMBER_FIGURE_EM = 0.7, 0.62
_TITLE_LETTERS_EM = ((" ,.:'\u2019ijl-", 0.32), ("f()tIrs", 0.5), ("mwMW", 0.97))
_CAPITAL_EM, _LETTER_EM = 0.8, 0.62
"""Widths of bold letters, rounded up from the metrics of TeX Gyre Schola Bold."""
_TEMPO_CHARACTER_EM, _BESIDE_EM = 0.52, 1.1
_TEXT_HEADING_EM, _TEXT_GAP_EM, _REASON_GAP_EM, _TEMPOS_EM = 1.9, 0.9, 0.9, 4.9
_REASON_SIZE = 0.88
_LONE = 0.5
"""A last exercise that fills less of its page than this looks forgotten there (chosen by us)."""
_WIDEST_EM, _SYSTEMS_SHARE = 3.2, 0.4
"""The most that is added before an exercise, and its share between the systems of one (chosen by us)."""
_SPARE, _FULL = 0.012, 0.72
"""The share of a page kept for wrong estimates, and that from which a last page is filled up (chosen by us)."""


@dataclass(frozen=True, slots=True)
class Air:
    """What is added before an exercise and between its systems, in mm."""

    before_mm: float = 0.0
    systems_mm: float = 0.0


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
        pages = self._pages(chapter_mm, items, None)
        if len(pages) < 2 or len(pages[-1]) != 1 or len(pages[-2]) < 3:
            return None
        last, before = pages[-1][0], pages[-2][-1]
        heights = [self._item_mm(items[place]) for place in (before, last)]
        both = sum(heights) + self._em_mm * _GAP_EM
        alone = heights[1] < _LONE * self._room_mm
        return before if alone and both < self._room_mm and items[before]["kind"] != "text" else None

    def spread(self, chapter_mm: float, items: Sequence[Data], early: int | None = None) -> list[Air]:
        """What each item is given so that the music of a page reaches its foot, as far as that looks natural.

        Source: systems spread over the depth of the page are common practice; how far is chosen by us. `early` is the
        place before which a page ends early.
        """
        out = [Air()] * len(items)
        pages = self._pages(chapter_mm, items, early)
        for number, page in enumerate(pages):
            filled = (0.0 if number else chapter_mm) + self._em_mm * _GAP_EM * (len(page) - 1)
            filled += sum(self._item_mm(items[place]) for place in page)
            following = pages[number + 1][0] if number + 1 < len(pages) else None
            if self._is_settled(filled, items, following, early):
                for place, air in self._shared_out(self._room_mm * (1 - _SPARE) - filled, items, page):
                    out[place] = air
        return out

    def _is_settled(self, filled: float, items: Sequence[Data], following: int | None, early: int | None) -> bool:
        """True for a page that may be spread.

        A chapter's last page is if it is nearly full; another where the next item does not fit, whatever the
        estimates are worth.
        """
        if following is None:
            return filled > _FULL * self._room_mm
        next_mm = self._em_mm * _GAP_EM + self._item_mm(items[following])
        return following == early or filled + next_mm > self._room_mm * (1 + _SPARE)

    def _shared_out(self, free_mm: float, items: Sequence[Data], page: Sequence[int]) -> Iterator[tuple[int, Air]]:
        """The free height of a page shared out: a place and what its exercise is given."""
        exercises = [place for place in page if items[place]["kind"] != "text"]
        parted = exercises[1:] if page[0] in exercises else exercises
        gaps = len(parted) + _SYSTEMS_SHARE * sum(_inner_gaps(items[place]) for place in exercises)
        if free_mm > 0 and gaps:
            air = round(min(free_mm / gaps, self._em_mm * _WIDEST_EM), 2)
            for place in exercises:
                yield place, Air(air if place in parted else 0.0, round(_SYSTEMS_SHARE * air, 2))

    def opening_mm(self, paragraphs: Sequence[Data]) -> float:
        """The height of a chapter's heading and texts."""
        text = _CHAPTER_TEXT_EM if paragraphs else 0.0
        return self._em_mm * (_CHAPTER_EM + text) + self._texts_mm(paragraphs)

    def _pages(self, chapter_mm: float, items: Sequence[Data], early: int | None) -> list[list[int]]:
        """The places of the items on each page, filled in turn."""
        pages: list[list[int]] = [[]]
        filled = chapter_mm
        for place, item in enumerate(items):
            height = self._item_mm(item)
            gap = self._em_mm * _GAP_EM if pages[-1] else 0.0
            if place == early or (filled + gap + height > self._room_mm and (pages[-1] or filled > 0)):
                pages.append([])
                filled = gap = 0.0
            pages[-1].append(place)
            filled += gap + height
        return [page for page in pages if page]

    def _item_mm(self, item: Data) -> float:
        if item["kind"] == "pair":
            return max(self._exercise_mm(one, item["column_mm"]) for one in item["items"])
        if item["kind"] == "exercise":
            return self._exercise_mm(item)
        return self._em_mm * (_TEXT_HEADING_EM if item["title"] else 0.0) + self._texts_mm(item["paragraphs"])

    def _exercise_mm(self, exercise: Data, column_mm: float = 0.0) -> float:
        """The height of an exercise over the whole line, or in a column of it."""
        pictures = [*exercise["systems"], *exercise["pictures"]]
        music = sum(place["height_mm"] for place in pictures) + (len(pictures) - 1) * self._em_mm * _SYSTEM_GAP_EM
        texts = self._texts_mm(exercise["paragraphs"]) + (self._em_mm * _TEXT_GAP_EM if exercise["paragraphs"] else 0.0)
        heading = self._heading_mm(exercise, column_mm or self._page.line_width_mm)
        return float(heading + texts + music + self._below_mm(exercise))

    def _heading_mm(self, exercise: Data, width_mm: float) -> float:
        """The heading and the gap below it; a long title takes two lines."""
        beside = len(exercise["remark"]) * _REMARK_CHARACTER_EM + _BESIDE_EM
        if exercise["tempo"]:
            beside += len(exercise["tempo"]["figures"]) * _TEMPO_CHARACTER_EM + _TEMPO_EM
        room = max(1.0, width_mm / self._em_mm - beside)
        lines = -(-title_em(exercise["number"], exercise["title"]) // room)
        return self._em_mm * (_HEADING_EM + (lines - 1) * _TITLE_LINE_EM)

    def _below_mm(self, exercise: Data) -> float:
        """Diagrams, reason and tempos; a lying diagram has the others at its side."""
        necks = necks_height_mm(exercise["necks"], self._text_size_pt, self._page.line_width_mm)
        lines = self._lines(int(len(exercise["reason"]) * _REASON_SIZE))
        reason = _REASON_GAP_EM + _REASON_SIZE * (_FIRST_LINE_EM + _LINE_EM * (lines - 1)) if lines else 0.0
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


def title_em(number: str, title: str) -> float:
    """The width of a title in one line, with its number."""
    before = _NUMBER_EM + _NUMBER_FIGURE_EM * len(number) if number else 0.0
    return _TITLE_SIZE * (before + sum(_letter_em(letter) for letter in title.replace("\u200b", "")))


def _letter_em(letter: str) -> float:
    known = next((width for letters, width in _TITLE_LETTERS_EM if letter in letters), 0.0)
    return known or (_CAPITAL_EM if letter.isupper() else _LETTER_EM)


def _inner_gaps(exercise: Data) -> int:
    """How many gaps lie between the systems of an exercise; none in a row of two."""
    return 0 if exercise["kind"] == "pair" else max(0, len(exercise["systems"]) + len(exercise["pictures"]) - 1)
