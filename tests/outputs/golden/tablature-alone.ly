\score {
  <<
    \new RowAbove \lyricmode {
      \markup \numeral "I" 4*8/3 \markup \numeral "I" 4*4/3 |
    }
    \new RowAbove \lyricmode {
      \markup \digit "3" 4*1/3 \markup \digit "0" 4*1/3 \markup \digit "2" 4*1/3 \markup \digit "3" 4*1/3 \markup \digit "0" 4*1/3 \markup \digit "2" 4*1/3 \markup \digit "0" 4*1/3 \markup \digit "1" 4*1/3 \markup \digit "3" 4*1/3 \markup \digit "0" 4*1/3 \markup \digit "2" 4*1/3 \markup \digit "3" 4*1/3 |
    }
    \new TabStaff \with { stringTunings = \stringTuning <e, a, d g b e'> } <<
      \time 4/4 \tabFullNotation
      \new TabVoice { \loneTablatureStems
        \tuplet 3/2 { <c\5>8[ <d\4>8 <e\4>8] } \tuplet 3/2 { <f\4>8[ <g\3>8 <a\3>8] } \tuplet 3/2 { <b\2>8[ <c'\2>8 <c\5>8] } \tuplet 3/2 { <d\4>8[ <e\4>8 <f\4>8] } | \bar "|."
      }
    >>
    \new RowBelow \lyricmode {
      \markup \letter "i" 4*1/3 \markup \letter "m" 4*1/3 \markup \letter "i" 4*1/3 \markup \letter "m" 4*1/3 \markup \letter "i" 4*1/3 \markup \letter "m" 4*1/3 \markup \letter "i" 4*1/3 \markup \letterStack { \letter "m" \reversal } 4*1/3 \markup \letter "i" 4*1/3 \markup \letter "m" 4*1/3 \markup \letter "i" 4*1/3 \markup \letter "m" 4*1/3 |
    }
  >>
  \layout { line-width = 83.5\mm ragged-right = ##f ragged-last = ##f }
}
