"""The small pictures of the legend as LilyPond source, from tables/legend_pictures.yaml."""

from pydantic import BaseModel, ConfigDict

from engraver.outputs.lilypond_rows import quoted
from engraver.score.page import EngravingStyle
from engraver.score.signs import Sign
from engraver.tables import read_table
from engraver.tables.loader import Table

_BARE_STAFF = r"""\with {
      \remove Clef_engraver \remove Time_signature_engraver
      middleCPosition = 1 middleCClefPosition = 1
    } { \cadenzaOn """
_STAFF_WITH_CLEF = r'\with { \remove Time_signature_engraver \remove Bar_engraver } { \clef "treble_8" '


class LegendPicture(BaseModel):
    """The music of one picture: a staff with rows of marks above and below, or a tablature."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    notes: str = ""
    above: str = ""
    below: str = ""
    tablature: str = ""
    clef: bool = False
    barlines: bool = False
    at_edge: bool = False


class LegendTable(Table):
    """The music of every sign."""

    pictures: dict[Sign, LegendPicture]


def legend_block(sign: Sign, style: EngravingStyle) -> str:
    r"""A ``\score`` block that shows a sign as the exercises print it."""
    picture = read_table("legend_pictures", LegendTable).pictures[sign]
    staves = [_row("RowAbove", picture.above, style), _staff(picture), _row("RowBelow", picture.below, style)]
    lines = [r"\score {", "  <<", *filter(None, staves), "  >>", r"  \layout { ragged-right = ##t }", "}", ""]
    return "\n".join(lines)


def _row(context: str, marks: str, style: EngravingStyle) -> str:
    if not marks:
        return ""
    own = marks.replace("{letter}", quoted(style.little_finger_letter)).replace("{barre}", quoted(style.barre_letter))
    return rf"    \new {context} \lyricmode {{ \skip 16 {own} }}"


def _staff(picture: LegendPicture) -> str:
    if picture.tablature:
        return rf"    \new TabStaff \with {{ \remove Bar_engraver }} {{ {picture.tablature} }}"
    if picture.clef:
        return rf"    \new Staff {_STAFF_WITH_CLEF}{picture.notes} }}"
    lines = "" if picture.barlines else r"\omit Staff.BarLine "
    return rf"    \new Staff {_BARE_STAFF}{lines}{'' if picture.at_edge else 's16 '}{picture.notes} }}"
