"""The small pictures of the legend: engraved once a style, together with the music, and kept."""

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from engraver.outputs.engraving import Engraved, EngravingJob, engrave
from engraver.outputs.lilypond import legend_snippets
from engraver.press.kept import Shelf, content_hash, program_hash
from engraver.press.settings import Settings
from engraver.score.signs import Sign

if TYPE_CHECKING:
    from engraver.outputs.drawing import Drawing

ENDING = ".drawing"


def picture_name(sign: Sign) -> str:
    """The name of a sign's small picture; no exercise id holds a colon."""
    return f"sign:{sign.value}"


def legend_jobs(signs: Iterable[str], shelf: Shelf, settings: Settings) -> list[EngravingJob]:
    """What the engraver must still make for a legend of these signs."""
    used = set(signs)
    missing = [s for s in Sign if s.value in used and not shelf.path(_key(s, settings), ENDING).is_file()]
    blocks = legend_snippets(missing, settings.engraving) if missing else {}
    return [EngravingJob(picture_name(sign), blocks[sign]) for sign in missing]


def keep_legend(engraved: Mapping[str, Engraved], shelf: Shelf, settings: Settings) -> None:
    """Puts the legend's pictures among what was engraved on the shelf."""
    from engraver.outputs.svg_drawing import read_svg

    for sign in Sign:
        made = engraved.get(picture_name(sign))
        if made is not None:
            drawing = read_svg(made.systems[0].svg, sign.value)
            shelf.put(_key(sign, settings), ENDING, drawing.to_bytes())


def legend_drawings(signs: Iterable[str], shelf: Shelf, settings: Settings) -> dict[str, "Drawing"]:
    """The pictures of these signs by name; any that got lost is engraved again."""
    from engraver.outputs.drawing import Drawing

    used = set(signs)
    lost = legend_jobs(used, shelf, settings)
    if lost:
        keep_legend(engrave(lost, settings.engraving, workers=1), shelf, settings)
    wanted = [sign for sign in Sign if sign.value in used]
    kept = {sign: shelf.get(_key(sign, settings), ENDING) for sign in wanted}
    return {picture_name(sign): Drawing.from_bytes(kept[sign] or b"") for sign in wanted}


def _key(sign: Sign, settings: Settings) -> str:
    return content_hash(program_hash(), sign.value, repr(settings.engraving))
