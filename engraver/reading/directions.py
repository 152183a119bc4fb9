"""Words and signs over the bars of a MusicXML part: tempo and manner, repeats and endings, where to go back.

Source: MusicXML 4.0 schema, types direction, sound and barline.
"""

import re
from collections.abc import Iterable
from typing import TYPE_CHECKING

from pydantic import Field

from engraver.tables import Table, read_table
from engraver.theory.signs import Way

if TYPE_CHECKING:
    from lxml.etree import _Element

_WAYS = (
    (re.compile(r"^fine$"), Way.FINE),
    (re.compile(r"^(d\.? ?c\.?|da capo) al fine$"), Way.DA_CAPO_AL_FINE),
    (re.compile(r"^(d\.? ?c\.?|da capo) al coda$"), Way.DA_CAPO_AL_CODA),
    (re.compile(r"^(d\.? ?c\.?|da capo)$"), Way.DA_CAPO),
    (re.compile(r"^(d\.? ?s\.?|dal segno) al fine$"), Way.DAL_SEGNO_AL_FINE),
    (re.compile(r"^(d\.? ?s\.?|dal segno) al coda$"), Way.DAL_SEGNO_AL_CODA),
    (re.compile(r"^(d\.? ?s\.?|dal segno)$"), Way.DAL_SEGNO),
    (re.compile(r"^to coda$"), Way.TO_CODA),
)
_SOUNDS = {
    "fine": Way.FINE, "dacapo": Way.DA_CAPO, "dalsegno": Way.DAL_SEGNO, "tocoda": Way.TO_CODA, "segno": Way.SEGNO,
    "coda": Way.CODA,
}  # fmt: skip
_MOST_PASSES = 9
_LONGEST_LETTERS = 80


class _Directions(Table):
    most_words: int = Field(ge=1)
    words: frozenset[str]


def ways_of(direction: "_Element") -> frozenset[Way]:
    """Where the words, the signs or the sound of a direction send the player; the words say more than the sound."""
    found = {way for text in _texts(direction) for pattern, way in _WAYS if pattern.match(text.lower().rstrip(". "))}
    found |= {Way(name) for name in (Way.SEGNO, Way.CODA) if direction.find(f"direction-type/{name}") is not None}
    for sound in direction.iterfind("sound"):
        told = {_SOUNDS[str(name)] for name in sound.keys() if name in _SOUNDS and sound.get(name) != "no"}  # noqa: SIM118
        found |= {way for way in told if not (way.goes_back and any(other.goes_back for other in found))}
    return frozenset(found)


def words_of(direction: "_Element") -> tuple[str, ...]:
    """The words of tempo and manner in a direction that are on our list."""
    table = read_table("directions", _Directions)
    kept = []
    for text in _texts(direction):
        words = [word.strip(".,;:()!-") for word in text.lower().split()]
        if 0 < len(words) <= table.most_words and all(word in table.words for word in words):
            kept.append(text)
    return tuple(kept)


def _texts(direction: "_Element") -> Iterable[str]:
    for words in direction.iterfind("direction-type/words"):
        text = " ".join((words.text or "").split())
        if 0 < len(text) <= _LONGEST_LETTERS:
            yield text


def passes_of(ending: "_Element") -> tuple[int, ...]:
    """The passes for which an ending is played: `1, 2` gives 1 and 2."""
    numbers = re.findall(r"\d+", ending.get("number", "") or ending.text or "")
    return tuple(sorted({int(number) for number in numbers if 0 < int(number) <= _MOST_PASSES}))
