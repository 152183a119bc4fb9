\score {
  \new StaffGroup \with { systemStartDelimiter = #'SystemStartBar } <<
    \new Staff <<
      \clef "treble_8" \key c \major \time 4/4
      \new Voice { \voiceOne
        r8 <g-0>8[ <c'-1>8 <e'-0>8] r8 <g-0>8[ <c'-1>8 <e'-0>8] |
        \oneVoice r8 <g-0>8[ <c'-1>8 <e'-0>8] r8 <g-0>8[ <c'-1>8 <e'-0>8] \voiceOne | \bar "|."
      }
      \new Voice { \voiceTwo
        <c-3>2 <c-3>2 |
        s1 | \bar "|."
      }
    >>
    \new RowBelow \lyricmode {
      \markup \letter "p" 8 \markup \letter "i" 8 \markup \letter "m" 8 \markup \letter "a" 8 \markup \letter "p" 8 \markup \letter "i" 8 \markup \letter "m" 8 \markup \letter "a" 8 |
      \skip 8 \markup \letter "i" 8 \markup \letter "m" 8 \markup \letter "a" 4 \markup \letter "i" 8 \markup \letter "m" 8 \markup \letter "a" 8 |
    }
    \new TabStaff \with { stringTunings = \stringTuning <e, a, d g b e'> } <<
      \time 4/4
      \new TabVoice { \voiceOne
        s8 <g\3>8 <c'\2>8 <e'\1>8 s8 <g\3>8 <c'\2>8 <e'\1>8 |
        \oneVoice s8 <g\3>8 <c'\2>8 <e'\1>8 s8 <g\3>8 <c'\2>8 <e'\1>8 \voiceOne | \bar "|."
      }
      \new TabVoice { \voiceTwo
        <c\5>2 <c\5>2 |
        s1 | \bar "|."
      }
    >>
  >>
  \layout { line-width = 170.0\mm ragged-right = ##f ragged-last = ##f }
}
