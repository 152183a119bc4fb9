\score {
  \new StaffGroup \with { systemStartDelimiter = #'SystemStartBar } <<
    \new RowAbove \lyricmode {
      \markup \numeral "I" 1 |
    }
    \new RowAbove \lyricmode {
      \markup \ring "5" 8 \markup \ring "4" 4\stringLine \markup \ring "4" ""8\stopTextSpan \markup \ring "3" 8\stringLine \markup \ring "3" ""8\stopTextSpan \markup \ring "2" 8\stringLine \markup \ring "2" ""8\stopTextSpan |
    }
    \new Staff \with { \plainLine } <<
      \clef "treble_8" \key c \major \time 4/4
      \new Voice {
        <c-3>8[ <d-0>8] <e-2>8[ <f-3>8] <g-0>8[ <a-2>8] <b-0>8[ <c'-1>8] | \bar "|."
      }
    >>
    \new RowBelow \lyricmode {
      \markup \letter "i" 8 \markup \letter "m" 8 \markup \letter "i" 8 \markup \letter "m" 8 \markup \letter "i" 8 \markup \letter "m" 8 \markup \letter "i" 8 \markup \letterStack { \letter "m" \reversal } 8 |
    }
    \new TabStaff \with { stringTunings = \stringTuning <e, a, d g b e'> } <<
      \time 4/4
      \new TabVoice {
        <c\5>8 <d\4>8 <e\4>8 <f\4>8 <g\3>8 <a\3>8 <b\2>8 <c'\2>8 | \bar "|."
      }
    >>
  >>
  \layout { line-width = 63.4\mm ragged-right = ##f ragged-last = ##f }
}
